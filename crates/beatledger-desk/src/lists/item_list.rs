//! The list of open items beside the stage.

use egui::{Align, Layout, ScrollArea, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::commands::table::Command;
use crate::lists::open_items::{Item, ItemKey, plural};
use crate::lists::rows::{self, TextRow};
use crate::paint::fonts::bold_text;
use crate::paint::words::beats_words;
use crate::shell::view_context::ViewContext;

/// Draws the list; only rows on screen are made.
pub fn open_items_panel(ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived, chosen: Option<ItemKey>) {
    if derived.items.is_empty() {
        ui.add_space(8.0);
        ui.label(bold_text(ui, "Nothing is open."));
        let signed = view.snapshot.fold.signed.is_some() && !view.snapshot.fold.changed_since_signing;
        if signed {
            ui.label("The summary is signed and unchanged since.");
            return;
        }
        ui.label(format!(
            "Nothing waits for an answer, and {:.0} % of the recording was shown. Next: write the conclusion and sign.",
            derived.read_percent
        ));
        for command in [Command::Conclusion, Command::Sign] {
            if ui.button(format!("{}  {}", command.words(), command.key_words())).clicked() {
                view.acts.push(Act::Run(command));
            }
        }
        return;
    }
    ui.horizontal(|ui| {
        ui.label(bold_text(ui, plural(derived.items.len(), "open item")));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if ui.button("Next  O").on_hover_text(Command::NextItem.tip()).clicked() {
                view.acts.push(Act::Run(Command::NextItem));
            }
        });
    });
    let height = rows::two_lines(ui);
    ScrollArea::vertical().auto_shrink([false, false]).id_salt("open items").show_rows(
        ui,
        height,
        derived.items.len(),
        |ui, shown| {
            for at in shown {
                item_row(ui, view, &derived.items[at], at, chosen == Some(derived.items[at].key));
            }
        },
    );
}

fn item_row(ui: &mut Ui, view: &mut ViewContext<'_>, item: &Item, at: usize, chosen: bool) {
    ui.horizontal(|ui| {
        let agree = item.agree().filter(|_| chosen);
        let room = if agree.is_some() { 62.0 } else { 0.0 };
        let row = TextRow {
            first: &item.words,
            second: item.why,
            right: "",
            chosen,
            struck: false,
            bold: matches!(item.key, ItemKey::Critical(..)),
        };
        if rows::row(ui, view.theme, ui.available_width() - room, &row).clicked() {
            view.acts.push(Act::Item(at));
        }
        if let Some(edit) = agree {
            let tip = format!(
                "Confirms {} as they are labelled ({})",
                beats_words(item.beats.len()),
                Command::Agree.key_words()
            );
            if ui.button("Agree").on_hover_text(tip).clicked() {
                view.acts.push(Act::Edit(edit));
            }
        }
    });
}
