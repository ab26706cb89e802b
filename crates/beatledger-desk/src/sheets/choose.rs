//! Small sheets with a choice: a kind of event, a lead.

use beatledger_core::model::{EventKind, Span};
use beatledger_core::review::Edit;
use beatledger_report::values::day_clock;
use egui::Ui;

use crate::app::act::Act;
use crate::shell::view_context::ViewContext;

fn make(view: &mut ViewContext<'_>, edit: Edit) {
    view.acts.push(Act::Sheet(None));
    view.acts.push(Act::Edit(edit));
}

/// Kinds that a reader can give to an event. The extremes of the day follow from the beats and cannot be given.
fn kinds() -> impl Iterator<Item = EventKind> {
    let follows =
        [EventKind::SlowestRate, EventKind::FastestRate, EventKind::LongestRr, EventKind::Unreadable];
    EventKind::ALL.into_iter().filter(move |k| !follows.contains(k))
}

fn kind_buttons(ui: &mut Ui) -> Option<EventKind> {
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        for kind in kinds() {
            if ui.button(kind.words()).clicked() {
                chosen = Some(kind);
            }
        }
    });
    chosen
}

/// Offers other kinds for the chosen event, and the selected span as its limits.
pub fn change_event(ui: &mut Ui, view: &mut ViewContext<'_>) {
    let Some((kind, span)) = view.selection.event else {
        ui.label("No event is chosen. Choose one in the event list first.");
        return;
    };
    let at = day_clock(&view.snapshot.recording, span.start);
    ui.label(format!(
        "{} at {at} touches no beat label; the event gets another kind, or other limits.",
        kind.words()
    ));
    if let Some(new_kind) = kind_buttons(ui) {
        make(view, Edit::ChangeEvent { kind, span, new_kind, new_span: span });
    }
    if let Some(new_span) = view.selection.span.filter(|s| *s != span)
        && ui.button("Keep the kind, take the selected span as its limits").clicked()
    {
        make(view, Edit::ChangeEvent { kind, span, new_kind: kind, new_span });
    }
}

/// Offers the kinds of an event on the selection.
pub fn add_event(ui: &mut Ui, view: &mut ViewContext<'_>) {
    let beats = &view.selection.beats;
    let of_beats = beats.first().zip(beats.last()).map(|(first, last)| Span::new(*first, last + 1));
    let Some(span) = view.selection.span.or(of_beats) else {
        ui.label("Nothing is selected. Drag over the tracing, or select beats, first.");
        return;
    };
    let clock = |sample| day_clock(&view.snapshot.recording, sample);
    ui.label(format!("From {} to {}:", clock(span.start), clock(span.end)));
    if let Some(kind) = kind_buttons(ui) {
        make(view, Edit::AddEvent { kind, span });
    }
}

/// Offers to draw each lead upside down, or as recorded.
pub fn leads(ui: &mut Ui, view: &mut ViewContext<'_>) {
    ui.label("Drawn only; samples and figures stay as they are.");
    let recording = view.snapshot.recording.clone();
    for (i, lead) in recording.leads.iter().enumerate() {
        let inverted = view.snapshot.inverted.get(i).copied().unwrap_or(false);
        let text = if inverted {
            format!("Draw {} as recorded", lead.name)
        } else {
            format!("Draw {} upside down", lead.name)
        };
        if ui.button(text).clicked() {
            make(view, Edit::InvertLead { lead: i as u16, inverted: !inverted });
        }
    }
}
