//! Shapes to clusters: each beat joins the cluster whose mean is nearest, or starts a new one.

use super::calibration::{
    EXACT_MEAN_MEMBERS, LEAST_ENERGY, MERGED_CLUSTERS, MOST_CLUSTERS, SAME_CLUSTER, SHIFT, STEPS,
    SURELY_SAME_CLUSTER, TOO_FAR_TO_SHIFT,
};
use super::distance::{distance, distance_at};
use super::shape::Shapes;

/// One cluster.
#[derive(Clone, Debug)]
pub struct Cluster {
    /// Mean shape, leads one after the other.
    pub mean: Vec<f32>,
    /// Number of members.
    pub count: u32,
}

/// Cluster of each beat, and the clusters, largest first.
pub fn clusters(shapes: &Shapes, beats: usize) -> (Vec<u32>, Vec<Cluster>) {
    let mut clusters: Vec<Cluster> = Vec::new();
    let mut order: Vec<usize> = Vec::new();
    let mut member_of = vec![0u32; beats];
    for (i, member) in member_of.iter_mut().enumerate() {
        let chosen = nearest(shapes, i, &clusters, &order);
        let at = match chosen {
            Some((at, d, shift)) if d < SAME_CLUSTER || clusters.len() >= MOST_CLUSTERS => {
                add_member(&mut clusters[at], shapes.of(i), shift, shapes.leads());
                at
            }
            _ => {
                clusters.push(Cluster { mean: shapes.of(i).to_vec(), count: 1 });
                order.push(clusters.len() - 1);
                clusters.len() - 1
            }
        };
        *member = at as u32;
        bring_forward(&mut order, &clusters, at);
    }
    merge_similar(member_of, clusters, shapes.leads())
}

/// Keeps `order` sorted by size, largest first, after cluster `at` grew by one.
fn bring_forward(order: &mut [usize], clusters: &[Cluster], at: usize) {
    let Some(mut place) = order.iter().position(|c| *c == at) else { return };
    while place > 0 && clusters[order[place - 1]].count < clusters[at].count {
        order.swap(place - 1, place);
        place -= 1;
    }
}

fn nearest(shapes: &Shapes, i: usize, clusters: &[Cluster], order: &[usize]) -> Option<(usize, f32, i32)> {
    let (shape, weights) = (shapes.of(i), shapes.weights(i));
    let mut best: Option<(usize, f32, i32)> = None;
    for at in order {
        let mean = &clusters[*at].mean;
        // Far away without a shift is far away with one: the shift only mends small misalignment.
        let rough = distance_at(shape, mean, weights, SHIFT);
        if rough > TOO_FAR_TO_SHIFT {
            continue;
        }
        let (d, shift) =
            if rough < SURELY_SAME_CLUSTER { (rough, 0) } else { distance(shape, mean, weights) };
        if best.is_none_or(|b| d < b.1) {
            best = Some((*at, d, shift));
        }
        if d < SURELY_SAME_CLUSTER {
            break;
        }
    }
    best
}

/// Moves the mean towards a new member: an exact mean of the first members, a slow one from then on.
fn add_member(cluster: &mut Cluster, shape: &[f32], shift: i32, leads: usize) {
    cluster.count += 1;
    let share = 1.0 / cluster.count.min(EXACT_MEAN_MEMBERS) as f32;
    for lead in 0..leads {
        for k in 0..STEPS {
            // The mean lies `shift` steps later than the shape; steps beyond the edge keep their value.
            let from = k as i32 - shift;
            if (0..STEPS as i32).contains(&from) {
                let mean = &mut cluster.mean[lead * STEPS + k];
                *mean += share * (shape[lead * STEPS + from as usize] - *mean);
            }
        }
    }
}

/// Merges clusters that look the same, smaller into larger, and numbers them by size.
fn merge_similar(mut member_of: Vec<u32>, clusters: Vec<Cluster>, leads: usize) -> (Vec<u32>, Vec<Cluster>) {
    let mut by_size: Vec<usize> = (0..clusters.len()).collect();
    by_size.sort_by_key(|c| (std::cmp::Reverse(clusters[*c].count), *c));
    let weights = level_weights(clusters.get(by_size.first().copied().unwrap_or(0)), leads);
    let mut kept: Vec<Cluster> = Vec::new();
    let mut new_of = vec![0u32; clusters.len()];
    for at in by_size {
        let same = kept
            .iter()
            .enumerate()
            .map(|(k, c)| (k, distance(&clusters[at].mean, &c.mean, &weights).0))
            .filter(|(_, d)| *d < MERGED_CLUSTERS)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        new_of[at] = match same {
            Some((k, _)) => {
                kept[k].count += clusters[at].count;
                k as u32
            }
            None => {
                kept.push(clusters[at].clone());
                kept.len() as u32 - 1
            }
        };
    }
    member_of.iter_mut().for_each(|m| *m = new_of[*m as usize]);
    (member_of, kept)
}

/// Lead weights for comparing means: one over the energy of the largest cluster's lead.
pub fn level_weights(largest: Option<&Cluster>, leads: usize) -> Vec<f32> {
    (0..leads)
        .map(|lead| {
            let energy: f32 =
                largest.map_or(1.0, |c| c.mean[lead * STEPS..(lead + 1) * STEPS].iter().map(|v| v * v).sum());
            1.0 / energy.max(LEAST_ENERGY)
        })
        .collect()
}
