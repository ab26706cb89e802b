//! The desk driven as a reader drives it: keys and names in, what stands after out.

mod acts;
mod by_hand;
mod calipers;
mod commands;
mod conclusion;
mod events;
mod find;
mod first;
mod flow;
mod gates;
mod items;
mod keys_only;
pub mod made;
mod odd_days;
mod picking;
mod seen;
mod selected;
mod settings;
mod signing;
mod standing;
mod store;
mod tracing;
pub mod view_bench;

use std::path::PathBuf;

use beatledger_core::settings::Settings;
use egui::{Key, Modifiers};
use egui_kittest::{
    Harness,
    kittest::{NodeT, Queryable},
};

use crate::app::desk::{Desk, Start};
use crate::outside::canned;
use crate::outside::services::Services;
use crate::tests::made::MadeDay;

/// Services of a desk on which nothing counts as shown by itself, unless they were given another time for it: what a test
/// counts is then what it did.
fn without_a_look(mut services: Services) -> Services {
    if services.settings.seen_min_s == Settings::default().seen_min_s {
        services.settings.seen_min_s = 600.0;
    }
    services
}

/// The desk in a window of 1280 x 800 without a display.
struct Bench {
    harness: Harness<'static, Desk>,
}

impl Bench {
    /// A made day of ten minutes, read by A. Reader.
    fn made() -> Self {
        Self::with_services(canned::still_services(), None)
    }

    /// The same with given services; with a path, that recording is opened instead.
    fn with_services(services: Services, path: Option<PathBuf>) -> Self {
        Self::with_day(10, services, path)
    }

    /// The same with a made day of `minutes`.
    fn with_day(minutes: i64, services: Services, path: Option<PathBuf>) -> Self {
        let services = without_a_look(services);
        let harness = Harness::builder()
            .with_size(egui::vec2(1280.0, 800.0))
            .with_os(egui::os::OperatingSystem::Nix)
            // Figures that become ready on their own thread ask for a frame whenever they are.
            .with_max_steps(40)
            .build_eframe(move |cc| {
                let start = match path {
                    Some(path) => Start::Path(path),
                    None => {
                        let day = MadeDay::minutes(minutes).snapshot();
                        Start::AlreadyRead { recording: day.recording, found: day.found }
                    }
                };
                let mut desk = Desk::new(&cc.egui_ctx, start, services);
                desk.set_reader("A. Reader");
                desk
            });
        let mut bench = Self { harness };
        bench.settle();
        bench
    }

    /// Waits until opening is over and the window is at rest.
    fn settle(&mut self) {
        for _ in 0..600 {
            self.harness.step();
            if !self.desk().is_busy() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        assert!(!self.desk().is_busy(), "opening took too long");
        self.harness.run();
    }

    fn desk(&self) -> &Desk {
        self.harness.state()
    }

    fn key(&mut self, key: Key) -> &mut Self {
        self.keys(Modifiers::NONE, key)
    }

    fn ctrl(&mut self, key: Key) -> &mut Self {
        self.keys(Modifiers::COMMAND, key)
    }

    fn ctrl_shift(&mut self, key: Key) -> &mut Self {
        self.keys(Modifiers::COMMAND | Modifiers::SHIFT, key)
    }

    fn keys(&mut self, modifiers: Modifiers, key: Key) -> &mut Self {
        self.harness.key_press_modifiers(modifiers, key);
        self.rest()
    }

    /// Says yes where one is asked for.
    fn yes(&mut self) -> &mut Self {
        if self.desk().waiting.for_yes.is_some() { self.key(Key::Enter) } else { self }
    }

    /// Goes on until the window is at rest and every figure is worked out.
    fn rest(&mut self) -> &mut Self {
        self.harness.run();
        if self.desk().open.day.as_ref().is_some_and(crate::app::open_day::OpenDay::is_busy) {
            self.settle();
        }
        self
    }

    /// Scrolls to what is named, as a reader would, and clicks it.
    fn click(&mut self, name: &str) -> &mut Self {
        self.harness.get_by_label(name).scroll_to_me();
        self.harness.run();
        self.harness.get_by_label(name).click();
        self.rest()
    }

    fn shows(&self, name: &str) -> bool {
        self.harness.query_all_by_label_contains(name).next().is_some()
    }

    /// Types into the text field with this name.
    fn type_into(&mut self, name: &str, text: &str) -> &mut Self {
        self.harness.get_by_role_and_label(egui::accesskit::Role::TextInput, name).type_text(text);
        self.harness.run();
        self
    }

    /// How many beats have the class of this letter.
    fn count(&self, letter: char) -> usize {
        let snapshot = self.desk().snapshot().expect("a day is open");
        snapshot.beats.iter().filter(|b| b.class.letter() == letter).count()
    }
}
