//! `beatledger score`: agreement with a reference by ANSI/AAMI EC57.
//!
//! One program, default settings: every record of a database is read as a user's recording would be.
//! Databases that come without a tracing are scored from their beats on: the reference beats go in, and what
//! the program makes of them (runs, atrial fibrillation) comes out.

mod beats_only;
mod case;
mod database;
mod errors;
mod labels;
mod leads;
mod lists;
mod mat;
mod mix;
mod noise;
mod print;
mod short;
mod tracing;

use std::path::PathBuf;

use anyhow::ensure;
use beatledger_core::model::Rate;
use beatledger_formats::wfdb::Mapping;

pub use case::{Case, Sides};
pub use database::{Database, Wanted, open};
pub use labels::reference;
pub use leads::Leads;
pub use mix::mix;
pub use noise::{NOISY_LEVELS_DB, Noisy, noisy_table, remix};
pub use short::{Label, ShortRecord, Verdicts, verdict_table};
pub use tracing::case as case_of;

use super::{Ending, print as print_text};

/// Arguments of `score`.
#[derive(clap::Args)]
pub struct Args {
    /// Folder with records and their reference annotations; every record is read with default settings.
    /// Records without a tracing (annotations, RR lists) are scored from their beats on.
    #[arg(long, conflicts_with_all = ["reference", "test"], required_unless_present = "reference")]
    database: Option<PathBuf>,
    /// Records of the database, separated by commas, or a file that names one a line; all but those with
    /// paced beats when left out.
    #[arg(long, value_delimiter = ',', requires = "database")]
    records: Vec<String>,
    /// Leads that are read: `all`, or the number of one.
    #[arg(long, default_value = "all")]
    leads: Leads,
    /// How beat symbols become N S V F Q: in the literature the escape beats e j n count as N, by the
    /// standard's scorer as S.
    #[arg(long, value_enum, default_value = "both")]
    mapping: Mappings,
    /// Ending of the reference annotation files.
    #[arg(long, default_value = "atr")]
    annotator: String,
    /// Samples per second of annotations that no header stands beside.
    #[arg(long, default_value_t = 250.0)]
    rate: f64,
    /// Writes every figure and count of every record to this CSV file.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Lists every beat that is missed, added or wrongly labelled in this CSV file; `-` prints the list.
    #[arg(long)]
    errors: Option<PathBuf>,
    /// Noise record (header): the records, 118 and 119 when none is named, are mixed with it at 24 to -6 dB,
    /// from minute 5 on, two minutes of noise and two without in turn.
    #[arg(long, requires = "database")]
    noise: Option<PathBuf>,
    /// Reference annotations (MIT format), to compare two files.
    #[arg(long, requires = "test")]
    reference: Option<PathBuf>,
    /// Annotations to be judged (MIT format).
    #[arg(long, requires = "reference")]
    test: Option<PathBuf>,
}

/// Which of the two conventions on beat classes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Mappings {
    /// Escape beats count as N.
    Literature,
    /// Escape beats count as S.
    Standard,
    /// Both tables.
    Both,
}

impl Mappings {
    fn list(self) -> &'static [Mapping] {
        match self {
            Self::Literature => &[Mapping::Literature],
            Self::Standard => &[Mapping::Ec57],
            Self::Both => &[Mapping::Literature, Mapping::Ec57],
        }
    }
}

/// Scores and prints the tables.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let mappings = args.mapping.list();
    if let (Some(reference), Some(test)) = (&args.reference, &args.test) {
        return tables(args, &[case::of_files(reference, test)?], mappings);
    }
    // The argument parser asks for one or the other.
    let Some(folder) = &args.database else { return Ok(Ending::Done) };
    let Some(rate) = Rate::from_hz(args.rate) else {
        anyhow::bail!("--rate {} is no rate; samples per second are expected", args.rate)
    };
    let wanted =
        Wanted { records: args.records.clone(), leads: args.leads, annotator: args.annotator.clone(), rate };
    if let Some(noise) = &args.noise {
        print_text(&noisy_table(&remix(folder, noise, &wanted)?));
        return Ok(Ending::Done);
    }
    match open(folder, &wanted)? {
        Database::Cases { cases, unread } => {
            let ending = tables(args, &cases, mappings)?;
            // The tables stand; what they lack is told, and the status says it.
            ensure!(
                unread.is_empty(),
                "{} records are not in the tables: {}",
                unread.len(),
                unread.join("; ")
            );
            Ok(ending)
        }
        Database::Short(records) => {
            ensure!(args.errors.is_none(), "{} has no reference beats to list errors of", folder.display());
            print_text(&verdict_table(&records));
            if let Some(out) = &args.out {
                short::write_csv(out, &records)?;
            }
            Ok(Ending::Done)
        }
    }
}

fn tables(args: &Args, cases: &[Case], mappings: &[Mapping]) -> anyhow::Result<Ending> {
    for mapping in mappings {
        for period in print::PERIODS {
            print_text(&print::section(cases, *mapping, period));
        }
    }
    if let Some(out) = &args.out {
        print::write_csv(out, cases, mappings)?;
    }
    if let Some(out) = &args.errors {
        errors::write(out, cases, mappings[0])?;
    }
    Ok(Ending::Done)
}
