//! The histogram of the NN intervals that the variability figures rest on.

use std::sync::Arc;

use beatledger_core::measure::Day;
use beatledger_core::measure::variability::nn_intervals;
use beatledger_core::model::{Reading, Summary};
use beatledger_core::session::Snapshot;
use egui::{Role, Ui, WidgetInfo};
use egui_plot::{Bar, BarChart, HoverPosition, Plot, VLine};

use crate::paint::words::grouped;
use crate::shell::view_context::ViewContext;

/// The histogram of one snapshot.
#[derive(Default)]
pub struct Histogram {
    made_from: Option<Arc<Summary>>,
    /// Middle of the bin in ms, and how many intervals fall into it; a few hundred at most.
    bins: Vec<(f64, u32)>,
    count: usize,
    mean_ms: f64,
    /// Width of a bin, ms: that of the triangular index.
    bin_ms: f64,
}

impl Histogram {
    fn refresh(&mut self, snapshot: &Snapshot) {
        if self.made_from.as_ref().is_some_and(|s| Arc::ptr_eq(s, &snapshot.summary)) {
            return;
        }
        let reading =
            Reading::new(&snapshot.recording, &snapshot.settings, &snapshot.beats, &snapshot.unreadable);
        let nn_ms: Vec<f64> =
            nn_intervals(&Day::new(&reading, &snapshot.events)).iter().map(|nn| nn.ms).collect();
        *self = Self::of(&nn_ms, snapshot.settings.histogram_bin_ms);
        self.made_from = Some(snapshot.summary.clone());
    }

    fn of(nn_ms: &[f64], bin_ms: f64) -> Self {
        let mut bins = std::collections::BTreeMap::<i64, u32>::new();
        for ms in nn_ms {
            *bins.entry((ms / bin_ms).floor() as i64).or_default() += 1;
        }
        Self {
            made_from: None,
            bins: bins.into_iter().map(|(bin, n)| ((bin as f64 + 0.5) * bin_ms, n)).collect(),
            count: nn_ms.len(),
            mean_ms: nn_ms.iter().sum::<f64>() / nn_ms.len().max(1) as f64,
            bin_ms,
        }
    }

    /// What the picture shows, in words.
    fn words(&self) -> String {
        let highest = self.bins.iter().max_by_key(|(_, n)| *n);
        let (middle, n) = highest.copied().unwrap_or_default();
        format!(
            "Histogram of {} NN intervals in bins of {:.1} ms: mean {:.0} ms, most in one bin {} near {middle:.0} ms",
            grouped(self.count as u64),
            self.bin_ms,
            self.mean_ms,
            grouped(u64::from(n)),
        )
    }
}

/// Draws the histogram.
pub fn plot(ui: &mut Ui, view: &ViewContext<'_>, state: &mut Histogram) {
    state.refresh(view.snapshot);
    if state.count == 0 {
        ui.label("There are no NN intervals in this day: two normal beats in a row that can be read. Their histogram would stand here.");
        return;
    }
    let words = state.words();
    ui.label(format!("{words}. AF, ectopy and unreadable time are left out, as in the variability figures."));
    let bars = state.bins.iter().map(|(ms, n)| Bar::new(*ms, f64::from(*n)).width(state.bin_ms)).collect();
    let chart = BarChart::new("NN intervals", bars).color(view.theme.ink);
    let mean = VLine::new("mean", state.mean_ms).color(view.theme.edge).width(1.5);
    let hover = |pos: &HoverPosition<'_>| match pos {
        HoverPosition::NearDataPoint { position, .. } | HoverPosition::Elsewhere { position } => {
            Some(format!("{:.0} ms, {:.0} bpm", position.x, 60_000.0 / position.x.max(1.0)))
        }
    };
    let shown = Plot::new("nn histogram")
        .allow_drag(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_boxed_zoom(false)
        .x_axis_label("NN interval, ms")
        .y_axis_label("intervals in the bin")
        .y_axis_min_width(44.0)
        .label_formatter(hover)
        .include_y(0.0)
        .show(ui, |plot| {
            plot.bar_chart(chart);
            plot.vline(mean);
        });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_fall_into_bins_of_a_128th_of_a_second() {
        // 800 ms / 7.8125 ms = 102.4, so 800 and 804 ms share bin 102, 797 to 805 ms.
        let histogram = Histogram::of(&[800.0, 804.0, 812.0], 7.8125);
        assert_eq!(histogram.bins, [(102.5 * 7.8125, 2), (103.5 * 7.8125, 1)]);
        assert!(histogram.words().contains("3 NN intervals"), "{}", histogram.words());
    }
}
