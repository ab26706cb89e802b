//! Why a figure is not there, where several figures share the reason.

/// There is no rate.
pub const NO_BEATS: &str = "no readable interval between two beats";
/// Nothing is told by the clock.
pub const NO_START: &str = "the recording has no start time";
