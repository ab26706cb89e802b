//! Heart-rate variability by five minutes and by clock hour (Task Force 1996), each with its share of NN beside it.

use std::ops::Range;

use super::spectrum::{self, Bands};
use super::variability::{Nn, variability};
use super::{Day, burden};
use crate::model::{HrvRow, Span};

/// The NN intervals of a day and the spectra of its full five-minute windows.
#[derive(Clone, Debug, Default)]
pub struct Series {
    /// The intervals, in order.
    pub nn: Vec<Nn>,
    /// Segment and bands of every window of five minutes that NN fill to the set share, in order.
    pub windows: Vec<(usize, Bands)>,
}

impl Series {
    /// Chooses and measures the intervals of a day.
    pub fn new(day: &Day<'_>) -> Self {
        let nn = super::variability::nn_intervals(day);
        let full = spectrum::full_windows(&nn, day.reading().settings.nn_min_share_percent);
        let bands = spectrum::each_window(&full);
        let windows = full.iter().map(|part| part[0].segment).zip(bands).collect();
        Self { nn, windows }
    }
}

/// One row per five minutes of the recording.
pub fn by_window(day: &Day<'_>, series: &Series) -> Vec<HrvRow> {
    let recording = day.reading().recording;
    let length = recording.rate.samples_from_seconds(spectrum::WINDOW_S).max(1);
    let count = (recording.samples.max(0) + length - 1) / length;
    let span = |k: i64| Span::new(k * length, (k + 1) * length).overlap(recording.whole());
    let spans: Vec<Span> = (0..count).map(span).collect();
    rows(day, series, &spans, spectrum::WINDOW_S * day.reading().settings.nn_min_share_percent / 100.0)
}

/// One row per stretch of `hours`.
pub fn by_hour(day: &Day<'_>, series: &Series, hours: &[Span]) -> Vec<HrvRow> {
    rows(day, series, hours, spectrum::WINDOW_S)
}

/// Rows of `spans` (sorted, disjoint), each of which needs NN of `least_s` together. An interval belongs to the
/// stretch in which it begins.
fn rows(day: &Day<'_>, series: &Series, spans: &[Span], least_s: f64) -> Vec<HrvRow> {
    let rate = day.reading().recording.rate;
    let length = rate.samples_from_seconds(spectrum::WINDOW_S).max(1);
    let begin = |nn: &Nn| rate.samples_from_seconds(nn.at_s - nn.ms / 1000.0);
    let (mut nn, mut beat, mut window) = (0, 1, 0);
    let mut out = Vec::with_capacity(spans.len());
    for span in spans {
        let first = nn;
        while series.nn.get(nn).is_some_and(|x| begin(x) < span.end) {
            nn += 1;
        }
        let mut intervals = 0;
        while beat < day.columns.len() && day.columns.samples[beat - 1] < span.end {
            intervals += u32::from(day.columns.joined(beat));
            beat += 1;
        }
        let first_window = window;
        while series.windows.get(window).is_some_and(|w| (w.0 as i64) * length < span.end) {
            window += 1;
        }
        let bands = &series.windows[first_window..window];
        out.push(row(day, *span, series, first..nn, intervals, bands, least_s));
    }
    out
}

fn row(
    day: &Day<'_>,
    span: Span,
    series: &Series,
    nn: Range<usize>,
    intervals: u32,
    bands: &[(usize, Bands)],
    least_s: f64,
) -> HrvRow {
    let part = &series.nn[nn];
    let readable = day.reading().readable_samples(span);
    let mut row = HrvRow {
        span,
        readable_percent: 100.0 * readable as f64 / span.len().max(1) as f64,
        intervals,
        nn_percent: 100.0 * part.len() as f64 / f64::from(intervals.max(1)),
        ..HrvRow::default()
    };
    row.withheld = withheld(day, &row, readable, part, least_s);
    if row.withheld.is_some() {
        return row;
    }
    let time = variability(part);
    row.mean_nn_ms = Some(part.iter().map(|nn| nn.ms).sum::<f64>() / part.len() as f64);
    (row.sdnn_ms, row.rmssd_ms, row.pnn50_percent) = (time.sdnn_ms, time.rmssd_ms, time.pnn50_percent);
    let mean = |of: fn(&Bands) -> f64| {
        (!bands.is_empty()).then(|| bands.iter().map(|b| of(&b.1)).sum::<f64>() / bands.len() as f64)
    };
    (row.vlf_ms2, row.lf_ms2, row.hf_ms2) = (mean(|b| b.vlf_ms2), mean(|b| b.lf_ms2), mean(|b| b.hf_ms2));
    row
}

/// Why a row is withheld, if it is.
fn withheld(day: &Day<'_>, row: &HrvRow, readable: i64, part: &[Nn], least_s: f64) -> Option<String> {
    let asked = day.reading().settings.nn_min_share_percent;
    let in_af = 100.0 * burden::fibrillation_samples(day, row.span) as f64 / readable.max(1) as f64;
    if in_af > 100.0 - asked {
        return Some(format!("atrial fibrillation for {in_af:.0} % of readable time"));
    }
    if row.nn_percent < asked && row.intervals > 0 {
        let share = row.nn_percent;
        return Some(format!("only {share:.0} % of intervals are normal to normal, {asked:.0} % asked"));
    }
    let held_s = part.iter().map(|nn| nn.ms).sum::<f64>() / 1000.0;
    (held_s < least_s || part.len() < 2)
        .then(|| format!("only {held_s:.0} s of normal-to-normal intervals, {least_s:.0} s asked"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::testing::{Made, made, sinus};

    fn of<T>(day: &Made, what: impl Fn(&Day<'_>, &Series) -> T) -> T {
        let reading = day.reading();
        let laid = Day::new(&reading, &[]);
        what(&laid, &Series::new(&laid))
    }

    #[test]
    fn every_five_minutes_has_a_row_and_each_interval_stands_in_one() {
        let rr: Vec<i64> = (0..1300).map(|i| 790 + 20 * (i % 2)).collect();
        let day = sinus(&rr).with_hole(400_000, 560_000);
        let rows = of(&day, by_window);
        assert_eq!(rows.len(), 4);
        assert_eq!(rows.iter().map(|r| r.intervals).sum::<u32>() as usize, 1300 - 201);
        let withheld: Vec<_> = rows.iter().map(|r| r.withheld.as_deref()).collect();
        assert_eq!(withheld[0], None);
        assert!(withheld[1].is_some_and(|why| why.contains("240 s asked")), "{withheld:?}");
        assert!(withheld[3].is_some(), "the last 140 s are no five minutes");
        // Theory: intervals that alternate by 20 ms have an SDNN of 10 ms and an RMSSD of 20 ms.
        let first = &rows[0];
        assert!((first.sdnn_ms.unwrap() - 10.0).abs() < 0.02 && first.rmssd_ms == Some(20.0), "{first:?}");
        assert_eq!((first.mean_nn_ms, first.nn_percent), (Some(800.0), 100.0));
    }

    #[test]
    fn hours_take_the_mean_of_their_full_windows() {
        let rr: Vec<i64> = (0..9000).map(|i| 800 + 30 * ((i / 3) % 3)).collect();
        let day = sinus(&rr);
        let hours = [Span::new(0, 3_600_000), Span::new(3_600_000, 7_200_000)];
        let (rows, windows) = of(&day, |d, s| (by_hour(d, s, &hours), by_window(d, s)));
        let mean = windows[..12].iter().map(|w| w.hf_ms2.unwrap()).sum::<f64>() / 12.0;
        assert!((rows[0].hf_ms2.unwrap() - mean).abs() < 1e-9 * mean && mean > 1.0);
        let n = |rows: &[HrvRow]| rows.iter().map(|r| r.intervals).sum::<u32>();
        assert_eq!(n(&rows), n(&windows[..24]));
    }

    #[test]
    fn ectopy_withholds_only_the_rows_it_lies_in() {
        let letters = format!("{}{}", "N".repeat(400), "NNV".repeat(134));
        let rows = of(&made(&letters, &[800]), by_window);
        assert_eq!(rows[0].withheld, None);
        assert!(rows[1].withheld.as_deref().is_some_and(|why| why.contains("normal to normal")));
    }
}
