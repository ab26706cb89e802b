//! The figures: the live summary by family, the table by hour, and the NN histogram. Each figure and each hour
//! is a button that selects what proves it.

use beatledger_core::model::{Family, Figure, FigureValue, Shown, Summary};
use beatledger_core::settings::TABLE;
use beatledger_report::values::{Reason, doubt_words, figure_words, grouped};
use egui::{ScrollArea, Ui};

use super::shares::Shares;
use super::{hours, plot, tables};
use crate::app::act::Act;
use crate::commands::table::Command;
use crate::lists::rows::{self, TextRow};
use crate::paint::fonts::bold_text;

use crate::shell::view_context::ViewContext;

/// What the figures stage shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Show {
    /// Every figure, by family.
    #[default]
    Families,
    /// The table by hour.
    Hours,
    /// The histogram of NN intervals.
    Histogram,
    /// Tables beyond the hours: pauses, ST, variability, conduction, symptoms, leads.
    Tables,
}

/// What the figures keep between frames: which of their views is shown, and what was worked out; no facts.
#[derive(Default)]
pub struct FiguresState {
    /// The view that is shown.
    pub show: Show,
    /// True to show every figure, false for those that a summary turns on.
    pub all: bool,
    shares: Shares,
    histogram: plot::Histogram,
    tables: tables::Tables,
}

/// Draws the figures stage. `after` is what would stand after a pending change.
pub fn figures(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut FiguresState, after: Option<&Summary>) {
    ui.horizontal(|ui| {
        for (show, words, command) in [
            (Show::Families, "By family", Command::StageFigures),
            (Show::Hours, "By hour", Command::ShowHours),
            (Show::Histogram, "NN histogram", Command::ShowHistogram),
            (Show::Tables, "Tables", Command::ShowTables),
        ] {
            let text = format!("{}  {words}", command.key_words());
            if ui.selectable_label(state.show == show, text).on_hover_text(command.tip()).clicked() {
                view.acts.push(Act::Run(command));
            }
        }
        if state.show == Show::Families {
            ui.separator();
            let words = format!("All {} figures", view.snapshot.summary.figures.len());
            let tip = format!(
                "Every figure, or those that a summary turns on ({} again)",
                Command::StageFigures.key_words()
            );
            if ui.selectable_label(state.all, words).on_hover_text(tip).clicked() {
                view.acts.push(Act::Run(Command::StageFigures));
            }
        }
    });
    if !view.snapshot.is_whole() {
        ui.label("The figures of variability, intervals and ST are being worked out.");
    }
    match state.show {
        Show::Families => {
            state.shares.refresh(view.snapshot, view.selection);
            families(ui, view, state, after);
        }
        Show::Hours => {
            state.tables.refresh(view);
            hours::hours(ui, view, state.tables.hours());
        }
        Show::Histogram => plot::plot(ui, view, &mut state.histogram),
        Show::Tables => tables::tables(ui, view, &mut state.tables),
    }
}

/// A figure with its place among all of them.
type Placed<'a> = (usize, &'a Figure);

/// Draws the figures in columns of families.
fn families(ui: &mut Ui, view: &mut ViewContext<'_>, state: &FiguresState, after: Option<&Summary>) {
    let snapshot = view.snapshot;
    if snapshot.summary.figures.is_empty() {
        ui.label("No figures yet. The summary of the day would stand here: rate, ectopy, rhythm, pauses, variability.");
        return;
    }
    let mut families: Vec<(Family, Vec<Placed<'_>>)> = Vec::new();
    let changes = |f: &Figure| after.and_then(|a| a.figure(f.id)).is_some_and(|a| a.value != f.value);
    // What a pending change would do is always shown.
    let shown = |f: &Figure| state.all || f.id.row().shown == Shown::First || changes(f);
    for placed in snapshot.summary.figures.iter().enumerate().filter(|(_, f)| shown(f)) {
        let family = placed.1.family();
        match families.iter_mut().find(|(name, _)| *name == family) {
            Some((_, list)) => list.push(placed),
            None => families.push((family, vec![placed])),
        }
    }
    let columns = if ui.available_width() > 900.0 { 3 } else { 2 };
    let parts = spread(&families, columns);
    ScrollArea::vertical().auto_shrink([false, false]).id_salt("figures").show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.columns(columns, |columns| {
            for (column, part) in columns.iter_mut().zip(parts) {
                for (name, list) in &families[part] {
                    family(column, view, name.title(), list, &state.shares, after);
                }
            }
        });
    });
}

/// Which families go into which of `columns` columns, in order, so that the longest column is short.
fn spread(families: &[(Family, Vec<Placed<'_>>)], columns: usize) -> Vec<std::ops::Range<usize>> {
    let rows = |from: usize, to: usize| families[from..to].iter().map(|(_, l)| l.len() + 2).sum::<usize>();
    let total = rows(0, families.len());
    // The least height with which filling column after column needs no more columns than there are.
    let mut height = total.div_ceil(columns.max(1));
    loop {
        let mut parts = Vec::new();
        let mut from = 0;
        while from < families.len() {
            let fits = |to: &usize| rows(from, *to) <= height;
            let to = (from + 1..=families.len()).take_while(fits).last().unwrap_or(from + 1);
            parts.push(from..to);
            from = to;
        }
        if parts.len() <= columns || height >= total {
            return parts;
        }
        height += 1;
    }
}

fn family(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    name: &str,
    list: &[Placed<'_>],
    shares: &Shares,
    after: Option<&Summary>,
) {
    ui.add_space(3.0);
    ui.label(bold_text(ui, name));
    for (at, figure) in list {
        figure_row(ui, view, figure, shares.of(*at), after.and_then(|a| a.figure(figure.id)));
    }
    ui.add_space(7.0);
}

fn figure_row(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    figure: &Figure,
    share: Option<usize>,
    after: Option<&Figure>,
) {
    let recording = &view.snapshot.recording;
    let mut value = figure_words(figure, recording, Reason::Short);
    let changed = after.filter(|a| a.value != figure.value);
    if let Some(after) = changed {
        value = format!("{value} → {}", figure_words(after, recording, Reason::Short));
    } else if let Some(n) = share {
        value = format!("{value}, {} selected", grouped(n as u64));
    }
    let row = TextRow {
        first: figure.name,
        second: "",
        right: &value,
        chosen: changed.is_some() || (!view.selection.is_empty() && view.selection.words == figure.name),
        struck: false,
        bold: changed.is_some(),
    };
    let response = rows::row(ui, view.theme, ui.available_width(), &row);
    if response.on_hover_ui(|ui| detail(ui, view, figure)).clicked() {
        view.acts.push(Act::Ask(figure.id));
    }
}

/// Definition and settings of a figure.
fn detail(ui: &mut Ui, view: &ViewContext<'_>, figure: &Figure) {
    ui.set_max_width(420.0);
    ui.label(bold_text(ui, figure.name));
    ui.label(figure.definition());
    if let FigureValue::NotComputable(why) = &figure.value {
        ui.label(format!("Not computable: {why}"));
    }
    if let Some(doubt) = doubt_words(figure) {
        ui.label(format!("Doubt: {doubt}."));
    }
    if let Some(percent) = figure.basis.percent {
        ui.label(format!("Rests on {percent:.1} % {}.", figure.basis.of));
    }
    for key in figure.settings() {
        if let Some(row) = TABLE.iter().find(|r| r.key == *key) {
            let value = row.value(&view.snapshot.settings);
            ui.label(format!("Setting {key}: {value} {}", row.unit));
        }
    }
    ui.label("Click: select what proves it.");
}
