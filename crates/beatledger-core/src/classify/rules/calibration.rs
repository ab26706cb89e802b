//! Every tuned number of the rules: name with unit, value, meaning, and how it was chosen.

/// The dominant cluster is one of this many clusters with most beats on time (design choice).
pub const DOMINANT_CANDIDATES: usize = 12;
/// Widths and P waves of a cluster are taken of about this many members, evenly over the day (design choice).
pub const SAMPLED_MEMBERS: usize = 300;
/// The dominant shape has this QRS width where none was measured, ms (common practice).
pub const USUAL_WIDTH_MS: f32 = 90.0;
/// The usual width is taken for at least the setting `wide_qrs_ms` less this many ms (design choice).
pub const BELOW_WIDE_MS: f32 = 30.0;

/// The shape score rises by this much per unit of distance to the dominant shape (design choice).
pub const DISTANCE_WEIGHT: f32 = 5.0;
/// This distance to the dominant shape adds nothing to the shape score (design choice).
pub const NEUTRAL_DISTANCE: f32 = 0.3;
/// The distance moves the shape score by at most this much either way (design choice).
pub const MOST_BY_DISTANCE: f32 = 2.0;
/// A QRS wider than usual by this many ms adds nothing to the shape score (design choice).
pub const NEUTRAL_WIDER_MS: f32 = 15.0;
/// The shape score rises by 1 for this many ms of width (design choice).
pub const WIDER_MS_PER_POINT: f32 = 12.0;
/// The width moves the shape score by at most this much either way (design choice).
pub const MOST_BY_WIDTH: f32 = 1.5;
/// The shape score rises by this much when P waves as clear as those of the dominant shape are lost (design
/// choice).
pub const P_WEIGHT: f32 = 1.5;
/// The shape score of a cluster starts this much below zero (design choice).
pub const SHAPE_START: f32 = -0.2;
/// The shape score counts in full from this many members on, as one or two may be noise (design choice).
pub const FULL_SHAPE_MEMBERS: f32 = 4.0;
/// The shape score of hardly any member counts by this share (design choice).
pub const FEW_MEMBERS_SHARE: f32 = 0.6;
/// The shape score of enough members counts by this share more (design choice).
pub const FULL_SHAPE_ADDS: f32 = 0.4;

/// The timing score rises by this much per unit of the share of members that come clearly early (design
/// choice).
pub const EARLY_SHARE_WEIGHT: f32 = 4.0;
/// This share of early members makes a timing score of 0, and is taken where no member has a known interval
/// (design choice).
pub const NEUTRAL_EARLY_SHARE: f32 = 0.4;
/// The timing score is at least this value (design choice).
pub const LEAST_TIMING_SCORE: f32 = -1.6;
/// The timing score is at most this value (design choice).
pub const MOST_TIMING_SCORE: f32 = 2.0;

/// Fusion is looked for with clusters whose shape and timing scores together exceed this value (design
/// choice).
pub const CLEARLY_VENTRICULAR: f32 = 1.5;
/// Fusion is looked for with ventricular clusters of at least this many members (design choice).
pub const LEAST_VENTRICULAR_MEMBERS: u32 = 3;
/// Fusion is looked for with at most this many ventricular clusters (design choice).
pub const VENTRICULAR_CLUSTERS: usize = 6;
/// A fusion shape lies at least this far from the dominant shape (design choice).
pub const LEAST_FUSION_DISTANCE: f32 = 0.05;
/// A fusion shape lies less than this far from the dominant shape (design choice).
pub const MOST_FUSION_DISTANCE: f32 = 0.8;
/// Less than this share of the members of a fusion shape comes clearly early (design choice).
pub const MOST_FUSION_EARLY_SHARE: f32 = 0.5;
/// The dominant cluster has more than this many times the members of a fusion shape (design choice).
pub const FUSION_RARER: u32 = 3;

/// The timing of one beat moves its score by this much per unit of prematurity (design choice).
pub const OWN_TIMING_WEIGHT: f32 = 8.0;
/// The timing of one beat moves its score by at least this value (design choice).
pub const LEAST_OWN_TIMING: f32 = -2.4;
/// The timing of one beat moves its score by at most this value (design choice).
pub const MOST_OWN_TIMING: f32 = 1.6;
/// A cluster is known well from this many members on (design choice).
pub const WELL_KNOWN_MEMBERS: u32 = 8;
/// The timing of a well known cluster counts by this share, that of the beat by the rest (design choice).
pub const CLUSTER_TIMING_SHARE: f32 = 0.6;
/// The shape of a rare cluster counts by the signal quality, but at least by this share (design choice).
pub const LEAST_SHAPE_SHARE: f32 = 0.15;
/// The rule score starts this much below zero (design choice).
pub const RULE_START: f32 = -0.6;
/// A beat of a fusion shape is F below this prematurity (design choice).
pub const FUSION_LESS_EARLY: f32 = 0.2;
/// In an absolutely irregular stretch an S beat comes earlier than the setting by this share more (design
/// choice).
pub const RULE_IRREGULAR_MORE: f32 = 0.2;

/// Aberrant beats begin at least this alike, as a cosine (chosen on MIT-BIH DS1, each record left out, by
/// `bash tests/training/train`).
pub const BEGINS_ALIKE: f32 = 0.8;
/// Aberrant beats are at least this alike as a whole, as a cosine (chosen on MIT-BIH DS1, each record left
/// out, by `bash tests/training/train`).
pub const WHOLE_ALIKE: f32 = 0.3;
/// Intervals before aberrant beats lie at least this share from their mean (chosen on MIT-BIH DS1, each
/// record left out, by `bash tests/training/train`; ventricular foci of the open data stay below 0.12).
pub const INTERVAL_VARIES: f32 = 0.2;
/// Aberrancy is told with at least this many leads (common practice: one lead hides the first forces of
/// another).
pub const LEAST_LEADS: usize = 2;
/// Aberrancy takes this much from the ventricular score (design choice: as much as others of its shape can
/// add).
pub const LESS_VENTRICULAR: f32 = 6.0;

/// A slower recorder does not keep a pacing spike, Hz (design choice).
pub const LEAST_SPIKE_HZ: f64 = 200.0;
/// A shape can be paced from this many members on (design choice).
pub const LEAST_PACED_MEMBERS: usize = 20;
/// A shape is paced from this share of members with a spike on (design choice: MIT-BIH records with a
/// pacemaker have 0.94 and more in their main shapes, all others 0.37 and less in every shape of 20 members).
pub const PACED_SHARE: f32 = 0.7;
/// This many members are looked at before all are (design choice).
pub const SPIKE_SAMPLED: usize = 64;
/// The spike is looked for from this place on, ms from the beat (design choice).
pub const SPIKE_FROM_MS: f64 = -140.0;
/// The spike is looked for up to this place, ms from the beat (design choice).
pub const SPIKE_TO_MS: f64 = 80.0;
/// The tracing is read this far beyond the places of the spike, ms (design choice).
pub const SPIKE_REACH_MS: f64 = 200.0;
/// Bends are taken over this distance, ms, and over one sample at slow rates (design choice).
pub const BEND_MS: f64 = 1.4;
/// The bend of a spike is this many times as sharp as any other when taken over [`SHARP_MS`] (design choice:
/// MIT-BIH records with a pacemaker at 500, 360, 300, 250 and 200 Hz have nine beats of ten above 1.7, 2.2,
/// 3.1, 4.5 and 5.2, and the bundle branch block of record 207 nine of ten below 1.5, 2.2, 2.6, 3.1 and 4.0).
pub const SHARP: f32 = 1.6;
/// Sharpness is compared with [`SHARP`] at this distance, ms, and with its square times more beyond (design
/// choice).
pub const SHARP_MS: f64 = 2.8;
/// Bends closer to the sharpest than this belong to it, ms (design choice).
pub const OWN_BEND_MS: f64 = 6.0;
/// At least this many samples around the sharpest bend belong to it (design choice).
pub const OWN_BEND_SAMPLES: i64 = 3;
/// The bend of a spike is at least this large, mV (common practice for the noise of a recorder).
pub const LEAST_SPIKE_MV: f32 = 0.05;
/// More than this share of the slope around a spike comes late (design choice).
pub const LATE_SLOPE: f32 = 0.3;
/// The slope before a spike is below this share of the slope after it (design choice).
pub const SLOPE_BEFORE: f32 = 0.3;
/// A moving mean over this long is taken twice before slopes, ms (design choice).
pub const SMOOTH_MS: f64 = 25.0;
/// Slopes before and after a spike are taken outside this distance from it, ms (design choice).
pub const SPIKE_OWN_SLOPE_MS: f64 = 20.0;
/// The slope before a spike is taken from this place on, ms from the spike (design choice).
pub const SLOPE_FROM_MS: f64 = -120.0;
/// The slope after a spike is taken up to this place, ms from the spike (design choice).
pub const SLOPE_TO_MS: f64 = 160.0;
/// The slope after a spike is late from this place on, ms from the spike (design choice).
pub const LATE_FROM_MS: f64 = 60.0;
/// A paced beat has this confidence (the share of beats called paced on MIT-BIH records with a pacemaker that
/// are).
pub const PACED_CONFIDENCE: f32 = 0.99;
