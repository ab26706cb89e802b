//! `beatledger score`: agreement of two annotation files by ANSI/AAMI EC57.

use std::path::PathBuf;

use super::Ending;

/// Arguments of `score`.
#[derive(clap::Args)]
pub struct Args {
    /// Reference annotations (MIT format).
    #[arg(long)]
    reference: PathBuf,
    /// Annotations to be judged (MIT format).
    #[arg(long)]
    test: PathBuf,
}

/// Not there yet.
pub fn run(_args: &Args) -> anyhow::Result<Ending> {
    anyhow::bail!("score is not built yet")
}
