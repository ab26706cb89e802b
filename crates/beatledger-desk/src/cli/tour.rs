//! `beatledger [FILE]`: the window; where there is no display, the same day without one.

use std::path::{Path, PathBuf};

use super::ending::{Ending, print};
use super::read;
use crate::app::window;
use crate::outside::{export, read_day};

/// Folder for the results of a day that was read without a window.
const OUT: &str = "beatledger-out";

/// Opens the window on `file` or the demo day.
pub fn run(file: Option<PathBuf>) -> anyhow::Result<Ending> {
    if has_display() {
        window::run_window(file)?;
        return Ok(Ending::Done);
    }
    let settings = read_day::settings_from(None)?;
    let day = match &file {
        Some(path) => read_day::read(path, None, &settings)?,
        None => read_day::demo(&settings),
    };
    let out = Path::new(OUT);
    export::write_all(out, &day.snapshot, &export::context(&day.head, day.entries.len(), day.sign_state()))?;
    print(&beatledger_report::text::table(&day.snapshot));
    print(&format!("\nWritten to {OUT}: report.pdf, summary.json, bundle.fhir.json, and CSV files.\n"));
    print(
        "There is no display here: run `beatledger` in a desktop session (or with DISPLAY set) to open the window.\n",
    );
    match file {
        Some(_) => Ok(read::report_open_points(&day)),
        None => Ok(Ending::Done),
    }
}

/// True when a window can be opened.
fn has_display() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || set("DISPLAY") || set("WAYLAND_DISPLAY")
}
