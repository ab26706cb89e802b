//! The command line: one file for each command, without a window.
//!
//! Exit status: 0 done, 1 read but with something that needs a person, 2 could not be read or written, 64 wrong use.
//! The files here know `outside` and the crates below the desk; only `tour` and `pictures` know the window.
//! What a day's figures are is decided elsewhere; here they are asked for and printed.

mod convert;
mod demo;
mod ending;
mod intervals;
mod pictures;
mod read;
mod score;
mod settings;
mod tour;
mod verify;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

pub use ending::Ending;
use ending::{print, say};

const COULD_NOT: u8 = 2;
const WRONG_USE: u8 = 64;

/// Read a day of ambulatory ECG: find and label every beat, correct the labels, sign the summary.
///
/// Not a cleared medical device. Results need review by a qualified, licensed clinician.
#[derive(Parser)]
#[command(name = "beatledger", version, args_conflicts_with_subcommands = true)]
struct Cli {
    /// Recording to open in the window; without one the desk opens on the demo day.
    file: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Write a recording, or what was found in it, in another open format.
    Convert(convert::Args),
    /// Make a day-long recording with known truth.
    Demo(demo::Args),
    /// Read a recording without a window and print its figures.
    Read(read::Args),
    /// Compare beat labels with a reference by ANSI/AAMI EC57.
    Score(score::Args),
    /// Print every setting with its unit, range and source, as a settings file.
    Settings(settings::Args),
    /// Check a signed folder, a manifest or a ledger.
    Verify(verify::Args),
    /// Make pictures of the desk without a display.
    Pictures(pictures::Args),
}

/// Runs one command line and gives the exit status. Figures go to standard output, sentences about what
/// went wrong to standard error.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(error) => {
            let wrong = error.use_stderr();
            // A closed pipe is no reason to fail: there is nobody to tell.
            let _ = error.print();
            return ExitCode::from(if wrong { WRONG_USE } else { 0 });
        }
    };
    let ending = match cli.command {
        None => tour::run(cli.file),
        Some(Command::Convert(args)) => convert::run(&args),
        Some(Command::Demo(args)) => demo::run(&args),
        Some(Command::Read(args)) => read::run(&args),
        Some(Command::Score(args)) => score::run(&args),
        Some(Command::Settings(args)) => settings::run(&args),
        Some(Command::Verify(args)) => verify::run(&args),
        Some(Command::Pictures(args)) => pictures::run(&args),
    };
    match ending {
        Ok(Ending::Done) => ExitCode::SUCCESS,
        Ok(Ending::NeedsPerson) => ExitCode::from(1),
        Err(error) => {
            say(&format!("{error:#}"));
            ExitCode::from(COULD_NOT)
        }
    }
}
