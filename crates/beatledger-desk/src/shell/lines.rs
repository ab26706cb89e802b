//! Lines above the stage that ask for one thing: the reader's name, a path, a yes to a large edit.

use beatledger_core::model::{Figure, FigureValue, Summary};
use beatledger_core::summarise::AWAITED;
use egui::{Key, TextEdit, Ui};

use crate::app::act::Act;
use crate::app::job::Job;
use crate::app::notice::Notice;
use crate::app::waiting::Pending;
use crate::commands::table::Command;
use crate::paint::words::{beats_words, grouped};
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
    ui.label("Every edit is kept with who made it. Who reads this day?");
    ui.horizontal(|ui| {
        if let Some(name) =
            ask(ui, draft, fresh, ["Reader", "Your name as it should stand in the ledger", "That is me"])
        {
            view.acts.push(Act::Reader(name));
        }
        if ui.button("Not now").on_hover_text("Nothing is changed (Esc)").clicked() {
            view.acts.push(Act::Run(Command::ClearSelection));
        }
    });
}

/// Asks for a path to open.
pub fn path_line(ui: &mut Ui, view: &mut ViewContext<'_>, draft: &mut String, fresh: bool) {
    if fresh {
        draft.clear();
    }
    ui.horizontal(|ui| {
        if let Some(path) = ask(ui, draft, fresh, ["Open", "Path of a recording", "Open this"]) {
            view.acts.push(Act::Open(path.trim().into()));
        }
        if ui.button("Close").clicked() {
            view.acts.push(Act::Sheet(None));
        }
    });
}

/// Shows what a large edit would do, and asks for a yes.
pub fn pending_line(ui: &mut Ui, view: &mut ViewContext<'_>, pending: &Pending) {
    let n = pending.edit.beat_count();
    ui.horizontal(|ui| {
        ui.label(crate::paint::fonts::bold_text(
            ui,
            format!("Not made yet: {}", crate::paint::words::edit_words(&pending.edit)),
        ));
        if ui.button(format!("Make it, {}  Enter", beats_words(n))).clicked() {
            view.acts.push(Act::Confirm);
        }
        if ui.button("Leave it  Esc").clicked() {
            view.acts.push(Act::Run(Command::ClearSelection));
        }
    });
    let changes = changes(&view.snapshot.summary, &pending.after.summary);
    if changes.is_empty() {
        ui.label("No figure would change.");
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label("It would change");
        for (name, before, after) in changes.iter().take(8) {
            ui.label(format!("{name} {before} → {after};"));
        }
        if changes.len() > 8 {
            ui.label(format!(
                "and {} more, all on the figures stage ({}).",
                changes.len() - 8,
                Command::StageFigures.key_words()
            ));
        }
    });
}

/// Figures whose value differs: name, before, after.
fn changes(before: &Summary, after: &Summary) -> Vec<(&'static str, String, String)> {
    let other = |f: &Figure| after.figure(f.key).filter(|a| a.value != f.value);
    before
        .figures
        .iter()
        .filter_map(|f| other(f).map(|a| (f.name, value_words(f, None), value_words(a, None))))
        .collect()
}

/// The value of a figure with its unit; places as clock time when a recording is at hand.
pub fn value_words(figure: &Figure, recording: Option<&beatledger_core::model::Recording>) -> String {
    let number = match &figure.value {
        FigureValue::Count(n) => grouped(*n),
        FigureValue::Number(x, decimals) => format!("{x:.*}", usize::from(*decimals)),
        FigureValue::Place(sample) => match recording {
            Some(recording) => recording.clock(*sample),
            None => format!("sample {sample}"),
        },
        FigureValue::NotComputable(why) if why == AWAITED => return "…".into(),
        FigureValue::NotComputable(_) => return "not computable".into(),
    };
    if figure.unit.is_empty() { number } else { format!("{number} {}", figure.unit) }
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
