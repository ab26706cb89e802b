//! A made day with a change of ST.

use std::sync::Arc;

use beatledger_core::model::{Recording, Span};
use beatledger_synth::Made;

/// The recording of a made day with ST moved by `mv` on one lead between the beats of `span`: a plateau from the end of
/// QRS to the middle of T with soft edges, as nobody's ST moves in a step.
pub fn with_st_change(made: &Made, lead: usize, span: Span, mv: f64) -> Recording {
    let mut recording = made.recording.clone();
    let rate = recording.rate;
    let line = &mut recording.leads[lead];
    let mut samples = vec![0i32; recording.samples as usize];
    line.samples.read(0, &mut samples);
    for beat in made.truth.beats.iter().filter(|b| span.contains(b.sample)) {
        let (from_ms, to_ms) = (beat.limits.qrs_ms.1, beat.limits.qrs_ms.1 + 200.0);
        for at in rate.samples_from_ms(from_ms)..rate.samples_from_ms(to_ms) {
            let ms = rate.ms_from_samples(at);
            let share = ((ms - from_ms) / 20.0).min((to_ms - ms) / 60.0).clamp(0.0, 1.0);
            if let Some(sample) = samples.get_mut((beat.sample + at) as usize) {
                *sample += (share * mv * line.adc_per_mv).round() as i32;
            }
        }
    }
    line.samples = Arc::new(samples.into_iter().map(|s| s as i16).collect::<Vec<i16>>());
    recording
}
