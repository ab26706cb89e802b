//! Supraventricular runs go on: once an ectopic focus has taken over, its beats are no longer early against
//! each other, but they are against the sinus interval before the run.

use super::calibration::{SHORT_RUN_BEATS, UNEVEN_RUN_BEATS};
use super::prematurity::BeatTiming;
use super::rr_runs::{is_even, is_run};
use crate::model::BeatClass;
use crate::settings::Settings;

/// Labels normal beats that continue a supraventricular run as S, while their interval stays early against
/// the sinus interval before the run. A longer stretch is left, unless it is a run by [`is_run`] and most of
/// its beats are S already: noise that imitates fast beats is even too. In the `last` round a run of more
/// than [`UNEVEN_RUN_BEATS`] beats must be even in any case: fibrillation that begins there is not.
pub fn extend(
    classes: &mut [BeatClass],
    rr: &[f32],
    timings: &[BeatTiming],
    settings: &Settings,
    last: bool,
) {
    let limit = 1.0 - settings.prematurity_percent as f32 / 100.0;
    let mut i = 1;
    while i < classes.len() {
        let starts = classes[i] == BeatClass::S && classes[i - 1] != BeatClass::S && !timings[i].irregular;
        if !starts {
            i += 1;
            continue;
        }
        let sinus = timings[i].sinus_ms;
        let end = (i + 1..classes.len())
            .find(|j| {
                let early = rr[*j] <= limit * sinus;
                !early || !matches!(classes[*j], BeatClass::N | BeatClass::S)
            })
            .unwrap_or(classes.len());
        let falls_back = rr.get(end).is_some_and(|r| r.is_finite());
        let ectopic = classes[i..end].iter().filter(|c| **c == BeatClass::S).count();
        let is_short =
            end - i <= SHORT_RUN_BEATS && (!last || end - i <= UNEVEN_RUN_BEATS || is_even(&rr[i + 1..end]));
        if (falls_back && is_short) || (2 * ectopic > end - i && is_run(rr, i, end)) {
            classes[i..end].fill(BeatClass::S);
        }
        i = end.max(i + 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_run_that_falls_back_is_ectopic_to_its_last_early_beat() {
        let mut rr = vec![800.0f32; 30];
        rr[10..18].fill(430.0);
        let timings: Vec<BeatTiming> =
            rr.iter().map(|_| BeatTiming { sinus_ms: 800.0, ..BeatTiming::default() }).collect();
        let mut classes = vec![BeatClass::N; 30];
        classes[10] = BeatClass::S;
        extend(&mut classes, &rr, &timings, &Settings::default(), true);
        let found: Vec<usize> = (0..30).filter(|i| classes[*i] == BeatClass::S).collect();
        assert_eq!(found, (10..18).collect::<Vec<_>>());
    }

    #[test]
    fn fibrillation_that_begins_after_an_early_beat_does_not_continue_a_run() {
        let mut rr = vec![1000.0f32; 60];
        (10..40).for_each(|i| rr[i] = 480.0 + ((i * 7919) % 300) as f32);
        let timings: Vec<BeatTiming> =
            rr.iter().map(|_| BeatTiming { sinus_ms: 1000.0, ..BeatTiming::default() }).collect();
        let mut classes = vec![BeatClass::N; 60];
        classes[10] = BeatClass::S;
        extend(&mut classes, &rr, &timings, &Settings::default(), true);
        assert_eq!(classes.iter().filter(|c| **c == BeatClass::S).count(), 1);
    }

    #[test]
    fn a_tachycardia_cut_off_by_a_gap_needs_most_of_its_beats_to_be_ectopic_by_themselves() {
        let mut rr = vec![800.0f32; 60];
        rr[20..50].fill(430.0);
        rr[50] = f32::NAN;
        let timings: Vec<BeatTiming> =
            rr.iter().map(|_| BeatTiming { sinus_ms: 800.0, ..BeatTiming::default() }).collect();
        let extended = |ectopic: usize| {
            let mut classes = vec![BeatClass::N; 60];
            classes[20..20 + ectopic].fill(BeatClass::S);
            extend(&mut classes, &rr, &timings, &Settings::default(), true);
            classes.iter().filter(|c| **c == BeatClass::S).count()
        };
        assert_eq!(extended(20), 30);
        assert_eq!(extended(3), 3);
    }
}
