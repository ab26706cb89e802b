//! Where everything stands: identity line, day band, stage with the lists beside it, bottom line.

use beatledger_core::session::Snapshot;
use beatledger_report::values::grouped;
use egui::{CentralPanel, Frame, Margin, Panel, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::app::desk::Desk;
use crate::app::job::Job;
use crate::commands::find;
use crate::figures::families;
use crate::lists::{event_list, item_list};
use crate::paint::headline::text_scale;
use crate::paint::theme::Theme;

use crate::sheets::cards;
use crate::sheets::sheet::Sheet;
use crate::shell::panels::Side;
use crate::shell::stage::Stage;
use crate::shell::view_context::ViewContext;
use crate::shell::{bottom_line, day_views, identity, lines, stage_bar};

impl Desk {
    /// Draws everything; requests are put into `acts`.
    pub(crate) fn draw(&mut self, ui: &mut Ui, acts: &mut Vec<Act>) {
        let theme = Self::theme(ui.ctx());
        match self.open.day.as_ref().map(|d| (d.snapshot.clone(), d.derived.clone())) {
            Some((snapshot, derived)) => self.draw_day(ui, theme, &snapshot, &derived, acts),
            None => self.draw_empty(ui, theme, acts),
        }
        self.shown.panels.fresh = false;
    }

    fn draw_day(
        &mut self,
        ui: &mut Ui,
        theme: &Theme,
        snapshot: &Snapshot,
        derived: &Derived,
        acts: &mut Vec<Act>,
    ) {
        let ctx = ui.ctx().clone();
        let selection = self.pointed.selection.clone();
        let view =
            &mut ViewContext { snapshot, selection: &selection, place: self.pointed.place, theme, acts };
        let bar = Frame::side_top_panel(ui.style()).inner_margin(Margin::symmetric(8, 3));
        let paper = bar.fill(theme.paper).inner_margin(Margin::symmetric(8, 2));
        Panel::top("identity")
            .exact_size(ui.spacing().interact_size.y + 8.0)
            .frame(bar)
            .show(ui, |ui| identity::identity_line(ui, view, derived));
        let band = day_views::band_height(&ctx) + 4.0;
        Panel::top("day band").exact_size(band).frame(paper).show(ui, |ui| {
            day_views::day_band(ui, view, &mut self.shown.panels.views);
        });
        Panel::bottom("bottom line").frame(bar).show(ui, |ui| self.draw_bottom(ui, view, derived));
        Panel::right("side").default_size(300.0).size_range(240.0..=420.0).frame(bar).show(ui, |ui| {
            self.draw_side(ui, view, derived);
        });
        Panel::top("stage bar").frame(bar).show(ui, |ui| self.draw_stage_bar(ui, view));
        self.draw_stage_and_lens(ui, view, paper);
        self.draw_sheet(&ctx, view, derived);
    }

    fn draw_stage_and_lens(&mut self, ui: &mut Ui, view: &mut ViewContext<'_>, paper: Frame) {
        let stage = self.shown.stage;
        let panels = &mut self.shown.panels;
        let both = ui.available_rect_before_wrap();
        let lens_pt = panels.splitter.lens_pt(stage, both.height(), text_scale(ui.ctx()));
        Panel::bottom("lens")
            .resizable(false)
            .exact_size(lens_pt)
            .frame(paper)
            .show(ui, |ui| day_views::lens(ui, view, &mut panels.views));
        CentralPanel::default().frame(paper.inner_margin(Margin::symmetric(8, 4))).show(
            ui,
            |ui| match stage {
                Stage::Figures => {
                    let after = self.waiting.for_yes.as_ref().map(|p| &*p.after.summary);
                    families::figures(ui, view, &mut panels.figures, after);
                }
                stage => day_views::stage(ui, view, &mut panels.views, stage),
            },
        );
        panels.splitter.show(ui, view, stage, both);
    }

    /// What stands where a day would be: how far opening is, or how to open one.
    fn draw_empty(&mut self, ui: &mut Ui, theme: &Theme, acts: &mut Vec<Act>) {
        let job = self.open.job.as_ref();
        CentralPanel::default().show(ui, |ui| {
            let first = job.and_then(Job::preview);
            ui.add_space(ui.available_height() * if first.is_some() { 0.05 } else { 0.3 });
            ui.vertical_centered(|ui| {
                lines::empty_desk(ui, job, &self.shown.notice, acts);
                if let Some(first) = first {
                    ui.add_space(12.0);
                    first.show(ui, theme);
                }
            });
        });
        self.draw_sheet_without_day(&ui.ctx().clone(), acts);
    }

    fn draw_bottom(&mut self, ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived) {
        let Some(day) = &self.open.day else { return };
        let shown = self.shown.events.shown(view.snapshot).len();
        let words = self.shown.events.filter.words();
        let hidden = (!words.is_empty())
            .then(|| format!("events: {words}, {} hidden", view.snapshot.events.len() - shown));
        let line = bottom_line::BottomLine {
            notice: &self.shown.notice,
            saved: day.saved_words(),
            hidden,
            job: self.open.job.as_ref(),
        };
        bottom_line::bottom_line(ui, view, derived, &line);
    }

    fn draw_side(&mut self, ui: &mut Ui, view: &mut ViewContext<'_>, derived: &Derived) {
        if let Some(card) = self.shown.card {
            cards::card(ui, view, card);
        }
        let side = &mut self.shown.panels.side;
        ui.horizontal(|ui| {
            for (to, words, n) in [
                (Side::Items, "Open items", derived.items.len()),
                (Side::Events, "Events", view.snapshot.events.len()),
            ] {
                let text = format!("{words}  {}", grouped(n as u64));
                if ui.selectable_label(*side == to, text).clicked() {
                    *side = to;
                }
            }
        });
        ui.separator();
        match side {
            Side::Items => {
                item_list::open_items_panel(ui, view, derived, self.pointed.item.map(|(key, _)| key));
            }
            Side::Events => event_list::event_list(ui, view, &mut self.shown.events),
        }
    }

    /// The views, what is selected, and below it what can be done with it; while something is asked, the question stands in
    /// the same place, so that the tracing does not move.
    fn draw_stage_bar(&mut self, ui: &mut Ui, view: &mut ViewContext<'_>) {
        let on_screen = self.selection_is_on_screen();
        let panels = &mut self.shown.panels;
        panels.said_on_screen = on_screen;
        stage_bar::stage_bar(ui, view, &mut panels.class_mix, self.shown.stage, on_screen);
        let line = self.shown.sheet.filter(|s| s.is_line());
        if line.is_none() && self.waiting.for_yes.is_none() {
            let drawn = ui.horizontal_wrapped(|ui| stage_bar::actions(ui, view));
            panels.actions_pt = drawn.response.rect.height();
            return;
        }
        let width = ui.available_width();
        let place = ui.allocate_space(egui::vec2(width, panels.actions_pt)).1;
        let ui = &mut ui.new_child(
            egui::UiBuilder::new().max_rect(place).layout(egui::Layout::left_to_right(egui::Align::Center)),
        );
        ui.painter().rect_filled(place.expand2(egui::vec2(4.0, 2.0)), 2.0, view.theme.wash);
        let (draft, fresh) = (&mut panels.draft, panels.fresh);
        match (line, &self.waiting.for_yes) {
            (Some(Sheet::Find), _) => find::find_line(ui, view, &mut panels.find),
            (Some(Sheet::Reader), _) => {
                lines::reader_line(ui, view, draft, fresh, &self.services.reader_default);
            }
            (Some(Sheet::Path), _) => lines::path_line(ui, view, draft, fresh),
            (_, Some(pending)) => lines::pending_line(ui, view, pending),
            _ => {}
        }
    }
}
