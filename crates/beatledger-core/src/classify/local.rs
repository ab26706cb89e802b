//! Numbers from the beats around a beat: which of them look like it, how they came, and how its QRS begins.

use super::features::{Facts, Row};
use super::form::cosine;
use super::shape::{BEFORE, SHIFT, STEP_MS, STEPS, distance_at, lead_distances};

/// Beats on each side that are compared.
const REACH: usize = 12;
/// Beats on each side among whose intervals the own one takes its rank.
const RANKED: usize = 20;
/// Beats this far apart share their say by a factor of e.
const ALIKE: f32 = 0.12;
/// Steps over which the beginning of the QRS is compared: 48 ms.
const BEGINS: usize = 6;

/// Puts the numbers of beat `i` into its row.
pub fn put(facts: &Facts<'_>, i: usize, row: &mut Row) {
    ranks(facts, i, row);
    alike(facts, i, row);
    beginning(facts, i, row);
}

fn ranks(facts: &Facts<'_>, i: usize, row: &mut Row) {
    let rr = facts.rr;
    let near = &rr[i.saturating_sub(RANKED)..(i + RANKED + 1).min(rr.len())];
    let rank = |own: Option<f32>| {
        let Some(own) = own.filter(|r| r.is_finite()) else { return 0.5 };
        let (all, below) = near.iter().filter(|r| r.is_finite()).fold((0u32, 0.0f32), |(all, below), r| {
            (all + 1, below + if *r < own { 1.0 } else { 0.5 * f32::from(u8::from(*r == own)) })
        });
        below / all.max(1) as f32
    };
    let seconds = |v: Option<f32>| v.filter(|v| v.is_finite()).map_or(0.8, |v| (v / 1000.0).min(3.0));
    let (own, next) = (rr.get(i).copied(), rr.get(i + 1).copied());
    row.put(&[
        rank(own),
        rank(next),
        seconds(own),
        seconds(next),
        seconds(Some(facts.known.when[i].sinus_ms)),
    ]);
}

fn alike(facts: &Facts<'_>, i: usize, row: &mut Row) {
    let (shapes, when) = (facts.shapes, &facts.known.when);
    let (own, weights) = (shapes.of(i), shapes.weights(i));
    let (mut nearest, mut next, mut say, mut early, mut all) = (2.0f32, 2.0f32, 0.0f32, 0.0f32, 0u32);
    for j in (i.saturating_sub(REACH)..(i + REACH + 1).min(facts.rr.len())).filter(|j| *j != i) {
        let d = distance_at(own, shapes.of(j), weights, SHIFT).min(2.0);
        if d < nearest {
            (nearest, next) = (d, nearest);
        } else {
            next = next.min(d);
        }
        let w = (-d / ALIKE).exp();
        say += w;
        all += 1;
        early += w * f32::from(u8::from(when[j].early.is_some_and(|e| e > 0.12)));
    }
    let dominant = &facts.known.clusters[facts.verdicts.dominant].mean;
    let best = lead_distances(own, dominant, weights, SHIFT).fold(2.0f32, f32::min);
    let normals = facts.around.normals(i);
    let like = normals.iter().flatten().map(|j| cosine(own, shapes.of(*j), weights, SHIFT));
    row.put(&[nearest, next, say / all.max(1) as f32, early / (say + 0.3), best, like.fold(-1.0, f32::max)]);
}

/// How the first 48 ms of the QRS compare with those of the dominant shape and of the normal beats near:
/// aberrant conduction begins as the normal one does, a ventricular beat does not.
fn beginning(facts: &Facts<'_>, i: usize, row: &mut Row) {
    let (shapes, weights) = (facts.shapes, facts.shapes.weights(i));
    let own = (shapes.of(i), facts.on_ms[i].unwrap_or(facts.usual_on_ms));
    let dominant = (facts.known.clusters[facts.verdicts.dominant].mean.as_slice(), facts.usual_on_ms);
    let (like, energy) = compare(own, dominant, weights);
    let near = facts.around.normals(i);
    let near = near.iter().flatten().filter_map(|j| Some((shapes.of(*j), facts.on_ms[*j]?)));
    let best = near.map(|other| compare(own, other, weights).0).fold(-1.0f32, f32::max);
    row.put(&[like, energy, best]);
}

fn compare(a: (&[f32], f32), b: (&[f32], f32), weights: &[f32]) -> (f32, f32) {
    let at = |on_ms: f32| {
        let step = BEFORE as f32 + on_ms / STEP_MS as f32;
        step.clamp(0.0, (STEPS - BEGINS - 1) as f32).round() as usize
    };
    let (from_a, from_b) = (at(a.1), at(b.1));
    let (mut ab, mut aa, mut bb) = (0.0f32, 1e-6f32, 1e-6f32);
    for (lead, weight) in weights.iter().enumerate() {
        let (a, b) = (&a.0[lead * STEPS + from_a..], &b.0[lead * STEPS + from_b..]);
        for k in 1..=BEGINS {
            let (x, y) = (a[k] - a[0], b[k] - b[0]);
            ab += weight * x * y;
            aa += weight * x * x;
            bb += weight * y * y;
        }
    }
    (ab / (aa * bb).sqrt(), (aa / bb).ln().clamp(-4.0, 4.0))
}
