//! Which files of a folder stand for a record.

use std::path::{Path, PathBuf};

use anyhow::Context as _;
use beatledger_formats::wfdb;

use crate::case::stem;

/// Endings of recordings that are one file; what they are is told from their content.
pub(super) const ONE_FILE: [&str; 3] = ["edf", "bdf", "ecg"];

/// The records named: those given, or the lines of the file given.
pub(super) fn names(records: &[String]) -> anyhow::Result<Vec<String>> {
    let [one] = records else { return Ok(records.to_vec()) };
    if !Path::new(one).is_file() {
        return Ok(records.to_vec());
    }
    let text = std::fs::read_to_string(one).with_context(|| format!("could not read {one}"))?;
    Ok(text.lines().map(str::trim).filter(|l| !l.is_empty()).map(str::to_owned).collect())
}

/// Files that stand for a record each, sorted; what was left out is noted.
pub(super) fn records(
    folder: &Path,
    names: &[String],
    annotator: &str,
    note: &mut dyn FnMut(String),
) -> anyhow::Result<Vec<PathBuf>> {
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
        note(format!("left out for their paced beats, as EC57 asks: {}", names.join(" ")));
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

/// True for a header with its signal files beside it.
pub(super) fn has_tracing(header: &Path) -> bool {
    let Ok(says) = wfdb::read_header(header) else { return true };
    says.segments.is_some() || says.signals.iter().all(|s| header.with_file_name(&s.file).is_file())
}

fn is_paced(path: &Path, annotator: &str) -> bool {
    has_ending(path, "hea")
        && has_tracing(path)
        && wfdb::read_annotations(path.with_extension(annotator))
            .is_ok_and(|all| all.iter().any(|a| a.symbol == "/"))
}
