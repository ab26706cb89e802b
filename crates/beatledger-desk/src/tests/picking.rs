//! Which beats and which span a choice takes, to the sample: spans start with their first sample and end before their
//! end, whatever chose them.

use beatledger_core::model::{EventKind, FigureId, Span};
use beatledger_core::review::Edit;

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::app::lookup;
use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::paint::theme::LIGHT;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick;

/// What a view asks for when `choose` is called on the mixed day.
fn asked(day: &Day, choose: impl FnOnce(&mut ViewContext<'_>)) -> Vec<Act> {
    let (snapshot, selection, mut acts) = (day.snapshot(&[]), Selection::default(), Vec::new());
    let view = &mut ViewContext {
        snapshot: &snapshot,
        selection: &selection,
        place: 0,
        theme: &LIGHT,
        acts: &mut acts,
    };
    choose(view);
    acts
}

/// Spans around the beats at 1800, 2600 and 3200 ms, and the beats that each holds.
const SPANS: [(i64, i64, &[i64]); 8] = [
    (1800, 3200, &[1800, 2600]),
    (1801, 3200, &[2600]),
    (1800, 3201, &[1800, 2600, 3200]),
    (1799, 2600, &[1800]),
    (2600, 2601, &[2600]),
    (2601, 3200, &[]),
    (0, 1000, &[]),
    (13_500, 14_500, &[13_500]),
];

#[test]
fn a_span_holds_its_first_sample_and_not_its_end() {
    let day = mixed_day();
    let snapshot = day.snapshot(&[]);
    let all = Selection::of_beats(snapshot.beats.iter().map(|b| b.sample).collect(), "all");
    for (start, end, beats) in SPANS {
        let span = Span::new(start, end);
        assert_eq!(lookup::beats_in(&snapshot, span), beats, "{span:?}");
        assert_eq!(all.within(span), beats, "{span:?}");
        let picked = &snapshot.beats[pick::beats_in(&snapshot.beats, span)];
        assert_eq!(picked.iter().map(|b| b.sample).collect::<Vec<_>>(), beats, "{span:?}");
        let acts = asked(&day, |view| pick::select_span(view, span, false));
        let Act::Select { selection, go: false } = &acts[0] else { panic!("{acts:?}") };
        assert_eq!((selection.beats.as_slice(), selection.span), (beats, Some(span)));
        assert_eq!(acts[1..], [Act::GoTo(start)]);
    }
    assert_eq!(pick::beats_in(&snapshot.beats, Span::new(1800, 1800)), 1..1);
    assert!(asked(&day, |view| pick::select_span(view, Span::new(1800, 1800), false)).is_empty());
}

#[test]
fn a_selected_span_says_the_seconds_of_its_first_and_its_last_sample() {
    let acts = asked(&mixed_day(), |view| pick::select_span(view, Span::new(2000, 5000), false));
    let Act::Select { selection, .. } = &acts[0] else { panic!("{acts:?}") };
    assert_eq!(selection.words, "21:30:02 to 21:30:04");
}

#[test]
fn the_nearest_beat_is_the_earlier_one_of_two_that_are_equally_near() {
    let beats = mixed_day().snapshot(&[]).beats;
    for (place, at) in
        [(0, 0), (1000, 0), (1400, 0), (1401, 1), (2199, 1), (2200, 1), (2201, 2), (14_400, 17)]
    {
        assert_eq!(pick::nearest_beat(&beats, place), Some(at), "{place}");
    }
    assert_eq!(pick::nearest_beat(&[], 100), None);
}

#[test]
fn a_click_takes_a_beat_up_to_one_and_a_half_seconds_away_and_else_the_place_alone() {
    let day = day("NNNN", &[800, 800, 6000]);
    for (place, beat) in
        [(2600, Some(2600)), (4100, Some(2600)), (4101, None), (7099, None), (7100, Some(8600))]
    {
        let acts = asked(&day, |view| pick::select_beat(view, place, false));
        match beat {
            Some(beat) => {
                let Act::Select { selection, go: false } = &acts[0] else { panic!("{place}: {acts:?}") };
                assert_eq!((selection.beats.as_slice(), selection.span), ([beat].as_slice(), None));
                assert_eq!(acts[1..], [Act::GoTo(beat)]);
            }
            None => assert_eq!(acts, [Act::GoTo(place)]),
        }
    }
    assert_eq!(asked(&day, |view| pick::select_beat(view, 99_000, false)), [Act::GoTo(9599)]);
}

#[test]
fn what_is_added_joins_the_beats_that_were_selected_once_each() {
    let old = Selection::of_beats(vec![2600, 1000], "two");
    let both = pick::chosen(&old, true, vec![1800, 2600], Some(Span::new(1700, 2700)), "a span".into());
    assert_eq!((both.beats.as_slice(), both.span), ([1000, 1800, 2600].as_slice(), None));
    let new = pick::chosen(&Selection::default(), true, vec![1800], Some(Span::new(1700, 1900)), "x".into());
    assert_eq!((new.beats.as_slice(), new.span), ([1800].as_slice(), Some(Span::new(1700, 1900))));
}

#[test]
fn a_selection_knows_its_first_sample_and_what_it_holds() {
    let selection = Selection::of_beats(vec![2600, 1000, 2600], "x");
    assert_eq!((selection.beats.as_slice(), selection.first()), ([1000, 2600].as_slice(), Some(1000)));
    assert!(selection.contains(2600) && !selection.contains(2599) && !selection.contains(2601));
    let event = Selection { event: Some((EventKind::Pause, Span::new(7, 9))), ..Selection::default() };
    assert!(!event.is_empty() && !Selection::of_span(Span::new(3, 5), "").is_empty());
    assert_eq!((event.first(), Selection::of_span(Span::new(3, 5), "").first()), (Some(7), Some(3)));
    assert!(Selection { words: "nothing".into(), ..Selection::default() }.is_empty());
}

#[test]
fn an_event_selects_its_first_and_its_last_beat_and_none_beyond() {
    let mut bench = mixed_day().on_the_desk();
    let run = |e: &beatledger_core::model::Event| e.kind == EventKind::VentricularTachycardia;
    let at = bench.desk().snapshot().unwrap().events.iter().position(run).unwrap();
    bench.act(Act::Event(at));
    assert_eq!(bench.selected(), [8700, 9200, 9700, 10_200]);
    let selection = bench.desk().selection().clone();
    assert_eq!(selection.span, Some(Span::new(8700, 10_201)));
    assert_eq!(selection.event, Some((EventKind::VentricularTachycardia, Span::new(8700, 10_201))));
    assert_eq!(selection.words, "Ventricular tachycardia at 21:30:08");
    assert_eq!(bench.desk().place(), 8700);
    bench.act(Act::Find("runs".into()));
    assert_eq!(bench.selected(), [8700, 9200, 9700, 10_200]);
    bench.act(Act::Ask(FigureId::VRuns));
    assert_eq!(bench.selected(), [8700, 9200, 9700, 10_200]);
}

#[test]
fn a_figure_selects_exactly_the_beats_that_it_counts() {
    let mut bench = mixed_day().on_the_desk();
    for (key, beats) in [
        (FigureId::VBeats, &[3200, 8700, 9200, 9700, 10_200][..]),
        (FigureId::VSingles, &[3200]),
        (FigureId::SBeats, &[5600]),
    ] {
        bench.act(Act::Ask(key));
        assert_eq!(bench.selected(), beats, "{key}");
        assert_eq!(bench.desk().place(), beats[0], "{key}");
    }
    assert_eq!(bench.desk().notice().words, "Supraventricular ectopic beats: 1 beat selected");
    bench.act(Act::Ask(FigureId::BeatsTotal));
    assert_eq!(bench.selected().len(), 18);
    bench.act(Act::Ask(FigureId::FBeats));
    assert_eq!(bench.desk().notice().words, "Fusion beats: there is no such beat.");
    assert_eq!(bench.selected().len(), 18, "what was selected stays");
    bench.act(Act::Ask(FigureId::VCouplets));
    assert_eq!(bench.desk().notice().words, "Ventricular couplets: there is no such event.");
    bench.act(Act::Ask(FigureId::WornH));
    assert_eq!(bench.desk().selection().span, Some(Span::new(0, 14_500)));
}

#[test]
fn a_label_for_a_span_reaches_the_beats_inside_and_no_other() {
    let mut bench = mixed_day().on_the_desk();
    bench.select_span(1800, 4200).key(Key::F);
    assert_eq!(bench.letters(), "NNNVNNSNNNVVVVNNNN", "three F in a row are a run: a yes is wanted");
    bench.yes();
    assert_eq!(bench.letters(), "NFFFNNSNNNVVVVNNNN");
    assert_eq!(bench.desk().notice().words, "3 beats labelled F; makes 1 idioventricular run");
}

#[test]
fn an_event_added_on_beats_runs_from_the_first_to_one_past_the_last() {
    let mut bench = mixed_day().on_the_desk();
    bench.select(&[1800, 2600, 3200]).key(Key::A).click("Atrial flutter");
    let snapshot = bench.desk().snapshot().unwrap();
    let added = snapshot.events.iter().find(|e| e.kind == EventKind::AtrialFlutter).unwrap();
    assert_eq!((added.span, added.beats), (Span::new(1800, 3201), (1, 4)));
    bench.select(&[1800, 2600]).act(Act::Run(Command::MarkRead));
    assert_eq!(*bench.desk().snapshot().unwrap().read, [Span::new(1800, 2601)]);
}

#[test]
fn beats_are_walked_one_by_one_to_either_end() {
    let mut bench = mixed_day().on_the_desk();
    bench.act(Act::GoTo(12_000));
    for at in [12_700, 13_500] {
        bench.key(Key::ArrowRight);
        assert_eq!((bench.selected(), bench.desk().place()), (vec![at], at));
    }
    bench.key(Key::ArrowRight);
    assert_eq!(bench.desk().notice().words, "That is the last beat.");
    bench.act(Act::GoTo(2600));
    for at in [1800, 1000] {
        bench.key(Key::ArrowLeft);
        assert_eq!((bench.selected(), bench.desk().place()), (vec![at], at));
    }
    bench.key(Key::ArrowLeft);
    assert_eq!(bench.desk().notice().words, "That is the first beat.");
    bench.select(&[1800, 8700, 10_200]).act(Act::GoTo(1800)).key(Key::Period);
    assert_eq!((bench.selected(), bench.desk().place()), (vec![1800, 8700, 10_200], 8700));
    bench.key(Key::Comma).key(Key::Comma);
    assert_eq!(bench.desk().place(), 1800, "there is none before the first of the selected ones");
}

#[test]
fn a_drag_over_the_lens_takes_the_beats_between_its_ends() {
    let mut bench = mixed_day().on_the_desk();
    bench.act(Act::GoTo(2600));
    let mut beats: Vec<egui::Rect> =
        bench.harness.query_all_by_label_contains("Beat ").map(|n| n.rect()).collect();
    beats.sort_by(|a, b| a.left().total_cmp(&b.left()));
    // 10 points are 106 ms at 25 mm/s and 96 points an inch.
    let near = |i: usize, by: f32| egui::pos2(beats[i].center().x + by, beats[i].bottom() - 60.0);
    for (from, to, inside) in [
        (near(1, -10.0), near(2, 10.0), &[1800, 2600][..]),
        (near(1, 10.0), near(2, 10.0), &[2600]),
        (near(2, 10.0), near(0, -10.0), &[1000, 1800, 2600]),
    ] {
        bench.harness.drag_at(from);
        bench.harness.run();
        bench.harness.hover_at(to);
        bench.harness.run();
        bench.harness.drop_at(to);
        bench.rest();
        assert_eq!(bench.selected(), inside, "{from:?} to {to:?}");
        bench.edit(Edit::MarkRead { span: bench.desk().selection().span.unwrap() });
    }
}
