//! Detection of one lead against `sleepecg.detect_heartbeats` (PyPI, written in C) on the same samples.
//!
//! Prints a ratio; below 1 this program is faster. The Python that has sleepecg is `python3`, or
//! `$BEATLEDGER_PYTHON`; without it one line says what was not measured. Nothing is asserted.

use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

use beatledger_core::model::{Lead, Progress, Recording, Span};
use beatledger_core::settings::Settings;
use beatledger_core::{condition, detect};
use beatledger_synth::{Request, Scenario};
use beatledger_testkit::{data, root};

const TIMES: usize = 5;

fn main() {
    let made =
        beatledger_synth::make(&Request { hours: 6.0, leads: 1, ..Request::usual(Scenario::WorkingDay) });
    compare("made working day, 6 h, 250 Hz", &made.recording);
    if let Some(folder) = data("detection speed on record 201 of the MIT-BIH Arrhythmia Database")
        && let Ok(mut recording) = beatledger_formats::open(folder.join("mitdb/201.hea"))
    {
        recording.leads.truncate(1);
        compare("MIT-BIH record 201, first lead, 0.5 h, 360 Hz", &recording);
    }
}

/// Signal quality and beats: what it takes from raw samples to beats.
fn ours(recording: &Recording) -> usize {
    let (settings, quiet) = (Settings::default(), Progress::default());
    let quality = condition::quality(recording, &settings, &quiet);
    detect::detect(recording, &quality, &settings, &quiet).samples.len()
}

fn median_s(mut work: impl FnMut() -> usize) -> (f64, usize) {
    let mut beats = 0;
    let mut taken: Vec<f64> = (0..TIMES)
        .map(|_| {
            let start = Instant::now();
            beats = black_box(work());
            start.elapsed().as_secs_f64()
        })
        .collect();
    taken.sort_by(f64::total_cmp);
    (taken[TIMES / 2], beats)
}

fn compare(what: &str, recording: &Recording) {
    let one = rayon::ThreadPoolBuilder::new().num_threads(1).build();
    let one = one.map(|pool| pool.install(|| median_s(|| ours(recording))));
    let (all_s, beats) = median_s(|| ours(recording));
    println!("{what}: {beats} beats");
    let Some((theirs_s, their_beats)) = recording.leads.first().and_then(|lead| theirs(lead, recording))
    else {
        println!("  not measured: the ratio to sleepecg (no Python with sleepecg; set BEATLEDGER_PYTHON)");
        return;
    };
    if let Ok((one_s, _)) = one {
        println!("  one thread against sleepecg           {:>8.2} x", one_s / theirs_s);
    }
    println!(
        "  all threads against sleepecg          {:>8.2} x  ({their_beats} beats there)",
        all_s / theirs_s
    );
}

/// Median time and number of beats of sleepecg; `None` where it is not to be had.
fn theirs(lead: &Lead, recording: &Recording) -> Option<(f64, usize)> {
    let mut mv = Vec::new();
    lead.read_mv(Span::new(0, recording.samples), &mut mv);
    let bytes: Vec<u8> = mv.iter().flat_map(|v| f64::from(*v).to_le_bytes()).collect();
    let file = tempfile::NamedTempFile::new().ok()?;
    std::fs::write(file.path(), bytes).ok()?;
    let python = std::env::var_os("BEATLEDGER_PYTHON").unwrap_or_else(|| "python3".into());
    let output = Command::new(python)
        .arg(root().join("tests/reference/speed/time_detect.py"))
        .arg(file.path())
        .args([recording.rate.hz().to_string(), TIMES.to_string()])
        .output()
        .ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let (seconds, beats) = text.trim().split_once(' ')?;
    Some((seconds.parse().ok()?, beats.parse().ok()?))
}
