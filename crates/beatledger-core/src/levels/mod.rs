//! Beats and their wave limits to what only the tracing tells of ST and T: measured once, so that no edit waits for
//! samples. Which of it counts is asked later, of the beats as they stand.

pub mod alternans;
mod st;
mod trace;

use rayon::prelude::*;

use crate::model::{BeatClass, Levels, Progress, Quality, Recording, Waves};
use crate::settings::Settings;
use alternans::Shapes;
use trace::{Trace, stretches};

/// The beats that are measured.
struct Beats<'a> {
    recording: &'a Recording,
    settings: &'a Settings,
    samples: &'a [i64],
    classes: &'a [BeatClass],
    waves: &'a [Waves],
}

/// ST levels and alternans of every lead. `samples` (rising), `classes` and `waves` have one entry a beat.
pub fn levels(
    recording: &Recording,
    _quality: &Quality,
    settings: &Settings,
    samples: &[i64],
    classes: &[BeatClass],
    waves: &[Waves],
    progress: &Progress,
) -> Levels {
    let beats = Beats { recording, settings, samples, classes, waves };
    let parts = stretches(recording, samples);
    let of_lead = |lead: usize| {
        if progress.is_cancelled() {
            return (Vec::new(), Vec::new());
        }
        let measured: Vec<(Vec<i16>, Shapes)> = parts
            .par_iter()
            .map(|part| {
                let trace = Trace::read(recording, lead, samples, part);
                (st::levels_uv(&beats, &trace, part), alternans::shapes(&beats, &trace, part))
            })
            .collect();
        let mut st_uv = Vec::with_capacity(samples.len());
        let mut shapes = Shapes::default();
        for (st, part) in measured {
            st_uv.extend(st);
            shapes.append(part);
        }
        (st_uv, alternans::windows(&beats, &shapes))
    };
    let (st_uv, alternans) = (0..recording.leads.len()).into_par_iter().map(of_lead).unzip();
    Levels { st_uv, alternans }
}

#[cfg(test)]
mod tests;
