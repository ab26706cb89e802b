//! Tests of the ledger as a reader of a day meets it: reopen, two writers, another recording, a newer program.

mod bytes;
mod damage;
mod words;

use std::io;
use std::path::{Path, PathBuf};

use beatledger_core::model::{BeatClass, DiaryEntry, DiaryKind, EventKind, Span};
use beatledger_core::review::{Action, Edit, Entry, Signature};

use crate::file::{EntryV1, RECORD_VERSION, RecordV1};
use crate::frame::framed;
use crate::ledger::record_bytes;
use crate::{Ledger, LedgerError, path_for, read, verify};

pub(crate) const DAY: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
const OTHER: &str = "0000000000000000000000000000000000000000000000000000000000000000";

fn entry(seq: u64, action: Action) -> Entry {
    let at_utc_ms = 1_600_000_000_000 + seq as i64;
    Entry { seq, at_utc_ms, utc_offset_min: 120, reader: "A. Reader".into(), action }
}

/// One entry of every kind there is.
fn every_kind() -> Vec<Entry> {
    let (span, new_span) = (Span::new(100, 900), Span::new(100, 1200));
    let (kind, new_kind) = (EventKind::Pause, EventKind::AtrialFibrillation);
    let diary = DiaryEntry { span, kind: DiaryKind::Symptom, text: "palpitations – again".into() };
    let edits = vec![
        Edit::Relabel { beats: vec![1, -2, i64::MAX], class: BeatClass::V },
        Edit::InsertBeat { sample: 512, class: BeatClass::S },
        Edit::RemoveBeats { beats: vec![] },
        Edit::MoveBeat { from: 10, to: 12 },
        Edit::MarkNoise { span },
        Edit::UnmarkNoise { span },
        Edit::KeepEvent { kind, span },
        Edit::DropEvent { kind, span },
        Edit::ChangeEvent { kind, span, new_kind, new_span },
        Edit::AddEvent { kind, span },
        Edit::InvertLead { lead: 2, inverted: true },
        Edit::AddDiary { entry: diary },
        Edit::ChangeSetting { key: "pause-ms".into(), value: 2500.0 },
        Edit::Conclude { text: "No pause above 3 s.".into() },
        Edit::MarkRead { span },
    ];
    let mut actions: Vec<Action> = edits.into_iter().map(Action::Do).collect();
    actions.push(Action::Undo { seq: 15 });
    actions.push(Action::Redo { seq: 15 });
    actions.push(Action::Sign(Signature {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        manifest_sha256: DAY.into(),
    }));
    (1..).zip(actions).map(|(seq, action)| entry(seq, action)).collect()
}

pub(crate) fn relabels(count: u64) -> Vec<Entry> {
    let edit = |seq: u64| Edit::Relabel { beats: vec![seq as i64 * 100], class: BeatClass::V };
    (1..=count).map(|seq| entry(seq, Action::Do(edit(seq)))).collect()
}

/// A folder with a ledger of these entries.
pub(crate) fn written(entries: &[Entry]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = path_for(&folder.path().join("day.edf"));
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    entries.iter().for_each(|e| ledger.append(e).unwrap());
    (folder, path)
}

fn names_in(folder: &Path) -> Vec<String> {
    let names = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = names.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn opening_again_gives_every_entry_and_the_next_one_follows() {
    let entries = every_kind();
    let (folder, path) = written(&entries);
    let (mut ledger, loaded) = Ledger::open(&path, &DAY.to_uppercase()).unwrap();
    assert_eq!(loaded.entries, entries);
    assert_eq!(loaded.recovered, None);
    assert_eq!(loaded.header.unwrap().recording_sha256, DAY);
    let next = entry(19, Action::Undo { seq: 1 });
    ledger.append(&next).unwrap();
    let head = ledger.head_hash().to_owned();
    drop(ledger);
    let contents = read(&path).unwrap();
    assert_eq!(contents.entries.last(), Some(&next));
    assert_eq!(contents.head_hash, head);
    let check = verify::ledger(&path).unwrap();
    assert!(check.is_intact() && check.to_string().starts_with("Intact: 19 entries"));
    assert_eq!(names_in(folder.path()), ["day.edf.beatledger"]);
}

#[test]
fn looking_at_a_day_leaves_nothing_behind() {
    let (folder, path) = written(&[]);
    assert_eq!(names_in(folder.path()), [""; 0]);
    assert!(matches!(read(&path), Err(LedgerError::Io { .. })));
}

#[test]
fn an_entry_out_of_turn_is_refused_and_changes_nothing() {
    let (_folder, path) = written(&relabels(2));
    let before = std::fs::read(&path).unwrap();
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    let error = ledger.append(&entry(5, Action::Undo { seq: 1 })).unwrap_err();
    assert_eq!(error.to_string(), "entry 5 cannot be written because entry 3 comes next");
    assert_eq!(std::fs::read(&path).unwrap(), before);
}

fn first_end(entries: &[Entry], count: usize) -> usize {
    let (_folder, path) = written(&entries[..count]);
    std::fs::metadata(path).unwrap().len() as usize
}

#[test]
fn a_second_writer_is_refused_until_the_first_is_gone() {
    let (_folder, path) = written(&relabels(1));
    let (first, _) = Ledger::open(&path, DAY).unwrap();
    let error = Ledger::open(&path, DAY).unwrap_err();
    assert!(matches!(error, LedgerError::Busy { .. }));
    assert!(error.to_string().starts_with("this recording is being edited in another window"));
    assert_eq!(read(&path).unwrap().entries.len(), 1);
    drop(first);
    Ledger::open(&path, DAY).unwrap();
}

#[test]
fn a_ledger_of_another_recording_is_refused_with_both_hashes() {
    let (_folder, path) = written(&relabels(1));
    let error = Ledger::open(&path, OTHER).unwrap_err().to_string();
    assert!(error.contains("expected 000000000000..., found ba7816bf8f01..."), "{error}");
    assert!(matches!(Ledger::open(&path, "no hash"), Err(LedgerError::NotAHash(_))));
}

/// A folder in which this user may make no file; an administrator may write nearly everywhere, and there
/// a system folder serves.
#[cfg(target_os = "linux")]
fn read_only_folder(inside: &Path) -> PathBuf {
    use std::os::unix::fs::PermissionsExt;
    let folder = inside.join("closed");
    std::fs::create_dir(&folder).unwrap();
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o555)).unwrap();
    let denied = |p: &Path| {
        let made = std::fs::File::create(p.join("x"));
        made.is_err_and(|e| {
            matches!(e.kind(), io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem)
        })
    };
    [folder, "/sys".into(), "/proc/sys".into()].into_iter().find(|p| denied(p)).unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_may_not_be_written_is_told_in_a_sentence() {
    let temp = tempfile::tempdir().unwrap();
    let folder = read_only_folder(temp.path());
    let error = Ledger::open(&folder.join("day.edf.beatledger"), DAY).unwrap_err();
    assert!(matches!(error, LedgerError::ReadOnly { .. }), "{error:?}");
    assert!(error.to_string().starts_with("edits cannot be saved because its folder may not be written"));
}

/// The records are put together in memory: ten thousand waits for a disk are no part of the question.
#[test]
fn ten_thousand_entries_come_back_in_order_and_the_next_one_follows() {
    let entries = relabels(10_000);
    let (_folder, path) = written(&entries[..1]);
    let mut head = read(&path).unwrap().head_hash;
    let mut bytes = std::fs::read(&path).unwrap();
    for entry in &entries[1..9_999] {
        let (record, next) = record_bytes(entry, head, &path).unwrap();
        bytes.extend(record);
        head = next;
    }
    std::fs::write(&path, bytes).unwrap();
    let (mut ledger, loaded) = Ledger::open(&path, DAY).unwrap();
    assert_eq!(loaded.entries, entries[..9_999]);
    ledger.append(&entries[9_999]).unwrap();
    assert_eq!(read(&path).unwrap().entries, entries);
}

/// Replaces the last entry of a ledger by a payload of our making.
fn with_last_payload(path: &Path, entries: &[Entry], payload: &[u8]) {
    let mut bytes = std::fs::read(path).unwrap();
    bytes.truncate(first_end(entries, entries.len() - 1));
    bytes.extend(framed(payload).unwrap());
    std::fs::write(path, bytes).unwrap();
}

#[derive(serde::Serialize)]
struct WithoutProgram {
    v: u16,
    before: String,
    entry: EntryV1,
}

#[derive(serde::Serialize)]
struct WithMore<E: serde::Serialize> {
    v: u16,
    program: &'static str,
    reason: &'static str,
    before: String,
    entry: E,
}

#[test]
fn records_with_a_field_less_or_more_are_read() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries);
    let (_one_folder, one) = written(&entries[..1]);
    let before = read(&one).unwrap().head_hash;
    let old = WithoutProgram { v: 1, before: before.clone(), entry: EntryV1::from(&entries[1]) };
    with_last_payload(&path, &entries, &rmp_serde::to_vec_named(&old).unwrap());
    assert_eq!(read(&path).unwrap().entries, entries);
    let entry = EntryV1::from(&entries[1]);
    let new = WithMore { v: 1, program: "9.1.0", reason: "artefact", before, entry };
    with_last_payload(&path, &entries, &rmp_serde::to_vec_named(&new).unwrap());
    assert_eq!(read(&path).unwrap().entries, entries);
}

#[test]
fn an_entry_of_a_newer_program_is_named_with_its_version() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries);
    let (_one_folder, one) = written(&entries[..1]);
    let before = read(&one).unwrap().head_hash;
    let unknown = WithMore { v: 1, program: "9.1.0", reason: "", before: before.clone(), entry: "later" };
    with_last_payload(&path, &entries, &rmp_serde::to_vec_named(&unknown).unwrap());
    let error = Ledger::open(&path, DAY).unwrap_err().to_string();
    assert!(error.starts_with("entry 2 was written by version 9.1.0 in record format 1"), "{error}");
    let mut entry = EntryV1::from(&entries[1]);
    let letter = crate::file::EditV1::InsertBeat { sample: 1, class: 'Z' };
    entry.action = crate::file::ActionV1::Do(letter);
    let record = RecordV1 { v: RECORD_VERSION, program: "9.2.0".into(), before, entry };
    with_last_payload(&path, &entries, &rmp_serde::to_vec_named(&record).unwrap());
    let error = read(&path).unwrap_err().to_string();
    assert!(error.contains("version 9.2.0") && error.contains("unknown beat class 'Z'"), "{error}");
}
