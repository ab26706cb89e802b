//! What lies in the file, written out by hand: names, letters and keys that later programs must still read.

use beatledger_core::model::{BeatClass, DiaryEntry, DiaryKind, EventKind, Span};
use beatledger_core::review::{Action, Edit, Entry};
use serde_json::{Value, json};

use super::{DAY, OTHER, entry, every_kind, first_end, relabels, written};
use crate::file::{ActionV1, EntryV1, FORMAT_VERSION, RECORD_VERSION, RecordV1};
use crate::frame::framed;
use crate::{Ledger, LedgerError, path_for, read, read_prefix, sha256_of_bytes, verify};

#[test]
fn every_kind_of_entry_lies_in_the_file_under_its_own_names() {
    let span = json!({"start": 100, "end": 900});
    let expected = [
        json!({"Do": {"Relabel": {"beats": [1, -2, i64::MAX], "class": "V"}}}),
        json!({"Do": {"InsertBeat": {"sample": 512, "class": "S"}}}),
        json!({"Do": {"RemoveBeats": {"beats": []}}}),
        json!({"Do": {"MoveBeat": {"from": 10, "to": 12}}}),
        json!({"Do": {"MarkNoise": {"span": span}}}),
        json!({"Do": {"UnmarkNoise": {"span": span}}}),
        json!({"Do": {"KeepEvent": {"kind": "pause", "span": span}}}),
        json!({"Do": {"DropEvent": {"kind": "pause", "span": span}}}),
        json!({"Do": {"ChangeEvent": {"kind": "pause", "span": span, "new_kind": "atrial-fibrillation",
                                      "new_span": {"start": 100, "end": 1200}}}}),
        json!({"Do": {"AddEvent": {"kind": "pause", "span": span}}}),
        json!({"Do": {"InvertLead": {"lead": 2, "inverted": true}}}),
        json!({"Do": {"AddDiary": {"span": span, "kind": "symptom", "text": "palpitations – again"}}}),
        json!({"Do": {"ChangeSetting": {"key": "pause-ms", "value": 2500.0}}}),
        json!({"Do": {"Conclude": {"text": "No pause above 3 s."}}}),
        json!({"Do": {"MarkRead": {"span": span}}}),
        json!({"Undo": {"seq": 15}}),
        json!({"Redo": {"seq": 15}}),
        json!({"Sign": {"reader": "A. Reader", "role": "cardiologist", "meaning": "reviewed and approved",
                        "manifest_sha256": DAY}}),
    ];
    let entries = every_kind();
    assert_eq!(entries.len(), expected.len());
    for ((entry, action), seq) in entries.iter().zip(expected).zip(1..) {
        let whole = json!({"seq": seq, "at_utc_ms": 1_600_000_000_000_i64 + seq, "utc_offset_min": 120,
                           "reader": "A. Reader", "action": action});
        assert_eq!(serde_json::to_value(EntryV1::from(entry)).unwrap(), whole);
        let back: EntryV1 = serde_json::from_value(whole).unwrap();
        assert_eq!(&Entry::try_from(back).unwrap(), entry);
    }
}

#[test]
fn classes_events_and_kinds_of_diary_entry_keep_their_letters_and_keys() {
    let action = |edit: Edit| -> Value {
        serde_json::to_value(EntryV1::from(&entry(1, Action::Do(edit)))).unwrap()["action"]["Do"].clone()
    };
    let classes = [BeatClass::N, BeatClass::S, BeatClass::V, BeatClass::F, BeatClass::Q];
    for (class, letter) in classes.into_iter().zip(["N", "S", "V", "F", "Q"]) {
        assert_eq!(action(Edit::InsertBeat { sample: 7, class })["InsertBeat"]["class"], letter);
    }
    let span = Span::new(3, 8);
    for (kind, key) in [
        (DiaryKind::Symptom, "symptom"),
        (DiaryKind::Activity, "activity"),
        (DiaryKind::Medication, "medication"),
        (DiaryKind::Button, "button"),
        (DiaryKind::Sleep, "sleep"),
        (DiaryKind::Note, "note"),
    ] {
        let edit = Edit::AddDiary { entry: DiaryEntry { span, kind, text: String::new() } };
        assert_eq!(action(edit.clone())["AddDiary"]["kind"], key);
        let file = EntryV1::from(&entry(1, Action::Do(edit.clone())));
        assert_eq!(Entry::try_from(file).unwrap().action, Action::Do(edit));
    }
    for kind in EventKind::ALL {
        let edit = Edit::AddEvent { kind, span };
        let file = EntryV1::from(&entry(1, Action::Do(edit.clone())));
        assert_eq!(Entry::try_from(file).unwrap().action, Action::Do(edit));
    }
}

#[test]
fn a_word_that_this_version_does_not_know_is_named() {
    let refused = |action: Value| {
        let action: ActionV1 = serde_json::from_value(action).unwrap();
        Action::try_from(action).unwrap_err()
    };
    let span = json!({"start": 1, "end": 2});
    for name in ["KeepEvent", "DropEvent", "AddEvent"] {
        assert_eq!(
            refused(json!({"Do": {name: {"kind": "storm", "span": span}}})),
            "unknown kind of event 'storm'"
        );
    }
    let change = |kind: &str, new_kind: &str| json!({"Do": {"ChangeEvent": {"kind": kind, "span": span, "new_kind": new_kind, "new_span": span}}});
    assert_eq!(refused(change("storm", "pause")), "unknown kind of event 'storm'");
    assert_eq!(refused(change("pause", "calm")), "unknown kind of event 'calm'");
    let diary = json!({"Do": {"AddDiary": {"span": span, "kind": "dream", "text": ""}}});
    assert_eq!(refused(diary), "unknown kind of diary entry 'dream'");
    assert_eq!(refused(json!({"Do": {"Relabel": {"beats": [1], "class": "X"}}})), "unknown beat class 'X'");
}

#[test]
fn a_ledger_begins_with_its_name_and_version_and_each_record_is_framed() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries);
    let bytes = std::fs::read(&path).unwrap();
    assert_eq!(&bytes[..16], b"beatledger\0\0\0\0\0\0");
    assert_eq!(bytes[16..18], [1, 0]);
    assert_eq!((FORMAT_VERSION, RECORD_VERSION), (1, 1));
    // CRC-32 (IEEE 802.3) of "123456789" is cbf43926, the usual check value.
    let frame = [&[9, 0, 0, 0][..], &[246, 255, 255, 255], &[0x26, 0x39, 0xf4, 0xcb], b"123456789"].concat();
    assert_eq!(framed(b"123456789").unwrap(), frame);
}

#[test]
fn the_header_names_recording_program_and_the_time_of_the_first_entry() {
    let (_folder, path) = written(&relabels(3));
    let header = read(&path).unwrap().header;
    assert_eq!(header.recording_sha256, DAY);
    assert_eq!(header.created_utc_ms, 1_600_000_000_001);
    assert_eq!(header.program, env!("CARGO_PKG_VERSION"));
}

#[test]
fn each_record_carries_the_hash_of_the_payload_before_it() {
    let (_folder, path) = written(&relabels(3));
    let bytes = std::fs::read(&path).unwrap();
    let mut at = 18;
    let mut payloads = Vec::new();
    while at < bytes.len() {
        let length = u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
        payloads.push(&bytes[at + 12..at + 12 + length]);
        at += 12 + length;
    }
    assert_eq!(payloads.len(), 4);
    for pair in payloads.windows(2) {
        let record: RecordV1 = rmp_serde::from_slice(pair[1]).unwrap();
        assert_eq!(record.before, sha256_of_bytes(pair[0]));
        assert_eq!((record.v, record.program.as_str()), (1, env!("CARGO_PKG_VERSION")));
    }
    let contents = read(&path).unwrap();
    assert_eq!(contents.head_hash, sha256_of_bytes(payloads[3]));
    assert_eq!(contents.good_bytes, bytes.len() as u64);
    let (ledger, _) = Ledger::open(&path, DAY).unwrap();
    assert_eq!((ledger.head_hash(), ledger.next_seq()), (contents.head_hash.as_str(), 4));
    assert_eq!(ledger.path(), path);
}

/// Puts a record of our making in the place of the last of `count` entries.
fn forged(count: usize, change: impl Fn(&mut RecordV1)) -> Result<(), LedgerError> {
    let entries = relabels(count as u64);
    let (_folder, path) = written(&entries);
    let (_before_folder, before) = written(&entries[..count - 1]);
    let mut record = RecordV1 {
        v: 1,
        program: "9.2.0".into(),
        before: read(&before).unwrap().head_hash,
        entry: EntryV1::from(&entries[count - 1]),
    };
    change(&mut record);
    let mut bytes = std::fs::read(&path).unwrap();
    bytes.truncate(first_end(&entries, count - 1));
    bytes.extend(framed(&rmp_serde::to_vec_named(&record).unwrap()).unwrap());
    std::fs::write(&path, bytes).unwrap();
    read(&path).map(drop)
}

#[test]
fn a_record_that_is_whole_but_not_the_next_one_is_refused() {
    assert!(forged(3, |_| {}).is_ok());
    let error = forged(3, |r| r.before = OTHER.into()).unwrap_err().to_string();
    assert!(
        error.contains("broken at entry 3") && error.contains("does not follow the entry before it"),
        "{error}"
    );
    for seq in [2, 4] {
        let error = forged(3, |r| r.entry.seq = seq).unwrap_err().to_string();
        assert!(error.contains(&format!("it calls itself entry {seq}")), "{error}");
    }
    for v in [0, 2] {
        let error = forged(3, |r| r.v = v).unwrap_err().to_string();
        assert!(error.contains(&format!("written by version 9.2.0 in record format {v}")), "{error}");
        assert!(error.contains("another record format"), "{error}");
    }
    let error = forged(3, |r| (r.v, r.program) = (2, String::new())).unwrap_err().to_string();
    assert!(error.contains("written by version unknown in record format 2"), "{error}");
}

#[test]
fn a_header_of_another_format_or_without_a_recording_is_refused() {
    let (_folder, path) = written(&relabels(1));
    let whole = std::fs::read(&path).unwrap();
    let mut newer = whole.clone();
    newer[16] = 2;
    std::fs::write(&path, newer).unwrap();
    let error = read(&path).unwrap_err();
    assert!(matches!(error, LedgerError::NewerFile { found: 2, known: 1, .. }), "{error}");
    for hash in ["", "ab", &DAY.to_uppercase()] {
        let header =
            crate::file::HeaderV1 { recording_sha256: hash.into(), program: "0".into(), created_utc_ms: 5 };
        let record = framed(&rmp_serde::to_vec_named(&header).unwrap()).unwrap();
        std::fs::write(&path, [&whole[..18], &record].concat()).unwrap();
        let error = read(&path).unwrap_err().to_string();
        assert!(error.contains("it names no recording"), "{hash}: {error}");
    }
}

#[test]
fn a_torn_end_is_saved_beside_earlier_ones_and_told_in_words() {
    let entries = relabels(3);
    let (folder, path) = written(&entries);
    let bytes = std::fs::read(&path).unwrap();
    let start = first_end(&entries, 2);
    std::fs::write(folder.path().join("day.edf.beatledger.torn-1"), b"an older one").unwrap();
    std::fs::write(&path, &bytes[..start + 5]).unwrap();
    let check = verify::ledger(&path).unwrap();
    assert!(!check.is_intact());
    let head = read_prefix(&path).unwrap().head_hash;
    assert_eq!(
        check.to_string(),
        format!(
            "2 entries hold; the 5 bytes from byte {start} on are a record that was cut short. Last hash {}..., recording \
             ba7816bf8f01....",
            &head[..12]
        )
    );
    let (_ledger, loaded) = Ledger::open(&path, DAY).unwrap();
    let saved = loaded.recovered.unwrap().saved_as.unwrap();
    assert!(saved.to_string_lossy().ends_with("day.edf.beatledger.torn-2"), "{saved:?}");
    assert_eq!(std::fs::read(saved).unwrap(), bytes[start..start + 5]);
    assert_eq!(std::fs::read(folder.path().join("day.edf.beatledger.torn-1")).unwrap(), b"an older one");
}

#[test]
fn a_ledger_that_something_else_made_meanwhile_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let path = path_for(&folder.path().join("day.edf"));
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    std::fs::write(&path, b"another").unwrap();
    let error = ledger.append(&relabels(1)[0]).unwrap_err();
    assert!(matches!(error, LedgerError::ChangedOutside { expected: 0, found: 7, .. }), "{error}");
    assert_eq!(std::fs::read(&path).unwrap(), b"another");
}

#[test]
fn an_edit_of_a_whole_day_of_beats_is_one_record_and_a_payload_is_read_to_its_last_byte() {
    let beats: Vec<i64> = (0..120_000).map(|i| 17 * i).collect();
    let entries = [entry(1, Action::Do(Edit::Relabel { beats, class: BeatClass::S }))];
    let (_folder, path) = written(&entries);
    assert_eq!(read(&path).unwrap().entries, entries);
    let (_folder, path) = written(&relabels(1));
    let (file, record) = (std::fs::read(&path).unwrap(), &relabels(1)[0]);
    let header = 18 + crate::frame::first(&file[18..]).unwrap().bytes;
    let before = crate::frame::link_of(crate::frame::first(&file[18..]).unwrap().payload);
    let record = RecordV1 { v: 1, program: "0.1.0".into(), before, entry: EntryV1::from(record) };
    let mut payload = rmp_serde::to_vec_named(&record).unwrap();
    payload.push(0xc0);
    std::fs::write(&path, [&file[..header], &framed(&payload).unwrap()].concat()).unwrap();
    let error = read(&path).unwrap_err().to_string();
    assert!(error.contains("1 bytes too many"), "{error}");
}
