//! What a reader says of ventricular flutter or fibrillation decides whether the beats inside stand.
//!
//! Beats every 800 ms, 60 of them. Waves were found from 10 000 to 16 000, which holds 7 beats (10 400 to 15 200; the
//! one at 16 000 is outside), and from 30 000 to 34 000, which holds 5 (30 400 to 33 600).

use super::*;
use crate::model::EventKind::{AtrialFibrillation, VentricularFibrillation, VentricularTachycardia};
use crate::model::Found;
use crate::rhythm::testing::made;

/// Beats that stand inside the first and the second stretch, and in all.
fn standing(edits: &[Edit]) -> [usize; 3] {
    let day = made(&"N".repeat(60), &[800]);
    let found = Found { ventricular_waves: vec![span(10_000, 16_000), span(30_000, 34_000)], ..day.found() };
    let (beats, _) = apply_beats(&day.recording, &found, &[], &numbered(edits));
    let inside = |s: Span| beats.iter().filter(|b| s.contains(b.sample)).count();
    [inside(span(10_000, 16_000)), inside(span(30_000, 34_000)), beats.len()]
}

fn no() -> Edit {
    drop_event(VentricularFibrillation, 10_000, 16_000)
}

fn yes() -> Edit {
    keep(VentricularFibrillation, 10_000, 16_000)
}

fn called(kind: EventKind, start: i64, end: i64) -> Edit {
    change((VentricularFibrillation, 10_000, 16_000), (kind, start, end))
}

#[test]
fn no_beat_stands_inside_until_a_reader_drops_it_and_then_in_that_stretch_alone() {
    assert_eq!(standing(&[]), [0, 0, 48]);
    assert_eq!(standing(&[no()]), [7, 0, 55]);
    assert_eq!(standing(&[drop_event(VentricularFibrillation, 31_000, 34_500)]), [0, 5, 53]);
    assert_eq!(standing(&[no(), drop_event(VentricularFibrillation, 30_000, 34_000)]), [7, 5, 60]);
}

#[test]
fn keeping_it_leaves_beats_out_and_what_is_said_last_stands() {
    assert_eq!(standing(&[yes()]), [0, 0, 48]);
    assert_eq!(standing(&[no(), yes()]), [0, 0, 48]);
    assert_eq!(standing(&[yes(), no()]), [7, 0, 55]);
    assert_eq!(standing(&[no(), yes(), no()]), [7, 0, 55]);
}

#[test]
fn calling_it_something_else_brings_its_beats_back_and_other_limits_do_not() {
    assert_eq!(standing(&[called(VentricularTachycardia, 10_000, 16_000)]), [7, 0, 55]);
    assert_eq!(standing(&[called(VentricularFibrillation, 10_300, 15_900)]), [0, 0, 48]);
}

#[test]
fn an_edit_of_another_kind_or_of_less_than_half_of_it_brings_nothing_back() {
    for edit in [
        drop_event(AtrialFibrillation, 10_000, 16_000),
        drop_event(VentricularTachycardia, 10_000, 16_000),
        change((AtrialFibrillation, 10_000, 16_000), (VentricularTachycardia, 10_000, 16_000)),
        drop_event(VentricularFibrillation, 4_000, 12_999),
        Edit::MarkRead { span: span(10_000, 16_000) },
    ] {
        assert_eq!(standing(std::slice::from_ref(&edit)), [0, 0, 48], "{}", edit.words());
    }
    assert_eq!(standing(&[drop_event(VentricularFibrillation, 4_000, 13_000)]), [7, 0, 55], "half of it");
}

/// A found beat inside is no target, and one that a reader puts there stands.
#[test]
fn inside_it_only_a_beat_that_a_reader_placed_stands() {
    let insert = Edit::InsertBeat { sample: 12_345, class: BeatClass::V };
    assert_eq!(standing(&[relabel(&[12_000], BeatClass::V), insert]), [1, 0, 49]);
    assert_eq!(standing(&[no(), Edit::RemoveBeats { beats: vec![12_000, 12_800] }]), [5, 0, 53]);
}
