//! Everything that is compared in one record, and the same over several.

use beatledger_core::model::{BeatClass, Rate, Span};

use crate::episodes::{EpisodeTally, episodes};
use crate::heart_rate::heart_rate;
use crate::matrix::{Column, Matrix, Row};
use crate::measurement::{MeasurementError, compare_measurements};
use crate::pairing::{Annotations, Rules};
use crate::runs::{RunClass, RunTally, runs};
use crate::timing::{Timing, WINDOWS_MS};
use crate::totals::{Line, RrError, compare};

/// All comparisons of one record, or the sums of several.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Score {
    /// Beat by beat.
    pub line: Line,
    /// Places of the beats.
    pub timing: Timing,
    /// Ventricular runs.
    pub ventricular: RunTally,
    /// Supraventricular runs.
    pub supraventricular: RunTally,
    /// Episodes of atrial fibrillation; flutter is excluded.
    pub af: EpisodeTally,
    /// Episodes of ventricular fibrillation.
    pub vf: EpisodeTally,
    /// Heart rate, beats a minute; `None` where no value pairs.
    pub heart_rate: Option<MeasurementError>,
}

/// One figure: its name with unit, and its value where it has one.
pub type Figure = (String, Option<f64>);

impl Score {
    /// Compares one record of `samples` samples.
    pub fn of(
        record: &str,
        rate: Rate,
        samples: i64,
        reference: &Annotations,
        test: &Annotations,
        rules: &Rules,
    ) -> Self {
        let start = rules.first_sample(rate);
        let period = Span::new(start, samples.max(start));
        Self {
            line: compare(record, rate, reference, test, rules),
            timing: Timing::of(rate, reference, test, rules),
            ventricular: runs(RunClass::Ventricular, rate, reference, test, rules),
            supraventricular: runs(RunClass::Supraventricular, rate, reference, test, rules),
            af: episodes(rate, period, &reference.af, &test.af, &reference.flutter),
            vf: episodes(rate, period, &reference.vf, &test.vf, &[]),
            heart_rate: compare_measurements(&heart_rate(rate, reference), &heart_rate(rate, test), start),
        }
    }

    /// Gross: counts, times and squares summed over records.
    pub fn gross(scores: &[Score]) -> Self {
        let mut all = Self::default();
        for score in scores {
            all.line.matrix.merge(&score.line.matrix);
            all.line.rr = RrError {
                count: all.line.rr.count + score.line.rr.count,
                sum_ms2: all.line.rr.sum_ms2 + score.line.rr.sum_ms2,
            };
            all.line.shutdown_s += score.line.shutdown_s;
            all.timing.merge(&score.timing);
            all.ventricular.merge(&score.ventricular);
            all.supraventricular.merge(&score.supraventricular);
            all.af.merge(&score.af);
            all.vf.merge(&score.vf);
        }
        all.line.record = "Gross".to_owned();
        all.heart_rate = MeasurementError::gross(scores.iter().filter_map(|s| s.heart_rate.as_ref()));
        all
    }

    /// Average: the mean of each figure over the records that have it.
    pub fn average(scores: &[Score]) -> Vec<Figure> {
        let all: Vec<Vec<Figure>> = scores.iter().map(Score::figures).collect();
        let Some(first) = all.first() else { return Vec::new() };
        let mean = |i: usize| {
            let values: Vec<f64> = all.iter().filter_map(|figures| figures.get(i)?.1).collect();
            (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
        };
        first.iter().enumerate().map(|(i, (name, _))| (name.clone(), mean(i))).collect()
    }

    /// Counts and times that the figures come from; the same names in the same order for every record.
    pub fn counts(&self) -> Vec<Figure> {
        let m = &self.line.matrix;
        let mut out: Vec<Figure> = BeatClass::ALL
            .into_iter()
            .map(|c| (format!("reference_{}", c.letter().to_ascii_lowercase()), m.reference_of(c) as f64))
            .chain(errors(m).map(|(name, count)| (name.to_owned(), count as f64)))
            .map(|(name, value)| (name, Some(value)))
            .collect();
        for (name, value) in [
            ("unreadable_s", self.line.shutdown_s),
            ("period_s", self.af.period_s),
            ("af_reference_s", self.af.reference_s),
            ("af_found_s", self.af.test_s),
            ("af_both_s", self.af.overlap_s),
            ("vf_reference_s", self.vf.reference_s),
            ("vf_found_s", self.vf.test_s),
        ] {
            out.push((name.to_owned(), Some(value)));
        }
        out
    }

    /// All figures; the same names in the same order for every record.
    pub fn figures(&self) -> Vec<Figure> {
        let mut out = self.beat_figures();
        for (letter, tally) in [("v", &self.ventricular), ("s", &self.supraventricular)] {
            let f = tally.figures();
            for (name, value) in [
                ("couplet_se", f.couplet_se_percent),
                ("couplet_pp", f.couplet_pp_percent),
                ("short_run_se", f.short_se_percent),
                ("short_run_pp", f.short_pp_percent),
                ("long_run_se", f.long_se_percent),
                ("long_run_pp", f.long_pp_percent),
            ] {
                out.push((format!("{letter}_{name}_percent"), value));
            }
        }
        for (kind, tally) in [("af", &self.af), ("vf", &self.vf)] {
            let f = tally.figures();
            for (name, value) in [
                ("episode_se_percent", f.episode_se_percent),
                ("episode_pp_percent", f.episode_pp_percent),
                ("duration_se_percent", f.duration_se_percent),
                ("duration_pp_percent", f.duration_pp_percent),
                ("duration_sp_percent", f.duration_sp_percent),
                ("false_min_per_24h", f.false_min_per_24h),
            ] {
                out.push((format!("{kind}_{name}"), value));
            }
        }
        out
    }

    fn beat_figures(&self) -> Vec<Figure> {
        let f = self.line.figures();
        let mut out: Vec<Figure> = [
            ("qrs_se_percent", f.qse_percent),
            ("qrs_pp_percent", f.qpp_percent),
            ("v_se_percent", f.vse_percent),
            ("v_pp_percent", f.vpp_percent),
            ("v_fpr_percent", f.vfpr_percent),
            ("s_se_percent", f.sse_percent),
            ("s_pp_percent", f.spp_percent),
            ("s_fpr_percent", f.sfpr_percent),
            ("missed_in_unreadable_percent", f.missed_in_shutdown_percent),
            ("rr_rms_ms", f.rr_error_ms),
            ("heart_rate_rms_bpm", self.heart_rate.map(|h| h.rms)),
            ("heart_rate_rms_percent", self.heart_rate.and_then(|h| h.normalised_percent)),
            ("offset_ms", self.timing.offset_ms),
            ("distance_median_ms", self.timing.median_ms()),
            ("distance_median_samples", self.timing.median_samples()),
        ]
        .map(|(name, value)| (name.to_owned(), value))
        .into();
        for (hits, window) in self.timing.at.iter().zip(WINDOWS_MS) {
            out.push((format!("qrs_se_{window}ms_percent"), hits.se_percent()));
            out.push((format!("qrs_pp_{window}ms_percent"), hits.pp_percent()));
        }
        out
    }
}

/// Errors by kind. Which confusions count is told at [`Matrix::figures`].
fn errors(m: &Matrix) -> impl Iterator<Item = (&'static str, u64)> {
    let beats = [Row::N, Row::S, Row::V, Row::F, Row::Q];
    let called = [Column::N, Column::S, Column::V, Column::F, Column::Q];
    let all_but = |c: Column| Column::ALL.into_iter().filter(move |o| *o != c).collect::<Vec<_>>();
    [
        ("qrs_missed", m.sum(&beats, &[Column::O, Column::X])),
        ("qrs_missed_in_unreadable", m.sum(&beats, &[Column::X])),
        ("qrs_false", m.sum(&[Row::O, Row::X], &called)),
        ("v_missed", m.sum(&[Row::V], &all_but(Column::V))),
        ("v_false", m.sum(&[Row::N, Row::S, Row::O, Row::X], &[Column::V])),
        ("s_missed", m.sum(&[Row::S], &all_but(Column::S))),
        ("s_false", m.sum(&[Row::N, Row::V, Row::F, Row::O, Row::X], &[Column::S])),
    ]
    .into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matrix::tests::{EXAMPLE, assert_near, matrix};

    fn named(figures: &[Figure], name: &str) -> Option<f64> {
        figures.iter().find(|f| f.0 == name).unwrap_or_else(|| panic!("no {name}")).1
    }

    /// The worked example of EC57's formulas: 12 VEB missed, 8 false, 10 SVEB missed, 8 false, 5 beats missed
    /// (2 of them in unreadable time), 6 false.
    #[test]
    fn errors_are_counted_by_kind_as_the_formulas_count_them() {
        let line = Line { matrix: matrix(EXAMPLE), ..Line::default() };
        let counts = Score { line, ..Score::default() }.counts();
        let expected = [
            ("reference_v", 102.0),
            ("qrs_missed", 5.0),
            ("qrs_missed_in_unreadable", 2.0),
            ("qrs_false", 6.0),
            ("v_missed", 12.0),
            ("v_false", 8.0),
            ("s_missed", 10.0),
            ("s_false", 8.0),
        ];
        for (name, count) in expected {
            assert_eq!(named(&counts, name), Some(count), "{name}");
        }
    }

    #[test]
    fn gross_weighs_beats_and_average_weighs_records() {
        let score = |cells| {
            let line = Line { matrix: matrix(cells), ..Line::default() };
            Score { line, ..Score::default() }
        };
        let scores = [score("Vv 90, Vn 10"), score("Vv 1, Vn 1"), score("Nn 50")];
        assert_near(named(&Score::gross(&scores).figures(), "v_se_percent"), 100.0 * 91.0 / 102.0);
        assert_near(named(&Score::average(&scores), "v_se_percent"), 70.0);
        assert_eq!(named(&Score::average(&scores[2..]), "v_se_percent"), None);
        assert!(Score::average(&[]).is_empty());
    }

    #[test]
    fn a_record_against_itself_has_no_error() {
        let mut beats = Annotations::of_beats(
            (1..400).map(|i| (i * 900, if i % 7 < 2 { BeatClass::V } else { BeatClass::N })).collect(),
        );
        beats.af = vec![Span::new(310_000, 350_000)];
        let score = Score::of("a", Rate::whole_hz(1000), 360_000, &beats, &beats, &Rules::EC57);
        let figures = score.figures();
        for name in ["qrs_se_percent", "v_pp_percent", "v_couplet_se_percent", "af_duration_se_percent"] {
            assert_eq!(named(&figures, name), Some(100.0), "{name}");
        }
        for name in ["rr_rms_ms", "heart_rate_rms_bpm", "offset_ms", "af_false_min_per_24h"] {
            assert_eq!(named(&figures, name), Some(0.0), "{name}");
        }
    }
}
