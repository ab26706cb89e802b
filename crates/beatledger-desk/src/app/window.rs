//! Opens the window of the desktop and runs the desk in it.

use std::path::PathBuf;

use beatledger_core::settings::Settings;

use crate::app::desk::{Desk, Start};
use crate::outside::desktop::services;
use crate::outside::services::Services;
use crate::outside::signed_folder::SignedFolders;

/// Opens the window on `path` or the demo day, and comes back when it is closed.
pub fn run_window(path: Option<PathBuf>) -> anyhow::Result<()> {
    let services = services(Settings::default(), Box::new(SignedFolders));
    run_window_with(path, services)
}

/// The same with given services.
pub fn run_window_with(path: Option<PathBuf>, services: Services) -> anyhow::Result<()> {
    let options = eframe::NativeOptions {
        renderer: eframe::Renderer::Glow,
        viewport: egui::ViewportBuilder::default()
            .with_title("beatledger")
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([960.0, 600.0]),
        ..eframe::NativeOptions::default()
    };
    let start = path.map_or(Start::Demo, Start::Path);
    eframe::run_native(
        "beatledger",
        options,
        Box::new(move |cc| Ok(Box::new(Desk::new(&cc.egui_ctx, start, services)))),
    )
    .map_err(|error| anyhow::anyhow!("the window could not be opened: {error}"))
}
