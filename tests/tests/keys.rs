//! Keys and commands: each has a name and help where a reader looks for it, each does something that shows,
//! and no document names a key that is not there.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use beatledger_core::model::{EventKind, Found, Recording};
use beatledger_desk::app::act::Act;
use beatledger_desk::app::desk::Start;
use beatledger_desk::commands::chord::Chord;
use beatledger_desk::commands::table::Command;
use beatledger_testkit::root;
use beatledger_tests::syntax::Crate;
use beatledger_tests::window::{Window, press, snapshot, window};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;

fn day() -> (Arc<Recording>, Arc<Found>) {
    static DAY: OnceLock<(Arc<Recording>, Arc<Found>)> = OnceLock::new();
    DAY.get_or_init(|| {
        let request = beatledger_synth::Request { hours: 0.4, ..Default::default() };
        beatledger_tests::made::found(&beatledger_synth::make(&request))
    })
    .clone()
}

fn start() -> Start {
    let (recording, found) = day();
    Start::AlreadyRead { recording, found }
}

/// A window in which a couplet in the middle of the day is chosen, one edit is made and one taken back.
fn busy_window() -> Window {
    let mut window = window(start());
    use Command as C;
    let desk = window.state_mut();
    desk.set_reader("R. Eader");
    let day = desk.snapshot().unwrap();
    let couplet = |i: &usize| day.events[*i].kind == EventKind::VentricularCouplet;
    let at = (0..day.events.len()).find(couplet).expect("the made day holds a ventricular couplet");
    // A key acts on what is seen: each step is drawn before the next.
    for command in [C::NextItem, C::KeepEvent, C::NextItem, C::KeepEvent, C::Undo] {
        window.state_mut().run(command);
        window.run();
    }
    window.state_mut().apply(Act::Event(at));
    window.run();
    window
}

/// Every key with the modifiers that a keyboard could hold, as events of the window.
fn presses(chord: Chord) -> Option<(Modifiers, Key)> {
    let ctrl = Modifiers::CTRL | Modifiers::COMMAND;
    let held = [Modifiers::NONE, Modifiers::SHIFT, ctrl, ctrl | Modifiers::SHIFT];
    held.into_iter().flat_map(|m| Key::ALL.iter().map(move |k| (m, *k))).find(|(m, k)| chord.matches(*k, *m))
}

/// What a reader can see of the window, beside the tracing: the words of the accessibility tree and the state.
fn sight(window: &Window) -> String {
    let desk = window.state();
    let day = snapshot(window);
    let all = window.query_all(egui_kittest::kittest::by().recursive(true));
    let words: Vec<String> = all.map(|n| format!("{n:?}")).collect();
    let theme = window.ctx.theme();
    let size = window.ctx.global_style().text_styles[&egui::TextStyle::Body].size;
    format!(
        "{:?} {:?} {:?} {} {:?} {} {theme:?} {size} {} {}",
        desk.selection(),
        desk.stage(),
        desk.sheet(),
        desk.place(),
        desk.notice(),
        day.fold.in_force.len(),
        desk.is_busy(),
        words.join("\n"),
    )
}

#[test]
fn every_key_of_the_table_does_something_that_shows() {
    // What needs another start: nothing to go back to, or the desktop's own dialog.
    let set_up = |window: &mut Window, command: Command| match command {
        Command::PreviousItem => window.state_mut().run(Command::NextItem),
        Command::StageStrip => window.state_mut().run(Command::StageGrid),
        Command::PageEarlier => window.state_mut().run(Command::PageLater),
        Command::MarkReadable => window.state_mut().run(Command::MarkUnreadable),
        _ => {}
    };
    let mut silent = Vec::new();
    for command in Command::ALL.iter().filter(|c| **c != Command::Open) {
        for chord in command.chords() {
            let (modifiers, key) = presses(*chord).unwrap_or_else(|| panic!("no key is {}", chord.words()));
            let mut window = busy_window();
            set_up(&mut window, *command);
            window.run();
            let before = sight(&window);
            press(&mut window, modifiers, key);
            if sight(&window) == before {
                silent.push(format!("{} ({})", command.words(), chord.words()));
            }
        }
    }
    assert!(silent.is_empty(), "nothing shows after: {}", silent.join(", "));
}

#[test]
fn the_table_of_keys_and_the_palette_name_every_command() {
    let mut window = window(start());
    press(&mut window, Modifiers::NONE, Key::F1);
    for command in Command::ALL.iter().filter(|c| !c.chords().is_empty()) {
        let keys: Vec<String> = command.chords().iter().map(|c| c.words()).collect();
        let named = window.query_all_by_label(&keys.join(" or ")).count();
        assert!(named > 0, "the table of keys lacks {} of {}", keys.join(" or "), command.words());
    }
    press(&mut window, Modifiers::NONE, Key::Escape);
    press(&mut window, Modifiers::CTRL | Modifiers::COMMAND | Modifiers::SHIFT, Key::P);
    for command in Command::ALL {
        assert!(window.query_all_by_label_contains(command.words()).count() > 0, "{}", command.words());
    }
}

/// Keys of text fields, buttons and sheets, which are no commands.
const OTHER_KEYS: [&str; 7] = ["Enter", "Tab", "Shift+Tab", "Space", "Up", "Down", "Alt+F4"];

/// Words after `Ctrl+` or between `<kbd>` and `</kbd>`.
fn keys_named(text: &str) -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    for part in text.split("<kbd>").skip(1) {
        keys.insert(part.split("</kbd>").next().unwrap_or_default().to_owned());
    }
    for (at, _) in text.match_indices("Ctrl+") {
        let rest = text[at..].split(|c: char| !c.is_alphanumeric() && c != '+').next().unwrap_or_default();
        keys.insert(rest.to_owned());
    }
    keys
}

/// Keys that `text` names and no command has.
fn unknown_keys(text: &str) -> Vec<String> {
    let known: BTreeSet<String> =
        Command::ALL.iter().flat_map(|c| c.chords().iter().map(|k| k.words())).collect();
    let is_known = |key: &String| known.contains(key) || OTHER_KEYS.contains(&key.as_str());
    keys_named(text).into_iter().filter(|key| !is_known(key)).collect()
}

#[test]
fn no_document_names_a_key_that_is_not_there() {
    for page in ["README.md", "DEVELOPERS.md"] {
        let text = std::fs::read_to_string(root().join(page)).unwrap_or_default();
        assert_eq!(unknown_keys(&text), [""; 0], "{page} names a key that no command has");
    }
}

#[test]
fn no_text_of_the_window_names_a_key_that_is_not_there() {
    let desk = Crate::read(&root().join("crates/beatledger-desk/src"));
    let mut named = 0;
    // The names of keys themselves are made of a modifier and a key.
    for file in desk.product().filter(|f| f.name != "commands/chord.rs") {
        for text in file.texts() {
            assert_eq!(unknown_keys(&text), [""; 0], "{} says: {text}", file.name);
            named += keys_named(&text).len();
        }
    }
    assert!(named > 0, "no text of the window names a key: the cards do");
}

#[test]
fn a_key_that_is_not_there_is_caught() {
    assert_eq!(unknown_keys("Press Ctrl+J or <kbd>Hyper</kbd>, then Ctrl+Z."), ["Ctrl+J", "Hyper"]);
    let desk = Crate::parse(&[(
        "lib.rs",
        "fn f() { say(format!(\"{} (Ctrl+J)\", 1)); } const C: &str = \"Ctrl+Q\";",
    )]);
    let unknown: Vec<String> = desk.files[0].texts().iter().flat_map(|t| unknown_keys(t)).collect();
    assert_eq!(unknown, ["Ctrl+J", "Ctrl+Q"]);
}
