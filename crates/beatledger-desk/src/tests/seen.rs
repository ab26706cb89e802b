//! A key acts on what is seen, and what was on the screen is what counts as read.

use beatledger_core::model::{BeatClass, EventKind, Span};
use beatledger_core::review::Edit;
use beatledger_core::settings::Settings;

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::outside::sign_rules::hindrance;
use crate::sheets::sheet::Sheet;

/// Two hours of sinus rhythm, with a V at 5 s and one at 7000 s.
fn long_day() -> Day {
    let mut letters = "N".repeat(9000);
    letters.replace_range(5..6, "V");
    letters.replace_range(8750..8751, "V");
    day(&letters, &[800])
}

/// A desk on which what stands half a second on the screen counts as shown.
fn looking(day: Day) -> Bench {
    let settings = Settings { seen_min_s: 0.5, seen_pace: 240.0, ..Settings::default() };
    day.with_services(Services { settings, sign: Box::new(Pen::default()), ..canned::still_services() })
}

/// Looks for some seconds without touching anything.
fn look(bench: &mut Bench) {
    bench.harness.run_steps(40);
}

fn read_s(bench: &Bench) -> f64 {
    let day = bench.desk().snapshot().unwrap();
    day.read.iter().map(|s| s.len() as f64 / 1000.0).sum()
}

#[test]
fn what_is_selected_elsewhere_comes_into_view_before_a_key_changes_it() {
    let mut bench = long_day().on_the_desk();
    bench.act(Act::Find("V".into())).act(Act::Find("22:30".into()));
    assert_eq!(bench.selected().len(), 2, "a clock time moves the place and selects nothing");
    assert!(bench.shows("Not on the screen"));
    bench.key(Key::S);
    assert_eq!(bench.count('S'), 0, "the screen showed 22:30, not these beats");
    assert!(bench.desk().notice().words.starts_with("Nothing was changed."), "{:?}", bench.desk().notice());
    assert_eq!(bench.desk().place(), bench.selected()[0]);
    // One of the two is now in view, the other is hours away: a yes is wanted.
    bench.key(Key::S);
    assert_eq!((bench.count('S'), bench.desk().waiting.for_yes.is_some()), (0, true));
    bench.key(Key::Enter);
    assert_eq!(bench.count('S'), 2);
}

#[test]
fn an_event_that_is_not_on_the_screen_is_not_kept_by_a_key() {
    let mut bench = long_day().on_the_desk();
    let rate = |e: &beatledger_core::model::Event| e.kind == EventKind::LongestRr;
    let at = bench.desk().snapshot().unwrap().events.iter().position(rate).unwrap();
    bench.act(Act::Event(at)).act(Act::GoTo(4_000_000)).key(Key::D);
    assert!(bench.desk().open.day.as_ref().unwrap().entries.is_empty());
    bench.key(Key::D);
    assert_eq!(bench.desk().open.day.as_ref().unwrap().entries.len(), 1);
}

#[test]
fn a_find_line_keeps_the_letters_until_esc_and_what_is_typed_next_takes_its_place() {
    let mut bench = long_day().on_the_desk();
    bench.key(Key::Slash).type_into("Find", "V").key(Key::Enter);
    assert_eq!((bench.selected().len(), bench.desk().sheet()), (2, Some(Sheet::Find)));
    bench.key(Key::S);
    assert_eq!(bench.count('S'), 0, "a letter belongs to the line");
    bench.type_into("Find", "22:30").key(Key::Enter);
    assert_eq!(bench.desk().snapshot().unwrap().recording.clock(bench.desk().place()), "22:30:00");
    bench.key(Key::Escape);
    assert_eq!(bench.desk().sheet(), None);
}

#[test]
fn a_beat_that_was_inserted_and_taken_back_is_selected_no_more() {
    let mut bench = mixed_day().on_the_desk();
    bench.act(Act::GoTo(2200)).key(Key::I).key(Key::V).yes();
    assert_eq!(bench.selected(), [2200]);
    bench.ctrl(Key::Z);
    assert!(bench.desk().selection().is_empty());
    bench.act(Act::GoTo(12_000)).key(Key::V);
    assert!(bench.desk().snapshot().unwrap().orphans.is_empty(), "no label without a beat");
}

#[test]
fn an_undo_while_a_change_waits_leaves_the_change_and_nothing_else() {
    let mut bench = mixed_day().on_the_desk();
    bench.edit(Edit::Conclude { text: "Sinus rhythm.".into() });
    let beats = bench.desk().snapshot().unwrap().beats.iter().map(|b| b.sample).collect();
    bench.act(Act::Edit(Edit::Relabel { beats, class: BeatClass::S }));
    assert!(bench.desk().waiting.for_yes.is_some());
    bench.ctrl(Key::Z);
    assert!(bench.desk().waiting.for_yes.is_none());
    let day = bench.desk().snapshot().unwrap();
    assert_eq!((&*day.conclusion, bench.count('S')), ("Sinus rhythm.", 1));
}

#[test]
fn a_change_says_what_it_does_to_events_before_it_is_made() {
    let mut bench = mixed_day().on_the_desk();
    bench.select(&[9200]).key(Key::N);
    assert_eq!(bench.letters(), "NNNVNNSNNNVVVVNNNN");
    assert!(bench.shows("ends 1 ventricular tachycardia"));
    bench.key(Key::Enter);
    assert_eq!(bench.letters(), "NNNVNNSNNNVNVVNNNN");
    bench.ctrl(Key::Z);
    assert_eq!(bench.letters(), "NNNVNNSNNNVVVVNNNN");
}

#[test]
fn a_question_takes_the_room_of_the_actions_and_moves_no_tracing() {
    let mut bench = mixed_day().on_the_desk();
    let top =
        |bench: &Bench| bench.harness.query_all_by_label_contains("Day strip, ").next().unwrap().rect().top();
    let before = top(&bench);
    bench.select(&[9200]).key(Key::N);
    assert!(bench.shows("Not made yet"));
    assert_eq!(top(&bench), before);
    bench.key(Key::Escape).key(Key::Slash);
    assert_eq!((bench.desk().sheet(), top(&bench)), (Some(Sheet::Find), before));
}

#[test]
fn what_stands_on_the_screen_counts_as_shown_and_what_passes_by_does_not() {
    let mut bench = looking(long_day());
    look(&mut bench);
    let first = read_s(&bench);
    assert!(first > 60.0 && first < 1800.0, "a page of rows: {first} s");
    for place in (0..20).map(|k| 2_000_000 + 60_000 * k) {
        bench.harness.state_mut().apply(Act::GoTo(place));
        bench.harness.step();
    }
    let after = bench.desk().snapshot().unwrap().read.iter().map(|s| s.end).max().unwrap();
    assert!(after < 2_000_000, "what scrolled past was not read: {after}");
    look(&mut bench);
    assert!(read_s(&bench) > first);
}

#[test]
fn marking_as_read_reaches_no_further_than_the_screen() {
    let mut bench = long_day().on_the_desk();
    bench.select_span(0, 7_000_000).key(Key::M);
    let read = read_s(&bench);
    assert!(read > 5.0 && read < 1800.0, "{read} s of two hours are on the screen");
    bench.act(Act::GoTo(6_000_000)).select_span(0, 1000).key(Key::M);
    assert_eq!(read_s(&bench), read);
    assert!(bench.desk().notice().wrong);
}

#[test]
fn a_review_needs_a_conclusion_the_recording_confirmed_and_the_places_of_the_day_seen() {
    // The longest interval lies 20 minutes on.
    let rr = [vec![800; 1500], vec![1500], vec![800; 498]].concat();
    let mut bench = looking(day(&"N".repeat(2000), &rr));
    let reviewed = || crate::outside::services::SignRequest { meaning: "reviewed".into(), ..request() };
    let why = |bench: &Bench, request: &crate::outside::services::SignRequest| {
        hindrance(request, &bench.desk().snapshot().unwrap()).unwrap_or_default()
    };
    assert_eq!(why(&bench, &request()), "", "a technician may hand it on as prepared");
    assert!(why(&bench, &reviewed()).contains("needs a conclusion"));
    bench.act(Act::Edit(Edit::Conclude { text: "Sinus rhythm.".into() }));
    assert!(why(&bench, &reviewed()).contains("on the screen first"));
    let unconfirmed = crate::outside::services::SignRequest { confirmed: false, ..reviewed() };
    assert!(why(&bench, &unconfirmed).contains("whose recording"));
    let odd = crate::outside::services::SignRequest { meaning: "looked at".into(), ..request() };
    assert!(why(&bench, &odd).contains("prepared, reviewed, approved"));
    bench.act(Act::Sign(reviewed()));
    assert!(bench.desk().notice().words.starts_with("Not signed: 'reviewed' needs"));
    // O goes to what was not seen yet, until nothing is left.
    for _ in 0..8 {
        bench.key(Key::O);
        look(&mut bench);
    }
    assert_eq!(why(&bench, &reviewed()), "");
    bench.act(Act::Sign(reviewed()));
    assert!(bench.desk().snapshot().unwrap().fold.signed.is_some(), "{:?}", bench.desk().notice());
}

#[test]
fn the_sheet_of_sign_off_shows_whose_day_it_is_what_is_said_and_what_was_never_shown() {
    let mut bench = mixed_day().on_the_desk();
    let (kind, span) = (EventKind::VentricularTachycardia, Span::new(8700, 10_201));
    bench.edit(Edit::KeepEvent { kind, span }).ctrl(Key::Enter);
    for words in
        ["Begins: 1970-01-01 21:30:00", "Ventricular ectopic beats: 5", "0 % of the recording was shown"]
    {
        assert!(bench.shows(words), "{words}");
    }
    assert!(bench.shows("Look at ventricular tachycardia"), "it was kept unseen");
    bench.click("reviewed");
    assert!(bench.shows("Not yet: 'reviewed' needs a conclusion."));
}
