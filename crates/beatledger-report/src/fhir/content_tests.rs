//! What each resource of the bundle says, and under which codes of the standard (hl7.org/fhir/R4).

use beatledger_core::model::{EventKind, EventState, FigureId, FigureValue, Span};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use serde_json::{Value, json};

use super::bundle_text;
use super::tests::{bundle, context, observation, of_type, signed};
use crate::document::{ReportContext, SignState};
use crate::made;

#[test]
fn report_observations_and_signer_carry_the_codes_of_the_standard() {
    let mut snapshot = made::snapshot(&[Edit::Conclude { text: " Sinus rhythm. ".into() }]);
    let mut recording = made::recording();
    recording.identity.recorder = "Recorder 7".into();
    snapshot.recording = recording.into();
    let bundle = bundle(&snapshot, SignState::Signed(signed()));
    assert_eq!((&bundle["resourceType"], &bundle["type"]), (&json!("Bundle"), &json!("collection")));
    assert_eq!(bundle["identifier"]["system"], "urn:ietf:rfc:3986");
    assert_eq!(bundle["timestamp"], "2024-03-06T05:40:00.000+01:00");
    let report = of_type(&bundle, "DiagnosticReport")[0];
    let coding = |v: &Value| v["coding"].as_array().unwrap().iter().map(Value::clone).collect::<Vec<_>>();
    assert_eq!(
        coding(&report["code"]),
        [json!({"system": "http://loinc.org", "code": "18754-2",
                "display": "Ambulatory cardiac rhythm monitor (Holter) study"})]
    );
    assert_eq!(
        coding(&report["category"][0]),
        [json!({"system": "http://terminology.hl7.org/CodeSystem/v2-0074", "code": "EC",
                "display": "Electrocardiac"})]
    );
    assert_eq!(report["conclusion"], "Sinus rhythm.");
    assert_eq!(report["issued"], "2024-03-06T05:40:00.000+01:00");
    // 23:58:30 and three minutes.
    assert_eq!(report["effectivePeriod"]["end"], "2024-03-05T00:01:30.000+01:00");
    let observations = of_type(&bundle, "Observation");
    let category = json!([{"coding": [{"system": "http://terminology.hl7.org/CodeSystem/observation-category",
                                       "code": "procedure", "display": "Procedure"}]}]);
    assert!(observations.iter().all(|o| o["category"] == category));
    assert!(observations.iter().all(|o| o["performer"] == report["performer"] && o["performer"].is_array()));
    assert_eq!(
        report["result"].as_array().unwrap().len(),
        observations.len(),
        "the report names every result"
    );
    let practitioner = of_type(&bundle, "Practitioner")[0];
    assert_eq!(practitioner["name"], json!([{"text": "A. Reader"}]));
    assert_eq!(practitioner["qualification"], json!([{"code": {"text": "cardiologist"}}]));
    let provenance = of_type(&bundle, "Provenance")[0];
    let agents = provenance["agent"].as_array().unwrap().iter().map(|a| {
        let coding = &a["type"]["coding"][0];
        assert_eq!(coding["system"], "http://terminology.hl7.org/CodeSystem/provenance-participant-type");
        coding["code"].as_str().unwrap()
    });
    assert_eq!(agents.collect::<Vec<_>>(), ["author", "verifier", "performer"]);
    let who = |i: usize| provenance["agent"][i]["who"]["reference"].clone();
    assert_eq!(who(1), report["performer"][0]["reference"], "who verified is who signed");
    assert_eq!(who(1), report["resultsInterpreter"][0]["reference"]);
    assert_eq!(who(0), observations[0]["device"]["reference"], "the author of the figures is the program");
}

#[test]
fn the_bundle_names_recording_and_ledger_by_their_hashes_and_leaves_out_what_is_not_there() {
    let snapshot = made::snapshot(&[]);
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let entity = |hash: String, display: &str| {
        json!({"role": "source", "what": {"display": display,
               "identifier": {"system": "urn:uuid:845894d0-e7cc-4c83-ac7f-b721cf5dda1c", "value": hash}}})
    };
    let recording = entity("0123456789abcdef".repeat(4), "Recording 'made', SHA-256 of its files");
    let ledger = entity("ab".repeat(32), "Ledger of 2 entries, SHA-256 of the last one");
    let provenance = of_type(&bundle, "Provenance")[0];
    assert_eq!(provenance["entity"], json!([recording, ledger]));
    assert_eq!(provenance["recorded"], "2024-03-06T05:40:00.000+01:00");
    let results = of_type(&bundle, "Observation").len();
    assert_eq!(provenance["target"].as_array().unwrap().len(), results + 1, "the report and every result");
    let none = ReportContext { ledger_head: String::new(), ..context(SignState::NotSigned) };
    let text = bundle_text(&snapshot, &none, None).unwrap();
    let bundle: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(of_type(&bundle, "Provenance")[0]["entity"], json!([recording]));
    assert!(of_type(&bundle, "DiagnosticReport")[0]["presentedForm"].is_null());
}

#[test]
fn the_address_of_an_entry_follows_recording_ledger_and_time() {
    let snapshot = made::snapshot(&[]);
    let address = |change: &dyn Fn(&mut ReportContext)| {
        let mut context = context(SignState::NotSigned);
        change(&mut context);
        let bundle: Value = serde_json::from_str(&bundle_text(&snapshot, &context, None).unwrap()).unwrap();
        bundle["identifier"]["value"].as_str().unwrap().to_owned()
    };
    let same = address(&|_| {});
    assert_eq!(address(&|_| {}), same);
    assert_ne!(address(&|c| c.ledger_head = "cd".repeat(32)), same, "another state of the ledger");
    assert_ne!(address(&|c| c.created_utc_ms += 1), same, "made at another time");
}

#[test]
fn a_figure_that_is_withheld_says_why_in_the_words_of_the_standard_and_has_no_value() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    let figure = summary.figures.iter_mut().find(|f| f.id == FigureId::QtMs).unwrap();
    figure.value = FigureValue::NotComputable("too few beats with an end of T".into());
    snapshot.summary = summary.into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let qt = observation(&bundle, "qt_ms");
    assert_eq!(
        qt["dataAbsentReason"],
        json!({"coding": [{"system": "http://terminology.hl7.org/CodeSystem/data-absent-reason",
                           "code": "not-performed", "display": "Not Performed"}],
               "text": "Not computable: too few beats with an end of T"})
    );
    assert!(qt["valueQuantity"].is_null());
    let observations = of_type(&bundle, "Observation");
    let values = |o: &Value| usize::from(!o["valueQuantity"].is_null());
    let reasons = |o: &Value| usize::from(!o["dataAbsentReason"].is_null());
    assert!(observations.iter().all(|o| values(o) + reasons(o) == 1), "a value or a reason, never both");
}

#[test]
fn a_figure_says_its_definition_its_settings_with_units_its_place_and_what_it_rests_on() {
    let mut snapshot = made::snapshot(&[]);
    snapshot.settings.pause_ms = 1850.0;
    let mut summary = (*snapshot.summary).clone();
    let figure = summary.figures.iter_mut().find(|f| f.id == FigureId::Pauses).unwrap();
    figure.place = Some(Span::new(22_750, 22_900));
    figure.basis = beatledger_core::model::Basis { percent: Some(94.44), of: "of recorded time readable" };
    snapshot.summary = summary.into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let pauses = observation(&bundle, "pauses");
    assert_eq!(
        pauses["method"]["text"],
        "RR intervals at or above the pause limit inside readable time (reporting tiers of 2.0, 2.5 and 3.0 s, common practice)."
    );
    // 91 s after 23:58:30.
    assert_eq!(
        pauses["note"],
        json!([{"text": "Setting pause_ms = 1850 ms"}, {"text": "First at 00:00:01 (recorder's clock)"},
               {"text": "Rests on 94.4 % of recorded time readable"}])
    );
}

#[test]
fn an_event_says_length_start_clock_beats_rate_and_who_found_it_each_in_its_own_unit() {
    let mut snapshot = made::snapshot(&[]);
    let mut event = snapshot.events[0].clone();
    event.kind = EventKind::VentricularTachycardia;
    // 91.0 to 93.8 s after 23:58:30.
    event.span = Span::new(22_750, 23_450);
    (event.beats, event.rate_bpm) = ((110, 117), Some(151.4));
    (event.state, event.note) = (EventState::Kept, "non-sustained".into());
    snapshot.events = vec![event].into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let run = observation(&bundle, "ventricular-tachycardia");
    let quantity = |value: Value, unit: &str, code: &str| json!({"value": value, "unit": unit, "system": "http://unitsofmeasure.org", "code": code});
    assert_eq!(run["code"]["text"], "Ventricular tachycardia");
    assert_eq!(run["method"]["text"], "Value: length of the event");
    assert_eq!(run["valueQuantity"], quantity(json!(2.8), "s", "s"));
    assert_eq!(run["note"], json!([{"text": "non-sustained"}]));
    assert_eq!(
        run["effectivePeriod"],
        json!({"start": "2024-03-05T00:00:01.000+01:00", "end": "2024-03-05T00:00:03.800+01:00"})
    );
    let part = |code: &str| {
        let parts = run["component"].as_array().unwrap();
        parts.iter().find(|p| p["code"]["coding"][0]["code"] == code).unwrap().clone()
    };
    assert_eq!(part("from-start")["valueQuantity"], quantity(json!(91.0), "s", "s"));
    assert_eq!(part("recorder-clock")["valueTime"], "00:00:01.000");
    assert_eq!(part("beats")["valueQuantity"], quantity(json!(7), "beats", "{beats}"));
    assert_eq!(part("event-rate")["valueQuantity"], quantity(json!(151), "beats/minute", "/min"));
    assert_eq!(part("said-by")["valueString"], "found by program, confirmed by reader");
}

#[test]
fn unreadable_time_has_no_beats_and_an_event_without_a_rate_none() {
    let mut snapshot = made::snapshot(&[]);
    let mut event = snapshot.events[0].clone();
    (event.kind, event.beats, event.rate_bpm) = (EventKind::Unreadable, (0, 0), None);
    snapshot.events = vec![event].into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let parts = observation(&bundle, "unreadable")["component"].as_array().unwrap();
    let codes: Vec<&str> = parts.iter().map(|p| p["code"]["coding"][0]["code"].as_str().unwrap()).collect();
    assert_eq!(codes, ["from-start", "recorder-clock", "said-by"]);
}

#[test]
fn no_more_than_fifty_events_of_a_kind_are_listed_and_each_says_how_many_there_are() {
    let mut snapshot = made::snapshot(&[]);
    let mut event = snapshot.events[0].clone();
    (event.kind, event.note) = (EventKind::VentricularCouplet, String::new());
    let listed = |snapshot: &Snapshot| {
        let bundle = bundle(snapshot, SignState::NotSigned);
        let all = of_type(&bundle, "Observation");
        let notes: Vec<Value> = all
            .iter()
            .filter(|o| o["code"]["coding"][0]["code"] == "ventricular-couplet")
            .map(|o| o["note"].clone())
            .collect();
        notes
    };
    snapshot.events = vec![event.clone(); 50].into();
    assert_eq!(listed(&snapshot), vec![Value::Null; 50]);
    snapshot.events = vec![event; 57].into();
    let note = json!([{"text": "The first 50 of 57 of this kind are listed"}]);
    assert_eq!(listed(&snapshot), vec![note; 50]);
}

#[test]
fn a_count_keeps_its_unit_and_a_place_is_told_in_seconds_from_the_start() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    for figure in &mut summary.figures {
        match figure.id {
            FigureId::VLongestRunBeats => figure.value = FigureValue::Count(9),
            FigureId::WornH => figure.value = FigureValue::Place(22_750),
            _ => {}
        }
    }
    snapshot.summary = summary.into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let run = &observation(&bundle, "v_longest_run_beats")["valueQuantity"];
    assert_eq!((&run["value"], &run["code"]), (&json!(9), &json!("{beats}")));
    let place = &observation(&bundle, "worn_h")["valueQuantity"];
    assert_eq!((&place["value"], &place["code"]), (&json!(91.0), &json!("s")));
}

#[test]
fn sex_is_told_in_the_words_of_the_standard_or_not_at_all() {
    // FHIR administrative-gender: male, female, other.
    for (sex, gender) in [
        ("M", json!("male")),
        (" Male ", json!("male")),
        ("F", json!("female")),
        ("female", json!("female")),
        ("O", json!("other")),
        ("X", Value::Null),
        ("", Value::Null),
    ] {
        let mut snapshot = made::snapshot(&[]);
        let mut recording = made::recording();
        recording.identity.sex = sex.into();
        snapshot.recording = recording.into();
        let bundle = bundle(&snapshot, SignState::NotSigned);
        assert_eq!(of_type(&bundle, "Patient")[0]["gender"], gender, "{sex}");
    }
}

#[test]
fn program_and_recorder_are_devices_of_their_own_kind() {
    let mut snapshot = made::snapshot(&[]);
    let mut recording = made::recording();
    recording.identity.recorder = " Recorder 7 ".into();
    snapshot.recording = recording.into();
    let bundle = bundle(&snapshot, SignState::NotSigned);
    assert_eq!(
        of_type(&bundle, "Device"),
        [
            &json!({"resourceType": "Device", "deviceName": [{"name": "beatledger", "type": "user-friendly-name"}],
                    "type": {"text": "Software that analyses ambulatory ECG"}, "version": [{"value": "0.1.0"}],
                    "note": [{"text": "Research and education software, not a cleared medical device."}]}),
            &json!({"resourceType": "Device", "deviceName": [{"name": "Recorder 7", "type": "other"}],
                    "type": {"text": "Ambulatory ECG recorder"}}),
        ]
    );
}
