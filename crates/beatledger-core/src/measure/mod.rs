//! Beats and events to figures: one file a family.
//!
//! Everything here counts what stands: a dropped event counts nowhere, an added one counts.

pub mod alternans;
pub mod burden;
pub mod conduction;
pub mod count_range;
pub mod day;
pub mod ectopy;
pub mod found;
pub mod hrv;
pub mod intervals;
pub mod leads;
pub mod nonlinear;
pub mod pauses;
pub mod premature;
pub mod rate;
pub mod rr_list;
pub mod spectrum;
pub mod st;
pub mod symptoms;
pub mod turbulence;
pub mod variability;

pub use day::Day;

#[cfg(test)]
mod hrv_tests;
#[cfg(test)]
mod limits_tests;
#[cfg(test)]
mod wave_tests;
