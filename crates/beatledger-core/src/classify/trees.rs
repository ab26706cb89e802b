//! The trained model: boosted trees that tell ventricular beats, and supraventricular ectopy among early beats.
//!
//! Trained by `tests/training/train`; what it is and from which data stands beside the weights, in
//! `assets/model/beats.json`. The layout, little-endian: `BTLR`, version, features, ventricular trees, ectopic
//! trees (u16 each), the values of [`Scale`] (f32), then the trees in that order: nodes (u16), and a node: feature
//! or 65535 for a leaf, left, right (u16 each), threshold or leaf value (f32). Children stand behind their parent, so that no walk can run in circles.

use super::features::{COUNT, Numbers};

/// The weights.
const BYTES: &[u8] = include_bytes!("../../../../assets/model/beats.bin");
const LEAF: u16 = u16::MAX;
/// Of the layout.
const VERSION: u16 = 3;

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
    pub group_share: f32,
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

/// Trees whose sums, with [`start_ventricular`] and [`start`], are the scores.
pub struct Trees {
    /// Constants.
    pub scale: Scale,
    /// Trees that tell ventricular beats.
    pub ventricular: Vec<Tree>,
    /// Trees that tell supraventricular ectopy.
    pub ectopic: Vec<Tree>,
}

/// Ventricular score before any tree has spoken: that of the rules.
pub fn start_ventricular(by_rules: f32) -> f32 {
    by_rules.clamp(-4.0, 4.0)
}

/// Score before any tree has spoken: how early the beat is against the setting, and less in irregular stretches.
pub fn start(early: f32, irregular: bool, threshold: f32) -> f32 {
    (20.0 * (early - threshold + 0.05)).clamp(-6.0, 2.0) - if irregular { 3.0 } else { 0.0 }
}

impl Trees {
    /// The model that is built in; without trees when its bytes are not what this program expects.
    pub fn built_in() -> Self {
        Self::read(BYTES).unwrap_or(Self {
            scale: Scale::default(),
            ventricular: Vec::new(),
            ectopic: Vec::new(),
        })
    }

    fn read(bytes: &[u8]) -> Option<Self> {
        let mut bytes = Bytes(bytes);
        if bytes.take::<4>()? != *b"BTLR" || bytes.u16()? != VERSION || usize::from(bytes.u16()?) != COUNT {
            return None;
        }
        let (ventricular, ectopic) = (bytes.u16()?, bytes.u16()?);
        let scale = Scale {
            floor_share: bytes.f32()?,
            ectopic_from: bytes.f32()?,
            ventricular_from: [bytes.f32()?, bytes.f32()?],
            group_share: bytes.f32()?,
            fusion: bytes.f32()?,
            s: [bytes.knots()?, bytes.knots()?],
            v: [bytes.knots()?, bytes.knots()?],
        };
        let mut trees = |n: u16| (0..n).map(|_| bytes.tree()).collect::<Option<Vec<_>>>();
        let (ventricular, ectopic) = (trees(ventricular)?, trees(ectopic)?);
        bytes.0.is_empty().then_some(Self { scale, ventricular, ectopic })
    }
}

/// Sum of `trees` for one beat; added in their order.
pub fn sum(trees: &[Tree], row: &Numbers) -> f32 {
    trees.iter().map(|tree| leaf(&tree.0, row)).sum()
}

/// Probability of a score: straight between the knots, level beyond them.
pub fn probability(knots: &Knots, score: f32) -> f32 {
    let after = knots.iter().position(|k| score < k[0]).unwrap_or(knots.len());
    let (Some(low), Some(high)) = (knots.get(after.wrapping_sub(1)), knots.get(after)) else {
        return knots[if after == 0 { 0 } else { knots.len() - 1 }][1];
    };
    let part = (score - low[0]) / (high[0] - low[0]).max(1e-6);
    low[1] + part * (high[1] - low[1])
}

fn leaf(tree: &[Node], row: &Numbers) -> f32 {
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

    #[test]
    fn the_built_in_model_reads_and_a_damaged_one_is_refused() {
        let built_in = Trees::built_in();
        assert!(!built_in.ventricular.is_empty() && !built_in.ectopic.is_empty());
        assert!(Trees::read(&BYTES[..BYTES.len() - 1]).is_none(), "too short");
        assert!(Trees::read(&[BYTES, &[0]].concat()).is_none(), "too long");
        let mut circle = BYTES.to_vec();
        // The left child of the first node: 4 + 4 * 2 + 70 * 4 + 2 + 2 bytes in.
        circle[296..298].copy_from_slice(&0u16.to_le_bytes());
        assert!(Trees::read(&circle).is_none(), "a tree in a circle");
    }

    #[test]
    fn an_earlier_beat_is_never_less_likely_to_be_ectopic() {
        let score = |early: f32| {
            let mut row = [0.0; COUNT];
            (row[0], row[1], row[2], row[3]) = (early, 1.0, 1.0, 1.0);
            sum(&Trees::built_in().ectopic, &row) + start(early, false, 0.2)
        };
        let scores: Vec<f32> = (5..60).map(|e| score(e as f32 / 100.0)).collect();
        assert!(scores.windows(2).all(|w| w[1] >= w[0] - 1e-4), "{scores:?}");
    }
}
