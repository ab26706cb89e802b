//! Records with a tracing: read as any recording, and compared with their annotations.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{EventKind, Progress, Recording, Span};
use beatledger_core::pipeline;
use beatledger_core::session::{Session, Snapshot};
use beatledger_core::settings::Settings;
use beatledger_formats::wfdb::{self, Mapping};
use beatledger_score::Annotations;

use super::case::{Case, Sides, stem};
use super::labels::annotations;
use super::leads::Leads;

/// What the program makes of a recording with default settings; no ledger is looked for.
pub fn read(recording: Recording) -> Arc<Snapshot> {
    let settings = Settings::default();
    // Nobody holds the progress, so nobody can cancel and a result always comes.
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap_or_default();
    Session::new(Arc::new(recording), settings, Arc::new(found), &[]).snapshot()
}

/// The program's side.
pub fn seen(snapshot: &Snapshot) -> Annotations {
    let spans =
        |kind| -> Vec<Span> { snapshot.events.iter().filter(|e| e.kind == kind).map(|e| e.span).collect() };
    Annotations {
        shutdown: snapshot.unreadable.to_vec(),
        vf: Span::merged(spans(EventKind::VentricularFibrillation), 0),
        af: Span::merged(spans(EventKind::AtrialFibrillation), 0),
        ..Annotations::of_beats(snapshot.beats.iter().map(|b| (b.sample, b.class)).collect())
    }
}

/// A case from a recording and its two references.
pub fn case(recording: Recording, reference: impl Fn(Mapping, i64) -> Annotations) -> Case {
    let snapshot = read(recording);
    let recording = &snapshot.recording;
    let test = seen(&snapshot);
    let sides = |mapping| Sides { reference: reference(mapping, recording.samples), test: test.clone() };
    Case {
        record: recording.name.clone(),
        rate: recording.rate,
        samples: recording.samples,
        from_tracing: true,
        confidence: snapshot.beats.iter().map(|b| b.confidence).collect(),
        literature: sides(Mapping::Literature),
        standard: sides(Mapping::Ec57),
    }
}

/// A recording with annotations beside it; `None`, with a sentence, when it does not have the lead asked for.
pub fn of_record(path: &Path, annotator: &str, leads: Leads) -> anyhow::Result<Option<Case>> {
    let recording = beatledger_formats::open(path)?;
    let all = wfdb::read_annotation_file(path.with_extension(annotator), Some(recording.rate))?.annotations;
    let Some(recording) = leads.of(recording) else {
        eprintln!("beatledger: {} does not have that lead and was left out", stem(path));
        return Ok(None);
    };
    Ok(Some(case(recording, |mapping, end| annotations(&all, mapping, end))))
}
