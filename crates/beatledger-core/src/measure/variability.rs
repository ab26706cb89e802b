//! Heart-rate variability in the time domain (Task Force 1996, Circulation 93:1043).
//!
//! Only intervals between two N beats outside atrial fibrillation, unreadable time and beats that may not be conducted are normal
//! to normal;
//! of these, intervals outside `nn_min_ms` to `nn_max_ms` and those further than `nn_jump_percent` from the mean
//! of the (up to) five before are left out (filter of the heart-rate-turbulence method, Schmidt 1999).
//! Intervals are dropped and never interpolated; differences are taken between neighbours only.

use super::Day;
use crate::model::BeatClass;
use crate::settings::Settings;

/// Segments of SDANN and of the SDNN index, s.
const SEGMENT_S: f64 = 300.0;

/// One normal-to-normal interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nn {
    /// Length, ms.
    pub ms: f64,
    /// Five-minute segment of the recording in which it begins.
    pub segment: usize,
    /// Where it ends, s from the start of the recording.
    pub at_s: f64,
    /// True when the interval before it in the series is its neighbour in time.
    pub adjacent: bool,
}

/// Indices of a series; `None` where the series is too short.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Variability {
    /// Number of NN intervals.
    pub count: usize,
    /// Standard deviation of all NN (n - 1), ms.
    pub sdnn_ms: Option<f64>,
    /// Standard deviation of the five-minute means (n - 1), ms.
    pub sdann_ms: Option<f64>,
    /// Mean of the five-minute standard deviations, ms.
    pub sdnn_index_ms: Option<f64>,
    /// Root mean square of the differences of neighbours, ms.
    pub rmssd_ms: Option<f64>,
    /// Differences of neighbours of more than 50 ms.
    pub nn50: Option<u64>,
    /// `nn50` per number of NN (or of differences, as set), %.
    pub pnn50_percent: Option<f64>,
    /// Number of NN per height of their histogram.
    pub triangular_index: Option<f64>,
}

/// Chooses the NN intervals of a day.
pub fn nn_intervals(day: &Day<'_>) -> Vec<Nn> {
    let (columns, settings) = (&day.columns, day.reading().settings);
    let is_n = |i: usize| columns.classes[i] == BeatClass::N && !day.in_af[i] && !day.in_block[i];
    let rate = day.reading().recording.rate;
    let per_segment = rate.samples_from_seconds(SEGMENT_S).max(1);
    let mut out = Vec::with_capacity(columns.len());
    let (mut before, mut accepted) = (Before::default(), None);
    for i in 1..columns.len() {
        if !(columns.joined(i) && is_n(i - 1) && is_n(i)) {
            if !columns.joined(i) {
                before = Before::default();
            }
            continue;
        }
        let ms = f64::from(columns.rr_ms[i]);
        if !(settings.nn_min_ms..=settings.nn_max_ms).contains(&ms) {
            continue;
        }
        if before.near(ms, settings.nn_jump_percent / 100.0) {
            let segment = (columns.samples[i - 1].max(0) / per_segment) as usize;
            let at_s = rate.seconds_from_samples(columns.samples[i]);
            out.push(Nn { ms, segment, at_s, adjacent: accepted == Some(i - 1) });
            accepted = Some(i);
        }
        before.push(ms);
    }
    out
}

/// The last five intervals that the jump filter compares with. It takes in rejected ones too, so that a
/// lasting change of rate is followed.
#[derive(Default)]
struct Before {
    ring: [f64; 5],
    count: usize,
}

impl Before {
    fn near(&self, ms: f64, share: f64) -> bool {
        let held = self.count.min(self.ring.len());
        let mean = self.ring[..held].iter().sum::<f64>() / held as f64;
        held == 0 || (ms - mean).abs() <= share * mean
    }

    fn push(&mut self, ms: f64) {
        self.ring[self.count % self.ring.len()] = ms;
        self.count += 1;
    }
}

/// Choices in which toolboxes differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choice {
    /// True to divide NN50 by the number of differences, false by the number of NN.
    pub pnn50_per_difference: bool,
    /// Bin of the histogram, ms.
    pub bin_ms: f64,
}

impl Choice {
    /// The choice that the settings make.
    pub fn of(settings: &Settings) -> Self {
        Self { pnn50_per_difference: settings.pnn50_per_difference >= 0.5, bin_ms: settings.histogram_bin_ms }
    }
}

/// The indices of a series with the usual choices.
pub fn variability(series: &[Nn]) -> Variability {
    variability_by(series, Choice::of(&Settings::default()))
}

/// The indices of a series.
pub fn variability_by(series: &[Nn], choice: Choice) -> Variability {
    let mut all = Spread::default();
    let (mut squares, mut differences, mut nn50) = (0.0, 0u64, 0u64);
    let mut bins: Vec<u32> = Vec::new();
    let (mut means, mut deviations) = (Spread::default(), Spread::default());
    let mut segment = Spread::default();
    for (i, nn) in series.iter().enumerate() {
        if i > 0 && nn.adjacent {
            let difference = nn.ms - series[i - 1].ms;
            squares += difference * difference;
            differences += 1;
            nn50 += u64::from(difference.abs() > 50.0);
        }
        if i > 0 && nn.segment != series[i - 1].segment {
            close(&mut segment, &mut means, &mut deviations);
        }
        segment.add(nn.ms);
        all.add(nn.ms);
        let bin = (nn.ms / choice.bin_ms) as usize;
        bins.resize(bins.len().max(bin + 1), 0);
        bins[bin] += 1;
    }
    close(&mut segment, &mut means, &mut deviations);
    let compared = differences > 0;
    let compared_with = if choice.pnn50_per_difference { differences as f64 } else { series.len() as f64 };
    let height = bins.iter().max().copied().unwrap_or(0);
    Variability {
        count: series.len(),
        sdnn_ms: all.sd(),
        sdann_ms: means.sd(),
        sdnn_index_ms: (deviations.count > 0).then_some(deviations.mean),
        rmssd_ms: compared.then(|| (squares / differences as f64).sqrt()),
        nn50: compared.then_some(nn50),
        pnn50_percent: compared.then(|| 100.0 * nn50 as f64 / compared_with),
        triangular_index: (height > 0).then(|| series.len() as f64 / f64::from(height)),
    }
}

/// Ends a five-minute segment.
fn close(segment: &mut Spread, means: &mut Spread, deviations: &mut Spread) {
    if segment.count > 0 {
        means.add(segment.mean);
    }
    if let Some(sd) = segment.sd() {
        deviations.add(sd);
    }
    *segment = Spread::default();
}

/// Running mean and sum of squared deviations (Welford 1962).
#[derive(Default)]
struct Spread {
    count: u64,
    mean: f64,
    squares: f64,
}

impl Spread {
    fn add(&mut self, x: f64) {
        self.count += 1;
        let off = x - self.mean;
        self.mean += off / self.count as f64;
        self.squares += off * (x - self.mean);
    }

    /// Standard deviation with n - 1; `None` below two values.
    fn sd(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / (self.count - 1) as f64).sqrt())
    }
}

/// Why variability is withheld for this day, if it is. `intervals` is the number of RR intervals that exist.
pub fn withheld(day: &Day<'_>, nn: usize, intervals: usize, af_share: f64) -> Option<String> {
    let asked = day.reading().settings.nn_min_share_percent;
    if 100.0 * af_share > 100.0 - asked {
        return Some(format!("atrial fibrillation for {:.0} % of readable time", 100.0 * af_share));
    }
    if nn < 2 {
        return Some("fewer than two normal-to-normal intervals".into());
    }
    let share = 100.0 * nn as f64 / intervals.max(1) as f64;
    (share < asked)
        .then(|| format!("only {share:.1} % of intervals are normal to normal, {asked:.0} % asked"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::testing::{Made, made, sinus};

    fn series(day: &Made) -> Vec<Nn> {
        nn_intervals(&Day::new(&day.reading(), &[]))
    }

    fn lengths(day: &Made) -> Vec<f64> {
        series(day).iter().map(|nn| nn.ms).collect()
    }

    fn near(value: Option<f64>, expected: f64, tolerance: f64) {
        assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{value:?} is not {expected}");
    }

    /// Definitions of the Task Force 1996 worked by hand on ten intervals.
    #[test]
    fn ten_intervals_give_the_values_worked_by_hand() {
        let nn = lengths(&sinus(&[800, 810, 790, 860, 750, 820, 805, 795, 900, 780]));
        assert_eq!(nn.iter().sum::<f64>() / nn.len() as f64, 811.0);
        let v = variability(&series(&sinus(&[800, 810, 790, 860, 750, 820, 805, 795, 900, 780])));
        near(v.sdnn_ms, 42.0846, 5e-5);
        near(v.sdnn_ms.map(|s| s * (9f64 / 10.0).sqrt()), 39.9249, 5e-5);
        near(v.rmssd_ms, 73.1437, 5e-5);
        near(v.pnn50_percent, 50.0, 1e-9);
        near(v.triangular_index, 5.0, 1e-9);
        assert_eq!((v.nn50, v.count), (Some(5), 10));
    }

    /// Worked by hand: five of nine differences; ten intervals in bins of 20 ms, four of them from 800 to 820 ms.
    #[test]
    fn denominator_and_bin_are_a_choice() {
        let nn = series(&sinus(&[800, 810, 790, 860, 750, 820, 805, 795, 900, 780]));
        let v = variability_by(&nn, Choice { pnn50_per_difference: true, bin_ms: 20.0 });
        near(v.pnn50_percent, 500.0 / 9.0, 1e-9);
        near(v.triangular_index, 10.0 / 3.0, 1e-9);
    }

    /// Theory: alternating intervals.
    #[test]
    fn a_thousand_alternating_intervals() {
        let v = variability(&series(&sinus(&[800, 900].repeat(500))));
        near(v.sdnn_ms, 50.025, 5e-4);
        near(v.sdnn_ms.map(|s| s * (999f64 / 1000.0).sqrt()), 50.0, 1e-9);
        near(v.rmssd_ms, 100.0, 1e-9);
        near(v.pnn50_percent, 99.9, 1e-9);
        let per_difference = Choice { pnn50_per_difference: true, ..Choice::of(&Settings::default()) };
        let v = variability_by(&series(&sinus(&[800, 900].repeat(500))), per_difference);
        near(v.pnn50_percent, 100.0, 1e-9);
        assert_eq!(v.nn50, Some(999));
    }

    /// Theory: a sinusoid of amplitude A has a standard deviation of A / sqrt 2.
    #[test]
    fn a_sinusoid_of_50_ms_has_an_sdnn_of_35_ms() {
        let (mut rr, mut t) = (Vec::new(), 0.0f64);
        while t < 3600.0 {
            let ms = 1000.0 + 50.0 * (2.0 * std::f64::consts::PI * 0.1 * t).sin();
            rr.push(ms.round() as i64);
            t += ms / 1000.0;
        }
        near(variability(&series(&sinus(&rr))).sdnn_ms, 35.355, 0.3);
    }

    #[test]
    fn a_difference_of_50_ms_exactly_is_not_counted() {
        assert_eq!(variability(&series(&sinus(&[800, 850, 800, 851]))).nn50, Some(1));
    }

    #[test]
    fn intervals_around_ectopy_holes_and_jumps_are_left_out() {
        for (letters, rr, expected) in [
            ("NNNNNN", vec![800, 810, 800, 810, 800], vec![800., 810., 800., 810., 800.]),
            ("NNVNNN", vec![800, 500, 1100, 810, 800], vec![800., 810., 800.]),
            ("NNQNNN", vec![800, 800, 800, 810, 800], vec![800., 810., 800.]),
            ("NNNNNN", vec![800, 250, 800, 810, 2100], vec![800., 800., 810.]),
            ("NNNNNN", vec![800, 800, 961, 800, 800], vec![800., 800., 800., 800.]),
            ("NNNNNN", vec![800, 800, 960, 800, 800], vec![800., 800., 960., 800., 800.]),
        ] {
            assert_eq!(lengths(&made(letters, &rr)), expected, "{letters} {rr:?}");
        }
        assert_eq!(lengths(&sinus(&[800; 5]).with_hole(1700, 1800)), [800.0; 4]);
    }

    #[test]
    fn no_difference_is_taken_across_what_was_left_out() {
        let v = variability(&series(&made("NNVNN", &[800, 500, 1100, 900])));
        assert_eq!((v.count, v.rmssd_ms), (2, None));
    }

    #[test]
    fn a_lasting_change_of_rate_is_followed() {
        let mut rr = vec![1000; 20];
        rr.extend([600; 20]);
        assert!(lengths(&sinus(&rr)).iter().filter(|ms| **ms == 600.0).count() >= 15);
    }

    #[test]
    fn five_minute_segments_give_sdann_and_the_sdnn_index() {
        let mut rr = vec![1000; 300];
        rr.extend([900, 1100].repeat(150));
        rr.extend([800; 375]);
        let v = variability(&series(&sinus(&rr)));
        near(v.sdnn_index_ms, 100.167 / 3.0, 0.001);
        near(v.sdann_ms, 200.0 / 3f64.sqrt(), 1e-6);
    }

    #[test]
    fn nothing_to_measure_gives_nothing() {
        assert_eq!(variability(&[]), Variability::default());
    }
}
