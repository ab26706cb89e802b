//! The command line as a user meets it: statuses, files written, and made days whose truth is known.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use beatledger_core::model::{BeatClass, Rate};
use beatledger_formats::wfdb::{Mapping, beat_class, read_annotation_file};
use beatledger_score::{Annotations, Column, Row, Rules, compare};
use beatledger_tests::truth::{Stretch, Summary, WEIGHTY, unmatched};

fn beatledger(words: &[&str], paths: &[&Path]) -> ExitCode {
    let mut line: Vec<OsString> = vec!["beatledger".into()];
    line.extend(words.iter().map(Into::into));
    line.extend(paths.iter().map(|p| p.as_os_str().to_owned()));
    beatledger_desk::cli::run(line)
}

fn status(code: ExitCode, expected: u8) {
    assert_eq!(format!("{code:?}"), format!("{:?}", ExitCode::from(expected)));
}

/// A made day, written and read by the command line alone.
struct Day {
    _folder: tempfile::TempDir,
    truth: Summary,
    read: Summary,
    atr: PathBuf,
    out: PathBuf,
    ended: ExitCode,
}

fn read_day(scenario: &str, hours: f64) -> Day {
    let folder = tempfile::tempdir().unwrap();
    let (made, out) = (folder.path().join("made"), folder.path().join("out"));
    let hours = hours.to_string();
    status(beatledger(&["demo", "--scenario", scenario, "--hours", &hours], &[&made]), 0);
    let edf = made.join(format!("{scenario}.edf"));
    let ended = beatledger(&["read"], &[&edf, Path::new("--out"), &out]);
    Day {
        truth: Summary::read(&made.join(format!("{scenario}.truth.json"))),
        read: Summary::read(&out.join("summary.json")),
        atr: made.join(format!("{scenario}.atr")),
        out,
        ended,
        _folder: folder,
    }
}

impl Day {
    fn figure(&self, key: &str) -> f64 {
        self.read.number(key).unwrap_or_else(|| panic!("no figure {key}"))
    }

    /// True beats against the rows of beats.csv: share with the right label, missed and added ones counted
    /// as wrong, percent. Both files leave unreadable time out.
    fn labels_right_percent(&self) -> f64 {
        let rate = Rate::whole_hz(250);
        let file = read_annotation_file(&self.atr, Some(rate)).unwrap();
        let class = |symbol: &str| beat_class(symbol, Mapping::Ec57);
        let truth = file.annotations.iter().filter_map(|a| class(&a.symbol).map(|c| (a.sample, c)));
        let table = std::fs::read_to_string(self.out.join("beats.csv")).unwrap();
        let beats = table.lines().skip(1).map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let class = BeatClass::from_letter(cells[4].chars().next().unwrap()).unwrap();
            (cells[0].parse().unwrap(), class)
        });
        let (truth, beats) = (Annotations::of_beats(truth.collect()), Annotations::of_beats(beats.collect()));
        let matrix = compare("day", rate, &truth, &beats, &Rules::WHOLE).matrix;
        let right: u64 =
            BeatClass::ALL.iter().map(|c| matrix.at(Row::of_class(*c), Column::of_class(*c))).sum();
        let all = matrix.sum(&Row::ALL, &Column::ALL);
        println!("{}", beatledger_score::matrix_table(&matrix));
        100.0 * right as f64 / all as f64
    }
}

#[test]
fn statuses_say_how_a_command_ended() {
    status(beatledger(&["--version"], &[]), 0);
    status(beatledger(&["read", "--no-such-option"], &[]), 64);
    status(beatledger(&["read"], &[]), 64);
    let folder = tempfile::tempdir().unwrap();
    status(beatledger(&["read"], &[&folder.path().join("absent.edf")]), 2);
    status(beatledger(&["verify"], &[&folder.path().join("absent.beatledger")]), 2);
    status(beatledger(&["demo", "--scenario", "no-such-day"], &[folder.path()]), 2);
    status(beatledger(&["demo", "--hours", "0.01"], &[folder.path()]), 2);
    let settings = folder.path().join("settings.toml");
    std::fs::write(&settings, "pause_ms = -1\n").unwrap();
    status(beatledger(&["demo", "--hours", "0.1"], &[folder.path()]), 0);
    let edf = folder.path().join("working-day.edf");
    status(beatledger(&["read"], &[&edf, Path::new("--settings"), &settings]), 2);
    status(beatledger(&["settings"], &[]), 0);
    status(beatledger(&["settings"], &[Path::new("--settings"), &settings]), 2);
}

#[test]
fn demo_and_read_write_the_files_they_promise_with_their_columns() {
    let day = read_day("working-day", 0.5);
    let first_line = |name: &str| {
        let text = std::fs::read_to_string(day.out.join(name)).unwrap();
        text.lines().next().unwrap().to_owned()
    };
    assert_eq!(first_line("beats.csv"), "sample,time_s,clock,rr_ms,class,class_found,confidence,group");
    assert_eq!(
        first_line("events.csv"),
        "kind,start_sample,end_sample,clock,beats,rate_bpm,state,certainty,reason"
    );
    let pdf = std::fs::read(day.out.join("report.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    // FHIR R4, Attachment: size is that of the pages, not of their Base64.
    let bundle = std::fs::read_to_string(day.out.join("bundle.fhir.json")).unwrap();
    assert!(
        bundle.contains(&format!("\"size\": {},", pdf.len())),
        "the pages lie in the bundle as they were written"
    );
    assert_eq!(first_line("st.csv"), "lead,start_sample,time_s,clock,level_mv,beats");
    assert!(first_line("hrv.csv").contains(",vlf_ms2,lf_ms2,hf_ms2,lf_nu,hf_nu,lf_hf_ratio,"));
    for part in ["recording", "figures", "hours", "day", "events", "diary", "settings", "cautions"] {
        assert!(!day.read.value()[part].is_null(), "summary.json lacks {part}");
    }
    assert!(day.read.value()["cautions"].as_array().is_some_and(|c| !c.is_empty()));
    status(day.ended, 1);
}

/// A count, and how far from the truth it may lie: the larger of a number and a share of the truth. S beats
/// have the widest room: in AF an early conducted beat cannot be told from a premature one for certain.
const TOLERANCES: [(&str, f64, f64); 24] = [
    ("beats_total", 0.0, 0.001),
    ("v_beats", 2.0, 0.02),
    ("v_singles", 2.0, 0.02),
    ("v_couplets", 1.0, 0.0),
    ("v_runs", 0.0, 0.0),
    ("v_longest_run_beats", 0.0, 0.0),
    ("v_fastest_run_bpm", 2.0, 0.0),
    ("v_bigeminy_episodes", 0.0, 0.0),
    ("v_trigeminy_episodes", 0.0, 0.0),
    ("v_interpolated", 0.0, 0.0),
    ("s_beats", 3.0, 0.15),
    ("s_singles", 3.0, 0.08),
    ("s_couplets", 1.0, 0.0),
    ("s_runs", 0.0, 0.0),
    ("s_longest_run_beats", 1.0, 0.0),
    ("vt_runs", 0.0, 0.0),
    ("af_episodes", 0.0, 0.0),
    ("af_min", 1.0, 0.0),
    ("pauses", 0.0, 0.0),
    ("pauses_critical", 0.0, 0.0),
    ("longest_rr_ms", 8.0, 0.0),
    ("mean_bpm", 0.2, 0.0),
    ("readable_h", 0.05, 0.0),
    ("sdnn_ms", 2.0, 0.0),
];

#[test]
fn a_day_of_which_the_truth_is_known_is_read_right() {
    let day = read_day("working-day", 24.0);
    status(day.ended, 1);
    let (truth, read) = (day.truth.events(&WEIGHTY), day.read.events(&WEIGHTY));
    assert!(truth.len() >= 7, "the day holds runs, pauses and AF");
    assert_eq!(unmatched(&truth, &read), [], "missed");
    let pauses = |events: &[Stretch]| -> Vec<Stretch> {
        events.iter().filter(|e| e.kind == "pause").cloned().collect()
    };
    assert_eq!(unmatched(&pauses(&read), &pauses(&truth)), [], "pauses that are none");
    let right = day.labels_right_percent();
    println!("labels right: {right:.3} %");
    let mut far = Vec::new();
    for (key, number, share) in TOLERANCES {
        let Some(expected) = day.truth.number(key) else { continue };
        let (found, allowed) = (day.figure(key), f64::max(number, share * expected));
        println!("{key:<24} truth {expected:>12.2}  read {found:>12.2}  allowed {allowed:.2}");
        if (found - expected).abs() > allowed {
            far.push(format!("{key} is {found}, the truth is {expected}, allowed is {allowed:.2}"));
        }
    }
    assert!(right >= 99.5, "{right:.3} % of the labels are right, promised are 99.5 %");
    assert!(far.is_empty(), "{}", far.join("; "));
}

#[test]
fn in_a_quiet_day_nothing_is_found() {
    let day = read_day("quiet", 2.0);
    status(day.ended, 0);
    for key in ["v_beats", "s_beats", "v_runs", "s_runs", "vt_runs", "af_episodes", "pauses"] {
        assert_eq!(day.figure(key), 0.0, "{key}");
    }
    assert!(day.labels_right_percent() >= 99.5);
}

#[test]
fn a_lead_put_on_upside_down_is_named() {
    let made = beatledger_tests::made::on_disk(beatledger_synth::Scenario::Patch, 2.0);
    let recording = beatledger_formats::open(&made.edf).unwrap();
    let found =
        beatledger_tests::made::found(&beatledger_synth::Made { recording, truth: Default::default() });
    assert_eq!(found.1.looks_inverted, [true]);
}

#[test]
fn motion_is_no_pause_no_run_and_no_fibrillation() {
    let day = read_day("restless", 2.0);
    let read = day.read.events(&["pause", "ventricular-tachycardia", "atrial-fibrillation"]);
    assert_eq!(unmatched(&read, &day.truth.events(&WEIGHTY)), [], "found where nothing is");
    assert!(day.figure("readable_percent") < 100.0, "the motion is seen");
}

/// A list of intervals gives the files that a tracing gives; a long interval in it is a gap and no pause.
#[test]
fn a_diary_entry_of_any_length_is_read_and_printed() {
    let folder = tempfile::tempdir().unwrap();
    status(beatledger(&["demo", "--scenario", "quiet", "--hours", "0.2"], &[folder.path()]), 0);
    let diary = folder.path().join("quiet.diary.csv");
    let text = std::fs::read_to_string(&diary).unwrap();
    let long = format!("2024-03-04T08:03:00.000,180.000,0,symptom,{},patient\n", "x".repeat(65_535));
    std::fs::write(&diary, text + &long).unwrap();
    let out = folder.path().join("out");
    let edf = folder.path().join("quiet.edf");
    status(beatledger(&["read"], &[&edf, Path::new("--out"), &out]), 0);
    assert!(out.join("report.pdf").is_file());
}

#[test]
fn a_list_of_intervals_gives_the_same_files_as_a_tracing() {
    let folder = tempfile::tempdir().unwrap();
    let (list, out) = (folder.path().join("walk.rr.txt"), folder.path().join("out"));
    let intervals: Vec<String> = (0..3000)
        .map(|i| if i == 1500 { "45000".to_owned() } else { (800 + 7 * (i % 9)).to_string() })
        .collect();
    std::fs::write(&list, intervals.join("\n")).unwrap();
    status(beatledger(&["read"], &[&list, Path::new("--out"), &out]), 0);
    let read = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    assert_eq!(read("beats.csv").lines().count(), 3002);
    let events = read("events.csv");
    assert!(!events.contains("pause") && events.contains("unreadable"), "{events}");
    assert!(Summary::read(&out.join("summary.json")).number("sdnn_ms").is_some());
    let pages = std::fs::metadata(out.join("report.pdf")).unwrap().len();
    assert!(read("hrv.csv").lines().count() > 1 && pages > 10_000);
    for name in ["bundle.fhir.json", "beats.parquet", "events.parquet", "intervals.rr.txt", "beats.atr"] {
        assert!(out.join(name).is_file(), "{name}");
    }
}
