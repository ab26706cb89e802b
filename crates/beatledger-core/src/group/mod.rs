//! Beats to groups of the same shape, class and timing: what a reader relabels with one key.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::classify::Labels;
use crate::condition;
use crate::model::{BeatClass, Group, Progress, Recording, Span, Timing};
use crate::settings::Settings;

/// Members whose mean is drawn as the group's waveform, at most; evenly taken over the day.
const DRAWN: usize = 120;

/// Puts every beat into a group; gives the group of each beat and the groups, largest first.
pub fn group(
    recording: &Recording,
    settings: &Settings,
    samples: &[i64],
    labels: &Labels,
    progress: &Progress,
) -> (Vec<u32>, Vec<Group>) {
    let mut members: BTreeMap<(u32, BeatClass, u8), Vec<u32>> = BTreeMap::new();
    for i in 0..samples.len() {
        let key = (labels.shapes[i], labels.classes[i], timing(labels, i, settings) as u8);
        members.entry(key).or_default().push(i as u32);
    }
    let mut sorted: Vec<_> = members.into_iter().collect();
    sorted.sort_by_key(|(key, members)| (std::cmp::Reverse(members.len()), *key));
    let mut group_of = vec![0u32; samples.len()];
    for (g, (_, members)) in sorted.iter().enumerate() {
        members.iter().for_each(|i| group_of[*i as usize] = g as u32);
    }
    let groups = sorted
        .par_iter()
        .map(|((_, class, when), members)| Group {
            class: *class,
            timing: [Timing::OnTime, Timing::Early, Timing::Late][usize::from(*when)],
            count: members.len() as u32,
            mean_mv: if progress.is_cancelled() {
                Vec::new()
            } else {
                mean_waveform(recording, settings, samples, members)
            },
        })
        .collect();
    (group_of, groups)
}

fn timing(labels: &Labels, i: usize, settings: &Settings) -> Timing {
    let early = labels.evidence[i].prematurity.unwrap_or(0.0);
    let limit = settings.prematurity_percent as f32 / 100.0;
    if early >= limit {
        Timing::Early
    } else if early <= -2.0 * limit {
        Timing::Late
    } else {
        Timing::OnTime
    }
}

/// Mean waveform of each lead over at most [`DRAWN`] members; samples missing in one member do not count.
fn mean_waveform(
    recording: &Recording,
    settings: &Settings,
    samples: &[i64],
    members: &[u32],
) -> Vec<Vec<f32>> {
    let before = recording.rate.samples_from_ms(Group::BEFORE_MS);
    let after = recording.rate.samples_from_ms(Group::AFTER_MS);
    let every = members.len().div_ceil(DRAWN).max(1);
    let mut mv = Vec::new();
    (0..recording.leads.len())
        .map(|lead| {
            let mut sum = vec![0.0f32; (before + after) as usize];
            let mut seen = vec![0u32; sum.len()];
            for i in members.iter().step_by(every) {
                let at = samples[*i as usize];
                condition::display_mv(recording, lead, Span::new(at - before, at + after), settings, &mut mv);
                for ((sum, seen), v) in sum.iter_mut().zip(&mut seen).zip(&mv) {
                    if v.is_finite() {
                        *sum += v;
                        *seen += 1;
                    }
                }
            }
            sum.iter().zip(&seen).map(|(s, n)| if *n > 0 { s / *n as f32 } else { f32::NAN }).collect()
        })
        .collect()
}
