//! Journeys of a reader through the real window, on files on disk, through the accessibility tree and by keys.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use beatledger_core::model::{BeatClass, EventState, FigureId};
use beatledger_core::review::{Action, Edit};
use beatledger_core::shown::not_shown;
use beatledger_desk::app::desk::Start;
use beatledger_desk::sheets::sheet::Sheet;
use beatledger_desk::shell::stage::Stage;
use beatledger_ledger::manifest;
use beatledger_tests::made::{OnDisk, short_day};
use beatledger_tests::window::{
    READER, Window, figure, give_name, look, press, reading, settle, snapshot, summary, type_text, window,
};
use egui::accesskit::Role;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};

const PLAIN: Modifiers = Modifiers::NONE;

fn ctrl() -> Modifiers {
    Modifiers::CTRL | Modifiers::COMMAND
}

/// Chooses the largest V group of the morphology grid with the pointer, by the name of its cell.
fn choose_v_group(window: &mut Window) {
    press(window, PLAIN, Key::Num2);
    assert_eq!(window.state().stage(), Stage::Grid);
    // A cell is named 'Group 3, V, early, ...'; a row of the open items 'Group 3: 9 beats V ...'.
    let is_cell = |name: &String| {
        let mut parts = name.split(", ");
        parts.next().is_some_and(|p| p.starts_with("Group ") && !p.contains(':'))
            && parts.next().is_some_and(|p| p.starts_with('V'))
    };
    let cells = window.query_all_by_role(Role::Button).filter_map(|n| n.accesskit_node().label());
    let names: Vec<String> = cells.filter(is_cell).collect();
    let name = names.first().unwrap_or_else(|| panic!("the grid shows no V group"));
    window.get_by_label(name).click();
    window.run();
    assert!(!window.state().selection().beats.is_empty(), "a click on '{name}' selects its beats");
}

/// Walks the open items by key and keeps every critical event; gives how many were kept.
fn keep_all_critical(window: &mut Window) -> usize {
    let mut kept = 0;
    while !snapshot(window).unread_critical().is_empty() {
        assert!(kept < 100, "the open items never end");
        press(window, PLAIN, Key::O);
        look(window);
        press(window, PLAIN, Key::K);
        give_name(window);
        kept += 1;
    }
    kept
}

fn signed_folder(day: &OnDisk) -> PathBuf {
    let entries = std::fs::read_dir(day.folder.path()).unwrap().flatten().map(|e| e.path());
    let mut signed: Vec<PathBuf> =
        entries.filter(|p| p.is_dir() && p.to_string_lossy().contains(".signed-")).collect();
    assert_eq!(signed.len(), 1, "one signed folder");
    signed.remove(0)
}

/// Goes to every place that a review must have seen and looks at it.
fn look_where_a_review_must(window: &mut Window) {
    for _ in 0..60 {
        if not_shown(&snapshot(window)).is_empty() {
            return;
        }
        press(window, PLAIN, Key::O);
        look(window);
    }
    panic!("places were not shown: {:?}", not_shown(&snapshot(window)));
}

fn sign(window: &mut Window) {
    look_where_a_review_must(window);
    press(window, ctrl(), Key::E);
    assert_eq!(window.state().sheet(), Some(Sheet::Conclusion));
    type_text(window, "Sinus rhythm with ectopy; one pause.");
    window.get_by_label_contains("Keep the conclusion").click();
    window.run();
    assert_eq!(snapshot(window).conclusion, "Sinus rhythm with ectopy; one pause.");
    press(window, ctrl(), Key::Enter);
    assert_eq!(window.state().sheet(), Some(Sheet::Sign));
    window.get_by_label("cardiologist").click();
    window.run();
    window.get_by_label("reviewed").click();
    window.run();
    let fields: Vec<String> =
        window.query_all_by_role(Role::CheckBox).filter_map(|n| n.accesskit_node().label()).collect();
    assert!(fields.iter().any(|f| f.starts_with("Begins: ")), "{fields:?}");
    for field in fields {
        window.get_by_label(&field).click();
        window.run();
    }
    window.get_by_label_contains("Sign the summary as it stands").click();
    window.run();
    assert_eq!(window.state().sheet(), None, "{}", window.state().notice().words);
}

#[test]
fn a_day_is_corrected_kept_signed_and_comes_back_as_it_was() {
    let day = short_day();
    let mut window = reading(&day.edf);
    let as_found = summary(&window);
    let (v, s) = (figure(&window, FigureId::VBeats), figure(&window, FigureId::SBeats));

    choose_v_group(&mut window);
    let chosen = window.state().selection().beats.to_vec();
    let of_class = |window: &Window, class| {
        let day = snapshot(window);
        let is = |b: &&beatledger_core::model::Beat| b.class == class && chosen.contains(&b.sample);
        day.beats.iter().filter(is).count() as f64
    };
    let (chosen_v, chosen_s) = (of_class(&window, BeatClass::V), of_class(&window, BeatClass::S));
    assert!(chosen_v > 0.0);
    press(&mut window, PLAIN, Key::S);
    assert_eq!(window.state().sheet(), Some(Sheet::Reader), "the first edit asks who reads");
    give_name(&mut window);
    // It changes events, so that its effect is shown and a yes is wanted.
    press(&mut window, PLAIN, Key::Enter);
    assert_eq!(figure(&window, FigureId::VBeats), v - chosen_v);
    assert_eq!(figure(&window, FigureId::SBeats), s + chosen.len() as f64 - chosen_s);

    press(&mut window, ctrl(), Key::Z);
    assert_eq!(summary(&window), as_found, "undo gives back every figure to the last digit");
    press(&mut window, ctrl() | Modifiers::SHIFT, Key::Z);
    assert_eq!(figure(&window, FigureId::VBeats), v - chosen_v);
    let corrected = summary(&window);
    drop(window);

    let mut window = reading(&day.edf);
    assert_eq!(summary(&window), corrected, "every edit is there after closing and opening");
    let critical = snapshot(&window).unread_critical().len();
    assert_eq!(keep_all_critical(&mut window), critical, "one key to go, one to keep, for each event");
    assert!(snapshot(&window).events.iter().filter(|e| e.critical).all(|e| e.state == EventState::Kept));
    sign(&mut window);
    let folder = signed_folder(&day);
    assert!(manifest::verify(&folder).unwrap().is_intact());
    window.get_by_label_contains(&format!("signed by {READER}"));

    let beat = snapshot(&window).beats[5].sample;
    window.state_mut().apply(beatledger_desk::app::act::Act::Select {
        selection: beatledger_desk::app::selection::Selection::of_beats(vec![beat], "beat"),
        go: true,
    });
    press(&mut window, PLAIN, Key::Q);
    press(&mut window, PLAIN, Key::Enter);
    window.get_by_label_contains("changed since");
    assert!(manifest::verify(&folder).unwrap().is_intact(), "what was signed lies as it was");

    let path = folder.join("summary.json");
    let mut text = std::fs::read_to_string(&path).unwrap();
    text = text.replacen("\"v_beats\"", "\"v_beat_\"", 1);
    std::fs::write(&path, text).unwrap();
    assert!(!manifest::verify(&folder).unwrap().is_intact(), "a changed byte shows");
}

#[test]
fn a_day_is_read_by_keys_alone() {
    let day = short_day();
    let mut window = reading(&day.edf);
    press(&mut window, PLAIN, Key::O);
    let (kind, span) = window.state().selection().event.expect("the first open item is an event");
    press(&mut window, PLAIN, Key::K);
    give_name(&mut window);
    let state = |window: &Window| {
        let day = snapshot(window);
        day.events.iter().find(|e| e.kind == kind && e.span == span).map(|e| e.state)
    };
    assert_eq!(state(&window), Some(EventState::Kept));

    for (key, stage) in [
        (Key::Num2, Stage::Grid),
        (Key::Num3, Stage::Scatter),
        (Key::Num4, Stage::Figures),
        (Key::Num1, Stage::Strip),
    ] {
        press(&mut window, PLAIN, key);
        assert_eq!(window.state().stage(), stage);
    }

    press(&mut window, PLAIN, Key::Slash);
    assert_eq!(window.state().sheet(), Some(Sheet::Find));
    type_text(&mut window, "V");
    press(&mut window, PLAIN, Key::Enter);
    let found = window.state().selection().beats.len();
    assert_eq!(found as f64, figure(&window, FigureId::VBeats), "find V selects every V beat and no other");
    assert_eq!(window.state().stage(), Stage::Strip, "letters typed in the find line are no commands");

    press(&mut window, PLAIN, Key::Escape);
    press(&mut window, ctrl(), Key::Z);
    assert_eq!(state(&window), Some(EventState::Unread));
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|e| e.to_string())
    }
}

#[test]
fn a_broken_file_gets_one_sentence_and_the_old_day_stays() {
    let day = short_day();
    let mut window = reading(&day.edf);
    let before = summary(&window);
    let broken = day.folder.path().join("broken.edf");
    let whole = std::fs::read(&day.edf).unwrap();
    std::fs::write(&broken, &whole[..300]).unwrap();
    window.input_mut().dropped_files.push(Arc::new(Dropped(broken)));
    window.step();
    settle(&mut window);
    let notice = window.state().notice().clone();
    assert!(notice.wrong && notice.words.contains("broken.edf"), "{}", notice.words);
    assert_eq!(notice.words.lines().count(), 1);
    assert!(notice.words.contains("stays as it is"), "{}", notice.words);
    assert_eq!(summary(&window), before);
}

#[test]
fn a_second_window_on_the_same_day_reads_and_cannot_write() {
    let day = short_day();
    let mut first = reading(&day.edf);
    press(&mut first, PLAIN, Key::O);
    press(&mut first, PLAIN, Key::K);
    give_name(&mut first);
    let mut second = window(Start::Path(day.edf.clone()));
    assert!(second.state().notice().words.contains("to read only"), "{}", second.state().notice().words);
    press(&mut second, PLAIN, Key::Enter);
    assert_eq!(summary(&second), summary(&first), "it shows what the first has written");
    press(&mut second, PLAIN, Key::O);
    press(&mut second, PLAIN, Key::K);
    let notice = second.state().notice();
    assert!(notice.wrong && notice.words.starts_with("Nothing was changed"), "{}", notice.words);
    assert_eq!(summary(&second), summary(&first));
    drop(first);
    let ledger = beatledger_ledger::path_for(&day.edf);
    let entries = beatledger_ledger::read(&ledger).unwrap().entries;
    let changes = entries.iter().filter(|e| !matches!(&e.action, Action::Do(Edit::MarkRead { .. })));
    assert_eq!(changes.count(), 1, "all others say what was on the screen");
}

#[test]
fn a_damaged_ledger_opens_to_read_as_far_as_it_is_whole_and_is_left_as_it_is() {
    let day = short_day();
    let mut first = reading(&day.edf);
    for _ in 0..2 {
        press(&mut first, PLAIN, Key::O);
        look(&mut first);
        press(&mut first, PLAIN, Key::K);
        give_name(&mut first);
    }
    drop(first);
    let ledger = beatledger_ledger::path_for(&day.edf);
    let mut bytes = std::fs::read(&ledger).unwrap();
    let at = bytes.len() - 5;
    bytes[at] ^= 1;
    std::fs::write(&ledger, &bytes).unwrap();
    let second = window(Start::Path(day.edf.clone()));
    let words = second.state().notice().words.clone();
    assert!(words.contains("to read only") && words.contains("broken at entry"), "{words}");
    let kept = |e: &beatledger_core::model::Event| e.state == EventState::Kept;
    assert!(snapshot(&second).events.iter().any(kept), "what was said before the damage stands");
    assert_eq!(std::fs::read(&ledger).unwrap(), bytes);
}

#[test]
fn edits_after_the_ledger_was_removed_are_not_said_to_be_saved() {
    let day = short_day();
    let mut window = reading(&day.edf);
    press(&mut window, PLAIN, Key::O);
    press(&mut window, PLAIN, Key::K);
    give_name(&mut window);
    let unread = snapshot(&window).unread_critical().len();
    std::fs::remove_file(beatledger_ledger::path_for(&day.edf)).unwrap();
    press(&mut window, PLAIN, Key::O);
    press(&mut window, PLAIN, Key::K);
    let notice = window.state().notice();
    assert!(notice.wrong && notice.words.contains("was removed"), "{}", notice.words);
    assert_eq!(snapshot(&window).unread_critical().len(), unread);
    assert!(!beatledger_ledger::path_for(&day.edf).exists());
}

#[test]
fn the_command_line_gives_the_figures_of_the_window_to_the_last_digit() {
    let day = short_day();
    let mut window = reading(&day.edf);
    choose_v_group(&mut window);
    press(&mut window, PLAIN, Key::S);
    give_name(&mut window);
    keep_all_critical(&mut window);
    let at_the_desk = summary(&window);
    drop(window);
    let out = day.folder.path().join("out");
    let words = ["beatledger", "read"].map(Into::into);
    let paths = [day.edf.clone().into_os_string(), "--out".into(), out.clone().into_os_string()];
    beatledger_desk::cli::run(words.into_iter().chain(paths));
    let without_a_window = std::fs::read_to_string(out.join("summary.json")).unwrap();
    assert_eq!(without_a_window, at_the_desk);
}
