//! Every tuned number of contact, once. All are design choices, set on the made tracings of
//! `cargo test -p beatledger-tests --test traps` so that no score of the open databases got worse.

/// What is lower than this share of the usual beat around it on every lead is noise.
pub(super) const LEAST_OF_USUAL_HEIGHT: f32 = 0.15;
/// What is lower than this share of the usual beat must stand out of the tracing beside it to be one.
pub(super) const LOW_HEIGHT: f32 = 0.6;
/// The tracing beside a beat begins so many lengths of a beat from its middle, past its QRS complex,
pub(super) const BESIDE_FROM: i64 = 2;
/// and ends before this many: some 0.4 s.
pub(super) const BESIDE_TO: i64 = 5;
/// Quantile of the heights beside a beat that it is compared with: the T wave and the P wave are among the higher ones.
pub(super) const BESIDE_QUANTILE: f64 = 0.5;
/// A beat is this many times higher than the tracing beside it.
pub(super) const LEAST_STANDING_OUT: f32 = 1.2;
/// Fewer beats in a row than this are not taken for noise.
pub(super) const FEWEST_NOISE: usize = 3;
/// The usual beat is that of the time around, s to either side: longer than any loss of contact in which beats are invented.
pub(super) const USUAL_S: f64 = 60.0;
/// Quantile of the heights around that is the usual one: above one half, as more false beats than true ones may lie there.
pub(super) const USUAL_QUANTILE: f64 = 0.75;
/// The usual height is taken anew after so many beats.
pub(super) const USUAL_EVERY: usize = 16;
/// A height is the range of the samples this far to either side of a beat, s.
pub(super) const BEAT_SIDE_S: f64 = 0.05;

/// Shorter intervals are not looked at, s: below the shortest pause limit that can be set.
pub(super) const LEAST_S: f64 = 1.4;
/// Nor those that are less than this many times the usual interval around them: slow rhythms are no silence.
pub(super) const LEAST_OF_USUAL: f64 = 1.5;
/// From this length on an interval is looked at whatever the rhythm, s.
pub(super) const ALWAYS_S: f64 = 3.0;
/// The tracing around a silence that it is compared with, s to either side.
pub(super) const AROUND_S: f64 = 12.0;
/// Beats that the tracing around must have, on both sides together.
pub(super) const FEWEST_BEATS: usize = 6;
/// The beat before a silence, with its T wave, ends this long after it, s.
pub(super) const AFTER_BEAT_S: f64 = 0.55;
/// The beat after a silence, with its P wave, begins this long before it, s.
pub(super) const BEFORE_BEAT_S: f64 = 0.25;
/// QRS complexes are kept out of the noise of the tracing around, s to either side.
pub(super) const QRS_SIDE_S: f64 = 0.14;
/// Noise is measured in windows of this length, s.
pub(super) const WINDOW_S: f64 = 0.12;
/// What is slower than this is no noise: length of the running mean that is taken away, s.
pub(super) const SMOOTH_S: f64 = 0.04;
/// The baseline is a mean over this length, s: whole periods of 50 and of 60 Hz.
pub(super) const BASELINE_S: f64 = 0.1;
/// The baseline of the tracing around is read this long before a beat, s: before P or on the PR level.
pub(super) const KNOT_BEFORE_S: f64 = 0.08;
/// Noise in a silence may be this many times that around it.
pub(super) const MOST_NOISE: f32 = 2.5;
/// And must be this share of it.
pub(super) const LEAST_NOISE: f32 = 0.4;
/// Noise below this is that of the recorder, mV: less or more of it tells nothing.
pub(super) const RECORDER_NOISE_MV: f32 = 0.004;
/// The baseline must move by this share of what it moves around the silence in the same time.
pub(super) const LEAST_MOTION: f32 = 0.15;
/// A baseline that moves less than this, mV, is not missed when it stops.
pub(super) const MOTION_MV: f32 = 0.03;
/// Shorter silences may fall between two breaths, s: their baseline is not asked to move.
pub(super) const MOTION_S: f64 = 1.8;
/// The baseline may move by this many times what it moves around the silence in the same time.
pub(super) const MOST_MOTION: f32 = 2.5;
/// Share of the baseline at each end of its range that is left out where its rest is judged: the step where contact is lost.
pub(super) const EDGES: f64 = 0.1;
/// A motion of the baseline below this is no loss of contact, mV.
pub(super) const DRIFT_MV: f32 = 0.5;
/// Both beats beside a silence must have this share of the height of the beats around.
pub(super) const LEAST_HEIGHT: f32 = 0.5;
/// The height of a beat is looked for this far to either side of it, s.
pub(super) const HEIGHT_SIDE_S: f64 = 0.06;
/// Beats must stand out of the noise by this factor for a lead to be asked at all.
pub(super) const LEAST_CLEARNESS: f32 = 6.0;
/// Share of the windows of a silence that are looked at for noise and may be unlike the rest: a P wave that is not
/// conducted, a twitch.
pub(super) const MIDDLE: f64 = 0.5;
