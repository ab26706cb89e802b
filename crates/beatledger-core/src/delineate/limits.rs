//! All limits of one beat, or of one averaged beat.

use super::window::Window;
use super::{p_wave, qrs, t_wave};
use crate::model::Waves;

/// The limits that the samples show.
pub(super) fn limits_of(window: &Window) -> Waves {
    let Some(qrs) = qrs::limits(window) else {
        return Waves::default();
    };
    let t = t_wave::t_wave(window, qrs);
    let p = p_wave::p_wave(window, qrs);
    let offset = |at: usize| i16::try_from(at as i64 - window.beat as i64).ok();
    Waves {
        p_on: p.and_then(|p| offset(p.on)),
        p_peak: p.and_then(|p| offset(p.peak)),
        p_off: p.and_then(|p| offset(p.off)),
        qrs_on: offset(qrs.on),
        qrs_off: offset(qrs.off),
        t_peak: t.and_then(|t| offset(t.peak)),
        t_off: t.and_then(|t| t.off).and_then(offset),
    }
}
