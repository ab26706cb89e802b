//! The course of ST over the day, a plot a lead, the changes that are held shaded.

use beatledger_report::document::{StChart, StPlot};
use egui::{Role, Ui, WidgetInfo};
use egui_plot::{GridMark, HLine, HoverPosition, Line, Plot, PlotPoints, Polygon};

use crate::shell::view_context::ViewContext;

/// Height of a plot at 100 % text size, points.
const HEIGHT_PT: f32 = 96.0;

/// Draws the plots, one under the other.
pub fn st_plot(ui: &mut Ui, view: &ViewContext<'_>, chart: &StChart) {
    for lead in &chart.leads {
        ui.label(&lead.words);
        one(ui, view, chart, lead);
    }
    ui.add_space(6.0);
}

fn one(ui: &mut Ui, view: &ViewContext<'_>, chart: &StChart, lead: &StPlot) {
    let theme = view.theme;
    let recording = view.snapshot.recording.clone();
    let clock = move |hour: f64| {
        let text = recording.clock(recording.rate.samples_from_seconds(hour * 3600.0));
        text.rsplit_once(':').map_or(text.clone(), |(head, _)| head.to_owned())
    };
    let at = clock.clone();
    let hover = move |pos: &HoverPosition<'_>| match pos {
        HoverPosition::NearDataPoint { position, .. } | HoverPosition::Elsewhere { position } => {
            Some(format!("{:.2} mV at {}", position.y, at(position.x)))
        }
    };
    let (low, high) = lead.range_mv;
    let shown = Plot::new(("st", &lead.name))
        .height(HEIGHT_PT * crate::paint::headline::text_scale(ui.ctx()))
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .y_axis_label("ST, mV")
        .y_axis_min_width(44.0)
        .x_axis_formatter(move |mark: GridMark, _: &_| clock(mark.value))
        .label_formatter(hover)
        .include_x(0.0)
        .include_x(chart.hours)
        .include_y(low)
        .include_y(high)
        .show(ui, |plot| {
            for ((from, to), extreme_mv) in &lead.changes {
                let corners = vec![[*from, low], [*to, low], [*to, high], [*from, high]];
                let name = format!("ST change {extreme_mv:+.2} mV");
                plot.polygon(Polygon::new(name, corners).fill_color(theme.wash).stroke((1.0, theme.edge)));
            }
            plot.hline(HLine::new("reference", lead.reference_mv).color(theme.faint).width(1.0));
            for piece in &lead.pieces {
                let points: PlotPoints<'_> = piece.iter().map(|p| [p.0, f64::from(p.1)]).collect();
                plot.line(Line::new("ST", points).color(theme.ink).width(1.2));
            }
        });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &lead.words));
}
