//! Makes a day, reads it without a reader, and writes its report, figures and lists into a folder.
//!
//! `cargo run -p beatledger-report --example made_day -- FOLDER [SCENARIO] [HOURS]`

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use beatledger_core::model::{BeatClass, EventKind, Progress};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Stamp};
use beatledger_core::settings::Settings;
use beatledger_report::document::{self, ReportContext, SignOff, SignState};
use beatledger_report::{csv, fhir, json, pdf, strip, text};
use beatledger_synth::{Request, Scenario, make};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let folder = PathBuf::from(args.next().ok_or("a folder is needed")?);
    let scenario = args.next().and_then(|n| Scenario::from_name(&n)).unwrap_or(Scenario::WorkingDay);
    let hours = args.next().and_then(|h| h.parse().ok()).unwrap_or(24.0);
    std::fs::create_dir_all(&folder)?;
    let at = Instant::now();
    let made = make(&Request { scenario, hours, ..Request::default() });
    let recording = Arc::new(made.recording);
    println!("made in {:?}", at.elapsed());
    let at = Instant::now();
    let settings = Settings::default();
    let found = Arc::new(pipeline::find(&recording, &settings, &Progress::default()).ok_or("cancelled")?);
    println!("found in {:?}", at.elapsed());
    let mut session = Session::new(recording, settings, found, &[]);
    let unsigned = session.snapshot();
    write(&folder, "unsigned", &unsigned, SignState::NotSigned)?;
    for edit in some_edits(&session) {
        let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 1_800_000_000_000, utc_offset_min: 60 };
        let entry = session.entry(Action::Do(edit), &stamp);
        session.push(&entry);
    }
    let sign = SignOff {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        at_utc_ms: 1_800_000_600_000,
        utc_offset_min: 60,
    };
    write(&folder, "signed", &session.snapshot(), SignState::Signed(sign))
}

/// What a reader might do in a minute.
fn some_edits(session: &Session) -> Vec<Edit> {
    let snapshot = session.snapshot();
    let vs = snapshot.beats.iter().filter(|b| b.class == BeatClass::V).take(12).map(|b| b.sample).collect();
    let mut edits = vec![
        Edit::Relabel { beats: vs, class: BeatClass::S },
        Edit::Conclude {
            text:
                "Sinus rhythm with single and paired ectopic beats. Short runs as listed.\nNo symptom with \
                   an event nearby."
                    .into(),
        },
    ];
    for event in snapshot.events.iter().filter(|e| e.critical) {
        edits.push(Edit::KeepEvent { kind: event.kind, span: event.span });
    }
    if let Some(event) = snapshot.events.iter().find(|e| e.kind == EventKind::VentricularCouplet) {
        edits.push(Edit::DropEvent { kind: event.kind, span: event.span });
    }
    edits
}

fn write(
    folder: &std::path::Path,
    name: &str,
    snapshot: &beatledger_core::session::Snapshot,
    sign: SignState,
) -> Result<(), Box<dyn std::error::Error>> {
    let context = ReportContext {
        program: format!("beatledger {}", env!("CARGO_PKG_VERSION")),
        created_utc_ms: 1_800_000_900_000,
        utc_offset_min: 60,
        sign,
        ledger_head: "5f".repeat(32),
        ledger_entries: snapshot.fold.in_force.len() as u64,
        recorder_utc_offset_min: None,
    };
    let at = Instant::now();
    let report = document::build(snapshot, &context);
    let built = at.elapsed();
    let bytes = pdf::render(&report)?;
    println!("{name}: document {built:?}, with PDF {:?}, {} kB", at.elapsed(), bytes.len() / 1000);
    std::fs::write(
        folder.join(format!("{name}.fhir.json")),
        fhir::bundle_text(snapshot, &context, Some(&bytes))?,
    )?;
    std::fs::write(folder.join(format!("{name}.pdf")), bytes)?;
    std::fs::write(folder.join(format!("{name}.txt")), report.to_text())?;
    std::fs::write(folder.join(format!("{name}.json")), json::summary_text(snapshot)?)?;
    std::fs::write(folder.join(format!("{name}-figures.txt")), text::table(snapshot))?;
    csv::beats(snapshot, std::fs::File::create(folder.join(format!("{name}-beats.csv")))?)?;
    csv::events(snapshot, std::fs::File::create(folder.join(format!("{name}-events.csv")))?)?;
    if let Some(first) = snapshot.summary.strips.first() {
        let geom = strip::build(snapshot, first.span, &strip::StripOptions::default());
        std::fs::write(folder.join(format!("{name}-first-strip.svg")), strip::to_svg(&geom))?;
    }
    Ok(())
}
