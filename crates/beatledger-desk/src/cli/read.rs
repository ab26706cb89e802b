//! `beatledger read`: a day read without a window.

use std::path::PathBuf;

use super::{Ending, print};
use crate::day::{self, Day};
use crate::export;

/// Arguments of `read`.
#[derive(clap::Args)]
pub struct Args {
    /// Recording: a file, a WFDB header, or a folder with one record.
    file: PathBuf,
    /// Ledger with a reader's edits; the one beside the recording when left out.
    #[arg(long)]
    ledger: Option<PathBuf>,
    /// Folder for summary.json, beats.csv, events.csv and report.pdf; made when it is not there.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Settings file (TOML) with values that differ from the defaults.
    #[arg(long)]
    settings: Option<PathBuf>,
    /// Print the summary as JSON instead of a table.
    #[arg(long)]
    json: bool,
}

/// Reads the day, prints its figures and writes the files asked for.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let settings = day::settings_from(args.settings.as_deref())?;
    let day = day::read(&args.file, args.ledger.as_deref(), &settings)?;
    for warning in &day.snapshot.recording.warnings {
        eprintln!("beatledger: {}: {}", warning.code, warning.text);
    }
    if let Some(out) = &args.out {
        export::write_all(
            out,
            &day.snapshot,
            &export::context(&day.head, day.entries.len(), day.sign_state()),
        )?;
    }
    if args.json {
        print(&beatledger_report::json::summary_text(&day.snapshot)?);
    } else {
        print(&beatledger_report::text::table(&day.snapshot));
    }
    Ok(report_open_points(&day))
}

/// Says in one line each what still needs a person.
pub fn report_open_points(day: &Day) -> Ending {
    let unread = day.snapshot.unread_critical().len();
    let orphans = day.snapshot.orphans.len();
    if unread > 0 {
        eprintln!("beatledger: {unread} critical events wait for a reader (pause, VT or AF)");
    }
    if orphans > 0 {
        eprintln!("beatledger: {orphans} edits of the ledger are without a target");
    }
    if let Some(torn) = &day.recovered {
        eprintln!("beatledger: {torn}");
    }
    if unread + orphans > 0 || day.recovered.is_some() { Ending::NeedsPerson } else { Ending::Done }
}
