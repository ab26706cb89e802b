//! The bundle keeps the rules of FHIR R4 (hl7.org/fhir/R4) that no validator checks: references that lead
//! somewhere, units that UCUM knows, the size and hash of the pages.

use std::collections::BTreeSet;

use beatledger_core::model::{EventKind, FigureId, FigureValue, Identity, Span};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use serde_json::Value;

use super::bundle_text;
use crate::document::{ReportContext, SignOff, SignState};
use crate::made;

pub(super) fn context(sign: SignState) -> ReportContext {
    ReportContext {
        program: "beatledger 0.1.0".into(),
        created_utc_ms: 1_709_700_000_000,
        utc_offset_min: 60,
        sign,
        ledger_head: "ab".repeat(32),
        ledger_entries: 2,
        recorder_utc_offset_min: Some(60),
    }
}

pub(super) fn signed() -> SignOff {
    SignOff {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        at_utc_ms: 1_709_600_000_000,
        utc_offset_min: 60,
    }
}

pub(super) fn bundle(snapshot: &Snapshot, sign: SignState) -> Value {
    serde_json::from_str(&bundle_text(snapshot, &context(sign), Some(b"%PDF-1.7 abc")).unwrap()).unwrap()
}

pub(super) fn of_type<'a>(bundle: &'a Value, kind: &str) -> Vec<&'a Value> {
    let entries = bundle["entry"].as_array().unwrap();
    entries.iter().map(|e| &e["resource"]).filter(|r| r["resourceType"] == kind).collect()
}

pub(super) fn observation<'a>(bundle: &'a Value, code: &str) -> &'a Value {
    let all = of_type(bundle, "Observation");
    all.into_iter().find(|o| o["code"]["coding"][0]["code"] == code).unwrap_or_else(|| panic!("no {code}"))
}

/// Calls `see` with every object of the tree.
fn walk<'a>(value: &'a Value, see: &mut impl FnMut(&'a Value)) {
    see(value);
    match value {
        Value::Array(list) => list.iter().for_each(|v| walk(v, see)),
        Value::Object(map) => map.values().for_each(|v| walk(v, see)),
        _ => {}
    }
}

#[test]
fn every_reference_leads_to_an_entry_and_every_entry_is_there_once() {
    let mut snapshot = made::snapshot(&[]);
    let mut recording = made::recording();
    recording.identity.recorder = "Recorder 7".into();
    snapshot.recording = recording.into();
    let bundle = bundle(&snapshot, SignState::Signed(signed()));
    let urls: Vec<&str> =
        bundle["entry"].as_array().unwrap().iter().map(|e| e["fullUrl"].as_str().unwrap()).collect();
    let known: BTreeSet<&str> = urls.iter().copied().collect();
    assert_eq!(known.len(), urls.len());
    let mut used = BTreeSet::new();
    walk(&bundle, &mut |v| {
        if let Some(to) = v.get("reference").and_then(Value::as_str) {
            assert!(known.contains(to), "{to} leads nowhere");
            used.insert(to.to_owned());
        }
    });
    let alone = bundle["entry"].as_array().unwrap().iter().filter(|e| {
        !used.contains(e["fullUrl"].as_str().unwrap())
            && !["CodeSystem", "Provenance"].contains(&e["resource"]["resourceType"].as_str().unwrap())
    });
    assert_eq!(alone.count(), 0, "nothing refers to an entry");
    // RFC 9562 and the FHIR rules for urn:uuid: lower case.
    assert!(urls.iter().all(|u| u.len() == 45 && !u.bytes().any(|b| b.is_ascii_uppercase())));
}

#[test]
fn every_unit_is_one_that_ucum_knows() {
    // UCUM 2.1 atoms and annotations that the bundle may use.
    let ucum = ["1", "{beats}", "/min", "%", "ms", "s", "min", "h", "ms2", "ms/{RR}", "mV", "uV", "/h"];
    let bundle = bundle(&made::snapshot(&[]), SignState::NotSigned);
    let mut seen = BTreeSet::new();
    walk(&bundle, &mut |v| {
        if v["system"] == "http://unitsofmeasure.org" {
            let code = v["code"].as_str().unwrap();
            assert!(ucum.contains(&code), "{code}");
            assert!(v["value"].is_number() && !v["unit"].as_str().unwrap().is_empty());
            seen.insert(code.to_owned());
        }
    });
    assert!(seen.len() >= 6, "{seen:?}");
    // A rate is per minute, never in a made-up unit: FHIR vital signs profile, heart rate.
    assert_eq!(observation(&bundle, "mean_bpm")["valueQuantity"]["code"], "/min");
    assert_eq!(observation(&bundle, "mean_bpm")["valueQuantity"]["unit"], "beats/minute");
}

#[test]
fn the_pages_are_attached_whole_with_their_own_size_and_hash() {
    // SHA-1 of "abc": a9993e36 4706816a ba3e2571 7850c26c 9cd0d89d (FIPS 180-4 example).
    let text = bundle_text(&made::snapshot(&[]), &context(SignState::NotSigned), Some(b"abc")).unwrap();
    let bundle: Value = serde_json::from_str(&text).unwrap();
    let form = &of_type(&bundle, "DiagnosticReport")[0]["presentedForm"][0];
    assert_eq!(form["data"], "YWJj");
    assert_eq!(form["size"], 3);
    assert_eq!(form["hash"], "qZk+NkcGgWq6PiVxeFDCbJzQ2J0=");
    assert_eq!(form["creation"], "2024-03-06T05:40:00.000+01:00");
}

#[test]
fn nothing_is_final_before_somebody_signed_and_nothing_stays_so_after_a_change() {
    let snapshot = made::snapshot(&[]);
    let statuses = |bundle: &Value| {
        let mut all: Vec<&Value> = of_type(bundle, "Observation");
        all.extend(of_type(bundle, "DiagnosticReport"));
        all.iter().map(|r| r["status"].as_str().unwrap().to_owned()).collect::<BTreeSet<_>>()
    };
    for (sign, status, readers) in [
        (SignState::NotSigned, "preliminary", 0),
        (SignState::ChangedSince(signed()), "preliminary", 0),
        (SignState::Signed(signed()), "final", 1),
    ] {
        let bundle = bundle(&snapshot, sign);
        assert_eq!(statuses(&bundle), BTreeSet::from([status.to_owned()]));
        assert_eq!(of_type(&bundle, "Practitioner").len(), readers);
        let interpreter = &of_type(&bundle, "DiagnosticReport")[0]["resultsInterpreter"];
        assert_eq!(interpreter.is_array(), readers == 1);
    }
}

#[test]
fn a_time_of_day_stands_only_where_the_zone_is_known() {
    let snapshot = made::snapshot(&[]);
    let with = bundle(&snapshot, SignState::NotSigned);
    assert_eq!(
        of_type(&with, "DiagnosticReport")[0]["effectivePeriod"]["start"],
        "2024-03-04T23:58:30.000+01:00"
    );
    let unknown = ReportContext { recorder_utc_offset_min: None, ..context(SignState::NotSigned) };
    let without: Value = serde_json::from_str(&bundle_text(&snapshot, &unknown, None).unwrap()).unwrap();
    let event = observation(&without, EventKind::LongestRr.key());
    assert_eq!(event["effectivePeriod"]["start"], "2024-03-04");
    let clock = event["component"].as_array().unwrap().iter().find_map(|c| c["valueTime"].as_str());
    assert!(clock.unwrap().starts_with("23:59:"), "the recorder's clock is a part of its own: {clock:?}");
}

#[test]
fn numbers_keep_the_decimals_in_which_they_are_printed() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    for figure in &mut summary.figures {
        match figure.id {
            FigureId::ReadablePercent => figure.value = FigureValue::Number(75.0),
            FigureId::VPercent => figure.value = FigureValue::Number(0.1),
            FigureId::SdnnMs => figure.value = FigureValue::Number(f64::NAN),
            _ => {}
        }
    }
    snapshot.summary = summary.into();
    let text = bundle_text(&snapshot, &context(SignState::NotSigned), None).unwrap();
    assert!(text.contains("\"value\": 75.0,") && text.contains("\"value\": 0.10,"), "{text}");
    let bundle: Value = serde_json::from_str(&text).unwrap();
    let none = observation(&bundle, "sdnn_ms");
    assert_eq!(none["dataAbsentReason"]["text"], "Not computable: no finite value");
    assert!(none["valueQuantity"].is_null(), "a value or a reason, never both");
}

#[test]
fn codes_that_say_24_hours_are_kept_for_days() {
    let minutes = made::snapshot(&[]);
    let loinc = |snapshot: &Snapshot, key: &str| {
        let bundle = bundle(snapshot, SignState::NotSigned);
        observation(&bundle, key)["code"]["coding"][1]["code"].as_str().map(str::to_owned)
    };
    assert_eq!(loinc(&minutes, "mean_bpm").as_deref(), Some("8867-4"));
    assert_eq!(loinc(&minutes, "max_bpm"), None);
    let mut day = minutes;
    let mut recording = made::recording();
    recording.samples = 24 * 3600 * made::HZ;
    day.recording = recording.into();
    assert_eq!(loinc(&day, "mean_bpm").as_deref(), Some("41924-2"));
    assert_eq!(loinc(&day, "max_bpm").as_deref(), Some("8873-2"));
    assert_eq!(loinc(&day, "min_bpm").as_deref(), Some("8883-1"));
    assert_eq!(loinc(&day, "rmssd_ms"), None, "80404-7 is SDNN, not RMSSD");
}

#[test]
fn the_patient_is_said_as_far_as_the_recording_says_and_a_dropped_event_is_not() {
    let kind = EventKind::Pause;
    let span = Span::new(1_000, 2_000);
    let edits = [Edit::AddEvent { kind, span }, Edit::DropEvent { kind, span }];
    let mut snapshot = made::snapshot(&edits);
    let identity = Identity {
        name: "M. Ade".into(),
        code: "17".into(),
        born: "31-JAN-1960".into(),
        sex: "F".into(),
        recorder: String::new(),
        remarks: String::new(),
    };
    snapshot.recording = beatledger_core::model::Recording { identity, ..made::recording() }.into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let patient = of_type(&bundle, "Patient")[0];
    assert_eq!(
        (&patient["name"][0]["text"], &patient["identifier"][0]["value"]),
        (&"M. Ade".into(), &"17".into())
    );
    assert_eq!((&patient["gender"], &patient["birthDate"]), (&"female".into(), &"1960-01-31".into()));
    assert!(of_type(&bundle, "Observation").iter().all(|o| o["code"]["coding"][0]["code"] != "pause"));
}

#[test]
fn no_element_is_null_or_empty_and_every_code_of_our_own_is_explained() {
    let mut snapshot = made::empty();
    snapshot.recording =
        beatledger_core::model::Recording { identity: Identity::default(), ..(*snapshot.recording).clone() }
            .into();
    for snapshot in [snapshot, made::snapshot(&[])] {
        let bundle = bundle(&snapshot, SignState::NotSigned);
        walk(&bundle, &mut |v| match v {
            Value::Null => panic!("null"),
            Value::Array(list) => assert!(!list.is_empty(), "an empty list"),
            Value::String(text) => assert!(!text.is_empty(), "an empty text"),
            _ => {}
        });
        let codes = &of_type(&bundle, "CodeSystem")[0];
        let known: BTreeSet<&str> =
            codes["concept"].as_array().unwrap().iter().map(|c| c["code"].as_str().unwrap()).collect();
        walk(&bundle, &mut |v| {
            if v["system"] == codes["url"] {
                assert!(known.contains(v["code"].as_str().unwrap()), "{v}");
            }
        });
    }
}
