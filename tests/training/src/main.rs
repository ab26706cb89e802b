//! Writes the features of every found beat beside the class that a reference or a made day gives it.
//!
//! Out come `rows.f32` (little-endian; a row is source, variant, reference class 0 to 4 or 5 for a beat that is
//! none, class by the rules, ventricular score, second, shape, then the features, which are NaN for beats that the trees
//! do not look at), `features.txt` (their keys) and `sources.csv` (source, variant, found beats, and the beats of each
//! class that were not found).

use std::io::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};
use beatledger_core::classify::Feature;
use beatledger_core::model::{BeatClass, Progress, Quality, Recording, Span};
use beatledger_core::settings::Settings;
use beatledger_core::{classify, condition, delineate, detect};
use beatledger_evaluate::resample;
use beatledger_formats::wfdb::{self, Mapping};
use beatledger_score::{Annotations, Rules, pairs};
use beatledger_synth::{Request, Scenario, make};

const DS1: [&str; 22] = [
    "101", "106", "108", "109", "112", "114", "115", "116", "118", "119", "122", "124", "201", "203", "205",
    "207", "208", "209", "215", "220", "223", "230",
];

/// Made days: scenario, hours, seed, leads, rate. No seed is one that a test uses.
const DAYS: [(Scenario, f64, u64, usize, u32); 10] = [
    (Scenario::WorkingDay, 24.0, 101, 3, 250),
    (Scenario::WorkingDay, 24.0, 102, 2, 128),
    (Scenario::WorkingDay, 24.0, 103, 1, 200),
    (Scenario::WorkingDay, 24.0, 104, 3, 500),
    (Scenario::Patch, 24.0, 105, 1, 250),
    (Scenario::Patch, 24.0, 106, 1, 200),
    (Scenario::Restless, 24.0, 107, 1, 250),
    (Scenario::Restless, 24.0, 108, 1, 128),
    (Scenario::Quiet, 12.0, 109, 3, 250),
    (Scenario::Long, 48.0, 110, 1, 250),
];

/// Variants at other rates.
const RATES: [(usize, u32); 2] = [(5, 128), (6, 257)];

struct Out {
    rows: std::io::BufWriter<std::fs::File>,
    sources: std::io::BufWriter<std::fs::File>,
    count: usize,
}

fn main() -> anyhow::Result<()> {
    let args: Vec<String> = std::env::args().collect();
    let [_, data, out] = &args[..] else { bail!("wanted: DATA_DIR OUT_DIR") };
    let (data, out) = (PathBuf::from(data), PathBuf::from(out));
    std::fs::create_dir_all(&out)?;
    std::fs::write(out.join("features.txt"), Feature::KEYS.join("\n"))?;
    let file = |name: &str| std::fs::File::create(out.join(name)).map(std::io::BufWriter::new);
    let mut out = Out { rows: file("rows.f32")?, sources: file("sources.csv")?, count: 0 };
    for record in DS1.iter().chain(&["102", "104", "107", "217"]) {
        record_variants(&data.join("mitdb"), record, &mut out)?;
    }
    for (scenario, hours, seed, leads, rate) in DAYS {
        let request = Request::new(scenario, hours, seed, leads, rate)?;
        let made = make(&request);
        let reference = Annotations {
            shutdown: made.truth.unreadable.clone(),
            ..Annotations::of_beats(made.truth.beats.iter().map(|b| (b.sample, b.class)).collect())
        };
        export(&format!("{}-{seed}", scenario.name()), 0, &made.recording, &reference, Some(()), &mut out)?;
    }
    println!("{} rows", out.count);
    Ok(())
}

/// A record with all its leads, each lead alone, with noise, and at other rates.
fn record_variants(folder: &Path, record: &str, out: &mut Out) -> anyhow::Result<()> {
    let recording = beatledger_formats::open(folder.join(format!("{record}.hea")))
        .with_context(|| format!("{record} could not be read"))?;
    let all = wfdb::read_annotations(folder.join(format!("{record}.atr")))?;
    let beats: Vec<(i64, BeatClass)> = all
        .iter()
        .filter_map(|a| Some((a.sample, wfdb::beat_class(&a.symbol, Mapping::Literature)?)))
        .collect();
    let marks =
        |symbol: &str| -> Vec<i64> { all.iter().filter(|a| a.symbol == symbol).map(|a| a.sample).collect() };
    let vf = marks("[").into_iter().zip(marks("]")).map(|(on, off)| Span::new(on, off + 1)).collect();
    let reference = Annotations { vf, ..Annotations::of_beats(beats) };
    export(record, 0, &recording, &reference, None, out)?;
    for lead in 0..recording.leads.len() {
        let mut alone = recording.clone();
        alone.leads = vec![recording.leads[lead].clone()];
        export(record, lead + 1, &alone, &reference, None, out)?;
    }
    let noise = folder.with_file_name("nstdb");
    for (variant, (kind, decibel)) in [(3, ("em", 12.0)), (4, ("ma", 6.0))] {
        let noise = beatledger_formats::open(noise.join(format!("{kind}.hea")))?;
        export(record, variant, &noisy(&recording, &noise, decibel), &reference, None, out)?;
    }
    for (variant, hz) in RATES {
        let (recording, reference) = resample::at_rate(&recording, &reference, hz);
        export(record, variant, &recording, &reference, None, out)?;
    }
    Ok(())
}

/// The recording with noise on it, two minutes of every four, at a ratio of the power of its QRS to the noise.
fn noisy(recording: &Recording, noise: &Recording, decibel: f64) -> Recording {
    let mut noisy = recording.clone();
    let (mut mv, mut disturbance) = (Vec::new(), Vec::new());
    let stretch = (120.0 * recording.rate.hz()) as usize;
    for (l, lead) in noisy.leads.iter_mut().enumerate() {
        lead.read_mv(recording.whole(), &mut mv);
        noise.leads[l % noise.leads.len()].read_mv(noise.whole(), &mut disturbance);
        disturbance.retain(|v| v.is_finite());
        let mean = disturbance.iter().sum::<f32>() / disturbance.len().max(1) as f32;
        let power = disturbance.iter().map(|v| (v - mean) * (v - mean)).sum::<f32>()
            / disturbance.len().max(1) as f32;
        let mut sorted: Vec<f32> = mv.iter().copied().filter(|v| v.is_finite()).collect();
        sorted.sort_by(f32::total_cmp);
        let height = sorted[sorted.len() * 999 / 1000] - sorted[sorted.len() / 1000];
        let scale = (height * height / 8.0 / power.max(1e-6) / 10f32.powf(decibel as f32 / 10.0)).sqrt();
        let raw = |(k, v): (usize, &f32)| {
            let added = if k / stretch % 2 == 1 { scale * (disturbance[k % disturbance.len()] - mean) } else { 0.0 };
            ((f64::from(v + added) * lead.adc_per_mv) + lead.adc_zero).round() as i32
        };
        let samples: Vec<i32> = mv.iter().enumerate().map(raw).collect();
        (lead.samples, lead.rails) = (std::sync::Arc::new(samples), None);
    }
    noisy
}

fn export(
    name: &str,
    variant: usize,
    recording: &Recording,
    reference: &Annotations,
    made: Option<()>,
    out: &mut Out,
) -> anyhow::Result<()> {
    let (settings, progress) = (Settings::default(), Progress::default());
    let quality: Quality = condition::quality(recording, &settings, &progress);
    let found = detect::detect(recording, &quality, &settings, &progress);
    let quality = found.quality.unwrap_or(quality);
    let waves = delineate::delineate(recording, &quality, &settings, &found.samples, &progress);
    let study = classify::study(recording, &quality, &settings, &found.samples, &waves, &progress);
    let test = Annotations {
        shutdown: quality.unreadable.clone(),
        ..Annotations::of_beats(found.samples.iter().zip(&study.rules).map(|(s, c)| (*s, *c)).collect())
    };
    let (mut missed, mut truth) = ([0u32; 5], vec![None; found.samples.len()]);
    for pair in pairs(recording.rate, reference, &test, &Rules::WHOLE) {
        match (pair.reference, pair.test) {
            (Some(r), Some(t)) => truth[t] = Some(reference.beats[r].1.index()),
            (None, Some(t)) => truth[t] = Some(5),
            (Some(r), None) => missed[reference.beats[r].1.index()] += 1,
            (None, None) => {}
        }
    }
    let id: f32 = name.parse().unwrap_or_else(|_| {
        1000.0 + name.rsplit('-').next().and_then(|s| s.parse::<f32>().ok()).unwrap_or(0.0)
    });
    // Beats that the trees do not look at are only counted, by reference, class by the rules and score.
    let asked = |i: &usize| {
        let asked = study.rows[*i].is_some();
        made.is_none() || asked
    };
    for i in (0..found.samples.len()).filter(asked) {
        let Some(class) = truth[i] else { continue };
        let row = study.rows[i].as_ref().map_or([f32::NAN; Feature::ALL.len()], |row| *row.values());
        let by_rules = study.rules[i].index() as f32;
        let second = recording.rate.seconds_from_samples(found.samples[i]) as f32;
        let shape = study.labels.shapes[i] as f32;
        let head = [id, variant as f32, class as f32, by_rules, study.ventricular[i], second, shape];
        for v in head.iter().chain(&row) {
            out.rows.write_all(&v.to_le_bytes())?;
        }
        out.count += 1;
    }
    writeln!(
        out.sources,
        "{name},{variant},{},{}",
        found.samples.len(),
        missed.map(|m| m.to_string()).join(",")
    )?;
    Ok(())
}
