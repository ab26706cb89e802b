//! Every tuned number of conduction, once. All are design choices on common practice, set on made tracings and looked at on
//! MIT-BIH Arrhythmia: `cargo test -p beatledger-tests --test traps` and `beatledger read` on ../shared/data/mitdb.

/// Cycles are averaged over windows of this length, s.
pub(super) const WINDOW_S: f64 = 30.0;
/// A window needs this many cycles.
pub(super) const FEWEST_CYCLES: usize = 10;
/// Intervals of a cycle lie within this share of the usual one of the window.
pub(super) const REGULAR: f64 = 0.08;
/// Share of the beats of a window that must be so regular.
pub(super) const REGULAR_SHARE: f64 = 0.7;
/// Cycles of these lengths may hold two P waves, s: atrial rates of 46 to 130 a minute.
pub(super) const CYCLE_S: (f64, f64) = (0.92, 2.6);
/// The averaged cycle begins this long before its beat, s.
pub(super) const BEFORE_S: f64 = 0.3;
/// Share of the beats of a window of which the P wave must have been found.
pub(super) const P_SHARE: f64 = 0.5;
/// A P wave reaches this far to either side of its peak, s.
pub(super) const P_SIDE_S: f64 = 0.06;
/// The second P wave is looked for half a cycle after the first, this share of a cycle to either side: its distance differs
/// a little with and without a beat between (ventriculophasic arrhythmia).
pub(super) const PLACE_SHARE: f64 = 0.08;
/// It begins at least this long after the peak of T, s.
pub(super) const AFTER_T_S: f64 = 0.12;
/// It has the shape of the first one: cosine of both.
pub(super) const LEAST_ALIKE: f64 = 0.93;
/// And its height: lowest and highest ratio. U waves are lower.
pub(super) const HEIGHT_RATIO: (f64, f64) = (0.55, 1.6);
/// Windows beside each other are joined; a stretch lasts this long at least, s.
pub(super) const LEAST_S: f64 = 45.0;
