//! From open items to signing.

use beatledger_core::model::FigureId;
use beatledger_core::review::Edit;

use super::*;
use crate::sheets::sheet::Sheet;

#[test]
fn next_walks_the_open_items_and_agreeing_settles_one() {
    let mut bench = Bench::made();
    let items = bench.desk().open.day.as_ref().unwrap().derived.items.len();
    assert!(items > 0);
    let index = |bench: &Bench| bench.desk().pointed.item.unwrap().1;
    bench.key(Key::O);
    assert_eq!(index(&bench), 0);
    bench.key(Key::O).keys(Modifiers::SHIFT, Key::O);
    assert_eq!(index(&bench), 0);
    let group =
        |i: &crate::lists::open_items::Item| matches!(i.key, crate::lists::open_items::ItemKey::Group(..));
    let at = bench.desk().open.day.as_ref().unwrap().derived.items.iter().position(group).unwrap();
    for _ in 0..at {
        bench.key(Key::O);
    }
    bench.key(Key::Y).yes();
    assert_eq!(bench.desk().open.day.as_ref().unwrap().derived.items.len(), items - 1);
}

#[test]
fn signing_is_refused_while_a_critical_event_is_unread_and_shows_the_way() {
    let mut bench = Bench::made();
    let unread = |bench: &Bench| bench.desk().snapshot().unwrap().unread_critical();
    // Without four beats in a row the day has a pause above the critical limit.
    let gone = bench.desk().snapshot().unwrap().beats[20..24].iter().map(|b| b.sample).collect();
    bench.harness.state_mut().apply(crate::app::act::Act::Edit(Edit::RemoveBeats { beats: gone }));
    bench.harness.run();
    bench.yes();
    assert_eq!(unread(&bench).len(), 1);
    bench.ctrl(Key::Enter);
    assert!(bench.shows("must be read first"));
    assert!(bench.harness.query_by_label("Sign the summary as it stands").is_none());
    let go = bench.harness.get_all_by_label_contains("Go to ").next().unwrap();
    go.click();
    bench.harness.run();
    assert!(bench.desk().selection().event.is_some());
    bench.key(Key::K);
    assert!(unread(&bench).is_empty());
    bench.ctrl(Key::Enter);
    assert!(bench.shows("Sign the summary as it stands"));
    bench.key(Key::Escape).key(Key::D).yes();
    assert!(bench.desk().notice().words.starts_with("Pause dropped"));
}

#[test]
fn a_beat_is_inserted_at_the_place_after_its_letter() {
    let mut bench = Bench::made();
    bench.harness.state_mut().apply(crate::app::act::Act::GoTo(1000));
    let (place, s) = (bench.desk().place(), bench.count('S'));
    bench.key(Key::I).key(Key::S);
    assert_eq!(bench.count('S'), s + 1);
    assert_eq!(bench.desk().selection().beats.as_slice(), [place]);
    bench.key(Key::Delete);
    assert_eq!(bench.count('S'), s);
}

#[test]
fn a_figure_selects_what_proves_it() {
    let mut bench = Bench::made();
    bench.key(Key::Num4);
    let v = bench.count('V');
    let name = bench.desk().snapshot().unwrap().summary.figure(FigureId::VBeats).map(|f| f.name);
    let Some(name) = name else { panic!("the summary counts no V beats") };
    bench.click(&format!("{name}, {v}"));
    assert_eq!(bench.desk().selection().beats.len(), v);
}

#[test]
fn every_sheet_opens_by_its_key_and_esc_closes_it() {
    let mut bench = Bench::made();
    let ctrl = Modifiers::COMMAND;
    for (modifiers, key, sheet) in [
        (Modifiers::NONE, Key::F1, Sheet::Keys),
        (ctrl, Key::I, Sheet::Intake),
        (Modifiers::NONE, Key::H, Sheet::History),
        (ctrl, Key::Comma, Sheet::Settings),
        (ctrl, Key::E, Sheet::Conclusion),
        (Modifiers::NONE, Key::L, Sheet::Leads),
    ] {
        bench.keys(modifiers, key);
        assert_eq!(bench.desk().sheet(), Some(sheet));
        bench.key(Key::Escape);
        assert_eq!(bench.desk().sheet(), None);
    }
}

#[test]
fn the_cards_are_closed_by_doing_what_they_say() {
    let mut bench = Bench::made();
    bench.harness.state_mut().run(crate::commands::table::Command::Cards);
    bench.harness.run();
    assert!(bench.shows("1 of 4"));
    bench.key(Key::O);
    assert!(bench.shows("2 of 4"));
    bench.key(Key::ArrowRight).key(Key::V).yes();
    assert!(bench.shows("3 of 4"));
}

/// Five minutes of a long day are hundreds of rows: those out of view are not drawn.
#[test]
fn a_long_table_draws_the_rows_in_view_and_a_row_selects_its_stretch() {
    let mut bench = Bench::with_day(600, canned::still_services(), None);
    bench.key(Key::Num7).click("Variability by five minutes");
    let rows = bench.desk().snapshot().unwrap().summary.hrv_windows.len();
    assert_eq!(rows, 120);
    let drawn = bench.harness.query_all_by_label_contains("Variability by five minutes: ").count();
    assert!((5..60).contains(&drawn), "{drawn} of {rows} rows are drawn");
    bench.click("Variability by five minutes: 21:35");
    let span = bench.desk().selection().span.unwrap();
    assert_eq!(Some(span), bench.desk().snapshot().unwrap().summary.hrv_windows.get(1).map(|r| r.span));
}
