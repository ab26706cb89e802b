//! The conclusion in the reader's words.

use beatledger_core::review::Edit;
use egui::{Key, Modifiers, TextEdit, Ui};

use crate::app::act::Act;
use crate::shell::view_context::ViewContext;

/// Draws the sheet.
pub fn conclusion(ui: &mut Ui, view: &mut ViewContext<'_>, draft: &mut String, fresh: bool) {
    if fresh {
        draft.clone_from(&view.snapshot.conclusion);
    }
    // The field would take Enter as a new line; with Ctrl it keeps the text.
    let by_key = ui.input_mut(|i| i.consume_key(Modifiers::COMMAND, Key::Enter));
    let label = ui.label("What does this day show? The text stands on the first page of the report.");
    let edit = TextEdit::multiline(draft).desired_rows(10).desired_width(f32::INFINITY);
    let response = ui.add(edit).labelled_by(label.id);
    if fresh {
        response.request_focus();
    }
    ui.horizontal(|ui| {
        let changed = draft.trim() != view.snapshot.conclusion;
        let keep = ui.add_enabled(changed, egui::Button::new("Keep the conclusion  Ctrl+Enter"));
        if keep.clicked() || (by_key && changed) {
            view.acts.push(Act::Sheet(None));
            view.acts.push(Act::Edit(Edit::Conclude { text: draft.trim().to_owned() }));
        }
        if ui.button("Leave as it was").clicked() {
            view.acts.push(Act::Sheet(None));
        }
    });
}
