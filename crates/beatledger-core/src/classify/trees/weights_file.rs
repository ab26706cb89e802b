//! The weights file: how it is laid out, and whether it fits this program.
//!
//! Written by `tests/training/train`. The layout, little-endian: `BTLR`, version, number of features,
//! ventricular trees, ectopic trees (u16 each), digest of the keys of the features (u64), the values of
//! [`Scale`] (f32), then the trees in that order. A tree is its number of nodes (u16) and its nodes: feature
//! or 65535 for a leaf, left, right (u16 each), threshold or leaf value (f32). Children stand behind their
//! parent, so that no walk can run in circles.

use std::fmt;

use super::model::{Knots, Model, Node, Scale, Tree};
use crate::classify::features::schema::{COUNT, DIGEST};

/// The weights that are built in.
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
                write!(
                    f,
                    "The weights have layout version {version}, and this program reads version {VERSION}."
                )
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

/// The model that is built in.
///
/// Where it cannot be used it has no trees, and the scores are those of the rules: that is so while the model
/// is trained again on other features. A test holds that it can be used.
pub fn built_in() -> Model {
    let by_rules = || Model { scale: Scale::default(), ventricular: Vec::new(), ectopic: Vec::new() };
    read(BYTES).unwrap_or_else(|_| by_rules())
}

/// Reads weights and checks that they were trained on the features of this program.
fn read(bytes: &[u8]) -> Result<Model, ModelError> {
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

/// What stands behind the version.
struct Header {
    features: u16,
    ventricular: u16,
    ectopic: u16,
    digest: u64,
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

    /// Bytes before the first tree: mark, version and three counts, digest, constants and curves.
    const BEFORE_TREES: usize = 4 + 4 * 2 + 8 + (6 + 4 * 16) * 4;

    fn error(bytes: &[u8]) -> Option<ModelError> {
        read(bytes).err()
    }

    #[test]
    fn the_built_in_model_reads_and_a_damaged_one_is_refused() {
        let built_in = read(BYTES).unwrap_or_else(|e| panic!("{e}"));
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
        assert!(
            sentence.contains("trained on 109 features") && sentence.contains("train the model again"),
            "{sentence}"
        );
        let mut old = BYTES.to_vec();
        old[4] = 3;
        let sentence = "The weights have layout version 3, and this program reads version 4.";
        assert_eq!(error(&old).unwrap().to_string(), sentence);
    }
}
