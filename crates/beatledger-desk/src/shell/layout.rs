//! Where everything stands: identity line, day band, stage with the lists beside it, bottom line.

use std::sync::Arc;

use beatledger_core::model::Beat;
use egui::{CentralPanel, Frame, Margin, Modal, Panel, Ui};

use crate::app::act::Act;
use crate::app::desk::Desk;
use crate::app::job::Job;
use crate::commands::find;
use crate::commands::find::FindState;
use crate::figures::families as figures;
use crate::lists::{events, items};
use crate::outside::services::SignRequest;
use crate::sheets::sheet::Sheet;
use crate::sheets::{cards, choose, conclusion, history, intake, key_table, palette, settings, sign};
use crate::shell::day_views::{self, Views};
use crate::shell::splitter::Edge;
use crate::shell::stage::Stage;
use crate::shell::view_context::View;
use crate::shell::{bottom_line, identity, lines, stage_bar};

/// The list beside the stage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// What still needs a reader.
    #[default]
    Items,
    /// Every event.
    Events,
}

/// What panels remember between frames: drafts, scroll places, caches. No facts.
#[derive(Default)]
pub struct Panels {
    /// The tracing views.
    pub views: Views,
    /// The figures stage.
    pub figures: figures::FiguresState,
    /// The edge between stage and lens.
    pub edge: Edge,
    /// The list beside the stage.
    pub side: Side,
    /// The find line.
    pub find: FindState,
    /// The command palette.
    pub palette: palette::PaletteState,
    /// A line being typed: the reader's name or a path.
    pub draft: String,
    /// The conclusion being written.
    pub conclusion: String,
    /// The signature being filled in.
    pub sign: SignRequest,
    /// The ledger in words.
    pub history: history::HistoryState,
    /// True in the first frame of a sheet or line: drafts are filled, the focus is taken.
    pub fresh: bool,
    mix: Option<Mix>,
}

/// The classes of the selected beats in words, and what they were worked out from.
struct Mix {
    selected: Arc<Vec<i64>>,
    beats: Arc<Vec<Beat>>,
    words: String,
}

impl Panels {
    /// Forgets what belongs to the day before.
    pub fn new_day(&mut self) {
        self.views = Views::default();
        self.history = history::HistoryState::default();
        self.figures = figures::FiguresState::default();
        self.mix = None;
    }

    /// Shows the event list beside the stage.
    pub fn show_events(&mut self) {
        self.side = Side::Events;
    }

    /// Shows the open items beside the stage.
    pub fn show_items(&mut self) {
        self.side = Side::Items;
    }

    /// A sheet was opened: drafts are filled anew.
    pub fn sheet_opened(&mut self) {
        self.fresh = true;
        self.find.focus = true;
    }

    /// How many of the selected beats have which class, worked out once per selection and snapshot.
    pub fn mix(&mut self, view: &View<'_>) -> &str {
        let is_fresh = |mix: &Mix| {
            Arc::ptr_eq(&mix.selected, &view.selection.beats) && Arc::ptr_eq(&mix.beats, &view.snapshot.beats)
        };
        if !self.mix.as_ref().is_some_and(is_fresh) {
            let words = crate::app::derived::class_mix(view.snapshot, &view.selection.beats);
            let (selected, beats) = (view.selection.beats.clone(), view.snapshot.beats.clone());
            self.mix = Some(Mix { selected, beats, words });
        }
        self.mix.as_ref().map_or("", |mix| &mix.words)
    }
}

impl Desk {
    /// Draws everything; requests are put into `acts`.
    pub(crate) fn draw(&mut self, ui: &mut Ui, acts: &mut Vec<Act>) {
        let ctx = ui.ctx().clone();
        let look = Self::look(&ctx);
        let Some((snapshot, derived)) = self.doc.as_ref().map(|d| (d.snapshot.clone(), d.derived.clone()))
        else {
            return self.draw_empty(ui, acts);
        };
        let selection = self.selection.clone();
        let view = &mut View { snapshot: &snapshot, selection: &selection, place: self.place, look, acts };
        let bar = Frame::side_top_panel(ui.style()).inner_margin(Margin::symmetric(8, 3));
        Panel::top("identity")
            .exact_size(ui.spacing().interact_size.y + 8.0)
            .frame(bar)
            .show(ui, |ui| identity::identity_line(ui, view, &derived));
        let paper = bar.fill(look.paper).inner_margin(Margin::symmetric(8, 2));
        let band = day_views::band_height(&ctx) + 4.0;
        Panel::top("day band").exact_size(band).frame(paper).show(ui, |ui| {
            day_views::day_band(ui, view, &mut self.panels.views);
        });
        Panel::bottom("bottom line").frame(bar).show(ui, |ui| self.draw_bottom(ui, view, &derived));
        Panel::right("side").default_size(300.0).size_range(240.0..=420.0).frame(bar).show(ui, |ui| {
            self.draw_side(ui, view, &derived);
        });
        Panel::top("stage bar")
            .frame(bar)
            .show(ui, |ui| stage_bar::stage_bar(ui, view, &mut self.panels, self.stage));
        self.draw_lines(ui, view);
        let both = ui.available_rect_before_wrap();
        let scale = crate::paint::draw::text_scale(&ctx);
        let lens_pt = self.panels.edge.lens_pt(self.stage, both.height(), scale);
        Panel::bottom("lens")
            .resizable(false)
            .exact_size(lens_pt)
            .frame(paper)
            .show(ui, |ui| day_views::lens(ui, view, &mut self.panels.views));
        CentralPanel::default().frame(paper.inner_margin(Margin::symmetric(8, 4))).show(ui, |ui| match self
            .stage
        {
            Stage::Figures => {
                let after = self.pending.as_ref().map(|p| &p.after.summary);
                figures::figures(ui, view, &mut self.panels.figures, after.map(|a| &**a));
            }
            stage => day_views::stage(ui, view, &mut self.panels.views, stage),
        });
        self.panels.edge.show(ui, view, self.stage, both);
        self.draw_sheet(&ctx, view, &derived);
        self.panels.fresh = false;
    }

    fn draw_empty(&mut self, ui: &mut Ui, acts: &mut Vec<Act>) {
        let ctx = ui.ctx().clone();
        let notice = self.notice.clone();
        let job = self.job.as_ref();
        CentralPanel::default().show(ui, |ui| {
            let first = job.and_then(Job::first_look);
            ui.add_space(ui.available_height() * if first.is_some() { 0.05 } else { 0.3 });
            ui.vertical_centered(|ui| {
                lines::empty_desk(ui, job, &notice, acts);
                if let Some(first) = first {
                    ui.add_space(12.0);
                    first.show(ui, Self::look(&ctx));
                }
            });
        });
        if let Some(sheet @ (Sheet::Palette | Sheet::Keys)) = self.sheet {
            over(&ctx, sheet, acts, |ui, acts| match sheet {
                Sheet::Palette => palette::palette(ui, acts, &mut self.panels.palette, self.panels.fresh),
                _ => key_table::keys_sheet(ui),
            });
        }
        self.panels.fresh = false;
    }

    fn draw_bottom(&mut self, ui: &mut Ui, view: &mut View<'_>, derived: &crate::app::derived::Derived) {
        let Some(doc) = &self.doc else { return };
        let hidden = {
            let shown = self.events.shown(view.snapshot).len();
            let words = self.events.filter.words();
            (!words.is_empty())
                .then(|| format!("events: {words}, {} hidden", view.snapshot.events.len() - shown))
        };
        let line = bottom_line::BottomLine {
            notice: &self.notice,
            saved: doc.saved_words(),
            hidden,
            job: self.job.as_ref(),
        };
        bottom_line::bottom_line(ui, view, derived, &line);
    }

    fn draw_side(&mut self, ui: &mut Ui, view: &mut View<'_>, derived: &crate::app::derived::Derived) {
        if let Some(card) = self.card {
            cards::card(ui, view, card);
        }
        ui.horizontal(|ui| {
            for (side, words, n) in [
                (Side::Items, "Open items", derived.items.len()),
                (Side::Events, "Events", view.snapshot.events.len()),
            ] {
                let text = format!("{words}  {}", crate::app::derived::grouped(n as u64));
                if ui.selectable_label(self.panels.side == side, text).clicked() {
                    self.panels.side = side;
                }
            }
        });
        ui.separator();
        match self.panels.side {
            Side::Items => items::open_items_panel(ui, view, derived, self.item.map(|(key, _)| key)),
            Side::Events => events::event_list(ui, view, &mut self.events),
        }
    }

    fn draw_lines(&mut self, ui: &mut Ui, view: &mut View<'_>) {
        let line = self.sheet.filter(|s| s.is_line());
        if line.is_none() && self.pending.is_none() {
            return;
        }
        let frame =
            Frame::side_top_panel(ui.style()).fill(view.look.wash).inner_margin(Margin::symmetric(8, 5));
        Panel::top("lines").frame(frame).show(ui, |ui| {
            let panels = &mut self.panels;
            match line {
                Some(Sheet::Find) => find::find_line(ui, view, &mut panels.find),
                Some(Sheet::Reader) => lines::reader_line(ui, view, panels, &self.services.reader_default),
                Some(Sheet::Path) => lines::path_line(ui, view, panels),
                _ => {}
            }
            if let Some(pending) = &self.pending {
                lines::pending_line(ui, view, pending);
            }
        });
    }

    fn draw_sheet(
        &mut self,
        ctx: &egui::Context,
        view: &mut View<'_>,
        derived: &crate::app::derived::Derived,
    ) {
        let Some(sheet) = self.sheet.filter(|s| !s.is_line()) else { return };
        let Some(doc) = &self.doc else { return };
        let fresh = self.panels.fresh;
        let panels = &mut self.panels;
        let (snapshot, selection, place, look) = (view.snapshot, view.selection, view.place, view.look);
        over(ctx, sheet, view.acts, |ui, acts| {
            let view = &mut View { snapshot, selection, place, look, acts };
            match sheet {
                Sheet::Palette => palette::palette(ui, view.acts, &mut panels.palette, fresh),
                Sheet::Keys => key_table::keys_sheet(ui),
                Sheet::Intake => intake::intake(ui, view, derived),
                Sheet::History => history::history(ui, view, &mut panels.history, &doc.entries),
                Sheet::Settings => settings::settings(ui, view),
                Sheet::Conclusion => conclusion::conclusion(ui, view, &mut panels.conclusion, fresh),
                Sheet::Sign => sign::sign(ui, view, &mut panels.sign, fresh, self.reader.as_deref()),
                Sheet::ChangeEvent | Sheet::AddEvent | Sheet::Leads => choose::choose(ui, view, sheet),
                // Lines are drawn above the stage.
                Sheet::Find | Sheet::Reader | Sheet::Path => {}
            }
        });
    }
}

/// Draws `sheet` over the desk, with its title and a way to close it.
fn over(
    ctx: &egui::Context,
    sheet: Sheet,
    acts: &mut Vec<Act>,
    content: impl FnOnce(&mut Ui, &mut Vec<Act>),
) {
    let frame = Frame::window(&ctx.global_style()).inner_margin(Margin::same(14));
    let modal = Modal::new(egui::Id::unique(("sheet", sheet.title()))).frame(frame).show(ctx, |ui| {
        ui.set_width(680.0);
        ui.set_max_height(600.0);
        ui.horizontal(|ui| {
            ui.heading(sheet.title());
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.button("Close  Esc").clicked() {
                    acts.push(Act::Sheet(None));
                }
            });
        });
        ui.add_space(4.0);
        content(ui, acts);
    });
    if modal.should_close() {
        acts.push(Act::Sheet(None));
    }
}
