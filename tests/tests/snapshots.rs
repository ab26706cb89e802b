//! The report as text and the desk as pictures, compared with what is committed. `UPDATE_SNAPSHOTS=1` writes
//! them anew; a failing run leaves what it saw beside them, with `.new` in the name.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use beatledger_core::model::{Found, Recording};
use beatledger_core::session::Session;
use beatledger_core::settings::Settings;
use beatledger_desk::pictures::gallery::{self, Scene};
use beatledger_report::document::{self, ReportContext, SignState};
use beatledger_testkit::root;
use beatledger_tests::picture::{difference, read_png, write_small_png};

/// Share of pixels that may differ: letters and lines are drawn with floating-point numbers, whose last bits
/// may differ from one machine to another.
const MAY_DIFFER: f64 = 0.002;
/// A committed picture is smaller than this, bytes.
const LARGEST: u64 = 200_000;

fn day() -> (Arc<Recording>, Arc<Found>) {
    static DAY: OnceLock<(Arc<Recording>, Arc<Found>)> = OnceLock::new();
    DAY.get_or_init(|| {
        let request = beatledger_synth::Request { hours: 0.25, ..Default::default() };
        beatledger_tests::made::told(&beatledger_synth::make(&request))
    })
    .clone()
}

fn snapshots() -> PathBuf {
    root().join("tests/tests/snapshots")
}

fn is_update() -> bool {
    std::env::var_os("UPDATE_SNAPSHOTS").is_some_and(|v| v == "1")
}

#[test]
fn the_report_of_a_made_day_says_what_it_said() {
    let (recording, found) = day();
    let snapshot = Session::new(recording, Settings::default(), found, &[]).snapshot();
    let context = ReportContext {
        program: "beatledger".to_owned(),
        // 2025-11-24 16:00 UTC.
        created_utc_ms: 1_764_000_000_000,
        utc_offset_min: 60,
        recorder_utc_offset_min: None,
        sign: SignState::NotSigned,
        ledger_head: String::new(),
        ledger_entries: 0,
    };
    let report = document::build(&snapshot, &context);
    let text = report.to_text().replace('\u{a0}', " ");
    let path = snapshots().join("report.txt");
    if is_update() {
        return std::fs::write(&path, &text).unwrap();
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    if text != expected {
        std::fs::write(path.with_extension("new.txt"), &text).unwrap();
        let line = text.lines().zip(expected.lines()).position(|(a, b)| a != b);
        let at = line.unwrap_or(text.lines().count().min(expected.lines().count()));
        let of = |text: &str| text.lines().nth(at).unwrap_or("(no line)").to_owned();
        panic!("line {} of the report is\n{}\nand was\n{}", at + 1, of(&text), of(&expected));
    }
}

/// Draws a scene of the gallery and compares it with the committed picture.
fn compare(name: &str) {
    let scene: &Scene = gallery::SCENES.iter().find(|s| s.name == name).expect("the gallery has this scene");
    let (recording, found) = day();
    let picture = gallery::picture(scene, &recording, &found);
    let path = snapshots().join(format!("{name}.png"));
    if is_update() {
        write_small_png(&picture, &path);
        let bytes = std::fs::metadata(&path).unwrap().len();
        assert!(bytes < LARGEST, "{name} has {bytes} bytes");
        return;
    }
    let differs = read_png(&path).map_or(1.0, |expected| difference(&picture, &expected));
    if differs > MAY_DIFFER {
        write_small_png(&picture, &path.with_extension("new.png"));
        panic!("{:.2} % of the pixels of {name} differ; see {name}.new.png", 100.0 * differs);
    }
}

#[test]
fn the_desk_on_light_paper_looks_as_it_did() {
    compare("desk-light");
}

#[test]
fn the_desk_on_dark_paper_looks_as_it_did() {
    compare("desk-dark");
}

#[test]
fn the_figures_look_as_they_did() {
    compare("figures");
}

#[test]
fn the_desk_at_200_percent_looks_as_it_did() {
    compare("desk-200-percent");
}
