//! A write that fails and cannot be taken back: no entry may go on behind it.

use std::fs::File;

use crate::tests::{DAY, relabels, written};
use crate::{Ledger, LedgerError, read};

#[test]
fn after_a_write_that_could_not_be_taken_back_no_entry_is_taken_until_it_is_opened_again() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries[..1]);
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    let writable = ledger.file.replace(File::open(&path).unwrap()).unwrap();
    // A file that is open to read only takes neither bytes nor a cut.
    let error = ledger.append(&entries[1]).unwrap_err();
    assert!(matches!(error, LedgerError::LeftTorn { .. }), "{error}");
    ledger.file = Some(writable);
    let error = ledger.append(&entries[1]).unwrap_err();
    assert!(matches!(error, LedgerError::LeftTorn { .. }), "{error}");
    assert!(
        error.to_string().contains("no more edits are taken until the recording is opened again"),
        "{error}"
    );
    assert_eq!(read(&path).unwrap().entries, entries[..1]);
    drop(ledger);
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    ledger.append(&entries[1]).unwrap();
    assert_eq!(read(&path).unwrap().entries, entries);
}

#[test]
fn a_write_that_fails_and_is_taken_back_leaves_the_next_one_free() {
    let entries = relabels(2);
    let (_folder, path) = written(&entries[..1]);
    let (mut ledger, _) = Ledger::open(&path, DAY).unwrap();
    let head = ledger.head_hash().to_owned();
    let too_early = ledger.append(&crate::tests::relabels(3)[2]).unwrap_err();
    assert!(matches!(too_early, LedgerError::Sequence { expected: 2, found: 3 }), "{too_early}");
    assert_eq!((ledger.head_hash(), ledger.next_seq()), (head.as_str(), 2));
    ledger.append(&entries[1]).unwrap();
    assert_ne!(ledger.head_hash(), head);
}
