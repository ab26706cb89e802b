//! The rest of the numbers: form, company and neighbours, which tell ventricular beats.

use super::company::{Company, companies};
use super::decide::{Known, Verdicts, ventricular};
use super::features::{Facts, Row};
use super::form::{Form, cosine};
use super::shape::{SHIFT, Shapes, distance_at};
use super::timing::Share;

/// What is made once for all beats.
pub struct More {
    companies: Vec<Company>,
    /// Ventricular score of each beat by the rules.
    pub scores: Vec<f32>,
    odd: Share,
    ventricular: Share,
    irregular_share: f32,
    usual: Form,
}

impl More {
    /// Looks at clusters and neighbourhoods.
    pub fn of(known: &Known<'_>, verdicts: &Verdicts, weights: &[f32], rr: &[f32]) -> Self {
        let n = known.member_of.len();
        let scores: Vec<f32> = (0..n).map(|i| ventricular(known, &verdicts.judged, i)).collect();
        let apart = |i: usize| verdicts.judged[known.member_of[i] as usize].apart.min(1.5);
        let companies = companies(known, verdicts, weights, rr);
        let irregular = known.when.iter().filter(|w| w.irregular).count();
        Self {
            odd: Share::of((0..n).map(|i| Some(apart(i)))),
            ventricular: Share::of(scores.iter().map(|s| Some(f32::from(u8::from(*s > 0.0))))),
            irregular_share: irregular as f32 / n.max(1) as f32,
            usual: companies.get(verdicts.dominant).map(|c| c.form).unwrap_or_default(),
            companies,
            scores,
        }
    }

    fn near(of: &Share, i: usize, reach: usize, n: usize) -> f32 {
        of.mean(i.saturating_sub(reach), (i + reach + 1).min(n), 1).unwrap_or(0.0)
    }
}

/// Puts the numbers of beat `i` into its row.
pub fn put(facts: &Facts<'_>, more: &More, i: usize, row: &mut Row) {
    form(facts, more, i, row);
    neighbours(facts, more, i, row);
    company(facts, more, i, row);
}

fn form(facts: &Facts<'_>, more: &More, i: usize, row: &mut Row) {
    let (shape, weights) = (facts.shapes.of(i), facts.shapes.weights(i));
    let (known, verdicts, usual) = (facts.known, facts.verdicts, &more.usual);
    let dominant = &known.clusters[verdicts.dominant].mean;
    let group = known.member_of[i] as usize;
    let judged = &verdicts.judged[group];
    let own = Form::of(shape, weights);
    let like = (0..=2 * SHIFT).map(|s| cosine(shape, dominant, weights, s)).fold(-1.0, f32::max);
    row.put(&[
        like,
        (own.length_ms / usual.length_ms.max(1.0)).ln().clamp(-3.0, 3.0),
        own.length_ms,
        (own.speed / usual.speed.max(1e-3)).ln().clamp(-3.0, 3.0),
        own.speed,
        own.polarity * usual.polarity.signum(),
        (own.polarity - usual.polarity) * usual.polarity.signum(),
        // Weights at a beat carry the quality of the leads, those of the dominant shape do not.
        (own.energy - Form::of(dominant, weights).energy).clamp(-5.0, 5.0),
        own.peak,
        known.width_ms[i].unwrap_or(judged.width_ms),
        judged.width_ms,
        verdicts.judged[verdicts.dominant].width_ms,
        known.quality[i],
        more.scores[i],
        judged.shape_score,
        judged.timing_score,
    ]);
}

fn neighbours(facts: &Facts<'_>, more: &More, i: usize, row: &mut Row) {
    let (shapes, n) = (facts.shapes, facts.rr.len());
    let before = i.checked_sub(1);
    let next = (i + 1 < n).then_some(i + 1);
    let apart = |j: Option<usize>| {
        j.map_or(0.5, |j| distance_at(shapes.of(i), shapes.of(j), shapes.weights(i), SHIFT).min(2.0))
    };
    let of_group = |j: Option<usize>| {
        j.map_or(0.5, |j| facts.verdicts.judged[facts.known.member_of[j] as usize].apart.min(2.0))
    };
    let score = |j: Option<usize>| j.map_or(-2.0, |j| more.scores[j].clamp(-6.0, 6.0));
    let length = |j: Option<usize>| {
        let of = |shapes: &Shapes, j: usize| Form::of(shapes.of(j), shapes.weights(j)).length_ms;
        j.map_or(1.0, |j| of(shapes, i) / of(shapes, j).max(1.0)).clamp(0.1, 10.0).ln()
    };
    row.put(&[
        apart(before),
        apart(next),
        of_group(before),
        of_group(next),
        score(before),
        score(next),
        length(before),
        length(next),
    ]);
}

fn company(facts: &Facts<'_>, more: &More, i: usize, row: &mut Row) {
    let group = facts.known.member_of[i] as usize;
    let (own, judged) = (&more.companies[group], &facts.verdicts.judged[group]);
    let usual = &more.companies[facts.verdicts.dominant];
    let n = facts.rr.len();
    row.put(&[
        own.share.max(1e-5).ln(),
        own.early,
        own.after,
        own.runs,
        own.kin_early,
        own.kin_share.max(1e-5).ln(),
        own.kin_p,
        own.kin_width_ms,
        judged.p_before,
        facts.verdicts.judged[facts.verdicts.dominant].p_before,
        usual.kin_share,
        usual.form.length_ms,
        usual.form.speed,
        (own.form.length_ms / more.usual.length_ms.max(1.0)).max(0.05).ln(),
        (own.form.speed / more.usual.speed.max(1e-3)).max(0.05).ln(),
        (own.form.energy - more.usual.energy).clamp(-5.0, 5.0),
        f32::from(u8::from(judged.fusion)),
        More::near(&more.odd, i, 10, n),
        More::near(&more.odd, i, 60, n),
        More::near(&more.ventricular, i, 10, n),
        More::near(&more.ventricular, i, n, n),
        more.irregular_share,
        own.early_all,
        own.early_share_all,
        own.rr_spread,
        own.kin_early_all,
        own.kin_rr_spread,
    ]);
}

/// Median of a value over the members of a cluster that have one.
pub fn usual(known: &Known<'_>, cluster: usize, values: &[Option<f32>]) -> Option<f32> {
    let of = |(i, c): (usize, &u32)| values[i].filter(|_| *c as usize == cluster);
    let mut own: Vec<f32> = known.member_of.iter().enumerate().filter_map(of).collect();
    (!own.is_empty()).then(|| super::timing::median(&mut own))
}
