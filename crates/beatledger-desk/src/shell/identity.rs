//! The identity line: who, which recording, since when, how long, how readable, signed or not.

use beatledger_core::model::{LocalTime, Recording};
use beatledger_core::session::Snapshot;
use egui::{Align, Label, Layout, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::commands::table::Command;
use crate::paint::fonts::bold_text;
use crate::shell::view_context::ViewContext;

/// Draws the line.
pub fn identity_line(ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived) {
    let recording = &view.snapshot.recording;
    let facts = [
        format!("{} · {}", recording.name, recording.format),
        start_words(recording),
        length_words(recording),
        format!("{:.1} % readable", derived.readable_percent),
        signed_words(view.snapshot),
    ];
    // Buttons first, from the right: a long name is cut, never a button.
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        for (text, command) in [
            ("Sign", Command::Sign),
            ("Commands", Command::Palette),
            ("Intake", Command::Intake),
            ("Open", Command::Open),
        ] {
            if ui.button(text).on_hover_text(command.tip()).clicked() {
                view.acts.push(Act::Run(command));
            }
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let room = ui.available_width() * 0.3;
            ui.scope(|ui| {
                ui.set_max_width(room);
                ui.add(Label::new(bold_text(ui, who(recording))).truncate());
            });
            ui.add(Label::new(facts.join("  |  ")).truncate());
        });
    });
}

/// Name and code of who was recorded, as the file says.
pub fn who(recording: &Recording) -> String {
    let identity = &recording.identity;
    let parts: Vec<&str> =
        [&*identity.name, &*identity.code].into_iter().filter(|p| !p.trim().is_empty()).collect();
    if parts.is_empty() { "No name in the file".into() } else { parts.join(", ") }
}

/// `2026-11-24 09:00:00`, or that the file does not say.
pub fn start_words(recording: &Recording) -> String {
    recording.start.map_or_else(|| "start not in the file".into(), date_time)
}

/// Date and time of a recorder's clock.
pub fn date_time(time: LocalTime) -> String {
    let date = chrono::DateTime::from_timestamp_millis(time.0).map(|d| d.format("%Y-%m-%d ").to_string());
    date.unwrap_or_default() + &time.clock()
}

/// `23 h 58 min`.
pub fn length_words(recording: &Recording) -> String {
    let seconds = recording.rate.seconds_from_samples(recording.samples);
    crate::paint::words::duration_words(seconds)
}

/// Whether the summary is signed, by whom, and whether something changed since.
pub fn signed_words(snapshot: &Snapshot) -> String {
    match &snapshot.fold.signed {
        None => "not signed".into(),
        Some((_, s)) if snapshot.fold.changed_since_signing => format!("changed since {} signed", s.reader),
        Some((_, s)) => format!("signed by {}, {}", s.reader, s.role),
    }
}
