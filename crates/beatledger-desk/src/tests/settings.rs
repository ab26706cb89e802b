//! Settings changed at the desk: what applies at once, what finds beats anew, and that each change is an entry.

use beatledger_core::review::Edit;
use beatledger_core::settings::Settings;

use super::*;
use crate::app::act::Act;

fn set(bench: &mut Bench, key: &str, value: f64) {
    bench.harness.state_mut().apply(Act::Edit(Edit::ChangeSetting { key: key.into(), value }));
}

fn now(bench: &Bench) -> Settings {
    bench.desk().snapshot().unwrap().settings.clone()
}

#[test]
fn a_setting_that_needs_no_finding_counts_at_once_and_undo_takes_it_back() {
    let mut bench = Bench::made();
    set(&mut bench, "pause_ms", 1500.0);
    assert_eq!(now(&bench).pause_ms, 1500.0);
    assert!(bench.desk().open.job.is_none());
    bench.ctrl(Key::Z);
    assert_eq!(now(&bench).pause_ms, 2000.0);
}

/// What takes long comes after an edit by itself, and what is handed out is whole even before.
#[test]
fn figures_that_take_long_come_after_an_edit_by_themselves() {
    let mut bench = Bench::made();
    bench.harness.state_mut().run(crate::commands::table::Command::StageFigures);
    set(&mut bench, "pause_ms", 1500.0);
    let on_show = |bench: &Bench| bench.desk().open.day.as_ref().unwrap().snapshot.clone();
    assert!(!on_show(&bench).is_whole());
    assert!(bench.desk().snapshot().unwrap().is_whole());
    bench.harness.step();
    bench.settle();
    assert!(on_show(&bench).is_whole() && !bench.shows("being worked out"));
    assert_eq!(on_show(&bench).summary, bench.desk().snapshot().unwrap().summary);
}

#[test]
fn a_setting_that_decides_how_beats_are_found_finds_them_anew_and_then_stands_in_the_ledger() {
    let mut bench = Bench::made();
    let made = bench.desk().snapshot().unwrap().found.clone();
    set(&mut bench, "prematurity_percent", 30.0);
    assert!(bench.desk().is_busy(), "beats are looked for off the window's thread");
    assert_eq!(now(&bench).prematurity_percent, 20.0, "nothing is changed until they are found");
    bench.settle();
    let after = bench.desk().snapshot().unwrap();
    assert_eq!(after.settings.prematurity_percent, 30.0);
    assert!(!std::sync::Arc::ptr_eq(&after.found, &made), "beats were found anew");
    assert_eq!(after.fold.in_force.len(), 1);
    assert!(bench.desk().notice().words.ends_with("beats were found anew."), "{:?}", bench.desk().notice());
    bench.ctrl(Key::Z);
    assert!(bench.desk().is_busy(), "taking it back finds them anew as well");
    bench.settle();
    assert_eq!(now(&bench).prematurity_percent, 20.0);
    assert!(bench.desk().snapshot().unwrap().fold.in_force.is_empty());
}

#[test]
fn a_finding_that_is_stopped_changes_nothing() {
    let mut bench = Bench::made();
    let before = bench.desk().snapshot().unwrap();
    set(&mut bench, "wide_qrs_ms", 110.0);
    bench.harness.state_mut().apply(Act::CancelOpening);
    bench.settle();
    let after = bench.desk().snapshot().unwrap();
    assert!(std::sync::Arc::ptr_eq(&before, &after));
    assert!(bench.desk().notice().words.contains("nothing was changed"), "{:?}", bench.desk().notice());
}

#[test]
fn every_setting_stands_in_the_sheet_with_its_value_and_one_that_was_changed_has_a_way_back() {
    let mut bench = Bench::made();
    set(&mut bench, "highpass_hz", 0.3);
    bench.ctrl(Key::Comma);
    assert!(bench.shows("highpass_hz") && bench.shows("finds beats anew") && bench.shows("at once"));
    bench.click("highpass_hz back to its default");
    assert_eq!(now(&bench).highpass_hz, 0.5);
}

#[test]
fn a_row_of_a_table_selects_the_tracing_that_shows_it() {
    let mut bench = Bench::made();
    bench.key(Key::Num7);
    assert!(bench.shows("Longest RR by rhythm"));
    bench.click("Longest RR by rhythm");
    bench.click("Longest RR by rhythm: of all");
    let snapshot = bench.desk().snapshot().unwrap();
    assert_eq!(bench.desk().selection().span, snapshot.summary.longest_rr[0].place);
    assert_eq!(bench.desk().place(), snapshot.summary.longest_rr[0].place.unwrap().start);
}

#[test]
fn the_figures_begin_with_those_that_matter_and_the_same_key_shows_all() {
    let mut bench = Bench::made();
    bench.key(Key::Num4);
    assert!(bench.shows("Ventricular ectopic beats") && !bench.shows("Sample entropy"));
    bench.key(Key::Num4);
    assert!(bench.shows("Ventricular ectopic beats") && bench.shows("Sample entropy"));
    bench.key(Key::Num5).key(Key::Num4);
    assert!(bench.shows("Sample entropy"), "what was chosen stays");
}
