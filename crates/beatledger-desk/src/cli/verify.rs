//! `beatledger verify`: is what was signed still what is there?

use std::path::PathBuf;

use beatledger_ledger::manifest;

use super::ending::{Ending, print, print_line};

/// Arguments of `verify`.
#[derive(clap::Args)]
pub struct Args {
    /// A signed folder, its manifest.json, or a ledger (.beatledger).
    path: PathBuf,
}

/// Checks and says what is intact and what is not, one line each.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    if args.path.extension().is_some_and(|e| e == "beatledger") {
        return ledger(&args.path);
    }
    let verification = manifest::verify(&args.path)?;
    print(&format!("{verification}\n"));
    Ok(if verification.is_intact() { Ending::Done } else { Ending::NeedsPerson })
}

fn ledger(path: &std::path::Path) -> anyhow::Result<Ending> {
    let contents = beatledger_ledger::read_prefix(path)?;
    for line in beatledger_ledger::history(&contents.entries) {
        print_line(&line);
    }
    let verification = beatledger_ledger::verify::ledger(path)?;
    print(&format!("{verification}\n"));
    Ok(if verification.is_intact() { Ending::Done } else { Ending::NeedsPerson })
}
