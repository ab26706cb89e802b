//! What opening a file costs: a day of three leads against copying it, and fourteen days of one lead in time and
//! memory. Prints a table; a machine that is busy with other things gives larger numbers. Nothing is asserted.

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use beatledger_core::condition;
use beatledger_core::model::{Recording, SampleSource, Span};
use beatledger_core::settings::Settings;
use beatledger_formats::{edf, glance, open};
use beatledger_synth::Request;

const BLOCK_SAMPLES: usize = 1 << 16;

fn main() {
    let Ok(folder) = tempfile::tempdir() else { return println!("no temporary folder: nothing was timed") };
    // The long file comes first: what the day leaves in memory would count as its own.
    fourteen_days(folder.path());
    a_day(folder.path());
}

fn row(what: &str, value: f64, unit: &str, target: &str) {
    println!("{what:<52} {value:>10.2} {unit:<6} {target}");
}

/// Runs `work` `times` times and gives the middle of the durations, ms.
fn median_ms<T>(times: usize, mut work: impl FnMut() -> T) -> f64 {
    let mut all: Vec<f64> = (0..times.max(1))
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

/// Memory of the process now, MB; `None` where the system does not tell.
fn resident_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1000.0)
}

/// An hour over and over, so that a long file can be written without a long recording in memory.
#[derive(Debug)]
struct Again {
    hour: Arc<dyn SampleSource>,
    times: usize,
}

impl SampleSource for Again {
    fn len(&self) -> usize {
        self.hour.len() * self.times
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        let mut done = 0;
        while done < out.len() {
            let at = (start + done) % self.hour.len();
            let run = (self.hour.len() - at).min(out.len() - done);
            self.hour.read(at, &mut out[done..done + run]);
            done += run;
        }
    }

    fn bytes(&self) -> usize {
        self.hour.bytes()
    }
}

fn fourteen_days(folder: &Path) {
    let path = folder.join("fourteen-days.edf");
    if let Err(words) = write_long(&path) {
        return println!("fourteen days could not be written ({words}): their opening was not timed");
    }
    let bytes = std::fs::metadata(&path).map_or(0, |m| m.len());
    println!("Fourteen days, 1 lead, 250 Hz, EDF+C: {:.0} MB\n", bytes as f64 / 1e6);
    let first = median_ms(5, || glance(&path).map(|r| first_rows(&r)));
    row("A first look and the first page of tracing", first, "ms", "target 300 ms");
    let before = resident_mb();
    let start = Instant::now();
    let Ok(recording) = open(&path) else { return println!("it could not be opened") };
    row(
        "Opened in full (read through, hashed, annotations)",
        start.elapsed().as_secs_f64() * 1000.0,
        "ms",
        "",
    );
    if let (Some(before), Some(after)) = (before, resident_mb()) {
        row("Resident memory of the whole process, it open", after, "MB", "target 300 MB");
        row("  of which the opening added", after - before, "MB", "");
    }
    row("First page of tracing from what was opened", median_ms(5, || first_rows(&recording)), "ms", "");
    println!();
}

fn write_long(path: &Path) -> Result<(), String> {
    const HOURS: usize = 14 * 24;
    let request = Request { hours: 1.0, leads: 1, ..Request::default() };
    let mut recording = beatledger_synth::make(&request).recording;
    for lead in &mut recording.leads {
        lead.samples = Arc::new(Again { hour: Arc::clone(&lead.samples), times: HOURS });
    }
    recording.samples *= HOURS as i64;
    recording.segments = vec![recording.whole()];
    edf::write(&recording, path).map(drop).map_err(|e| e.to_string())
}

/// Twenty rows of a minute as the day strip shows them first: read, filtered, brought down to columns.
fn first_rows(recording: &Recording) -> f32 {
    let settings = Settings::default();
    let second = |s: i64| recording.rate.samples_from_seconds(s as f64);
    let (mut mv, mut sum) = (Vec::new(), 0.0);
    for minute in 0..20 {
        let span = Span::new(second(60 * minute), second(60 * (minute + 1)));
        condition::display_mv(recording, 0, span, &settings, &mut mv);
        let columns = mv.chunks(mv.len().div_ceil(1280).max(1));
        sum += columns
            .map(|c| c.iter().copied().fold(f32::MIN, f32::max))
            .filter(|v| v.is_finite())
            .sum::<f32>();
    }
    sum
}

fn a_day(folder: &Path) {
    let made = beatledger_synth::make(&Request::default());
    let path = folder.join("day.edf");
    if let Err(error) = edf::write(&made.recording, &path) {
        return println!("the day could not be written ({error}): its decoding was not timed");
    }
    drop(made);
    let bytes = std::fs::metadata(&path).map_or(0, |m| m.len());
    println!("A day, 3 leads, 250 Hz, EDF+C: {:.0} MB\n", bytes as f64 / 1e6);
    let decode = median_ms(5, || glance(&path).map(|r| decode_all(&r)));
    row("Every sample decoded from the file", decode, "ms", "");
    let opened = median_ms(5, || open(&path).map(|r| decode_all(&r)).ok());
    row("Opened in full (read, hashed) and decoded", opened, "ms", "");
    let memory = Path::new("/dev/shm");
    if !memory.is_dir() {
        return println!("there is no /dev/shm here: the ratio to copying was not measured");
    }
    let copy = memory.join(format!("beatledger-bench-{}", std::process::id()));
    let copied = median_ms(5, || std::fs::copy(&path, &copy));
    // A copy that is not there needs no removing.
    let _ = std::fs::remove_file(&copy);
    row("The same file copied to /dev/shm", copied, "ms", "");
    row("Decoded at this part of the speed of copying", copied / decode.max(1e-9), "x", "target 0.33");
    row("  with the hash, opened in full", copied / opened.max(1e-9), "x", "");
}

/// Looks at every sample of every lead.
fn decode_all(recording: &Recording) -> i64 {
    let mut block = vec![0; BLOCK_SAMPLES];
    let mut sum = 0i64;
    for lead in &recording.leads {
        for start in (0..lead.samples.len()).step_by(BLOCK_SAMPLES) {
            let part = &mut block[..BLOCK_SAMPLES.min(lead.samples.len() - start)];
            lead.samples.read(start, part);
            sum += part.iter().map(|v| i64::from(*v)).sum::<i64>();
        }
    }
    sum
}
