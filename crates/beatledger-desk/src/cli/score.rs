//! `beatledger score`: agreement with a reference by ANSI/AAMI EC57, whole records and without the first
//! five minutes. Symbols are mapped as in the literature: escape beats count as N.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, ensure};
use beatledger_core::model::{Beat, BeatClass, Rate, Span};
use beatledger_core::settings::Settings;
use beatledger_formats::wfdb::{self, Annotation, Mapping};
use beatledger_score::{Annotations, Line, Rules, beat_table, compare, gross_matrix, matrix_table};

use super::{Ending, print};
use crate::day;

/// Arguments of `score`.
#[derive(clap::Args)]
pub struct Args {
    /// Folder of WFDB records with reference annotations: every record is read with default settings.
    #[arg(long, conflicts_with_all = ["reference", "test"])]
    database: Option<PathBuf>,
    /// Records of the database, separated by commas; all that have a signal and a reference when left out.
    #[arg(long, value_delimiter = ',', requires = "database")]
    records: Vec<String>,
    /// Ending of the reference annotation files.
    #[arg(long, default_value = "atr")]
    annotator: String,
    /// Reference annotations (MIT format), to compare two files.
    #[arg(long, requires = "test", required_unless_present = "database")]
    reference: Option<PathBuf>,
    /// Annotations to be judged (MIT format).
    #[arg(long, requires = "reference")]
    test: Option<PathBuf>,
}

/// Scores and prints the tables.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let cases = match (&args.database, &args.reference, &args.test) {
        (Some(folder), _, _) => database(folder, args)?,
        (None, Some(reference), Some(test)) => vec![files(reference, test)?],
        // The argument parser asks for one or the other.
        _ => Vec::new(),
    };
    for (title, rules) in [("Whole records", Rules::WHOLE), ("Without the first five minutes", Rules::EC57)] {
        let lines: Vec<Line> =
            cases.iter().map(|c| compare(&c.record, c.rate, &c.reference, &c.test, &rules)).collect();
        print(&format!("{title} (escape beats count as N)\n{}\n", beat_table(&lines)));
        print(&format!("{}\n", matrix_table(&gross_matrix(&lines))));
    }
    Ok(Ending::Done)
}

struct Case {
    record: String,
    rate: Rate,
    reference: Annotations,
    test: Annotations,
}

fn files(reference: &Path, test: &Path) -> anyhow::Result<Case> {
    let header = reference.with_extension("hea");
    let rate = wfdb::read_header(&header)
        .with_context(|| format!("the rate stands in the header {}", header.display()))?
        .rate;
    let read = |path: &Path| -> anyhow::Result<Annotations> {
        Ok(annotations(&wfdb::read_annotation_file(path, Some(rate))?.annotations))
    };
    let record = reference.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(Case { record, rate, reference: read(reference)?, test: read(test)? })
}

fn database(folder: &Path, args: &Args) -> anyhow::Result<Vec<Case>> {
    let mut records = args.records.clone();
    if records.is_empty() {
        records = records_in(folder, &args.annotator)?;
    }
    ensure!(
        !records.is_empty(),
        "{} has no record with a signal and .{} annotations",
        folder.display(),
        args.annotator
    );
    records.into_iter().map(|record| case(folder, &record, &args.annotator)).collect()
}

/// Records with a header, samples and a reference; those with paced beats are left out, as EC57 asks.
fn records_in(folder: &Path, annotator: &str) -> anyhow::Result<Vec<String>> {
    let entries =
        std::fs::read_dir(folder).with_context(|| format!("could not list {}", folder.display()))?;
    let mut records: Vec<String> = entries
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "hea"))
        .filter(|p| p.with_extension(annotator).exists() && p.with_extension("dat").exists())
        .filter_map(|p| Some(p.file_stem()?.to_string_lossy().into_owned()))
        .collect();
    records.sort();
    records.retain(|r| !is_paced(&folder.join(format!("{r}.{annotator}"))));
    Ok(records)
}

fn is_paced(reference: &Path) -> bool {
    wfdb::read_annotations(reference).is_ok_and(|a| a.iter().any(|a| a.symbol == "/"))
}

fn case(folder: &Path, record: &str, annotator: &str) -> anyhow::Result<Case> {
    let path = folder.join(record);
    let day = day::read(&path.with_extension("hea"), None, &Settings::default())?;
    let reference = annotations(&wfdb::read_annotations(path.with_extension(annotator))?);
    let mut test = Annotations::of_beats(day.snapshot.beats.iter().map(marked).collect());
    test.shutdown = day.snapshot.unreadable.to_vec();
    Ok(Case { record: record.to_owned(), rate: day.snapshot.recording.rate, reference, test })
}

fn marked(beat: &Beat) -> (i64, BeatClass) {
    (beat.sample, beat.class)
}

/// Beats and stretches of ventricular fibrillation of an annotation file.
fn annotations(all: &[Annotation]) -> Annotations {
    let beat = |a: &Annotation| Some((a.sample, wfdb::beat_class(&a.symbol, Mapping::Literature)?));
    let mut out = Annotations::of_beats(all.iter().filter_map(beat).collect());
    let mut on = None;
    for a in all {
        match a.symbol.as_str() {
            "[" => on = Some(a.sample),
            "]" => out.vf.extend(on.take().map(|start| Span::new(start, a.sample + 1))),
            _ => {}
        }
    }
    out
}
