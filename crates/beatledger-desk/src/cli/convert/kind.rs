//! The formats that can be written, and the endings that stand for them.

use std::path::{Path, PathBuf};

use anyhow::Context as _;

/// Shown under the help of the command.
pub const TABLE: &str = "\
Formats and their endings:
  edf             .edf               EDF+ (C, or D where there are gaps), 16 bits; the diary as annotations
  wfdb16          .hea               WFDB header with samples in format 16 beside it
  wfdb212                            WFDB header with samples in format 212 (12 bits)
  ishne           .ecg               ISHNE ECG, 16 bits, no gaps
  wfdb-marks      .atr               WFDB annotations: beats, rhythm marks, signal quality, diary
  ishne-marks     .ann               ISHNE annotations: beats
  beats-csv       .csv .beats.csv    one row a beat
  events-csv      .events.csv        one row an event
  beats-parquet   .parquet .beats.parquet
                                     one row a beat, Apache Parquet
  events-parquet  .events.parquet    one row an event, Apache Parquet
  rr              .rr.txt .txt       RR intervals in ms, one a line
  nn              .nn.txt            RR intervals between two normal beats
  fhir            .fhir.json         HL7 FHIR R4 bundle with the report
Formats of beats and events read the day first, with the ledger beside the recording.";

/// A format that can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Kind {
    /// EDF+.
    Edf,
    /// WFDB record, format 16.
    Wfdb16,
    /// WFDB record, format 212.
    Wfdb212,
    /// ISHNE ECG.
    Ishne,
    /// WFDB annotations.
    WfdbMarks,
    /// ISHNE annotations.
    IshneMarks,
    /// Beats as CSV.
    BeatsCsv,
    /// Events as CSV.
    EventsCsv,
    /// Beats as Parquet.
    BeatsParquet,
    /// Events as Parquet.
    EventsParquet,
    /// All RR intervals as text.
    Rr,
    /// Normal-to-normal intervals as text.
    Nn,
    /// FHIR R4 bundle.
    Fhir,
}

/// Endings, the longer before the shorter that it ends with.
const ENDINGS: [(&str, Kind); 14] = [
    (".edf", Kind::Edf),
    (".hea", Kind::Wfdb16),
    (".ecg", Kind::Ishne),
    (".atr", Kind::WfdbMarks),
    (".ann", Kind::IshneMarks),
    (".events.csv", Kind::EventsCsv),
    (".csv", Kind::BeatsCsv),
    (".events.parquet", Kind::EventsParquet),
    (".parquet", Kind::BeatsParquet),
    (".nn.txt", Kind::Nn),
    (".txt", Kind::Rr),
    (".fhir.json", Kind::Fhir),
    (".beats.csv", Kind::BeatsCsv),
    (".beats.parquet", Kind::BeatsParquet),
];

/// The format of a file to be written: the one that was named, else the one of its ending.
pub fn of(output: &Path, named: Option<Kind>) -> anyhow::Result<Kind> {
    let name = output.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
    let of_ending = || ENDINGS.iter().find(|(ending, _)| name.ends_with(ending)).map(|(_, kind)| *kind);
    named.or_else(of_ending).with_context(|| {
        format!(
            "the ending of {} stands for no format that is written; name one with --as (beatledger convert --help lists them)",
            output.display()
        )
    })
}

impl Kind {
    /// True when the day has to be read for it.
    pub fn needs_marks(self) -> bool {
        !matches!(self, Self::Edf | Self::Wfdb16 | Self::Wfdb212 | Self::Ishne)
    }

    /// The files that will be written.
    pub fn files(self, output: &Path, marks: bool) -> Vec<PathBuf> {
        let mut files = vec![output.to_owned()];
        if matches!(self, Self::Wfdb16 | Self::Wfdb212) {
            files.push(output.with_extension("dat"));
        }
        match self {
            Self::Wfdb16 | Self::Wfdb212 if marks => files.push(output.with_extension("atr")),
            Self::Ishne if marks => files.push(output.with_extension("ann")),
            _ => {}
        }
        files
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_says_the_format_and_a_name_wins_over_it() {
        let kind = |name: &str| of(Path::new(name), None).ok();
        assert_eq!(kind("a.EDF"), Some(Kind::Edf));
        assert_eq!(kind("a.events.csv"), Some(Kind::EventsCsv));
        assert_eq!(kind("a.beats.csv"), Some(Kind::BeatsCsv));
        assert_eq!(kind("a.rr.txt"), Some(Kind::Rr));
        assert_eq!(kind("a.nn.txt"), Some(Kind::Nn));
        assert_eq!(kind("a.json"), None);
        assert_eq!(of(Path::new("a.json"), Some(Kind::Fhir)).ok(), Some(Kind::Fhir));
        for (ending, _) in ENDINGS {
            assert!(TABLE.contains(ending), "{ending} is not in the help");
        }
    }
}
