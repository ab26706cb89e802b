//! The files of a read day: report.pdf, summary.json, beats.csv, events.csv, hours.csv, hrv.csv, hrv-hours.csv, st.csv,
//! conduction.csv, bundle.fhir.json, beats.parquet, events.parquet, intervals.rr.txt, beats.atr.

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

use anyhow::Context as _;
use beatledger_core::session::Snapshot;
use beatledger_formats::marks::{self, Marks};
use beatledger_formats::{rr, wfdb};
use beatledger_report::document::{self, ReportContext, SignState};
use beatledger_report::{csv, fhir, json, pdf, tables};

/// Name and version that are printed and written into files.
pub const PROGRAM: &str = concat!("beatledger ", env!("CARGO_PKG_VERSION"));

/// What a report says beside the figures, with the computer's clock for the time of making.
pub fn context(ledger_head: &str, ledger_entries: usize, sign: SignState) -> ReportContext {
    let now = chrono::Local::now();
    ReportContext {
        program: PROGRAM.to_owned(),
        created_utc_ms: now.timestamp_millis(),
        utc_offset_min: now.offset().local_minus_utc() / 60,
        sign,
        ledger_head: ledger_head.to_owned(),
        ledger_entries: ledger_entries as u64,
        recorder_utc_offset_min: None,
    }
}

/// Writes all files into `folder`, which is made when it is not there.
pub fn write_all(folder: &Path, snapshot: &Snapshot, context: &ReportContext) -> anyhow::Result<()> {
    std::fs::create_dir_all(folder)
        .with_context(|| format!("could not make the folder {}", folder.display()))?;
    let pdf = pdf::render(&document::build(snapshot, context))?;
    write(folder, "report.pdf", &pdf)?;
    write(folder, "summary.json", json::summary_text(snapshot)?.as_bytes())?;
    write(folder, "bundle.fhir.json", fhir::bundle_text(snapshot, context, Some(&pdf))?.as_bytes())?;
    csv::beats(snapshot, table(folder, "beats.csv")?)?;
    csv::events(snapshot, table(folder, "events.csv")?)?;
    for each in tables::ALL {
        if let Some(name) = each.about().file {
            each.write_csv(snapshot, &mut table(folder, name)?)?;
        }
    }
    let rows = marks_of(snapshot);
    marks::write_beats_parquet(&rows, folder.join("beats.parquet"))?;
    marks::write_events_parquet(&rows, folder.join("events.parquet"))?;
    rr::write(&rows, rr::Which::All, folder.join("intervals.rr.txt"))?;
    let list = marks::annotations(&rows);
    wfdb::write_annotations(folder.join("beats.atr"), &list, Some(snapshot.recording.rate))?;
    Ok(())
}

/// Beats, events and diary as they stand, as rows for files.
pub fn marks_of(snapshot: &Snapshot) -> Marks {
    Marks::of(&snapshot.recording, &snapshot.beats, &snapshot.events, &snapshot.unreadable, &snapshot.diary)
}

fn write(folder: &Path, name: &str, bytes: &[u8]) -> anyhow::Result<()> {
    let path = folder.join(name);
    std::fs::write(&path, bytes).with_context(|| format!("could not write {}", path.display()))
}

fn table(folder: &Path, name: &str) -> anyhow::Result<BufWriter<File>> {
    let path = folder.join(name);
    Ok(BufWriter::new(File::create(&path).with_context(|| format!("could not write {}", path.display()))?))
}
