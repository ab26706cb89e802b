//! The figures of a bare list of beat times: those of a day that need neither tracing nor classes.

use super::day::summarise;
use crate::measure::rr_list::RrDay;
use crate::model::{Beat, Event, Needs, Span, Summary};
use crate::rhythm;
use crate::settings::Settings;

/// The summary of beats at `beats_ms`, ms from any zero, with holes `gaps_ms` (from, to) on the same clock: the same
/// code as for a day. It holds no strips, and of the figures only those that need neither tracing nor classes.
/// Times that are no number or do not rise are left out ([`RrDay::left_out`] counts them); an empty list gives
/// figures that say why they are not there.
pub fn rr_list(beats_ms: &[f64], gaps_ms: &[(f64, f64)], settings: &Settings) -> Summary {
    rr_list_day(beats_ms, gaps_ms, settings).summary
}

/// What a list gives beside its figures, at a microsecond a sample from its first beat.
#[derive(Clone, Debug)]
pub struct RrListDay {
    /// The figures.
    pub summary: Summary,
    /// Its beats, every one taken as N.
    pub beats: Vec<Beat>,
    /// What its intervals tell: no pause among them.
    pub events: Vec<Event>,
    /// Gaps, and intervals as long as a pause: without a tracing nobody can tell one from lost contact.
    pub unreadable: Vec<Span>,
}

/// The same with the beats, events and gaps.
pub fn rr_list_day(beats_ms: &[f64], gaps_ms: &[(f64, f64)], settings: &Settings) -> RrListDay {
    let mut gaps = gaps_ms.to_vec();
    let long = beats_ms.windows(2).filter(|w| w[1] - w[0] >= settings.pause_ms);
    gaps.extend(long.map(|w| (w[0], w[1])));
    let day = RrDay::new(beats_ms, &gaps);
    let reading = day.reading(settings);
    let events = rhythm::events(&reading);
    let mut summary = summarise(&reading, &events, &[]);
    summary.figures.retain(|f| f.id.row().needs == Needs::Times);
    summary.strips.clear();
    RrListDay { summary, beats: reading.beats.to_vec(), events, unreadable: reading.unreadable.to_vec() }
}

#[cfg(test)]
mod tests {
    use beatledger_testkit::Random;

    use super::*;
    use crate::model::{EventKind, FigureId, FigureValue};

    fn beats(rr_ms: &[f64]) -> Vec<f64> {
        let mut at = 12_345.678;
        let mut beats = vec![at];
        beats.extend(rr_ms.iter().map(|ms| (at += ms, at).1));
        beats
    }

    fn near(found: &Summary, id: FigureId, expected: f64, tolerance: f64) {
        let value = found.number(id);
        assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{id:?}: {value:?} not {expected}");
    }

    /// Definitions of the Task Force 1996 worked by hand on ten intervals.
    #[test]
    fn ten_intervals_of_a_list_give_the_values_worked_by_hand() {
        let rr = [800., 810., 790., 860., 750., 820., 805., 795., 900., 780.];
        let found = rr_list(&beats(&rr), &[], &Settings::default());
        near(&found, FigureId::SdnnMs, 42.0846, 1e-3);
        near(&found, FigureId::RmssdMs, 73.1437, 1e-3);
        near(&found, FigureId::Nn50, 5.0, 0.0);
        near(&found, FigureId::Pnn50Percent, 50.0, 1e-9);
        near(&found, FigureId::TriangularIndex, 5.0, 1e-9);
        near(&found, FigureId::MeanBpm, 73.9827, 1e-3);
        assert!(found.figure(FigureId::VBeats).is_none() && found.strips.is_empty());
    }

    #[test]
    fn no_interval_reaches_across_a_gap() {
        let all = beats(&[800.0; 40]);
        let found = rr_list(&all, &[(all[10] + 1.0, all[10] + 700.0)], &Settings::default());
        near(&found, FigureId::NnPercent, 100.0, 0.0);
        assert!((found.number(FigureId::ReadablePercent).unwrap() - 97.8).abs() < 0.1);
    }

    /// Without a tracing nobody can tell a pause from lost contact.
    #[test]
    fn a_long_interval_of_a_list_is_a_gap_and_no_pause() {
        let mut rr = [800.0; 400];
        rr[200] = 45_000.0;
        let found = rr_list_day(&beats(&rr), &[], &Settings::default());
        assert!(found.events.iter().all(|e| e.kind != EventKind::Pause));
        near(&found.summary, FigureId::LongestRrMs, 800.0, 0.1);
        assert_eq!((found.unreadable.len(), found.beats.len()), (1, 401));
    }

    #[test]
    fn fibrillation_in_a_list_withholds_its_variability() {
        let mut random = Random::new(1);
        let rr: Vec<f64> = (0..4000).map(|_| 350.0 + 600.0 * random.share()).collect();
        let found = rr_list(&beats(&rr), &[], &Settings::default());
        let why = &found.figure(FigureId::SdnnMs).unwrap().value;
        assert!(matches!(why, FigureValue::NotComputable(why) if why.contains("fibrillation")), "{why:?}");
    }

    #[test]
    fn times_that_are_none_are_left_out_and_counted() {
        let list = [f64::NAN, 0.0, 800.0, 800.0, 400.0, 1600.0, f64::INFINITY, 1e300, 2400.0];
        assert_eq!(RrDay::new(&list, &[(f64::NAN, 1.0), (5.0, -5.0)]).left_out(), 5);
        near(&rr_list(&list, &[], &Settings::default()), FigureId::MeanBpm, 75.0, 1e-9);
        let nothing = rr_list(&[], &[], &Settings::default());
        assert!(matches!(nothing.figure(FigureId::SdnnMs).unwrap().value, FigureValue::NotComputable(_)));
    }
}
