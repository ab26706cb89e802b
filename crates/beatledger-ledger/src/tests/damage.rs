//! Tests of damage: files cut short, bits flipped, histories mixed, a full disk.

use std::io;
use std::path::Path;

use super::{DAY, first_end, names_in, relabels, written};
use crate::frame::Break;
use crate::ledger::{Store, put_or_undo};
use crate::{Ledger, LedgerError, read, read_prefix, verify};

#[test]
fn a_file_cut_at_any_byte_of_its_last_two_records_opens_with_the_entries_before() {
    let entries = relabels(4);
    let (folder, path) = written(&entries);
    let whole = std::fs::read(&path).unwrap();
    let ends: Vec<usize> = (2..=4)
        .map(|n| {
            let (_folder, shorter) = written(&entries[..n]);
            std::fs::metadata(shorter).unwrap().len() as usize
        })
        .collect();
    for cut in ends[0]..whole.len() {
        std::fs::write(&path, &whole[..cut]).unwrap();
        let kept = if cut < ends[1] { 2 } else { 3 };
        let (mut ledger, loaded) = Ledger::open(&path, DAY).unwrap();
        assert_eq!(loaded.entries, entries[..kept], "cut at {cut}");
        let start = ends[kept - 2];
        match loaded.recovered {
            None => assert_eq!(cut, start),
            Some(torn) => {
                assert_eq!((torn.at, torn.bytes), (start as u64, (cut - start) as u64));
                let saved = torn.saved_as.unwrap();
                assert_eq!(std::fs::read(&saved).unwrap(), whole[start..cut]);
                assert!(saved.to_string_lossy().ends_with("day.edf.beatledger.torn-1"));
                std::fs::remove_file(saved).unwrap();
            }
        }
        ledger.append(&entries[kept]).unwrap();
        drop(ledger);
        assert_eq!(read(&path).unwrap().entries, entries[..=kept]);
    }
    assert_eq!(names_in(folder.path()), ["day.edf.beatledger"]);
}

#[test]
fn one_flipped_bit_anywhere_is_noticed_and_says_where() {
    let entries = relabels(3);
    let (_folder, path) = written(&entries);
    let whole = std::fs::read(&path).unwrap();
    let starts = [first_record(&whole), first_end(&entries, 1), first_end(&entries, 2)];
    for at in 0..whole.len() {
        let mut damaged = whole.clone();
        damaged[at] ^= 1 << (at % 8);
        std::fs::write(&path, &damaged).unwrap();
        let result = read_prefix(&path);
        if at < starts[0] {
            let refused = matches!(result, Err(LedgerError::Header { .. } | LedgerError::NewerFile { .. }));
            assert!(refused, "byte {at}: {result:?}");
            continue;
        }
        let n = starts.iter().rposition(|s| *s <= at).unwrap();
        let contents = result.unwrap();
        assert_eq!(contents.entries, entries[..n], "byte {at}");
        // In the last record too: a whole record that is wrong is damage and is never cut off.
        let byte = match (&contents.broken, &contents.torn) {
            (Some(at), None) => at.byte,
            other => panic!("byte {at}: {other:?}"),
        };
        assert_eq!(byte, starts[n] as u64);
    }
}

/// Where the first record starts: after magic, version and the header's record.
fn first_record(file: &[u8]) -> usize {
    18 + crate::frame::first(&file[18..]).unwrap().bytes
}

#[test]
fn a_break_in_the_middle_is_refused_with_its_place_and_touches_nothing() {
    let entries = relabels(3);
    let (folder, path) = written(&entries);
    let mut bytes = std::fs::read(&path).unwrap();
    let second = first_end(&entries, 1);
    bytes[second + 40] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    let error = Ledger::open(&path, DAY).unwrap_err();
    assert!(
        matches!(&error, LedgerError::Broken { at: Break { seq: 2, byte, .. }, .. } if *byte == second as u64)
    );
    assert!(error.to_string().starts_with(&format!("the ledger is broken at entry 2, byte {second}: ")));
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
    assert_eq!(read_prefix(&path).unwrap().entries, entries[..1]);
    let check = verify::ledger(&path).unwrap();
    assert!(!check.is_intact());
    assert!(check.to_string().starts_with("Not intact: the ledger is broken at entry 2"));
    assert_eq!(names_in(folder.path()), ["day.edf.beatledger"]);
}

#[test]
fn an_entry_left_out_or_put_in_from_another_history_breaks_the_chain() {
    let entries = relabels(3);
    let (_folder, path) = written(&entries);
    let whole = std::fs::read(&path).unwrap();
    let (one, two) = (first_end(&entries, 1), first_end(&entries, 2));
    std::fs::write(&path, [&whole[..one], &whole[two..]].concat()).unwrap();
    assert_eq!(read_prefix(&path).unwrap().broken.map(|b| b.seq), Some(2));

    let mut others = relabels(3);
    others[0].reader = "B. Reader".into();
    let (_other_folder, other) = written(&others);
    let other = std::fs::read(other).unwrap();
    std::fs::write(&path, [&whole[..one], &other[one..]].concat()).unwrap();
    let broken = read_prefix(&path).unwrap().broken.unwrap();
    assert_eq!((broken.seq, broken.byte), (2, one as u64));
    assert!(broken.why.contains("does not follow"));
}

/// A disk that takes only some of what is written.
struct FullDisk {
    bytes: Vec<u8>,
    room: usize,
    can_cut: bool,
}

impl Store for FullDisk {
    fn put(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.bytes.truncate(at as usize);
        let fits = bytes.len().min(self.room - self.bytes.len());
        self.bytes.extend_from_slice(&bytes[..fits]);
        if fits < bytes.len() { Err(io::ErrorKind::StorageFull.into()) } else { Ok(()) }
    }

    fn cut(&mut self, bytes: u64) -> io::Result<()> {
        if !self.can_cut {
            return Err(io::ErrorKind::Other.into());
        }
        self.bytes.truncate(bytes as usize);
        Ok(())
    }
}

#[test]
fn a_full_disk_leaves_the_ledger_as_it_was_and_says_so() {
    let mut disk = FullDisk { bytes: b"whole".to_vec(), room: 8, can_cut: true };
    let error = put_or_undo(&mut disk, 5, b"record", Path::new("day.beatledger")).unwrap_err();
    assert!(error.to_string().starts_with("the edit was not saved and the ledger is as before"));
    assert_eq!(disk.bytes, b"whole");
    disk.can_cut = false;
    let error = put_or_undo(&mut disk, 5, b"record", Path::new("day.beatledger")).unwrap_err();
    assert!(matches!(error, LedgerError::LeftTorn { .. }));
}

#[test]
fn a_ledger_changed_by_something_else_takes_no_more_entries() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries[..1]);
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    bytes.push(0);
    std::fs::write(&path, &bytes).unwrap();
    assert!(matches!(ledger.append(&entries[1]), Err(LedgerError::ChangedOutside { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

#[test]
fn a_ledger_that_was_removed_or_replaced_takes_no_more_entries_and_is_not_made_anew() {
    let entries = relabels(2);
    let (folder, path) = written(&entries[..1]);
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    let bytes = std::fs::read(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    assert!(matches!(ledger.append(&entries[1]), Err(LedgerError::Gone { .. })));
    assert_eq!(names_in(folder.path()), ["day.edf.beatledger.lock"]);
    // The same bytes in another file.
    std::fs::write(&path, &bytes).unwrap();
    assert!(matches!(ledger.append(&entries[1]), Err(LedgerError::Gone { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
}

#[test]
fn a_tail_in_which_every_place_looks_like_a_record_is_read_in_no_time() {
    let entries = relabels(1);
    let (_folder, path) = written(&entries);
    let mut bytes = std::fs::read(&path).unwrap();
    // Heads of records of 2 MB, one after another: summing each would take the square of the file.
    let head = [2_000_000u32.to_le_bytes(), (!2_000_000u32).to_le_bytes(), [0; 4]].concat();
    bytes.extend(head.repeat(4_000_000 / head.len()));
    std::fs::write(&path, &bytes).unwrap();
    let contents = read_prefix(&path).unwrap();
    assert_eq!((contents.entries.len(), contents.broken.map(|b| b.seq)), (1, Some(2)));
}

#[test]
fn a_tail_that_the_disk_never_filled_is_torn_and_a_wrong_one_is_damage() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries);
    let whole = std::fs::read(&path).unwrap();
    let second = first_end(&entries, 1);
    let mut never_filled = whole.clone();
    let half = second + (whole.len() - second) / 2;
    never_filled[half..].fill(0);
    std::fs::write(&path, &never_filled).unwrap();
    let contents = read_prefix(&path).unwrap();
    assert_eq!((contents.torn.map(|t| t.at), contents.broken), (Some(second as u64), None));
    let mut wrong = whole.clone();
    wrong[half] ^= 1;
    std::fs::write(&path, &wrong).unwrap();
    assert!(matches!(Ledger::open(&path, DAY), Err(LedgerError::Broken { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), wrong, "nothing was cut off");
}

#[test]
fn a_file_that_is_no_ledger_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf.beatledger");
    for bytes in [&b""[..], b"0       a day in EDF", &[0xff; 400]] {
        std::fs::write(&path, bytes).unwrap();
        assert!(matches!(Ledger::open(&path, DAY), Err(LedgerError::Header { .. })));
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
    }
}
