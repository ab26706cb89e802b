//! Short recordings with one label each: is it atrial fibrillation or not.
//!
//! A record counts as fibrillation when the program reports fibrillation in it. The report asks for 30 s,
//! which a record of 9 to 61 s may not hold: here the minimum is half the record, and never more than 30 s.
//! All else is as by default. No classifier of short recordings belongs here.

mod verdicts;

use std::path::Path;

use anyhow::Context as _;
use beatledger_core::model::{EventKind, Reading};
use beatledger_core::rhythm;
use beatledger_core::settings::Settings;

pub use verdicts::{Verdicts, verdict_table, verdicts_csv};

use crate::case::stem;
use crate::recording::read;

/// What the reference calls a recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Label {
    /// Normal rhythm.
    Normal,
    /// Atrial fibrillation.
    Fibrillation,
    /// Another rhythm.
    Other,
    /// Too noisy to tell.
    Noisy,
}

impl Label {
    /// All labels.
    pub const ALL: [Label; 4] = [Self::Normal, Self::Fibrillation, Self::Other, Self::Noisy];

    /// The label of a letter of the challenge.
    pub fn from_letter(letter: &str) -> Option<Self> {
        match letter {
            "N" => Some(Self::Normal),
            "A" => Some(Self::Fibrillation),
            "O" => Some(Self::Other),
            "~" => Some(Self::Noisy),
            _ => None,
        }
    }

    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Fibrillation => "fibrillation",
            Self::Other => "other rhythm",
            Self::Noisy => "noisy",
        }
    }
}

/// One recording and what the program made of it.
#[derive(Clone, Debug)]
pub struct ShortRecord {
    /// Name.
    pub record: String,
    /// The reference.
    pub label: Label,
    /// Fibrillation was reported.
    pub is_called_af: bool,
    /// Beats found.
    pub beats: usize,
    /// Length, s.
    pub length_s: f64,
    /// Time declared unreadable, s.
    pub unreadable_s: f64,
}

/// Reads one recording.
pub(crate) fn judge(header: &Path, label: Label) -> anyhow::Result<ShortRecord> {
    let snapshot = read(beatledger_formats::open(header)?);
    let recording = &snapshot.recording;
    let length_s = recording.rate.seconds_from_samples(recording.samples);
    let mut settings = Settings::default();
    settings.af_min_s = settings.af_min_s.min(length_s / 2.0);
    let reading = Reading::new(recording, &settings, &snapshot.beats, &snapshot.unreadable);
    let events = rhythm::events(&reading);
    Ok(ShortRecord {
        record: stem(header),
        label,
        is_called_af: events.iter().any(|e| e.kind == EventKind::AtrialFibrillation),
        beats: snapshot.beats.len(),
        length_s,
        unreadable_s: recording.rate.seconds_from_samples(snapshot.unreadable.iter().map(|s| s.len()).sum()),
    })
}

/// Names and labels of `REFERENCE.csv`; `None` when there is none with labels of rhythm.
pub(crate) fn labels(folder: &Path) -> anyhow::Result<Option<Vec<(String, Label)>>> {
    let path = folder.join("REFERENCE.csv");
    let Ok(text) = std::fs::read_to_string(&path) else { return Ok(None) };
    let parse = |line: &str| {
        let (name, letter) = line.split_once(',')?;
        Some((name.trim().to_owned(), Label::from_letter(letter.trim())?))
    };
    let lines = || text.lines().filter(|l| !l.trim().is_empty());
    if lines().next().and_then(parse).is_none() {
        return Ok(None);
    }
    let all: Option<Vec<_>> = lines().map(parse).collect();
    all.map(Some).with_context(|| format!("{}: expected 'record,N|A|O|~' on every line", path.display()))
}
