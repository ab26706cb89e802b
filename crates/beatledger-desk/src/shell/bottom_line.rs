//! The bottom line: the last edit in words with Undo, what is hidden, reading progress, saved state.

use egui::{Align, Layout, ProgressBar, RichText, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::app::job::Job;
use crate::app::notice::Notice;
use crate::commands::table::Command;
use crate::shell::view_context::ViewContext;

/// What the line tells.
pub struct BottomLine<'a> {
    /// The last thing that happened.
    pub notice: &'a Notice,
    /// Whether what was done is saved.
    pub saved: String,
    /// What a filter hides.
    pub hidden: Option<String>,
    /// A day that is being opened.
    pub job: Option<&'a Job>,
}

/// Draws the line.
pub fn bottom_line(ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived, line: &BottomLine<'_>) {
    ui.horizontal(|ui| {
        let undo = view.snapshot.fold.next_undo().map(|(_, edit)| crate::paint::words::edit_words(edit));
        let tip = match &undo {
            Some(words) => format!("Takes back: {words} ({})", Command::Undo.key_words()),
            None => "No edit to take back".into(),
        };
        if ui.add_enabled(undo.is_some(), egui::Button::new("Undo")).on_hover_text(tip).clicked() {
            view.acts.push(Act::Run(Command::Undo));
        }
        let redo = view.snapshot.fold.next_redo().map(|(_, edit)| crate::paint::words::edit_words(edit));
        if let Some(words) = redo {
            let tip = format!("Makes again: {words} ({})", Command::Redo.key_words());
            if ui.button("Redo").on_hover_text(tip).clicked() {
                view.acts.push(Act::Run(Command::Redo));
            }
        }
        // What went wrong is said in full where it fits, before anything else.
        let share = if line.notice.wrong { 0.85 } else { 0.55 };
        let room = (ui.available_width() * share).max(120.0);
        ui.allocate_ui_with_layout(
            egui::vec2(room, ui.available_height()),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.add(egui::Label::new(last_words(ui, line.notice, undo.as_deref())).truncate());
            },
        );
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if let Some(job) = line.job {
                return progress(ui, view, job);
            }
            let mut parts = vec![line.saved.clone(), format!("{:.0} % shown", derived.read_percent)];
            parts.extend(line.hidden.clone());
            let text = parts.join("  |  ");
            ui.add(egui::Label::new(RichText::new(text).color(view.theme.faint)).truncate());
        });
    });
}

fn last_words(ui: &Ui, notice: &Notice, undo: Option<&str>) -> RichText {
    match (notice.words.is_empty(), undo) {
        (false, _) if notice.wrong => {
            let size = egui::TextStyle::Body.resolve(ui.style()).size;
            RichText::new(format!("! {}", notice.words)).font(crate::paint::fonts::bold(size))
        }
        (false, _) => RichText::new(&notice.words),
        (true, Some(words)) => RichText::new(format!("Last edit: {words}")),
        (true, None) => RichText::new("No edit yet. O walks the open items, F1 shows the keys."),
    }
}

/// Progress of opening, with a way to stop it.
fn progress(ui: &mut Ui, view: &mut ViewContext<'_>, job: &Job) {
    if ui.button("Cancel").on_hover_text("Stops opening; the day on the desk stays").clicked() {
        view.acts.push(Act::CancelOpening);
    }
    let (step, share) = job.now();
    ui.add(ProgressBar::new(share).desired_width(150.0).text(format!("{:.0} %", 100.0 * share)));
    ui.label(format!("{}: {step}", job.words));
}
