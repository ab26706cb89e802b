//! What each command does.

use beatledger_core::model::{BeatClass, Span};
use beatledger_core::review::{Action, Edit};
use egui::ThemePreference;

use crate::app::act::Act;
use crate::app::derived;
use crate::app::desk::Desk;
use crate::app::job::What;
use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::figures::families::Show;
use crate::outside::services::stamp;
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

impl Desk {
    /// Runs a command.
    pub fn run(&mut self, command: Command) {
        match command {
            Command::LabelN | Command::LabelS | Command::LabelV | Command::LabelF | Command::LabelQ => {
                // The arm lists exactly the commands that have a class.
                self.label(command.class().unwrap_or(BeatClass::Q));
            }
            Command::StageStrip => self.set_stage(Stage::Strip),
            Command::StageGrid => self.set_stage(Stage::Grid),
            Command::StageScatter => self.set_stage(Stage::Scatter),
            Command::StageFigures => self.show_figures(Show::Families),
            Command::ShowHours => self.show_figures(Show::Hours),
            Command::ShowHistogram => self.show_figures(Show::Histogram),
            Command::ShowTables => self.show_figures(Show::Tables),
            Command::NextStage => self.set_stage(self.stage.next()),
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::ClearSelection => self.escape(),
            Command::Open => self.services.dialogs.ask(&self.ctx().clone()),
            Command::Demo => {
                self.card = self.card.or(Some(0));
                self.open(What::Demo);
            }
            Command::Cards => self.card = Some(0),
            _ => self.run_sheet(command),
        }
    }

    fn run_sheet(&mut self, command: Command) {
        let sheet = match command {
            Command::Palette => Sheet::Palette,
            Command::Keys => Sheet::Keys,
            Command::Find => Sheet::Find,
            Command::Intake => Sheet::Intake,
            Command::History => Sheet::History,
            Command::Settings => Sheet::Settings,
            Command::Conclusion => Sheet::Conclusion,
            Command::Sign => Sheet::Sign,
            Command::OpenPath => Sheet::Path,
            _ => return self.run_look(command),
        };
        self.show(Some(sheet));
    }

    fn run_look(&mut self, command: Command) {
        let ctx = self.ctx().clone();
        match command {
            Command::ThemeLight => ctx.set_theme(ThemePreference::Light),
            Command::ThemeDark => ctx.set_theme(ThemePreference::Dark),
            Command::ThemeSystem => ctx.set_theme(ThemePreference::System),
            Command::NextTheme => ctx.set_theme(match ctx.theme() {
                egui::Theme::Dark => ThemePreference::Light,
                egui::Theme::Light => ThemePreference::Dark,
            }),
            Command::TextLarger => self.scale_text(1.1),
            Command::TextSmaller => self.scale_text(1.0 / 1.1),
            _ => self.run_move(command),
        }
    }

    fn scale_text(&mut self, by: f32) {
        self.text_scale = (self.text_scale * by).clamp(0.8, 1.8);
        crate::paint::theme::set_text_scale(self.ctx(), self.text_scale);
        self.say(format!("Text at {:.0} %", self.text_scale * 100.0));
    }

    fn run_move(&mut self, command: Command) {
        match command {
            Command::NextItem => self.step_item(1),
            Command::PreviousItem => self.step_item(-1),
            Command::NextEvent => self.step_event(1),
            Command::PreviousEvent => self.step_event(-1),
            Command::NextBeat => self.step_beat(1),
            Command::PreviousBeat => self.step_beat(-1),
            Command::PageLater => self.page(1),
            Command::PageEarlier => self.page(-1),
            Command::SelectGroup => self.select_group(),
            Command::SelectClass => self.select_class(),
            _ if self.run_tracing(command) => {}
            _ => self.run_edit(command),
        }
    }

    fn run_edit(&mut self, command: Command) {
        match command {
            Command::Agree => self.agree(),
            Command::InsertBeat => {
                self.placing = self.doc.is_some();
                let at = self.doc.as_ref().map_or(String::new(), |d| d.snapshot.recording.clock(self.place));
                self.say(format!("Insert a beat at {at}: press its class N, S, V, F or Q; Esc leaves it."));
            }
            Command::RemoveBeats => {
                let beats = self.beats_meant();
                self.edit(Edit::RemoveBeats { beats });
            }
            Command::MarkUnreadable => self.on_span(|span| Edit::MarkNoise { span }),
            Command::MarkReadable => self.on_span(|span| Edit::UnmarkNoise { span }),
            Command::MarkRead => self.mark_read(),
            Command::KeepEvent => self.on_event(|kind, span| Edit::KeepEvent { kind, span }),
            Command::DropEvent => self.on_event(|kind, span| Edit::DropEvent { kind, span }),
            Command::ChangeEvent if self.selection.event.is_none() => self.no_event(),
            Command::ChangeEvent => self.show(Some(Sheet::ChangeEvent)),
            Command::AddEvent if self.span_meant().is_none() => self.no_span(),
            Command::AddEvent => self.show(Some(Sheet::AddEvent)),
            Command::InvertLead => self.show(Some(Sheet::Leads)),
            // Every other command has an arm in one of the functions before.
            _ => {}
        }
    }

    fn set_stage(&mut self, stage: Stage) {
        self.stage = stage;
    }

    fn show_figures(&mut self, show: Show) {
        let again = self.stage == Stage::Figures && self.panels.figures.show == show;
        if again && show == Show::Families {
            self.panels.figures.all = !self.panels.figures.all;
        }
        self.set_stage(Stage::Figures);
        self.panels.figures.show = show;
    }

    fn escape(&mut self) {
        if self.sheet.is_some() {
            self.sheet = None;
            self.waiting = None;
        } else if self.pending.take().is_some() || std::mem::take(&mut self.placing) {
            self.say("Nothing was changed.");
        } else if self.panels.views.put_calipers_away() {
            self.say("Calipers are put away.");
        } else {
            self.selection = Selection::default();
        }
    }

    fn label(&mut self, class: BeatClass) {
        if std::mem::take(&mut self.placing) {
            return self.edit(Edit::InsertBeat { sample: self.place, class });
        }
        let beats = self.beats_meant();
        self.edit(Edit::Relabel { beats, class });
    }

    /// Samples of the beats that an edit acts on: the selected ones, or those inside the selected span.
    pub(crate) fn beats_meant(&self) -> Vec<i64> {
        let Some(doc) = &self.doc else { return Vec::new() };
        if !self.selection.beats.is_empty() {
            return self.selection.beats.to_vec();
        }
        self.selection.span.map_or_else(Vec::new, |span| derived::beats_in(&doc.snapshot, span))
    }

    fn span_meant(&self) -> Option<Span> {
        let (_, event) = self.selection.event.unzip();
        let of_beats = || {
            let (first, last) = (self.selection.beats.first()?, self.selection.beats.last()?);
            Some(Span::new(*first, last + 1))
        };
        self.selection.span.or(event).or_else(of_beats)
    }

    fn on_span(&mut self, edit: impl FnOnce(Span) -> Edit) {
        match self.selection.span.or(self.selection.event.map(|(_, s)| s)) {
            Some(span) => self.edit(edit(span)),
            None => self.no_span(),
        }
    }

    fn no_span(&mut self) {
        self.say_wrong("No span is selected. Drag over the tracing, or choose an event, first.");
    }

    fn no_event(&mut self) {
        self.say_wrong("No event is chosen. Choose one in the event list, or press E.");
    }

    fn on_event(&mut self, edit: impl FnOnce(beatledger_core::model::EventKind, Span) -> Edit) {
        match self.selection.event {
            Some((kind, span)) => self.edit(edit(kind, span)),
            None => self.no_event(),
        }
    }

    fn mark_read(&mut self) {
        match self
            .span_meant()
            .or_else(|| self.panels.views.shown_span(self.stage))
            .or(self.panels.views.lens_span())
        {
            Some(span) => self.edit(Edit::MarkRead { span }),
            None => self.no_span(),
        }
    }

    /// Confirms the labels of the selected beats as they stand; beats of several classes ask for a choice.
    fn agree(&mut self) {
        let beats = self.beats_meant();
        let Some(doc) = &self.doc else { return };
        let mut classes: Vec<BeatClass> = beats
            .iter()
            .filter_map(|s| derived::beat_at(&doc.snapshot, *s))
            .map(|at| doc.snapshot.beats[at].class)
            .collect();
        classes.sort_unstable();
        classes.dedup();
        match classes[..] {
            [class] => self.edit(Edit::Relabel { beats, class }),
            [] => self.edit(Edit::Relabel { beats: Vec::new(), class: BeatClass::N }),
            _ => self.say_wrong(
                "The selected beats have several classes; select beats of one class to agree with it.",
            ),
        }
    }

    fn undo(&mut self) {
        self.step_ledger(true);
    }

    fn redo(&mut self) {
        self.step_ledger(false);
    }

    fn step_ledger(&mut self, back: bool) {
        let Some(doc) = &self.doc else { return };
        let fold = &doc.snapshot.fold;
        let Some((seq, edit)) = (if back { fold.next_undo() } else { fold.next_redo() }) else {
            return self.say(if back {
                "There is nothing to take back."
            } else {
                "There is nothing to make again."
            });
        };
        let words = derived::edit_words(edit);
        let Some(reader) = self.reader.clone() else {
            self.waiting = Some(Act::Run(if back { Command::Undo } else { Command::Redo }));
            return self.show(Some(Sheet::Reader));
        };
        let action = if back { Action::Undo { seq: *seq } } else { Action::Redo { seq: *seq } };
        if self.finds_anew(action) {
            return;
        }
        let Some(doc) = &mut self.doc else { return };
        let stamp = stamp(&*self.services.clock, &reader);
        let done = if back { doc.undo(&stamp) } else { doc.redo(&stamp) };
        match done {
            Ok(_) => self.say(format!("{}: {words}", if back { "Taken back" } else { "Made again" })),
            Err(error) => self.say_wrong(error),
        }
    }
}
