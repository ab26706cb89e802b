//! How many beats of a class there may truly be: the range of a count.
//!
//! Each beat has a chance of being of the class, from the confidence of its label; the number of a sum of such chances follows a
//! Poisson-binomial distribution, here by its mean and variance. Beats of one shape group are right or wrong together, so that
//! their variance is larger (intra-class correlation), and a share of the beats of a class looks like no other beat and is
//! missed. What a reader has said is certain.
//!
//! The chances and the three spreads were set on what was not used for training: the excerpts of the QT Database that are not
//! of MIT-BIH Arrhythmia, and record 800 of the Supraventricular one. On records that nobody has looked at they are not proven.

use std::collections::BTreeMap;

use super::Day;
use crate::model::{Beat, BeatClass, Certainty, Doubt, Origin};
use crate::statistics::{Curve, on_curve};

/// What is known of one class: curves from the confidence of a label to a chance.
struct Known {
    /// Chance that a beat of this label is of the class.
    right: Curve,
    /// Chance that a beat labelled N is of the class.
    missed: Curve,
    /// Correlation of the beats of one group.
    together: f64,
    /// Share of the class that looks like no beat of it.
    hidden: f64,
}

const OF_V: Known = Known {
    right: &[(0.3, 0.4), (0.6, 0.45), (0.8, 0.7), (0.9, 0.86), (0.97, 0.975), (1.0, 0.985)],
    missed: &[(0.5, 0.12), (0.75, 0.06), (0.85, 0.02), (0.92, 0.012), (0.96, 0.0)],
    together: 0.3,
    hidden: 0.15,
};

const OF_S: Known = Known {
    right: &[(0.45, 0.48), (0.7, 0.5), (0.8, 0.6), (0.88, 0.85), (0.93, 0.95), (0.97, 0.985)],
    missed: &[(0.3, 0.7), (0.6, 0.45), (0.75, 0.35), (0.85, 0.25), (0.92, 0.09), (0.96, 0.012), (0.98, 0.0)],
    together: 0.5,
    hidden: 0.1,
};

/// Correlation of the N beats of one group that may be of the class.
const MISSED_TOGETHER: f64 = 0.05;
/// No more beats than this are right or wrong together: the shape of a day's beats is judged again and again.
const MOST_TOGETHER: f64 = 60.0;
/// N beats whose chance is lower than this are not in doubt: of a hundred thousand they would add up to nothing that is known.
const LEAST_CHANCE: f64 = 0.005;
/// 95 % of a normal distribution lie within so many standard deviations.
const NORMAL_95: f64 = 1.96;

/// A sum of chances.
#[derive(Default)]
struct Sum {
    mean: f64,
    /// By group: the number of beats and the sum of their variances.
    groups: BTreeMap<u32, (f64, f64)>,
}

impl Sum {
    fn add(&mut self, group: u32, chance: f64) {
        self.mean += chance;
        let of_group = self.groups.entry(group).or_default();
        of_group.0 += 1.0;
        of_group.1 += chance * (1.0 - chance);
    }

    fn variance(&self, correlation: f64) -> f64 {
        let of_group = |(count, variance): &(f64, f64)| {
            variance * (1.0 + (count.min(MOST_TOGETHER) - 1.0) * correlation)
        };
        self.groups.values().map(of_group).sum()
    }
}

/// The doubt about the number of beats of `class`, V or S; `None` for a class of which nothing is known.
pub fn of_class(day: &Day<'_>, class: BeatClass) -> Option<Doubt> {
    let known = match class {
        BeatClass::V => &OF_V,
        BeatClass::S => &OF_S,
        _ => return None,
    };
    let (mut count, mut doubtful, mut unread) = (0u64, 0u64, 0.0);
    // Of the beats that carry the label, and of those that may lack it.
    let (mut labelled, mut missed) = (Sum::default(), Sum::default());
    for (i, beat) in day.reading().beats.iter().enumerate() {
        let has_label = beat.class == class;
        let chance = chance(known, beat, has_label);
        if has_label {
            count += 1;
            doubtful += u64::from(chance < f64::from(Certainty::DOUBTFUL_BELOW));
            unread += f64::from(u8::from(!is_said(beat)));
            labelled.add(beat.group, chance);
        } else if chance >= LEAST_CHANCE && !(class == BeatClass::S && day.in_af[i]) {
            // In fibrillation any beat may be early.
            missed.add(beat.group, chance);
        }
    }
    // Between none and all of what may be hidden.
    let hidden = known.hidden * unread / 2.0;
    let of_labelled = labelled.variance(known.together);
    let of_all = of_labelled + missed.variance(MISSED_TOGETHER) + hidden * hidden + hidden;
    let low = labelled.mean - NORMAL_95 * of_labelled.sqrt();
    let high = labelled.mean + missed.mean + hidden + NORMAL_95 * of_all.sqrt();
    let low = (low.max(0.0).floor() as u64).min(count);
    let high = ((high - f64::EPSILON).ceil() as u64).max(count);
    Some(Doubt { doubtful, range: (low < high).then_some((low as f64, high as f64)), reason: String::new() })
}

/// True where a reader has spoken of the beat, or the label came with the recording and no confidence.
fn is_said(beat: &Beat) -> bool {
    beat.origin == Origin::Reader || beat.confidence >= 1.0
}

/// Chance that a beat is of the class.
fn chance(known: &Known, beat: &Beat, has_label: bool) -> f64 {
    match (is_said(beat), has_label) {
        (true, _) => f64::from(u8::from(has_label)),
        (false, true) => on_curve(known.right, f64::from(beat.confidence)),
        (false, false) if beat.class == BeatClass::N => on_curve(known.missed, f64::from(beat.confidence)),
        (false, false) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::testing::made;

    fn doubt(confidence: f32, said: usize) -> Doubt {
        let mut day = made(&"NNNNNNNNV".repeat(20), &[800]);
        for (i, beat) in day.beats.iter_mut().filter(|b| b.class == BeatClass::V).enumerate() {
            beat.confidence = confidence;
            if i < said {
                beat.origin = Origin::Reader;
            }
        }
        let reading = day.reading();
        of_class(&Day::new(&reading, &[]), BeatClass::V).unwrap()
    }

    /// Twenty V beats of one group: the chance at 0.97 is 0.975. Their mean is 20 x 0.975, their variance
    /// 20 x 0.975 x 0.025 x (1 + 19 x 0.3); up to 3 more may be hidden: 1.5 on the mean, with a variance of 1.5 x 1.5 + 1.5.
    #[test]
    fn the_range_of_a_count_follows_from_the_confidence_of_its_beats() {
        let (low, high) = (19.5 - 1.96 * 3.266f64.sqrt(), 21.0 + 1.96 * (3.266 + 3.75f64).sqrt());
        let found = doubt(0.97, 0);
        assert_eq!(found.range, Some((low.floor(), high.ceil())));
        assert_eq!((found.doubtful, doubt(0.6, 0).doubtful), (0, 20));
    }

    #[test]
    fn the_range_shrinks_as_a_reader_confirms_and_is_gone_when_all_is_said() {
        let wide = |said| doubt(0.6, said).range.map_or(0.0, |(low, high)| high - low);
        assert!(wide(0) > wide(10) && wide(10) > wide(18) && wide(20) == 0.0);
        assert_eq!(doubt(0.6, 20).doubtful, 0);
    }
}
