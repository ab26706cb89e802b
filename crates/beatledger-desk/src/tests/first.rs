//! First minutes: look, relabel, take back, switch the stage, find.

use super::*;
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

#[test]
fn a_beat_is_relabelled_by_its_letter_and_taken_back() {
    let mut bench = Bench::made();
    let (n, v) = (bench.count('N'), bench.count('V'));
    bench.key(Key::ArrowRight).key(Key::V);
    assert_eq!((bench.count('N'), bench.count('V')), (n - 1, v + 1));
    assert_eq!(bench.desk().notice().words, "1 beat labelled V");
    bench.ctrl(Key::Z);
    assert_eq!((bench.count('N'), bench.count('V')), (n, v));
    bench.ctrl_shift(Key::Z);
    assert_eq!(bench.count('V'), v + 1);
    bench.click("Undo");
    assert_eq!(bench.count('V'), v);
}

#[test]
fn the_stage_is_switched_by_a_key_and_the_selection_stays() {
    let mut bench = Bench::made();
    bench.key(Key::ArrowRight);
    let (selection, place) = (bench.desk().selection().clone(), bench.desk().place());
    for (key, stage) in [
        (Key::Num2, Stage::Grid),
        (Key::Num3, Stage::Scatter),
        (Key::Num4, Stage::Figures),
        (Key::T, Stage::Strip),
    ] {
        bench.key(key);
        assert_eq!(bench.desk().stage(), stage);
        assert_eq!((bench.desk().selection(), bench.desk().place()), (&selection, place));
    }
}

#[test]
fn a_command_is_run_from_the_palette_by_name() {
    let mut bench = Bench::made();
    bench.ctrl_shift(Key::P);
    assert_eq!(bench.desk().sheet(), Some(Sheet::Palette));
    bench.type_into("What should be done?", "figures").key(Key::Enter);
    assert_eq!(bench.desk().stage(), Stage::Figures);
    assert_eq!(bench.desk().sheet(), None);
}

#[test]
fn find_selects_every_beat_that_a_line_names() {
    let mut bench = Bench::made();
    let v = bench.count('V');
    bench.ctrl(Key::F).type_into("Find", "V rr < 700 ms").key(Key::Enter);
    assert_eq!(bench.desk().selection().beats.len(), v, "{}", bench.desk().notice().words);
    bench.ctrl(Key::F).ctrl(Key::A).type_into("Find", "21:35").key(Key::Enter);
    assert_eq!(bench.desk().snapshot().unwrap().recording.clock(bench.desk().place()), "21:35:00");
}

#[test]
fn letters_typed_into_find_relabel_nothing() {
    let mut bench = Bench::made();
    bench.key(Key::ArrowRight).ctrl(Key::F);
    let v = bench.count('V');
    bench.type_into("Find", "v").key(Key::V);
    assert_eq!(bench.count('V'), v);
}

#[test]
fn many_beats_wait_for_a_yes_and_esc_leaves_them() {
    let mut bench = Bench::made();
    let (n, s) = (bench.count('N'), bench.count('S'));
    assert!(n > crate::app::entries::ASK_FROM_BEATS);
    bench.key(Key::ArrowRight).ctrl_shift(Key::A).key(Key::S);
    assert_eq!(bench.count('S'), s, "nothing is made before a yes");
    assert!(bench.shows("Not made yet"));
    bench.key(Key::Escape);
    assert!(!bench.shows("Not made yet"));
    bench.key(Key::S).key(Key::Enter);
    assert_eq!((bench.count('N'), bench.count('S')), (0, s + n));
}
