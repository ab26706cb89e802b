//! ST level of every beat: `st_offset_ms` after the end of QRS, `st_fast_offset_ms` when the rate is fast, against the
//! level before QRS (J+80 and J+60 ms, Long-Term ST Database documentation).

use std::ops::Range;

use super::beats::Beats;
use super::calibration::{HALF_MS, ST_SHARE_OF_RR};
use super::trace::Trace;
use crate::model::{MS_PER_SECOND, Repolarisation, SECONDS_PER_MINUTE};

/// ST level of each beat of `part`, uV.
pub(super) fn levels_uv(beats: &Beats<'_>, trace: &Trace, part: &Range<usize>) -> Vec<i16> {
    part.clone().map(|i| level_uv(beats, trace, i).unwrap_or(Repolarisation::NO_LEVEL)).collect()
}

/// Level at each beat of `part` itself, uV: the height of its complex.
pub(super) fn heights_uv(beats: &Beats<'_>, trace: &Trace, part: &Range<usize>) -> Vec<i16> {
    let height = |i: usize| {
        let at = beats.samples[i];
        let level = trace.around_uv(at)? - trace.before_qrs_uv(at + i64::from(beats.waves[i].qrs_on?))?;
        (level.abs() < f64::from(i16::MAX)).then_some(level.round() as i16)
    };
    part.clone().map(|i| height(i).unwrap_or(Repolarisation::NO_LEVEL)).collect()
}

fn level_uv(beats: &Beats<'_>, trace: &Trace, i: usize) -> Option<i16> {
    let (at, waves, settings) = (beats.samples[i], &beats.waves[i], beats.settings);
    let (on, off) = (i64::from(waves.qrs_on?), i64::from(waves.qrs_off?));
    let fast = trace.samples(SECONDS_PER_MINUTE * MS_PER_SECOND / settings.st_fast_bpm);
    let is_fast = i > 0 && at - beats.samples[i - 1] <= fast;
    let offset = if is_fast { settings.st_fast_offset_ms } else { settings.st_offset_ms };
    let place = at + off + trace.samples(offset);
    // The P wave of the next beat is no ST.
    let next = beats
        .samples
        .get(i + 1)
        .map_or(i64::MAX, |next| at + (next - at) * ST_SHARE_OF_RR.0 / ST_SHARE_OF_RR.1);
    if place + trace.samples(HALF_MS) > next {
        return None;
    }
    let level = trace.around_uv(place)? - trace.before_qrs_uv(at + on)?;
    (level.abs() < f64::from(i16::MAX)).then_some(level.round() as i16)
}
