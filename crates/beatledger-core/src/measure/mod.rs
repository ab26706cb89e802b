//! Beats and events to figures: one file a family.
//!
//! Everything here counts what stands: a dropped event counts nowhere, an added one counts.

pub mod burden;
pub mod day;
pub mod ectopy;
pub mod intervals;
pub mod nonlinear;
pub mod premature;
pub mod rate;
pub mod rr_list;
pub mod spectrum;
pub mod turbulence;
pub mod variability;

pub use day::Day;
