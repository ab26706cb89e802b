//! `beatledger pictures`: the desk as PNG files, without a display.

use std::path::PathBuf;

use super::Ending;

/// Arguments of `pictures`.
#[derive(clap::Args)]
pub struct Args {
    /// Folder to write into; made when it is not there.
    out_dir: PathBuf,
}

/// Makes the pictures.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let _ = &args.out_dir;
    anyhow::bail!("pictures are not built yet")
}
