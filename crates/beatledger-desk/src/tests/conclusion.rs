//! The conclusion: the last one written is the one that is signed.

use super::by_hand::*;
use super::*;
use beatledger_core::review::Edit;

use crate::app::act::Act;
use crate::outside::signed_folder;
use crate::sheets::sheet::Sheet;

fn quiet_day() -> Day {
    day(&"N".repeat(20), &[800])
}

fn write(bench: &mut Bench, text: &str) {
    bench.ctrl(Key::E);
    assert_eq!(bench.desk().sheet(), Some(Sheet::Conclusion));
    bench.ctrl(Key::A);
    bench.harness.event(egui::Event::Text(text.to_owned()));
    bench.harness.run();
    bench.ctrl(Key::Enter);
    assert_eq!(bench.desk().sheet(), None);
}

#[test]
fn a_conclusion_that_is_written_again_is_signed_as_it_was_written_last() {
    let pen = Pen::default();
    let mut bench = quiet_day().signed_with(pen.clone());
    write(&mut bench, "Sinus rhythm, a pause.");
    write(&mut bench, "Sinus rhythm, no pause.");
    bench.ctrl(Key::Enter);
    assert!(bench.shows("Sinus rhythm, no pause.") && !bench.shows("Sinus rhythm, a pause."));
    bench.act(Act::Sign(request()));
    assert_eq!(pen.last().snapshot.conclusion, "Sinus rhythm, no pause.");
    assert_eq!(pen.last().entries.len(), 2);
    bench.ctrl(Key::Z);
    assert_eq!(bench.desk().snapshot().unwrap().conclusion, "Sinus rhythm, a pause.");
    bench.act(Act::Sign(request()));
    assert_eq!(pen.last().snapshot.conclusion, "Sinus rhythm, a pause.");
}

#[test]
fn the_draft_starts_with_what_stands_and_leaving_keeps_that() {
    let mut bench = quiet_day().on_the_desk();
    write(&mut bench, "First.");
    bench.ctrl(Key::E).key(Key::End);
    bench.harness.event(egui::Event::Text(" Second.".into()));
    bench.harness.run();
    bench.click("Leave as it was");
    assert_eq!(bench.desk().snapshot().unwrap().conclusion, "First.");
    bench.ctrl(Key::E).ctrl(Key::End);
    bench.harness.event(egui::Event::Text(" Second.".into()));
    bench.harness.run();
    bench.ctrl(Key::Enter);
    assert_eq!(bench.desk().snapshot().unwrap().conclusion, "First. Second.");
    assert_eq!(bench.desk().notice().words, "Conclusion written");
}

#[test]
fn the_signed_files_hold_the_last_conclusion_and_no_earlier_one() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("day.edf");
    let conclude = |text: &str| Edit::Conclude { text: text.into() };
    let entries = [entry(1, conclude("Earlier words.")), entry(2, conclude("Later words."))];
    in_ledger(&path, &entries);
    signed_folder::write_signed(&request(), &stamp(), &quiet_day().snapshot(&entries), &entries, Some(&path))
        .unwrap();
    let signed = folder.path().join("day.edf.signed-20251124-170000");
    for name in ["summary.json", "bundle.fhir.json"] {
        let text = std::fs::read_to_string(signed.join(name)).unwrap();
        assert!(text.contains("Later words."), "{name}");
        assert!(!text.contains("Earlier words."), "{name}");
    }
}
