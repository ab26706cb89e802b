//! The figures: the live summary by family; each figure is a button that selects what proves it.

use beatledger_core::model::{Figure, FigureValue, Summary};
use beatledger_core::settings::TABLE;
use egui::{ScrollArea, Ui};

use crate::act::Act;
use crate::lines::value_words;
use crate::rows::{self, Row};
use crate::view::View;

/// Draws the figures in columns of families. `after` is what would stand after a pending change.
pub fn figures(ui: &mut Ui, view: &mut View<'_>, after: Option<&Summary>) {
    let snapshot = view.snapshot;
    if snapshot.summary.figures.is_empty() {
        ui.label("No figures yet. The summary of the day would stand here: rate, ectopy, rhythm, pauses, variability.");
        return;
    }
    let mut families: Vec<(&str, Vec<&Figure>)> = Vec::new();
    for figure in &snapshot.summary.figures {
        match families.iter_mut().find(|(name, _)| *name == figure.family) {
            Some((_, list)) => list.push(figure),
            None => families.push((figure.family, vec![figure])),
        }
    }
    let columns = if ui.available_width() > 900.0 { 3 } else { 2 };
    let parts = spread(&families, columns);
    ScrollArea::vertical().auto_shrink([false, false]).id_salt("figures").show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.columns(columns, |columns| {
            for (column, part) in columns.iter_mut().zip(parts) {
                for (name, list) in &families[part] {
                    family(column, view, name, list, after);
                }
            }
        });
    });
}

/// Which families go into which of `columns` columns, in order, so that the longest column is short.
fn spread(families: &[(&str, Vec<&Figure>)], columns: usize) -> Vec<std::ops::Range<usize>> {
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

fn family(ui: &mut Ui, view: &mut View<'_>, name: &str, list: &[&Figure], after: Option<&Summary>) {
    ui.add_space(3.0);
    ui.label(rows::bold(ui, name));
    for figure in list {
        figure_row(ui, view, figure, after.and_then(|a| a.figure(figure.key)));
    }
    ui.add_space(7.0);
}

fn figure_row(ui: &mut Ui, view: &mut View<'_>, figure: &Figure, after: Option<&Figure>) {
    let recording = &view.snapshot.recording;
    let mut value = value_words(figure, Some(recording));
    let changed = after.filter(|a| a.value != figure.value);
    if let Some(after) = changed {
        value = format!("{value} → {}", value_words(after, Some(recording)));
    }
    let row = Row {
        first: figure.name,
        second: "",
        right: &value,
        chosen: changed.is_some() || (!view.selection.is_empty() && view.selection.words == figure.name),
        struck: false,
        bold: changed.is_some(),
    };
    let response = rows::row(ui, view.look, ui.available_width(), &row);
    if response.on_hover_ui(|ui| detail(ui, view, figure)).clicked() {
        view.acts.push(Act::Ask(figure.key));
    }
}

/// Definition and settings of a figure.
fn detail(ui: &mut Ui, view: &View<'_>, figure: &Figure) {
    ui.set_max_width(420.0);
    ui.label(rows::bold(ui, figure.name));
    ui.label(figure.definition);
    if let FigureValue::NotComputable(why) = &figure.value {
        ui.label(format!("Not computable: {why}"));
    }
    for key in figure.settings {
        if let Some(row) = TABLE.iter().find(|r| r.key == *key) {
            let value = row.value(&view.snapshot.settings);
            ui.label(format!("Setting {key}: {value} {}", row.unit));
        }
    }
    ui.label("Click: select what proves it.");
}
