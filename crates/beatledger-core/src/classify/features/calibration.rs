//! Every tuned number of the features: name with unit, value, meaning, and how it was chosen.
//!
//! The model was trained with these values: to change one is to train it again.

/// A prematurity is taken for at least this value (design choice).
pub const LEAST_EARLY: f32 = -3.0;
/// A ratio of two intervals is taken for at most this value (design choice).
pub const MOST_RR_RATIO: f32 = 4.0;
/// The spread of normal beats is taken for at least this value where prematurity is divided by it (design
/// choice).
pub const LEAST_SPREAD: f32 = 0.015;
/// Prematurity over spread is taken for at most this value either way (design choice).
pub const MOST_EARLY_OVER_SPREAD: f32 = 20.0;
/// An interval has its rank among those within this many beats on each side (design choice).
pub const RANK_REACH_BEATS: usize = 20;
/// An interval that is not known is taken for this long, s (design choice).
pub const UNKNOWN_RR_S: f32 = 0.8;
/// An interval is taken for at most this long, s (design choice).
pub const MOST_RR_S: f32 = 3.0;

/// The trend is the median of this many last normal-to-normal intervals (design choice).
pub const TREND_INTERVALS: usize = 8;
/// The recent interval is the median of this many last intervals (design choice).
pub const RECENT_INTERVALS: usize = 5;
/// The usual PR interval is the median of this many last normal beats (design choice).
pub const PR_BEATS: usize = 9;
/// The wide interval is the median of those within this many beats on each side (design choice).
pub const WIDE_BEATS: usize = 20;
/// The spread of normal beats is taken within this many beats on each side (design choice).
pub const SPREAD_BEATS: usize = 12;
/// The spread of normal beats where too few are near, as a share of the sinus interval (design choice).
pub const UNKNOWN_SPREAD: f32 = 0.03;
/// What is near a beat lies within this many beats on each side (design choice).
pub const NEAR_BEATS: usize = 10;
/// Jumps far around a beat lie within this many beats on each side (design choice).
pub const FAR_BEATS: usize = 40;
/// What comes after a beat lies within this many beats (design choice).
pub const AHEAD_BEATS: usize = 12;
/// A mean over the beats around is taken of at least this many values (design choice).
pub const LEAST_VALUES: u32 = 4;
/// P waves have this clearness where too few beats are near, 0 to 1 (design choice).
pub const UNKNOWN_P: f32 = 0.5;
/// An irregular stretch begins where more than this share of the intervals after a beat jump (design choice).
pub const BEGINS_IRREGULAR: f32 = 0.5;
/// An irregular stretch begins where the P waves after a beat are less clear than this, 0 to 1 (design
/// choice).
pub const BEGINS_WITHOUT_P: f32 = 0.3;

/// A height is taken for at least this value where two are compared, mV (guard, no tuning).
pub const LEAST_HEIGHT_MV: f32 = 1e-3;
/// A weighted sum starts from this value, so that a quotient of two exists (guard, no tuning).
pub const NO_WEIGHT: f32 = 1e-6;
/// The log of a ratio of heights, lengths or speeds is taken for at most this value either way (design
/// choice).
pub const MOST_LOG_RATIO: f32 = 3.0;
/// The log of a ratio of energies of parts of a beat is taken for at most this value either way (design
/// choice).
pub const MOST_LOG_PART_ENERGY: f32 = 4.0;
/// The log of a ratio of energies of whole shapes is taken for at most this value either way (design choice).
pub const MOST_LOG_ENERGY: f32 = 5.0;
/// A length is taken for at least this value where one is divided by it, ms (guard, no tuning).
pub const LEAST_LENGTH_MS: f32 = 1.0;
/// A speed is taken for at least this value where one is divided by it (guard, no tuning).
pub const LEAST_SPEED: f32 = 1e-3;
/// A ratio of lengths of neighbours is taken for at least this value (design choice).
pub const LEAST_LENGTH_RATIO: f32 = 0.1;
/// A ratio of lengths of neighbours is taken for at most this value (design choice).
pub const MOST_LENGTH_RATIO: f32 = 10.0;
/// A ratio of a cluster to the dominant one is taken for at least this value (design choice).
pub const LEAST_CLUSTER_RATIO: f32 = 0.05;
/// A change of the PR interval is taken for at most this value either way, ms (design choice).
pub const MOST_PR_CHANGE_MS: f32 = 150.0;

/// A distance is taken for at most this value: opposite (definition).
pub const MOST_DISTANCE: f32 = 2.0;
/// A beat without a neighbour has this distance to it (design choice).
pub const NO_NEIGHBOUR_DISTANCE: f32 = 0.5;
/// A beat without a neighbour has this rule score beside it (design choice).
pub const NO_NEIGHBOUR_SCORE: f32 = -2.0;
/// The rule score of a neighbour is taken for at most this value either way (design choice).
pub const MOST_NEIGHBOUR_SCORE: f32 = 6.0;
/// The distance of a cluster is taken for at most this value in means over beats (design choice).
pub const MOST_MEAN_DISTANCE: f32 = 1.5;
/// The distances far around a beat lie within this many beats on each side (design choice).
pub const DISTANCE_FAR_BEATS: usize = 60;
/// A better shift is looked for from this distance on (design choice: below it there is none to gain).
pub const SHIFT_FROM: f32 = 0.03;
/// A better shift is looked for up to this distance (design choice: above it there is none to gain).
pub const SHIFT_TO: f32 = 1.2;
/// The number of members of a cluster is taken for at most this many (design choice).
pub const MOST_MEMBERS: u32 = 60;
/// A share of all beats is taken for at least this value before its log (guard, no tuning).
pub const LEAST_SHARE: f32 = 1e-5;

/// An ordinary cluster has at least one of this many beats (design choice).
pub const ORDINARY_ONE_OF: u32 = 50;
/// An ordinary cluster has at least this many members (design choice).
pub const LEAST_ORDINARY_MEMBERS: u32 = 3;
/// Less than this share of the members of an ordinary cluster comes clearly early (design choice).
pub const ORDINARY_EARLY_SHARE: f32 = 0.3;
/// At most this many clusters are ordinary (design choice).
pub const ORDINARY_CLUSTERS: usize = 6;
/// Clusters further apart than this many times
/// [`SIMILAR_DISTANCE`](crate::classify::calibration::SIMILAR_DISTANCE) are not similar (design choice).
pub const SIMILAR_WITHIN: f32 = 4.0;
/// RR after over the sinus interval is taken for at most this value in the mean of a cluster (design choice).
pub const MOST_MEAN_RR_AFTER: f32 = 3.0;

/// A beat is compared with those within this many beats on each side (design choice).
pub const COMPARED_BEATS: usize = 12;
/// The share of early beats among similar ones starts from this weight of beats on time (design choice).
pub const ON_TIME_WEIGHT: f32 = 0.3;
/// The beginning of the QRS is compared over this many steps: 48 ms (design choice).
pub const BEGIN_STEPS: usize = 6;
