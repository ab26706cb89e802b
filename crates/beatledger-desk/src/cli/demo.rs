//! `beatledger demo`: a made day with known truth.

use std::path::PathBuf;

use anyhow::Context as _;
use beatledger_synth::{Request, Scenario};

use super::ending::{Ending, print};

/// Arguments of `demo`.
#[derive(clap::Args)]
pub struct Args {
    /// Folder to write into; made when it is not there.
    out_dir: PathBuf,
    /// Length in hours; the scenario's own length when left out.
    #[arg(long)]
    hours: Option<f64>,
    /// Seed: the same seed gives the same bytes.
    #[arg(long, default_value_t = 7)]
    seed: u64,
    /// Number of leads; the scenario's own number when left out.
    #[arg(long)]
    leads: Option<usize>,
    /// Samples per second.
    #[arg(long, default_value_t = 250)]
    rate: u32,
    /// What kind of day: working-day, patch, quiet, restless or long.
    #[arg(long, default_value = "working-day")]
    scenario: String,
}

/// Makes the day and writes it.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let scenario = Scenario::from_name(&args.scenario).with_context(|| {
        let names = Scenario::all().map(Scenario::name).join(", ");
        format!("there is no scenario '{}'; there are {names}", args.scenario)
    })?;
    let usual = Request::usual(scenario);
    let request = Request::new(
        scenario,
        args.hours.unwrap_or(usual.hours),
        args.seed,
        args.leads.unwrap_or(usual.leads),
        args.rate,
    )?;
    let made = beatledger_synth::make(&request);
    std::fs::create_dir_all(&args.out_dir)
        .with_context(|| format!("could not make the folder {}", args.out_dir.display()))?;
    let written = beatledger_synth::write(&made, &args.out_dir)?;
    for path in [&written.edf, &written.atr, &written.diary, &written.truth] {
        print(&format!("{}\n", path.display()));
    }
    Ok(Ending::Done)
}
