//! Samples to filtered samples, and quality per lead and second.

pub(crate) mod band;
mod boxcar;
mod display;
mod fir;
pub(crate) mod quality;
pub(crate) mod raw;
#[cfg(test)]
mod tests;

pub use display::display_mv;
pub use quality::quality;
