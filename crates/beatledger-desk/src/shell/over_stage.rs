//! The sheet that lies over the stage, with its title and a way to close it.

use egui::{Frame, Margin, Modal, Ui};

use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::app::desk::Desk;
use crate::sheets::sheet::Sheet;
use crate::sheets::{choose, conclusion, history, intake, key_table, palette, settings, sign};
use crate::shell::view_context::ViewContext;

impl Desk {
    /// Draws the sheet that is open, unless it is a line above the stage.
    pub(crate) fn draw_sheet(&mut self, ctx: &egui::Context, view: &mut ViewContext<'_>, derived: &Derived) {
        let Some(sheet) = self.shown.sheet.filter(|s| !s.is_line()) else { return };
        let Some(day) = &self.open.day else { return };
        let fresh = self.shown.panels.fresh;
        let panels = &mut self.shown.panels;
        let (snapshot, selection, place, theme) = (view.snapshot, view.selection, view.place, view.theme);
        over(ctx, sheet, view.acts, |ui, acts| {
            let view = &mut ViewContext { snapshot, selection, place, theme, acts };
            match sheet {
                Sheet::Palette => palette::palette(ui, view.acts, &mut panels.palette, fresh),
                Sheet::Keys => key_table::key_table(ui),
                Sheet::Intake => intake::intake(ui, view, derived),
                Sheet::History => history::history(ui, view, &mut panels.history, &day.entries),
                Sheet::Settings => settings::settings(ui, view),
                Sheet::Conclusion => conclusion::conclusion(ui, view, &mut panels.conclusion, fresh),
                Sheet::Sign => {
                    sign::sign(ui, view, derived, &mut panels.sign, (fresh, self.reader.as_deref()));
                }
                Sheet::ChangeEvent => choose::change_event(ui, view),
                Sheet::AddEvent => choose::add_event(ui, view),
                Sheet::Leads => choose::leads(ui, view),
                // Lines are drawn above the stage.
                Sheet::Find | Sheet::Reader | Sheet::Path => {}
            }
        });
    }

    /// Draws the sheets that need no day.
    pub(crate) fn draw_sheet_without_day(&mut self, ctx: &egui::Context, acts: &mut Vec<Act>) {
        let panels = &mut self.shown.panels;
        match self.shown.sheet {
            Some(sheet @ Sheet::Palette) => over(ctx, sheet, acts, |ui, acts| {
                palette::palette(ui, acts, &mut panels.palette, panels.fresh);
            }),
            Some(sheet @ Sheet::Keys) => over(ctx, sheet, acts, |ui, _| key_table::key_table(ui)),
            _ => {}
        }
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
