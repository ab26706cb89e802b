//! The command palette: every command by name, with its key and help line.

use egui::{Key, Modifiers, RichText, ScrollArea, TextEdit, Ui};

use crate::app::act::Act;
use crate::commands::table::Command;

/// What is typed and which row is marked.
#[derive(Default)]
pub struct PaletteState {
    /// What is typed.
    pub line: String,
    row: usize,
}

/// Commands that match `line`: every word of it stands in the name or help line; names that start with it first.
pub fn matching(line: &str) -> Vec<Command> {
    let line = line.trim().to_lowercase();
    let mut found: Vec<Command> = Command::ALL
        .iter()
        .copied()
        .filter(|c| {
            let text = format!("{} {}", c.words(), c.help()).to_lowercase();
            line.split_whitespace().all(|word| text.contains(word))
        })
        .collect();
    found.sort_by_key(|c| {
        let name = c.words().to_lowercase();
        if name.starts_with(&line) {
            0
        } else if name.contains(&line) {
            1
        } else {
            2
        }
    });
    found
}

/// Draws the palette; Up and Down move, Enter runs.
pub fn palette(ui: &mut Ui, acts: &mut Vec<Act>, state: &mut PaletteState, fresh: bool) {
    if fresh {
        *state = PaletteState::default();
    }
    let (up, down) = ui.input_mut(|i| {
        (i.consume_key(Modifiers::NONE, Key::ArrowUp), i.consume_key(Modifiers::NONE, Key::ArrowDown))
    });
    let label = ui.label("What should be done?");
    let edit =
        TextEdit::singleline(&mut state.line).hint_text("name of a command").desired_width(f32::INFINITY);
    let response = ui.add(edit).labelled_by(label.id);
    if fresh {
        response.request_focus();
    }
    if response.changed() {
        state.row = 0;
    }
    let found = matching(&state.line);
    let last = found.len().saturating_sub(1);
    state.row = match (up, down) {
        (true, _) => state.row.saturating_sub(1),
        (_, true) => state.row + 1,
        _ => state.row,
    }
    .min(last);
    let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if enter && let Some(command) = found.get(state.row) {
        run(acts, *command);
    }
    if found.is_empty() {
        ui.label("No command has these words. Try 'label', 'event', 'stage' or 'text'.");
    }
    rows(ui, acts, &found, state.row, up || down);
}

/// One row for each command found; the marked one is scrolled to when the mark has moved.
fn rows(ui: &mut Ui, acts: &mut Vec<Act>, found: &[Command], marked: usize, moved: bool) {
    ScrollArea::vertical().max_height(440.0).auto_shrink([false, true]).show(ui, |ui| {
        for (i, command) in found.iter().enumerate() {
            let row = egui::Button::selectable(i == marked, command.words())
                .right_text(RichText::new(command.key_words()));
            let row = ui.add_sized([ui.available_width(), 24.0], row).on_hover_text(command.help());
            if moved && i == marked {
                row.scroll_to_me(None);
            }
            if row.clicked() {
                run(acts, *command);
            }
        }
    });
}

fn run(acts: &mut Vec<Act>, command: Command) {
    acts.push(Act::Sheet(None));
    acts.push(Act::Run(command));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_finds_commands_by_name_first_and_by_help_too() {
        assert_eq!(matching("undo").first(), Some(&Command::Undo));
        assert_eq!(matching("label v").first(), Some(&Command::LabelV));
        assert!(matching("fusion").contains(&Command::LabelF));
        assert_eq!(matching("").len(), Command::ALL.len());
        assert!(matching("xyzzy").is_empty());
    }
}
