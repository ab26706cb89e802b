//! How far the finding of beats is, and whether it should stop.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// How far the finding of beats is, and whether it should stop. Shared between the worker and the window.
#[derive(Debug, Default)]
pub struct Progress {
    stage: AtomicU32,
    permille: AtomicU32,
    cancelled: AtomicBool,
}

/// Names of the stages of the finding of beats, in order.
pub const STAGES: [&str; 5] = ["signal quality", "beats", "wave limits", "classes", "shape groups"];

impl Progress {
    /// Asks the work to stop at the next chance.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    /// True once [`Progress::cancel`] was called; stages look at it between blocks.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Says that `done` of `of` blocks of the present stage are ready.
    pub fn set(&self, done: usize, of: usize) {
        self.permille.store((1000 * done / of.max(1)) as u32, Ordering::Relaxed);
    }

    /// Name of the present stage and the share of the whole work that is done, 0 to 1.
    pub fn now(&self) -> (&'static str, f32) {
        let stage = self.stage.load(Ordering::Relaxed) as usize;
        let within = self.permille.load(Ordering::Relaxed) as f32 / 1000.0;
        (STAGES[stage.min(STAGES.len() - 1)], (stage as f32 + within.min(1.0)) / STAGES.len() as f32)
    }

    /// Says that stage `stage` of [`STAGES`] begins; `None` when the work should stop.
    pub(crate) fn enter(&self, stage: usize) -> Option<()> {
        self.stage.store(stage as u32, Ordering::Relaxed);
        self.permille.store(0, Ordering::Relaxed);
        (!self.is_cancelled()).then_some(())
    }
}
