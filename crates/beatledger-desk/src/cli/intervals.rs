//! A list of RR intervals read without a tracing: the figures of variability and rate.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

use anyhow::Context as _;
use beatledger_core::model::{Found, Identity, Rate, Recording, Span};
use beatledger_core::review::Fold;
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;
use beatledger_core::summarise;
use beatledger_formats::rr::{self, RrList};
use beatledger_report::document::SignState;

use super::ending::{Ending, print, say};
use crate::outside::export;

/// First bytes that decide whether a file is a list.
const HEAD_BYTES: u64 = 4096;

/// True when the file is a list of intervals. A file that cannot be opened gives false; reading it then says why.
pub fn is_list(path: &Path) -> bool {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|f| f.take(HEAD_BYTES).read_to_end(&mut head));
    read.is_ok() && rr::is_list(&head)
}

/// Prints the figures of a list and writes its files into `out`, where that was asked for.
pub fn run(path: &Path, settings: &Settings, out: Option<&Path>, json: bool) -> anyhow::Result<Ending> {
    let list = rr::read(path)?;
    let snapshot = snapshot(path, &list, settings);
    for warning in &list.warnings {
        say(&format!("{}: {}", warning.code, warning.text));
    }
    if let Some(out) = out {
        export::write_all(out, &snapshot, &export::context("", 0, SignState::NotSigned))?;
    }
    if json {
        print(&beatledger_report::json::summary_text(&snapshot).context("the figures could not be written")?);
    } else {
        print(&beatledger_report::text::table(&snapshot));
    }
    Ok(Ending::Done)
}

/// The snapshot of a list of intervals: its beats and figures, without leads.
fn snapshot(path: &Path, list: &RrList, settings: &Settings) -> Snapshot {
    // The list counts from its first beat; a microsecond is finer than any list is written.
    let rate = Rate::whole_hz(1_000_000);
    let length_ms = match list.beats_ms.as_slice() {
        [first, .., last] => last - first,
        _ => 0.0,
    };
    let samples = rate.samples_from_ms(length_ms);
    let recording = Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format: "RR intervals".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate,
        samples,
        segments: vec![Span::new(0, samples)],
        leads: Vec::new(),
        others: Vec::new(),
        diary: Vec::new(),
        warnings: list.warnings.clone(),
    };
    let mut snapshot =
        Snapshot::new(Arc::new(recording), settings, Arc::new(Found::default()), Fold::default());
    let day = summarise::rr_list_day(&list.beats_ms, &list.gaps_ms, settings);
    snapshot.summary = Arc::new(day.summary);
    snapshot.beats = Arc::new(day.beats);
    snapshot.events = Arc::new(day.events);
    snapshot.unreadable = Arc::new(day.unreadable);
    snapshot
}
