//! The summary as an HL7 FHIR R4 (4.0.1) bundle: who, with what, figures and events as observations, the
//! report with its pages, and where it all comes from. It is a `collection`, complete in itself: every
//! reference leads to an entry of the same bundle, and our own codes come with their definitions.
//!
//! Before sign-off, and once something was changed after it, all is `preliminary`. Times carry a zone offset
//! only where the caller knows the recorder's zone; else dates stand alone and the clock is a part of its own.

mod codes;
mod observe;
mod people;
mod time;
mod types;

#[cfg(test)]
mod code_tests;
#[cfg(test)]
mod content_tests;
#[cfg(test)]
mod tests;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use beatledger_core::model::EventKind;
use beatledger_core::session::Snapshot;
use uuid::Uuid;

use crate::ReportError;
use crate::document::{ReportContext, SignState};
use codes::{LOINC, OWN, SHA256, concept};
use time::{instant, period};
use types::{
    Agent, Attachment, Bundle, BundleEntry, CodeSystem, Concept, DiagnosticReport, Entity, Identifier,
    Provenance, Reference, Resource,
};

/// Space of the names that the entries' addresses are made from.
const NAMES: Uuid = Uuid::from_u128(0x7365_1c09_1916_42a9_96d5_e7bd_6de4_fe25);

/// What observations refer to.
struct Links {
    status: &'static str,
    patient: Reference,
    reader: Option<Reference>,
    software: Reference,
    recorder: Option<Reference>,
    recorder_utc_offset_min: Option<i32>,
}

/// Entries with their addresses. The same recording, ledger and time give the same addresses.
struct Pile {
    base: Uuid,
    entries: Vec<BundleEntry>,
}

impl Pile {
    fn put(&mut self, name: &str, resource: Resource) -> Reference {
        let full_url = address(&self.base, name);
        let reference = Reference::to(&full_url);
        self.entries.push(BundleEntry { full_url, resource });
        reference
    }
}

fn address(base: &Uuid, name: &str) -> String {
    format!("urn:uuid:{}", Uuid::new_v5(base, name.as_bytes()).hyphenated())
}

/// The bundle as the text of a file, with a final line end. `pdf` are the pages as they were written; they go in
/// whole. `context.recorder_utc_offset_min` is the zone of the recorder, where it is known.
///
/// # Errors
/// When it cannot be expressed as JSON.
pub fn bundle_text(
    snapshot: &Snapshot,
    context: &ReportContext,
    pdf: Option<&[u8]>,
) -> Result<String, ReportError> {
    Ok(serde_json::to_string_pretty(&bundle(snapshot, context, pdf))? + "\n")
}

fn bundle(snapshot: &Snapshot, context: &ReportContext, pdf: Option<&[u8]>) -> Bundle {
    let recording = &*snapshot.recording;
    let name =
        format!("{}/{}/{}/{}", recording.name, recording.sha256, context.ledger_head, context.created_utc_ms);
    let base = Uuid::new_v5(&NAMES, name.as_bytes());
    let mut pile = Pile { base, entries: Vec::new() };
    pile.put("codes", Resource::CodeSystem(Box::new(own_codes(snapshot, context))));
    let links = people(snapshot, context, &mut pile);
    let mut results = Vec::new();
    for figure in &snapshot.summary.figures {
        let observation = observe::figure(snapshot, figure, &links);
        results.push(pile.put(figure.key(), Resource::Observation(Box::new(observation))));
    }
    for (i, observation) in observe::events(snapshot, &links).into_iter().enumerate() {
        results.push(pile.put(&format!("event {i}"), Resource::Observation(Box::new(observation))));
    }
    let report = report(snapshot, context, pdf, &links, results.clone());
    let mut target = vec![pile.put("report", Resource::DiagnosticReport(Box::new(report)))];
    target.extend(results);
    let provenance = provenance(snapshot, context, &links, target);
    pile.put("provenance", Resource::Provenance(Box::new(provenance)));
    Bundle {
        resource_type: "Bundle",
        identifier: Identifier {
            system: Some("urn:ietf:rfc:3986".to_owned()),
            value: address(&base, "bundle"),
        },
        r#type: "collection",
        timestamp: created(context),
        entry: pile.entries,
    }
}

fn created(context: &ReportContext) -> String {
    instant(context.created_utc_ms, context.utc_offset_min)
}

fn people(snapshot: &Snapshot, context: &ReportContext, pile: &mut Pile) -> Links {
    let identity = &snapshot.recording.identity;
    // A signature that no longer covers what is said here confirms nothing of it.
    let signed = match &context.sign {
        SignState::Signed(sign) => Some(sign),
        SignState::NotSigned | SignState::ChangedSince(_) => None,
    };
    Links {
        status: if signed.is_some() { "final" } else { "preliminary" },
        patient: pile.put("patient", Resource::Patient(people::patient(identity))),
        reader: signed.map(|s| pile.put("reader", Resource::Practitioner(people::practitioner(s)))),
        software: pile.put("software", Resource::Device(people::software(&context.program))),
        recorder: people::recorder(identity).map(|d| pile.put("recorder", Resource::Device(d))),
        recorder_utc_offset_min: context.recorder_utc_offset_min,
    }
}

/// The meaning of every code of our own.
fn own_codes(snapshot: &Snapshot, context: &ReportContext) -> CodeSystem {
    let concept = |code: &str, display: &str, definition: &str| Concept {
        code: code.to_owned(),
        display: display.to_owned(),
        definition: (!definition.is_empty()).then(|| definition.to_owned()),
    };
    let figures = snapshot.summary.figures.iter().map(|f| concept(f.key(), f.name, f.definition()));
    let events = EventKind::ALL.into_iter().map(|k| concept(k.key(), k.words(), ""));
    let parts = observe::PARTS.into_iter().map(|(code, words)| concept(code, words, ""));
    CodeSystem {
        url: OWN,
        version: context.program.rsplit(' ').next().unwrap_or_default().to_owned(),
        name: "AmbulatoryEcgFigures",
        title: "Figures and events of an ambulatory ECG",
        status: "active",
        description: "Stable names of the figures and events of this export, for which no LOINC code is sure.",
        content: "complete",
        concept: figures.chain(events).chain(parts).collect(),
    }
}

fn report(
    snapshot: &Snapshot,
    context: &ReportContext,
    pdf: Option<&[u8]>,
    links: &Links,
    result: Vec<Reference>,
) -> DiagnosticReport {
    let recording = &*snapshot.recording;
    let conclusion = snapshot.conclusion.trim();
    DiagnosticReport {
        status: links.status,
        category: vec![concept("http://terminology.hl7.org/CodeSystem/v2-0074", "EC", "Electrocardiac")],
        code: concept(LOINC, "18754-2", "Ambulatory cardiac rhythm monitor (Holter) study"),
        subject: links.patient.clone(),
        effective_period: period(recording, recording.whole(), links.recorder_utc_offset_min),
        issued: created(context),
        performer: links.reader.clone().into_iter().collect(),
        results_interpreter: links.reader.clone().into_iter().collect(),
        result,
        conclusion: (!conclusion.is_empty()).then(|| conclusion.to_owned()),
        presented_form: pdf.map(|pdf| attachment(pdf, &recording.name, context)).into_iter().collect(),
    }
}

/// The pages. `hash` is SHA-1, because FHIR R4 defines it so; it guards against accidents, not against people.
fn attachment(pdf: &[u8], name: &str, context: &ReportContext) -> Attachment {
    Attachment {
        content_type: "application/pdf",
        language: "en",
        data: STANDARD.encode(pdf),
        size: pdf.len() as u64,
        hash: STANDARD.encode(sha1_smol::Sha1::from(pdf).digest().bytes()),
        title: format!("Ambulatory ECG of a day: {name}"),
        creation: created(context),
    }
}

fn provenance(
    snapshot: &Snapshot,
    context: &ReportContext,
    links: &Links,
    target: Vec<Reference>,
) -> Provenance {
    let agent = |code: &str, display: &str, who: &Reference| Agent {
        r#type: concept("http://terminology.hl7.org/CodeSystem/provenance-participant-type", code, display),
        who: who.clone(),
    };
    let mut agents = vec![agent("author", "Author", &links.software)];
    agents.extend(links.reader.as_ref().map(|who| agent("verifier", "Verifier", who)));
    agents.extend(links.recorder.as_ref().map(|who| agent("performer", "Performer", who)));
    let entity = |role, hash: &str, display: String| {
        let identifier = Identifier { system: Some(SHA256.to_owned()), value: hash.to_owned() };
        let what = Reference { identifier: Some(identifier), display: Some(display), ..Reference::default() };
        (!hash.is_empty()).then_some(Entity { role, what })
    };
    let entries = context.ledger_entries;
    let recording = format!("Recording '{}', SHA-256 of its files", snapshot.recording.name);
    let ledger = format!("Ledger of {entries} entries, SHA-256 of the last one");
    Provenance {
        target,
        recorded: created(context),
        agent: agents,
        entity: [
            entity("source", &snapshot.recording.sha256, recording),
            entity("source", &context.ledger_head, ledger),
        ]
        .into_iter()
        .flatten()
        .collect(),
    }
}
