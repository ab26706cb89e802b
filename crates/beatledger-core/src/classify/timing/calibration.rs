//! Every tuned number of the timing: name with unit, value, meaning, and how it was chosen.

/// A beat is early at first sight when its interval is below this share of the next one (design choice).
pub const EARLY_OF_NEXT: f32 = 0.75;
/// A run begins with an interval below this share of the usual ones, where a change of rate does not (design
/// choice).
pub const RUN_BEGINS: f32 = 0.75;
/// A run goes on while its intervals stay at or below this share of the usual ones (design choice).
pub const RUN_GOES_ON: f32 = 0.8;
/// The usual interval before a run is the median of at most this many intervals (design choice).
pub const USUAL_INTERVALS: usize = 8;
/// The usual interval before a run is known from this many intervals on (design choice).
pub const LEAST_USUAL_INTERVALS: usize = 4;
/// A run has at least this many beats (common practice: three).
pub const LEAST_RUN_BEATS: usize = 3;
/// A fast stretch of at most this many beats that falls back to slow intervals is a run at any rate (design
/// choice).
pub const SHORT_RUN_BEATS: usize = 120;
/// Half the changes from beat to beat in a run are below this share of its interval (design choice:
/// fibrillation that comes fast changes more).
pub const EVEN_CHANGE: f32 = 0.08;
/// The intervals of a long run are at most this long, ms (2015 ACC/AHA/HRS guideline: tachycardia begins at
/// 100/min).
pub const TACHYCARDIA_MS: f32 = 600.0;
/// A long run ends at once when this many last intervals are as short as the others (design choice).
pub const LAST_INTERVALS: usize = 4;
/// A run whose end is not seen has at least this many beats (design choice).
pub const UNENDED_RUN_BEATS: usize = 8;
/// In the last round a run is extended beyond this many beats only when it is even (design choice).
pub const UNEVEN_RUN_BEATS: usize = 8;

/// The local sinus interval is the median of this many normal intervals on each side (design choice).
pub const SINUS_INTERVALS: usize = 6;
/// The local sinus interval is known from this many normal intervals on (design choice).
pub const LEAST_SINUS_INTERVALS: usize = 3;
/// Normal intervals are looked for within this many beats on each side of a normal beat (design choice).
pub const REACH_BEATS: usize = 24;
/// Normal intervals are looked for this far from an ectopic beat (design choice: dense ectopy leaves few
/// near).
pub const REACH_ECTOPIC_BEATS: usize = 144;
/// Normal intervals are looked for this far from a run of three or more (design choice: minutes ago is better
/// than none).
pub const REACH_RUN_BEATS: usize = 1000;

/// Two neighbouring intervals jump when they differ by more than this share of their mean (design choice).
pub const JUMP: f32 = 0.08;
/// A stretch is judged irregular over this many beats on each side (design choice).
pub const IRREGULAR_REACH_BEATS: usize = 10;
/// A stretch is judged irregular over this many beats on each side where ectopy leaves few intervals (design
/// choice).
pub const IRREGULAR_WIDE_BEATS: usize = 40;
/// A stretch is judged irregular from this many pairs of intervals on (design choice).
pub const LEAST_JUMPS: u32 = 8;
/// More than this share of the pairs of an irregular stretch jump (design choice).
pub const IRREGULAR_JUMPS: f32 = 0.5;
/// More than this share of the pairs jump where the wide reach decides (design choice).
pub const IRREGULAR_JUMPS_WIDE: f32 = 0.7;
/// A beat after at least this share of the local sinus interval shows whether it has a P wave (design
/// choice).
pub const SHOWS_P: f32 = 0.9;
/// P waves are judged from this many beats on (design choice).
pub const LEAST_P_BEATS: u32 = 4;
/// P waves that are less clear than this on average are absent, 0 to 1 (design choice).
pub const P_ABSENT: f32 = 0.5;

/// The tracing before a QRS is compared with that of this many beats on each side (design choice).
pub const P_REACH_BEATS: usize = 8;
/// The tracing before a QRS is compared with a mean of at least this many beats (design choice).
pub const LEAST_P_MEAN_BEATS: usize = 5;
/// An interval is short below this share of the upper quartile of those around it (design choice).
pub const SHORT_INTERVAL: f32 = 0.85;

/// This many beats get one answer about a second focus (design choice).
pub const FOCUS_BLOCK_BEATS: usize = 64;
/// This many beats on each side of a block are looked at too (design choice).
pub const FOCUS_AROUND_BEATS: usize = 64;
/// The lower quartile of a stretch is the value at this share of its sorted intervals (definition).
pub const LOWER_QUARTILE: f64 = 0.25;
/// The upper quartile of a stretch is the value at this share of its sorted intervals (definition).
pub const UPPER_QUARTILE: f64 = 0.75;
/// An interval is slow from this many times the lower quartile on (design choice).
pub const SLOW: f32 = 1.3;
/// An interval below this share of the lower quartile is early even within a run (design choice).
pub const EARLY_IN_RUN: f32 = 0.7;
/// A beat after at least this share of the lower quartile is on time in a run (design choice).
pub const ON_TIME_IN_RUN: f32 = 0.85;
/// A beat after less than this share of the sinus interval belongs to a run, though it be the first (design
/// choice).
pub const SURELY_EARLY: f32 = 0.75;
/// Beats whose shapes are nearer than this are conducted the same way (design choice).
pub const SAME_CONDUCTION: f32 = 0.2;
/// A second focus is told from at least this many beats after slow intervals (design choice).
pub const LEAST_SLOW_BEATS: usize = 10;
/// A second focus is told from at least this many beats within runs (design choice).
pub const LEAST_BEATS_IN_RUNS: usize = 20;
/// A second focus is told from at least this many changes between slow intervals and runs (design choice).
pub const LEAST_CHANGES: usize = 10;
/// A slow interval comes at once when the one before is at most this many times the interval of the runs
/// (design choice).
pub const BESIDE: f32 = 1.15;
/// At least this share of the changes comes at once (design choice).
pub const CHANGES_AT_ONCE: f32 = 0.7;
/// P waves of one focus agree at least this far, as a mean correlation (design choice).
pub const P_AGREEMENT: f32 = 0.3;
/// Mean P waves further apart than this come from two foci (design choice: of 110 stretches of MIT-BIH DS1
/// with slow intervals among others and clear P waves, the furthest lies at 0.15).
pub const TWO_FOCI: f32 = 0.17;
/// The T wave of the beat before is over this long after that beat, ms (design choice).
pub const T_OVER_MS: f32 = 430.0;
/// A P wave can be seen in at least this many steps before the QRS (design choice).
pub const LEAST_P_STEPS: usize = 12;
/// Slow intervals are those of blocked beats when at least this share are multiples of the fast ones (design
/// choice).
pub const MULTIPLES: f32 = 0.5;
/// An interval is a multiple when it lies within this share of one (design choice).
pub const MULTIPLE_WITHIN: f32 = 0.07;
/// Slow intervals are those of dropped beats when at most this share of them follow one another: between atrial runs sinus
/// beats come in pairs too (design choice).
pub const DROPPED_PAIRS: f32 = 0.1;
/// They are so many times as long as the interval between the other beats: twice, less what PR shortens (common practice
/// for AV block of the second degree, type I; limits by design choice).
pub const DROPPED_TIMES: (f32, f32) = (1.35, 2.15);
/// The middle half of them lies within this share of the usual one (design choice).
pub const DROPPED_SPREAD: f32 = 0.15;
/// Two mean P waves are laid over each other with at most this shift, steps (design choice: PR may differ in
/// one focus).
pub const P_SHIFT: usize = 4;
/// An agreement is taken for at least this value where it is divided by (guard, no tuning).
pub const LEAST_AGREEMENT: f32 = 0.01;
