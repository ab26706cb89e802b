//! How clear a P wave stands before each beat. The tracing before the QRS is compared with that of the beats
//! around: P waves repeat at the same place and add up, the waves of atrial fibrillation do not. Before an
//! early beat the P wave lies in the T wave: only beats after a long interval, for the rhythm around, are
//! compared with.

use rayon::prelude::*;

use super::calibration::{LEAST_P_MEAN_BEATS, P_REACH_BEATS, SHORT_INTERVAL};
use crate::classify::calibration::NO_ENERGY;
use crate::classify::shapes::calibration::P_STEPS;
use crate::classify::shapes::shape::Shapes;
use crate::model::BeatClass;

/// How clear a P wave stands before each beat, 0 to 1: the likeness of the tracing before its QRS to the mean
/// of its neighbours, times how much the neighbours agree. `None` where too few neighbours can be compared.
/// Beats that `guess` takes for ectopic, and those after a short interval, do not enter the mean.
pub fn p_before(shapes: &Shapes, guess: &[BeatClass], rr: &[f32]) -> Vec<Option<f32>> {
    let shows: Vec<bool> = (0..guess.len())
        .into_par_iter()
        .map_init(Vec::new, |around, i| guess[i] == BeatClass::N && !is_short(rr, i, around))
        .collect();
    (0..guess.len())
        .into_par_iter()
        .map_init(
            || vec![0.0f32; P_STEPS * shapes.leads()],
            |mean, i| {
                let near = i.saturating_sub(P_REACH_BEATS)..(i + P_REACH_BEATS + 1).min(guess.len());
                let others = near.filter(|j| *j != i && shows[*j]);
                let agree = agreement(shapes, others, mean)?;
                Some(cosine(shapes.p_stretch(i), mean) * agree.sqrt())
            },
        )
        .collect()
}

/// True when the interval before beat `i` is short among those around it.
fn is_short(rr: &[f32], i: usize, around: &mut Vec<f32>) -> bool {
    around.clear();
    let near = i.saturating_sub(P_REACH_BEATS)..(i + P_REACH_BEATS + 1).min(rr.len());
    around.extend(rr[near].iter().filter(|r| r.is_finite()));
    let upper = around.len() * 3 / 4;
    around.len() >= LEAST_P_MEAN_BEATS
        && rr[i] < SHORT_INTERVAL * *around.select_nth_unstable_by(upper, f32::total_cmp).1
}

/// Mean of the beats' tracing before the QRS into `mean`; gives how far they agree: the mean correlation of
/// two of them, weighted by energy, 0 to 1.
fn agreement(shapes: &Shapes, beats: impl Iterator<Item = usize>, mean: &mut [f32]) -> Option<f32> {
    mean.fill(0.0);
    let (mut n, mut energy) = (0usize, 0.0f32);
    for j in beats {
        let before = shapes.p_stretch(j);
        energy += before.iter().map(|v| v * v).sum::<f32>();
        mean.iter_mut().zip(before).for_each(|(m, v)| *m += v);
        n += 1;
    }
    if n < LEAST_P_MEAN_BEATS || energy <= 0.0 {
        return None;
    }
    let sum_energy: f32 = mean.iter().map(|v| v * v).sum();
    mean.iter_mut().for_each(|m| *m /= n as f32);
    Some(pair_agreement(sum_energy, energy, n as f32))
}

/// Mean correlation of two of `beats` tracings, weighted by energy, 0 to 1, from the energy of their sum and
/// the sum of their energies.
pub fn pair_agreement(of_sum: f32, energy: f32, beats: f32) -> f32 {
    // |sum|^2 = sum of energies + sum over pairs of inner products.
    ((of_sum - energy) / (energy * (beats - 1.0).max(1.0))).clamp(0.0, 1.0)
}

fn cosine(a: &[f32], b: &[f32]) -> f32 {
    let dot: f32 = a.iter().zip(b).map(|(a, b)| a * b).sum();
    let norm = |x: &[f32]| x.iter().map(|v| v * v).sum::<f32>();
    (dot / (norm(a) * norm(b)).sqrt().max(NO_ENERGY)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn among_atrial_runs_only_beats_after_a_pause_show_their_p_wave_and_at_a_steady_rate_all_do() {
        let shows =
            |rr: &[f32]| (0..rr.len()).filter(|i| !is_short(rr, *i, &mut Vec::new())).collect::<Vec<_>>();
        let runs = [820.0, 800.0, 830.0, 560.0, 440.0, 900.0, 810.0, 600.0, 410.0, 390.0, 610.0, 905.0];
        assert_eq!(shows(&runs), [0, 1, 2, 5, 6, 11]);
        let steady: Vec<f32> = (0..40).map(|i| 800.0 + 60.0 * (i as f32).sin()).collect();
        assert_eq!(shows(&steady).len(), 40);
    }
}
