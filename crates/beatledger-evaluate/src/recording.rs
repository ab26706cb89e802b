//! Records with a tracing: read as any recording is, and laid beside their annotations.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{EventKind, Identity, Progress, Rate, Recording, Span};
use beatledger_core::pipeline;
use beatledger_core::session::{Session, Snapshot};
use beatledger_core::settings::Settings;
use beatledger_formats::wfdb::{self, Mapping};
use beatledger_score::Annotations;

use crate::annotations::annotations;
use crate::case::{Case, Said, Sides, stem};
use crate::leads::Leads;

/// Ticks of records whose times are in seconds.
pub(crate) const MS: Rate = Rate::whole_hz(1000);

/// What the program makes of a recording with default settings; no ledger is looked for.
pub(crate) fn read(recording: Recording) -> Arc<Snapshot> {
    let settings = Settings::default();
    // Nobody holds the progress, so nobody can cancel and a result always comes.
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap_or_default();
    Session::new(Arc::new(recording), settings, Arc::new(found), &[]).snapshot()
}

/// What the program says of it, as an annotator would.
pub(crate) fn found_annotations(snapshot: &Snapshot) -> Annotations {
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
pub fn case_of_recording(recording: Recording, reference: impl Fn(Mapping, i64) -> Annotations) -> Case {
    let snapshot = read(recording);
    let recording = &snapshot.recording;
    let test = found_annotations(&snapshot);
    let sides = |mapping| Sides { reference: reference(mapping, recording.samples), test: test.clone() };
    Case {
        record: recording.name.clone(),
        rate: recording.rate,
        samples: recording.samples,
        from_tracing: true,
        confidence: snapshot.beats.iter().map(|b| b.confidence).collect(),
        said: Some(Said { events: snapshot.events.clone(), summary: snapshot.summary.clone() }),
        literature: sides(Mapping::Literature),
        standard: sides(Mapping::Ec57),
    }
}

/// A recording with annotations beside it; `None`, with a note, when it does not have the lead asked for.
pub(crate) fn of_record(
    path: &Path,
    annotator: &str,
    leads: Leads,
    note: &mut dyn FnMut(String),
) -> anyhow::Result<Option<Case>> {
    let recording = beatledger_formats::open(path)?;
    let all = wfdb::read_annotation_file(path.with_extension(annotator), Some(recording.rate))?.annotations;
    let Some(recording) = leads.of(recording) else {
        note(format!("{} does not have that lead and was left out", stem(path)));
        return Ok(None);
    };
    Ok(Some(case_of_recording(recording, |mapping, end| annotations(&all, mapping, end))))
}

/// A recording without samples, at a millisecond a tick.
pub(crate) fn empty_recording() -> Recording {
    Recording {
        name: String::new(),
        format: "annotations".to_owned(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate: MS,
        samples: 0,
        segments: Vec::new(),
        leads: Vec::new(),
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}
