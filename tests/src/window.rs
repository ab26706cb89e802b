//! A window without a display: the real desk, driven through the accessibility tree and by keys.

use beatledger_core::model::FigureId;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;
use beatledger_desk::app::desk::{Desk, Start};
use beatledger_desk::outside::canned::{CannedDialogs, FixedClock};
use beatledger_desk::outside::services::Services;
use beatledger_desk::outside::{desktop, signed_folder};
use beatledger_desk::sheets::sheet::Sheet;
use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;

/// A window on the desk.
pub type Window = Harness<'static, Desk>;

/// Who reads in the journeys.
pub const READER: &str = "R. Eader";

/// Real files, ledgers and sign-off; a clock that stands still; no dialogs.
pub fn services() -> Services {
    Services {
        dialogs: Box::new(CannedDialogs::new(None)),
        // 2025-11-24 16:00 UTC.
        clock: Box::new(FixedClock { at_utc_ms: 1_764_000_000_000, utc_offset_min: 60 }),
        store: Arc::new(desktop::Files),
        sign: Box::new(signed_folder::SignedFolders),
        settings: Settings::default(),
        reader_default: String::new(),
    }
}

/// A window of 1280 x 800 points that starts with `start`.
pub fn window(start: Start) -> Window {
    let mut window = Harness::builder()
        .with_size(egui::vec2(1280.0, 800.0))
        .with_max_steps(40)
        .with_step_dt(0.1)
        .with_theme(egui::Theme::Light)
        .build_eframe(move |cc| Desk::new(&cc.egui_ctx, start, services()));
    settle(&mut window);
    window
}

/// A window on a recording, ready to read: the intake sheet is closed by Enter, as it says.
pub fn reading(path: &Path) -> Window {
    let mut window = window(Start::Path(path.to_owned()));
    assert_eq!(window.state().sheet(), Some(Sheet::Intake), "{}", window.state().notice().words);
    press(&mut window, Modifiers::NONE, Key::Enter);
    assert_eq!(window.state().sheet(), None);
    window
}

/// Runs frames until nothing is being opened or prepared and the window rests.
pub fn settle(window: &mut Window) {
    let start = Instant::now();
    while window.state().is_busy() {
        assert!(start.elapsed() < Duration::from_secs(120), "the desk never got ready");
        std::thread::sleep(Duration::from_millis(10));
        window.step();
    }
    window.run();
}

/// Presses a key as a keyboard does: the key and, without Ctrl, the character that it types, in one frame.
pub fn press(window: &mut Window, modifiers: Modifiers, key: Key) {
    let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
    let events = &mut window.input_mut().events;
    events.push(Event::ModifiersChanged(modifiers));
    events.push(event(true));
    let name = match key {
        Key::Space => " ",
        Key::Enter | Key::Escape | Key::Tab | Key::Backspace => "",
        other => other.symbol_or_name(),
    };
    if !modifiers.command && name.chars().count() == 1 && name.is_ascii() {
        let typed = if modifiers.shift { name.to_uppercase() } else { name.to_lowercase() };
        events.push(Event::Text(typed));
    }
    window.step();
    window.input_mut().events.extend([event(false), Event::ModifiersChanged(Modifiers::NONE)]);
    window.run();
}

/// Looks at the screen for some seconds, long enough for what it shows to count as shown.
pub fn look(window: &mut Window) {
    window.run_steps(150);
}

/// Types text, a character a frame.
pub fn type_text(window: &mut Window, text: &str) {
    for letter in text.chars() {
        window.input_mut().events.push(Event::Text(letter.to_string()));
        window.step();
    }
    window.run();
}

/// Says who reads, when the window asks.
pub fn give_name(window: &mut Window) {
    if window.state().sheet() == Some(Sheet::Reader) {
        type_text(window, READER);
        press(window, Modifiers::NONE, Key::Enter);
    }
}

/// The day as it stands.
pub fn snapshot(window: &Window) -> Arc<Snapshot> {
    window.state().snapshot().unwrap_or_else(|| panic!("no day is open"))
}

/// A figure of the day as it stands.
pub fn figure(window: &Window, id: FigureId) -> f64 {
    snapshot(window).summary.number(id).unwrap_or_else(|| panic!("no figure {id}"))
}

/// Everything that the summary file would say of the day as it stands.
pub fn summary(window: &Window) -> String {
    beatledger_report::json::summary_text(&snapshot(window)).unwrap_or_else(|e| panic!("{e}"))
}
