//! What is signed: whole, with the head of the ledger, by a named reader; and that a later edit shows.

use std::path::Path;

use beatledger_core::model::BeatClass;
use beatledger_core::review::Edit;
use beatledger_ledger::{Ledger, manifest, path_for};

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::outside::signed_folder;

fn quiet_day() -> Day {
    day(&"N".repeat(20), &[800])
}

fn relabel(sample: i64) -> Edit {
    Edit::Relabel { beats: vec![sample], class: BeatClass::S }
}

#[test]
fn what_is_signed_right_after_an_edit_has_every_figure_worked_out() {
    let pen = Pen::default();
    let mut bench = quiet_day().signed_with(pen.clone());
    let desk = bench.harness.state_mut();
    desk.apply(Act::Edit(relabel(2600)));
    assert!(!desk.open.day.as_ref().unwrap().snapshot.is_whole(), "some figures are still to come");
    desk.apply(Act::Sign(request()));
    let seen = pen.last();
    assert!(seen.snapshot.is_whole());
    assert_eq!(seen.snapshot.beats[2].class, BeatClass::S);
    assert_eq!(seen.entries, [entry(1, relabel(2600))]);
    assert_eq!((seen.request, seen.path), (request(), None));
    assert_eq!(seen.stamp, stamp());
}

#[test]
fn the_signature_is_an_entry_of_the_ledger_by_who_signed() {
    let mut bench = quiet_day().on_the_desk();
    let by = crate::outside::services::SignRequest { reader: "B. Reader".into(), ..request() };
    bench.act(Act::Sign(by));
    let entries = &bench.desk().open.day.as_ref().unwrap().entries;
    assert_eq!((entries.len(), &*entries[0].reader), (1, "B. Reader"));
    let beatledger_core::review::Action::Sign(signature) = &entries[0].action else { panic!() };
    assert_eq!((&*signature.reader, &*signature.role), ("B. Reader", "physician"));
    assert_eq!(signature.meaning, "prepared");
}

#[test]
fn a_day_says_signed_until_the_next_edit_or_undo_and_signed_again_after_signing_again() {
    let mut bench = quiet_day().on_the_desk();
    bench.edit(relabel(1800));
    assert!(bench.shows("not signed"));
    bench.act(Act::Sign(request()));
    assert!(bench.shows("signed by A. Reader, physician") && !bench.shows("not signed"));
    bench.edit(relabel(2600));
    assert!(bench.shows("changed since A. Reader signed") && !bench.shows("signed by A. Reader"));
    bench.act(Act::Sign(request()));
    assert!(bench.shows("signed by A. Reader, physician") && !bench.shows("changed since A."));
    bench.ctrl(Key::Z);
    assert_eq!(bench.letters(), "NSNNNNNNNNNNNNNNNNNN");
    assert!(bench.shows("changed since A. Reader signed") && !bench.shows("signed by A. Reader"));
    bench.act(Act::Sign(request())).ctrl_shift(Key::Z);
    assert!(bench.shows("changed since A. Reader signed"), "making it again is a change as well");
    bench.act(Act::Sign(request())).select(&[1800]).key(Key::O).key(Key::Num2);
    assert!(bench.shows("signed by A. Reader, physician"), "looking changes nothing");
}

#[test]
fn nothing_open_says_that_it_is_signed_only_while_it_is() {
    let mut bench = quiet_day().on_the_desk();
    let whole = bench.desk().snapshot().unwrap().recording.whole();
    bench.edit(Edit::MarkRead { span: whole });
    assert!(bench.shows("Next: write the conclusion and sign."));
    bench.act(Act::Sign(request()));
    assert!(bench.shows("The summary is signed and unchanged since."));
    bench.edit(Edit::Conclude { text: "Quiet.".into() });
    assert!(!bench.shows("unchanged since") && bench.shows("Next: write the conclusion and sign."));
}

/// Reads the manifest in the one signed folder beside `path`.
fn manifest_beside(path: &Path) -> manifest::Verification {
    let folders: Vec<PathBuf> = std::fs::read_dir(path.parent().unwrap())
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.is_dir())
        .collect();
    assert_eq!(folders.len(), 1, "{folders:?}");
    manifest::verify(&folders[0]).unwrap()
}

#[test]
fn the_manifest_names_the_last_record_of_the_ledger_and_the_recording() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf");
    let day = quiet_day();
    let entries = [entry(1, relabel(1800)), entry(2, relabel(2600))];
    let (mut ledger, _) = Ledger::open(&path_for(&path), &day.recording.sha256).unwrap();
    ledger.append(&entries[0]).unwrap();
    let after_one = ledger.head_hash().to_owned();
    ledger.append(&entries[1]).unwrap();
    let after_two = ledger.head_hash().to_owned();
    drop(ledger);
    let signed =
        signed_folder::write_signed(&request(), &stamp(), &day.snapshot(&entries), &entries, Some(&path))
            .unwrap();
    let verified = manifest_beside(&path);
    assert!(verified.is_intact());
    assert_eq!(verified.manifest_sha256, signed.signature.manifest_sha256);
    let manifest = verified.manifest;
    assert_eq!((manifest.ledger_head.len(), &manifest.ledger_head), (64, &after_two));
    assert_ne!(after_one, after_two);
    assert_eq!(manifest.recording_sha256, "5".repeat(64));
    assert_eq!((&*manifest.signer.name, &*manifest.signer.role), ("A. Reader", "physician"));
    assert_eq!(manifest.statement, "prepared");
    assert_eq!(manifest.created, "2025-11-24T17:00:00.000+01:00");
    let mut files: Vec<&str> = manifest.files.iter().map(|f| &*f.path).collect();
    files.retain(|f| ["report.pdf", "summary.json", "beats.csv", "beats.atr"].contains(f));
    assert_eq!(files.len(), 4);
    assert!(signed.words.ends_with("day.edf.signed-20251124-170000"), "{}", signed.words);
    let bundle = folder.path().join("day.edf.signed-20251124-170000").join("bundle.fhir.json");
    let bundle = std::fs::read_to_string(bundle).unwrap();
    assert!(bundle.contains(&after_two) && !bundle.contains(&after_one));
    assert!(bundle.contains("2 entries") && !bundle.contains("preliminary"), "the report is final");
    assert!(bundle.contains("2025-11-24T17:00:00"), "made at the time of the signature");
}

#[test]
fn a_signature_without_name_role_or_meaning_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf");
    let day = quiet_day().snapshot(&[]);
    for (what, empty) in [("name", 0), ("role", 1), ("meaning", 2)] {
        let mut request = request();
        *[&mut request.reader, &mut request.role, &mut request.meaning][empty] = "  ".into();
        let refused =
            signed_folder::write_signed(&request, &stamp(), &day, &[], Some(&path)).unwrap_err().to_string();
        assert_eq!(refused, format!("a signature needs the reader's {what}."));
    }
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn what_cannot_be_written_is_not_signed() {
    let mut bench = quiet_day().on_the_desk();
    bench.harness.state_mut().services.sign = Box::new(crate::outside::canned::NoSignOff);
    bench.ctrl(Key::Enter).act(Act::Sign(request()));
    assert!(bench.desk().notice().wrong);
    assert!(bench.desk().snapshot().unwrap().fold.signed.is_none());
    assert!(bench.desk().open.day.as_ref().unwrap().entries.is_empty());
    assert_eq!(
        bench.desk().sheet(),
        Some(crate::sheets::sheet::Sheet::Sign),
        "the sheet stays for another try"
    );
}

#[test]
fn a_day_that_is_open_to_read_only_is_not_signed() {
    let pen = Pen::default();
    let mut bench = quiet_day().signed_with(pen.clone());
    let opened = crate::app::open_day::Opened {
        recording: std::sync::Arc::new(quiet_day().recording),
        found: std::sync::Arc::new(quiet_day().found),
        entries: Vec::new(),
        ledger_to: crate::app::open_day::LedgerTarget::ReadOnly("someone else is editing".into()),
        path: None,
        words: String::new(),
    };
    bench.harness.state_mut().put_on_desk(opened);
    bench.act(Act::Sign(request()));
    assert_eq!(pen.times(), 0);
    assert_eq!(bench.desk().notice().words, "Not signed: someone else is editing");
}

/// A ledger that takes no signature.
struct Refuses;

impl crate::outside::services::LedgerFile for Refuses {
    fn append(&mut self, entry: &beatledger_core::review::Entry) -> Result<(), String> {
        match entry.action {
            beatledger_core::review::Action::Sign(_) => Err("the disk is full.".into()),
            _ => Ok(()),
        }
    }

    fn place(&self) -> String {
        "a full disk".into()
    }
}

#[test]
fn what_was_written_for_a_signature_that_the_ledger_refuses_is_taken_back() {
    let pen = Pen::default();
    let mut bench = quiet_day().signed_with(pen.clone());
    let opened = crate::app::open_day::Opened {
        recording: std::sync::Arc::new(quiet_day().recording),
        found: std::sync::Arc::new(quiet_day().found),
        entries: Vec::new(),
        ledger_to: crate::app::open_day::LedgerTarget::File(Box::new(Refuses)),
        path: None,
        words: String::new(),
    };
    bench.harness.state_mut().put_on_desk(opened);
    bench.act(Act::Sign(request()));
    assert_eq!(pen.times(), 0, "the folder is gone again");
    assert_eq!(bench.desk().notice().words, "Not signed: the disk is full.");
    assert!(bench.desk().snapshot().unwrap().fold.signed.is_none());
}

#[test]
fn a_day_whose_ledger_is_gone_is_not_signed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf");
    let entries = [entry(1, relabel(1800))];
    let day = quiet_day().snapshot(&entries);
    let refused = signed_folder::write_signed(&request(), &stamp(), &day, &entries, Some(&path))
        .unwrap_err()
        .to_string();
    assert!(refused.starts_with("the ledger with 1 entries is gone"), "{refused}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}
