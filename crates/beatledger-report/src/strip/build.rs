//! Makes the geometry of a strip from a snapshot.

use beatledger_core::condition;
use beatledger_core::model::{Recording, Span, Unit};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;

use super::trace::{self, Room};
use super::{
    BeatMark, GRID_BOLD_MM, HEADER_MM, LeadTrace, PULSE_ROOM_MM, RrLabel, StripGeom, StripOptions, StripText,
    TEXT_MM,
};
use crate::values::{rr_before_ms, short_number};

/// Geometry of `span` of the recording; the span is cut to the recording.
pub fn build(snapshot: &Snapshot, span: Span, options: &StripOptions) -> StripGeom {
    let recording = &*snapshot.recording;
    let span = span.overlap(recording.whole());
    let options = &sane(options);
    let x0_mm = if options.calibration_pulse { PULSE_ROOM_MM } else { 0.0 };
    let length_mm = recording.rate.seconds_from_samples(span.len()) as f32 * options.mm_per_s;
    let mut geom = StripGeom {
        span,
        width_mm: x0_mm + length_mm,
        height_mm: HEADER_MM,
        x0_mm,
        mm_per_s: options.mm_per_s,
        mm_per_mv: options.mm_per_mv,
        leads: Vec::new(),
        marks: Vec::new(),
        rr: Vec::new(),
        unreadable: Vec::new(),
        texts: Vec::new(),
        seconds: Vec::new(),
        caption: String::new(),
    };
    for lead in wanted_leads(recording, options) {
        let trace = lead_trace(snapshot, lead, &geom, options);
        geom.height_mm = trace.bottom_mm;
        geom.texts.push(StripText { x_mm: 1.0, y_mm: trace.top_mm + TEXT_MM, text: trace.name.clone() });
        geom.leads.push(trace);
    }
    add_beats(snapshot, &mut geom);
    add_unreadable(snapshot, &mut geom);
    add_seconds(recording, &mut geom);
    geom.caption = caption(snapshot, &geom);
    geom
}

/// Options with impossible numbers replaced by those of paper scale.
fn sane(options: &StripOptions) -> StripOptions {
    let or = |x: f32, or: f32| if x.is_finite() && x > 0.0 { x } else { or };
    StripOptions {
        mm_per_s: or(options.mm_per_s, 25.0),
        mm_per_mv: or(options.mm_per_mv, 10.0),
        thin_below_mm: or(options.thin_below_mm, 0.1),
        ..options.clone()
    }
}

fn wanted_leads(recording: &Recording, options: &StripOptions) -> Vec<usize> {
    match options.leads.is_empty() {
        true => (0..recording.leads.len()).collect(),
        false => options.leads.iter().copied().filter(|l| *l < recording.leads.len()).collect(),
    }
}

fn lead_trace(snapshot: &Snapshot, lead: usize, geom: &StripGeom, options: &StripOptions) -> LeadTrace {
    let recording = &*snapshot.recording;
    let mut mv = Vec::new();
    condition::display_mv(recording, lead, geom.span, &snapshot.settings, &mut mv);
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    if inverted {
        mv.iter_mut().for_each(|x| *x = -*x);
    }
    let room = room(&mv, geom.height_mm, options);
    let step_mm = f64::from(options.mm_per_s) / recording.rate.hz();
    let per_column = ((f64::from(options.thin_below_mm) / step_mm + 1e-6) as i64).max(1);
    let (polylines, cut) =
        trace::lines(&mv, geom.span.start, per_column, (geom.x0_mm, step_mm), options.mm_per_mv, room);
    let name = &recording.leads[lead].name;
    LeadTrace {
        lead,
        name: if inverted { format!("{name} (inverted)") } else { name.clone() },
        top_mm: room.top_mm,
        bottom_mm: room.bottom_mm,
        baseline_mm: room.baseline_mm,
        polylines,
        pulse: if options.calibration_pulse { pulse(options, room) } else { Vec::new() },
        cut,
    }
}

/// Room of a lead below `top_mm`: what the tracing needs in steps of 5 mm, or what the options say, with
/// 0 mV on a bold line.
fn room(mv: &[f32], top_mm: f32, options: &StripOptions) -> Room {
    let steps = |mm: f32, most: f32| ((mm / GRID_BOLD_MM).ceil() * GRID_BOLD_MM).clamp(GRID_BOLD_MM, most);
    let (up, down) = match options.lead_height_mm.filter(|h| h.is_finite() && *h > 0.0) {
        Some(height) => {
            let up = (height * 0.6 / GRID_BOLD_MM).round() * GRID_BOLD_MM;
            (up, height - up)
        }
        None => {
            let (low, high) = mv.iter().fold((0f32, 0f32), |(l, h), x| (l.min(*x), h.max(*x)));
            // The pulse of 1 mV must fit as well, where there is one.
            let high_mm = if options.calibration_pulse { high.max(1.0) } else { high } * options.mm_per_mv;
            (steps(high_mm + 1.0, 30.0), steps(-low * options.mm_per_mv, 25.0))
        }
    };
    Room { top_mm, bottom_mm: top_mm + up + down, baseline_mm: top_mm + up }
}

/// A pulse of 1 mV and 200 ms that rests on 0 mV.
fn pulse(options: &StripOptions, room: Room) -> Vec<[f32; 2]> {
    let (low, high) = (room.baseline_mm, (room.baseline_mm - options.mm_per_mv).max(room.top_mm));
    let width = 0.2 * options.mm_per_s;
    let from = ((PULSE_ROOM_MM - width) / 2.0).max(0.5);
    let (start, to) = ((from - 2.0).max(0.2), from + width);
    let end = (to + 2.0).min((PULSE_ROOM_MM - 0.2).max(to));
    vec![[start, low], [from, low], [from, high], [to, high], [to, low], [end, low]]
}

fn add_beats(snapshot: &Snapshot, geom: &mut StripGeom) {
    let (beats, rate) = (&*snapshot.beats, snapshot.recording.rate);
    let from = beats.partition_point(|b| b.sample < geom.span.start);
    let to = beats.partition_point(|b| b.sample < geom.span.end);
    for i in from..to {
        let beat = &beats[i];
        let x_mm = geom.x_from_sample(rate.hz(), beat.sample);
        if let Some(rr_ms) = rr_before_ms(snapshot, i).filter(|_| i > from) {
            let width_mm = x_mm - geom.x_from_sample(rate.hz(), beats[i - 1].sample);
            geom.rr.push(RrLabel { x_mm: x_mm - width_mm / 2.0, width_mm, rr_ms });
        }
        geom.marks.push(BeatMark {
            beat: i as u32,
            x_mm,
            letter: beat.class.letter(),
            class: beat.class,
            changed: beat.is_changed(),
        });
    }
}

fn add_unreadable(snapshot: &Snapshot, geom: &mut StripGeom) {
    let hz = snapshot.recording.rate.hz();
    let first = snapshot.unreadable.partition_point(|s| s.end <= geom.span.start);
    for hole in snapshot.unreadable[first..].iter().take_while(|s| s.start < geom.span.end) {
        let part = hole.overlap(geom.span);
        geom.unreadable.push((geom.x_from_sample(hz, part.start), geom.x_from_sample(hz, part.end)));
    }
}

/// Marks whole seconds of the clock (of elapsed time when there is no clock).
fn add_seconds(recording: &Recording, geom: &mut StripGeom) {
    let rate = recording.rate;
    let clock0_s = recording.start.map_or(0.0, |s| s.ms_of_day() as f64 / 1000.0);
    let from_s = clock0_s + rate.seconds_from_samples(geom.span.start);
    let length_s = rate.seconds_from_samples(geom.span.len());
    let mut second = from_s.ceil();
    // A strip longer than an hour is not drawn on paper scale; second marks would only blacken it.
    while second <= from_s + length_s && length_s < 3600.0 {
        geom.seconds.push(geom.x0_mm + ((second - from_s) * f64::from(geom.mm_per_s)) as f32);
        second += 1.0;
    }
}

fn caption(snapshot: &Snapshot, geom: &StripGeom) -> String {
    let recording = &*snapshot.recording;
    let names: Vec<&str> = geom.leads.iter().map(|l| l.name.as_str()).collect();
    let mut parts = vec![
        format!("{} to {}", recording.clock(geom.span.start), recording.clock(geom.span.end)),
        if names.is_empty() { "no lead".to_owned() } else { names.join(", ") },
        format!("{} mm/s", short_number(f64::from(geom.mm_per_s))),
        format!("{} mm/mV", short_number(f64::from(geom.mm_per_mv))),
        filters_text(&snapshot.settings),
    ];
    if geom.leads.iter().any(|l| recording.leads[l.lead].unit == Unit::Uncalibrated) {
        parts.push("gain assumed, the file states none".to_owned());
    }
    if geom.leads.iter().any(|l| l.cut) {
        parts.push("tall deflections cut".to_owned());
    }
    parts.join(" · ")
}

/// The filters of the tracing in words, such as `0.5 to 40 Hz, 50 Hz mains removed`.
pub fn filters_text(settings: &Settings) -> String {
    let band = format!("{} to {} Hz", short_number(settings.highpass_hz), short_number(settings.lowpass_hz));
    match settings.mains_hz > 0.0 {
        true => format!("{band}, {} Hz mains removed", short_number(settings.mains_hz)),
        false => format!("{band}, mains not removed"),
    }
}
