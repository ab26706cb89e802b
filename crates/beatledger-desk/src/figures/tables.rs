//! Tables beyond the hours, the same as in the report: one is shown at a time; a row with a place is a button that
//! selects the stretch of tracing that shows it.

use std::sync::Arc;

use beatledger_core::model::Summary;
use beatledger_report::document::{self, Align, Column, Row, StChart, Table};
use beatledger_report::tables::{self, Page, ShownTable};
use egui::{Label, Layout, Response, RichText, Role, ScrollArea, TextWrapMode, Ui, WidgetInfo, vec2};

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::lists::rows;
use crate::paint::fonts::bold_text;
use crate::shell::view_context::ViewContext;

/// A table of more rows than this is drawn only where it is in view.
const MANY: usize = 60;

/// The tables of one snapshot, and which of them is shown; no facts.
#[derive(Default)]
pub struct Tables {
    made_from: Option<Arc<Summary>>,
    list: Vec<ShownTable>,
    st: Option<StChart>,
    chosen: Option<&'static str>,
}

impl Tables {
    /// The table by hour.
    pub fn hours(&self) -> Option<&Table> {
        self.list.iter().find(|t| t.about.page == Page::Day)?.table.as_ref()
    }

    pub fn refresh(&mut self, view: &ViewContext<'_>) {
        let summary = &view.snapshot.summary;
        if !self.made_from.as_ref().is_some_and(|s| Arc::ptr_eq(s, summary)) {
            self.list = tables::shown(view.snapshot);
            self.st = document::st_chart(view.snapshot);
            self.made_from = Some(summary.clone());
        }
    }
}

/// Draws the names of the tables, and the chosen one.
pub fn tables(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut Tables) {
    state.refresh(view);
    // The hours have a view of their own.
    let list: Vec<&ShownTable> = state.list.iter().filter(|t| t.about.page != Page::Day).collect();
    let Some(first) = list.first() else {
        ui.label("No tables yet. Pauses, ST, variability by hour, conduction, symptoms and leads would stand here.");
        return;
    };
    let chosen = state.chosen.filter(|key| list.iter().any(|t| t.about.key == *key));
    let chosen = chosen.unwrap_or(first.about.key);
    ui.horizontal_wrapped(|ui| {
        for about in list.iter().map(|t| t.about) {
            if ui.selectable_label(about.key == chosen, about.title).clicked() {
                state.chosen = Some(about.key);
            }
        }
    });
    ui.separator();
    if let Some(table) = list.into_iter().find(|t| t.about.key == chosen) {
        let many = table.table.as_ref().filter(|t| t.rows.len() > MANY);
        if let Some(rows) = many {
            return long(ui, view, table, rows);
        }
        ScrollArea::vertical().auto_shrink([false, false]).id_salt(("table", chosen)).show(ui, |ui| {
            if let Some(chart) = state.st.as_ref().filter(|_| chosen == tables::ST.about().key) {
                super::st_plot::st_plot(ui, view, chart);
            }
            one(ui, view, table);
        });
    }
}

/// A table of which only the rows in view are drawn, a line each.
fn long(ui: &mut Ui, view: &mut ViewContext<'_>, shown: &ShownTable, table: &Table) {
    ui.add(Label::new(RichText::new(&shown.note).small().color(view.theme.faint)).wrap());
    ui.add_space(4.0);
    let point = head(ui, view, table);
    let area = ScrollArea::vertical().auto_shrink([false, false]).id_salt(("long table", shown.about.key));
    area.show_rows(ui, rows::one_line(ui), table.rows.len(), |ui, range| {
        for row in &table.rows[range] {
            ui.horizontal(|ui| line(ui, view, shown, row, (table, point), TextWrapMode::Truncate));
        }
    });
}

/// Draws the headings; gives the points of one share.
fn head(ui: &mut Ui, view: &ViewContext<'_>, table: &Table) -> f32 {
    let shares: f32 = table.columns.iter().map(|c| c.share).sum();
    // As wide as the stage, and no wider than is easy to read along a row.
    let point = (ui.available_width() - 30.0).min(1100.0) / shares.max(1.0);
    ui.horizontal_top(|ui| {
        for column in &table.columns {
            let words = RichText::new(&column.title).small().color(view.theme.faint);
            cell(ui, column, point, |ui| ui.add(Label::new(words).wrap()));
        }
    });
    point
}

fn one(ui: &mut Ui, view: &mut ViewContext<'_>, shown: &ShownTable) {
    if !shown.words.is_empty() {
        ui.label(&shown.words);
    }
    if !shown.caution.is_empty() {
        ui.label(bold_text(ui, shown.caution));
    }
    if let Some(table) = &shown.table {
        let point = head(ui, view, table);
        for row in &table.rows {
            ui.horizontal_top(|ui| line(ui, view, shown, row, (table, point), TextWrapMode::Wrap));
        }
    }
    ui.add_space(6.0);
    ui.add(Label::new(RichText::new(&shown.note).small().color(view.theme.faint)).wrap());
}

fn line(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    shown: &ShownTable,
    row: &Row,
    (table, point): (&Table, f32),
    wrap: TextWrapMode,
) {
    for (i, (text, column)) in row.cells.iter().zip(&table.columns).enumerate() {
        let words = if row.strong { bold_text(ui, text) } else { RichText::new(text) };
        let Some(place) = row.place.filter(|_| i == 0) else {
            cell(ui, column, point, |ui| ui.add(Label::new(words).wrap_mode(wrap)));
            continue;
        };
        let name = format!("{}: {text}", shown.about.title);
        let response = cell(ui, column, point, |ui| ui.link(words));
        let response = response.on_hover_text("Selects the stretch that shows it.");
        response.widget_info(|| WidgetInfo::labeled(Role::Link, true, &name));
        if response.clicked() {
            view.acts.push(Act::Select { selection: Selection::of_span(place, name), go: true });
        }
    }
}

/// One cell, `point` points wide for each share of its column.
fn cell(ui: &mut Ui, column: &Column, point: f32, add: impl FnOnce(&mut Ui) -> Response) -> Response {
    let width = column.share * point - ui.spacing().item_spacing.x;
    let layout = match column.align {
        Align::Left => Layout::left_to_right(egui::Align::Min),
        Align::Right => Layout::right_to_left(egui::Align::Min),
    };
    ui.allocate_ui_with_layout(vec2(width, 0.0), layout, |ui| {
        ui.set_width(width);
        add(ui)
    })
    .inner
}
