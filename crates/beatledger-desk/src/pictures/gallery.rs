//! The pictures that `beatledger pictures` makes: each shows the desk in a state that a reader meets.

use std::sync::Arc;
use std::time::Duration;

use beatledger_core::model::{EventKind, Found, Recording};
use egui::ThemePreference;

use super::{Frame, Headless};
use crate::app::act::Act;
use crate::app::desk::{Desk, Start};
use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::outside::canned::still_services;

/// One picture: its name, how large and in which theme, and what a reader did before.
#[derive(Clone, Copy, Debug)]
pub struct Scene {
    /// Name of the file, without its ending.
    pub name: &'static str,
    /// True for dark paper.
    pub dark: bool,
    /// Pixels per point: 1 is 100 %.
    pub scale: f32,
    /// Event whose first occurrence is chosen.
    pub event: Option<EventKind>,
    /// Commands run one after the other.
    pub commands: &'static [Command],
}

const PLAIN: Scene = Scene { name: "", dark: false, scale: 1.0, event: None, commands: &[] };

/// All pictures.
pub const SCENES: [Scene; 12] = [
    Scene { name: "desk-light", event: Some(EventKind::VentricularTachycardia), ..PLAIN },
    Scene { name: "desk-dark", dark: true, event: Some(EventKind::Pause), ..PLAIN },
    Scene { name: "fibrillation", event: Some(EventKind::AtrialFibrillation), ..PLAIN },
    Scene { name: "morphology-grid", commands: &[Command::StageGrid], ..PLAIN },
    Scene { name: "rr-scatter", dark: true, commands: &[Command::StageScatter], ..PLAIN },
    Scene { name: "figures", commands: &[Command::StageFigures], ..PLAIN },
    Scene { name: "by-hour", commands: &[Command::ShowHours], ..PLAIN },
    Scene { name: "nn-histogram", dark: true, commands: &[Command::ShowHistogram], ..PLAIN },
    Scene { name: "tables", commands: &[Command::ShowTables], ..PLAIN },
    Scene { name: "intake-sheet", commands: &[Command::Intake], ..PLAIN },
    Scene { name: "commands", commands: &[Command::Palette], ..PLAIN },
    Scene { name: "desk-200-percent", scale: 2.0, event: Some(EventKind::SupraventricularRun), ..PLAIN },
];

/// Longest wait for the tracing to be ready.
const PATIENCE: Duration = Duration::from_secs(60);

/// Makes one picture of a day that is already read.
pub fn picture(scene: &Scene, recording: &Arc<Recording>, found: &Arc<Found>) -> image::RgbaImage {
    let mut headless = Headless::new(Frame { pixels_per_point: scene.scale, ..Frame::default() });
    let start = Start::AlreadyRead { recording: recording.clone(), found: found.clone() };
    let mut desk = Desk::new(headless.context(), start, still_services());
    headless.context().set_theme(if scene.dark { ThemePreference::Dark } else { ThemePreference::Light });
    headless.picture(2, |ui| desk.frame(ui));
    desk.run(Command::ClearSelection);
    if let Some(kind) = scene.event {
        choose(&mut desk, kind);
    }
    scene.commands.iter().for_each(|c| desk.run(*c));
    let mut waited = Duration::ZERO;
    while desk.is_busy() && waited < PATIENCE {
        headless.picture(1, |ui| desk.frame(ui));
        let nap = Duration::from_millis(20);
        std::thread::sleep(nap);
        waited += nap;
    }
    headless.picture(6, |ui| desk.frame(ui))
}

fn choose(desk: &mut Desk, kind: EventKind) {
    let Some(snapshot) = desk.snapshot() else { return };
    let Some(event) = snapshot.events.iter().find(|e| e.kind == kind) else { return };
    let beats = &snapshot.beats[event.beats.0 as usize..event.beats.1 as usize];
    let mut selection = Selection::of_beats(beats.iter().map(|b| b.sample).collect(), kind.words());
    selection.span = Some(event.span);
    selection.event = Some((kind, event.span));
    desk.apply(Act::Select { selection, go: true });
}
