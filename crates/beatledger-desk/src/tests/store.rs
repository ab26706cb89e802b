//! Opening, saving, and what happens when either fails.

use std::path::Path;
use std::sync::{Arc, Mutex};

use beatledger_core::model::{Progress, Recording};
use beatledger_core::review::Entry;

use super::*;
use crate::outside::canned::CannedDialogs;
use crate::outside::services::{LedgerFile, OpenedLedger, Store};
use crate::sheets::sheet::Sheet;

/// Files in memory: any path but `broken.edf` opens the made day.
#[derive(Clone, Default)]
struct Shelf {
    written: Arc<Mutex<Vec<Entry>>>,
    full: bool,
    busy: bool,
}

impl Store for Shelf {
    fn open(&self, path: &Path) -> Result<Recording, String> {
        if path.ends_with("broken.edf") {
            return Err("broken.edf could not be opened: the header ends after 12 bytes.".into());
        }
        Ok(Recording::clone(&MadeDay::minutes(2).snapshot().recording))
    }

    fn glance(&self, path: &Path) -> Option<Recording> {
        self.open(path).ok()
    }

    fn demo(&self) -> Result<Recording, String> {
        self.open(Path::new("demo"))
    }

    fn ledger(&self, _path: &Path, _recording: &Recording) -> Result<OpenedLedger, String> {
        let words = if self.busy { "someone else is editing this recording" } else { "" };
        let file = (!self.busy).then(|| Box::new(self.clone()) as Box<dyn LedgerFile>);
        Ok(OpenedLedger { entries: self.written.lock().unwrap().clone(), file, words: words.into() })
    }
}

impl LedgerFile for Shelf {
    fn append(&mut self, entry: &Entry) -> Result<(), String> {
        if self.full {
            return Err("the disk is full".into());
        }
        self.written.lock().unwrap().push(entry.clone());
        Ok(())
    }

    fn place(&self) -> String {
        "day.edf.beatledger".into()
    }
}

fn services(shelf: &Shelf) -> Services {
    Services { store: Arc::new(shelf.clone()), ..canned::still_services() }
}

fn insert(bench: &mut Bench) {
    bench.harness.state_mut().apply(crate::app::act::Act::GoTo(77));
    bench.key(Key::I).key(Key::V);
}

#[test]
fn an_edit_is_written_before_it_counts_and_comes_back_on_opening() {
    let shelf = Shelf::default();
    let mut bench = Bench::with_services(services(&shelf), Some("day.edf".into()));
    assert_eq!(bench.desk().sheet(), Some(Sheet::Intake));
    bench.key(Key::Escape);
    let v = bench.count('V');
    insert(&mut bench);
    assert_eq!(shelf.written.lock().unwrap().len(), 1);
    assert_eq!(shelf.written.lock().unwrap()[0].reader, "A. Reader");
    assert!(bench.shows("1 entry saved in day.edf.beatledger"));
    let again = Bench::with_services(services(&shelf), Some("day.edf".into()));
    assert_eq!(again.count('V'), v + 1);
}

#[test]
fn an_edit_that_cannot_be_written_is_not_made() {
    let shelf = Shelf { full: true, ..Shelf::default() };
    let mut bench = Bench::with_services(services(&shelf), Some("day.edf".into()));
    bench.key(Key::Escape);
    let v = bench.count('V');
    insert(&mut bench);
    assert_eq!(bench.count('V'), v);
    assert!(bench.desk().notice().wrong);
    assert_eq!(bench.desk().notice().words, "Not made: beat V inserted. the disk is full");
}

#[test]
fn a_second_reader_can_look_but_not_change() {
    let shelf = Shelf { busy: true, ..Shelf::default() };
    let mut bench = Bench::with_services(services(&shelf), Some("day.edf".into()));
    bench.key(Key::Escape);
    let v = bench.count('V');
    insert(&mut bench);
    assert_eq!(bench.count('V'), v);
    assert!(bench.desk().notice().words.contains("someone else is editing"));
    assert!(bench.shows("read-only"));
}

#[test]
fn a_file_that_cannot_be_read_leaves_the_old_day_open() {
    let dialogs = Box::new(CannedDialogs::new(Some("broken.edf".into())));
    let mut bench = Bench::with_services(Services { dialogs, ..services(&Shelf::default()) }, None);
    let beats = bench.desk().snapshot().unwrap().beats.len();
    bench.click("Open");
    bench.settle();
    assert_eq!(bench.desk().snapshot().unwrap().beats.len(), beats);
    assert!(bench.desk().notice().words.contains("12 bytes"));
}

#[test]
fn the_reader_is_asked_once_before_the_first_edit() {
    let mut bench = Bench::made();
    bench.harness.state_mut().reader = None;
    let v = bench.count('V');
    bench.key(Key::ArrowRight).key(Key::V);
    assert_eq!(bench.desk().sheet(), Some(Sheet::Reader));
    assert_eq!(bench.count('V'), v);
    bench.click("That is me");
    assert_eq!(bench.count('V'), v + 1);
    bench.key(Key::ArrowRight).key(Key::V).yes();
    assert_eq!((bench.desk().sheet(), bench.count('V')), (None, v + 2));
}

/// Opens `path` from the real disk over the made day, and gives what the bottom line says.
fn opened_from_disk(path: &Path) -> String {
    let dialogs = Box::new(CannedDialogs::new(Some(path.to_owned())));
    let mut bench = Bench::with_services(Services { dialogs, ..canned::still_services() }, None);
    bench.key(Key::ArrowRight).key(Key::V);
    let v = bench.count('V');
    bench.click("Open");
    bench.settle();
    assert_eq!(bench.count('V'), v, "the old day stays as it was");
    assert!(bench.desk().notice().wrong);
    bench.desk().notice().words.clone()
}

#[test]
fn what_is_no_recording_is_refused_in_a_sentence_that_says_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("notes.txt");
    std::fs::write(&text, "Slept badly. Palpitations at noon.\n").unwrap();
    let broken = folder.path().join("cut.edf");
    std::fs::write(&broken, b"0       patient").unwrap();
    let empty = folder.path().join("nothing");
    std::fs::create_dir(&empty).unwrap();
    for (path, name) in [
        (text, "notes.txt"),
        (broken, "cut.edf"),
        (empty, "nothing"),
        (folder.path().join("gone.edf"), "gone.edf"),
    ] {
        let words = opened_from_disk(&path);
        assert!(words.starts_with("Not opened: ") && words.contains(name), "{words}");
        assert!(words.ends_with("Choose another recording; the day on the desk stays as it is."), "{words}");
    }
}

#[test]
fn what_was_said_to_be_saved_is_there_when_the_window_is_closed_over_a_sheet() {
    let shelf = Shelf::default();
    let mut bench = Bench::with_services(services(&shelf), Some("day.edf".into()));
    bench.key(Key::Escape).ctrl(Key::E);
    bench.harness.event(egui::Event::Text("Quiet day.".into()));
    bench.harness.run();
    bench.ctrl(Key::Enter).ctrl(Key::E);
    bench.harness.event(egui::Event::Text("Not finished".into()));
    bench.harness.run();
    assert!(bench.shows("1 entry saved"));
    drop(bench);
    let again = Bench::with_services(services(&shelf), Some("day.edf".into()));
    assert_eq!(again.desk().snapshot().unwrap().conclusion, "Quiet day.");
}

#[test]
fn a_setting_in_the_ledger_that_decides_how_beats_are_found_is_in_force_when_the_day_is_opened() {
    use beatledger_core::pipeline::find;
    use beatledger_core::review::{Action, Edit};
    use beatledger_core::settings::Settings;
    let shelf = Shelf::default();
    let edit = Edit::ChangeSetting { key: "st_offset_ms".into(), value: 20.0 };
    shelf.written.lock().unwrap().push(Entry {
        seq: 1,
        at_utc_ms: 0,
        utc_offset_min: 0,
        reader: "A. Reader".into(),
        action: Action::Do(edit),
    });
    let bench = Bench::with_services(services(&shelf), Some("day.edf".into()));
    let snapshot = bench.desk().snapshot().unwrap();
    assert_eq!((snapshot.settings.st_offset_ms, snapshot.orphans.len()), (20.0, 0));
    let with = |settings: &Settings| find(&snapshot.recording, settings, &Progress::default()).unwrap();
    assert!(with(&snapshot.settings) == *snapshot.found, "beats were found with the settings in force");
    assert!(
        with(&Settings::default()).repolarisation != snapshot.found.repolarisation,
        "the setting makes a difference"
    );
}

#[test]
fn the_first_minutes_are_shown_while_the_day_is_still_being_read() {
    let ctx = egui::Context::default();
    let what = crate::app::job::ToOpen::File("day.edf".into());
    let job = crate::app::job::Job::start(what, Arc::new(Shelf::default()), Default::default(), &ctx);
    let mut harness = Harness::new_ui_state(
        |ui, job: &mut crate::app::job::Job| {
            job.listen();
            if let Some(first) = job.preview() {
                first.show(ui, Desk::theme(ui.ctx()));
            }
        },
        job,
    );
    for _ in 0..600 {
        harness.step();
        if harness.state().preview().is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    harness.run();
    assert!(harness.query_by_label_contains("First look: ").is_some());
}
