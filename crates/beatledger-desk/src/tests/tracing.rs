//! Tracing as it is shown: rows, leads, lens, calipers, the edge, and the views of the figures.

use super::*;
use crate::figures::families::Show;
use crate::shell::stage::Stage;

#[test]
fn every_switch_of_the_rows_has_a_key_and_says_what_it_did() {
    let mut bench = Bench::made();
    for (modifiers, key, words) in [
        (Modifiers::NONE, Key::R, "Rows of 2 min 00 s"),
        (Modifiers::SHIFT, Key::R, "Rows of 1 min 00 s"),
        (Modifiers::NONE, Key::G, "Tracing in the rows at 2 times its usual height"),
        (Modifiers::SHIFT, Key::G, "Tracing in the rows at 1 times its usual height"),
        (Modifiers::NONE, Key::W, "P, QRS and T limits of every beat are shown."),
        (Modifiers::NONE, Key::W, "P, QRS and T limits are shown for the beat at the place alone."),
    ] {
        bench.keys(modifiers, key);
        assert_eq!(bench.desk().notice().words, words);
    }
    bench.keys(Modifiers::SHIFT, Key::L);
    let name = bench.desk().snapshot().unwrap().recording.leads[1].name.clone();
    assert!(bench.desk().notice().words.starts_with(&format!("The day strip shows {name}")));
}

#[test]
fn esc_puts_the_calipers_away_before_it_clears_the_selection() {
    let mut bench = Bench::made();
    bench.key(Key::ArrowRight).key(Key::X);
    assert!(bench.desk().notice().words.starts_with("Calipers: drag"));
    bench.key(Key::Escape);
    assert_eq!(bench.desk().notice().words, "Calipers are put away.");
    assert!(!bench.desk().selection().is_empty());
    bench.key(Key::Escape);
    assert!(bench.desk().selection().is_empty());
}

/// Top of the view whose name starts with `name`, and its height.
fn height(bench: &Bench, name: &str) -> f32 {
    bench.harness.query_all_by_label_contains(name).next().unwrap().rect().height()
}

#[test]
fn the_edge_above_the_lens_is_moved_by_keys_and_by_the_pointer_and_stays() {
    let mut bench = Bench::made();
    let (rows, lens) = (height(&bench, "Day strip, "), height(&bench, "Lens, "));
    assert!(lens > rows, "the lens takes more than half: {lens} of {}", rows + lens);
    bench.keys(Modifiers::SHIFT, Key::B);
    assert!(height(&bench, "Lens, ") < lens - 10.0);
    bench.key(Key::B).key(Key::B);
    assert!(height(&bench, "Lens, ") > lens + 10.0);
    let edge = bench.harness.get_by_label("Edge between day strip and lens").rect().center();
    bench.harness.drag_at(edge);
    bench.harness.run();
    bench.harness.hover_at(edge + egui::vec2(0.0, 90.0));
    bench.harness.run();
    bench.harness.drop_at(edge + egui::vec2(0.0, 90.0));
    bench.harness.run();
    let dragged = height(&bench, "Lens, ");
    assert!(dragged < lens, "{dragged} {lens}");
    bench.key(Key::Num2).key(Key::Num1);
    assert_eq!(height(&bench, "Lens, "), dragged);
}

#[test]
fn a_low_lens_shows_fewer_leads_and_starts_with_the_one_of_the_day_strip() {
    let mut bench = Bench::made();
    for _ in 0..9 {
        bench.keys(Modifiers::SHIFT, Key::B);
    }
    assert!(bench.shows("leads fit"));
    let leads: Vec<String> =
        bench.desk().snapshot().unwrap().recording.leads.iter().map(|l| l.name.clone()).collect();
    let caption = |bench: &Bench| {
        let node = bench.harness.query_all_by_label_contains("Lens, ").next().unwrap();
        node.accesskit_node().label().unwrap_or_default()
    };
    let alone = |lead: &str| format!(" · {lead} · ");
    assert!(caption(&bench).contains(&alone(&leads[0])), "{}", caption(&bench));
    bench.keys(Modifiers::SHIFT, Key::L);
    assert!(caption(&bench).contains(&alone(&leads[1])), "{}", caption(&bench));
}

#[test]
fn an_hour_of_the_table_selects_itself_and_its_numbers_are_those_of_the_day() {
    let mut bench = Bench::made();
    bench.key(Key::Num5);
    assert_eq!((bench.desk().stage(), bench.desk().shown.panels.figures.show), (Stage::Figures, Show::Hours));
    let day = bench.desk().snapshot().unwrap();
    let hour = day.summary.hours.last().unwrap();
    let span = hour.span.unwrap();
    // The clock of an hour without its seconds.
    let name = format!("Hour from {}:", &day.recording.clock(span.start)[..5]);
    let row = bench.harness.query_all_by_label_contains(&name).next().unwrap();
    let v_beats = if hour.v_beats == 0 { "none".to_owned() } else { hour.v_beats.to_string() };
    assert!(format!("{row:?}").contains(&format!("V beats {v_beats}, V singles")), "{row:?}");
    row.click();
    bench.harness.run();
    assert_eq!(bench.desk().selection().span, Some(span));
    assert_eq!(bench.desk().place(), span.start);
}

#[test]
fn the_histogram_is_shown_by_a_key_and_says_in_words_what_it_shows() {
    let mut bench = Bench::made();
    bench.key(Key::Num6);
    assert!(bench.shows("NN intervals in bins of 7.8 ms"));
    bench.key(Key::Num4);
    assert_eq!(bench.desk().shown.panels.figures.show, Show::Families);
}

#[test]
fn figures_say_how_much_of_them_is_selected() {
    let mut bench = Bench::made();
    let day = bench.desk().snapshot().unwrap();
    let first_v = day.beats.iter().find(|b| b.class.letter() == 'V').unwrap().sample;
    let selection = crate::app::selection::Selection::of_beats(vec![first_v], "one V");
    bench.harness.state_mut().apply(crate::app::act::Act::Select { selection, go: true });
    bench.key(Key::Num4);
    let v = bench.count('V');
    assert!(bench.shows(&format!(", {v}, 1 selected")));
}
