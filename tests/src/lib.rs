//! Shared helpers of the test package: made days, summaries beside their truth, pictures, a window.

pub mod made;
pub mod picture;
pub mod st;
pub mod syntax;
pub mod truth;
pub mod window;
