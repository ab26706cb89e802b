//! `beatledger convert`: a recording, or what was found in it, written in another open format.

mod kind;
mod place;
mod write;

use std::path::PathBuf;

use anyhow::ensure;
use beatledger_core::model::{Recording, Span};
use beatledger_formats::marks::Marks;
use beatledger_formats::private::{self, Removed};

use super::ending::{Ending, print, say};
use crate::outside::read_day::{self, ReadDay};
pub use kind::Kind;

/// Arguments of `convert`.
#[derive(clap::Args)]
#[command(after_help = kind::TABLE)]
pub struct Args {
    /// Recording: a file, a WFDB header, or a folder with one record. It is opened read-only.
    input: PathBuf,
    /// File to write; its ending says the format (table below).
    output: PathBuf,
    /// Format to write, whatever the ending.
    #[arg(long = "as", value_enum)]
    kind: Option<Kind>,
    /// Take out what says who was recorded: names, codes, birth date, recorder, free text, words of the diary; move
    /// the date to 2000-01-01 and keep the time of day. Says what was taken out and what cannot be promised.
    #[arg(long)]
    deidentify: bool,
    /// Start of the part to write: a time of day such as 22:30 or 22:30:15 (the first one at or after the start of the
    /// recording), or seconds from the start such as 3600 or 12.5.
    #[arg(long)]
    from: Option<String>,
    /// End of the part to write, not included: as --from (a time of day is the first one after --from).
    #[arg(long)]
    to: Option<String>,
    /// Read the day and write its beats and events with the samples: annotations inside an EDF+ file, NAME.atr beside a
    /// WFDB header, NAME.ann beside an ISHNE file.
    #[arg(long)]
    marks: bool,
    /// Ledger with a reader's edits; the one beside the recording when left out.
    #[arg(long)]
    ledger: Option<PathBuf>,
    /// Settings file (TOML) with values that differ from the defaults.
    #[arg(long)]
    settings: Option<PathBuf>,
    /// Replace files that are already there.
    #[arg(long)]
    force: bool,
}

/// What is to be written.
struct Conversion {
    recording: Recording,
    /// Beats, events and diary, where the format or the user asks for them.
    marks: Option<Marks>,
    /// The day as it was read, where it was.
    day: Option<ReadDay>,
}

/// Reads, cuts, takes out, writes, and says what was done.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let kind = kind::of(&args.output, args.kind)?;
    ensure!(
        kind != Kind::Fhir || args.from.is_none() && args.to.is_none(),
        "a FHIR bundle speaks of the whole recording; leave --from and --to out"
    );
    place::check(&args.input, &kind.files(&args.output, args.marks), args.force)?;
    let mut job = open(args, kind)?;
    for warning in &job.recording.warnings {
        say(&format!("{}: {}", warning.code, warning.text));
    }
    let span = place::span(&job.recording, args.from.as_deref(), args.to.as_deref())?;
    if span != job.recording.whole() {
        job = cut(job, span)?;
    }
    let removed = args.deidentify.then(|| deidentify(&mut job));
    for warning in write::all(&job, kind, &args.output)? {
        say(&format!("{}: {}", warning.code, warning.text));
    }
    for path in kind.files(&args.output, args.marks) {
        print(&format!("{}\n", path.display()));
    }
    if let Some(removed) = removed {
        tell(&removed);
    }
    Ok(Ending::Done)
}

fn open(args: &Args, kind: Kind) -> anyhow::Result<Conversion> {
    if !kind.needs_marks() && !args.marks {
        return Ok(Conversion { recording: beatledger_formats::open(&args.input)?, marks: None, day: None });
    }
    let settings = read_day::settings_from(args.settings.as_deref())?;
    let day = read_day::read(&args.input, args.ledger.as_deref(), &settings)?;
    let marks = crate::outside::export::marks_of(&day.snapshot);
    Ok(Conversion { recording: (*day.snapshot.recording).clone(), marks: Some(marks), day: Some(day) })
}

fn cut(job: Conversion, span: Span) -> anyhow::Result<Conversion> {
    let kept = beatledger_formats::kept(&job.recording, span);
    ensure!(
        !kept.is_empty(),
        "between {} and {} there are no samples",
        place::said(&job.recording, span.start),
        place::said(&job.recording, span.end)
    );
    print(&format!(
        "part: {} to {}\n",
        place::said(&job.recording, kept.start),
        place::said(&job.recording, kept.end)
    ));
    let recording = beatledger_formats::cut(&job.recording, kept);
    Ok(Conversion { marks: job.marks.map(|m| m.cut(kept)), recording, day: job.day })
}

fn deidentify(job: &mut Conversion) -> Removed {
    let (recording, removed) = private::deidentify(&job.recording);
    let before = std::mem::replace(&mut job.recording, recording);
    job.marks = job.marks.as_ref().map(|m| private::deidentify_marks(m, &before, &job.recording));
    job.day = job.day.take().map(|day| write::deidentified(day, &job.recording));
    removed
}

fn tell(removed: &Removed) {
    let lists =
        [("removed", &removed.removed), ("kept", &removed.kept), ("not promised", &removed.not_promised)];
    for (heading, lines) in lists {
        for line in lines {
            print(&format!("{heading}: {line}\n"));
        }
    }
}
