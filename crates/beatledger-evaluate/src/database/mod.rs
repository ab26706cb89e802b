//! What lies in a folder of records, told from the files themselves.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, ensure};
use beatledger_core::model::{BeatClass, Lead, Rate, Recording, Span, Unit};
use beatledger_formats::wfdb;
use beatledger_score::Annotations;

use super::case::{Case, stem};
use super::leads::Leads;
use super::short::{Label, ShortRecord, judge};
use super::{beats_only, lists, mat, tracing};

/// What is asked of a database.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// Records, or a file that names one a line; empty for all.
    pub records: Vec<String>,
    /// Leads that are read.
    pub leads: Leads,
    /// Ending of reference annotation files.
    pub annotator: String,
    /// Rate of annotations without a header.
    pub rate: Rate,
}

impl Default for Wanted {
    /// All records and leads, references `.atr`, 250 Hz (MIT-BIH Atrial Fibrillation Database).
    fn default() -> Self {
        Self {
            records: Vec::new(),
            leads: Leads::All,
            annotator: "atr".to_owned(),
            rate: Rate::whole_hz(250),
        }
    }
}

/// A database, read.
pub enum Database {
    /// Records with reference beats or rhythm.
    Cases {
        /// Those that could be read.
        cases: Vec<Case>,
        /// Why others could not, a sentence each.
        unread: Vec<String>,
    },
    /// Recordings with one label each.
    Short(Vec<ShortRecord>),
}

/// Reads every record that is wanted with default settings. A record of a folder that cannot be read does not
/// keep the others from being scored; one that was asked for by name does.
///
/// # Errors
/// One sentence when the folder, or a record asked for by name, cannot be read, or there is nothing to score.
pub fn open(folder: &Path, wanted: &Wanted) -> anyhow::Result<Database> {
    let names = names(&wanted.records)?;
    let is_wanted = |name: &str| names.is_empty() || names.iter().any(|n| n == name);
    if let Some(labels) = labels(folder)? {
        let wanted = labels.into_iter().filter(|(name, _)| is_wanted(name));
        let judged = wanted.map(|(name, label)| judge(&folder.join(format!("{name}.hea")), label));
        return judged.collect::<anyhow::Result<_>>().map(Database::Short);
    }
    let (mut cases, mut unread) = (Vec::new(), Vec::new());
    for path in records(folder, &names, &wanted.annotator)? {
        match case(&path, wanted) {
            Ok(case) => cases.extend(case),
            Err(error) if names.is_empty() => unread.push(format!("{error:#}")),
            Err(error) => return Err(error),
        }
    }
    if let (true, [first, ..]) = (cases.is_empty(), unread.as_slice()) {
        anyhow::bail!("no record of {} could be read: {first}", folder.display());
    }
    ensure!(
        !cases.is_empty(),
        "{} holds no record to score: a header or a list of beats with .{} annotations is expected",
        folder.display(),
        wanted.annotator
    );
    Ok(Database::Cases { cases, unread })
}

/// The records named: those given, or the lines of the file given.
fn names(records: &[String]) -> anyhow::Result<Vec<String>> {
    let [one] = records else { return Ok(records.to_vec()) };
    if !Path::new(one).is_file() {
        return Ok(records.to_vec());
    }
    let text = std::fs::read_to_string(one).with_context(|| format!("could not read {one}"))?;
    Ok(text.lines().map(str::trim).filter(|l| !l.is_empty()).map(str::to_owned).collect())
}

/// Files that stand for a record each, sorted; what was left out is said.
fn records(folder: &Path, names: &[String], annotator: &str) -> anyhow::Result<Vec<PathBuf>> {
    if !names.is_empty() {
        return names.iter().map(|n| named(folder, n)).collect();
    }
    let mut found: Vec<PathBuf> = list(folder)?.into_iter().filter(|p| is_record(p, annotator)).collect();
    let data = folder.join("data");
    if found.is_empty() && data.is_dir() {
        found = list(&data)?.into_iter().filter(|p| has_ending(p, "mat")).collect();
    }
    let (paced, kept): (Vec<_>, Vec<_>) = found.into_iter().partition(|p| is_paced(p, annotator));
    if !paced.is_empty() {
        let names: Vec<String> = paced.iter().map(|p| stem(p)).collect();
        eprintln!("beatledger: left out for their paced beats, as EC57 asks: {}", names.join(" "));
    }
    Ok(kept)
}

/// The file of a record that was asked for by name.
fn named(folder: &Path, name: &str) -> anyhow::Result<PathBuf> {
    let one_file = ONE_FILE.map(|ending| format!("{name}.{ending}"));
    let tries = [
        format!("{name}.hea"),
        format!("{name}.qrs"),
        format!("{name}_rr_secs.txt"),
        format!("Annotation_file_{name}.csv"),
        format!("data/{name}.mat"),
    ];
    let found = tries.iter().chain(&one_file).map(|t| folder.join(t)).find(|p| p.is_file());
    found.with_context(|| format!("{} has no record {name}", folder.display()))
}

fn list(folder: &Path) -> anyhow::Result<Vec<PathBuf>> {
    let entries =
        std::fs::read_dir(folder).with_context(|| format!("could not list {}", folder.display()))?;
    let mut all: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    all.sort();
    Ok(all)
}

fn has_ending(path: &Path, ending: &str) -> bool {
    path.extension().is_some_and(|e| e == ending)
}

fn is_record(path: &Path, annotator: &str) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let has_reference = path.with_extension(annotator).is_file();
    let has_header = path.with_extension("hea").is_file();
    (has_ending(path, "hea") && has_reference)
        || (ONE_FILE.iter().any(|e| has_ending(path, e)) && has_reference && !has_header)
        || (has_ending(path, "qrs") && has_reference && !has_header)
        || name.ends_with("_rr_secs.txt")
        || (name.starts_with("Annotation_file_") && has_ending(path, "csv"))
}

/// Endings of recordings that are one file; what they are is told from their content.
const ONE_FILE: [&str; 3] = ["edf", "bdf", "ecg"];

/// True for a header with its signal files beside it.
fn has_tracing(header: &Path) -> bool {
    let Ok(says) = wfdb::read_header(header) else { return true };
    says.segments.is_some() || says.signals.iter().all(|s| header.with_file_name(&s.file).is_file())
}

fn is_paced(path: &Path, annotator: &str) -> bool {
    has_ending(path, "hea")
        && has_tracing(path)
        && wfdb::read_annotations(path.with_extension(annotator))
            .is_ok_and(|all| all.iter().any(|a| a.symbol == "/"))
}

fn case(path: &Path, wanted: &Wanted) -> anyhow::Result<Option<Case>> {
    let annotator = &wanted.annotator;
    match path.extension().and_then(|e| e.to_str()) {
        Some(one) if ONE_FILE.contains(&one) => tracing::of_record(path, annotator, wanted.leads),
        Some("hea") if has_tracing(path) => tracing::of_record(path, annotator, wanted.leads),
        Some("hea") => beats_only::of_header(path, annotator).map(Some),
        Some("qrs") => beats_only::of_two_files(path, annotator, wanted.rate).map(Some),
        Some("txt") => lists::of_intervals(path).map(Some),
        Some("csv") => lists::of_table(path).map(Some),
        _ => of_variables(path, wanted.leads),
    }
}

/// Names and labels of `REFERENCE.csv`; `None` when there is none with labels of rhythm.
fn labels(folder: &Path) -> anyhow::Result<Option<Vec<(String, Label)>>> {
    let path = folder.join("REFERENCE.csv");
    let Ok(text) = std::fs::read_to_string(&path) else { return Ok(None) };
    let parse = |line: &str| {
        let (name, letter) = line.split_once(',')?;
        Some((name.trim().to_owned(), Label::from_letter(letter.trim())?))
    };
    let lines = || text.lines().filter(|l| !l.trim().is_empty());
    if lines().next().and_then(parse).is_none() {
        return Ok(None);
    }
    let all: Option<Vec<_>> = lines().map(parse).collect();
    all.map(Some).with_context(|| format!("{}: expected 'record,N|A|O|~' on every line", path.display()))
}

/// Rate and unit of the CPSC 2019 recordings: 500 Hz, millivolts, kept in microvolts here.
const VARIABLES_RATE: Rate = Rate::whole_hz(500);

/// A tracing in `data/NAME.mat` and its beats, counted from 1, in `ref/` under the same number. The reference
/// has no classes, so those found are not compared: all beats count as N.
fn of_variables(path: &Path, leads: Leads) -> anyhow::Result<Option<Case>> {
    let name = stem(path);
    let reference = path.with_file_name(format!("../ref/{}.mat", name.replacen("data", "R", 1)));
    let peaks = mat::first_variable(&reference)?;
    let samples: Vec<i32> =
        mat::first_variable(path)?.iter().map(|mv| (mv * 1000.0).round() as i32).collect();
    let lead = Lead {
        name: "ECG".to_owned(),
        unit: Unit::Millivolt,
        adc_per_mv: 1000.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: std::sync::Arc::new(samples.clone()),
    };
    let recording = Recording {
        name,
        format: "MATLAB level 5".to_owned(),
        rate: VARIABLES_RATE,
        samples: samples.len() as i64,
        segments: vec![Span::new(0, samples.len() as i64)],
        leads: vec![lead],
        ..beats_only::no_recording()
    };
    let beats: Vec<_> = peaks.iter().map(|p| (*p as i64 - 1, BeatClass::N)).collect();
    let reference = Annotations::of_beats(beats);
    let case = leads.of(recording).map(|r| tracing::case(r, |_, _| reference.clone()));
    Ok(case.map(|mut case| {
        for sides in [&mut case.literature, &mut case.standard] {
            sides.test.beats.iter_mut().for_each(|b| b.1 = BeatClass::N);
        }
        case
    }))
}
