//! `beatledger score`: agreement with a reference by ANSI/AAMI EC57, as text and as files.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, ensure};
use beatledger_core::model::Rate;
use beatledger_evaluate::noise::{stress_table, stress_test};
use beatledger_evaluate::reliability::reliability_tables;
use beatledger_evaluate::short::{verdict_table, verdicts_csv};
use beatledger_evaluate::tables::{errors_csv, figures_csv, text_tables};
use beatledger_evaluate::{Case, Database, Leads, Wanted, case_of_files, open};
use beatledger_formats::wfdb::Mapping;

use super::{Ending, print, say};

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
    /// Instead of the tables of agreement: what is said of each record beside its reference, and whether what is said with a
    /// certainty or a range comes true as often.
    #[arg(long, requires = "database")]
    reliability: bool,
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
    if let (Some(reference), Some(test)) = (&args.reference, &args.test) {
        return tables(args, &[case_of_files(reference, test)?]);
    }
    // The argument parser asks for one or the other.
    let Some(folder) = &args.database else { return Ok(Ending::Done) };
    let Some(rate) = Rate::from_hz(args.rate) else {
        anyhow::bail!("--rate {} is no rate; samples per second are expected", args.rate)
    };
    let wanted =
        Wanted { records: args.records.clone(), leads: args.leads, annotator: args.annotator.clone(), rate };
    if let Some(noise) = &args.noise {
        print(&stress_table(&stress_test(folder, noise, &wanted)?));
        return Ok(Ending::Done);
    }
    match open(folder, &wanted, &mut |note| say(&note))? {
        Database::Cases { cases, unread } => {
            let ending = tables(args, &cases)?;
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
            print(&verdict_table(&records));
            if let Some(out) = &args.out {
                write(out, &verdicts_csv(&records)?)?;
            }
            Ok(Ending::Done)
        }
    }
}

fn tables(args: &Args, cases: &[Case]) -> anyhow::Result<Ending> {
    let mappings = args.mapping.list();
    for mapping in mappings {
        print(&if args.reliability {
            reliability_tables(cases, *mapping)
        } else {
            text_tables(cases, *mapping)
        });
    }
    if let Some(out) = &args.out {
        write(out, &figures_csv(cases, mappings)?)?;
    }
    if let Some(out) = &args.errors {
        let list = errors_csv(cases, mappings[0])?;
        if out == Path::new("-") { print(&list) } else { write(out, &list)? }
    }
    Ok(Ending::Done)
}

fn write(path: &Path, text: &str) -> anyhow::Result<()> {
    std::fs::write(path, text).with_context(|| format!("could not write {}", path.display()))
}
