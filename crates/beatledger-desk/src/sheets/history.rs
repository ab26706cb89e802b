//! The ledger in words: every edit, undo, redo and signature, with who and when.

use beatledger_core::review::Entry;
use egui::{Label, RichText, ScrollArea, Ui};

use crate::shell::view_context::ViewContext;

/// The words, kept until an entry is added.
#[derive(Default)]
pub struct HistoryState {
    lines: Vec<String>,
}

/// Draws the ledger, newest first.
pub fn history(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut HistoryState, entries: &[Entry]) {
    if state.lines.len() != entries.len() {
        state.lines = beatledger_ledger::history(entries);
    }
    for orphan in view.snapshot.orphans.iter().take(20) {
        let text = format!(
            "Without a target: entry {}, {} ({} places not found)",
            orphan.seq, orphan.words, orphan.missing
        );
        ui.add(Label::new(crate::paint::fonts::bold_text(ui, text)).wrap());
    }
    if state.lines.is_empty() {
        ui.label("No entry yet. Every edit would stand here in words, with who and when; nothing is ever struck out.");
        return;
    }
    ui.label(RichText::new("entry | when, by the computer's clock | reader | what").color(view.theme.faint));
    let height = ui.text_style_height(&egui::TextStyle::Body) + 2.0;
    let n = state.lines.len();
    ScrollArea::vertical().max_height(480.0).auto_shrink([false, true]).show_rows(
        ui,
        height,
        n,
        |ui, rows| {
            for row in rows {
                ui.add(Label::new(&state.lines[n - 1 - row]).truncate());
            }
        },
    );
}
