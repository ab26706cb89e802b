//! Whether the recording is long enough for what is said of it.

use crate::measure::{Day, rate::nights};
use crate::model::{Enough, FigureId, Summary};

/// One entry a family of figures that asks for a length or a number. Looks at the figures of `summary`.
pub fn enough(day: &Day<'_>, summary: &Summary) -> Vec<Enough> {
    let reading = day.reading();
    let settings = reading.settings;
    let hours = |samples: i64| reading.recording.rate.seconds_from_samples(samples) / 3600.0;
    let readable_h = summary.number(FigureId::ReadableH).unwrap_or(0.0);
    let night = nights(reading).iter().map(|n| reading.readable_samples(*n)).max().unwrap_or(0);
    let night_h = (settings.night_to_h - settings.night_from_h).rem_euclid(24.0);
    let entry = |what, unit, asked, have, source| Enough { what, unit, asked, have, source };
    let number = |id| summary.number(id).unwrap_or(0.0);
    vec![
        entry(
            "Variability over 24 hours",
            "h",
            settings.hrv_min_hours,
            readable_h,
            "Task Force 1996: 18 h of analysable data, from memory",
        ),
        entry(
            "Variability over 24 hours: the whole night",
            "h",
            night_h * settings.nn_min_share_percent / 100.0,
            hours(night),
            "Task Force 1996: the whole night included, from memory; the share of it is that asked of NN",
        ),
        entry(
            "Spectrum of five minutes",
            "windows",
            1.0,
            number(FigureId::WindowCount),
            "Task Force 1996: recordings of five minutes",
        ),
        entry(
            "Ectopic burden",
            "h",
            24.0,
            number(FigureId::WornH),
            "2019 HRS/EHRA/APHRS/LAHRS consensus: preferably over 24 h",
        ),
        entry(
            "Ectopic burden within 20 % of that of two weeks",
            "h",
            240.0,
            readable_h,
            "ten days were needed in 80 % of 8245 patients (study of 14-day recordings)",
        ),
        entry(
            "Atrial fibrillation told",
            "min",
            settings.af_min_s / 60.0,
            60.0 * hours(longest_readable(day)),
            "ESC 2016, second hand: AF of 30 s or more",
        ),
        entry(
            "Atrial fibrillation burden of the day",
            "h",
            24.0,
            number(FigureId::WornH),
            "common practice: a day at least; what comes seldom asks for longer",
        ),
        entry(
            "Detrended fluctuation and deceleration capacity",
            "h",
            settings.hrv_min_hours,
            readable_h,
            "common practice: long series; the same length as day-long variability",
        ),
        entry(
            "Variability by hour, sample entropy",
            "windows",
            12.0,
            number(FigureId::WindowCount),
            "design choice: an hour of five-minute windows",
        ),
        entry(
            "ST level",
            "min",
            5.0,
            summary
                .figure(FigureId::StLeads)
                .and_then(|f| f.basis.percent)
                .map_or(0.0, |p| 0.6 * p * readable_h),
            "design choice: a course needs five minutes of levels",
        ),
        entry(
            "T-wave alternans",
            "windows",
            1.0,
            number(FigureId::TwaWindows),
            "Nearing and Verrier 2002: windows of 15 s, from memory",
        ),
        entry(
            "Heart-rate turbulence",
            "beats",
            settings.hrt_min_beats,
            number(FigureId::HrtBeats),
            "common practice, from memory",
        ),
        entry(
            "QT for the rate",
            "windows",
            1.0,
            number(FigureId::QtWindows),
            "design choice: means of five minutes",
        ),
    ]
}

/// Readable samples of the longest stretch without a hole.
fn longest_readable(day: &Day<'_>) -> i64 {
    let whole = day.reading().recording.whole();
    let starts = std::iter::once(whole.start).chain(day.reading().unreadable.iter().map(|s| s.end));
    let ends = day.reading().unreadable.iter().map(|s| s.start).chain(std::iter::once(whole.end));
    starts.zip(ends).map(|(from, to)| to - from).max().unwrap_or(0).max(0)
}
