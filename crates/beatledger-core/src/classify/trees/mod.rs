//! What the trained trees make of the features: final classes and confidences.
//!
//! Knows the features, the rule scores and the weights that are built in.
//! Samples, shapes and wave limits must not come in: what the trees should know of them is a feature.

pub mod calibration;
pub mod model;
pub mod tree_classes;
mod weights_file;
