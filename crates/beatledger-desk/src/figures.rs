//! The figures: the live summary by family; each figure is a button that selects what proves it.

use beatledger_core::model::{Figure, FigureValue, Summary};
use beatledger_core::settings::TABLE;
use egui::{Align, Layout, RichText, ScrollArea, Ui};

use crate::act::Act;
use crate::lines::value_words;
use crate::view::View;

/// Draws the figures in two columns of families. `after` is what would stand after a pending change.
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
    let halves = halved(&families);
    ScrollArea::vertical().auto_shrink([false, false]).id_salt("figures").show(ui, |ui| {
        ui.columns(2, |columns| {
            for (column, half) in columns.iter_mut().zip([&families[..halves], &families[halves..]]) {
                for (name, list) in half {
                    family(column, view, name, list, after);
                }
            }
        });
    });
}

/// How many families go into the first column so that both are about as long.
fn halved(families: &[(&str, Vec<&Figure>)]) -> usize {
    let rows = |f: &[(&str, Vec<&Figure>)]| f.iter().map(|(_, l)| l.len() + 2).sum::<usize>();
    (0..=families.len()).min_by_key(|n| rows(&families[..*n]).abs_diff(rows(&families[*n..]))).unwrap_or(0)
}

fn family(ui: &mut Ui, view: &mut View<'_>, name: &str, list: &[&Figure], after: Option<&Summary>) {
    ui.add_space(2.0);
    let size = egui::TextStyle::Body.resolve(ui.style()).size;
    ui.label(RichText::new(name).font(crate::fonts::bold(size)));
    for figure in list {
        row(ui, view, figure, after.and_then(|a| a.figure(figure.key)));
    }
    ui.add_space(6.0);
}

fn row(ui: &mut Ui, view: &mut View<'_>, figure: &Figure, after: Option<&Figure>) {
    let value = value_words(figure, Some(&view.snapshot.recording));
    let changed = after.filter(|a| a.value != figure.value);
    ui.horizontal(|ui| {
        let button = egui::Button::new(figure.name).frame_when_inactive(false).truncate();
        let response = ui.add_sized([ui.available_width() * 0.55, 20.0], button);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, true, format!("{}: {value}", figure.name))
        });
        if response.on_hover_ui(|ui| detail(ui, view, figure)).clicked() {
            view.acts.push(Act::Ask(figure.key));
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let faint = matches!(figure.value, FigureValue::NotComputable(_));
            let text = match changed {
                Some(after) => {
                    RichText::new(format!("{value} → {}", value_words(after, Some(&view.snapshot.recording))))
                        .strong()
                }
                None if faint => RichText::new(&value).color(view.look.faint),
                None => RichText::new(&value),
            };
            ui.add(egui::Label::new(text).truncate());
        });
    });
}

/// Definition and settings of a figure.
fn detail(ui: &mut Ui, view: &View<'_>, figure: &Figure) {
    ui.set_max_width(420.0);
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
