//! Every tuned number of the events, once; limits that a reader may change are settings.

use crate::statistics::Curve;

// Beats beside unreadable time and at the edge of ventricular flutter or fibrillation.

/// Motion may go on for this long beside an unreadable stretch, s (design choice).
pub(super) const MOTION_BESIDE_S: f64 = 5.0;
/// Beats this close to ventricular flutter or fibrillation belong to it, s (design choice: below the window in which it
/// is found).
pub(super) const WAVES_EDGE_S: f64 = 3.0;
/// Ventricular beats beside unreadable time whose mean confidence lies below this are motion as likely as not: on open
/// recordings and made days true runs have 0.95 and more, motion up to 0.76.
pub(super) const SURE_CONFIDENCE: f32 = 0.8;

/// Certainty of ventricular flutter or fibrillation that motion may be: not counted on open recordings, which hold too little of
/// it; doubtful by design.
pub(super) const DOUBTFUL_WAVES: f32 = 0.7;

// Rates that are held.

/// A held rate may leave its limit, or be hidden by ectopy, for this long without ending, s (design choice).
pub(super) const RATE_BRIDGE_S: f64 = 10.0;

// Fast rhythms of the sinus node.

/// Medians of this many intervals are compared where a step of the rate is looked for (design choice).
pub(super) const STEP_SIDE: usize = 5;
/// A step is looked for this many beats to either side of the edge of an episode (design choice: the edge is where a mean
/// of eight intervals passes the limit).
pub(super) const SUDDEN_REACH: usize = 14;
/// Intervals that become this many times shorter or longer from one beat to the next are a sudden change: re-entry and
/// flutter start so, the sinus node does not (design choice on common practice).
pub(super) const SUDDEN_STEP: f32 = 1.25;
/// The rate is taken from the median of so many intervals at a time (design choice: a few breaths).
pub(super) const BREATH_BLOCK: usize = 16;
/// So many of them are asked before a rate is called fixed (design choice: some 40 s).
pub(super) const FEWEST_BREATH_BLOCKS: usize = 5;
/// Over an episode the rate of the sinus node varies by this share at least; the ventricular rate of flutter with fixed
/// block hardly varies (design choice on common practice).
pub(super) const LEAST_BREATH: f32 = 0.03;
/// Mean clearness of P waves from which they are said to show (design choice).
pub const SINUS_P: f32 = 0.2;

// Dropped-beat candidates.

/// The local median is taken over this many intervals to either side (design choice).
pub(super) const MEDIAN_SIDE: usize = 8;
/// The local median needs at least this many intervals (design choice).
pub(super) const FEWEST_FOR_MEDIAN: usize = 6;
/// An interval no longer than this many times either neighbour needs no median: a cheap test, and a safe one, as the
/// limit of the ratio is never below 1.5.
pub(super) const LONGER_THAN_NEIGHBOUR: f32 = 1.3;

// Atrial fibrillation: chosen on the MIT-BIH Atrial Fibrillation and Normal Sinus Rhythm annotations, printed by
// `cargo test -p beatledger-evaluate --test accuracy -- --nocapture`.

/// The share of unforeseen intervals is taken over this many of them.
pub(super) const AF_WINDOW: usize = 64;
/// So many intervals of the past are searched for an analogue.
pub(super) const AF_MEMORY: usize = 32;
/// A forecast that is off by more than this share of the local mean RR has failed.
pub(super) const AF_TOLERANCE: f32 = 0.06;
/// A unit of ln(mean RR / 1 s) is worth this share of unforeseen intervals.
pub(super) const AF_RATE_SLOPE: f32 = 0.38;
/// The mean RR counts within these limits only, s.
pub(super) const AF_RATE_LIMITS_S: (f32, f32) = (0.3, 1.3);
/// P waves are worth this share of unforeseen intervals, from none to clear ones (this and the next two were chosen by
/// leaving one record out of CinC Challenge 2017, MIT-BIH Arrhythmia and CPSC 2021, on a wide plateau).
pub(super) const AF_P_WORTH: f32 = 0.7;
/// At this clearness P waves speak for neither side.
pub(super) const AF_P_NEUTRAL: f32 = 0.15;
/// At this clearness P waves have half of the weight that they can have.
pub(super) const AF_P_HALF: f32 = 0.1;
/// Up to the first mean RR P waves have no weight, from the second on their full weight, ms.
pub(super) const AF_P_HEARD_MS: (f32, f32) = (350.0, 600.0);
/// Fibrillation must fill this part of a tracing that is too short for the minimum: the edges of an episode are not
/// known to the beat (design choice).
pub(super) const AF_WHOLE_SHARE: f64 = 0.8;
/// Stretches of fewer intervals than this are not judged.
pub(super) const AF_FEWEST_INTERVALS: usize = 8;
/// P waves must have been looked for at this many beats of a window to have weight.
pub(super) const AF_FEWEST_P: f32 = 8.0;
/// Share of paced beats from which an episode is doubtful (MIT-BIH Arrhythmia 102, 104, 107 and 217: pacing with fusion).
pub(super) const AF_MOST_PACED: f32 = 0.1;
/// Share of ventricular beats from which an episode is doubtful (design choice: above the 17 % of MIT-BIH Arrhythmia 203,
/// whose fibrillation is true).
pub(super) const AF_MOST_ECTOPIC: f32 = 0.3;
/// Certainty of an episode with many paced beats: one of six on MIT-BIH Arrhythmia was true for the most part; by the
/// rule of succession 0.25.
pub(super) const AF_CERTAINTY_PACED: f32 = 0.25;
/// Certainty of an episode with much ventricular ectopy (design choice: as likely as not).
pub(super) const AF_CERTAINTY_ECTOPIC: f32 = 0.5;
/// Certainty of any other episode: eight of eight on MIT-BIH Arrhythmia and CPSC 2021 were true for the most part; by the
/// rule of succession 0.9.
pub(super) const AF_CERTAINTY: f32 = 0.9;

// Ectopic events, by the mean confidence of the labels of their ectopic beats. The curves were drawn through what
// `beatledger score --reliability` counts on MIT-BIH Arrhythmia (whose labels the trees have seen) and on the excerpts of the QT
// Database that are not of it: a run or couplet of beats that are in doubt is wrong as a whole more often than each of them.

/// Chance that a run of three and more is one.
pub(super) const RUN_CERTAINTY: Curve =
    &[(0.5, 0.03), (0.7, 0.1), (0.8, 0.3), (0.9, 0.88), (0.97, 0.98), (1.0, 1.0)];
/// Chance that a ventricular couplet is one.
pub(super) const V_COUPLET_CERTAINTY: Curve =
    &[(0.5, 0.05), (0.7, 0.2), (0.8, 0.55), (0.9, 0.92), (0.97, 0.99), (1.0, 1.0)];
/// Chance that a supraventricular couplet is one: those in doubt are right more often than their labels, the others less.
pub(super) const S_COUPLET_CERTAINTY: Curve =
    &[(0.4, 0.6), (0.65, 0.76), (0.8, 0.8), (0.95, 0.86), (1.0, 0.95)];

// Conduction.

/// Certainty of a block told from P waves: not counted on open recordings, which hold too little of it; doubtful by design.
pub(super) const CONDUCTION_CERTAINTY: f32 = 0.7;
/// PR from here on is long beyond its error, ms: that of averaged beats is within 20 ms of a cardiologist's on nine of ten excerpts
/// of the QT Database (`cargo test -p beatledger-tests --test traps pr_of`).
pub(super) const SURE_LONG_PR_MS: f64 = 220.0;
/// Certainty of such a PR, and of early P waves that are not conducted (design choice).
pub(super) const SURE_CONDUCTION: f32 = 0.8;
/// Certainty of flutter told from its waves: not counted on open recordings; doubtful by design.
pub(super) const FLUTTER_CERTAINTY: f32 = 0.7;
/// A rhythm that findings cover by this share is explained by them (design choice).
pub(super) const EXPLAINED_SHARE: f64 = 0.5;
