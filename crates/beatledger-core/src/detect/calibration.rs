//! Every tuned number of beat detection, by step.
//!
//! Heights, backgrounds and prominences are in usual beats: the usual beat nearby has a height of 1.
//! Similarities are cosines, 1 at best; clearness goes from 0 (beats do not stand out) to 1.
//! 'Chosen on MIT-BIH DS1' means with `beatledger score` on the training half of that database.
//! 'Chosen on made days' means on the days that `beatledger demo` makes, whose beats are known.

/// How the work is cut into pieces; none of these numbers changes a result.
pub mod work {
    /// Fewest beats that are worth a thread of their own (design choice).
    pub const MIN_BEATS_PER_THREAD: usize = 256;
    /// Smallest divisor, so that a quotient of nothing stays finite (design choice).
    pub const MIN_DIVISOR: f32 = 1e-9;
}

/// The common envelope of the leads and the candidates on it.
pub mod envelope {
    /// Time read to either side of a block, so that levels do not depend on where blocks begin (design choice).
    pub const MARGIN_S: i64 = 20;
    /// Distance over which second differences are taken, most sensitive at about 30 Hz and ten times less to T
    /// waves (design choice).
    pub const BEND_S: f64 = 0.016;
    /// A lead whose beats are smaller than this in the band carries no ECG (chosen on MIT-BIH DS1).
    pub const MIN_BEAT_MV: f64 = 0.008;
    /// Part of a channel's weight that does not depend on how clearly beats stand out on it (chosen on MIT-BIH DS1).
    pub const MIN_CHANNEL_WEIGHT: f32 = 0.002;
    /// What exceeds the height of the usual beat counts by this factor, so that a burst on one lead does not hide
    /// the others (chosen on MIT-BIH DS1).
    pub const ABOVE_USUAL_FACTOR: f32 = 0.25;
    /// A candidate is at least this high (chosen on MIT-BIH DS1).
    pub const MIN_HEIGHT: f32 = 0.08;
    /// A candidate is the highest place within this time to either side (design choice: half of a wide QRS complex).
    pub const PEAK_HALF_WIDTH_S: f64 = 0.06;
    /// Weight of all second differences together, at least, by which sharpness is divided (design choice).
    pub const MIN_BEND_WEIGHT: f32 = 0.01;
    /// The stored shape of a candidate reaches this far to either side (design choice: a wide QRS complex).
    pub const SHAPE_HALF_WIDTH_S: f64 = 0.12;
}

/// Levels of beats and background on one channel.
pub mod peak_levels {
    /// Seconds to either side that the level of a second is taken from (chosen on MIT-BIH DS1).
    pub const REACH_S: usize = 8;
    /// Length of the window whose largest value stands for a beat, which holds one from 40 beats/min on
    /// (design choice).
    pub const PEAK_WINDOW_S: f64 = 1.5;
    /// Quantile of the largest values that is the level of beats, below one half so that the smaller of two kinds
    /// of beats sets it (chosen on MIT-BIH DS1).
    pub const BEAT_QUANTILE: f64 = 0.4;
    /// Seconds to either side from which the level of beats is kept up in a silence (design choice: with the reach above it
    /// stays within what a block reads beside itself).
    pub const SILENCE_REACH_S: usize = 11;
    /// Share of the level nearby below which the level of beats does not fall (design choice: beats of one tracing differ by
    /// less, noise in a silence by more).
    pub const SILENCE_SHARE: f32 = 0.15;
    /// Parts of a second whose means stand for its values when the background is measured (design choice).
    pub const BACKGROUND_PARTS: usize = 10;
}

/// What each lead shows at a candidate.
pub mod lead_marks {
    /// Lower candidates are not compared between leads (chosen on MIT-BIH DS1).
    pub const MIN_HEIGHT: f32 = 0.3;
    /// A lead shows beats when their clearness on it is at least this (chosen on MIT-BIH DS1).
    pub const MIN_CLEARNESS: f32 = 0.5;
    /// A second of a lead with a lower quality score is not compared (chosen on MIT-BIH DS1).
    pub const MIN_QUALITY: f32 = 0.2;
    /// The levels before and after a complex begin this far from its middle (design choice: half of a wide QRS
    /// complex).
    pub const LEVEL_FROM_S: f64 = 0.09;
    /// The levels before and after a complex end this far from its middle (design choice).
    pub const LEVEL_TO_S: f64 = 0.15;
}

/// Similarity of shapes.
pub mod template_match {
    /// Two shapes at least this similar are of one kind (chosen on MIT-BIH DS1).
    pub const SAME_KIND: f32 = 0.9;
    /// Beats to either side that a candidate is compared with (chosen on MIT-BIH DS1).
    pub const NEIGHBOURS: usize = 8;
    /// The most similar neighbours, in this number, give the similarity of a candidate (design choice).
    pub const BEST_NEIGHBOURS: usize = 3;
}

/// Prominence and intervals, which all steps of the selection share.
pub mod selection {
    /// A background this near to the usual beat or nearer counts as this near, so that prominence stays finite
    /// (design choice).
    pub const MIN_BEAT_OVER_BACKGROUND: f32 = 0.05;
    /// A candidate of at least this prominence is a clear beat (chosen on MIT-BIH DS1).
    pub const CLEAR_PROMINENCE: f32 = 0.35;
    /// A candidate of this prominence is a beat whatever its shape and however soon it comes (chosen on MIT-BIH DS1).
    pub const SURE_PROMINENCE: f32 = 0.8;
    /// A P wave comes at most this long before the middle of its beat (common practice: PR intervals of up to 0.3 s,
    /// less a part of the QRS complex).
    pub const P_WAVE_S: f64 = 0.28;
    /// A P wave is lower than this fraction of its beat in the band (chosen on MIT-BIH DS1).
    pub const P_WAVE_MAX_HEIGHT: f32 = 0.6;
    /// A T wave of usual shape comes within this time after the middle of its beat (chosen on MIT-BIH DS1).
    pub const T_WAVE_S: f64 = 0.36;
    /// A blunt T wave comes within this time after the middle of its beat (chosen on MIT-BIH DS1).
    pub const LATE_T_WAVE_S: f64 = 0.45;
    /// Beats to either side whose intervals give the usual interval (chosen on MIT-BIH DS1).
    pub const INTERVAL_REACH_BEATS: usize = 6;
    /// The usual interval where no interval is known (design choice: 67 beats/min).
    pub const DEFAULT_INTERVAL_S: f64 = 0.9;
    /// The usual interval is never taken to be shorter than this (design choice: 240 beats/min).
    pub const MIN_INTERVAL_S: f64 = 0.25;
    /// The usual interval is never taken to be longer than this (design choice: 30 beats/min).
    pub const MAX_INTERVAL_S: f64 = 2.0;
    /// A beat is missing where two beats are more than this many usual intervals apart (chosen on MIT-BIH DS1).
    pub const MISSING_FROM_INTERVALS: f64 = 1.6;
    /// A missing beat leaves at least this many usual intervals to either side (chosen on MIT-BIH DS1).
    pub const MISSING_SIDE_INTERVALS: f64 = 0.4;
    /// A beat is one too many where its neighbours are fewer usual intervals apart than this (chosen on MIT-BIH DS1).
    pub const EXTRA_BELOW_INTERVALS: f64 = 1.65;
}

/// Clear beats, without the T waves among them.
pub mod clear_beats {
    /// A T wave of usual shape is lower than this fraction of its beat (chosen on MIT-BIH DS1).
    pub const T_WAVE_MAX_HEIGHT: f32 = 0.5;
    /// A blunt T wave is lower than this fraction of its beat (chosen on MIT-BIH DS1).
    pub const BLUNT_T_WAVE_MAX_HEIGHT: f32 = 0.7;
    /// The sharpness of a blunt T wave is below this fraction of its own height (chosen on MIT-BIH DS1).
    pub const BLUNT_T_WAVE_MAX_SHARPNESS: f32 = 0.55;
    /// The T wave of a wide beat is lower than this fraction of the beat (chosen on MIT-BIH DS1).
    pub const WIDE_T_WAVE_MAX_HEIGHT: f32 = 0.75;
    /// The T wave of a wide beat is less sharp than this fraction of the beat's sharpness (chosen on MIT-BIH DS1).
    pub const WIDE_T_WAVE_MAX_SHARPNESS: f32 = 0.6;
    /// Beats to either side whose T waves are compared with what follows a beat (chosen on MIT-BIH DS1).
    pub const COMPARED_BEATS: usize = 8;
    /// Fewest beats of one shape that tell how high its T waves are (design choice).
    pub const MIN_COMPARED: usize = 4;
    /// What follows a beat is no T wave when it is this many times higher than what follows others
    /// (chosen on MIT-BIH DS1).
    pub const ABOVE_T_WAVES: f32 = 1.8;
    /// It has to be that much higher than what follows this fraction of the others (design choice).
    pub const ABOVE_T_WAVES_OF: f32 = 0.75;
}

/// Beats among the doubtful candidates between clear beats.
pub mod doubtful_beats {
    /// A candidate of less prominence is no beat in the first pass (chosen on MIT-BIH DS1).
    pub const MIN_PROMINENCE: f32 = 0.12;
    /// A candidate whose sharpness is below this fraction of its height is blunt as T waves are; in a usual beat
    /// both are the same (chosen on MIT-BIH DS1).
    pub const MIN_SHARPNESS: f32 = 0.8;
    /// A candidate as low as a P wave is one when it comes at most this long before a beat (common practice: PR
    /// intervals of up to about 0.3 s, less half of the QRS complex).
    pub const P_WAVE_S: f64 = 0.25;
    /// Where a T wave may be, a beat is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const SOON_SIMILARITY: f32 = 0.9;
    /// Where a T wave may be, a beat has at least this prominence (chosen on MIT-BIH DS1).
    pub const SOON_PROMINENCE: f32 = 0.3;
    /// Where a beat is missing, it is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const MISSING_SIMILARITY: f32 = 0.5;
    /// Where a beat is missing, it has at least this prominence (chosen on MIT-BIH DS1).
    pub const MISSING_PROMINENCE: f32 = 0.16;
    /// Elsewhere a beat is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const OTHER_SIMILARITY: f32 = 0.8;
    /// Elsewhere a beat has at least this prominence (chosen on MIT-BIH DS1).
    pub const OTHER_PROMINENCE: f32 = 0.2;
    /// A candidate this similar to its neighbours may be lower (chosen on MIT-BIH DS1).
    pub const HIGH_SIMILARITY: f32 = 0.92;
    /// A candidate of high similarity has at least this prominence (chosen on MIT-BIH DS1).
    pub const HIGH_SIMILARITY_PROMINENCE: f32 = 0.14;
}

/// Beats too many by timing.
pub mod extra_beats {
    /// Tracing is calm where clearness is above this, and beats need less prominence there (chosen on MIT-BIH DS1).
    pub const CALM_CLEARNESS: f32 = 0.6;
    /// In calm tracing the needed prominence falls by this much for each unit of clearness (chosen on MIT-BIH DS1).
    pub const CALM_SLOPE: f32 = 2.0;
    /// In calm tracing a beat is sure with no less prominence than this (chosen on MIT-BIH DS1).
    pub const CALM_MIN_PROMINENCE: f32 = 0.45;
    /// Nearer to another beat than this, calm tracing is no proof (common practice: ventricles are refractory for 0.2
    /// to 0.29 s).
    pub const REFRACTORY_S: f64 = 0.3;
    /// Calm tracing is no proof where the other leads show less than this height (chosen on MIT-BIH DS1).
    pub const MIN_ON_OTHER_LEADS: f32 = 0.35;
    /// A beat less similar to its neighbours than this is dissimilar (chosen on MIT-BIH DS1).
    pub const DISSIMILAR_BELOW: f32 = 0.85;
    /// Dissimilar beats to either side among which the same shape is looked for (chosen on MIT-BIH DS1).
    pub const RECURRENCE_REACH_BEATS: usize = 60;
    /// Two dissimilar beats at least this similar to each other are of one kind (chosen on MIT-BIH DS1).
    pub const RECURRENCE_SIMILARITY: f32 = 0.88;
    /// A dissimilar shape recurs when it is seen this many times more (design choice).
    pub const RECURRENCE_COUNT: usize = 2;
    /// The room of a beat is small when its neighbours are fewer usual intervals apart than this
    /// (chosen on MIT-BIH DS1).
    pub const SMALL_ROOM_INTERVALS: f64 = 1.4;
    /// In small room a beat of little prominence is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const SMALL_ROOM_SIMILARITY: f32 = 0.85;
    /// In small room the needed similarity falls by this much for each unit of prominence (chosen on MIT-BIH DS1).
    pub const SMALL_ROOM_SLOPE: f32 = 0.5;
    /// In small room the needed similarity falls from this prominence on (chosen on MIT-BIH DS1).
    pub const SMALL_ROOM_SLOPE_FROM: f32 = 0.35;
    /// In middling room a beat is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const MIDDLE_ROOM_SIMILARITY: f32 = 0.6;
    /// In middling room a beat is sure with more prominence than this (chosen on MIT-BIH DS1).
    pub const MIDDLE_ROOM_PROMINENCE: f32 = 0.55;
    /// In wide room a beat is at least this similar to its neighbours (chosen on MIT-BIH DS1).
    pub const WIDE_ROOM_SIMILARITY: f32 = 0.3;
    /// In wide room a beat is sure with more prominence than this (chosen on MIT-BIH DS1).
    pub const WIDE_ROOM_PROMINENCE: f32 = 0.42;
}

/// The second pass over the beats.
pub mod second_pass {
    /// A beat at least this similar to its neighbours stays without other proof (chosen on MIT-BIH DS1).
    pub const PROVEN_SIMILARITY: f32 = 0.7;
    /// One lead alone shows what is lower than this on every other lead that shows beats, because the heart's field
    /// reaches all leads and an electrode's noise one (chosen on MIT-BIH DS1).
    pub const ONE_LEAD_HEIGHT: f32 = 0.1;
    /// A change of level above this is a step of the electrode, as the level after a beat is near to that before it
    /// (chosen on MIT-BIH DS1).
    pub const STEP: f32 = 5.0;
    /// What is at least this high on another lead is no step of the electrode (chosen on MIT-BIH DS1).
    pub const STEP_SHOWN_HEIGHT: f32 = 0.5;
    /// A change of level above this is a step where other leads hardly show it (chosen on MIT-BIH DS1).
    pub const SMALL_STEP: f32 = 2.5;
    /// Other leads hardly show what is lower than this on them (chosen on MIT-BIH DS1).
    pub const HARDLY_SHOWN_HEIGHT: f32 = 0.25;
    /// A change of level above this that other leads hardly show is a step at any timing (chosen on MIT-BIH DS1).
    pub const LARGE_STEP: f32 = 8.0;
    /// A beat at least this similar to its neighbours is no large step (chosen on MIT-BIH DS1).
    pub const LARGE_STEP_SIMILARITY: f32 = 0.8;
    /// A beat comes too soon after another within this time, except in a run, whose beats are similar (common
    /// practice: ventricles are refractory for 0.2 to 0.29 s).
    pub const TOO_SOON_S: f64 = 0.26;
    /// Distance to a neighbour that does not exist (design choice: too far to matter).
    pub const NO_NEIGHBOUR_S: f64 = 2.0;
    /// A P wave comes more than this long before the middle of its beat (common practice: PR intervals from 0.12 s
    /// on, less a part of the QRS complex).
    pub const P_WAVE_FROM_S: f64 = 0.1;
    /// A P wave is less similar to its beat than this (chosen on MIT-BIH DS1).
    pub const P_WAVE_SIMILARITY: f32 = 0.6;
    /// A low P wave is lower than this fraction of its beat (chosen on MIT-BIH DS1).
    pub const LOW_P_WAVE_HEIGHT: f32 = 0.85;
    /// A low P wave comes before at least this fraction of the beats nearby (chosen on MIT-BIH DS1).
    pub const LOW_P_WAVE_OF: f32 = 0.15;
    /// A high P wave is lower than this fraction of its beat (chosen on MIT-BIH DS1).
    pub const HIGH_P_WAVE_HEIGHT: f32 = 1.05;
    /// A high P wave comes before at least this fraction of the beats nearby (chosen on MIT-BIH DS1).
    pub const HIGH_P_WAVE_OF: f32 = 0.25;
    /// Beats to either side before which the same P wave is looked for (chosen on MIT-BIH DS1).
    pub const P_WAVE_REACH_BEATS: usize = 6;
    /// Fewest beats nearby that tell whether a P wave recurs (design choice).
    pub const P_WAVE_MIN_BEATS: f32 = 3.0;
    /// Two P waves lie within this time of the same place before their beats (chosen on MIT-BIH DS1).
    pub const P_WAVE_PLACE_S: f64 = 0.05;
    /// Two waves at least this similar are the same P wave (chosen on MIT-BIH DS1).
    pub const SAME_P_WAVE: f32 = 0.8;
    /// A gap of more than this many usual intervals is searched for a beat (chosen on MIT-BIH DS1).
    pub const GAP_INTERVALS: f64 = 1.5;
    /// A gap is searched where clearness is at least this (chosen on MIT-BIH DS1).
    pub const GAP_CLEARNESS: f32 = 0.6;
    /// A beat in step comes at least this many usual intervals after the one before and before the next
    /// (chosen on MIT-BIH DS1).
    pub const IN_STEP_FROM_INTERVALS: f64 = 0.75;
    /// A beat in step comes less than this many usual intervals after the one before and before the next
    /// (chosen on MIT-BIH DS1).
    pub const IN_STEP_TO_INTERVALS: f64 = 1.3;
    /// A beat in step may be as low as the background when it is more similar to its neighbours than this
    /// (chosen on MIT-BIH DS1).
    pub const IN_STEP_SIMILARITY: f32 = 0.85;
    /// A beat in step may be as low as the background where clearness is above this (chosen on MIT-BIH DS1).
    pub const IN_STEP_CLEARNESS: f32 = 0.7;
    /// A beat out of step is more similar to its neighbours than this (chosen on MIT-BIH DS1).
    pub const OUT_OF_STEP_SIMILARITY: f32 = 0.9;
    /// A beat out of step has more prominence than this (chosen on MIT-BIH DS1).
    pub const OUT_OF_STEP_PROMINENCE: f32 = 0.04;
    /// A beat at least this similar to its neighbours is never replaced (chosen on MIT-BIH DS1).
    pub const KEPT_SIMILARITY: f32 = 0.88;
    /// What replaces a beat is higher than this fraction of it (chosen on MIT-BIH DS1).
    pub const REPLACEMENT_HEIGHT: f32 = 0.6;
    /// What replaces a beat is at least this similar to the neighbours (chosen on MIT-BIH DS1).
    pub const REPLACEMENT_SIMILARITY: f32 = 0.9;
    /// What replaces a beat is more similar to the neighbours by at least this much (chosen on MIT-BIH DS1).
    pub const REPLACEMENT_GAIN: f32 = 0.08;
}

/// Activity of the baseline between beats.
pub mod baseline_activity {
    /// Length of the means whose changes are the activity (chosen on made days).
    pub const MEAN_S: f64 = 0.02;
    /// Quantile of the changes that is the activity, as QRS complex and T wave take up the larger ones
    /// (chosen on made days).
    pub const REST_QUANTILE: f64 = 0.4;
    /// Fewest changes that have an activity (design choice).
    pub const MIN_CHANGES: usize = 10;
    /// Seconds to either side whose median counts, because a large T wave fills one second (chosen on made days).
    pub const REACH_S: usize = 3;
    /// The usual activity is measured once in this time (design choice).
    pub const USUAL_EVERY_S: usize = 60;
    /// The usual activity is measured this far to either side, because it is lower at night (design choice).
    pub const USUAL_REACH_S: usize = 300;
    /// A lead on which clearness is below this is not asked (chosen on made days).
    pub const MIN_CLEARNESS: f32 = 0.3;
    /// Activity of a second in which no lead can be asked, against the usual one (design choice: far from rest).
    pub const UNKNOWN: f32 = 9.0;
    /// A lead is at rest when its activity is below this many times the usual one (chosen on made days).
    pub const AT_REST_BELOW: f32 = 1.4;
}

/// Beats in disorder that are noise.
pub mod disorder {
    /// Half of the stretch whose beats judge a second (design choice).
    pub const REACH_S: i64 = 5;
    /// Fewest beats of a stretch that can be judged (design choice).
    pub const MIN_BEATS: usize = 4;
    /// Seconds to either side over which clearness is averaged (design choice).
    pub const CLEARNESS_REACH_S: usize = 2;
    /// Spread of the intervals, standard deviation by mean, above which they are in disorder (chosen on made days and
    /// the MIT-BIH noise stress records; atrial fibrillation has about 0.25).
    pub const DISORDER_SPREAD: f64 = 0.28;
    /// A beat less similar to its neighbours than this is dissimilar (chosen on made days).
    pub const DISSIMILAR_BELOW: f32 = 0.9;
    /// Clearness plus similarity, 2 at best, below which beats in disorder on moving leads are noise
    /// (chosen on made days).
    pub const FAIR_EVIDENCE: f32 = 1.6;
    /// Clearness plus similarity below which beats in disorder are noise on any lead (chosen on made days).
    pub const POOR_EVIDENCE: f32 = 1.1;
    /// A rhythm whose usual spread is above this is irregular by itself and its disorder proves no noise (chosen on
    /// made days; sinus rhythm has about 0.05, atrial fibrillation 0.25).
    pub const IRREGULAR_SPREAD: f64 = 0.15;
    /// The usual spread of a recording is taken from one second in so many (design choice).
    pub const SPREAD_EVERY_S: usize = 5;
    /// With a higher rate than this nearby a stretch may be ventricular tachycardia, which is left to a reader
    /// (design choice).
    pub const FAST_BPM: f64 = 140.0;
    /// With a higher rate than this nearby it may be ventricular tachycardia even on moving leads (design choice).
    pub const VERY_FAST_BPM: f64 = 200.0;
    /// A rate counts as nearby within this time (design choice).
    pub const FAST_REACH_S: usize = 12;
    /// A higher rate than this is noise where beats hardly stand out (design choice: no heart beats faster).
    pub const TOO_FAST_BPM: f64 = 260.0;
    /// Beats hardly stand out where clearness is below this (design choice).
    pub const TOO_FAST_CLEARNESS: f32 = 0.5;
    /// Noise shorter than this is left alone (design choice).
    pub const MIN_S: usize = 4;
    /// Holes of up to this many seconds between stretches of noise are closed (design choice).
    pub const CLOSED_HOLE_S: i64 = 3;
    /// In a mixture of beats and noise more than this fraction of the beats is dissimilar (chosen on the MIT-BIH noise
    /// stress records).
    pub const MIXTURE_DISSIMILAR: f32 = 0.4;
    /// In a mixture of beats and noise clearness is below this on every lead (chosen on the MIT-BIH noise stress
    /// records).
    pub const MIXTURE_CLEARNESS: f32 = 0.6;
    /// A mixture of beats and noise lasts at least this long, about a dozen beats of which half are wrong (chosen on
    /// the MIT-BIH noise stress records).
    pub const MIXTURE_MIN_S: usize = 12;
    /// The smallest interval that a spread is divided by, in samples (design choice: keeps the quotient finite).
    pub const MIN_INTERVAL_SAMPLES: f64 = 1e-9;
}

/// Motion of the leads, by how much larger a second is than the usual one.
pub mod motion {
    /// A lead whose usual second is smaller than this many ADC units is taken to have this size (design choice).
    pub const MIN_SIZE_ADC: f32 = 1.0;
    /// Growth above this counts as this much (design choice).
    pub const MAX_GROWTH: f32 = 4.0;
    /// Seconds to either side over which growth is averaged (design choice).
    pub const REACH_S: usize = 3;
    /// Quantile of the growth of those seconds that stands for its least (design choice).
    pub const LEAST_QUANTILE: f64 = 0.2;
    /// Leads move where the mean growth is above this (chosen on made days).
    pub const MOVING: f32 = 1.4;
    /// A second beside noise that has grown by more than this belongs to it (chosen on made days).
    pub const STILL_MOVING: f32 = 1.2;
    /// Noise that imitates beats has a mean growth above this (chosen on made days).
    pub const IMITATION_MOVING: f32 = 1.3;
    /// Noise that imitates beats has a least growth above this (chosen on made days).
    pub const IMITATION_LEAST: f32 = 1.1;
    /// Noise that imitates beats may have this much more evidence than other noise (chosen on made days).
    pub const IMITATION_EVIDENCE: f32 = 0.1;
    /// Noise that imitates beats may have this much more evidence for each unit of growth beyond
    /// [`MOVING`] (chosen on made days).
    pub const IMITATION_SLOPE: f32 = 0.5;
    /// In noise that imitates beats more than this fraction of the beats is dissimilar (chosen on made days).
    pub const IMITATION_DISSIMILAR: f32 = 0.12;
    /// In a rhythm that is irregular by itself more than this fraction of the beats of noise is dissimilar (chosen on
    /// the MIT-BIH noise stress records).
    pub const IRREGULAR_DISSIMILAR: f32 = 0.4;
    /// In noise the median change from one interval to the next is above this fraction of them; a run has less
    /// (chosen on made days).
    pub const INTERVAL_CHANGE: f64 = 0.15;
    /// Beside noise a beat is out of step when its interval differs from the next by at least this fraction (chosen on
    /// made days).
    pub const OUT_OF_STEP_CHANGE: f64 = 0.2;
    /// Noise is widened by at most this much to either side (design choice).
    pub const WIDEN_S: usize = 8;
    /// Noise is widened by at most this much beyond the last moving second, as beats out of step there may be the
    /// heart's own (chosen on made days).
    pub const WIDEN_BEYOND_S: usize = 2;
}

/// Quality of a lead in the light of the beats.
pub mod lead_quality {
    /// A lead with less clearness than this is noisy (design choice).
    pub const NOISY_BELOW: f32 = 0.45;
    /// A lead with less clearness than this shows no beats (design choice).
    pub const NO_BEATS_BELOW: f32 = 0.1;
    /// A lead with more clearness than this proves that there are beats (design choice).
    pub const BEATS_ABOVE: f32 = 0.6;
    /// Factor of the quality score of a lead without any clearness (design choice).
    pub const SCORE_FACTOR: f32 = 0.2;
    /// What the factor of the quality score gains with full clearness (design choice).
    pub const SCORE_FACTOR_GAIN: f32 = 0.8;
    /// Highest quality score, out of 255, of an unreadable second (design choice).
    pub const UNREADABLE_MAX_SCORE: f32 = 16.0;
}

/// The sample of a beat.
pub mod fiducial {
    /// The main deflection lies within this time of the middle of the complex (design choice).
    pub const REACH_S: f64 = 0.1;
    /// At that distance a deflection counts by this much less, in between by the square of the distance, because the
    /// trough that follows a wide complex is no part of it (chosen on MIT-BIH DS1).
    pub const TAPER: f32 = 0.7;
    /// The level between waves is the median of this time to either side (design choice).
    pub const LEVEL_REACH_S: f64 = 0.3;
    /// Half of the mean that keeps noise from shifting the peak (design choice: 12 ms in all).
    pub const SMOOTH_HALF_S: f64 = 0.006;
    /// A deflection of the usual direction counts from this fraction of the opposite one on (design choice).
    pub const USUAL_DIRECTION: f32 = 0.6;
}

/// What is a spike and no complex. All are design choices, set on made tracings
/// (`cargo test -p beatledger-tests --test traps spike`) so that no score of the open databases got worse.
pub mod spikes {
    /// Fewer beats show no usual complex.
    pub const FEWEST_BEATS: usize = 20;
    /// The usual complex is taken from so many beats at most.
    pub const SAMPLED: usize = 400;
    /// The summit of a complex lies this close to its middle, s.
    pub const SUMMIT_S: f64 = 0.04;
    /// Close to the summit is so close, s to either side.
    pub const NARROW_S: f64 = 0.012;
    /// The height of a complex is looked for so far, s to either side of the summit.
    pub const WIDE_S: f64 = 0.05;
    /// From this share of its height close to the summit on, it lasts less than any complex.
    pub const SHARP: f32 = 0.85;
    /// It is so many times sharper than the usual complex.
    pub const NARROWER_THAN_USUAL: f32 = 1.6;
    /// A lead with a sharper usual complex than this is not asked.
    pub const USUAL_AT_MOST: f32 = 0.6;
    /// A lead is asked where something stands there of this share of its usual height.
    pub const LEAST_HEIGHT: f32 = 0.3;
    /// A complex that a pacing spike makes begins at most so long before it, s,
    pub const EARLIEST_COMPLEX_S: f64 = 0.06;
    /// ends after this time, s,
    pub const LATEST_COMPLEX_S: f64 = 0.14;
    /// and has this share of the usual height.
    pub const LARGEST_COMPLEX: f32 = 0.35;
    /// The feet of a spike itself have less than this share of its height.
    pub const LARGEST_REST: f32 = 0.24;
}

/// Whether a lead looks inverted.
pub mod polarity {
    /// Beats that the average is taken over, at most about (design choice).
    pub const BEATS: usize = 400;
    /// Fewest beats of an average that is judged (design choice).
    pub const MIN_BEATS: usize = 5;
    /// The average begins this long before the beat (design choice).
    pub const BEFORE_S: f64 = 0.3;
    /// The average ends this long after the beat (design choice).
    pub const AFTER_S: f64 = 0.45;
    /// A wave smaller than this has no direction (design choice).
    pub const MIN_WAVE_MV: f32 = 0.03;
    /// The level before the QRS complex is taken from here on, relative to the beat (design choice: the PR segment).
    pub const LEVEL_FROM_S: f64 = -0.085;
    /// The level before the QRS complex is taken up to here, relative to the beat (design choice: the PR segment).
    pub const LEVEL_TO_S: f64 = -0.06;
    /// The P wave is looked for from here on, relative to the beat (common practice).
    pub const P_FROM_S: f64 = -0.24;
    /// The QRS complex is looked for this far to either side of the beat, and the P wave up to there
    /// (common practice).
    pub const QRS_HALF_S: f64 = 0.07;
    /// The T wave is looked for from here on, relative to the beat (common practice).
    pub const T_FROM_S: f64 = 0.14;
    /// The T wave is looked for up to here, relative to the beat (common practice).
    pub const T_TO_S: f64 = 0.42;
    /// The QRS complex points down when its depth is above this many times its height (design choice).
    pub const QRS_DOWN_RATIO: f32 = 2.0;
    /// A P or T wave points down when its depth is above this many times its height (design choice).
    pub const WAVE_DOWN_RATIO: f32 = 1.5;
}
