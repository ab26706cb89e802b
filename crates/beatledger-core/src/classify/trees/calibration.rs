//! Every tuned number around the trees: name with unit, value, meaning, and how it was chosen.
//!
//! Thresholds that were fitted on held-out records stand in the weights file.

/// The ventricular score starts from the rule score, taken for at most this value either way (design choice).
pub const MOST_RULE_SCORE: f32 = 4.0;
/// The ectopic score rises by this much per unit of prematurity before any tree (design choice).
pub const EARLY_WEIGHT: f32 = 20.0;
/// The ectopic score before any tree is 0 at the setting less this prematurity (design choice).
pub const BELOW_SETTING: f32 = 0.05;
/// The ectopic score before any tree is at least this value (design choice).
pub const LEAST_START: f32 = -6.0;
/// The ectopic score before any tree is at most this value (design choice).
pub const MOST_START: f32 = 2.0;
/// The ectopic score before any tree is this much less in an irregular stretch (design choice).
pub const LESS_IN_IRREGULAR: f32 = 3.0;
/// Two scores of a curve lie at least this far apart where one divides by it (guard, no tuning).
pub const LEAST_STEP: f32 = 1e-6;

/// A cluster at least this far from the dominant shape is looked at by the trees (design choice).
pub const ASKED_DISTANCE: f32 = 0.15;
/// A beat of at least this prematurity is looked at by the trees (design choice).
pub const ASKED_EARLY: f32 = 0.08;
/// A beat of at least this rule score is looked at by the trees (design choice).
pub const ASKED_RULE_SCORE: f32 = -1.5;
/// Ventricular scores are shared up to this value either way, and its negative is the score of a beat that the
/// trees do not look at (chosen on MIT-BIH DS1, each record left out, by `bash tests/training/train`).
pub const FURTHEST_SCORE: f32 = 6.0;
/// A ventricular score is shared within a cluster from this many members on (design choice).
pub const SHARING_MEMBERS: u32 = 4;
/// In an absolutely irregular stretch an S beat comes earlier than the setting by this share more (chosen on
/// MIT-BIH DS1, each record left out, by `bash tests/training/train`).
pub const IRREGULAR_MORE: f32 = 0.4;
/// The beats around an interpolated one lie at least this many sinus intervals apart (chosen on MIT-BIH DS1,
/// each record left out, by `bash tests/training/train`).
pub const LEAST_INTERPOLATED: f32 = 0.85;
/// The beats around an interpolated one lie at most this many sinus intervals apart (common practice: an AV
/// node not yet recovered delays the second a little).
pub const MOST_INTERPOLATED: f32 = 1.2;
/// A beat that is S because it continues a run has at least this probability (design choice).
pub const LEAST_IN_RUN: f32 = 0.5;
