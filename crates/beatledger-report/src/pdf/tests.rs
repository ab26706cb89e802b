//! The PDF is written for every recording, and the same report gives the same bytes.

use beatledger_core::model::Identity;
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

use super::render;
use crate::document::{ReportContext, build};
use crate::made;

fn context() -> ReportContext {
    ReportContext {
        program: "beatledger 0".into(),
        created_utc_ms: 1_800_000_000_000,
        utc_offset_min: -210,
        ..Default::default()
    }
}

fn pdf(snapshot: &Snapshot) -> Vec<u8> {
    // The writer itself refuses what breaks PDF/A-3a (ISO 19005-3) or PDF/UA-1 (ISO 14289-1).
    render(&build(snapshot, &context())).unwrap()
}

fn holds(bytes: &[u8], what: &str) -> bool {
    bytes.windows(what.len()).any(|w| w == what.as_bytes())
}

#[test]
fn the_same_report_gives_the_same_archival_tagged_bytes() {
    let snapshot = made::snapshot(&[]);
    let first = pdf(&snapshot);
    assert!(first == pdf(&snapshot));
    for what in ["%PDF-1.7", "/StructTreeRoot", "/Outlines", "pdfaid:part", "pdfuaid:part"] {
        assert!(holds(&first, what), "{what}");
    }
}

#[test]
fn a_recording_with_nothing_in_it_still_gives_a_report() {
    assert!(pdf(&made::empty()).starts_with(b"%PDF"));
}

#[test]
fn hostile_texts_are_set_and_break_nothing() {
    let long = "Donau".repeat(4000) + "\u{0} 漢字 עברית العربية \u{e000}\u{feff}\u{202e} 🫀\r\n\t<x>";
    let mut snapshot = made::snapshot(&[Edit::Conclude { text: long.clone() }]);
    let mut recording = (*snapshot.recording).clone();
    recording.identity = Identity {
        name: long.clone(),
        code: long.clone(),
        born: "\u{1b}[2J".into(),
        sex: String::new(),
        recorder: long.clone(),
        remarks: String::new(),
    };
    recording.name = long.clone();
    recording.leads[0].name = long.clone();
    recording.diary[0].text = long;
    snapshot.diary = recording.diary.clone().into();
    snapshot.recording = recording.into();
    assert!(pdf(&snapshot).starts_with(b"%PDF"));
}
