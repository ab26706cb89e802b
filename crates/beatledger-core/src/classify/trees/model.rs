//! The trained model: boosted trees that tell ventricular beats, and supraventricular ectopy among early beats.
//!
//! Trained by `tests/training/train`; what it is and from which data stands beside the weights, in
//! `assets/model/beats.json`. The layout, little-endian: `BTLR`, version, number of features, ventricular trees, ectopic
//! trees (u16 each), digest of the keys of the features (u64), the values of [`Scale`] (f32), then the trees in that
//! order. A tree is its number of nodes (u16) and its nodes: feature or 65535 for a leaf, left, right (u16 each),
//! threshold or leaf value (f32). Children stand behind their parent, so that no walk can run in circles.

use std::fmt;

use super::calibration::{
    BELOW_SETTING, EARLY_WEIGHT, LEAST_START, LEAST_STEP, LESS_IN_IRREGULAR, MOST_RULE_SCORE, MOST_START,
};
use crate::classify::features::row::FeatureRow;
use crate::classify::features::schema::{COUNT, DIGEST};

/// The weights.
const BYTES: &[u8] = include_bytes!("../../../../../assets/model/beats.bin");
/// Stands for a leaf where a node names its feature.
const LEAF: u16 = u16::MAX;
/// Version of the layout.
const VERSION: u16 = 4;

/// Why weights cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ModelError {
    /// Other bytes than those of a model.
    NotAModel,
    /// Another layout.
    Version(u16),
    /// Trained on other features: their number and the digest of their keys.
    Features(u16, u64),
    /// The bytes end too early, go on after the last tree, or hold a value or a tree that cannot be.
    Damaged,
}

impl fmt::Display for ModelError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotAModel => write!(f, "These are not the weights of a beat model."),
            Self::Version(version) => {
                write!(f, "The weights have layout version {version}, and this program reads version {VERSION}.")
            }
            Self::Features(count, digest) => write!(
                f,
                "The weights were trained on {count} features with digest {digest:016x}, and this program has {COUNT} \
                 with digest {DIGEST:016x}: train the model again."
            ),
            Self::Damaged => write!(f, "The weights are damaged."),
        }
    }
}

impl std::error::Error for ModelError {}

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

struct Node {
    feature: u16,
    left: u16,
    right: u16,
    value: f32,
}

/// One tree: its nodes, the root first.
pub struct Tree(Vec<Node>);

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

impl Model {
    /// The model that is built in. Where it cannot be used it has no trees, and the scores are those of the rules: that
    /// is so while the model is trained again on other features. A test holds that it can be used.
    pub fn built_in() -> Self {
        let by_rules = || Self { scale: Scale::default(), ventricular: Vec::new(), ectopic: Vec::new() };
        Self::read(BYTES).unwrap_or_else(|_| by_rules())
    }

    fn read(bytes: &[u8]) -> Result<Self, ModelError> {
        let mut bytes = Bytes(bytes);
        if bytes.take::<4>() != Some(*b"BTLR") {
            return Err(ModelError::NotAModel);
        }
        let version = bytes.u16().ok_or(ModelError::Damaged)?;
        if version != VERSION {
            return Err(ModelError::Version(version));
        }
        let header = bytes.header().ok_or(ModelError::Damaged)?;
        if usize::from(header.features) != COUNT || header.digest != DIGEST {
            return Err(ModelError::Features(header.features, header.digest));
        }
        bytes.model(&header).filter(|_| bytes.0.is_empty()).ok_or(ModelError::Damaged)
    }
}

/// What stands behind the version.
struct Header {
    features: u16,
    ventricular: u16,
    ectopic: u16,
    digest: u64,
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

/// Bytes not read yet.
struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (head, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*head)
    }

    fn u16(&mut self) -> Option<u16> {
        self.take().map(u16::from_le_bytes)
    }

    fn u64(&mut self) -> Option<u64> {
        self.take().map(u64::from_le_bytes)
    }

    fn f32(&mut self) -> Option<f32> {
        self.take().map(f32::from_le_bytes).filter(|v| v.is_finite())
    }

    fn knots(&mut self) -> Option<Knots> {
        let mut knots = Knots::default();
        for value in knots.iter_mut().flatten() {
            *value = self.f32()?;
        }
        Some(knots)
    }

    fn header(&mut self) -> Option<Header> {
        let (features, ventricular, ectopic) = (self.u16()?, self.u16()?, self.u16()?);
        Some(Header { features, ventricular, ectopic, digest: self.u64()? })
    }

    fn model(&mut self, header: &Header) -> Option<Model> {
        let scale = Scale {
            floor_share: self.f32()?,
            ectopic_from: self.f32()?,
            ventricular_from: [self.f32()?, self.f32()?],
            cluster_share: self.f32()?,
            fusion: self.f32()?,
            s: [self.knots()?, self.knots()?],
            v: [self.knots()?, self.knots()?],
        };
        let mut trees = |n: u16| (0..n).map(|_| self.tree()).collect::<Option<Vec<_>>>();
        let (ventricular, ectopic) = (trees(header.ventricular)?, trees(header.ectopic)?);
        Some(Model { scale, ventricular, ectopic })
    }

    fn tree(&mut self) -> Option<Tree> {
        let nodes = self.u16()?;
        let node = |at: u16, bytes: &mut Self| {
            let node =
                Node { feature: bytes.u16()?, left: bytes.u16()?, right: bytes.u16()?, value: bytes.f32()? };
            let inside = |child: u16| child > at && child < nodes;
            let split = usize::from(node.feature) < COUNT && inside(node.left) && inside(node.right);
            (split || node.feature == LEAF).then_some(node)
        };
        (0..nodes).map(|at| node(at, self)).collect::<Option<Vec<_>>>().map(Tree)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::classify::features::row::RowBuilder;
    use crate::classify::features::schema::Feature;

    /// Bytes before the first tree: mark, version and three counts, digest, constants and curves.
    const BEFORE_TREES: usize = 4 + 4 * 2 + 8 + (6 + 4 * 16) * 4;

    fn error(bytes: &[u8]) -> Option<ModelError> {
        Model::read(bytes).err()
    }

    #[test]
    fn the_built_in_model_reads_and_a_damaged_one_is_refused() {
        let built_in = Model::read(BYTES).unwrap_or_else(|e| panic!("{e}"));
        assert!(!built_in.ventricular.is_empty() && !built_in.ectopic.is_empty());
        assert_eq!(error(&BYTES[..BYTES.len() - 1]), Some(ModelError::Damaged), "too short");
        assert_eq!(error(&[BYTES, &[0]].concat()), Some(ModelError::Damaged), "too long");
        assert_eq!(error(b"no model"), Some(ModelError::NotAModel));
        let mut circle = BYTES.to_vec();
        // The left child of the first node: behind the number of nodes and the feature.
        circle[BEFORE_TREES + 4..BEFORE_TREES + 6].copy_from_slice(&0u16.to_le_bytes());
        assert_eq!(error(&circle), Some(ModelError::Damaged), "a tree in a circle");
    }

    #[test]
    fn weights_of_other_features_or_of_another_layout_are_refused_with_a_sentence() {
        let mut other = BYTES.to_vec();
        other[12] ^= 1;
        let sentence = error(&other).unwrap().to_string();
        assert!(sentence.contains("trained on 109 features") && sentence.contains("train the model again"), "{sentence}");
        let mut old = BYTES.to_vec();
        old[4] = 3;
        let sentence = "The weights have layout version 3, and this program reads version 4.";
        assert_eq!(error(&old).unwrap().to_string(), sentence);
    }

    #[test]
    fn an_earlier_beat_is_never_less_likely_to_be_ectopic() {
        let trees = Model::built_in().ectopic;
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
