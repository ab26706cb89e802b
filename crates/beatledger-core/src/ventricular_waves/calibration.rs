//! Every tuned number of the search for waves without beats, once.
//!
//! Where a constant names no other source it was chosen on the MIT-BIH Arrhythmia, Noise Stress Test, CPSC 2021 and
//! CinC 2017 data, so that no recording but the one with ventricular flutter is told to hold waves
//! (`beatledger score --database`).

use std::ops::RangeInclusive;

// Which windows are looked at.

/// A window lasts this long, s; one begins every second.
pub(super) const WINDOW_S: i64 = 4;
/// From this many beats in a window on they may be waves, that is above 120 a minute.
pub(super) const MANY_BEATS: usize = 9;
/// Up to this many beats in a window the rest may be waves that no beat was found in.
pub(super) const FEW_BEATS: usize = 1;
/// The usual size of a lead is taken from this many windows.
pub(super) const WINDOWS_SAMPLED: usize = 64;

// What waves are.

/// Waves leave less than this of themselves when they are shifted by half their period and added.
pub(super) const MOST_LEAKAGE: f32 = 0.45;
/// Waves are near zero for less than this share of the time.
pub(super) const MOST_REST: f32 = 0.3;
/// Near zero is below this share of the mean size.
pub(super) const NEAR_ZERO_SHARE: f32 = 0.3;
/// Waves swing so often a second: 132 to 540 a minute.
pub(super) const SWINGS_PER_SECOND: RangeInclusive<f32> = 2.2..=9.0;
/// Waves are at least this large against the usual window of the lead, as root mean squares.
pub(super) const LEAST_SIZE_SHARE: f32 = 0.6;
/// Smaller waves are never reported, mV root mean square (common practice).
pub(super) const LEAST_SIZE_MV: f32 = 0.05;
/// Stretches closer than this are one, s.
pub(super) const JOIN_S: f64 = 4.0;
/// Shorter stretches are not reported, s: one window alone may be chance.
pub(super) const LEAST_S: f64 = 5.0;

// What motion is: design choices, set on made tracings (`cargo test -p beatledger-tests --test traps motion`).

/// Slow swings come so often a second: 70 to 132 a minute.
pub(super) const SLOW_SWINGS_PER_SECOND: RangeInclusive<f32> = 1.2..=2.2;
/// Slow swings hold less than this share of what a short mean takes away; wide QRS complexes hold more.
pub(super) const MOST_SHARP: f32 = 0.1;
/// That mean is so long, taken twice, s.
pub(super) const SHARP_S: f64 = 0.06;
/// Slow swings are at least this large against the usual window of the lead.
pub(super) const LEAST_SLOW_SIZE: f32 = 1.3;
/// Windows whose seconds are all this many times higher than usual are looked at.
pub(super) const LEAST_GROWTH: f32 = 1.15;
/// Under beats a QRS complex is taken out so far to either side of a beat, s.
pub(super) const QRS_SIDE_S: f64 = 0.07;
/// Swings under beats come so often a second: 70 to 240 a minute.
pub(super) const UNDER_BEATS_PER_SECOND: RangeInclusive<f32> = 1.2..=4.0;
/// With more beats in a window than this, taking them out leaves too little: 120 a minute.
pub(super) const MOST_BEATS: usize = 8;
/// There are more or fewer of them in a window than beats, by more than this.
pub(super) const OWN_PACE: f32 = 1.2;
/// The usual QRS complex is that of so many beats at most,
pub(super) const USUAL_SAMPLED: usize = 100;
/// and of no fewer than this.
pub(super) const FEWEST_USUAL: usize = 20;
/// It is compared so far to either side, s,
pub(super) const QUICK_HALF_S: f64 = 0.05;
/// without a mean that reaches so far to either side, s,
pub(super) const QUICK_SLOW_S: f64 = 0.04;
/// at places so far from the beat, s.
pub(super) const SHIFT_S: f64 = 0.06;
/// A beat has it from this correlation on,
pub(super) const LIKE_USUAL: f32 = 0.85;
/// at this height against it.
pub(super) const HEIGHT_OF_USUAL: RangeInclusive<f32> = 0.6..=1.6;
/// So many of the beats of a window have it where motion lies under them.
pub(super) const MOST_LIKE_USUAL: f32 = 0.6;
/// They are at least this large against the usual window of the lead.
pub(super) const LEAST_SIZE_UNDER_BEATS: f32 = 1.6;
/// Leads are the same at heights that differ by less than this factor
pub(super) const SAME_GAIN: f32 = 1.05;
/// and a correlation above this.
pub(super) const SAME: f32 = 0.98;
/// Leads are much the same at heights that differ by less than this factor
pub(super) const MUCH_GAIN: f32 = 1.12;
/// and a correlation above this: beats may show through the disturbance.
pub(super) const MUCH: f32 = 0.88;

// The filter.

/// Windows are judged at this rate or the next higher one that the recording's rate allows, Hz.
pub(super) const RATE_HZ: f64 = 100.0;
/// A moving mean of this length, taken twice, takes hum and muscle noise away, s.
pub(super) const SHORT_S: f64 = 0.02;
/// A moving mean of this length, taken twice, is subtracted, s: -3 dB at about 1.4 Hz.
pub(super) const LONG_S: f64 = 0.4;
