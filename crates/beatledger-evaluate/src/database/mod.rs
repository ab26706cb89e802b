//! What lies in a folder of records, told from the files themselves, and every record of it read and compared.
//!
//! It knows the layouts in which open databases are handed out. No list of records of one database and no setting of
//! the analysis belongs here.

mod folder;
mod variables;

use std::path::Path;

use anyhow::ensure;
use beatledger_core::model::Rate;

use crate::case::Case;
use crate::leads::Leads;
use crate::short::{ShortRecord, judge, labels};
use crate::{beats_only, recording};
use folder::{ONE_FILE, has_tracing, names, records};

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
/// keep the others from being scored; one that was asked for by name does. What is left out on purpose is told to
/// `note` at once, a sentence each.
///
/// # Errors
/// One sentence when the folder, or a record asked for by name, cannot be read, or there is nothing to score.
pub fn open(folder: &Path, wanted: &Wanted, note: &mut dyn FnMut(String)) -> anyhow::Result<Database> {
    let names = names(&wanted.records)?;
    let is_wanted = |name: &str| names.is_empty() || names.iter().any(|n| n == name);
    if let Some(labels) = labels(folder)? {
        let wanted = labels.into_iter().filter(|(name, _)| is_wanted(name));
        let judged = wanted.map(|(name, label)| judge(&folder.join(format!("{name}.hea")), label));
        return judged.collect::<anyhow::Result<_>>().map(Database::Short);
    }
    let (mut cases, mut unread) = (Vec::new(), Vec::new());
    for path in records(folder, &names, &wanted.annotator, note)? {
        match case(&path, wanted, note) {
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

fn case(path: &Path, wanted: &Wanted, note: &mut dyn FnMut(String)) -> anyhow::Result<Option<Case>> {
    let (annotator, leads) = (&wanted.annotator, wanted.leads);
    match path.extension().and_then(|e| e.to_str()) {
        Some(one) if ONE_FILE.contains(&one) => recording::of_record(path, annotator, leads, note),
        Some("hea") if has_tracing(path) => recording::of_record(path, annotator, leads, note),
        Some("hea") => beats_only::of_header(path, annotator).map(Some),
        Some("qrs") => beats_only::of_two_files(path, annotator, wanted.rate).map(Some),
        Some("txt") => beats_only::of_intervals(path).map(Some),
        Some("csv") => beats_only::of_table(path).map(Some),
        _ => variables::of_variables(path, leads),
    }
}
