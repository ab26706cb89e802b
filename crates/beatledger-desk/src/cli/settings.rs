//! `beatledger settings`: every setting as a settings file.

use std::path::PathBuf;

use super::ending::{Ending, print};
use crate::outside::{read_day, settings_file};

/// Arguments of `settings`.
#[derive(clap::Args)]
pub struct Args {
    /// Settings file (TOML) whose values are printed in place of the defaults.
    #[arg(long)]
    settings: Option<PathBuf>,
}

/// Prints all settings with what they do, their unit, range and source.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    print(&settings_file::write(&read_day::settings_from(args.settings.as_deref())?));
    Ok(Ending::Done)
}
