//! What each command does: one function for each group of commands, and one arm for each command.
//!
//! No arm is a wildcard, so a command of the table without an arm here does not compile.

use beatledger_core::model::BeatClass;
use beatledger_core::review::Edit;

use crate::app::desk::Desk;
use crate::app::job::ToOpen;
use crate::commands::table::{
    Appearance, Change, Command, Go, Grouped, Help, Ledger, OfDay, OnStage, Select, Tracing,
};
use crate::figures::families::Show;
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

impl Desk {
    /// Runs a command.
    pub fn run(&mut self, command: Command) {
        match command.grouped() {
            Grouped::Go(command) => self.run_go(command),
            Grouped::Change(command) => self.run_change(command),
            Grouped::Select(command) => self.run_select(command),
            Grouped::Ledger(command) => self.run_ledger(command),
            Grouped::OnStage(command) => self.run_on_stage(command),
            Grouped::Tracing(command) => self.run_tracing(command),
            Grouped::OfDay(command) => self.run_of_day(command),
            Grouped::Appearance(command) => self.run_appearance(command),
            Grouped::Help(command) => self.run_help(command),
        }
    }

    fn run_go(&mut self, command: Go) {
        match command {
            Go::NextItem => self.step_item(1),
            Go::PreviousItem => self.step_item(-1),
            Go::NextEvent => self.step_event(1),
            Go::PreviousEvent => self.step_event(-1),
            Go::NextBeat => self.step_beat(1),
            Go::PreviousBeat => self.step_beat(-1),
            Go::PageLater => self.page(1),
            Go::PageEarlier => self.page(-1),
            Go::Find => self.show(Some(Sheet::Find)),
        }
    }

    fn run_change(&mut self, command: Change) {
        match command {
            Change::LabelN => self.label(BeatClass::N),
            Change::LabelS => self.label(BeatClass::S),
            Change::LabelV => self.label(BeatClass::V),
            Change::LabelF => self.label(BeatClass::F),
            Change::LabelQ => self.label(BeatClass::Q),
            Change::Agree => self.agree(),
            Change::InsertBeat => self.ask_class(),
            Change::RemoveBeats => self.remove_beats(),
            Change::MarkUnreadable => self.edit_span(|span| Edit::MarkNoise { span }),
            Change::MarkReadable => self.edit_span(|span| Edit::UnmarkNoise { span }),
            Change::MarkRead => self.mark_read(),
            Change::KeepEvent => self.edit_event(|kind, span| Edit::KeepEvent { kind, span }),
            Change::DropEvent => self.edit_event(|kind, span| Edit::DropEvent { kind, span }),
            Change::ChangeEvent => self.ask_event_change(),
            Change::AddEvent => self.ask_event_kind(),
        }
    }

    fn run_select(&mut self, command: Select) {
        match command {
            Select::SelectGroup => self.select_group(),
            Select::SelectClass => self.select_class(),
            Select::ClearSelection => self.escape(),
        }
    }

    fn run_ledger(&mut self, command: Ledger) {
        match command {
            Ledger::Undo => self.undo(),
            Ledger::Redo => self.redo(),
        }
    }

    fn run_on_stage(&mut self, command: OnStage) {
        match command {
            OnStage::StageStrip => self.shown.stage = Stage::Strip,
            OnStage::StageGrid => self.shown.stage = Stage::Grid,
            OnStage::StageScatter => self.shown.stage = Stage::Scatter,
            OnStage::StageFigures => self.show_figures(Show::Families),
            OnStage::ShowHours => self.show_figures(Show::Hours),
            OnStage::ShowHistogram => self.show_figures(Show::Histogram),
            OnStage::ShowTables => self.show_figures(Show::Tables),
            OnStage::NextStage => self.shown.stage = self.shown.stage.next(),
            OnStage::NextPart => self.next_part(),
        }
    }

    fn run_tracing(&mut self, command: Tracing) {
        match command {
            Tracing::LensCloser => self.lens_closer(),
            Tracing::LensWider => self.lens_wider(),
            Tracing::LensTaller => self.move_splitter(true),
            Tracing::LensLower => self.move_splitter(false),
            Tracing::NextLensLeads => self.next_lens_leads(),
            Tracing::WaveLimits => self.toggle_wave_limits(),
            Tracing::Calipers => self.toggle_calipers(),
            Tracing::LongerRows => self.rows(true),
            Tracing::ShorterRows => self.rows(false),
            Tracing::TallerTracing => self.scale_rows(2.0),
            Tracing::LowerTracing => self.scale_rows(0.5),
            Tracing::NextLead => self.next_lead(),
            Tracing::InvertLead => self.show(Some(Sheet::Leads)),
        }
    }

    fn run_of_day(&mut self, command: OfDay) {
        match command {
            OfDay::Intake => self.show(Some(Sheet::Intake)),
            OfDay::History => self.show(Some(Sheet::History)),
            OfDay::Conclusion => self.show(Some(Sheet::Conclusion)),
            OfDay::Sign => self.show(Some(Sheet::Sign)),
            OfDay::Open => self.services.dialogs.ask(&self.ctx().clone()),
            OfDay::OpenPath => self.show(Some(Sheet::Path)),
            OfDay::Demo => {
                self.shown.card = self.shown.card.or(Some(Card::FIRST));
                self.start_opening(ToOpen::Demo);
            }
            OfDay::Settings => self.show(Some(Sheet::Settings)),
        }
    }

    fn run_appearance(&mut self, command: Appearance) {
        match command {
            Appearance::ThemeLight => self.ctx().set_theme(egui::ThemePreference::Light),
            Appearance::ThemeDark => self.ctx().set_theme(egui::ThemePreference::Dark),
            Appearance::ThemeSystem => self.ctx().set_theme(egui::ThemePreference::System),
            Appearance::NextTheme => self.ctx().set_theme(match self.ctx().theme() {
                egui::Theme::Dark => egui::ThemePreference::Light,
                egui::Theme::Light => egui::ThemePreference::Dark,
            }),
            Appearance::TextLarger => self.scale_text(1.1),
            Appearance::TextSmaller => self.scale_text(1.0 / 1.1),
        }
    }

    fn run_help(&mut self, command: Help) {
        match command {
            Help::Palette => self.show(Some(Sheet::Palette)),
            Help::Keys => self.show(Some(Sheet::Keys)),
            Help::Cards => self.shown.card = Some(Card::FIRST),
        }
    }
}
