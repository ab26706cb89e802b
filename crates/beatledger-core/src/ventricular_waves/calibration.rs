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

// The filter.

/// Windows are judged at this rate or the next higher one that the recording's rate allows, Hz.
pub(super) const RATE_HZ: f64 = 100.0;
/// A moving mean of this length, taken twice, takes hum and muscle noise away, s.
pub(super) const SHORT_S: f64 = 0.02;
/// A moving mean of this length, taken twice, is subtracted, s: -3 dB at about 1.4 Hz.
pub(super) const LONG_S: f64 = 0.4;
