//! Ectopy by the clock, and when ventricular beats come, in the order of the catalogue.

use std::sync::Arc;

use super::figures::singles;
use super::sheet::Sheet;
use super::{NO_START, heart};
use crate::measure::intervals::Intervals;
use crate::measure::rate::nights;
use crate::measure::{Day, premature};
use crate::model::{BeatClass, Proof, Span};

/// Beats and readable hours of the waking hours and of the night.
struct Share {
    beats: usize,
    hours: f64,
}

/// Those of waking hours and night; `None` without a start time.
fn shares(day: &Day<'_>) -> Option<[Share; 2]> {
    let reading = day.reading();
    reading.recording.start?;
    let nights = nights(reading);
    let beats: usize = nights.iter().map(|n| reading.beats_in(*n).len()).sum();
    let samples = |spans: &[Span]| spans.iter().map(|s| reading.readable_samples(*s)).sum::<i64>();
    let (night, all) = (samples(&nights), samples(&[reading.recording.whole()]));
    let hours = |samples: i64| reading.recording.rate.seconds_from_samples(samples) / 3600.0;
    let waking = Share { beats: day.columns.len() - beats, hours: hours(all - night) };
    Some([waking, Share { beats, hours: hours(night) }])
}

/// Keys of count, burden and rate by the hour.
type Keys = [&'static str; 3];
const V_KEYS: [Keys; 2] = [
    ["v_waking_beats", "v_waking_percent", "v_waking_per_hour"],
    ["v_night_beats", "v_night_percent", "v_night_per_hour"],
];
const S_KEYS: [Keys; 2] = [
    ["s_waking_beats", "s_waking_percent", "s_waking_per_hour"],
    ["s_night_beats", "s_night_percent", "s_night_per_hour"],
];

/// Count, burden and rate by the hour of a class, of the waking hours and of the night.
fn by_the_clock(day: &Day<'_>, keys: [Keys; 2], class: BeatClass, sheet: &mut Sheet) {
    let found = premature::by_day_and_night(day, class).zip(shares(day));
    let Some(((waking, night), shares)) = found else {
        let all = keys.as_flattened().iter();
        return all.for_each(|key| sheet.number(key, None, 0, NO_START, Proof::Class(class), None));
    };
    for ([count, percent, per_hour], (beats, share)) in
        keys.into_iter().zip([waking, night].iter().zip(shares))
    {
        singles(day, count, beats, sheet);
        let proof = || Proof::Beats(Arc::from(beats.as_slice()));
        let n = beats.len() as f64;
        let of_beats = (share.beats > 0).then(|| 100.0 * n / share.beats as f64);
        sheet.number(percent, of_beats, 2, "no beats in these hours", proof(), None);
        let of_hours = (share.hours > 0.0).then(|| n / share.hours);
        sheet.number(per_hour, of_hours, 1, "no readable time in these hours", proof(), None);
    }
}

/// Ectopy by the clock, and when ventricular beats come.
pub fn timing(day: &Day<'_>, waves: &Intervals, sheet: &mut Sheet) {
    by_the_clock(day, V_KEYS, BeatClass::V, sheet);
    by_the_clock(day, S_KEYS, BeatClass::S, sheet);
    let coupling = premature::coupling(day);
    let proof = Proof::Beats(Arc::from(coupling.beats.as_slice()));
    let none = "no ventricular beat follows a normal one outside atrial fibrillation";
    sheet.number("v_coupling_ms", coupling.mean_ms, 0, none, proof.clone(), None);
    let few = "fewer than two ventricular beats follow a normal one outside atrial fibrillation";
    sheet.number("v_coupling_sd_ms", coupling.sd_ms, 0, few, proof.clone(), None);
    sheet.number("v_coupling_min_ms", coupling.range_ms.map(|r| r.0), 0, none, proof.clone(), None);
    sheet.number("v_coupling_max_ms", coupling.range_ms.map(|r| r.1), 0, none, proof, None);
    match premature::r_on_t(day, waves) {
        Some(beats) => singles(day, "v_r_on_t", &beats, sheet),
        None => sheet.number("v_r_on_t", None, 0, heart::NO_QT, Proof::Class(BeatClass::V), None),
    }
    singles(day, "v_interpolated", &premature::interpolated(day), sheet);
}
