//! Features of when a beat comes, and of what the rules made of it and its neighbours.

use super::calibration::{
    LEAST_EARLY, LEAST_SPREAD, MOST_EARLY_OVER_SPREAD, MOST_RR_RATIO, MOST_RR_S, RANK_REACH_BEATS,
    UNKNOWN_RR_S,
};
use super::inputs::FeatureInputs;
use super::row::{RowBuilder, finite, one_if};
use super::schema::Feature;
use crate::classify::calibration::MS_PER_S;
use crate::model::BeatClass;

/// Sets the features of beat `i` that this file knows.
pub fn set(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    prematurity(inputs, i, row);
    intervals(inputs, i, row);
    surroundings(inputs, i, row);
    rule_classes(inputs, i, row);
}

/// Prematurity of a beat; 0 where it is not known or there is no such beat.
fn early_of_beat(inputs: &FeatureInputs<'_>, i: Option<usize>) -> f32 {
    let early = i.and_then(|i| inputs.facts.timings.get(i)).and_then(|t| t.early);
    early.map_or(0.0, |e| e.clamp(LEAST_EARLY, 1.0))
}

fn prematurity(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let context = inputs.context;
    let of_beat = |i: Option<usize>| early_of_beat(inputs, i);
    let against = |base_ms: f32| finite(1.0 - inputs.rr[i] / base_ms, 0.0).clamp(LEAST_EARLY, 1.0);
    let early = of_beat(Some(i));
    let over_spread = early / context.spread[i].max(LEAST_SPREAD);
    row.set(Feature::Early, early);
    row.set(Feature::PreviousEarly, of_beat(i.checked_sub(1)));
    row.set(Feature::NextEarly, of_beat(Some(i + 1)));
    row.set(Feature::EarlyTwoBefore, of_beat(i.checked_sub(2)));
    row.set(Feature::EarlyTwoAfter, of_beat(Some(i + 2)));
    row.set(Feature::EarlyOfTrend, against(context.trend_ms[i]));
    row.set(Feature::EarlyOfLastNn, against(context.last_nn_ms[i]));
    row.set(Feature::EarlyOfRecent, against(context.recent_ms[i]));
    row.set(Feature::EarlyOfWide, against(context.wide_ms[i]));
    row.set(Feature::EarlyOverSpread, over_spread.clamp(-MOST_EARLY_OVER_SPREAD, MOST_EARLY_OVER_SPREAD));
}

fn intervals(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (rr, timing) = (inputs.rr, &inputs.facts.timings[i]);
    let at = |j: Option<usize>| j.and_then(|j| rr.get(j)).copied().unwrap_or(f32::NAN);
    let (own, previous, next) = (rr[i], at(i.checked_sub(1)), at(Some(i + 1)));
    let ratio = |ratio: f32| finite(ratio, 1.0).min(MOST_RR_RATIO);
    row.set(Feature::RrAfter, timing.rr_after.map_or(1.0, |after| after.min(MOST_RR_RATIO)));
    row.set(Feature::RrOverNext, ratio(own / next));
    row.set(Feature::RrOverPrevious, ratio(own / previous));
    row.set(Feature::RrPair, ratio((own + next) / (2.0 * timing.sinus_ms)));
    row.set(Feature::RrRank, rank(rr, i, own));
    row.set(Feature::NextRrRank, rank(rr, i, next));
    row.set(Feature::RrS, seconds(own));
    row.set(Feature::NextRrS, seconds(next));
    row.set(Feature::SinusS, seconds(timing.sinus_ms));
}

/// Share of the intervals around beat `i` that are shorter than `own`, equal ones counted half.
fn rank(rr: &[f32], i: usize, own: f32) -> f32 {
    if !own.is_finite() {
        return 0.5;
    }
    let around = &rr[i.saturating_sub(RANK_REACH_BEATS)..(i + RANK_REACH_BEATS + 1).min(rr.len())];
    let (all, below) = around.iter().filter(|r| r.is_finite()).fold((0u32, 0.0f32), |(all, below), r| {
        (all + 1, below + if *r < own { 1.0 } else { 0.5 * one_if(*r == own) })
    });
    below / all.max(1) as f32
}

fn seconds(ms: f32) -> f32 {
    if ms.is_finite() { (ms / MS_PER_S as f32).min(MOST_RR_S) } else { UNKNOWN_RR_S }
}

fn surroundings(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let context = inputs.context;
    row.set(Feature::Spread, context.spread[i]);
    row.set(Feature::JumpsNear, context.jumps_near[i]);
    row.set(Feature::JumpsFar, context.jumps_far[i]);
    row.set(Feature::JumpsAfter, context.jumps_after[i]);
    row.set_if(Feature::Irregular, inputs.is_irregular(i));
}

fn rule_classes(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let is = |j: Option<usize>, is_class: fn(BeatClass) -> bool| {
        j.and_then(|j| inputs.classes.get(j)).is_some_and(|c| is_class(*c))
    };
    let is_s: fn(BeatClass) -> bool = |c| c == BeatClass::S;
    let is_v: fn(BeatClass) -> bool = BeatClass::is_ventricular;
    let (previous, next) = (i.checked_sub(1), Some(i + 1));
    row.set_if(Feature::RuleS, is(Some(i), is_s));
    row.set_if(Feature::RuleV, is(Some(i), is_v));
    row.set_if(Feature::PreviousV, is(previous, is_v));
    row.set_if(Feature::NextV, is(next, is_v));
    row.set_if(Feature::PreviousS, is(previous, is_s));
    row.set_if(Feature::NextS, is(next, is_s));
}
