//! Lines above the stage that ask for one thing: the reader's name, a path, a yes to an edit that changes much.

use beatledger_core::model::Figure;
use beatledger_core::session::Snapshot;
use beatledger_report::values::{Reason, figure_words};
use egui::{Key, Label, TextEdit, Ui};

use crate::app::act::Act;
use crate::app::job::Job;
use crate::app::notice::Notice;
use crate::app::waiting::Pending;
use crate::commands::table::Command;
use crate::paint::words::{beats_words, capital};
use crate::shell::view_context::ViewContext;

/// One line of text with a name, a button, and Enter to say yes. Gives the text when it was said.
fn ask(ui: &mut Ui, draft: &mut String, fresh: bool, [name, hint, yes]: [&str; 3]) -> Option<String> {
    let label = ui.label(name);
    let edit = TextEdit::singleline(draft).hint_text(hint.to_owned()).desired_width(360.0);
    let response = ui.add(edit).labelled_by(label.id);
    if fresh {
        response.request_focus();
    }
    let enter = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    (ui.button(yes).clicked() || enter).then(|| draft.clone())
}

/// Asks who reads.
pub fn reader_line(ui: &mut Ui, view: &mut ViewContext<'_>, draft: &mut String, fresh: bool, proposed: &str) {
    if fresh {
        proposed.clone_into(draft);
    }
    if let Some(name) =
        ask(ui, draft, fresh, ["Reader", "Your name as it should stand in the ledger", "That is me"])
    {
        view.acts.push(Act::Reader(name));
    }
    if ui.button("Not now").on_hover_text("Nothing is changed (Esc)").clicked() {
        view.acts.push(Act::Run(Command::ClearSelection));
    }
    ui.add(Label::new("Every edit is kept with who made it. Who reads this day?").truncate());
}

/// Asks for a path to open.
pub fn path_line(ui: &mut Ui, view: &mut ViewContext<'_>, draft: &mut String, fresh: bool) {
    if fresh {
        draft.clear();
    }
    if let Some(path) = ask(ui, draft, fresh, ["Open", "Path of a recording", "Open this"]) {
        view.acts.push(Act::Open(path.trim().into()));
    }
    if ui.button("Close").clicked() {
        view.acts.push(Act::Sheet(None));
    }
}

/// Shows what an edit would do, in one line, and asks for a yes.
pub fn pending_line(ui: &mut Ui, view: &mut ViewContext<'_>, pending: &Pending) {
    let yes = match pending.edit.beat_count() {
        0 => "Make it  Enter".to_owned(),
        n => format!("Make it, {}  Enter", beats_words(n)),
    };
    if ui.button(yes).clicked() {
        view.acts.push(Act::Confirm);
    }
    if ui.button("Leave it  Esc").clicked() {
        view.acts.push(Act::Run(Command::ClearSelection));
    }
    let what = capital(&crate::paint::words::edit_words(&pending.edit));
    let figures = changes(view.snapshot, &pending.after);
    let figures = figures.iter().map(|(name, before, after)| format!("{name} {before} → {after}"));
    let mut all: Vec<String> = pending.events.iter().cloned().chain(figures).collect();
    if all.is_empty() {
        all.push("no event and no figure would change".to_owned());
    }
    let text = format!("Not made yet: {what}; {}", all.join("; "));
    ui.add(Label::new(crate::paint::fonts::bold_text(ui, text)).truncate());
}

/// Figures whose value differs: name, before, after.
fn changes(before: &Snapshot, after: &Snapshot) -> Vec<(&'static str, String, String)> {
    let other = |f: &Figure| after.summary.figure(f.id).filter(|a| a.value != f.value);
    let words = |f: &Figure| figure_words(f, &before.recording, Reason::Short);
    before.summary.figures.iter().filter_map(|f| other(f).map(|a| (f.name, words(f), words(a)))).collect()
}

/// What stands where a day would be.
pub fn empty_desk(ui: &mut Ui, job: Option<&Job>, notice: &Notice, acts: &mut Vec<Act>) {
    ui.heading("beatledger");
    match job {
        Some(job) => {
            let (step, share) = job.now();
            ui.label(&job.words);
            ui.add(
                egui::ProgressBar::new(share)
                    .desired_width(320.0)
                    .text(format!("{step}, {:.0} %", 100.0 * share)),
            );
            if ui.button("Cancel").clicked() {
                acts.push(Act::CancelOpening);
            }
        }
        None => {
            ui.label("No day is open. A day of tracing would stand here, read and ready for a second look.");
            if !notice.words.is_empty() {
                ui.label(&notice.words);
            }
            for command in [Command::Open, Command::Demo] {
                if ui.button(format!("{}  {}", command.words(), command.key_words())).clicked() {
                    acts.push(Act::Run(command));
                }
            }
        }
    }
}
