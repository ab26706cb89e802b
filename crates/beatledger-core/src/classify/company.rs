//! What the members of a cluster have in common, and those of clusters that look nearly the same: a cluster cut
//! in many by noise still speaks as one.

use super::decide::{Known, Verdicts};
use super::form::Form;
use super::shape::{SHIFT, distance_at};

/// Two clusters this far apart share their say by a factor of e.
const KIN: f32 = 0.12;

/// What is common to the members of one cluster.
#[derive(Clone, Copy, Debug, Default)]
pub struct Company {
    /// Share of all beats.
    pub share: f32,
    /// Mean prematurity of members with a known interval outside irregular stretches.
    pub early: f32,
    /// Mean of RR after over the sinus interval.
    pub after: f32,
    /// Share of members whose neighbour on either side is of the same cluster.
    pub runs: f32,
    /// Share of the beats of all nearly same clusters that come clearly early.
    pub kin_early: f32,
    /// Share of all beats in nearly same clusters.
    pub kin_share: f32,
    /// Clearness of P waves before them.
    pub kin_p: f32,
    /// Their QRS width, ms.
    pub kin_width_ms: f32,
    /// Mean prematurity of all members.
    pub early_all: f32,
    /// Share of all members that come clearly early.
    pub early_share_all: f32,
    /// Mean distance of the members' RR from their mean, as a share of it: ectopy keeps its coupling interval.
    pub rr_spread: f32,
    /// `early_share_all` over all nearly same clusters.
    pub kin_early_all: f32,
    /// `rr_spread` over all nearly same clusters.
    pub kin_rr_spread: f32,
    /// How the mean shape is.
    pub form: Form,
}

/// Looks at every cluster; `weights` level the leads.
pub fn companies(known: &Known<'_>, verdicts: &Verdicts, weights: &[f32], rr: &[f32]) -> Vec<Company> {
    let mut all = gather(known, rr);
    let beats = known.member_of.len().max(1) as f32;
    for (company, cluster) in all.iter_mut().zip(known.clusters) {
        company.share = cluster.count as f32 / beats;
        company.form = Form::of(&cluster.mean, weights);
    }
    for c in 0..all.len() {
        let (mut total, mut early, mut p, mut width) = (1e-9f32, 0.0f32, 0.0f32, 0.0f32);
        let (mut early_all, mut spread) = (0.0f32, 0.0f32);
        for (k, other) in known.clusters.iter().enumerate() {
            let apart =
                if k == c { 0.0 } else { distance_at(&known.clusters[c].mean, &other.mean, weights, SHIFT) };
            if apart > 4.0 * KIN {
                continue;
            }
            let say = other.count as f32 * (-apart / KIN).exp();
            total += say;
            early += say * verdicts.judged[k].early_share;
            p += say * verdicts.judged[k].p_before;
            early_all += say * all[k].early_share_all;
            spread += say * all[k].rr_spread;
            width += say * verdicts.judged[k].width_ms;
        }
        all[c].kin_early = early / total;
        all[c].kin_share = total / beats;
        all[c].kin_early_all = early_all / total;
        all[c].kin_rr_spread = spread / total;
        all[c].kin_p = p / total;
        all[c].kin_width_ms = width / total;
    }
    all
}

fn gather(known: &Known<'_>, rr: &[f32]) -> Vec<Company> {
    let mut all = vec![Company::default(); known.clusters.len()];
    let mut seen = vec![[0u32; 2]; all.len()];
    let mut sums = vec![(0u32, 0.0f64, 0u32); all.len()];
    for (i, c) in known.member_of.iter().enumerate().filter(|(i, _)| rr[*i].is_finite()) {
        let sum = &mut sums[*c as usize];
        (sum.0, sum.1) = (sum.0 + 1, sum.1 + f64::from(rr[i]));
    }
    for (i, c) in known.member_of.iter().enumerate() {
        let (company, seen, when) = (&mut all[*c as usize], &mut seen[*c as usize], &known.when[i]);
        if let Some(early) = when.early {
            company.early_all += early.clamp(-1.0, 1.0);
            company.early_share_all += f32::from(u8::from(early > 0.12));
            sums[*c as usize].2 += 1;
        }
        let sum = &sums[*c as usize];
        if rr[i].is_finite() {
            let mean = (sum.1 / f64::from(sum.0.max(1))) as f32;
            company.rr_spread += (rr[i] / mean - 1.0).abs().min(1.0) / sum.0.max(1) as f32;
        }
        if let Some(early) = when.early.filter(|_| !when.irregular) {
            company.early += early.clamp(-1.0, 1.0);
            seen[0] += 1;
        }
        if let Some(after) = when.after.filter(|_| !when.irregular) {
            company.after += after.min(3.0);
            seen[1] += 1;
        }
        let same = |j: Option<usize>| j.and_then(|j| known.member_of.get(j)) == Some(c);
        company.runs += f32::from(u8::from(same(i.checked_sub(1)) || same(Some(i + 1))));
    }
    for (((company, seen), sum), cluster) in all.iter_mut().zip(seen).zip(sums).zip(known.clusters) {
        company.early_all /= sum.2.max(1) as f32;
        company.early_share_all /= sum.2.max(1) as f32;
        company.early /= seen[0].max(1) as f32;
        company.after = if seen[1] == 0 { 1.0 } else { company.after / seen[1] as f32 };
        company.runs /= cluster.count.max(1) as f32;
    }
    all
}
