//! Writes one format.

use std::path::Path;
use std::sync::Arc;

use anyhow::Context as _;
use beatledger_core::model::{Recording, Warning};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use beatledger_formats::marks::{self, Marks};
use beatledger_formats::rr::{self, Which};
use beatledger_formats::{edf, ishne, wfdb};
use beatledger_report::{document, fhir, pdf};

use super::{Conversion, Kind};
use crate::outside::export;
use crate::outside::read_day::ReadDay;

/// Writes the job as `kind` and gives what the format could not hold exactly.
pub fn all(job: &Conversion, kind: Kind, output: &Path) -> anyhow::Result<Vec<Warning>> {
    let recording = &job.recording;
    if !kind.needs_marks() {
        return signal(recording, job.marks.as_ref(), kind, output);
    }
    let marks = job.marks.as_ref().context("the day was not read")?;
    match kind {
        Kind::WfdbMarks => {
            wfdb::write_annotations(output, &marks::annotations(marks), Some(recording.rate))?;
        }
        Kind::IshneMarks => {
            return Ok(ishne::write_annotations(recording, &marks::annotations(marks), output)?);
        }
        Kind::BeatsCsv => marks::write_beats_csv(marks, output)?,
        Kind::EventsCsv => marks::write_events_csv(marks, output)?,
        Kind::BeatsParquet => marks::write_beats_parquet(marks, output)?,
        Kind::EventsParquet => marks::write_events_parquet(marks, output)?,
        Kind::Rr => rr::write(marks, Which::All, output)?,
        Kind::Nn => rr::write(marks, Which::NormalToNormal, output)?,
        _ => bundle(job.day.as_ref().context("the day was not read")?, output)?,
    }
    Ok(Vec::new())
}

fn signal(
    recording: &Recording,
    marks: Option<&Marks>,
    kind: Kind,
    output: &Path,
) -> anyhow::Result<Vec<Warning>> {
    let mut warnings = match (kind, marks) {
        (Kind::Edf, Some(marks)) => return Ok(edf::write_with_marks(recording, marks, output)?),
        (Kind::Edf, None) => edf::write(recording, output)?,
        (Kind::Ishne, _) => ishne::write(recording, output)?,
        (Kind::Wfdb212, _) => wfdb::write_record(recording, output, wfdb::Packing::Bits12)?,
        _ => wfdb::write_record(recording, output, wfdb::Packing::Bits16)?,
    };
    match (kind, marks) {
        (_, None) => {}
        (Kind::Ishne, Some(marks)) => {
            let list = marks::annotations(marks);
            warnings.extend(ishne::write_annotations(recording, &list, output.with_extension("ann"))?);
        }
        (_, Some(marks)) => {
            let list = marks::annotations(marks);
            wfdb::write_annotations(output.with_extension("atr"), &list, Some(recording.rate))?;
        }
    }
    Ok(warnings)
}

fn bundle(day: &ReadDay, output: &Path) -> anyhow::Result<()> {
    let context = export::context(&day.head, day.entries.len(), day.sign_state());
    let pages = pdf::render(&document::build(&day.snapshot, &context))?;
    let text = fhir::bundle_text(&day.snapshot, &context, Some(&pages))?;
    std::fs::write(output, text).with_context(|| format!("could not write {}", output.display()))
}

/// The day on a recording without what says who was recorded: labels stay, words, names and signature go.
pub fn deidentified(day: ReadDay, recording: &Recording) -> ReadDay {
    let stands = &day.snapshot;
    let mut fold = stands.fold.clone();
    fold.signed = None;
    fold.undone.clear();
    fold.in_force.retain(|(_, edit)| !matches!(edit, Edit::Conclude { .. }));
    for (_, edit) in &mut fold.in_force {
        if let Edit::AddDiary { entry } = edit {
            entry.text.clear();
        }
    }
    let snapshot = Snapshot::new(Arc::new(recording.clone()), &stands.settings, stands.found.clone(), fold);
    ReadDay { snapshot: Arc::new(snapshot), entries: Vec::new(), head: String::new(), recovered: None }
}
