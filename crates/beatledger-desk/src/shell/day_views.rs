//! The tracing views on the stage, and what the shell asks of them.

use std::sync::{Arc, mpsc};

use beatledger_core::model::{Progress, Recording, Span};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;
use egui::Ui;

use crate::beats::grid::{self, GridState};
use crate::beats::scatter::{self, ScatterState};
use crate::shell::stage::Stage;
use crate::shell::view_context::ViewContext;
use crate::tracing::band::{self, BandState};
use crate::tracing::lens::{self, LensState};
use crate::tracing::pyramid::Pyramid;
use crate::tracing::strip::{self, StripState};

/// Rows of up to a minute can be read: a full disclosure is printed so (common practice).
const READABLE_ROW_S: f64 = 60.0;

/// State of the tracing views of one day.
#[derive(Default)]
pub struct DayViews {
    band: BandState,
    strip: StripState,
    lens: LensState,
    grid: GridState,
    scatter: ScatterState,
    pyramid: Option<PyramidJob>,
    /// Filters that the pyramid on show was made with.
    filters: Option<[f64; 3]>,
}

/// A pyramid being made on a thread of its own.
struct PyramidJob {
    progress: Arc<Progress>,
    answer: mpsc::Receiver<Option<Pyramid>>,
}

impl Drop for PyramidJob {
    fn drop(&mut self) {
        self.progress.cancel();
    }
}

/// Settings that decide how tracing is drawn.
fn filters(settings: &Settings) -> [f64; 3] {
    [settings.highpass_hz, settings.lowpass_hz, settings.mains_hz]
}

impl DayViews {
    /// Starts making the pyramid when the day or its filters are new.
    pub fn keep_up(&mut self, snapshot: &Snapshot, ctx: &egui::Context) {
        let wanted = filters(&snapshot.settings);
        if self.filters == Some(wanted) {
            return;
        }
        self.filters = Some(wanted);
        self.strip.clear_pyramid();
        self.pyramid = start(snapshot.recording.clone(), snapshot.settings.clone(), ctx.clone());
    }

    /// Takes in a pyramid that is ready.
    pub fn listen(&mut self) {
        let Some(job) = &self.pyramid else { return };
        match job.answer.try_recv() {
            Err(mpsc::TryRecvError::Empty) => {}
            answer => {
                if let Ok(Some(pyramid)) = answer {
                    self.strip.set_pyramid(Arc::new(pyramid));
                }
                self.pyramid = None;
            }
        }
    }

    /// True while a pyramid is being made.
    pub fn is_busy(&self) -> bool {
        self.pyramid.is_some()
    }

    /// The stretch that the stage shows now, when it shows one.
    pub fn shown_span(&self, stage: Stage) -> Option<Span> {
        self.strip.visible_span().filter(|_| stage == Stage::Strip)
    }

    /// True while the rows of the day strip are short enough for their beats to be told apart.
    pub fn rows_can_be_read(&self) -> bool {
        self.strip.row_seconds() <= READABLE_ROW_S
    }

    /// The stretch that the lens shows now.
    pub fn lens_span(&self) -> Option<Span> {
        self.lens.visible_span()
    }

    /// Shows less time in the lens, larger. Gives the size in words.
    pub fn lens_closer(&mut self) -> String {
        self.lens.closer();
        format!("Lens at x{}", self.lens.zoom())
    }

    /// Shows more time in the lens, smaller. Gives the size in words.
    pub fn lens_wider(&mut self) -> String {
        self.lens.wider();
        format!("Lens at x{}", self.lens.zoom())
    }

    /// Makes the rows of the day strip longer or shorter. Gives their length in words.
    pub fn rows(&mut self, longer: bool) -> String {
        if longer {
            self.strip.zoom_out();
        } else {
            self.strip.zoom_in();
        }
        format!("Rows of {}", beatledger_report::values::duration_text(self.strip.row_seconds()))
    }

    /// Makes the tracing in the day strip taller (`by` 2) or lower (`by` 0.5). Gives its height in words.
    pub fn scale_rows(&mut self, by: f32) -> String {
        self.strip.scale_gain(by);
        format!("Tracing in the rows at {} times its usual height", self.strip.gain())
    }

    /// Shows the next of `leads` leads in the day strip. Gives its index.
    pub fn next_lead(&mut self, leads: usize) -> usize {
        self.strip.next_lead(leads);
        self.strip.lead()
    }

    /// Shows the leads that did not fit the lens before.
    pub fn next_lens_leads(&mut self, leads: usize) {
        self.lens.next_leads(leads);
    }

    /// Shows the wave limits of every beat, or again of the beat at the place alone. Gives true for every beat.
    pub fn toggle_wave_limits(&mut self) -> bool {
        self.lens.all_waves = !self.lens.all_waves;
        self.lens.all_waves
    }

    /// Takes the calipers out or puts them away. Gives true when they are out.
    pub fn toggle_calipers(&mut self) -> bool {
        let out = !self.lens.has_calipers();
        self.lens.clear_calipers();
        self.lens.calipers = out;
        out
    }

    /// Puts the calipers away; true when they were out.
    pub fn put_calipers_away(&mut self) -> bool {
        let out = self.lens.has_calipers();
        self.lens.clear_calipers();
        out
    }

    /// Sets how much time the lens shows.
    pub fn set_lens_seconds(&mut self, seconds: f64) {
        self.lens.set_seconds(seconds);
    }
}

fn start(recording: Arc<Recording>, settings: Settings, ctx: egui::Context) -> Option<PyramidJob> {
    let progress = Arc::new(Progress::default());
    let (tx, answer) = mpsc::channel();
    let watched = progress.clone();
    let spawned = std::thread::Builder::new().name("pyramid".into()).spawn(move || {
        // A window that is gone takes no answer.
        let _ = tx.send(Pyramid::build(&recording, &settings, &watched));
        ctx.request_repaint();
    });
    // Without a thread the rows are read directly: slower, never wrong.
    spawned.ok().map(|_| PyramidJob { progress, answer })
}

/// Height of the day band, points.
pub fn band_height(ctx: &egui::Context) -> f32 {
    band::height_pt(ctx)
}

/// The whole day across the window.
pub fn day_band(ui: &mut Ui, view: &mut ViewContext<'_>, views: &mut DayViews) {
    views.band.frame = views.strip.visible_span();
    band::day_band(ui, view, &mut views.band);
}

/// The tracing at the place in the day, on paper scale.
pub fn lens(ui: &mut Ui, view: &mut ViewContext<'_>, views: &mut DayViews) {
    views.lens.follow(views.strip.lead());
    lens::lens(ui, view, &mut views.lens);
    views.strip.lens = views.lens.visible_span();
}

/// The view that stands on the stage; the figures are the shell's own.
pub fn stage(ui: &mut Ui, view: &mut ViewContext<'_>, views: &mut DayViews, stage: Stage) {
    match stage {
        Stage::Strip => strip::day_strip(ui, view, &mut views.strip),
        Stage::Grid => grid::morphology_grid(ui, view, &mut views.grid),
        Stage::Scatter => scatter::rr_scatter(ui, view, &mut views.scatter),
        // The figures are drawn by their own module.
        Stage::Figures => {}
    }
}
