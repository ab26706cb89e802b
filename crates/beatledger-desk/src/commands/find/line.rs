//! The find line above the stage.

use egui::{Key, TextEdit, Ui};

use crate::app::act::Act;
use crate::shell::view_context::ViewContext;

/// The line as typed.
#[derive(Default)]
pub struct FindState {
    /// What is typed.
    pub line: String,
    /// Take the focus in the next frame.
    pub focus: bool,
}

/// Lines that show what can be said.
pub const EXAMPLES: [&str; 4] = ["V at night", "RR > 2 s", "unread runs", "14:05"];

/// Draws the line; Enter finds, Esc closes.
pub fn find_line(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut FindState) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Find");
        let edit = TextEdit::singleline(&mut state.line)
            .hint_text("V coupling < 400 ms at night")
            .desired_width(320.0)
            .id(egui::Id::unique("find line"));
        let response = ui.add(edit).labelled_by(label.id);
        if std::mem::take(&mut state.focus) {
            response.request_focus();
        }
        let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        if ui.button("Find all").clicked() || enter {
            view.acts.push(Act::Find(state.line.clone()));
        }
        for example in EXAMPLES {
            if ui.button(example).on_hover_text("Find this").clicked() {
                state.line = example.to_owned();
                view.acts.push(Act::Find(example.to_owned()));
            }
        }
        if ui.button("Close").on_hover_text("Closes the find line (Esc)").clicked() {
            view.acts.push(Act::Sheet(None));
        }
    });
}
