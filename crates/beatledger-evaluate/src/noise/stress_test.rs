//! The noise stress test: clean records mixed with recorded noise, read, and compared.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::Context as _;
use beatledger_core::model::{Recording, Span};
use beatledger_formats::wfdb::{self, Mapping};
use beatledger_score::{Annotations, Column, Matrix, Row, Rules, pairs};

use super::mix::{mix, noisy_spans};
use crate::annotations::annotations;
use crate::database::Wanted;
use crate::recording::{found_annotations, read};

/// Signal-to-noise ratios of the published set, dB.
pub const LEVELS_DB: [i32; 6] = [24, 18, 12, 6, 0, -6];
/// Records that the published set is made of.
const RECORDS: [&str; 2] = ["118", "119"];

/// One record at one level.
#[derive(Clone, Debug)]
pub struct Noisy {
    /// Name of the record.
    pub record: String,
    /// Signal-to-noise ratio, dB.
    pub level_db: i32,
    /// Beats from minute 5 on.
    pub whole: Matrix,
    /// Beats of the noisy stretches alone.
    pub noisy: Matrix,
    /// Time declared unreadable from minute 5 on, s.
    pub unreadable_s: f64,
    /// Time with noise, s.
    pub noisy_s: f64,
}

/// Mixes, reads and compares the records of `folder` with the noise record.
///
/// # Errors
/// When a record cannot be read or mixed, or does not have the lead asked for.
pub fn stress_test(folder: &Path, noise: &Path, wanted: &Wanted) -> anyhow::Result<Vec<Noisy>> {
    let names = match wanted.records.as_slice() {
        [] => RECORDS.map(str::to_owned).to_vec(),
        given => given.to_vec(),
    };
    let noise = beatledger_formats::open(noise).context("the noise record")?;
    let mut out = Vec::new();
    for name in names {
        let header = folder.join(format!("{name}.hea"));
        let clean = beatledger_formats::open(&header)?;
        let all = wfdb::read_annotations(header.with_extension(&wanted.annotator))?;
        let reference = annotations(&all, Mapping::Literature, clean.samples);
        for level_db in LEVELS_DB {
            let mixed = mix(&clean, &reference, &noise, f64::from(level_db))?;
            let mixed = wanted.leads.of(mixed).with_context(|| format!("{name} does not have that lead"))?;
            out.push(judge(&name, level_db, mixed, &reference));
        }
    }
    Ok(out)
}

fn judge(record: &str, level_db: i32, mixed: Recording, reference: &Annotations) -> Noisy {
    let snapshot = read(mixed);
    let (rate, samples) = (snapshot.recording.rate, snapshot.recording.samples);
    let noisy = noisy_spans(rate, samples);
    let test = found_annotations(&snapshot);
    let (mut all, mut within) = (Matrix::default(), Matrix::default());
    for pair in pairs(rate, reference, &test, &Rules::EC57) {
        all.add(pair.row, pair.column);
        let at = pair.reference.map(|r| reference.beats[r].0).or(pair.test.map(|t| test.beats[t].0));
        if at.is_some_and(|at| noisy.iter().any(|n| n.contains(at))) {
            within.add(pair.row, pair.column);
        }
    }
    let scored = Span::new(Rules::EC57.first_sample(rate), samples);
    Noisy {
        record: record.to_owned(),
        level_db,
        whole: all,
        noisy: within,
        unreadable_s: rate.seconds_from_samples(scored.covered_by(&snapshot.unreadable)),
        noisy_s: rate.seconds_from_samples(noisy.iter().map(|n| n.len()).sum()),
    }
}

/// Per level and record, and over the records of a level.
pub fn stress_table(all: &[Noisy]) -> String {
    let number = |v: Option<f64>| v.map_or("-".to_owned(), |v| format!("{v:.2}"));
    let mut out = String::from(
        "QRS with noise from minute 5 on, two minutes of noise and two without in turn, %\n\n\
         \x20              from minute 5      noisy stretches    outside unreadable  unreadable\n\
         SNR dB Record      Se       +P       Se       +P           noisy Se      s of noisy s\n",
    );
    let mut row =
        |level: i32, name: &str, whole: &Matrix, noisy: &Matrix, unreadable_s: f64, noisy_s: f64| {
            let (w, n, seen) = (whole.figures(), noisy.figures(), outside_unreadable(noisy));
            // Writing into a String cannot fail.
            let _ = writeln!(
                out,
                "{level:>6} {name:<7}{:>9}{:>9}{:>9}{:>9}{:>19}{unreadable_s:>12.0}{noisy_s:>7.0}",
                number(w.qse_percent),
                number(w.qpp_percent),
                number(n.qse_percent),
                number(n.qpp_percent),
                number(seen),
            );
        };
    for level in LEVELS_DB {
        let here: Vec<&Noisy> = all.iter().filter(|n| n.level_db == level).collect();
        let (mut whole, mut noisy, mut unreadable_s, mut noisy_s) =
            (Matrix::default(), Matrix::default(), 0.0, 0.0);
        for one in here {
            row(level, &one.record, &one.whole, &one.noisy, one.unreadable_s, one.noisy_s);
            whole.merge(&one.whole);
            noisy.merge(&one.noisy);
            (unreadable_s, noisy_s) = (unreadable_s + one.unreadable_s, noisy_s + one.noisy_s);
        }
        row(level, "Gross", &whole, &noisy, unreadable_s, noisy_s);
    }
    out
}

/// QRS sensitivity over the reference beats that do not lie in unreadable time, percent.
fn outside_unreadable(matrix: &Matrix) -> Option<f64> {
    let beats = [Row::N, Row::S, Row::V, Row::F, Row::Q];
    let found = matrix.sum(&beats, &Column::ALL[..5]) as f64;
    let all = found + matrix.sum(&beats, &[Column::O]) as f64;
    (all > 0.0).then(|| 100.0 * found / all)
}
