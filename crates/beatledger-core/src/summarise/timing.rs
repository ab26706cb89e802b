//! Ectopy by the clock, and when ventricular beats come, in the order of the catalogue.

use std::sync::Arc;

use super::figure_list::{FigureList, singles};
use super::heart;
use super::reasons::NO_START;
use crate::measure::intervals::Intervals;
use crate::measure::rate::nights;
use crate::measure::{Day, premature};
use crate::model::{BeatClass, FigureId, Proof, Span};

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

/// Ids of count, burden and rate by the hour.
type Ids = [FigureId; 3];
const V_IDS: [Ids; 2] = [
    [FigureId::VWakingBeats, FigureId::VWakingPercent, FigureId::VWakingPerHour],
    [FigureId::VNightBeats, FigureId::VNightPercent, FigureId::VNightPerHour],
];
const S_IDS: [Ids; 2] = [
    [FigureId::SWakingBeats, FigureId::SWakingPercent, FigureId::SWakingPerHour],
    [FigureId::SNightBeats, FigureId::SNightPercent, FigureId::SNightPerHour],
];

/// Count, burden and rate by the hour of a class, of the waking hours and of the night.
fn by_the_clock(day: &Day<'_>, ids: [Ids; 2], class: BeatClass, list: &mut FigureList) {
    let found = premature::by_day_and_night(day, class).zip(shares(day));
    let Some(((waking, night), shares)) = found else {
        let all = ids.as_flattened().iter();
        return all.for_each(|id| list.number(*id, None, NO_START, Proof::Class(class), None));
    };
    for ([count, percent, per_hour], (beats, share)) in
        ids.into_iter().zip([waking, night].iter().zip(shares))
    {
        singles(day, count, beats, list);
        let proof = || Proof::Beats(Arc::from(beats.as_slice()));
        let n = beats.len() as f64;
        let of_beats = (share.beats > 0).then(|| 100.0 * n / share.beats as f64);
        list.number(percent, of_beats, "no beats in these hours", proof(), None);
        let of_hours = (share.hours > 0.0).then(|| n / share.hours);
        list.number(per_hour, of_hours, "no readable time in these hours", proof(), None);
    }
}

/// Ectopy by the clock, and when ventricular beats come.
pub fn timing(day: &Day<'_>, waves: &Intervals, list: &mut FigureList) {
    by_the_clock(day, V_IDS, BeatClass::V, list);
    by_the_clock(day, S_IDS, BeatClass::S, list);
    let coupling = premature::coupling(day);
    let proof = Proof::Beats(Arc::from(coupling.beats.as_slice()));
    let none = "no ventricular beat follows a normal one outside atrial fibrillation";
    list.number(FigureId::VCouplingMs, coupling.mean_ms, none, proof.clone(), None);
    let few = "fewer than two ventricular beats follow a normal one outside atrial fibrillation";
    list.number(FigureId::VCouplingSdMs, coupling.sd_ms, few, proof.clone(), None);
    list.number(FigureId::VCouplingMinMs, coupling.range_ms.map(|r| r.0), none, proof.clone(), None);
    list.number(FigureId::VCouplingMaxMs, coupling.range_ms.map(|r| r.1), none, proof, None);
    match premature::r_on_t(day, waves) {
        Some(beats) => singles(day, FigureId::VROnT, &beats, list),
        None => list.number(FigureId::VROnT, None, heart::NO_QT, Proof::Class(BeatClass::V), None),
    }
    singles(day, FigureId::VInterpolated, &premature::interpolated(day), list);
}
