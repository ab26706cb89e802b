//! The table of keys, made from the list of commands.

use egui::{Grid, RichText, ScrollArea, Ui};

use crate::commands::table::Command;

/// Draws the table.
pub fn key_table(ui: &mut Ui) {
    ui.label("Keys are silent while a text field is being typed in, except those with Ctrl. Space or Enter presses the button that Tab has reached.");
    ScrollArea::vertical().max_height(500.0).auto_shrink([false, true]).show(ui, |ui| {
        Grid::new("keys").num_columns(3).spacing([16.0, 4.0]).show(ui, |ui| {
            for command in Command::ALL.iter().filter(|c| !c.chords().is_empty()) {
                let keys: Vec<String> = command.chords().iter().map(|c| c.words()).collect();
                ui.label(crate::paint::fonts::bold_text(ui, keys.join(" or ")));
                ui.label(command.words());
                ui.add(
                    egui::Label::new(
                        RichText::new(command.help()).small().color(ui.visuals().weak_text_color()),
                    )
                    .wrap(),
                );
                ui.end_row();
            }
        });
    });
}
