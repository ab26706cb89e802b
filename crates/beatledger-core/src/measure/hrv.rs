//! Heart-rate variability by five minutes and by clock hour (Task Force 1996), each with its share of NN beside it.

use std::ops::Range;

use rayon::prelude::*;

use super::nonlinear::{
    LONG_BOXES, SHORT_BOXES, fluctuation_slope, histogram_base_ms, poincare, sample_entropy,
};
use super::spectrum::{self, Bands};
use super::variability::{Choice, Nn, variability_by};
use super::{Day, burden};
use crate::model::{HrvRow, Span};

/// Windows of five minutes in an hour.
const WINDOWS_OF_HOUR: usize = 12;

/// A window of five minutes that NN fill to the set share.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Number of the five minutes in the recording.
    pub segment: usize,
    /// Its part of the series.
    pub part: Range<usize>,
    /// Its power in bands.
    pub bands: Bands,
    /// Its power in bands by evenly laid intervals.
    pub even: Bands,
    /// Its sample entropy; `None` where nothing is alike.
    pub entropy: Option<f64>,
    /// Detrending and tolerance that these were worked out with.
    choice: (bool, f64),
}

/// The NN intervals of a day and what is measured of its full five-minute windows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// The intervals, in order.
    pub nn: Vec<Nn>,
    /// The full windows, in order.
    pub windows: Vec<Window>,
}

impl Series {
    /// Chooses and measures the intervals of a day. What `before` holds of a window with the very same intervals is
    /// taken over; the result is the same without it.
    pub fn new(day: &Day<'_>, before: Option<&Series>) -> Self {
        let nn = super::variability::nn_intervals(day);
        let settings = day.reading().settings;
        let full = spectrum::full_windows(&nn, settings.nn_min_share_percent);
        let choice = (settings.spectrum_detrend >= 0.5, settings.entropy_tolerance);
        let measured = |part: &&[Nn]| {
            let known = before.and_then(|b| b.window_like(part)).filter(|w| w.choice == choice);
            known.map_or_else(|| Window::new(part, choice), Window::clone)
        };
        let mut windows: Vec<Window> = full.par_iter().map(measured).collect();
        let mut at = 0;
        for (window, part) in windows.iter_mut().zip(&full) {
            at += nn[at..].partition_point(|nn| nn.segment < window.segment);
            window.part = at..at + part.len();
        }
        Self { nn, windows }
    }

    /// The intervals of a window.
    pub fn of(&self, window: &Window) -> &[Nn] {
        self.nn.get(window.part.clone()).unwrap_or_default()
    }

    /// The window that holds the very same intervals.
    fn window_like(&self, part: &[Nn]) -> Option<&Window> {
        let segment = part.first()?.segment;
        let at = self.windows.binary_search_by_key(&segment, |w| w.segment).ok()?;
        let window = &self.windows[at];
        (self.of(window) == part).then_some(window)
    }

    /// Mean sample entropy of the first full window of each hour, and how many of them have one: the work grows with the
    /// square of the length, so that a whole day is never compared at once.
    pub fn entropy(&self) -> (Option<f64>, usize) {
        let of_hours =
            self.windows.chunk_by(|a, b| a.segment / WINDOWS_OF_HOUR == b.segment / WINDOWS_OF_HOUR);
        mean(of_hours.filter_map(|hour| hour[0].entropy))
    }
}

impl Window {
    fn new(part: &[Nn], choice: (bool, f64)) -> Self {
        let ms: Vec<f64> = part.iter().map(|nn| nn.ms).collect();
        Self {
            segment: part.first().map_or(0, |nn| nn.segment),
            part: 0..0,
            bands: spectrum::of_window(part, choice.0),
            even: spectrum::resampled(part, choice.0),
            entropy: sample_entropy(&ms, choice.1),
            choice,
        }
    }
}

/// Mean of values, and how many there are.
fn mean(values: impl Iterator<Item = f64>) -> (Option<f64>, usize) {
    let (n, sum) = values.fold((0, 0.0), |(n, sum), x| (n + 1, sum + x));
    ((n > 0).then(|| sum / n as f64), n)
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
        while series.windows.get(window).is_some_and(|w| (w.segment as i64) * length < span.end) {
            window += 1;
        }
        let windows = &series.windows[first_window..window];
        out.push(row(day, *span, series, first..nn, intervals, windows, least_s));
    }
    out
}

fn row(
    day: &Day<'_>,
    span: Span,
    series: &Series,
    nn: Range<usize>,
    intervals: u32,
    windows: &[Window],
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
    in_time(&mut row, part, Choice::of(day.reading().settings));
    in_frequency(&mut row, windows, day.reading().settings.spectrum_nu_variance >= 0.5);
    row.sample_entropy = mean(windows.iter().filter_map(|w| w.entropy)).0;
    row
}

/// Time domain, Poincare plot and fluctuation of the intervals of a row.
fn in_time(row: &mut HrvRow, part: &[Nn], choice: Choice) {
    let time = variability_by(part, choice);
    let ms: Vec<f64> = part.iter().map(|nn| nn.ms).collect();
    row.mean_nn_ms = Some(ms.iter().sum::<f64>() / part.len() as f64);
    (row.sdnn_ms, row.rmssd_ms) = (time.sdnn_ms, time.rmssd_ms);
    // Of one part of five minutes these are no more than SDNN.
    row.sdann_ms = time.sdann_ms;
    row.sdnn_index_ms = time.sdann_ms.and(time.sdnn_index_ms);
    (row.nn50, row.pnn50_percent) = (time.nn50, time.pnn50_percent);
    row.triangular_index = time.triangular_index;
    row.tinn_ms = histogram_base_ms(part, choice.bin_ms);
    (row.sd1_ms, row.sd2_ms) = poincare(part).unzip();
    row.dfa_alpha1 = fluctuation_slope(&ms, &SHORT_BOXES);
    row.dfa_alpha2 = fluctuation_slope(&ms, &LONG_BOXES);
}

/// Mean powers of the full windows of a row, if it has any.
fn in_frequency(row: &mut HrvRow, windows: &[Window], of_variance: bool) {
    if windows.is_empty() {
        return;
    }
    let of = |value: fn(&Window) -> Bands| {
        spectrum::mean_bands(&windows.iter().map(value).collect::<Vec<_>>()).mean
    };
    let (bands, even) = (of(|w| w.bands), of(|w| w.even));
    row.total_ms2 = Some(bands.total_ms2());
    (row.vlf_ms2, row.lf_ms2, row.hf_ms2) = (Some(bands.vlf_ms2), Some(bands.lf_ms2), Some(bands.hf_ms2));
    (row.lf_nu, row.hf_nu) = bands.normalised(of_variance).unzip();
    row.lf_hf_ratio = bands.lf_hf();
    row.even_total_ms2 = Some(even.total_ms2());
    (row.even_vlf_ms2, row.even_lf_ms2, row.even_hf_ms2) =
        (Some(even.vlf_ms2), Some(even.lf_ms2), Some(even.hf_ms2));
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
        what(&laid, &Series::new(&laid, None))
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
        // They lie in two points of equal sum, 20 / sqrt 2 from the line of equal intervals, and repeat for ever.
        assert!((first.sd1_ms.unwrap() - 14.142).abs() < 0.01 && first.sd2_ms.unwrap() < 0.01, "{first:?}");
        assert!(first.sample_entropy.unwrap() < 0.01 && first.dfa_alpha1.is_some(), "{first:?}");
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

    /// The first full window of each hour takes part in the entropy.
    #[test]
    fn one_window_of_each_hour_stands_for_it() {
        let rr: Vec<i64> = (0..9000).map(|i| 800 + 30 * ((i / 3) % 3)).collect();
        let series = of(&sinus(&rr), |_, s| s.clone());
        assert!(series.windows.len() > 20 && series.windows.iter().all(|w| w.entropy.is_some()));
        assert_eq!(series.entropy().1, 3);
        assert_eq!(Series::default().entropy(), (None, 0));
    }

    /// Whatever was worked out before, the windows are those of the beats as they stand.
    #[test]
    fn windows_taken_over_are_the_same_as_windows_worked_out() {
        let rr: Vec<i64> = (0..4000).map(|i| 780 + 15 * (i % 5) + 40 * ((i / 7) % 2)).collect();
        let before = of(&sinus(&rr), |_, s| s.clone());
        let mut edited = sinus(&rr);
        for at in [5, 900, 901, 2500] {
            edited.beats[at].class = crate::model::BeatClass::V;
        }
        let reading = edited.reading();
        let day = Day::new(&reading, &[]);
        let anew = Series::new(&day, None);
        assert_eq!(Series::new(&day, Some(&before)), anew);
        let settings = crate::settings::Settings { entropy_tolerance: 0.8, ..edited.settings.clone() };
        let other = Made { settings, ..edited.clone() };
        let reading = other.reading();
        let day = Day::new(&reading, &[]);
        assert_eq!(Series::new(&day, Some(&anew)), Series::new(&day, None));
        assert_ne!(Series::new(&day, None).entropy(), anew.entropy());
    }
}
