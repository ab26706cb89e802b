//! When ventricular beats come: coupling, R on T, interpolation, and ectopy by waking hours and night.

use super::Day;
use super::intervals::Intervals;
use super::rate::nights;
use crate::model::BeatClass;

/// Coupling intervals of the day: from an N beat to the V beat after it, outside atrial fibrillation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Coupling {
    /// The V beats: indices.
    pub beats: Vec<u32>,
    /// Mean interval, ms.
    pub mean_ms: Option<f64>,
    /// Standard deviation (n - 1), ms; `None` below two.
    pub sd_ms: Option<f64>,
    /// Shortest and longest, ms.
    pub range_ms: Option<(f64, f64)>,
}

/// V beats that follow an N beat without a hole, outside atrial fibrillation.
fn coupled<'d>(day: &'d Day<'_>) -> impl Iterator<Item = usize> + 'd {
    let columns = &day.columns;
    (1..columns.len()).filter(move |i| {
        columns.classes[*i] == BeatClass::V
            && columns.classes[*i - 1] == BeatClass::N
            && columns.joined(*i)
            && !day.in_af[*i]
    })
}

/// Mean and spread of the coupling intervals.
pub fn coupling(day: &Day<'_>) -> Coupling {
    let beats: Vec<u32> = coupled(day).map(|i| i as u32).collect();
    let ms = || beats.iter().map(|i| f64::from(day.columns.rr_ms[*i as usize]));
    let n = beats.len() as f64;
    let mean = ms().sum::<f64>() / n;
    let squares = ms().map(|x| (x - mean).powi(2)).sum::<f64>();
    Coupling {
        mean_ms: (n > 0.0).then_some(mean),
        sd_ms: (n > 1.0).then(|| (squares / (n - 1.0)).sqrt()),
        range_ms: ms().map(|x| (x, x)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))),
        beats,
    }
}

/// V beats that come before the set share of the QT of their five minutes has passed since the QRS onset of the
/// N beat before (Lown and Wolf 1971: QR' / QT below 0.85); indices. The mean QT is taken because T of the very
/// beat is hidden by the ventricular one. `None` where no QT was measured.
pub fn r_on_t(day: &Day<'_>, intervals: &Intervals) -> Option<Vec<u32>> {
    if intervals.windows.is_empty() {
        return None;
    }
    let rate = day.reading().recording.rate;
    let is_on_t = |i: &usize| {
        let (before, at) = (&day.reading().beats[*i - 1], day.columns.samples[*i]);
        let after = intervals.windows.partition_point(|w| w.span.start <= before.sample);
        let window = after.checked_sub(1).map(|w| &intervals.windows[w]);
        let qt_ms = window.filter(|w| w.span.contains(before.sample)).map(|w| w.qt_ms);
        let onset = before.waves.qrs_on.map(|on| before.sample + i64::from(on));
        let early =
            |onset: i64, qt: f64| rate.ms_from_samples(at - onset) < day.reading().settings.r_on_t_ratio * qt;
        onset.zip(qt_ms).is_some_and(|(onset, qt)| early(onset, qt))
    };
    Some(coupled(day).filter(is_on_t).map(|i| i as u32).collect())
}

/// V beats that stand between two N beats whose distance is about the sinus interval before them: indices.
pub fn interpolated(day: &Day<'_>) -> Vec<u32> {
    let columns = &day.columns;
    let share = day.reading().settings.interpolated_percent / 100.0;
    let is_between = |i: &usize| {
        let i = *i;
        let sinus = i >= 2 && columns.joined(i - 1) && columns.classes[i - 2] == BeatClass::N;
        if !sinus || !columns.joined(i + 1) || columns.classes[i + 1] != BeatClass::N {
            return false;
        }
        let sinus_ms = f64::from(columns.rr_ms[i - 1]);
        let around_ms = f64::from(columns.rr_ms[i]) + f64::from(columns.rr_ms[i + 1]);
        (around_ms - sinus_ms).abs() <= share * sinus_ms
    };
    coupled(day).filter(is_between).map(|i| i as u32).collect()
}

/// Beats of `class` in the waking hours and in the night: indices. `None` without a start time.
pub fn by_day_and_night(day: &Day<'_>, class: BeatClass) -> Option<(Vec<u32>, Vec<u32>)> {
    day.reading().recording.start?;
    let nights = nights(day.reading());
    let in_night = |i: &u32| nights.iter().any(|n| n.contains(day.columns.samples[*i as usize]));
    let all = (0..day.columns.len() as u32).filter(|i| day.columns.classes[*i as usize] == class);
    let (night, waking) = all.partition(in_night);
    Some((waking, night))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::intervals::intervals;
    use crate::model::Waves;
    use crate::rhythm::testing::{Made, made};

    fn with_day<T>(day: &Made, of: impl Fn(&Day<'_>) -> T) -> T {
        of(&Day::new(&day.reading(), &[]))
    }

    #[test]
    fn coupling_is_measured_from_normal_beats_only() {
        let day = made("NNVNNVVNSVN", &[800, 500, 1100, 800, 520, 400, 900, 600, 450, 900]);
        let found = with_day(&day, coupling);
        assert_eq!((found.beats, found.mean_ms), (vec![2, 5], Some(510.0)));
        assert!((found.sd_ms.unwrap() - 200f64.sqrt()).abs() < 1e-9);
        assert_eq!(found.range_ms, Some((500.0, 520.0)));
        assert_eq!(with_day(&made("NNN", &[800]), coupling), Coupling::default());
    }

    #[test]
    fn a_beat_between_two_sinus_beats_is_interpolated() {
        let found = |pause| with_day(&made("NNVNNN", &[800, 420, pause, 800, 800]), interpolated);
        assert_eq!(found(400), [2]);
        assert_eq!(found(460), [2]);
        assert_eq!(found(462), [0u32; 0]);
        assert_eq!(found(1180), [0u32; 0]);
    }

    /// A QT of 400 ms: 0.85 of it is 340 ms after the onset, which is 40 ms before the R peak.
    #[test]
    fn a_beat_on_the_t_wave_is_a_candidate() {
        let found = |coupling: i64| {
            let letters = "N".repeat(50) + "V" + &"N".repeat(50);
            let mut rr = vec![800; 100];
            rr[49] = coupling;
            let mut day = made(&letters, &rr);
            for beat in &mut day.beats {
                beat.evidence.quality = 1.0;
                beat.waves =
                    Waves { qrs_on: Some(-40), qrs_off: Some(50), t_off: Some(360), ..Waves::default() };
            }
            let found = day.found_averaged(Waves { qrs_on: Some(-40), t_off: Some(360), ..Waves::default() });
            let reading = day.reading().with_found(&found);
            let laid = Day::new(&reading, &[]);
            r_on_t(&laid, &intervals(&laid))
        };
        assert_eq!((found(299), found(301)), (Some(vec![50]), Some(vec![])));
        assert_eq!(with_day(&made("NNV", &[800, 300]), |d| r_on_t(d, &intervals(d))), None);
    }

    #[test]
    fn ectopy_is_told_apart_by_the_clock() {
        let day = made(&"NNNV".repeat(3600), &[1000]).starting_at(6 * 3_600_000);
        let (waking, night) = with_day(&day, |d| by_day_and_night(d, BeatClass::V)).unwrap();
        assert_eq!((waking.len(), night.len()), (2700, 900));
        assert_eq!(with_day(&made("NV", &[1000]), |d| by_day_and_night(d, BeatClass::V)), None);
    }
}
