//! The seconds of a recording and where they begin.

use crate::model::Recording;

/// Number of seconds in the recording, a last partial one included.
pub(crate) fn seconds_in(recording: &Recording) -> usize {
    let (samples, seconds) = recording.rate.parts();
    ((recording.samples * i64::from(seconds)) as u64).div_ceil(u64::from(samples)) as usize
}

/// First sample of a second.
pub(crate) fn sample_of_second(recording: &Recording, second: i64) -> i64 {
    let (samples, seconds) = recording.rate.parts();
    (second * i64::from(samples)).div_euclid(i64::from(seconds))
}
