//! A whole reading without a pointer.

use std::sync::{Arc, Mutex};

use beatledger_core::model::EventState;
use beatledger_core::review::{Edit, Entry, Signature};
use beatledger_core::session::{Snapshot, Stamp};

use super::*;
use crate::outside::services::{SignOff, SignRequest, Signed};
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

/// Signs into memory; with each request stands whether every figure was worked out.
#[derive(Clone, Default)]
struct Paper(Arc<Mutex<Vec<(SignRequest, bool)>>>);

impl SignOff for Paper {
    fn sign(
        &mut self,
        request: &SignRequest,
        _stamp: &Stamp,
        snapshot: &Snapshot,
        _entries: &[Entry],
        _path: Option<&std::path::Path>,
    ) -> Result<Signed, String> {
        self.0.lock().unwrap().push((request.clone(), snapshot.is_whole()));
        let SignRequest { reader, role, meaning, .. } = request.clone();
        let signature = Signature { reader, role, meaning, manifest_sha256: "0".repeat(64) };
        Ok(Signed { signature, words: "Signed".into(), folder: None })
    }

    fn take_back(&mut self, _signed: &Signed) -> Result<(), String> {
        Ok(())
    }
}

impl Bench {
    /// Types text as a keyboard does, into whatever has the focus.
    fn typed(&mut self, text: &str) -> &mut Self {
        self.harness.event(egui::Event::Text(text.to_owned()));
        self.harness.run();
        self
    }

    /// Name of what has the keyboard.
    fn focused(&self) -> Option<String> {
        let nodes = self.harness.query_all(egui_kittest::kittest::by().recursive(true));
        nodes.filter(|n| n.accesskit_node().is_focused()).find_map(|n| n.accesskit_node().label())
    }

    /// Presses Tab until the thing with this name has the keyboard.
    fn tab_to(&mut self, name: &str) -> &mut Self {
        for _ in 0..40 {
            if self.focused().is_some_and(|n| n.starts_with(name)) {
                return self;
            }
            self.key(Key::Tab);
        }
        panic!("Tab does not reach {name}");
    }
}

#[test]
fn a_day_is_read_and_signed_with_keys_alone() {
    let paper = Paper::default();
    let services = Services { sign: Box::new(paper.clone()), ..canned::still_services() };
    let mut bench = Bench::with_services(services, None);
    // A pause that must be read.
    let gone = bench.desk().snapshot().unwrap().beats[20..24].iter().map(|b| b.sample).collect();
    bench.harness.state_mut().apply(crate::app::act::Act::Edit(Edit::RemoveBeats { beats: gone }));
    bench.harness.run();

    // Open items: keep the pause.
    bench.key(Key::O).key(Key::K);
    let day = bench.desk().snapshot().unwrap();
    assert!(day.unread_critical().is_empty());
    assert!(day.events.iter().any(|e| e.state == EventState::Kept));

    // Grid: the first arrow reaches a cell, the next one its neighbour, Enter selects, a letter labels.
    bench.key(Key::Num2).key(Key::ArrowRight).key(Key::ArrowRight).key(Key::Enter);
    assert_eq!(bench.desk().stage(), Stage::Grid);
    let selected = bench.desk().selection().beats.len();
    assert!(selected > 1, "{:?}", bench.desk().selection().words);
    let q = bench.count('Q');
    // That many beats wait for a yes.
    assert!(selected > crate::app::entries::ASK_FROM_BEATS);
    bench.key(Key::Q);
    assert_eq!(bench.count('Q'), q);
    bench.key(Key::Enter);
    assert_eq!(bench.count('Q'), q + selected, "{}", bench.desk().notice().words);

    // Members are walked one by one, then the edit is taken back.
    let place = bench.desk().place();
    bench.key(Key::Period);
    assert!(bench.desk().place() > place);
    bench.ctrl(Key::Z);
    assert_eq!(bench.count('Q'), q);

    // Find, and leave the line again.
    bench.ctrl(Key::F).typed("V rr < 700 ms").key(Key::Enter);
    assert_eq!(bench.desk().selection().beats.len(), bench.count('V'));
    bench.key(Key::Escape);

    // Conclusion and signature.
    bench.ctrl(Key::E).typed("Sinus rhythm, rare V beats.").ctrl(Key::Enter);
    assert_eq!(bench.desk().snapshot().unwrap().conclusion, "Sinus rhythm, rare V beats.");
    bench.ctrl(Key::Enter);
    assert_eq!(bench.desk().sheet(), Some(Sheet::Sign));
    assert_eq!(bench.focused().as_deref(), Some("Role"));
    bench.typed("physician").tab_to("prepared").key(Key::Space);
    bench.tab_to("Begins: ").key(Key::Space);
    bench.tab_to("Sign the summary as it stands").key(Key::Enter);
    assert_eq!(bench.desk().sheet(), None, "{}", bench.desk().notice().words);
    assert_eq!(paper.0.lock().unwrap()[0].0.role, "physician");
    assert!(bench.desk().snapshot().unwrap().fold.signed.is_some());
}

/// An edit and a signature before the window has drawn a frame between them.
#[test]
fn what_is_signed_right_after_an_edit_holds_every_figure() {
    let paper = Paper::default();
    let services = Services { sign: Box::new(paper.clone()), ..canned::still_services() };
    let mut bench = Bench::with_services(services, None);
    let critical = bench.desk().snapshot().unwrap().unread_critical();
    assert!(critical.is_empty(), "nothing stands in the way of signing: {critical:?}");
    let desk = bench.harness.state_mut();
    desk.apply(crate::app::act::Act::Edit(Edit::Conclude { text: "Sinus rhythm.".into() }));
    assert!(!desk.open.day.as_ref().unwrap().snapshot.is_whole(), "the long figures are still to come");
    let fields = ["A. Reader", "physician", "prepared"].map(String::from);
    let [reader, role, meaning] = fields;
    desk.apply(crate::app::act::Act::Sign(SignRequest { reader, role, meaning, confirmed: true }));
    let signed = paper.0.lock().unwrap();
    assert_eq!((signed.len(), signed[0].1), (1, true));
    assert!(desk.snapshot().unwrap().fold.signed.is_some());
}

#[test]
fn tab_reaches_the_views_and_shows_where_it_is() {
    let mut bench = Bench::made();
    for name in ["Day band", "Lens, ", "Day strip, ", "Edge between day strip and lens"] {
        bench.tab_to_far(name);
    }
}

impl Bench {
    /// The same for things further away than a sheet is wide.
    fn tab_to_far(&mut self, name: &str) {
        for _ in 0..160 {
            if self.focused().is_some_and(|n| n.starts_with(name)) {
                return;
            }
            self.key(Key::Tab);
        }
        panic!("Tab does not reach {name}");
    }
}

#[test]
fn a_focused_edge_moves_with_the_arrows() {
    let mut bench = Bench::made();
    bench.tab_to_far("Edge between day strip and lens");
    let top = |bench: &Bench| bench.harness.get_by_label("Edge between day strip and lens").rect().top();
    let before = top(&bench);
    bench.key(Key::ArrowUp);
    assert!(top(&bench) < before - 10.0);
}

#[test]
fn f6_goes_round_the_parts_of_the_window() {
    let mut bench = Bench::made();
    for name in ["Day strip, ", "Lens, ", "Edge between", "Day band", "Day strip, "] {
        bench.key(Key::F6);
        let focused = bench.focused().unwrap_or_default();
        assert!(focused.starts_with(name), "{focused}");
    }
    let place = bench.desk().place();
    bench.key(Key::ArrowDown);
    assert!(bench.desk().place() > place, "the day strip turns by a row");
}
