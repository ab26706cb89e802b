//! Every tuned number of the changes of leads, once. All are design choices, set on made tracings
//! (`cargo test -p beatledger-tests --test traps polarity`) so that none is told on the open recordings.

/// Usual beats are those of so long, s.
pub(super) const MINUTE_S: f64 = 60.0;
/// So many beats of a minute make its usual beat at most,
pub(super) const SAMPLED: usize = 12;
/// and no fewer.
pub(super) const FEWEST_BEATS: usize = 6;
/// A shape begins this long before a beat, s,
pub(super) const BEFORE_S: f64 = 0.24;
/// and has so many points,
pub(super) const POINTS: usize = 34;
/// one each so many seconds.
pub(super) const STEP_S: f64 = 0.02;
/// The level before QRS is that of these points.
pub(super) const LEVEL: std::ops::Range<usize> = 7..9;
/// A change holds for so many minutes with a usual beat.
pub(super) const FEWEST_MINUTES: usize = 3;
/// Usual beats follow by this share of the difference a minute.
pub(super) const FOLLOW: f32 = 0.25;
/// A mirror image has a correlation below this,
pub(super) const MIRROR_BELOW: f32 = -0.9;
/// and in its QRS complex and after it below this.
pub(super) const MIRROR_PART_BELOW: f32 = -0.7;
/// Two leads that may have changed places have a correlation below this,
pub(super) const LEADS_DIFFER_BELOW: f32 = 0.8;
/// and with what the other showed before one above this,
pub(super) const LIKE_ABOVE: f32 = 0.95;
/// at a height of at least this share
pub(super) const LEAST_OF_HEIGHT: f32 = 0.7;
/// and at most so many times that.
pub(super) const MOST_OF_HEIGHT: f32 = 1.4;
/// The first beat of a change is followed by so many of the kind, most of them.
pub(super) const FOLLOWED_BY: usize = 7;
