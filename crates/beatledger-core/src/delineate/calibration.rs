//! Every tuned number of the wave limits, once.
//!
//! Where a constant names no other source it was chosen on the beats of made days with known limits and looked at on
//! MIT-BIH DS1 (`cargo test -p beatledger-tests --test waves`).

// Which leads are looked at.

/// P and T are not looked for on a lead whose quality at the beat is less than this share of the best lead's there.
pub(super) const LEAST_QUALITY_SHARE_AT_BEAT: f32 = 0.9;
/// A lead with less than this share of the best lead's quality over the day is not preferred for its waves.
pub(super) const LEAST_QUALITY_SHARE_OF_DAY: f64 = 0.8;
/// So many beats of a lead are looked at to tell how well it shows P and T.
pub(super) const BEATS_LOOKED_AT: usize = 96;
/// Heights and noise below this cannot be told apart, mV.
pub(super) const RESOLUTION_MV: f32 = 0.005;

// The samples around one beat.

/// So much is read before the beat, s.
pub(super) const BEFORE_S: f64 = 0.45;
/// So much is read after the beat, s.
pub(super) const AFTER_S: f64 = 0.8;
/// An interval to an unknown neighbour is taken to be that of 75 beats a minute, s.
pub(super) const ASSUMED_RR_S: f64 = 0.8;
/// P and T are looked for under a moving average of this width, taken twice, ms.
pub(super) const SMOOTH_MS: f64 = 20.0;
/// The speed of change is taken between moving averages of this half width and at this distance, s.
pub(super) const SPEED_S: f64 = 0.004;

// The QRS complex.

/// The complex begins where the speed falls below this share of its peak.
pub(super) const QRS_ON_SHARE: f32 = 0.10;
/// The complex ends where the speed falls below this share of its peak.
pub(super) const QRS_OFF_SHARE: f32 = 0.12;
/// The limit of the speed is never above this share of its peak, however noisy the rest is.
pub(super) const QRS_MOST_SHARE: f32 = 0.4;
/// The speed has to stay low this long, ms; the turn at a blunt peak is shorter.
pub(super) const QRS_STAY_MS: f64 = 20.0;
/// The steepest place of the complex lies this near to the beat, ms.
pub(super) const QRS_STEEPEST_MS: f64 = 90.0;
/// The complex begins at most this long before the beat, ms.
pub(super) const QRS_BEFORE_MS: f64 = 140.0;
/// The complex ends at most this long after the beat, ms.
pub(super) const QRS_AFTER_MS: f64 = 180.0;

// The level before the QRS complex.

/// The level is taken over this long, ms.
pub(super) const LEVEL_MS: f64 = 20.0;
/// It ends this long before the complex, ms.
pub(super) const LEVEL_GAP_MS: f64 = 6.0;

// What P and T have in common.

/// A wave stands out of the noise by this factor.
pub(super) const NOISE_FACTOR: f32 = 3.0;
/// The T wave of a beat may last until this share of the interval to the next beat.
pub(super) const T_SHARE_OF_RR: f64 = 0.62;

// The T wave.

/// A T wave is at least this high, mV.
pub(super) const LEAST_T_MV: f32 = 0.04;
/// The peak of T comes at least this long after the end of the complex, ms.
pub(super) const T_PEAK_AFTER_MS: f64 = 50.0;
/// A stretch shorter than this cannot hold the peak of T, ms.
pub(super) const T_ROOM_MS: f64 = 60.0;
/// At slow rates T comes no later than at an interval of this length, s.
pub(super) const T_LONGEST_RR_S: f64 = 1.1;
/// At fast rates the peak of T is still looked for up to this long after the beat, s.
pub(super) const T_LEAST_REACH_S: f64 = 0.3;
/// The first of two waves is T, and the second P, when it is at least this share of the second.
pub(super) const FIRST_WAVE_SHARE: f32 = 0.5;
/// T is not told to end where more than this share of it is left when the next P wave begins: the far limb is about half
/// a cosine of 110 ms, of which the last fifth lies 30 ms before its end, the tolerance of the CSE working party (from
/// memory).
pub(super) const MERGED_SHARE: f32 = 0.2;
/// The far limb of T ends at most this long after its peak, ms.
pub(super) const T_LIMB_MS: f64 = 180.0;
/// The far limb of T ends at least this long before the next beat, s.
pub(super) const T_BEFORE_BEAT_S: f64 = 0.06;
/// The slope of the far limb is taken between places this far to either side, ms.
pub(super) const T_SLOPE_MS: f64 = 8.0;
/// A wave after T is looked for where at least this much lies before the next P wave, ms.
pub(super) const WAVE_AFTER_ROOM_MS: f64 = 60.0;
/// The tangent is followed for at most this long, ms.
pub(super) const T_TANGENT_MS: f64 = 160.0;

// The P wave.

/// A P wave is at least this high, mV.
pub(super) const LEAST_P_MV: f32 = 0.025;
/// An inverted P wave counts as this share of its height against an upright one, which is the rule.
pub(super) const INVERTED_P_SHARE: f32 = 0.7;
/// A P wave begins at most this long before the complex, ms.
pub(super) const P_REACH_MS: f64 = 260.0;
/// A P wave begins at most this share of the interval before the complex.
pub(super) const P_REACH_SHARE_OF_RR: f64 = 0.45;
/// The peak of P comes at least this long before the complex, ms.
pub(super) const P_GAP_MS: f64 = 16.0;
/// A stretch shorter than this cannot hold the peak of P, ms.
pub(super) const P_ROOM_MS: f64 = 40.0;
/// A P wave does not reach further from its peak than this, ms.
pub(super) const P_SIDE_MS: f64 = 90.0;
/// A P wave ends where it has fallen by this share of its height.
pub(super) const P_FALL_SHARE: f32 = 0.85;
/// The height above the level counts where it is more than this share of the height above the valleys beside it.
pub(super) const P_LEVEL_SHARE: f32 = 0.4;
/// The first limb of a P wave of two phases peaks at most this long before the second begins, ms.
pub(super) const P_LIMB_MS: f64 = 50.0;
/// The first limb is at least this share of the second.
pub(super) const P_LIMB_SHARE: f32 = 0.4;
/// The next P wave begins this long before its beat at the latest, ms: a PR of 120 ms, of which 40 to the R peak
/// (shortest normal PR, common practice).
pub(super) const NEXT_P_LATEST_MS: f64 = 160.0;
/// The next P wave begins this long before its beat at the earliest, ms: as far as P is looked for.
pub(super) const NEXT_P_EARLIEST_MS: f64 = 310.0;

// The averaged beat.

/// The mean of fewer beats is not measured.
pub(super) const FEWEST_AVERAGED: usize = 5;
/// Beats further from a neighbour than this take no part, s.
pub(super) const FARTHEST_NEIGHBOUR_S: f64 = 2.0;

// Whether the QT of an averaged beat is believed: set on made tracings and on the marks of a cardiologist in the QT Database
// (`cargo test -p beatledger-tests --test traps qt`).

/// A lead with a T wave lower than this share of its QRS complex has no say about its end: T is flat (common practice: a tenth of
/// R; here of the whole complex).
pub(super) const TOLD_T_OF_QRS: f32 = 0.08;
/// A lead whose T wave is lower than this share of the highest is not heard at all.
pub(super) const TOLD_T_SHARE: f32 = 0.17;
/// The leads agree where their ends of T lie within this, ms.
pub(super) const LEADS_AGREE_MS: f64 = 32.0;
/// And their tangents within this, ms.
pub(super) const TANGENTS_AGREE_MS: f64 = 40.0;
/// The two ways agree on a lead within this, ms.
pub(super) const WAYS_AGREE_MS: f64 = 55.0;
/// A wave after T higher than this share of T leaves open which of them ends QT.
pub(super) const SECOND_WAVE_SHARE: f32 = 0.3;
/// The far limb of a single T wave lasts no longer than this, ms; beyond it hides a notch or a second wave.
pub(super) const ONE_WAVE_LIMB_MS: f64 = 145.0;
/// The ST segment is looked at this long after the end of the complex, ms.
pub(super) const ST_AFTER_J_MS: f64 = 60.0;
/// Where the ST segment there is higher than this share of T, with the same sign, T is not told from it.
pub(super) const ST_SHARE_OF_T: f32 = 0.8;
