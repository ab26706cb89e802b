//! Every setting with its unit, range and source. Each can be changed here: most apply at once, those that decide how
//! beats are found have them found anew first.

use beatledger_core::review::Edit;
use beatledger_core::settings::{Setting, TABLE};
use egui::{DragValue, Grid, RichText, Role, ScrollArea, Ui, WidgetInfo};

use crate::app::act::Act;
use crate::shell::view_context::ViewContext;

/// Draws the table.
pub fn settings(ui: &mut Ui, view: &mut ViewContext<'_>) {
    ui.label("A change is an edit: it stands in the ledger, is printed in the report and can be taken back. Where beats are found anew, the day stays as it is until they are.");
    ScrollArea::vertical().max_height(470.0).auto_shrink([false, true]).show(ui, |ui| {
        Grid::new("settings").num_columns(5).spacing([14.0, 4.0]).show(ui, |ui| {
            for head in ["Setting", "Value", "A change", "Allowed", "Source"] {
                ui.label(crate::paint::fonts::bold_text(ui, head));
            }
            ui.end_row();
            for row in TABLE {
                setting_row(ui, view, row);
                ui.end_row();
            }
        });
    });
}

fn setting_row(ui: &mut Ui, view: &mut ViewContext<'_>, row: &Setting) {
    let value = row.value(&view.snapshot.settings);
    let name = ui.label(row.key).on_hover_text(row.help);
    ui.horizontal(|ui| {
        let mut changed = value;
        let speed = (row.max - row.min) / 200.0;
        let drag = DragValue::new(&mut changed)
            .range(row.min..=row.max)
            .speed(speed)
            .suffix(format!(" {}", row.unit))
            .update_while_editing(false);
        let response = ui.add(drag).labelled_by(name.id);
        let id = response.id.with("being dragged");
        if response.dragged() {
            // A drag is one edit: it is made when the pointer lets go.
            ui.data_mut(|d| d.insert_temp(id, changed));
        } else if response.drag_stopped() {
            let last = ui.data_mut(|d| d.remove_temp::<f64>(id)).unwrap_or(changed);
            set(view, row, value, last);
        } else if changed != value {
            set(view, row, value, changed);
        }
        if value != row.default {
            let back = ui.button("Default").on_hover_text(format!("Back to {} {}", row.default, row.unit));
            back.widget_info(|| {
                WidgetInfo::labeled(Role::Button, true, format!("{} back to its default", row.key))
            });
            if back.clicked() {
                set(view, row, value, row.default);
            }
        }
    });
    ui.label(if row.refind { "finds beats anew" } else { "at once" });
    ui.label(format!("{} to {}", row.min, row.max));
    ui.add(egui::Label::new(RichText::new(row.source).small().color(view.theme.faint)).wrap());
}

/// Without the last digits that dragging leaves; no default loses any.
fn rounded(value: f64) -> f64 {
    (value * 10_000.0).round() / 10_000.0
}

fn set(view: &mut ViewContext<'_>, row: &Setting, before: f64, value: f64) {
    let value = rounded(value);
    if value != before {
        view.acts.push(Act::Edit(Edit::ChangeSetting { key: row.key.to_owned(), value }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_setting_that_goes_back_to_its_default_is_its_default() {
        for row in TABLE {
            assert_eq!(rounded(row.default), row.default, "{}", row.key);
        }
    }
}
