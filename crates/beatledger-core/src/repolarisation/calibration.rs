//! Every tuned number of ST levels and T-wave alternans, once.

// How the samples are read.

/// Beats read together.
pub(super) const BEATS_READ: usize = 512;
/// Beats further apart than this are not read together, s.
pub(super) const READ_APART_S: f64 = 30.0;
/// So much is read before the first and after the last beat, s.
pub(super) const MARGIN_S: f64 = 1.0;

// Levels.

/// The level before the QRS complex is taken over this long, ms.
pub(super) const LEVEL_MS: f64 = 20.0;
/// It ends this long before the complex, ms.
pub(super) const LEVEL_GAP_MS: f64 = 6.0;
/// A level at a place is the mean of this long to either side, ms (design choice).
pub(super) const HALF_MS: f64 = 8.0;
/// ST is not measured later than this share of the interval to the next beat, where its P wave may lie.
pub(super) const ST_SHARE_OF_RR: (i64, i64) = (4, 5);

// T-wave alternans by the modified moving average (Nearing and Verrier 2002; numbers of the method are from memory).

/// Points of ST and T that are followed (design choice).
pub(super) const POINTS: usize = 24;
/// The first point lies this long after the beat, ms: behind a narrow QRS complex (design choice).
pub(super) const FIRST_POINT_MS: f64 = 80.0;
/// From point to point, ms (design choice).
pub(super) const POINT_STEP_MS: f64 = 16.0;
/// Points later than this share of the interval may lie on the next P wave (design choice).
pub(super) const LAST_POINT_SHARE_OF_RR: f64 = 0.62;
/// Beats further from a neighbour than this take no part, ms (design choice).
pub(super) const FARTHEST_NEIGHBOUR_MS: f64 = 2000.0;
/// The averages follow by this share of a difference (the method).
pub(super) const FOLLOW_SHARE: f64 = 1.0 / 8.0;
/// Largest step of an average, uV (the method).
pub(super) const LARGEST_STEP_UV: f64 = 32.0;
/// Smallest step of an average, uV (the method).
pub(super) const SMALLEST_STEP_UV: f64 = 1.0;
/// The averages stand for a rhythm after this many beats each way: by then a step is followed to a sixtieth.
pub(super) const SETTLED_BEATS: usize = 32;
/// Beats further apart than this begin new averages, s (design choice).
pub(super) const RESTART_S: f64 = 10.0;
/// A window needs this many beats (design choice).
pub(super) const FEWEST_BEATS: u16 = 8;
