//! A made day as files: EDF+, MIT annotations, a diary table and the truth.

use std::fs;
use std::path::{Path, PathBuf};

use beatledger_formats::{FormatError, edf, wfdb};
use thiserror::Error;

use crate::annotate::annotations;
use crate::make::Made;
use crate::truth_file::{kind_word, truth_file};

/// Where a made day was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The recording, EDF+C with the diary as annotations.
    pub edf: PathBuf,
    /// True beats and rhythms, MIT annotation format.
    pub atr: PathBuf,
    /// The diary, CSV.
    pub diary: PathBuf,
    /// Figures and events of the truth, JSON in the shape of the summary.
    pub truth: PathBuf,
}

/// Why a made day could not be written.
#[derive(Debug, Error)]
pub enum WriteError {
    /// The recording or its annotations cannot be held by the format, or the file cannot be written.
    #[error(transparent)]
    Format(#[from] FormatError),
    /// The operating system refused.
    #[error("{file}: writing failed: {source}")]
    Io {
        /// File name.
        file: String,
        /// The system's reason.
        source: std::io::Error,
    },
    /// The truth could not be put into JSON.
    #[error("the truth could not be put into JSON: {0}")]
    Json(#[from] serde_json::Error),
}

/// Writes `made` into `dir`, which is made when it is not there: `<name>.edf`, `<name>.atr`,
/// `<name>.diary.csv` and `<name>.truth.json`. Files of these names are replaced.
///
/// # Errors
/// One sentence when a file cannot be written.
pub fn write(made: &Made, dir: &Path) -> Result<Written, WriteError> {
    let io = |path: &Path, source| WriteError::Io { file: path.display().to_string(), source };
    fs::create_dir_all(dir).map_err(|e| io(dir, e))?;
    let name = &made.recording.name;
    let written = Written {
        edf: dir.join(format!("{name}.edf")),
        atr: dir.join(format!("{name}.atr")),
        diary: dir.join(format!("{name}.diary.csv")),
        truth: dir.join(format!("{name}.truth.json")),
    };
    // The made names and gains fit EDF exactly, so there is nothing to be warned of.
    let _ = edf::write(&made.recording, &written.edf)?;
    wfdb::write_annotations(&written.atr, &annotations(made), Some(made.recording.rate))?;
    fs::write(&written.diary, diary_text(made)).map_err(|e| io(&written.diary, e))?;
    let mut truth = serde_json::to_string_pretty(&truth_file(made))?;
    truth.push('\n');
    fs::write(&written.truth, truth).map_err(|e| io(&written.truth, e))?;
    Ok(written)
}

fn diary_text(made: &Made) -> String {
    let recording = &made.recording;
    let mut out = String::from("time,elapsed_s,duration_s,kind,text,source\n");
    for entry in &recording.diary {
        let kind = kind_word(entry.kind);
        let time = recording.local_time(entry.span.start).map(beatledger_formats::time::iso_date_time);
        let at_s = recording.rate.seconds_from_samples(entry.span.start);
        let lasts = recording.rate.seconds_from_samples(entry.span.len());
        let lasts = if entry.span.is_empty() { String::new() } else { format!("{lasts}") };
        let text = entry.text.replace('"', "\"\"");
        out.push_str(&format!("{},{at_s:.3},{lasts},{kind},\"{text}\",patient\n", time.unwrap_or_default()));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Request, make};
    use beatledger_core::model::BeatClass;
    use beatledger_formats::wfdb::{Mapping, beat_class, read_annotation_file};

    #[test]
    fn a_written_day_reads_back_as_it_was_made() {
        let made = make(&Request { hours: 0.5, ..Request::default() });
        let dir = tempfile::tempdir().unwrap();
        let written = write(&made, dir.path()).unwrap();
        let back = beatledger_formats::open(&written.edf).unwrap();
        assert_eq!(back.samples, made.recording.samples);
        assert_eq!(back.start, made.recording.start);
        for (a, b) in back.leads.iter().zip(&made.recording.leads) {
            assert_eq!(a.name, b.name);
            assert!((a.adc_per_mv - b.adc_per_mv).abs() < 1e-9);
            let (mut x, mut y) = (vec![0; a.samples.len()], vec![0; b.samples.len()]);
            a.samples.read(0, &mut x);
            b.samples.read(0, &mut y);
            assert!(x == y);
        }
        let file = read_annotation_file(&written.atr, Some(made.recording.rate)).unwrap();
        let beats: Vec<(i64, BeatClass)> = file
            .annotations
            .iter()
            .filter_map(|a| beat_class(&a.symbol, Mapping::Ec57).map(|c| (a.sample, c)))
            .collect();
        let truth: Vec<_> =
            made.truth.beats.iter().filter(|b| b.readable).map(|b| (b.sample, b.class)).collect();
        assert_eq!(beats, truth);
        assert!(file.annotations.iter().any(|a| a.aux == "(AFIB"));
        let dark = file.annotations.iter().filter(|a| a.symbol == "~" && a.subtype == -1).count();
        assert_eq!(dark, made.truth.unreadable.len());
    }

    #[test]
    fn the_truth_file_holds_figures_and_events() {
        let made = make(&Request { hours: 0.5, ..Request::default() });
        let dir = tempfile::tempdir().unwrap();
        let written = write(&made, dir.path()).unwrap();
        let file: serde_json::Value =
            serde_json::from_str(&fs::read_to_string(written.truth).unwrap()).unwrap();
        assert_eq!(file["format"], "beatledger-summary");
        let figures = file["figures"].as_array().unwrap();
        let pauses = figures.iter().find(|f| f["key"] == "pauses").unwrap();
        assert_eq!(pauses["value"].as_f64(), made.truth.number(beatledger_core::model::FigureId::Pauses));
        let events = file["events"].as_array().unwrap();
        assert_eq!(events.len(), made.truth.events.iter().filter(|e| e.counts).count());
        let lines = fs::read_to_string(written.diary).unwrap();
        assert_eq!(lines.lines().count(), made.recording.diary.len() + 1);
        assert!(lines.contains("2024-03-04T08:"));
        let kinds: Vec<_> = file["diary"].as_array().unwrap().iter().map(|d| d["kind"].clone()).collect();
        assert!(kinds.contains(&"symptom".into()) && kinds.contains(&"sleep".into()));
    }
}
