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
pub(super) const LEAST_ALIKE: f64 = 0.96;
/// And its height: lowest and highest ratio. U waves are lower.
pub(super) const HEIGHT_RATIO: (f64, f64) = (0.55, 1.6);
/// Windows beside each other are joined; a stretch lasts this long at least, s.
pub(super) const LEAST_S: f64 = 45.0;

// P waves between beats.

/// P waves are looked for in windows of this length, s.
pub(super) const SEARCH_S: f64 = 60.0;
/// This much more is read on both sides, s.
pub(super) const AROUND_S: f64 = 4.0;
/// The tracing is looked at with about this many values a second.
pub(super) const VALUES_HZ: f64 = 125.0;
/// A window is looked at where an interval is longer than this many times the lower quartile of its intervals.
pub(super) const LONG_INTERVAL: f64 = 1.35;
/// Or where the median interval is at least this long, s.
pub(super) const SLOW_S: f64 = 1.05;
/// P waves of at least this many beats are averaged.
pub(super) const FEWEST_P: usize = 6;
/// The peak of a conducted P wave lies between these times before its beat, s.
pub(super) const PR_S: (f64, f64) = (0.085, 0.42);
/// The averaged P wave is at least this high, mV.
pub(super) const LEAST_P_MV: f32 = 0.03;
/// And two P waves correlate at least this much, on the mean.
pub(super) const P_AGREE: f32 = 0.25;
/// The tracing that every beat brings along is taken out up to so long before the next beat, s; what lies there may be the
/// next P wave.
pub(super) const CYCLE_ENDS_BEFORE_S: f64 = 0.33;
/// The interval that this is counted from is the one that this share of intervals is shorter than.
pub(super) const SHORTEST_SHARE: f64 = 0.1;
/// It is taken out at least this far after the beat, s.
pub(super) const CYCLE_S_LEAST: f64 = 0.25;
/// And at most this far after the beat, s.
pub(super) const CYCLE_S_MOST: f64 = 0.7;
/// It begins this long before the beat, s.
pub(super) const CYCLE_BEFORE_S: f64 = 0.06;
/// No P wave is looked for from this long before a beat, s.
pub(super) const HIDDEN_BEFORE_S: f64 = 0.085;
/// Until this long after the usual end of T, s.
pub(super) const AFTER_T_END_S: f64 = 0.02;
/// A P wave has the shape of the averaged one: cosine of both, over all leads.
pub(super) const P_ALIKE: f32 = 0.8;
/// And its size: lowest and highest ratio.
pub(super) const P_SIZE: (f32, f32) = (0.55, 1.7);
/// P waves are at least this far from each other, s.
pub(super) const P_APART_S: f64 = 0.2;

// The intervals that are named.

/// So many beats before a window are looked at with it.
pub(super) const BEATS_BEFORE: usize = 6;
/// The usual P-P interval is that of P waves so long before an interval, s.
pub(super) const CYCLES_BEFORE_S: f64 = 8.0;
/// And so long after its begin, s.
pub(super) const CYCLES_AFTER_S: f64 = 4.0;
/// A short interval is one that this share of intervals is shorter than.
pub(super) const SHORT_SHARE: f64 = 0.25;
/// So many usual intervals at most are left out by exit block.
pub(super) const MOST_CYCLES: f64 = 3.0;
/// The P wave before one is looked for over so many usual intervals: one in between may be hidden.
pub(super) const CYCLES_BACK: f64 = 2.5;
/// An interval shorter than this many usual ones holds no P wave that is not conducted.
pub(super) const LEAST_GAP: f64 = 1.3;
/// Of so many intervals to either side one must be a usual one.
pub(super) const NEAR_BEATS: usize = 12;
/// Within this share.
pub(super) const USUAL_WITHIN: f64 = 0.25;
/// A P wave that comes at this share of the usual P-P interval or earlier is an early one.
pub(super) const EARLY_P: f64 = 0.86;
/// One within this share of its expected time comes on time.
pub(super) const ON_TIME: f64 = 0.14;
/// PR is longer before the P wave that is not conducted than after it by at least this, s: Mobitz I.
pub(super) const PR_STEP_S: f64 = 0.035;
/// PR is the same within this, s: Mobitz II.
pub(super) const PR_SAME_S: f64 = 0.024;
/// It is told from at least this many.
pub(super) const FEWEST_USUAL: usize = 4;
/// An interval without a P wave is this near to a multiple of the usual one where the exit from the sinus node is blocked, in
/// usual intervals.
pub(super) const MULTIPLE: f64 = 0.1;
/// Of the beats around, this share must show its P wave before the lack of one means anything.
pub(super) const P_SHOWN: f64 = 0.7;
/// Findings of one kind this near to each other are one stretch, s.
pub(super) const JOIN_S: f64 = 60.0;

/// A beat so near to block may seem early only for it, s.
pub(super) const BESIDE_S: f64 = 8.0;
/// Confidence in a beat that seems early only for block (design choice: the least that is not doubtful).
pub const ON_TIME_CONFIDENCE: f32 = 0.8;

// Atria and ventricles that go their own ways.

/// A window needs this many beats.
pub(super) const FEWEST_ESCAPES: usize = 12;
/// Their intervals are at least this long, s.
pub(super) const ESCAPE_S: f64 = 0.9;
/// And half of them lie within this share of their median.
pub(super) const ESCAPE_STEADY: f64 = 0.05;
/// The P-P interval is about that which this share of the distances between P waves is shorter than.
pub(super) const SHORT_STEP: f64 = 0.15;
/// At least this many P waves a beat are seen.
pub(super) const SEEN_P: f64 = 0.9;
/// P waves lie on a steady grid: this share of them within [`ON_TIME`] of its places.
pub(super) const ON_GRID: f64 = 0.75;
/// The grid has at least this many places a beat.
pub(super) const GRID_RATIO: f64 = 1.12;
/// The times from the last P wave to the beat are spread over a P-P interval: length of the mean direction.
pub(super) const PR_SPREAD: f64 = 0.5;

// First degree.

/// PR above this is first-degree AV block, ms (common practice: 200 ms).
pub(super) const LONG_PR_MS: f64 = 200.0;
/// As many windows of five minutes in a row show it.
pub(super) const FEWEST_PR_WINDOWS: i64 = 2;
/// Fewer beats of an averaged beat tell no PR.
pub(super) const FEWEST_PR_BEATS: u32 = 60;

// Flutter.

/// The tracing between T and the next complex is looked at in windows of this length, s.
pub(super) const FLUTTER_S: f64 = 10.0;
/// Every so many windows one is looked at, and then its neighbours.
pub(super) const FLUTTER_EVERY: usize = 6;
/// Atrial rates that are looked for, a minute (200 to 350: common practice).
pub(super) const FLUTTER_BPM: (f64, f64) = (200.0, 350.0);
/// The stretch begins this long after the beat, as a share of the root of its interval in seconds, s: T is over.
pub(super) const T_OVER_S: f64 = 0.42;
/// And ends this long before the next beat, s.
pub(super) const BEFORE_QRS_S: f64 = 0.06;
/// It must be this long to tell waves from a single P wave, in flutter waves.
pub(super) const LEAST_WAVES: f64 = 1.7;
/// So many stretches of a window must be so long.
pub(super) const FEWEST_LONG: usize = 3;
/// Share of the tracing there that waves of one rate explain.
pub(super) const EXPLAINED: f64 = 0.8;
/// It is looked at with about this many values a second.
pub(super) const FLUTTER_VALUES_HZ: f64 = 62.5;
/// Waves are tried as sines and, around the best rate, with as many sines as this.
pub(super) const HARMONICS: usize = 2;
/// Sines of the first try.
pub(super) const COARSE_HARMONICS: usize = 1;
/// Rates are tried this far apart, in waves over the window; then again around the best one.
pub(super) const COARSE: f64 = 0.5;
/// How far apart around the best one.
pub(super) const FINE: f64 = 0.1;
/// What is smaller than this is nothing.
pub(super) const NOTHING: f64 = 1e-9;
/// Height of these waves, root mean square, mV.
pub(super) const LEAST_FLUTTER_MV: f64 = 0.015;
/// Intervals are whole numbers of waves within this share of a wave, three of four of them.
pub(super) const WHOLE_WAVES: f64 = 0.2;
/// Flutter lasts this long at least, s.
pub(super) const LEAST_FLUTTER_S: f64 = 20.0;
