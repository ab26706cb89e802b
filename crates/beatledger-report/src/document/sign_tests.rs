//! Who has read and signed, in the words of the first page, of the last page and of every foot.

use beatledger_core::model::{EventKind, EventState};
use beatledger_core::session::Snapshot;

use super::statement_tests::{report, section, signed};
use super::{Block, Report, ReportContext, SignOff, SignState, build};
use crate::made;

fn states(report: &Report) -> Vec<(bool, String, String)> {
    let blocks = report.sections.iter().flat_map(|s| &s.blocks);
    blocks
        .filter_map(|b| match b {
            Block::State { settled, text, detail } => Some((*settled, text.clone(), detail.clone())),
            _ => None,
        })
        .collect()
}

fn with_critical(states: &[EventState]) -> Snapshot {
    let mut snapshot = made::snapshot(&[]);
    let mut events = (*snapshot.events).clone();
    for state in states {
        let mut event = events[0].clone();
        (event.kind, event.critical, event.state) = (EventKind::VentricularTachycardia, true, *state);
        events.push(event);
    }
    snapshot.events = events.into();
    snapshot
}

/// A draft must not look finished while a finding that may kill lies unread.
#[test]
fn a_draft_says_how_many_critical_findings_nobody_has_read() {
    use EventState::{Changed, Dropped, Kept, Unread};
    let none = "A draft: nothing here counts as reviewed until a qualified clinician has signed it.";
    let one = "A draft: 1 event that must be read before signing has not been read.";
    let three = "A draft: 3 events that must be read before signing have not been read.";
    for (states, detail) in [
        (&[][..], none),
        (&[Kept, Changed, Dropped], none),
        (&[Unread], one),
        (&[Unread, Kept, Dropped], one),
        (&[Unread, Kept, Unread, Unread], three),
    ] {
        let report = report(&with_critical(states), SignState::NotSigned);
        let (settled, text, said) = &self::states(&report)[0];
        assert_eq!((*settled, text.as_str(), said.as_str()), (false, "Not signed", detail), "{states:?}");
    }
}

/// A signature that no longer covers the page must not comfort anybody.
#[test]
fn first_and_last_page_tell_signed_from_not_signed_and_from_changed_since() {
    let snapshot = with_critical(&[EventState::Kept]);
    let at = "A. Reader as cardiologist at 2024-03-05 01:53:20 +01:00";
    for (sign, settled, text, first, last) in [
        (
            SignState::NotSigned,
            false,
            "Not signed".to_owned(),
            "A draft: nothing here counts as reviewed until a qualified clinician has signed it.",
            "Nobody has taken responsibility for what is printed here.",
        ),
        (
            SignState::Signed(signed()),
            true,
            format!("Signed by {at}: reviewed and approved"),
            "Reviewed by the reader named above, who is responsible. 0 % of the recording was on the screen; 1 of 2 \
             events have an answer.",
            "The signature covers the recording and the ledger named below, as hashed.",
        ),
        (
            SignState::ChangedSince(signed()),
            false,
            format!("Changed since signing by {at}"),
            "The signature does not cover what is printed here. It must be reviewed and signed again.",
            "The signature covers an earlier state of the ledger, not this one.",
        ),
    ] {
        let report = report(&snapshot, sign);
        let expected = [first, last].map(|detail| (settled, text.clone(), detail.to_owned()));
        assert_eq!(states(&report), expected);
    }
}

/// A page that was prepared and that nobody read must not say that it was reviewed.
#[test]
fn what_was_prepared_is_no_review_and_the_page_says_how_much_was_read() {
    let prepared = SignOff { meaning: "prepared".to_owned(), ..signed() };
    let snapshot = with_critical(&[EventState::Kept, EventState::Unread]);
    let first = states(&report(&snapshot, SignState::Signed(prepared)))[0].2.clone();
    assert_eq!(
        first,
        "Signed as 'prepared': this is no review by a clinician. 0 % of the recording was on the screen; 1 of 3 events \
         have an answer."
    );
}

/// 21 CFR 11.50: name, time and meaning stand with the signature; the hashes say of what.
#[test]
fn the_sign_off_page_names_signer_program_time_and_both_hashes() {
    let snapshot = made::snapshot(&[]);
    let pairs = |sign: SignState| {
        let report = report(&snapshot, sign);
        let blocks = &section(&report, "Sign-off").unwrap().blocks;
        let pairs = blocks.iter().find_map(|b| if let Block::Pairs(p) = b { Some(p.clone()) } else { None });
        let pairs: Vec<String> = pairs.unwrap().iter().map(|(a, b)| format!("{a}: {b}")).collect();
        (pairs, report.authors)
    };
    // 1 709 700 000 s is 2024-03-06 04:40:00 UTC.
    let always =
        ["Report made: 2024-03-06 01:10:00 -03:30", "Program: beatledger 0.1.0", "Ledger entries: 17"];
    assert_eq!(pairs(SignState::NotSigned), (always.map(str::to_owned).to_vec(), vec![]));
    let mut with = vec![
        "Signed by: A. Reader",
        "Role: cardiologist",
        "Meaning: reviewed and approved",
        "Time of signature: 2024-03-05 01:53:20 +01:00",
    ];
    with.extend(always);
    assert_eq!(pairs(SignState::Signed(signed())).0, with);
    assert_eq!(
        pairs(SignState::ChangedSince(signed())),
        (with.iter().map(|s| (*s).to_owned()).collect(), vec!["A. Reader".to_owned()])
    );
    let hashes = |report: &Report| {
        let blocks = &section(report, "Sign-off").unwrap().blocks;
        let table = blocks.iter().find_map(|b| if let Block::Table(t) = b { Some(t.clone()) } else { None });
        table.unwrap().rows.iter().map(|r| r.cells.join(": ")).collect::<Vec<_>>()
    };
    let full = report(&snapshot, SignState::NotSigned);
    let (recording, ledger) = ("0123456789abcdef".repeat(4), "ab".repeat(32));
    assert_eq!(
        hashes(&full),
        [format!("Recording, SHA-256: {recording}"), format!("Ledger, last entry: {ledger}")]
    );
    assert_eq!(full.document_id, format!("{recording}/{ledger}/1709700000000"));
    assert_eq!((full.created_utc_ms, full.utc_offset_min), (1_709_700_000_000, -210));
    let bare = build(&made::empty(), &ReportContext::default());
    assert_eq!(
        hashes(&bare),
        ["Recording, SHA-256: none: made in memory", "Ledger, last entry: the ledger is empty"]
    );
    assert!(bare.foot.ends_with(" · no file hash · Not signed"), "{}", bare.foot);
}
