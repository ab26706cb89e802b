//! Every tuned number of conditioning, by step.
//!
//! 'Chosen on MIT-BIH DS1' means with `beatledger score` on the training half of that database.

// Work

/// Length of the stretch that one thread works on, which changes no result (design choice).
pub(crate) const BLOCK_S: i64 = 300;

// The band in which beats are looked for

/// The working rate is at least this, and less than twice this (design choice).
pub const MIN_WORKING_RATE_HZ: f64 = 100.0;
/// Lower -3 dB point of the band, as ectopic QRS complexes have their energy from about 4 Hz on and T waves below
/// (common practice).
pub const BAND_LOW_HZ: f64 = 5.0;
/// Width of the short moving average, which taken twice is -3 dB at about 16 Hz and has a zero near 50 Hz
/// (design choice).
pub const SHORT_AVERAGE_S: f64 = 0.02;
/// Whole-number steps of a banded value per millivolt (design choice: rounding stays far below the noise).
pub(crate) const STEPS_PER_MV: f64 = 16_000.0;
/// Width of the envelope of the band (design choice: about that of a QRS complex).
pub(crate) const ENVELOPE_S: f64 = 0.1;
/// Product of frequency and width at which one minus a moving average taken twice is -3 dB (solution of
/// `1 - sinc^2(x) = sqrt(1/2)`).
pub const HIGHPASS_HZ_S: f64 = 0.5733;

// The tracing as it is drawn and measured

/// Lowest corner of the baseline filter, so that its width stays finite (design choice).
pub const MIN_HIGHPASS_HZ: f64 = 0.01;
/// Mains is filtered only where the high end lets more than this fraction of it pass (design choice: 26 dB).
pub const MAINS_LEFT: f64 = 0.05;
/// Width from the -3 dB point of the low-pass filter to its stop band as a fraction of the former (design choice).
pub const STOP_BAND_DISTANCE: f64 = 0.2;
/// Least width from the -3 dB point of the low-pass filter to its stop band (design choice).
pub const MIN_STOP_BAND_DISTANCE_HZ: f64 = 6.0;
/// Taps to either side of a Hamming window times its transition, as a fraction of the rate (textbook, from memory: 3.3
/// for both sides together).
pub const HAMMING_TAPS: f64 = 1.65;
/// Transition of the window by the width from the -3 dB point to the stop band, as a part of the transition lies below
/// the -3 dB point (design choice).
pub const WINDOW_TRANSITION: f64 = 1.6;
/// Halvings in the search for the -3 dB point of the low-pass filter (design choice: finer than the taps' precision).
pub const SEARCH_STEPS: usize = 30;
/// Level of the Hamming window (textbook).
pub const HAMMING_LEVEL: f64 = 0.54;
/// Swing of the Hamming window (textbook).
pub const HAMMING_SWING: f64 = 0.46;
/// Half of the Hann window of the mains filter (design choice: -3 dB about 1.4 Hz to either side).
pub const NOTCH_HALF_S: f64 = 0.25;
/// Mains above this fraction of the rate is not filtered, as the tracing cannot hold it (design choice).
pub const MAX_NOTCH: f64 = 0.49;

// Quality by lead and second: what is measured

/// Parts of a second among which the quiet ones are looked for (design choice).
pub const ROUGHNESS_PARTS: usize = 10;
/// Rank of the part, from the smoothest on, that stands for the quiet ones, as QRS complexes fill fewer than seven of
/// ten (design choice).
pub const ROUGHNESS_RANK: usize = 2;

// Quality by lead and second: how it is judged

/// A second is missing when at least this fraction of its samples is (design choice).
pub const MISSING_FROM: f32 = 0.5;
/// A second is railed when at least this fraction of its samples stands at the limits of the recorder (design choice).
pub const RAILED_FROM: f32 = 0.2;
/// The usual size of a beat is never taken to be less (design choice).
pub const MIN_USUAL_BEAT_MV: f32 = 1e-4;
/// A second this many times larger than the usual second is no ECG (chosen on MIT-BIH DS1).
pub const HUGE_RATIO: f32 = 8.0;
/// A second smaller than this is never too large to be ECG (design choice).
pub const MIN_HUGE_MV: f32 = 3.0;
/// A second above this fraction of the size that is no ECG is noisy (design choice).
pub const NOISY_SIZE: f32 = 0.5;
/// Noise above this many times the usual beat makes a second unreadable (chosen on MIT-BIH DS1).
pub const UNREADABLE_NOISE: f32 = 1.5;
/// Noise above this fraction of the usual beat makes a second noisy (chosen on MIT-BIH DS1).
pub const NOISY_NOISE: f32 = 0.4;
/// Weight of noise against beats in the quality score, as the second difference is about half as sensitive to beats as
/// the band (design choice).
pub const SCORE_NOISE_WEIGHT: f32 = 2.0;
/// Quality score of an unreadable second by that of a readable one of the same noise (design choice).
pub const UNREADABLE_SCORE_DIVISOR: u8 = 8;
/// Highest quality score, out of 255, of an unreadable second (design choice).
pub const UNREADABLE_MAX_SCORE: u8 = 16;
/// A flat second without the usual noise has at most this fraction of it (design choice).
pub const QUIET_NOISE: f32 = 0.4;
/// A flat stretch without the usual noise is lost contact from this many seconds on (design choice).
pub const QUIET_FLAT_S: usize = 2;
/// A flat stretch is lost contact from this many seconds on, whatever its noise (design choice).
pub const LONG_FLAT_S: usize = 10;
/// A second without a beat has an envelope below this fraction of the usual beat (design choice).
pub const NO_BEAT_HEIGHT: f32 = 0.15;
/// A stretch without beats may be drifting from this many seconds on (design choice).
pub const DRIFT_S: usize = 2;
/// A stretch without beats drifts when its level moves by more than this fraction of the usual size (design choice).
pub const DRIFT_SIZE: f32 = 0.5;

// Unreadable time

/// An unreadable stretch this short is left readable (design choice).
pub const BRIEF_S: f64 = 1.5;
/// Unreadable stretches closer than this are joined, because beats between them cannot be judged (design choice).
pub const ISLAND_S: f64 = 2.0;
