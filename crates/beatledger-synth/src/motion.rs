//! Lost signal: which leads cannot be read when, and the deflections of motion that imitate beats.

use beatledger_core::model::Span;

use crate::plan::{Lost, Plan};
use crate::random::{Purpose, Random};

/// One deflection of motion on one lead: a Gaussian.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fake {
    pub(crate) at_s: f64,
    pub(crate) sigma_s: f64,
    pub(crate) mv: f64,
    pub(crate) lead: usize,
}

/// No part of a deflection lies further than this from its place, s.
pub(crate) const FAKE_REACH_S: f64 = 1.6;

/// Per lead, the stretches with motion or without contact, in samples, sorted and disjoint.
pub(crate) fn lost_spans(plan: &Plan, leads: usize, rate_hz: u32) -> Vec<Vec<Span>> {
    let rate = i64::from(rate_hz);
    (0..leads)
        .map(|lead| {
            let of_lead = plan.lost.iter().filter(|l| l.leads >> lead & 1 == 1);
            Span::merged(of_lead.map(|l| Span::new(l.start_s * rate, l.end_s * rate)).collect(), 0)
        })
        .collect()
}

/// The stretches that all leads share.
pub(crate) fn unreadable_spans(lost: &[Vec<Span>]) -> Vec<Span> {
    let Some((first, rest)) = lost.split_first() else { return Vec::new() };
    let shared = rest.iter().fold(first.clone(), |all, lead| {
        all.iter().flat_map(|a| lead.iter().map(|b| a.overlap(*b))).filter(|s| !s.is_empty()).collect()
    });
    Span::merged(shared, 0)
}

/// All deflections of a plan, sorted by place.
pub(crate) fn fakes(plan: &Plan, leads: usize, seed: u64) -> Vec<Fake> {
    let mut out = Vec::new();
    for (i, lost) in plan.lost.iter().enumerate() {
        let mut random = Random::new(seed, Purpose::Motion, i as u64);
        let of_burst: Vec<usize> = (0..leads).filter(|lead| lost.leads >> lead & 1 == 1).collect();
        if !lost.off {
            burst(lost, &of_burst, &mut random, &mut out);
        }
    }
    out.sort_by(|a, b| a.at_s.total_cmp(&b.at_s).then(a.lead.cmp(&b.lead)));
    out
}

/// A burst: sharp deflections the width of a QRS and slow humps, two to seven a second, larger than the beats.
fn burst(lost: &Lost, leads: &[usize], random: &mut Random, out: &mut Vec<Fake>) {
    let mut at_s = lost.start_s as f64 + 0.15;
    let last_s = lost.end_s as f64 - 0.35;
    while at_s < last_s {
        let sharp = random.happens(0.6);
        let (sigma_s, size_mv) = if sharp {
            (random.between(0.012, 0.034), random.between(0.7, 2.2) * random.sign())
        } else {
            (random.between(0.07, 0.28), random.between(0.4, 1.6) * random.sign())
        };
        // Nothing reaches far out of the burst: what is called readable is.
        let room_s = (at_s - lost.start_s as f64).min(lost.end_s as f64 - at_s);
        let sigma_s = sigma_s.min(room_s / 2.5);
        for lead in leads {
            let mv = size_mv * random.between(0.4, 1.25) * if random.happens(0.2) { -1.0 } else { 1.0 };
            out.push(Fake { at_s, sigma_s, mv, lead: *lead });
            if sharp {
                let back = -mv * random.between(0.2, 0.7);
                out.push(Fake { at_s: at_s + 2.3 * sigma_s, sigma_s: sigma_s * 1.2, mv: back, lead: *lead });
            }
        }
        at_s += random.between(0.13, 0.48);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_every_lead_loses_is_unreadable() {
        let lost = vec![
            vec![Span::new(0, 100), Span::new(200, 300)],
            vec![Span::new(50, 250)],
            vec![Span::new(60, 80), Span::new(90, 1000)],
        ];
        let expected = vec![Span::new(60, 80), Span::new(90, 100), Span::new(200, 250)];
        assert_eq!(unreadable_spans(&lost), expected);
        assert_eq!(unreadable_spans(&[vec![Span::new(0, 9)], vec![]]), vec![]);
    }
}
