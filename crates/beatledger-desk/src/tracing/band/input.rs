//! Pointer and keys on the day band: a click goes there, a hover says what is there.

use beatledger_core::model::{BeatClass, Span};
use beatledger_core::session::Snapshot;
use beatledger_report::values::day_clock;
use egui::{Key, Response, Ui};

use super::plot::BandPlot;
use crate::app::act::Act;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::{beats_in, nearest_beat};

/// Goes where the pointer clicks, or says what lies under it.
pub fn pointer(response: &Response, day: &BandPlot, view: &mut ViewContext<'_>) {
    if response.clicked() || response.dragged() {
        response.request_focus();
        if let Some(pos) = response.interact_pointer_pos() {
            view.acts.push(Act::GoTo(day.sample_from_x(pos.x)));
        }
    } else if let Some(pos) = response.hover_pos().filter(|p| day.plot.expand(2.0).contains(*p)) {
        let words = what_is_at(view.snapshot, day, pos.x);
        response.clone().on_hover_text_at_pointer(words);
    }
}

/// Clock, rate and what there is around one column, in words.
pub(super) fn what_is_at(snapshot: &Snapshot, day: &BandPlot, x: f32) -> String {
    let at = day.sample_from_x(x);
    let around = Span::new(day.sample_from_x(x - 2.0), day.sample_from_x(x + 2.0) + 1);
    let recording = &snapshot.recording;
    let mut words = day_clock(recording, at);
    let minute = snapshot.summary.trend.partition_point(|t| t.0 <= at).checked_sub(1);
    if let Some((start, min, mean, max)) = minute.and_then(|m| snapshot.summary.trend.get(m))
        && recording.rate.seconds_from_samples(at - start) < 60.0
    {
        words += &format!("\n{mean:.0} bpm ({min:.0} to {max:.0} in this minute)");
    }
    let beats = &snapshot.beats[beats_in(&snapshot.beats, around)];
    for class in BeatClass::ALL.into_iter().skip(1) {
        let n = beats.iter().filter(|b| b.class == class).count();
        if n > 0 {
            words += &format!("\n{n} {} beats near here", class.letter());
        }
    }
    let events = snapshot.events.iter().filter(|e| e.span.touches(around) && e.stands()).take(4);
    for event in events {
        words += &format!("\n{}, {}", event.kind.words(), event.state.word());
    }
    for entry in snapshot.diary.iter().filter(|d| d.span.start < around.end && d.span.end >= around.start) {
        words += &format!("\nDiary: {}", entry.text);
    }
    if snapshot.unreadable.iter().any(|u| u.contains(at)) {
        words += "\nunreadable";
    }
    if snapshot.read.iter().any(|r| r.contains(at)) {
        words += "\nread";
    }
    words
}

/// Arrows go five minutes, Home and End to the ends, Enter to the nearest beat.
pub fn keys(ui: &Ui, response: &Response, view: &mut ViewContext<'_>) {
    if !response.has_focus() {
        return;
    }
    let filter =
        egui::EventFilter { tab: false, horizontal_arrows: true, vertical_arrows: true, escape: false };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let recording = &view.snapshot.recording;
    let five_min = recording.rate.samples_from_seconds(300.0);
    let mut go = |to: i64| view.acts.push(Act::GoTo(to.clamp(0, (recording.samples - 1).max(0))));
    let pressed = |key| ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, key));
    if pressed(Key::ArrowUp) {
        go(view.place - five_min);
    }
    if pressed(Key::ArrowDown) {
        go(view.place + five_min);
    }
    if pressed(Key::Home) {
        go(0);
    }
    if pressed(Key::End) {
        go(recording.samples);
    }
    if pressed(Key::Enter)
        && let Some(at) = nearest_beat(&view.snapshot.beats, view.place)
    {
        go(view.snapshot.beats[at].sample);
    }
}
