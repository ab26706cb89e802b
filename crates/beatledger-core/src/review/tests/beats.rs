//! Edits of beats. All days here have beats at 0, 700, 1150, 2300, 2820, 4100, 4900 and 5510, found N S N V N N F N;
//! beat `i` has confidence 1 / (1 + i) and group 3 + i.

use super::*;
use crate::model::Origin::{self, Found as ByProgram, Reader as ByReader};
use crate::model::{Beat, BeatClass::*};
use crate::rhythm::testing::{Made, made};

fn day() -> Made {
    made("NSNVNNFN", &[700, 450, 1150, 520, 1280, 800, 610])
}

/// Beats as they stand, and edits without a target, with `unreadable` time.
fn after_in(unreadable: &[Span], edits: &[Edit]) -> (Vec<Beat>, Vec<Orphan>) {
    let day = day();
    apply_beats(&day.recording, &day.found(), unreadable, &numbered(edits))
}

fn after(edits: &[Edit]) -> (Vec<Beat>, Vec<Orphan>) {
    after_in(&[], edits)
}

fn places(beats: &[Beat]) -> Vec<i64> {
    beats.iter().map(|b| b.sample).collect()
}

/// Class and origin of the one beat at `sample`.
fn at(beats: &[Beat], sample: i64) -> (BeatClass, Origin) {
    let here: Vec<_> = beats.iter().filter(|b| b.sample == sample).collect();
    assert_eq!(here.len(), 1, "one beat at {sample}");
    (here[0].class, here[0].origin)
}

fn insert(sample: i64, class: BeatClass) -> Edit {
    Edit::InsertBeat { sample, class }
}

fn remove(beats: &[i64]) -> Edit {
    Edit::RemoveBeats { beats: beats.to_vec() }
}

fn shift(from: i64, to: i64) -> Edit {
    Edit::MoveBeat { from, to }
}

#[test]
fn without_an_edit_beats_stand_as_they_were_found() {
    for edits in [vec![], vec![Edit::MarkRead { span: span(0, 5000) }]] {
        let (beats, orphans) = after(&edits);
        let letters: String = beats.iter().map(|b| b.class.letter()).collect();
        assert_eq!(letters, "NSNVNNFN");
        assert_eq!(places(&beats), [0, 700, 1150, 2300, 2820, 4100, 4900, 5510]);
        assert!(beats.iter().all(|b| b.origin == ByProgram && b.class_found == Some(b.class)));
        assert_eq!((beats[3].confidence, beats[3].group), (0.25, 6));
        assert!(orphans.is_empty());
    }
}

#[test]
fn a_new_label_goes_to_the_named_beats_alone_and_what_was_found_is_kept_beside_it() {
    let (beats, orphans) = after(&[relabel(&[700, 2820], V)]);
    let letters: String = beats.iter().map(|b| b.class.letter()).collect();
    assert_eq!(letters, "NVNVVNFN");
    let by_reader: Vec<_> = beats.iter().filter(|b| b.origin == ByReader).map(|b| b.sample).collect();
    assert_eq!(by_reader, [700, 2820]);
    assert_eq!((beats[1].class_found, beats[4].class_found), (Some(S), Some(N)));
    assert_eq!((beats[4].confidence, beats[4].group), (0.2, 7));
    assert!(orphans.is_empty());
}

/// A label that is the same as the one found is a reader's word all the same.
#[test]
fn a_label_that_confirms_the_found_one_is_the_readers() {
    assert_eq!(at(&after(&[relabel(&[2300], V)]).0, 2300), (V, ByReader));
}

#[test]
fn targets_that_are_not_there_are_counted_and_the_others_are_labelled() {
    let (beats, orphans) = after(&[relabel(&[2300], S), relabel(&[699, 1150, 5511], Q)]);
    assert_eq!(told(&orphans), [(11, "3 beats labelled Q", 2)]);
    assert_eq!(at(&beats, 1150), (Q, ByReader));
    assert_eq!(at(&beats, 700), (S, ByProgram), "one sample beside it is not it");
    assert_eq!(at(&beats, 5510), (N, ByProgram));
}

/// Two beats one sample apart: the one that is named is meant.
#[test]
fn of_two_beats_side_by_side_the_named_one_is_labelled_removed_and_moved() {
    let day = made("NNNN", &[900, 1, 1100]);
    let stand = |edit| apply_beats(&day.recording, &day.found(), &[], &numbered(&[edit])).0;
    let labelled = stand(relabel(&[901], V));
    assert_eq!((labelled[1].class, labelled[2].class), (N, V));
    assert_eq!(places(&stand(remove(&[900]))), [0, 901, 2001]);
    assert_eq!(places(&stand(shift(901, 1300))), [0, 900, 1300, 2001]);
}

#[test]
fn of_two_labels_the_later_one_stands() {
    assert_eq!(at(&after(&[relabel(&[4100, 700], V), relabel(&[4100], S)]).0, 4100), (S, ByReader));
    assert_eq!(at(&after(&[relabel(&[4100], S), relabel(&[4100, 700], V)]).0, 4100), (V, ByReader));
}

#[test]
fn removed_beats_are_gone_and_cannot_be_hit_again() {
    let edits = [remove(&[1150, 4100]), remove(&[1150, 2820, 3]), relabel(&[4100], V), shift(1150, 1160)];
    let (beats, orphans) = after(&edits);
    assert_eq!(places(&beats), [0, 700, 2300, 4900, 5510]);
    assert_eq!(
        told(&orphans),
        [(11, "3 beats removed", 2), (15, "1 beat labelled V", 1), (19, "beat moved", 1)]
    );
}

#[test]
fn an_inserted_beat_stands_in_its_place_as_the_readers_and_was_never_found() {
    let (beats, orphans) = after(&[insert(3333, V), insert(350, S)]);
    assert_eq!(places(&beats), [0, 350, 700, 1150, 2300, 2820, 3333, 4100, 4900, 5510]);
    assert_eq!((at(&beats, 350), at(&beats, 3333)), ((S, ByReader), (V, ByReader)));
    assert_eq!((beats[6].class_found, beats[6].group, beats[6].confidence), (None, Beat::NO_GROUP, 1.0));
    assert!(orphans.is_empty());
}

/// The recording has samples 0 to 5510.
#[test]
fn no_beat_is_inserted_where_one_stands_or_outside_the_recording() {
    let (beats, orphans) = after(&[insert(700, V), insert(-1, Q), insert(5511, F)]);
    assert_eq!(places(&beats), [0, 700, 1150, 2300, 2820, 4100, 4900, 5510]);
    assert_eq!(at(&beats, 700), (S, ByProgram));
    let words = ["beat V inserted", "beat Q inserted", "beat F inserted"];
    assert_eq!(told(&orphans), [(7, words[0], 1), (11, words[1], 1), (15, words[2], 1)]);
}

#[test]
fn a_beat_may_be_inserted_where_one_was_removed_and_of_two_insertions_the_later_stands() {
    let (beats, orphans) = after(&[remove(&[700]), insert(700, F), insert(3333, V), insert(3333, S)]);
    assert_eq!(places(&beats), [0, 700, 1150, 2300, 2820, 3333, 4100, 4900, 5510]);
    assert_eq!((at(&beats, 700), at(&beats, 3333)), ((F, ByReader), (S, ByReader)));
    assert!(orphans.is_empty());
}

#[test]
fn an_inserted_beat_can_be_labelled_moved_and_removed() {
    let place = insert(3333, V);
    assert_eq!(at(&after(&[place.clone(), relabel(&[3333], Q)]).0, 3333), (Q, ByReader));
    let (moved, orphans) = after(&[place.clone(), shift(3333, 3300), relabel(&[3333], S)]);
    assert_eq!(at(&moved, 3300), (V, ByReader));
    assert_eq!((moved.len(), told(&orphans)), (9, vec![(15, "1 beat labelled S", 1)]));
    let (gone, orphans) = after(&[place, remove(&[3333])]);
    assert_eq!((gone.len(), orphans.len()), (8, 0));
}

#[test]
fn a_moved_beat_is_the_readers_and_keeps_what_else_was_found_of_it() {
    let (beats, orphans) = after(&[shift(2300, 2260)]);
    assert_eq!(places(&beats), [0, 700, 1150, 2260, 2820, 4100, 4900, 5510]);
    assert_eq!(at(&beats, 2260), (V, ByReader));
    assert_eq!(
        (beats[3].class_found, beats[3].confidence, beats[3].group),
        (Some(V), 0.25, 6),
        "facts of the beat that was at 2300"
    );
    assert!(beats[3].is_changed() && !beats[2].is_changed());
    assert!(orphans.is_empty());
}

#[test]
fn a_beat_moved_past_another_stands_behind_it_and_a_second_move_starts_where_it_is() {
    let (beats, orphans) = after(&[shift(2300, 3000), shift(3000, 4500), shift(2300, 2310)]);
    assert_eq!(places(&beats), [0, 700, 1150, 2820, 4100, 4500, 4900, 5510]);
    assert_eq!(at(&beats, 4500), (V, ByReader));
    assert_eq!(told(&orphans), [(15, "beat moved", 1)], "nothing is left at 2300");
}

#[test]
fn nothing_is_moved_from_where_no_beat_is() {
    let (beats, orphans) = after(&[shift(701, 800)]);
    assert_eq!(places(&beats), [0, 700, 1150, 2300, 2820, 4100, 4900, 5510]);
    assert_eq!(told(&orphans), [(7, "beat moved", 1)]);
}

/// Unreadable from 1150 to 2820: its end is outside.
#[test]
fn a_beat_in_unreadable_time_is_no_target_and_one_that_a_reader_puts_there_stands() {
    let hole = [span(1150, 2820)];
    let edits = [relabel(&[1150, 2300, 2820], S), remove(&[1150]), shift(2300, 3000), insert(2300, V)];
    let (beats, orphans) = after_in(&hole, &edits);
    assert_eq!(places(&beats), [0, 700, 2300, 2820, 4100, 4900, 5510]);
    assert_eq!((at(&beats, 2300), at(&beats, 2820)), ((V, ByReader), (S, ByReader)));
    assert_eq!(
        told(&orphans),
        [(7, "3 beats labelled S", 2), (11, "1 beat removed", 1), (15, "beat moved", 1)]
    );
}
