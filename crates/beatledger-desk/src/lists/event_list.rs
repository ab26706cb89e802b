//! The event list: every event with its state, narrowed by kind, state or a find line.

use std::sync::Arc;

use beatledger_core::model::{Event, EventKind, EventState};
use beatledger_core::session::Snapshot;
use beatledger_report::values::{day_clock, duration_text};
use egui::{ComboBox, ScrollArea, Ui};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::lists::event_filter::EventFilter;
use crate::lists::rows::{self, TextRow};
use crate::paint::words::beats_words;
use crate::shell::view_context::ViewContext;

/// The list as it is shown, kept until the snapshot or the filter changes.
#[derive(Default)]
pub struct EventsState {
    /// What is shown.
    pub filter: EventFilter,
    shown: Vec<u32>,
    made_from: Option<(Arc<Vec<Event>>, EventFilter)>,
    /// Row to bring into view in the next frame.
    pub reveal: bool,
}

impl EventsState {
    /// Indices of the events that the list shows, in order of time.
    pub fn shown(&mut self, snapshot: &Snapshot) -> &[u32] {
        let fresh = self
            .made_from
            .as_ref()
            .is_some_and(|(events, filter)| Arc::ptr_eq(events, &snapshot.events) && *filter == self.filter);
        if !fresh {
            let filter = &self.filter;
            self.shown = (0..snapshot.events.len() as u32)
                .filter(|i| filter.shows(&snapshot.events[*i as usize]))
                .collect();
            self.made_from = Some((snapshot.events.clone(), self.filter.clone()));
        }
        &self.shown
    }
}

/// Draws the event list.
pub fn event_list(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut EventsState) {
    filter_row(ui, view, state);
    let reveal = std::mem::take(&mut state.reveal);
    let chosen = view.selection.event;
    let shown = state.shown(view.snapshot);
    if shown.is_empty() {
        empty(ui, view);
        return;
    }
    let height = rows::two_lines(ui);
    let mut area = ScrollArea::vertical().auto_shrink([false, false]).id_salt("events");
    if reveal && let Some((kind, span)) = chosen {
        let is = |i: &u32| {
            view.snapshot.events[*i as usize].kind == kind && view.snapshot.events[*i as usize].span == span
        };
        if let Some(row) = shown.iter().position(is) {
            let step = height + ui.spacing().item_spacing.y;
            area = area.vertical_scroll_offset((row as f32 * step - ui.available_height() / 2.0).max(0.0));
        }
    }
    area.show_rows(ui, height, shown.len(), |ui, range| {
        for row in range {
            event_row(ui, view, shown[row] as usize);
        }
    });
}

fn filter_row(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut EventsState) {
    ui.horizontal(|ui| {
        let label = ui.label("Show");
        let words = match &state.filter {
            EventFilter::All => "all events".to_owned(),
            other => other.words(),
        };
        let mut choice = state.filter.clone();
        let response =
            ComboBox::from_id_salt("event filter").selected_text(words).width(190.0).show_ui(ui, |ui| {
                ui.selectable_value(&mut choice, EventFilter::All, "all events");
                ui.selectable_value(&mut choice, EventFilter::Unread, "unread only");
                for kind in EventKind::ALL {
                    ui.selectable_value(&mut choice, EventFilter::Kind(kind), kind.words());
                }
            });
        response.response.labelled_by(label.id);
        if choice != state.filter {
            view.acts.push(Act::Filter(choice));
        }
        if state.filter != EventFilter::All
            && ui.button("All").on_hover_text("Shows every event again").clicked()
        {
            view.acts.push(Act::Filter(EventFilter::All));
        }
    });
}

fn empty(ui: &mut Ui, view: &mut ViewContext<'_>) {
    ui.add_space(8.0);
    if view.snapshot.events.is_empty() {
        ui.label("No events were found in this recording. Runs, pauses, AF and slow or fast rates would stand here.");
        ui.label("To add one, select a span of tracing and press A.");
    } else {
        ui.label("No event matches what the list is narrowed to.");
        if ui.button("Show all events").clicked() {
            view.acts.push(Act::Filter(EventFilter::All));
        }
    }
}

fn event_row(ui: &mut Ui, view: &mut ViewContext<'_>, index: usize) {
    let event = &view.snapshot.events[index];
    let chosen = view.selection.event == Some((event.kind, event.span));
    let must = event.critical && event.state == EventState::Unread;
    let row = TextRow {
        first: event.kind.words(),
        second: &second_line(view.snapshot, event),
        right: "",
        chosen,
        struck: event.state == EventState::Dropped,
        bold: must,
    };
    ui.horizontal(|ui| {
        let room = if chosen { 112.0 } else { 0.0 };
        if rows::row(ui, view.theme, ui.available_width() - room, &row).clicked() {
            view.acts.push(Act::Event(index));
        }
        if !chosen {
            return;
        }
        for (word, command, done) in [
            ("Keep", Command::KeepEvent, event.state == EventState::Kept),
            ("Drop", Command::DropEvent, event.state == EventState::Dropped),
        ] {
            if ui.add_enabled(!done, egui::Button::new(word)).on_hover_text(command.tip()).clicked() {
                view.acts.push(Act::Run(command));
            }
        }
    });
}

/// The second line of a row: when, how long, how many beats, how fast, what was said.
fn second_line(snapshot: &Snapshot, event: &Event) -> String {
    let recording = &snapshot.recording;
    let must = event.critical && event.state == EventState::Unread;
    let state = if must { "must be read" } else { event.state.word() };
    let seconds = recording.rate.seconds_from_samples(event.span.len());
    let mut parts = vec![day_clock(recording, event.span.start), state.to_owned(), duration_text(seconds)];
    if event.beat_count() > 0 {
        parts.push(beats_words(event.beat_count() as usize));
    }
    if let Some(bpm) = event.rate_bpm {
        parts.push(format!("{bpm:.0}/min"));
    }
    let remark = event.remark();
    if !remark.is_empty() {
        parts.push(remark);
    }
    parts.join(" · ")
}
