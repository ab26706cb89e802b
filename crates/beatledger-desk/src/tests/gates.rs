//! Nothing is signed while an event that must be read is unread: the sheet, the desk and the writing of the files
//! each refuse on their own, for each kind of such an event, and each lets through what was kept or dropped.

use beatledger_core::model::{EventKind, Span};
use beatledger_core::review::Edit;

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::commands::table::Command;
use crate::outside::signed_folder;

/// A run of four V beats from 8700 to 10200 ms.
fn ventricular_tachycardia() -> Day {
    mixed_day()
}

/// Waves without beats from 10 to 18 s.
fn ventricular_fibrillation() -> Day {
    let mut day = day(&"N".repeat(40), &[800]);
    day.found.ventricular_waves = vec![Span::new(10_000, 18_000)];
    day
}

/// 150 beats whose intervals wander over 420 to 915 ms and foretell nothing.
fn atrial_fibrillation() -> Day {
    // A linear congruence modulo the prime 97 (multiplier 39, a primitive root) repeats only after 96 steps.
    let mut x = 1;
    let mut next = || {
        x = x * 39 % 97;
        420 + 5 * x + 15
    };
    let rr: Vec<i64> = (0..149).map(|_| next()).collect();
    day(&"N".repeat(150), &rr)
}

/// An interval of 3.5 s from the beat at 8200 ms to the one at 11700 ms.
fn pause() -> Day {
    day(&"N".repeat(24), &[[800; 9].as_slice(), &[3500], &[800]].concat())
}

/// The one event of the day that must be read.
fn unread(bench: &Bench) -> (usize, EventKind, Span) {
    let snapshot = bench.desk().snapshot().unwrap();
    let unread = snapshot.unread_critical();
    assert_eq!(unread.len(), 1, "{:?}", snapshot.events);
    let event = &snapshot.events[unread[0]];
    (unread[0], event.kind, event.span)
}

/// Keeps or drops the event that must be read.
fn read(bench: &mut Bench, command: Command) {
    let (index, ..) = unread(bench);
    bench.act(Act::Event(index)).act(Act::Run(command));
    assert!(bench.desk().snapshot().unwrap().unread_critical().is_empty());
}

const BUTTON: &str = "Sign the summary as it stands";

fn the_sheet_waits(day: &Day, words: &str) {
    for command in [Command::KeepEvent, Command::DropEvent] {
        let mut bench = day.clone().on_the_desk();
        bench.ctrl(Key::Enter);
        assert!(bench.shows("Not yet: 1 critical event must be read first."));
        assert!(bench.shows(&format!("Go to {words} at 21:30:")));
        assert!(bench.harness.query_by_label(BUTTON).is_none());
        bench.key(Key::Escape);
        read(&mut bench, command);
        bench.ctrl(Key::Enter);
        assert!(!bench.shows("must be read first"));
        assert!(bench.harness.query_by_label(BUTTON).is_some());
    }
}

fn the_desk_refuses(day: &Day) {
    for command in [Command::KeepEvent, Command::DropEvent] {
        let pen = Pen::default();
        let mut bench = day.clone().signed_with(pen.clone());
        bench.act(Act::Sign(request()));
        assert_eq!(pen.times(), 0, "nothing is handed to sign-off");
        assert_eq!(
            bench.desk().notice().words,
            "Not signed: 1 critical event must be kept or dropped first."
        );
        assert!(bench.desk().notice().wrong);
        assert!(bench.desk().snapshot().unwrap().fold.signed.is_none());
        read(&mut bench, command);
        bench.act(Act::Sign(request()));
        assert_eq!(pen.times(), 1);
        assert_eq!(bench.desk().notice().words, "Signed into memory");
        assert!(bench.desk().snapshot().unwrap().fold.signed.is_some());
    }
}

fn the_files_are_not_written(day: &Day, kind: EventKind, span: Span) {
    for edit in [Edit::KeepEvent { kind, span }, Edit::DropEvent { kind, span }] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("day.edf");
        let files = || std::fs::read_dir(folder.path()).unwrap().count();
        let sign = |entries: &[beatledger_core::review::Entry]| {
            in_ledger(&path, entries);
            signed_folder::write_signed(&request(), &stamp(), &day.snapshot(entries), entries, Some(&path))
        };
        let refused = sign(&[]).unwrap_err().to_string();
        assert!(refused.starts_with("1 critical event must be kept or dropped first"), "{refused}");
        assert_eq!(files(), 0, "nothing is left behind");
        let signed = sign(&[entry(1, edit)]).unwrap();
        assert_eq!(files(), 2, "the folder beside the ledger: {}", signed.words);
        assert_eq!(signed.signature.role, "physician");
    }
}

/// Three tests for a kind, one at each gate; `$span` is worked out by hand where the limits are known to the sample.
macro_rules! gates {
    ($name:ident, $kind:ident, $words:literal, $span:expr) => {
        mod $name {
            use super::*;

            fn the_event() -> (Day, Span) {
                let day = super::$name();
                let (_, kind, span) = unread(&day.clone().on_the_desk());
                assert_eq!(kind, EventKind::$kind);
                let by_hand: Option<Span> = $span;
                assert_eq!(span, by_hand.unwrap_or(span));
                (day, span)
            }

            #[test]
            fn makes_the_sheet_wait() {
                the_sheet_waits(&the_event().0, $words);
            }

            #[test]
            fn is_refused_by_the_desk() {
                the_desk_refuses(&the_event().0);
            }

            #[test]
            fn lets_no_file_be_written() {
                let (day, span) = the_event();
                the_files_are_not_written(&day, EventKind::$kind, span);
            }
        }
    };
}

gates!(
    ventricular_tachycardia,
    VentricularTachycardia,
    "Ventricular tachycardia",
    Some(Span::new(8700, 10_201))
);
gates!(
    ventricular_fibrillation,
    VentricularFibrillation,
    "VF/VFL candidate",
    Some(Span::new(10_000, 18_000))
);
gates!(atrial_fibrillation, AtrialFibrillation, "Atrial fibrillation", None);
gates!(pause, Pause, "Pause", Some(Span::new(8200, 11_701)));

#[test]
fn one_event_read_of_two_is_not_enough_at_any_gate() {
    let rr = [[800; 9].as_slice(), &[3500], &[800; 6], &[4000], &[800]].concat();
    let day = day(&"N".repeat(24), &rr);
    let (first, second) = (Span::new(8200, 11_701), Span::new(16_500, 20_501));
    let kind = EventKind::Pause;
    let keep_first = Edit::KeepEvent { kind, span: first };
    let pen = Pen::default();
    let mut bench = day.clone().signed_with(pen.clone());
    bench.ctrl(Key::Enter);
    assert!(bench.shows("Not yet: 2 critical events must be read first."));
    bench.key(Key::Escape).edit(keep_first.clone()).ctrl(Key::Enter);
    assert!(bench.shows("Not yet: 1 critical event must be read first."));
    bench.act(Act::Sign(request()));
    assert_eq!(pen.times(), 0);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf");
    let entries = [entry(1, keep_first), entry(2, Edit::DropEvent { kind, span: second })];
    for (n, may) in [(1, false), (2, true)] {
        in_ledger(&path, &entries[..n]);
        let signed = signed_folder::write_signed(
            &request(),
            &stamp(),
            &day.snapshot(&entries[..n]),
            &entries[..n],
            Some(&path),
        );
        assert_eq!(signed.is_ok(), may, "{n} of 2 are read");
    }
}

#[test]
fn an_event_whose_keeping_is_taken_back_must_be_read_again() {
    let pen = Pen::default();
    let mut bench = pause().signed_with(pen.clone());
    read(&mut bench, Command::KeepEvent);
    bench.ctrl(Key::Z).act(Act::Sign(request()));
    assert_eq!(pen.times(), 0);
    bench.ctrl(Key::Enter);
    assert!(bench.harness.query_by_label(BUTTON).is_none());
}
