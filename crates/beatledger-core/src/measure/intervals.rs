//! PR, QRS and QT of normal beats, and QT for the rate: of the averaged beat of five-minute windows, never of single
//! beats.
//!
//! Only N beats outside atrial fibrillation, with a narrow QRS, readable on both sides and of fair signal, take
//! part; a window with fewer than `qt_min_beats` of them gives no value. A window whose end of T is not believed
//! ([`QtDoubt`]), or whose QT for the rate lies outside what is told unconfirmed, gives its reason instead.

use super::Day;
use super::found::FoundAt;
use super::rate::nights;
use crate::model::{Averaged, BeatClass, QtDoubt, QtRow, Span};

/// QT intervals outside these limits are limits gone astray, ms (design rule).
const QT_MS: std::ops::RangeInclusive<f64> = 200.0..=650.0;
/// QT for the rate by Fridericia outside these limits is not told unless a reader has measured it, ms (design rule).
const TOLD_QTC_MS: std::ops::RangeInclusive<f64> = 320.0..=600.0;
/// QT is told where at least this share of the windows that hold an averaged beat is believed (design choice).
const BELIEVED_SHARE: f64 = 0.5;
/// Where more N beats than this are wide, QT is not that of a narrow QRS, %.
const MOST_WIDE_PERCENT: f64 = 50.0;
/// Where more beats than this are paced or cannot be classified, what is left is no rhythm to measure QT in, % (design choice).
const MOST_PACED_PERCENT: f64 = 50.0;
const WIDE_QRS: &str = "the dominant QRS is wide";
const PACED: &str = "most beats are paced or cannot be classified";
/// Why there is no QT.
pub const NO_QT: &str = "no five minutes hold enough narrow normal beats of fair signal with a T end, outside atrial fibrillation";

/// QT for the rate: `qt_ms` at a mean interval of `rr_s`. Bazett 1920.
pub fn bazett_ms(qt_ms: f64, rr_s: f64) -> f64 {
    qt_ms / rr_s.sqrt()
}

/// QT for the rate by Fridericia 1920.
pub fn fridericia_ms(qt_ms: f64, rr_s: f64) -> f64 {
    qt_ms / rr_s.cbrt()
}

/// QT for the rate by the Framingham study (Sagie 1992).
pub fn framingham_ms(qt_ms: f64, rr_s: f64) -> f64 {
    qt_ms + 154.0 * (1.0 - rr_s)
}

/// QT for the rate by Hodges 1983.
pub fn hodges_ms(qt_ms: f64, rr_s: f64) -> f64 {
    qt_ms + 1.75 * (60.0 / rr_s - 60.0)
}

/// The averaged beat of one window of five minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QtWindow {
    /// Where it is.
    pub span: Span,
    /// True when it begins in the night.
    pub night: bool,
    /// Beats that took part.
    pub beats: usize,
    /// QT of the averaged beat, ms.
    pub qt_ms: f64,
    /// Mean of the intervals before the same beats, s.
    pub rr_s: f64,
}

/// Why a window with an averaged beat gives no QT.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum QtWithheld {
    /// Its end of T is not believed.
    Doubt(QtDoubt),
    /// Its QT for the rate is one that nobody has measured by hand.
    OutOfRange,
}

impl QtWithheld {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Doubt(doubt) => doubt.words(),
            Self::OutOfRange => {
                "QT for the rate by Fridericia lies outside 320 to 600 ms; measure it on the tracing"
            }
        }
    }
}

/// Intervals of a day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Intervals {
    /// Windows with enough beats, in order.
    pub windows: Vec<QtWindow>,
    /// Windows with enough beats whose QT is withheld, in order, and why.
    pub withheld: Vec<(Span, QtWithheld)>,
    /// Why QT is told of no window, where that is no matter of a window.
    pub no_qt: Option<&'static str>,
    /// Beats with a QT, wherever they lie.
    pub qt_beats: usize,
    /// Beats that could have one and have none, as the next P wave begins before T is over.
    pub merged_beats: usize,
    /// Mean PR of N beats, ms; `None` where P was found on too few.
    pub pr_ms: Option<f64>,
    /// Mean QRS duration of N beats, narrow and wide ones, ms; `None` where found on too few.
    pub qrs_ms: Option<f64>,
    /// Share of these N beats whose QRS is wide, %; `None` where found on too few.
    pub wide_percent: Option<f64>,
}

/// Which windows a mean is taken over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// All.
    All,
    /// Those that begin outside the night.
    Waking,
    /// Those that begin in the night.
    Night,
}

impl Intervals {
    /// Why QT is withheld; `None` where it is told: enough of the windows that could tell it are believed.
    pub fn why_no_qt(&self) -> Option<String> {
        if let Some(why) = self.no_qt {
            return Some(why.to_owned());
        }
        let all = self.windows.len() + self.withheld.len();
        if all == 0 {
            return Some(NO_QT.to_owned());
        }
        let believed = self.windows.len() as f64 >= BELIEVED_SHARE * all as f64;
        (!believed).then(|| {
            let count = |why: QtWithheld| self.withheld.iter().filter(|(_, w)| *w == why).count();
            let most = self.withheld.iter().map(|(_, why)| *why).max_by_key(|why| (count(*why), *why));
            let words = most.map_or(NO_QT, QtWithheld::words);
            format!("{words}, in {} of {all} windows of five minutes", most.map_or(0, count))
        })
    }

    fn take(&mut self, window: Option<Result<QtWindow, (Span, QtWithheld)>>) {
        match window {
            Some(Ok(window)) => self.windows.push(window),
            Some(Err(withheld)) => self.withheld.push(withheld),
            None => {}
        }
    }

    /// Mean of `of` over the windows of a part; `None` without any.
    pub fn mean(&self, part: Part, of: impl Fn(&QtWindow) -> f64) -> Option<f64> {
        let belongs = |w: &&QtWindow| match part {
            Part::All => true,
            Part::Waking => !w.night,
            Part::Night => w.night,
        };
        let values: Vec<f64> = self.windows.iter().filter(belongs).map(of).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    }

    /// The window with the longest QT for the rate by Fridericia, the first of equal ones.
    pub fn longest(&self) -> Option<&QtWindow> {
        let key = |w: &QtWindow| fridericia_ms(w.qt_ms, w.rr_s);
        self.windows.iter().rev().max_by(|a, b| key(a).total_cmp(&key(b)))
    }
}

/// QT of each of `hours`: means over the windows that begin in it.
pub fn by_hour(found: &Intervals, hours: &[Span]) -> Vec<QtRow> {
    let row = |span: &Span| {
        let of_hour: Vec<QtWindow> =
            found.windows.iter().filter(|w| span.contains(w.span.start)).copied().collect();
        let withheld =
            found.withheld.iter().filter(|(place, _)| span.contains(place.start)).copied().collect();
        let part = Intervals { windows: of_hour, withheld, no_qt: found.no_qt, ..Intervals::default() };
        let why = part.why_no_qt();
        let mean = |of: fn(&QtWindow) -> f64| part.mean(Part::All, of).filter(|_| why.is_none());
        QtRow {
            span: *span,
            windows: part.windows.len() as u32,
            beats: part.windows.iter().map(|w| w.beats as u32).sum(),
            withheld: why.clone(),
            qt_ms: mean(|w| w.qt_ms),
            rr_ms: mean(|w| 1000.0 * w.rr_s),
            qtc_bazett_ms: mean(|w| bazett_ms(w.qt_ms, w.rr_s)),
            qtc_fridericia_ms: mean(|w| fridericia_ms(w.qt_ms, w.rr_s)),
            qtc_framingham_ms: mean(|w| framingham_ms(w.qt_ms, w.rr_s)),
            qtc_hodges_ms: mean(|w| hodges_ms(w.qt_ms, w.rr_s)),
        }
    };
    hours.iter().map(row).collect()
}

/// Sum and number of values.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    count: usize,
    sum: f64,
}

impl Sum {
    fn add(&mut self, x: f64) {
        self.count += 1;
        self.sum += x;
    }

    /// The mean of `least` values or more.
    fn mean(&self, least: usize) -> Option<f64> {
        (self.count >= least.max(1)).then(|| self.sum / self.count as f64)
    }
}

/// Of the beats of an averaged beat this share may stand otherwise than they were found.
const CHANGED_SHARE: f64 = 0.1;

/// What is summed of the beats of one window.
#[derive(Clone, Copy, Debug, Default)]
struct Standing {
    window: i64,
    /// Intervals before the beats of the averaged beat that may take part as they stand, ms.
    rr: Sum,
}

/// The averaged beat of a window with the intervals of the beats that stand, or why it gives no QT; `None` where too few
/// beats stand.
fn qt_window(
    day: &Day<'_>,
    standing: &Standing,
    nights: &[Span],
) -> Option<Result<QtWindow, (Span, QtWithheld)>> {
    let reading = day.reading();
    let rate = reading.recording.rate;
    let averaged = &reading.found?.averaged;
    let window = u32::try_from(standing.window).ok()?;
    let averaged = averaged[averaged.binary_search_by_key(&window, |a| a.window).ok()?];
    let changed = f64::from(averaged.beats) - standing.rr.count as f64;
    if changed > CHANGED_SHARE * f64::from(averaged.beats) {
        return None;
    }
    let rr_ms = standing.rr.mean(reading.settings.qt_min_beats as usize)?;
    let length = rate.samples_from_seconds(Averaged::WINDOW_S).max(1);
    let start = standing.window * length;
    let span = Span::new(start, start + length).overlap(reading.recording.whole());
    if let Some(doubt) = averaged.doubt {
        return Some(Err((span, QtWithheld::Doubt(doubt))));
    }
    let qt_ms =
        averaged.waves.qt_samples().map(|s| rate.ms_from_samples(s)).filter(|ms| QT_MS.contains(ms))?;
    let rr_s = rr_ms / 1000.0;
    if !TOLD_QTC_MS.contains(&fridericia_ms(qt_ms, rr_s)) {
        return Some(Err((span, QtWithheld::OutOfRange)));
    }
    let night = nights.iter().any(|n| n.contains(span.start));
    Some(Ok(QtWindow { span, night, beats: standing.rr.count, qt_ms, rr_s }))
}

/// Measures PR, QRS and QT.
pub fn intervals(day: &Day<'_>) -> Intervals {
    let reading = day.reading();
    let (settings, rate) = (reading.settings, reading.recording.rate);
    let least = settings.qt_min_beats as usize;
    let per_window = rate.samples_from_seconds(Averaged::WINDOW_S).max(1);
    let nights = nights(reading);
    let found_at = FoundAt::new(day.reading());
    let in_average = reading.found.map_or(&[][..], |f| &f.in_average);
    let mut out = Intervals::default();
    let (mut pr, mut qrs, mut wide) = (Sum::default(), Sum::default(), Sum::default());
    let mut standing = Standing::default();
    for (i, beat) in reading.beats.iter().enumerate() {
        if beat.class != BeatClass::N || f64::from(beat.evidence.quality) < settings.qt_min_quality {
            continue;
        }
        let ms = |samples: Option<i64>| samples.map(|s| rate.ms_from_samples(s)).filter(|ms| *ms > 0.0);
        let width_ms = ms(beat.waves.qrs_samples());
        if let Some(ms) = width_ms {
            qrs.add(ms);
            wide.add(if ms >= settings.wide_qrs_ms { 100.0 } else { 0.0 });
        }
        let sinus = !day.in_af[i];
        ms(beat.waves.pr_samples()).filter(|_| sinus).into_iter().for_each(|ms| pr.add(ms));
        let narrow = width_ms.is_some_and(|w| w < settings.wide_qrs_ms);
        let both_sides = day.columns.joined(i) && day.columns.joined(i + 1);
        // After an ectopic beat neither the interval nor QT is that of the rate.
        if !(sinus && narrow && both_sides) || day.columns.classes[i - 1] != BeatClass::N {
            continue;
        }
        out.merged_beats += usize::from(beat.waves.t_peak.is_some() && beat.waves.t_off.is_none());
        out.qt_beats += usize::from(ms(beat.waves.qt_samples()).is_some_and(|ms| QT_MS.contains(&ms)));
        let of_beat = beat.sample.div_euclid(per_window);
        if of_beat != standing.window {
            out.take(qt_window(day, &standing, &nights));
            standing = Standing { window: of_beat, ..Standing::default() };
        }
        if found_at.get(i).is_some_and(|found| in_average.get(found) == Some(&true)) {
            standing.rr.add(f64::from(day.columns.rr_ms[i]));
        }
    }
    out.take(qt_window(day, &standing, &nights));
    (out.pr_ms, out.qrs_ms, out.wide_percent) = (pr.mean(least), qrs.mean(least), wide.mean(least));
    let paced = day.columns.classes.iter().filter(|c| **c == BeatClass::Q).count() as f64;
    out.no_qt = if out.wide_percent.is_some_and(|wide| wide > MOST_WIDE_PERCENT) {
        Some(WIDE_QRS)
    } else {
        (100.0 * paced > MOST_PACED_PERCENT * day.columns.len() as f64).then_some(PACED)
    };
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Event, EventKind, EventState, Origin, Waves};
    use crate::rhythm::testing::{Made, sinus};

    /// Twenty minutes at 75 bpm; every beat has a PR of 150, a QRS of 90 and a QT of 400 ms.
    fn day() -> Made {
        let mut day = sinus(&[800; 1500]);
        for beat in &mut day.beats {
            beat.evidence.quality = 1.0;
            beat.waves = Waves {
                p_on: Some(-190),
                qrs_on: Some(-40),
                qrs_off: Some(50),
                t_off: Some(360),
                ..Waves::default()
            };
        }
        day
    }

    fn of(day: &Made) -> Intervals {
        of_waves(day, Waves { qrs_on: Some(-40), t_off: Some(360), ..Waves::default() })
    }

    fn of_waves(day: &Made, waves: Waves) -> Intervals {
        let found = day.found_averaged(waves);
        let reading = day.reading().with_found(&found);
        intervals(&Day::new(&reading, &[]))
    }

    /// Worked from the published formulas: QT, rate, and QT for the rate by the four of them.
    #[test]
    fn qt_for_the_rate_by_four_formulas() {
        for (qt, bpm, expected) in [
            (400.0, 60.0, [400.000, 400.000, 400.000, 400.000]),
            (400.0, 75.0, [447.214, 430.887, 430.800, 426.250]),
            (360.0, 90.0, [440.908, 412.097, 411.333, 412.500]),
            (360.0, 100.0, [464.758, 426.827, 421.600, 430.000]),
            (440.0, 50.0, [401.663, 414.056, 409.200, 422.500]),
            (320.0, 120.0, [452.548, 403.175, 397.000, 425.000]),
        ] {
            let rr = 60.0 / bpm;
            let found = [bazett_ms(qt, rr), fridericia_ms(qt, rr), framingham_ms(qt, rr), hodges_ms(qt, rr)];
            for (found, expected) in found.iter().zip(expected) {
                assert!((found - expected).abs() < 5e-4, "{qt} at {bpm}: {found} is not {expected}");
            }
        }
    }

    #[test]
    fn windows_of_five_minutes_carry_the_means() {
        let found = of(&day());
        assert_eq!(found.windows.len(), 4);
        assert_eq!((found.pr_ms, found.qrs_ms), (Some(150.0), Some(90.0)));
        let mean = found.mean(Part::All, |w| bazett_ms(w.qt_ms, w.rr_s)).unwrap();
        assert!((mean - 447.214).abs() < 5e-4);
        assert_eq!(found.mean(Part::Night, |w| w.qt_ms), None);
        assert_eq!(found.longest().unwrap().span.start, 0);
    }

    /// Where the next P wave hides the end of T the averaged beat has no QT, and the beats are counted.
    #[test]
    fn beats_whose_t_runs_into_the_next_p_have_no_qt() {
        let mut day = day();
        for beat in day.beats.iter_mut().take(1000) {
            beat.waves = Waves { t_peak: Some(250), t_off: None, ..beat.waves };
        }
        let found = of_waves(&day, Waves { qrs_on: Some(-40), t_peak: Some(250), ..Waves::default() });
        // The first beat has no interval before it and never had a QT.
        assert_eq!((found.merged_beats, found.qt_beats, found.windows.len()), (999, 500, 0));
    }

    /// An averaged beat stands for its beats as long as nine of ten still are what they were found to be.
    #[test]
    fn an_averaged_beat_is_withdrawn_when_its_beats_are_relabelled() {
        let relabelled = |count: usize| {
            let mut day = day();
            day.beats.iter_mut().skip(400).step_by(3).take(count).for_each(|b| b.class = BeatClass::V);
            of(&day).windows.iter().map(|w| w.span.start).collect::<Vec<_>>()
        };
        assert_eq!(relabelled(10), [0, 300_000, 600_000, 900_000]);
        assert_eq!(relabelled(40), [0, 600_000, 900_000]);
    }

    /// A QT of 400 ms at 75 bpm, worked from the published formulas; the second hour has no windows.
    #[test]
    fn hours_carry_qt_with_rr_beside_it() {
        let rows = by_hour(&of(&day()), &[Span::new(0, 1_200_000), Span::new(1_200_000, 2_000_000)]);
        let row = &rows[0];
        assert_eq!((row.windows, row.beats, row.qt_ms, row.rr_ms), (4, 1499, Some(400.0), Some(800.0)));
        let near = |x: Option<f64>, expected: f64| assert!((x.unwrap() - expected).abs() < 5e-4, "{x:?}");
        near(row.qtc_bazett_ms, 447.214);
        near(row.qtc_fridericia_ms, 430.887);
        near(row.qtc_framingham_ms, 430.8);
        near(row.qtc_hodges_ms, 426.25);
        assert!(rows[1].qt_ms.is_none() && rows[1].withheld.is_some());
    }

    #[test]
    fn wide_noisy_and_ectopic_beats_have_no_qt() {
        let mut wide = day();
        wide.beats.iter_mut().for_each(|b| b.waves.qrs_off = Some(90));
        let mut noisy = day();
        noisy.beats.iter_mut().for_each(|b| b.evidence.quality = 0.1);
        let mut ectopic = day();
        ectopic.beats.iter_mut().for_each(|b| b.class = BeatClass::V);
        for day in [wide, noisy, ectopic] {
            assert_eq!((of(&day).windows.len(), of(&day).qt_beats), (0, 0));
        }
        let astray = Waves { qrs_on: Some(-40), t_off: Some(720), ..Waves::default() };
        assert!(of_waves(&day(), astray).windows.is_empty(), "no QT lasts 760 ms");
    }

    #[test]
    fn fibrillation_and_a_window_with_few_beats_have_no_qt() {
        let day = day();
        let found = day.found_averaged(Waves { qrs_on: Some(-40), t_off: Some(360), ..Waves::default() });
        let reading = day.reading().with_found(&found);
        let af = Event {
            kind: EventKind::AtrialFibrillation,
            span: Span::new(300_000, 890_000),
            beats: (0, 0),
            rate_bpm: None,
            state: EventState::Kept,
            origin: Origin::Reader,
            critical: false,
            note: String::new(),
            certainty: crate::model::Certainty::sure(),
        };
        let found = intervals(&Day::new(&reading, &[af]));
        assert_eq!(found.windows.iter().map(|w| w.span.start).collect::<Vec<_>>(), [0, 900_000]);
    }
}
