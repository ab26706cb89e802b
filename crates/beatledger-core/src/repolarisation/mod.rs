//! Beats and their wave limits to ST levels and T-wave alternans.
//!
//! Both need the samples, so they are measured once for every beat and no edit waits for them. Which beats count is
//! decided later, in `measure`, from the beats as they stand. No figure and no event is made here.

mod alternans;
mod beats;
mod calibration;
mod st;
mod trace;

use rayon::prelude::*;

use crate::model::{BeatClass, Progress, Recording, Repolarisation, Waves};
use crate::settings::Settings;
use alternans::Shapes;
use beats::Beats;
use trace::{Trace, stretches};

/// ST levels and alternans of every lead. `samples` (rising), `classes` and `waves` have one entry a beat.
pub fn repolarisation(
    recording: &Recording,
    settings: &Settings,
    samples: &[i64],
    classes: &[BeatClass],
    waves: &[Waves],
    progress: &Progress,
) -> Repolarisation {
    let beats = Beats { recording, settings, samples, classes, waves };
    let parts = stretches(recording, samples);
    let of_lead = |lead: usize| {
        if progress.is_cancelled() {
            return (Vec::new(), (Vec::new(), Vec::new()));
        }
        let measured: Vec<(Vec<i16>, Vec<i16>, Shapes)> = parts
            .par_iter()
            .map(|part| {
                let trace = Trace::read(recording, lead, samples, part);
                (
                    st::levels_uv(&beats, &trace, part),
                    st::heights_uv(&beats, &trace, part),
                    alternans::shapes(&beats, &trace, part),
                )
            })
            .collect();
        let (mut st_uv, mut qrs_uv) = (Vec::with_capacity(samples.len()), Vec::with_capacity(samples.len()));
        let mut shapes = Shapes::default();
        for (st, qrs, part) in measured {
            st_uv.extend(st);
            qrs_uv.extend(qrs);
            shapes.append(part);
        }
        (st_uv, (qrs_uv, alternans::windows(&beats, &shapes)))
    };
    let (st_uv, (qrs_uv, alternans)) = (0..recording.leads.len()).into_par_iter().map(of_lead).unzip();
    Repolarisation { st_uv, qrs_uv, alternans }
}

#[cfg(test)]
mod tests;
