//! `beatledger pictures`: the desk as PNG files, without a display.

use std::path::PathBuf;
use std::sync::Arc;

use anyhow::Context as _;
use beatledger_core::model::Progress;
use beatledger_core::pipeline;
use beatledger_core::settings::Settings;

use super::ending::{Ending, print};
use crate::pictures::{gallery, write_png};

/// Arguments of `pictures`.
#[derive(clap::Args)]
pub struct Args {
    /// Folder to write into; made when it is not there.
    out_dir: PathBuf,
}

/// Reads the demo day and makes the pictures.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    std::fs::create_dir_all(&args.out_dir)
        .with_context(|| format!("could not make the folder {}", args.out_dir.display()))?;
    let recording = Arc::new(beatledger_synth::make(&beatledger_synth::Request::default()).recording);
    // Nobody holds the progress, so nobody can cancel and a result always comes.
    let found = pipeline::find(&recording, &Settings::default(), &Progress::default()).unwrap_or_default();
    let found = Arc::new(found);
    for scene in &gallery::SCENES {
        let path = args.out_dir.join(format!("{}.png", scene.name));
        write_png(&gallery::picture(scene, &recording, &found), &path)?;
        print(&format!("{}\n", path.display()));
    }
    Ok(Ending::Done)
}
