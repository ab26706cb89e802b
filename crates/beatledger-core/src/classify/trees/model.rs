//! The trained model: boosted trees that tell ventricular beats, and supraventricular ectopy among early
//! beats.
//!
//! What it was trained by and from which data stands beside the weights, in `assets/model/beats.json`.

use super::calibration::{
    BELOW_SETTING, EARLY_WEIGHT, LEAST_START, LEAST_STEP, LESS_IN_IRREGULAR, MOST_RULE_SCORE, MOST_START,
};
use crate::classify::features::row::FeatureRow;
use crate::classify::features::schema::COUNT;

/// Constants of the model that are not trees.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Scale {
    /// An S beat must be at least this share of the setting `prematurity_percent` early.
    pub floor_share: f32,
    /// Score above which an early beat is S.
    pub ectopic_from: f32,
    /// Score above which a beat is V: with one lead, and with more.
    pub ventricular_from: [f32; 2],
    /// How far a ventricular score moves towards the mean of its shape, 0 to 1.
    pub cluster_share: f32,
    /// Scores and how often beats of that score were S: with one lead, and with more.
    pub s: [Knots; 2],
    /// The same for V.
    pub v: [Knots; 2],
    /// Confidence in F: the share that was right.
    pub fusion: f32,
}

/// Points of a rising curve from score to probability.
pub type Knots = [[f32; 2]; 8];

/// A node: a leaf where `feature` is the number of none.
pub struct Node {
    /// Number of the feature that it looks at.
    pub feature: u16,
    /// The next node where the feature is at most `value`.
    pub left: u16,
    /// The next node where it is more.
    pub right: u16,
    /// Threshold, or the value of a leaf.
    pub value: f32,
}

/// One tree: its nodes, the root first; children stand behind their parent.
pub struct Tree(pub Vec<Node>);

/// Trees whose sums, with [`start_ventricular`] and [`start_ectopic`], are the scores.
pub struct Model {
    /// Constants.
    pub scale: Scale,
    /// Trees that tell ventricular beats.
    pub ventricular: Vec<Tree>,
    /// Trees that tell supraventricular ectopy.
    pub ectopic: Vec<Tree>,
}

/// Ventricular score before any tree: that of the rules.
pub fn start_ventricular(by_rules: f32) -> f32 {
    by_rules.clamp(-MOST_RULE_SCORE, MOST_RULE_SCORE)
}

/// Ectopic score before any tree: how early the beat is against the setting, and less in irregular stretches.
pub fn start_ectopic(early: f32, irregular: bool, threshold: f32) -> f32 {
    let by_timing = (EARLY_WEIGHT * (early - threshold + BELOW_SETTING)).clamp(LEAST_START, MOST_START);
    by_timing - if irregular { LESS_IN_IRREGULAR } else { 0.0 }
}

/// Sum of `trees` for one beat; added in their order.
pub fn sum(trees: &[Tree], row: &FeatureRow) -> f32 {
    trees.iter().map(|tree| leaf(&tree.0, row.values())).sum()
}

/// Probability of a score: straight between the knots, level beyond them.
pub fn probability(knots: &Knots, score: f32) -> f32 {
    let after = knots.iter().position(|k| score < k[0]).unwrap_or(knots.len());
    let (Some(low), Some(high)) = (knots.get(after.wrapping_sub(1)), knots.get(after)) else {
        return knots[if after == 0 { 0 } else { knots.len() - 1 }][1];
    };
    let part = (score - low[0]) / (high[0] - low[0]).max(LEAST_STEP);
    low[1] + part * (high[1] - low[1])
}

fn leaf(tree: &[Node], row: &[f32; COUNT]) -> f32 {
    let mut at = 0usize;
    // Reading checked that children stand behind their parent and inside the tree.
    while let Some(node) = tree.get(at) {
        let Some(value) = row.get(usize::from(node.feature)) else { return node.value };
        at = usize::from(if *value <= node.value { node.left } else { node.right });
    }
    0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::classify::features::row::RowBuilder;
    use crate::classify::features::schema::Feature;

    #[test]
    fn an_earlier_beat_is_never_less_likely_to_be_ectopic() {
        let trees = super::super::weights_file::built_in().ectopic;
        let score = |early: f32| {
            let mut row = RowBuilder::new();
            for feature in Feature::ALL {
                let value = match feature {
                    Feature::Early => early,
                    Feature::RrAfter | Feature::RrOverNext | Feature::RrOverPrevious => 1.0,
                    _ => 0.0,
                };
                row.set(*feature, value);
            }
            sum(&trees, &row.finish()) + start_ectopic(early, false, 0.2)
        };
        let scores: Vec<f32> = (5..60).map(|e| score(e as f32 / 100.0)).collect();
        assert!(scores.windows(2).all(|w| w[1] >= w[0] - 1e-4), "{scores:?}");
    }
}
