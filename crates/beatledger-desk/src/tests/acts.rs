//! What the one funnel does with each request: what waits, what is refused, where the place goes, who stands behind it.

use beatledger_core::model::{BeatClass, EventKind, FigureId, Span};
use beatledger_core::review::{Action, Edit};

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::sheets::sheet::Sheet;

fn label(beats: Vec<i64>, class: BeatClass) -> Edit {
    Edit::Relabel { beats, class }
}

#[test]
fn five_beats_on_the_screen_are_labelled_at_once_and_one_more_waits_for_a_yes() {
    let mut bench = day(&"N".repeat(502), &[600]).on_the_desk();
    // Every seventh beat: no couplet, run or pattern comes of it.
    let samples: Vec<i64> = (0..70).map(|i| 1000 + 4200 * i).collect();
    let make = |beats: &[i64], class| Act::Edit(label(beats.to_vec(), class));
    bench.act(make(&samples[..5], BeatClass::Q));
    assert_eq!(bench.count('Q'), 5);
    bench.act(make(&samples[..6], BeatClass::V));
    assert_eq!((bench.count('V'), bench.desk().waiting.for_yes.is_some()), (0, true));
    bench.select(&[1000]);
    assert!(bench.desk().waiting.for_yes.is_none(), "another selection takes the question away");
    bench.act(Act::Confirm);
    assert_eq!(bench.count('V'), 0, "there is nothing to say yes to");
    bench.act(make(&samples[..6], BeatClass::V)).act(Act::Confirm);
    assert_eq!(bench.count('V'), 6);
}

#[test]
fn the_place_stays_inside_the_recording() {
    let mut bench = mixed_day().on_the_desk();
    for (asked, place) in [(-5, 0), (14_499, 14_499), (14_500, 14_499), (i64::MAX, 14_499)] {
        bench.act(Act::GoTo(asked));
        assert_eq!(bench.desk().place(), place);
    }
    bench.act(Act::LensSpan(Span::new(4000, 8000)));
    assert_eq!(bench.desk().place(), 6000, "the middle of the span is at the place");
    let selection = Selection::of_beats(vec![8700, 3200], "two");
    bench.act(Act::Select { selection: selection.clone(), go: false });
    assert_eq!(bench.desk().place(), 6000);
    bench.act(Act::Select { selection, go: true });
    assert_eq!(bench.desk().place(), 3200);
}

#[test]
fn a_reader_without_a_name_is_none_and_the_name_is_kept_without_the_blanks_around_it() {
    let mut bench = mixed_day().on_the_desk();
    bench.harness.state_mut().reader = None;
    bench.edit(label(vec![1800], BeatClass::V)).act(Act::Reader("  ".into()));
    assert_eq!((bench.desk().sheet(), bench.count('V')), (Some(Sheet::Reader), 5));
    assert!(bench.desk().notice().wrong);
    bench.act(Act::Reader(" B. Reader ".into()));
    assert_eq!((bench.desk().sheet(), bench.count('V')), (None, 6));
    assert_eq!(bench.desk().open.day.as_ref().unwrap().entries[0].reader, "B. Reader");
}

#[test]
fn an_undo_asks_who_reads_as_an_edit_does() {
    let mut bench = mixed_day().on_the_desk();
    bench.edit(label(vec![1800], BeatClass::V));
    bench.harness.state_mut().reader = None;
    bench.ctrl(Key::Z);
    assert_eq!((bench.desk().sheet(), bench.count('V')), (Some(Sheet::Reader), 6));
    bench.act(Act::Reader("B. Reader".into()));
    assert_eq!(bench.count('V'), 5);
    let last = bench.desk().open.day.as_ref().unwrap().entries.last().unwrap().clone();
    assert_eq!((last.action, &*last.reader), (Action::Undo { seq: 1 }, "B. Reader"));
}

#[test]
fn who_signs_does_not_become_who_edits() {
    let mut bench = mixed_day().on_the_desk();
    let (kind, span) = (EventKind::VentricularTachycardia, Span::new(8700, 10_201));
    bench.edit(Edit::KeepEvent { kind, span });
    let by = crate::outside::services::SignRequest { reader: "B. Reader".into(), ..request() };
    bench.act(Act::Sign(by)).edit(label(vec![1800], BeatClass::V));
    let readers: Vec<&str> =
        bench.desk().open.day.as_ref().unwrap().entries.iter().map(|e| &*e.reader).collect();
    assert_eq!(readers, ["A. Reader", "B. Reader", "A. Reader"]);
    bench.harness.state_mut().reader = None;
    bench.act(Act::Sign(request()));
    assert_eq!(bench.desk().reader.as_deref(), Some("A. Reader"), "who signs first need not be asked again");
}

#[test]
fn an_edit_of_no_beat_is_no_entry() {
    let mut bench = mixed_day().on_the_desk();
    for edit in [label(Vec::new(), BeatClass::V), Edit::RemoveBeats { beats: Vec::new() }] {
        bench.edit(edit);
        assert!(bench.desk().notice().words.starts_with("No beat is selected."));
        assert!(bench.desk().open.day.as_ref().unwrap().entries.is_empty());
    }
}

#[test]
fn a_day_that_is_open_to_read_only_says_why_before_anything_is_asked() {
    let mut bench = mixed_day().on_the_desk();
    let opened = crate::app::open_day::Opened {
        recording: std::sync::Arc::new(mixed_day().recording),
        found: std::sync::Arc::new(mixed_day().found),
        entries: Vec::new(),
        ledger_to: crate::app::open_day::LedgerTarget::ReadOnly("someone else is editing".into()),
        path: None,
        words: String::new(),
    };
    bench.harness.state_mut().put_on_desk(opened);
    bench.harness.state_mut().reader = None;
    bench.edit(label(vec![1800], BeatClass::V));
    assert_eq!(bench.desk().notice().words, "Nothing was changed: someone else is editing");
    assert_eq!((bench.desk().sheet(), bench.count('V')), (None, 5));
}

#[test]
fn a_dropped_event_proves_no_figure_and_a_relabelled_beat_proves_that_of_its_new_class() {
    let mut bench = mixed_day().on_the_desk();
    bench.edit(label(vec![3200, 4200], BeatClass::S));
    for (id, beats) in
        [(FigureId::SBeats, &[3200, 4200, 5600][..]), (FigureId::VBeats, &[8700, 9200, 9700, 10_200])]
    {
        bench.act(Act::Ask(id));
        assert_eq!(bench.selected(), beats, "{id}");
    }
    let (kind, span) = (EventKind::VentricularTachycardia, Span::new(8700, 10_201));
    bench.edit(Edit::DropEvent { kind, span }).select(&[1000]).act(Act::Ask(FigureId::VRuns));
    assert_eq!(bench.desk().notice().words, "Ventricular runs: there is no such event.");
    assert_eq!(bench.selected(), [1000]);
}

#[test]
fn a_figure_that_holds_at_one_place_goes_there() {
    let mut bench = mixed_day().on_the_desk();
    for figure in &bench.desk().snapshot().unwrap().summary.figures.clone() {
        let Some(place) = figure.place else { continue };
        bench.act(Act::GoTo(14_000)).act(Act::Ask(figure.id));
        assert_eq!(bench.desk().place(), place.start, "{}", figure.id);
    }
}

#[test]
fn insertion_takes_one_letter_and_the_next_letter_labels() {
    let mut bench = mixed_day().on_the_desk();
    bench.act(Act::GoTo(2200)).key(Key::I).key(Key::V);
    assert_eq!((bench.letters(), bench.selected()), ("NNVNVNNSNNNVVVVNNNN".into(), vec![2200]));
    bench.act(Act::GoTo(2300)).key(Key::S);
    assert_eq!(bench.letters(), "NNSNVNNSNNNVVVVNNNN", "the inserted beat is labelled, none is inserted");
    bench.key(Key::I).key(Key::Escape).key(Key::F);
    assert_eq!(bench.letters(), "NNFNVNNSNNNVVVVNNNN");
}

#[test]
fn a_selected_span_goes_before_the_event_and_beats_of_several_classes_cannot_be_agreed_with() {
    let mut bench = mixed_day().on_the_desk();
    let event = Some((EventKind::VentricularTachycardia, Span::new(8700, 10_201)));
    let span = Some(Span::new(9000, 9300));
    let selection = Selection { span, event, ..Selection::default() };
    bench.act(Act::Select { selection, go: false }).key(Key::M);
    assert_eq!(*bench.desk().snapshot().unwrap().read, [Span::new(9000, 9300)]);
    bench.key(Key::U).key(Key::Enter);
    assert_eq!(*bench.desk().snapshot().unwrap().unreadable, [Span::new(9000, 9300)]);
    let before = bench.desk().open.day.as_ref().unwrap().entries.len();
    bench.select(&[1000, 5600]).key(Key::Y);
    assert!(bench.desk().notice().words.starts_with("The selected beats have several classes"));
    assert_eq!(bench.desk().open.day.as_ref().unwrap().entries.len(), before);
}

#[test]
fn with_nothing_selected_the_page_on_the_stage_is_marked_as_read_and_else_the_lens() {
    let mut bench = mixed_day().on_the_desk();
    bench.key(Key::M);
    assert_eq!(*bench.desk().snapshot().unwrap().read, [Span::new(0, 14_500)], "one page shows it all");
    let mut bench = mixed_day().on_the_desk();
    bench.key(Key::Num2).key(Key::M);
    let lens = bench.desk().shown.panels.views.lens_span().unwrap();
    assert!(lens.len() < 14_500);
    assert_eq!(*bench.desk().snapshot().unwrap().read, [lens]);
}

#[test]
fn a_page_is_what_the_rows_show_and_ten_minutes_elsewhere() {
    let mut bench = Bench::with_day(60, canned::still_services(), None);
    bench.act(Act::GoTo(0));
    let rows = bench.desk().shown.panels.views.shown_span(crate::shell::stage::Stage::Strip).unwrap().len();
    assert!(rows > 60 * 128 && rows % (60 * 128) == 0, "whole rows of a minute: {rows}");
    bench.key(Key::PageDown);
    assert_eq!(bench.desk().place(), rows);
    bench.key(Key::PageUp).key(Key::Num4).key(Key::PageDown);
    // 600 s at 128 samples a second.
    assert_eq!(bench.desk().place(), 76_800);
}

#[test]
fn text_grows_and_shrinks_between_80_and_180_percent() {
    let mut bench = mixed_day().on_the_desk();
    for (command, limit) in [
        (crate::commands::table::Command::TextLarger, "180"),
        (crate::commands::table::Command::TextSmaller, "80"),
    ] {
        for _ in 0..12 {
            bench.act(Act::Run(command));
        }
        assert_eq!(bench.desk().notice().words, format!("Text at {limit} %"));
    }
}
