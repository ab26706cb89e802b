//! Sign-off: who, in which role, with which meaning. Critical events must have been read first.

use beatledger_report::values::day_clock;
use egui::{Button, TextEdit, Ui};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::outside::services::SignRequest;
use crate::sheets::sheet::Sheet;
use crate::shell::view_context::ViewContext;

/// Roles that are offered; any other can be typed.
const ROLES: [&str; 3] = ["technician", "physician", "cardiologist"];
/// Meanings that are offered; any other can be typed.
const MEANINGS: [&str; 2] = ["prepared", "reviewed and approved"];

/// Draws the sheet.
pub fn sign(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    draft: &mut SignRequest,
    fresh: bool,
    reader: Option<&str>,
) {
    if fresh && let (true, Some(reader)) = (draft.reader.is_empty(), reader) {
        draft.reader = reader.to_owned();
    }
    if unread(ui, view) {
        return;
    }
    // The first field that is still empty takes the keyboard.
    let mut focus = fresh;
    for (name, text, offers) in [
        ("Reader", &mut draft.reader, &[] as &[&str]),
        ("Role", &mut draft.role, &ROLES),
        ("Meaning", &mut draft.meaning, &MEANINGS),
    ] {
        let wants = focus && text.is_empty();
        focus &= !wants;
        field(ui, name, text, offers, wants);
    }
    ui.add_space(6.0);
    ui.label(crate::paint::fonts::bold_text(ui, "Conclusion"));
    if view.snapshot.conclusion.is_empty() {
        ui.label("No conclusion is written yet.");
    } else {
        ui.label(&view.snapshot.conclusion);
    }
    if ui.button("Write the conclusion").clicked() {
        view.acts.push(Act::Sheet(Some(Sheet::Conclusion)));
    }
    ui.add_space(6.0);
    ui.label("Signing writes the summary and the report and seals both with the ledger. A later edit shows as 'changed since signing'. Local rules decide what a signature on a screen is worth.");
    let ready = [&draft.reader, &draft.role, &draft.meaning].iter().all(|t| !t.trim().is_empty());
    let tip = if ready { Command::Sign.help() } else { "Reader, role and meaning must be filled in." };
    if ui
        .add_enabled(ready, Button::new("Sign the summary as it stands"))
        .on_hover_text(tip)
        .on_disabled_hover_text(tip)
        .clicked()
    {
        view.acts.push(Act::Sign(draft.clone()));
    }
}

fn field(ui: &mut Ui, name: &str, text: &mut String, offers: &[&str], focus: bool) {
    ui.horizontal(|ui| {
        let label = ui.add_sized([70.0, 20.0], egui::Label::new(name).halign(egui::Align::Min));
        let edit = ui.add(TextEdit::singleline(text).desired_width(260.0)).labelled_by(label.id);
        if focus {
            edit.request_focus();
        }
        for offer in offers {
            if ui.button(*offer).clicked() {
                *text = (*offer).to_owned();
            }
        }
    });
}

/// Lists critical events that nobody has read, each with a way there; true when there are any.
fn unread(ui: &mut Ui, view: &mut ViewContext<'_>) -> bool {
    let unread = view.snapshot.unread_critical();
    if unread.is_empty() {
        return false;
    }
    let n = unread.len();
    ui.label(format!(
        "Not yet: {n} critical {} must be read first. Keep or drop each.",
        if n == 1 { "event" } else { "events" }
    ));
    for index in unread.iter().take(12) {
        let event = &view.snapshot.events[*index];
        let at = day_clock(&view.snapshot.recording, event.span.start);
        if ui.button(format!("Go to {} at {at}", event.kind.words())).clicked() {
            view.acts.push(Act::Sheet(None));
            view.acts.push(Act::Event(*index));
        }
    }
    if n > 12 {
        ui.label(format!("and {} more; O walks them all.", n - 12));
    }
    true
}
