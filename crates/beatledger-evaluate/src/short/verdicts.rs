//! How many recordings of each label were called fibrillation, as figures, text and CSV.

use std::fmt::Write as _;

use super::{Label, ShortRecord};
use crate::tables::text_of;

/// How many recordings of each label were called fibrillation.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Verdicts {
    counts: [(u64, u64); 4],
}

impl Verdicts {
    /// Counts the recordings.
    pub fn of(records: &[ShortRecord]) -> Self {
        let mut verdicts = Self::default();
        for record in records {
            let (called, all) = &mut verdicts.counts[record.label as usize];
            *called += u64::from(record.is_called_af);
            *all += 1;
        }
        verdicts
    }

    /// Recordings of the label that were called fibrillation, and all of the label.
    pub fn called(&self, label: Label) -> (u64, u64) {
        self.counts[label as usize]
    }

    /// Sensitivity, percent of the recordings with fibrillation.
    pub fn se_percent(&self) -> Option<f64> {
        let (called, all) = self.called(Label::Fibrillation);
        (all > 0).then(|| 100.0 * called as f64 / all as f64)
    }

    /// Specificity, percent of the recordings of `label` that are not called fibrillation.
    pub fn sp_percent(&self, label: Label) -> Option<f64> {
        let (called, all) = self.called(label);
        (all > 0).then(|| 100.0 * (all - called) as f64 / all as f64)
    }
}

/// The verdicts as text, with the records that were wrong.
pub fn verdict_table(records: &[ShortRecord]) -> String {
    let verdicts = Verdicts::of(records);
    let mut out = String::from(
        "Fibrillation reported over at least half the record (30 s at most)\n\n\
         Reference      Records  Called AF   AF Se / Sp %\n",
    );
    let number = |v: Option<f64>| v.map_or("-".to_owned(), |v| format!("{v:.2}"));
    for label in Label::ALL {
        let (called, all) = verdicts.called(label);
        let figure = match label {
            Label::Fibrillation => number(verdicts.se_percent()),
            _ => number(verdicts.sp_percent(label)),
        };
        // Writing into a String cannot fail, here and below.
        let _ = writeln!(out, "{:<14}{all:>8}{called:>11}{figure:>15}", label.words());
    }
    for (title, label, wrong) in [
        ("Fibrillation missed", Label::Fibrillation, false),
        ("Normal called fibrillation", Label::Normal, true),
        ("Other called fibrillation", Label::Other, true),
    ] {
        let is_wrong = |r: &&ShortRecord| r.label == label && r.is_called_af == wrong;
        let names: Vec<&str> = records.iter().filter(is_wrong).map(|r| &*r.record).collect();
        let _ =
            writeln!(out, "{title}: {}", if names.is_empty() { "none".to_owned() } else { names.join(" ") });
    }
    out
}

/// A line a recording, as CSV.
///
/// # Errors
/// When a row cannot be written, which does not happen in memory.
pub fn verdicts_csv(records: &[ShortRecord]) -> anyhow::Result<String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(["record", "reference", "called_af", "beats", "length_s", "unreadable_s"])?;
    for r in records {
        table.write_record([
            r.record.clone(),
            r.label.words().to_owned(),
            r.is_called_af.to_string(),
            r.beats.to_string(),
            format!("{:.2}", r.length_s),
            format!("{:.2}", r.unreadable_s),
        ])?;
    }
    text_of(table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sensitivity_is_over_fibrillation_and_specificity_over_the_label_asked_for() {
        let record = |label, is_called_af| ShortRecord {
            record: "a".into(),
            label,
            is_called_af,
            beats: 20,
            length_s: 30.0,
            unreadable_s: 0.0,
        };
        let records = [
            record(Label::Fibrillation, true),
            record(Label::Fibrillation, false),
            record(Label::Normal, false),
            record(Label::Other, true),
        ];
        let verdicts = Verdicts::of(&records);
        assert_eq!(verdicts.se_percent(), Some(50.0));
        assert_eq!(verdicts.sp_percent(Label::Normal), Some(100.0));
        assert_eq!(verdicts.sp_percent(Label::Other), Some(0.0));
        assert_eq!(verdicts.sp_percent(Label::Noisy), None);
        assert!(verdict_table(&records).contains("Other called fibrillation: a"));
    }
}
