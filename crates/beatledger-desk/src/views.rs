//! The tracing views on the stage, and what the shell asks of them.

use std::sync::{Arc, mpsc};

use beatledger_core::model::{Recording, Span};
use beatledger_core::pipeline::Progress;
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;
use egui::Ui;

use crate::band::{self, BandState};
use crate::pyramid::Pyramid;
use crate::stage::Stage;
use crate::strip::{self, StripState};
use crate::view::View;

/// State of the tracing views of one day.
#[derive(Default)]
pub struct Views {
    band: BandState,
    strip: StripState,
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

impl Views {
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

    /// The stretch that the lens shows now.
    pub fn lens_span(&self) -> Option<Span> {
        self.strip.lens
    }

    /// Sets how much time the lens shows.
    pub fn set_lens_seconds(&mut self, _seconds: f64) {}
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
pub fn day_band(ui: &mut Ui, view: &mut View<'_>, views: &mut Views) {
    views.band.frame = views.strip.visible_span();
    band::day_band(ui, view, &mut views.band);
}

/// The tracing at the place in the day, on paper scale.
pub fn lens(ui: &mut Ui, view: &mut View<'_>, _views: &mut Views) {
    ui.label(format!("Lens at {}", view.snapshot.recording.clock(view.place)));
}

/// The view that stands on the stage; the figures are the shell's own.
pub fn stage(ui: &mut Ui, view: &mut View<'_>, views: &mut Views, stage: Stage) {
    match stage {
        Stage::Strip => strip::day_strip(ui, view, &mut views.strip),
        Stage::Grid | Stage::Scatter | Stage::Figures => {
            ui.label(format!("{} at {}", stage.words(), view.snapshot.recording.clock(view.place)));
        }
    }
}
