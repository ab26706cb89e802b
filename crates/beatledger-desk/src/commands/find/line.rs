//! The find line above the stage.

use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
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
    ui.horizontal(|ui| {
        let label = ui.label("Find");
        let edit = TextEdit::singleline(&mut state.line)
            .hint_text("V coupling < 400 ms at night")
            .desired_width(320.0)
            .id(egui::Id::unique("find line"));
        let response = ui.add(edit).labelled_by(label.id);
        let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        // The line keeps the keyboard until Esc; what stands in it is taken as a whole, so that typing replaces it.
        if std::mem::take(&mut state.focus) || enter {
            response.request_focus();
            select_all(ui, response.id, &state.line);
        }
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

fn select_all(ui: &Ui, id: egui::Id, line: &str) {
    let mut state = TextEditState::load(ui, id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::new(0), CCursor::new(line.chars().count()));
    state.cursor.set_char_range(Some(all));
    state.store(ui, id);
}
