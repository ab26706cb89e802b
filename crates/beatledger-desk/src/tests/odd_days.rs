//! Odd days in windows of any size: every view is drawn without harm.

use std::sync::Arc;

use beatledger_core::model::{Found, Recording};
use beatledger_core::review::Fold;
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;

use crate::app::selection::Selection;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;

use crate::beats::grid::{GridState, morphology_grid};
use crate::beats::scatter::{ScatterState, rr_scatter};
use crate::tracing::band::{BandState, day_band};
use crate::tracing::lens::{LensState, lens};
use crate::tracing::strip::{StripState, day_strip};

/// Draws every view of one odd day in one size of window.
fn draw_all(snapshot: &Snapshot, size: [f32; 2], place: i64) {
    let mut bench = ViewBench::new(snapshot.clone());
    bench.size = size;
    bench.place = place;
    bench.selection = Selection::of_beats(vec![-5, 3, i64::MAX / 4], "odd");
    let mut band = BandState::default();
    bench.settle(|ui, view| day_band(ui, view, &mut band));
    let mut strip = StripState::default();
    bench.settle(|ui, view| day_strip(ui, view, &mut strip));
    let mut paper = LensState::default();
    bench.settle(|ui, view| lens(ui, view, &mut paper));
    let mut grid = GridState::default();
    bench.settle(|ui, view| morphology_grid(ui, view, &mut grid));
    let mut scatter = ScatterState::default();
    bench.settle(|ui, view| rr_scatter(ui, view, &mut scatter));
}

fn standing(recording: Recording, found: Found) -> Snapshot {
    Snapshot::new(Arc::new(recording), &Settings::default(), Arc::new(found), Fold::default())
}

#[test]
fn odd_days_and_small_windows_are_drawn_without_harm() {
    let day = MadeDay::minutes(2).snapshot();
    let plain = (*day.recording).clone();
    let empty = Recording { samples: 0, segments: Vec::new(), leads: Vec::new(), ..plain.clone() };
    let silent = Recording { start: None, diary: Vec::new(), ..plain.clone() };
    let mut one_lead = plain.clone();
    one_lead.leads.truncate(1);
    let days = [
        standing(empty, Found::default()),
        standing(silent, Found::default()),
        standing(one_lead, (*day.found).clone()),
        standing(plain, Found { groups: Vec::new(), ..(*day.found).clone() }),
    ];
    for day in &days {
        for (size, place) in [([1280.0, 700.0], 500), ([180.0, 90.0], -3), ([60.0, 20.0], i64::MAX / 8)] {
            draw_all(day, size, place);
        }
    }
}
