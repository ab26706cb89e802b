//! Class and confidence from shape, width, P wave and timing.
//!
//! A cluster is judged first: all its members look alike, so they say together what one alone could not.
//! Each beat is then judged by its cluster and by its own timing. The weights are design choices, looked at
//! on open annotated records; every term is kept as evidence.

use super::cluster::{Cluster, level_weights};
use super::fusion;
use super::shape::{SHIFT, distance, distance_at};
use super::timing::When;
use crate::model::{BeatClass, Evidence};
use crate::settings::Settings;

/// What is known of every beat before it gets a class.
pub struct Known<'a> {
    /// Timing.
    pub when: &'a [When],
    /// QRS width, ms.
    pub width_ms: &'a [Option<f32>],
    /// How clear a P wave stands before it, 0 to 1.
    pub p_before: &'a [Option<f32>],
    /// Cluster of each beat.
    pub member_of: &'a [u32],
    /// The clusters, largest first.
    pub clusters: &'a [Cluster],
    /// Signal quality at each beat on its best lead, 0 to 1.
    pub quality: &'a [f32],
    /// Number of leads.
    pub leads: usize,
}

/// What a cluster is like.
#[derive(Clone, Debug)]
pub struct Judged {
    /// Distance of its mean to the dominant shape.
    pub apart: f32,
    /// How ventricular its shape and width are: positive speaks for V.
    pub shape_score: f32,
    /// How ventricular the timing of its members is.
    pub timing_score: f32,
    /// True when its mean is a blend of the dominant and a ventricular shape.
    pub fusion: bool,
    /// Number of members.
    pub count: u32,
    /// Share of its members that come clearly early.
    pub early_share: f32,
    /// Usual QRS width of its members, ms.
    pub width_ms: f32,
    /// How clear P waves stand before its members, 0 to 1.
    pub p_before: f32,
}

/// What all clusters are like, and which is the dominant one.
pub struct Verdicts {
    /// One a cluster.
    pub judged: Vec<Judged>,
    /// Index of the dominant cluster.
    pub dominant: usize,
}

/// Judges every cluster.
pub fn judge(known: &Known<'_>, settings: &Settings) -> Verdicts {
    let members = members(known);
    let early: Vec<f32> = members.iter().map(|m| early_share(known, m)).collect();
    let dominant = dominant(known, &early);
    let weights = level_weights(known.clusters.get(dominant), known.leads);
    let usual_p = members.get(dominant).and_then(|m| mean_p(known, m)).unwrap_or(0.0);
    let usual_ms = usual_width(known, members.get(dominant).map_or(&[], Vec::as_slice)).unwrap_or(90.0);
    let mut judged: Vec<Judged> = known
        .clusters
        .iter()
        .enumerate()
        .map(|(c, cluster)| {
            let apart = distance(&cluster.mean, &known.clusters[dominant].mean, &weights).0;
            let width = usual_width(known, &members[c]).unwrap_or(usual_ms);
            let p = mean_p(known, &members[c]).unwrap_or(usual_p);
            let wider = width - usual_ms.max(settings.wide_qrs_ms as f32 - 30.0);
            let shape_score = (5.0 * (apart - 0.3)).clamp(-2.0, 2.0)
                + ((wider - 15.0) / 12.0).clamp(-1.5, 1.5)
                + 1.5 * (usual_p - p)
                - 0.2;
            // One or two beats of a shape may be noise: their shape says less.
            let shape_score = shape_score * (cluster.count as f32 / 4.0).min(1.0).mul_add(0.4, 0.6);
            let timing_score = (4.0 * (early[c] - 0.4)).clamp(-1.6, 2.0);
            Judged {
                apart,
                shape_score,
                timing_score,
                fusion: false,
                count: cluster.count,
                early_share: early[c],
                width_ms: width,
                p_before: p,
            }
        })
        .collect();
    mark_fusion(known, &mut judged, dominant, &weights, &early);
    Verdicts { judged, dominant }
}

fn members(known: &Known<'_>) -> Vec<Vec<u32>> {
    let mut members = vec![Vec::new(); known.clusters.len()];
    for (i, c) in known.member_of.iter().enumerate() {
        members[*c as usize].push(i as u32);
    }
    members
}

/// Share of the members that come clearly early; members in irregular stretches do not speak.
fn early_share(known: &Known<'_>, members: &[u32]) -> f32 {
    let timed =
        members.iter().map(|i| &known.when[*i as usize]).filter(|w| w.early.is_some() && !w.irregular);
    let (all, early) = timed.fold((0u32, 0u32), |(all, early), w| {
        (all + 1, early + u32::from(w.early.is_some_and(|e| e > 0.12)))
    });
    if all == 0 { 0.4 } else { early as f32 / all as f32 }
}

/// Two clusters this far apart share their say by a factor of e.
const KIN: f32 = 0.12;
/// How many of the largest clusters may be dominant.
const CANDIDATES: usize = 12;

/// The dominant shape: most beats that come on time, its own and those of clusters that look nearly the same.
/// Noise cuts the normal beats in many clusters; a ventricular shape that it leaves whole is not dominant by that.
fn dominant(known: &Known<'_>, early: &[f32]) -> usize {
    let clusters = known.clusters;
    let on_time = |c: usize| clusters[c].count as f32 * (1.0 - early[c]);
    let mut largest: Vec<usize> = (0..clusters.len()).collect();
    largest.sort_by(|a, b| on_time(*b).total_cmp(&on_time(*a)).then(a.cmp(b)));
    let weights = level_weights(largest.first().map(|c| &clusters[*c]), known.leads);
    let with_kin = |c: usize| -> f32 {
        let likeness = |k: usize| match k == c {
            true => 1.0,
            false => (-distance_at(&clusters[c].mean, &clusters[k].mean, &weights, SHIFT) / KIN).exp(),
        };
        (0..clusters.len()).map(|k| likeness(k) * on_time(k)).sum()
    };
    // The first of equals is the larger one.
    let mut best = (f32::MIN, 0);
    for c in largest.into_iter().take(CANDIDATES) {
        let beats = with_kin(c);
        if beats > best.0 {
            best = (beats, c);
        }
    }
    best.1
}

fn usual_width(known: &Known<'_>, members: &[u32]) -> Option<f32> {
    let every = (members.len() / 300).max(1);
    let mut widths: Vec<f32> =
        members.iter().step_by(every).filter_map(|i| known.width_ms[*i as usize]).collect();
    (!widths.is_empty()).then(|| super::timing::median(&mut widths))
}

fn mean_p(known: &Known<'_>, members: &[u32]) -> Option<f32> {
    let every = (members.len() / 300).max(1);
    let seen: Vec<f32> = members.iter().step_by(every).filter_map(|i| known.p_before[*i as usize]).collect();
    (!seen.is_empty()).then(|| seen.iter().sum::<f32>() / seen.len() as f32)
}

/// Marks clusters whose mean is a blend of the dominant shape and that of a clearly ventricular cluster.
fn mark_fusion(known: &Known<'_>, judged: &mut [Judged], dominant: usize, weights: &[f32], early: &[f32]) {
    let ventricular: Vec<usize> = (0..judged.len())
        .filter(|c| judged[*c].shape_score + judged[*c].timing_score > 1.5 && judged[*c].count >= 3)
        .take(6)
        .collect();
    for c in 0..judged.len() {
        let between = (0.05..0.8).contains(&judged[c].apart) && early[c] < 0.5 && c != dominant;
        let rare = judged[c].count * 3 < known.clusters[dominant].count;
        judged[c].fusion = between
            && rare
            && ventricular.iter().filter(|v| **v != c).any(|v| {
                let means = [c, dominant, *v].map(|k| known.clusters[k].mean.as_slice());
                fusion::is_blend(means, weights)
            });
    }
}

/// How ventricular beat `i` is: positive is V. A large cluster speaks for its members, a beat alone for itself.
pub fn ventricular(known: &Known<'_>, judged: &[Judged], i: usize) -> f32 {
    let cluster = &judged[known.member_of[i] as usize];
    let when = &known.when[i];
    let early = when.early.unwrap_or(0.0);
    let own_timing = if when.irregular { 0.0 } else { (8.0 * (early - 0.12)).clamp(-2.4, 1.6) };
    let trust = (cluster.count as f32 / 8.0).min(1.0) * 0.6;
    let timing = trust * cluster.timing_score + (1.0 - trust) * own_timing;
    // In noise a shape that nothing else has is noise.
    let clear = if cluster.count < 8 { known.quality[i].max(0.15) } else { 1.0 };
    cluster.shape_score * clear + timing - 0.6
}

/// Class of beat `i` by rules alone; S here is no more than early.
pub fn decide(known: &Known<'_>, judged: &[Judged], i: usize, settings: &Settings) -> BeatClass {
    let when = &known.when[i];
    if judged[known.member_of[i] as usize].fusion && when.early.unwrap_or(0.0) < 0.2 {
        return BeatClass::F;
    }
    if ventricular(known, judged, i) > 0.0 {
        return BeatClass::V;
    }
    let threshold = settings.prematurity_percent as f32 / 100.0;
    let threshold = if when.irregular { threshold + 0.2 } else { threshold };
    if when.early.is_some_and(|e| e >= threshold) { BeatClass::S } else { BeatClass::N }
}

/// What is kept of why beat `i` got its class.
pub fn evidence(known: &Known<'_>, judged: &[Judged], i: usize) -> Evidence {
    Evidence {
        prematurity: known.when[i].early,
        pause_after: known.when[i].after,
        width_ms: known.width_ms[i],
        shape_distance: judged[known.member_of[i] as usize].apart,
        p_before: known.p_before[i],
        quality: known.quality[i],
        paced: false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::STEPS;
    use super::*;

    #[test]
    fn normal_beats_that_noise_cut_in_three_stay_dominant_over_one_large_ventricular_shape() {
        let shape = |width: f32, shift: f32| -> Vec<f32> {
            (0..STEPS).map(|k| (-((k as f32 - 20.0 - shift) / width).powi(2)).exp()).collect()
        };
        let cluster = |mean: Vec<f32>, count: u32| Cluster { mean, count };
        let clusters = [
            cluster(shape(9.0, 0.0).iter().map(|v| -v).collect(), 400),
            cluster(shape(2.0, 0.0), 300),
            cluster(shape(2.2, 0.1), 290),
            cluster(shape(1.9, 0.2), 280),
        ];
        let known = Known {
            when: &[],
            width_ms: &[],
            p_before: &[],
            member_of: &[],
            clusters: &clusters,
            quality: &[],
            leads: 1,
        };
        assert_ne!(dominant(&known, &[0.3, 0.0, 0.0, 0.0]), 0);
        assert_ne!(dominant(&known, &[0.0, 0.0, 0.0, 0.0]), 0, "though none comes early");
        assert_eq!(dominant(&known, &[0.0, 1.0, 1.0, 1.0]), 0, "narrow beats that are all early");
    }
}
