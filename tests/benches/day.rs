//! What a made day of 24 h costs: time a stage, memory, an edit, a frame, opening. Prints a table; a machine
//! that is busy with other things gives larger numbers. Nothing is asserted.

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use beatledger_core::model::{BeatClass, Found, Progress, Recording, Span};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;
use beatledger_core::{classify, condition, delineate, detect, group};
use beatledger_desk::app::desk::{Desk, Start};
use beatledger_desk::commands::table::Command;
use beatledger_desk::shell::stage::Stage;
use beatledger_synth::{Made, Request};

fn main() {
    let made = beatledger_synth::make(&Request::default());
    let raw = raw_mb(&made.recording);
    println!("A working day of 24 h, 3 leads, 250 Hz: {raw:.0} MB of raw samples\n");
    let (recording, found) = (Arc::new(made.recording.clone()), stages(&made.recording, raw));
    edits(&recording, &found);
    frames(&recording, &found);
    opening(&made);
}

fn row(what: &str, value: f64, unit: &str, target: &str) {
    println!("{what:<54} {value:>10.2} {unit:<6} {target}");
}

/// Runs `work` `times` times and gives the middle of the durations, ms, and the last result.
fn median_ms<T>(times: usize, mut work: impl FnMut() -> T) -> (f64, T) {
    let mut all = Vec::with_capacity(times);
    let mut last = None;
    for _ in 0..times.max(1) {
        drop(last.take());
        let start = Instant::now();
        last = Some(black_box(work()));
        all.push(start.elapsed().as_secs_f64() * 1000.0);
    }
    all.sort_by(f64::total_cmp);
    // The loop ran at least once.
    (all[all.len() / 2], last.unwrap_or_else(|| unreachable!("the loop ran")))
}

fn raw_mb(recording: &Recording) -> f64 {
    recording.leads.iter().map(|l| l.samples.bytes()).sum::<usize>() as f64 / 1e6
}

/// Highest memory of the process so far, MB; `None` where the system does not tell.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1000.0)
}

fn stages(recording: &Recording, raw: f64) -> Arc<Found> {
    let (settings, quiet) = (Settings::default(), Progress::default());
    let before = peak_mb();
    let (ms, found) = median_ms(1, || pipeline::find(recording, &settings, &quiet).unwrap_or_default());
    let after = peak_mb();
    row("Whole analysis, first run", ms / 1000.0, "s", "");
    if let (Some(before), Some(after)) = (before, after) {
        row("Memory that it adds at its peak", (after - before) / raw, "x raw", "");
    }
    let (ms, _) = median_ms(3, || pipeline::find(recording, &settings, &quiet));
    row("Whole analysis, median of 3", ms / 1000.0, "s", "target 10 s a lead");
    let (ms, quality) = median_ms(3, || condition::quality(recording, &settings, &quiet));
    row("  signal quality", ms, "ms", "");
    let (ms, beats) = median_ms(3, || detect::detect(recording, &quality, &settings, &quiet));
    row("  beats", ms, "ms", "");
    let at = &beats.samples;
    let (ms, waves) = median_ms(3, || delineate::delineate(recording, &quality, &settings, at, &quiet));
    row("  wave limits", ms, "ms", "");
    let (ms, labels) =
        median_ms(3, || classify::classify(recording, &quality, &settings, at, &waves, &quiet));
    row("  classes", ms, "ms", "");
    let (ms, _) = median_ms(3, || group::group(recording, &settings, at, &labels, &quiet));
    row("  shape groups", ms, "ms", "");
    println!();
    Arc::new(found)
}

fn edits(recording: &Arc<Recording>, found: &Arc<Found>) {
    let open = || Session::new(recording.clone(), Settings::default(), found.clone(), &[]);
    let (ms, mut session) = median_ms(3, open);
    row("First figures from what was found", ms, "ms", "");
    let stamp = Stamp { reader: "bench".to_owned(), at_utc_ms: 0, utc_offset_min: 0 };
    let samples: Vec<i64> = session.snapshot().beats.iter().map(|b| b.sample).collect();
    let mut at = 0;
    let mut relabel = |session: &Session| {
        at += 1;
        let beats = samples.iter().skip(at * 997 % samples.len().max(1)).take(50).copied().collect();
        session.entry(Action::Do(Edit::Relabel { beats, class: BeatClass::V }), &stamp)
    };
    let (ms, _) = median_ms(20, || {
        let entry = relabel(&session);
        session.push_first(&entry)
    });
    row("50 beats relabelled to what the screen shows", ms, "ms", "target 16 ms");
    session.finish();
    let (ms, _) = median_ms(20, || {
        let entry = relabel(&session);
        session.push(&entry)
    });
    row("50 beats relabelled to all figures", ms, "ms", "target 100 ms");
    let whole = recording.samples;
    let minute = recording.rate.samples_from_seconds(60.0);
    let place = |at: i64| whole / 40 * (at % 37 + 1);
    let noise = |at| Edit::MarkNoise { span: Span::new(place(at), place(at) + minute) };
    edit(&mut session, &stamp, "A minute marked as noise", noise);
    let insert = |at| Edit::InsertBeat { sample: place(at) + 7, class: BeatClass::V };
    edit(&mut session, &stamp, "A beat inserted", insert);
    let change = |at| Edit::ChangeSetting { key: "nn_jump_percent".to_owned(), value: 20.0 + at as f64 };
    edit(&mut session, &stamp, "A setting of variability changed", change);
    let mut undo = |whole: bool| {
        let Some(entry) = session.undo_entry(&stamp) else { return };
        if whole {
            session.push(&entry)
        } else {
            session.push_first(&entry)
        };
    };
    let (ms, ()) = median_ms(10, || undo(false));
    row("An edit taken back to what the screen shows", ms, "ms", "target 16 ms");
    let (ms, ()) = median_ms(10, || undo(true));
    row("An edit taken back to all figures", ms, "ms", "target 100 ms");
    println!();
}

/// Times one kind of edit, to what the screen shows and to all figures.
fn edit(session: &mut Session, stamp: &Stamp, what: &str, make: impl Fn(i64) -> Edit) {
    let mut at = 0;
    let mut next = |session: &Session| {
        at += 1;
        session.entry(Action::Do(make(at)), stamp)
    };
    session.finish();
    let (ms, _) = median_ms(10, || {
        let entry = next(session);
        session.push_first(&entry)
    });
    row(&format!("{what}, to what the screen shows"), ms, "ms", "target 16 ms");
    session.finish();
    let (ms, _) = median_ms(10, || {
        let entry = next(session);
        session.push(&entry)
    });
    row(&format!("{what}, to all figures"), ms, "ms", "target 100 ms");
}

fn frames(recording: &Arc<Recording>, found: &Arc<Found>) {
    let ctx = egui::Context::default();
    let start = Start::AlreadyRead { recording: recording.clone(), found: found.clone() };
    let mut desk = Desk::new(&ctx, start, beatledger_desk::outside::canned::still_services());
    let mut clock = 0.0;
    let mut frame = |desk: &mut Desk| {
        clock += 1.0 / 60.0;
        let input = egui::RawInput {
            screen_rect: Some(egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0))),
            time: Some(clock),
            max_texture_side: Some(8192),
            ..Default::default()
        };
        let mut output = ctx.run_ui(input, |ui| desk.frame(ui));
        output.textures_delta.clear();
        ctx.tessellate(output.shapes, output.pixels_per_point).len()
    };
    let (wait, _) = median_ms(1, || {
        frame(&mut desk);
        while desk.is_busy() {
            std::thread::sleep(std::time::Duration::from_millis(5));
            frame(&mut desk);
        }
    });
    row("Day strip at full speed after", wait, "ms", "");
    for stage in Stage::ALL {
        desk.run(Command::stage(stage));
        for _ in 0..10 {
            frame(&mut desk);
        }
        let (ms, _) = median_ms(120, || frame(&mut desk));
        row(&format!("A frame at rest: {}", stage.words()), ms, "ms", "target 2 ms");
    }
    desk.run(Command::StageStrip);
    let (ms, _) = median_ms(60, || {
        desk.run(Command::PageLater);
        frame(&mut desk)
    });
    row("A frame that turns a page of the day strip", ms, "ms", "target 2 ms");
    println!();
}

fn opening(made: &Made) {
    let Ok(folder) = tempfile::tempdir() else { return println!("no temporary folder: opening not timed") };
    let Ok(written) = beatledger_synth::write(made, folder.path()) else {
        return println!("the day could not be written: opening not timed");
    };
    let Ok(bytes) = std::fs::read(&written.edf) else { return };
    let (copy_ms, _) = median_ms(5, || bytes.clone());
    drop(bytes);
    let (open_ms, opened) = median_ms(3, || beatledger_formats::open(&written.edf).ok());
    row("EDF opened (read, hashed, decoded)", open_ms, "ms", "");
    row("  against a copy in memory", open_ms / copy_ms.max(1e-9), "x", "");
    if let Some(recording) = opened {
        let (first_ms, _) = median_ms(3, || first_rows(&recording));
        row("First page of tracing from the open day", first_ms, "ms", "");
        row("Open to first tracing", open_ms + first_ms, "ms", "");
    }
    reading(&written.edf);
}

/// The rows that the day strip shows before the whole day is prepared: 20 minutes read directly.
fn first_rows(recording: &Recording) -> usize {
    let settings = Settings::default();
    let row_of = |i: i64| {
        let from = recording.rate.samples_from_seconds(60.0 * i as f64);
        Span::new(from, recording.rate.samples_from_seconds(60.0 * (i + 1) as f64))
    };
    let columns =
        |i| beatledger_desk::tracing::pyramid::direct_columns(recording, &settings, 0, row_of(i), 1280);
    (0..20).map(|i| columns(i).len()).sum()
}

fn reading(edf: &Path) {
    let (ms, day) =
        median_ms(1, || beatledger_desk::outside::read_day::read(edf, None, &Settings::default()).ok());
    let beats = day.map(|d| d.snapshot).as_deref().map_or(0, |s: &Snapshot| s.beats.len());
    row(&format!("From file to figures, {beats} beats"), ms / 1000.0, "s", "");
}
