//! Who belongs to which group now, and the waveforms of some members.

use beatledger_core::condition;
use beatledger_core::model::{Beat, BeatClass, Group, Span};
use beatledger_core::session::Snapshot;

/// Members whose waveforms are overlaid in a cell, spread evenly over the group.
const OVERLAID: usize = 40;
/// Groups found with fewer beats than this stand behind all others.
pub const FEW: u32 = 3;
/// Leads shown in a cell.
pub const LEADS: usize = 3;

/// Beats by group, as they stand.
#[derive(Default)]
pub struct BeatsByGroup {
    /// Groups with beats, in the order of the grid.
    pub order: Vec<usize>,
    /// Samples of the beats of each group, sorted.
    pub members: Vec<Vec<i64>>,
    /// Beats of each group by present class.
    pub counts: Vec<[u32; 5]>,
    /// Beats of each group that a reader changed.
    pub changed: Vec<u32>,
    /// Beats that belong to no group.
    pub alone: usize,
    /// Lowest and highest value of the means of every lead shown, mV: the scale of all cells.
    pub range_mv: [(f32, f32); LEADS],
}

impl BeatsByGroup {
    /// Sorts the beats of a day into their groups.
    pub fn of(snapshot: &Snapshot) -> Self {
        let groups = &snapshot.found.groups;
        let mut index = Self {
            members: vec![Vec::new(); groups.len()],
            counts: vec![[0; 5]; groups.len()],
            changed: vec![0; groups.len()],
            range_mv: [(-0.5, 1.0); LEADS],
            ..Self::default()
        };
        for beat in snapshot.beats.iter() {
            let group = beat.group as usize;
            let Some(members) = index.members.get_mut(group) else {
                index.alone += 1;
                continue;
            };
            members.push(beat.sample);
            index.counts[group][beat.class.index()] += 1;
            index.changed[group] += u32::from(beat.is_changed());
        }
        index.order = (0..groups.len()).filter(|g| !index.members[*g].is_empty()).collect();
        index.order.sort_by_key(|g| (groups[*g].count < FEW, rank(groups[*g].class), *g));
        for (lead, range) in index.range_mv.iter_mut().enumerate() {
            let sign = sign(snapshot, lead);
            let means = groups.iter().filter_map(|g| g.mean_mv.get(lead)).flatten();
            for mv in means.filter(|v| v.is_finite()) {
                *range = (range.0.min(sign * mv), range.1.max(sign * mv));
            }
            *range = (range.0.max(-4.0) - 0.1, range.1.min(4.0) + 0.1);
        }
        index
    }

    /// How many beats of each group are selected; `selected` is sorted.
    pub fn selected(&self, beats: &[Beat], selected: &[i64]) -> Vec<u32> {
        let mut counts = vec![0; self.members.len()];
        let mut wanted = selected.iter().peekable();
        for beat in beats {
            while wanted.next_if(|s| **s < beat.sample).is_some() {}
            if wanted.next_if(|s| **s == beat.sample).is_some()
                && let Some(count) = counts.get_mut(beat.group as usize)
            {
                *count += 1;
            }
            if wanted.peek().is_none() {
                break;
            }
        }
        counts
    }
}

/// -1 for a lead that is drawn upside down.
pub fn sign(snapshot: &Snapshot, lead: usize) -> f32 {
    if snapshot.inverted.get(lead).copied().unwrap_or(false) { -1.0 } else { 1.0 }
}

/// Waveforms of some members as drawn, mV, per lead shown; inverted where the lead is.
pub struct Traces {
    /// Lead, member, value.
    pub leads: Vec<Vec<Vec<f32>>>,
}

impl Traces {
    /// Reads members spread evenly over `samples`.
    pub fn read(snapshot: &Snapshot, samples: &[i64]) -> Self {
        let recording = &snapshot.recording;
        let before = recording.rate.samples_from_ms(Group::BEFORE_MS);
        let after = recording.rate.samples_from_ms(Group::AFTER_MS);
        let count = samples.len().min(OVERLAID);
        let chosen: Vec<i64> = (0..count).map(|i| samples[i * samples.len() / count]).collect();
        let leads = (0..recording.leads.len().min(LEADS))
            .map(|lead| {
                let sign = sign(snapshot, lead);
                let read = |sample: &i64| {
                    let mut mv = Vec::new();
                    let span = Span::new(sample - before, sample + after);
                    condition::display_mv(recording, lead, span, &snapshot.settings, &mut mv);
                    mv.iter_mut().for_each(|v| *v *= sign);
                    mv
                };
                chosen.iter().map(read).collect()
            })
            .collect();
        Self { leads }
    }
}

/// Rank of a class on the grid: what is not normal comes first.
fn rank(class: BeatClass) -> usize {
    let order = [BeatClass::V, BeatClass::F, BeatClass::S, BeatClass::Q, BeatClass::N];
    order.iter().position(|c| *c == class).unwrap_or(order.len())
}
