//! The figures of a bare list of beat times: those of a day that need neither tracing nor classes.

use super::summarise;
use crate::measure::rr_list::RrDay;
use crate::model::Summary;
use crate::rhythm;
use crate::settings::Settings;

/// Families that a list can fill.
const FAMILIES: [&str; 5] = ["Readable time", "Rate", "Pauses", "Variability", "Variability spectrum"];
/// Single figures of other families that a list can fill.
const KEYS: [&str; 5] = ["af_episodes", "af_min", "af_percent", "af_longest_min", "deceleration_capacity_ms"];

/// The summary of beats at `beats_ms`, ms from any zero, with holes `gaps_ms` (from, to) on the same clock: the same
/// code as for a day. It holds no strips, and of the figures only those that need neither tracing nor classes.
/// Times that are no number or do not rise are left out ([`RrDay::left_out`] counts them); an empty list gives
/// figures that say why they are not there.
pub fn rr_list(beats_ms: &[f64], gaps_ms: &[(f64, f64)], settings: &Settings) -> Summary {
    let day = RrDay::new(beats_ms, gaps_ms);
    let reading = day.reading(settings);
    let mut summary = summarise(&reading, &rhythm::events(&reading), &[]);
    summary.figures.retain(|f| FAMILIES.contains(&f.family) || KEYS.contains(&f.key));
    summary.strips.clear();
    summary
}

#[cfg(test)]
mod tests {
    use beatledger_testkit::Random;

    use super::*;
    use crate::model::FigureValue;

    fn beats(rr_ms: &[f64]) -> Vec<f64> {
        let mut at = 12_345.678;
        let mut beats = vec![at];
        beats.extend(rr_ms.iter().map(|ms| (at += ms, at).1));
        beats
    }

    fn near(found: &Summary, key: &str, expected: f64, tolerance: f64) {
        let value = found.number(key);
        assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{key}: {value:?} not {expected}");
    }

    /// Definitions of the Task Force 1996 worked by hand on ten intervals.
    #[test]
    fn ten_intervals_of_a_list_give_the_values_worked_by_hand() {
        let rr = [800., 810., 790., 860., 750., 820., 805., 795., 900., 780.];
        let found = rr_list(&beats(&rr), &[], &Settings::default());
        near(&found, "sdnn_ms", 42.0846, 1e-3);
        near(&found, "rmssd_ms", 73.1437, 1e-3);
        near(&found, "nn50", 5.0, 0.0);
        near(&found, "pnn50_percent", 50.0, 1e-9);
        near(&found, "triangular_index", 5.0, 1e-9);
        near(&found, "mean_bpm", 73.9827, 1e-3);
        assert!(found.figure("v_beats").is_none() && found.strips.is_empty());
    }

    #[test]
    fn no_interval_reaches_across_a_gap() {
        let all = beats(&[800.0; 40]);
        let found = rr_list(&all, &[(all[10] + 1.0, all[10] + 700.0)], &Settings::default());
        near(&found, "nn_percent", 100.0, 0.0);
        assert!((found.number("readable_percent").unwrap() - 97.8).abs() < 0.1);
    }

    #[test]
    fn fibrillation_in_a_list_withholds_its_variability() {
        let mut random = Random::new(1);
        let rr: Vec<f64> = (0..4000).map(|_| 350.0 + 600.0 * random.share()).collect();
        let found = rr_list(&beats(&rr), &[], &Settings::default());
        let why = &found.figure("sdnn_ms").unwrap().value;
        assert!(matches!(why, FigureValue::NotComputable(why) if why.contains("fibrillation")), "{why:?}");
    }

    #[test]
    fn times_that_are_none_are_left_out_and_counted() {
        let list = [f64::NAN, 0.0, 800.0, 800.0, 400.0, 1600.0, f64::INFINITY, 1e300, 2400.0];
        assert_eq!(RrDay::new(&list, &[(f64::NAN, 1.0), (5.0, -5.0)]).left_out(), 5);
        near(&rr_list(&list, &[], &Settings::default()), "mean_bpm", 75.0, 1e-9);
        let nothing = rr_list(&[], &[], &Settings::default());
        assert!(matches!(nothing.figure("sdnn_ms").unwrap().value, FigureValue::NotComputable(_)));
    }
}
