//! Which lead a beat is looked at on.

use crate::model::{Quality, Recording};

/// Leads, clearest first, by the sum of their quality scores.
pub fn lead_order(quality: &Quality, leads: usize) -> Vec<usize> {
    let sum =
        |l: usize| quality.leads.get(l).map_or(0, |q| q.score.iter().map(|s| u64::from(*s)).sum::<u64>());
    let mut order: Vec<usize> = (0..leads).collect();
    order.sort_by_key(|l| (std::cmp::Reverse(sum(*l)), *l));
    order
}

/// The first lead of `order` that is readable at `sample`; the first of all when none is.
pub fn readable_lead(recording: &Recording, quality: &Quality, order: &[usize], sample: i64) -> usize {
    let second = recording.rate.seconds_from_samples(sample).max(0.0) as usize;
    let is_readable =
        |l: &usize| quality.leads.get(*l).and_then(|q| q.kind.get(second)).is_none_or(|k| k.is_readable());
    order.iter().copied().find(is_readable).or(order.first().copied()).unwrap_or(0)
}
