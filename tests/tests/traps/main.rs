//! Traps: tracings in which a day's report could be wrong with confidence. Each is made here, read by the program, and what
//! is said of it is checked (definitions: common practice).

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod artefact;
mod block;
mod body;
mod conduction;
mod contact;
mod dropping;
mod fibrillation;
mod polarity;
mod qt;
mod st;
mod tachycardia;

/// Age, drugs and pacing stand in the remarks of a header: they are remarks, and neither a recorder nor a name, on the page and
/// in the bundle alike.
#[test]
fn remarks_of_a_header_are_remarks_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let header = folder.path().join("r1.hea");
    std::fs::write(&header, "r1 1 250 250\nr1.dat 16 200 12 0 0 0 0 ECG II\n#65 M Digoxin, paced\n").unwrap();
    std::fs::write(folder.path().join("r1.dat"), vec![0u8; 500]).unwrap();
    let recording = beatledger_formats::open(&header).unwrap();
    let who = &recording.identity;
    assert_eq!(
        (who.recorder.as_str(), who.name.as_str(), who.born.as_str(), who.sex.as_str()),
        ("", "", "", "")
    );
    assert_eq!(who.remarks, "65 M Digoxin, paced");
}
