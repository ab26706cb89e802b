//! Lists of beats without annotation files: RR intervals, and tables of beats with their rhythm.

use std::path::Path;

use anyhow::{Context as _, ensure};
use beatledger_core::model::{BeatClass, Span};
use beatledger_score::Annotations;

use super::{case, judged};
use crate::case::{Case, stem};
use crate::recording::MS;

/// RR intervals in seconds, one a line; the first value is the time before the first beat. No beat is
/// labelled, so that any fibrillation found counts as false: it is for people known to have none.
pub(crate) fn of_intervals(path: &Path) -> anyhow::Result<Case> {
    let text = std::fs::read_to_string(path).with_context(|| format!("could not read {}", path.display()))?;
    let mut at_s = 0.0;
    let mut beats = Vec::new();
    for (number, line) in (1..).zip(text.lines()).filter(|(_, l)| !l.trim().is_empty()) {
        let seconds: f64 =
            line.trim().parse().ok().filter(|s: &f64| (0.0..1e6).contains(s)).with_context(|| {
                format!("{}, line {number}: expected an interval in seconds, found '{line}'", path.display())
            })?;
        at_s += seconds;
        beats.push((MS.samples_from_seconds(at_s), BeatClass::N));
    }
    let samples = beats.last().map_or(0, |b| b.0 + 1);
    let reference = Annotations::of_beats(beats);
    Ok(case(stem(path).replace("_rr_secs", ""), MS, samples, |_| judged(MS, samples, reference.clone())))
}

/// A table of beats as the VitalDB Arrhythmia Database has them: `time_second`, `beat_type` (N, S, V, others
/// unclassifiable), `rhythm_label` at each beat, `bad_signal_quality`. That database calls every conducted beat
/// of fibrillation S; none of them is ectopic, so they count as N here.
pub(crate) fn of_table(path: &Path) -> anyhow::Result<Case> {
    let place = |line: u64| format!("{}, line {line}", path.display());
    let mut table =
        csv::Reader::from_path(path).with_context(|| format!("could not read {}", path.display()))?;
    let heads = table.headers().with_context(|| place(1))?.clone();
    let column = |name: &str| {
        let found = heads.iter().position(|h| h.trim_start_matches('\u{feff}') == name);
        found.with_context(|| format!("{}: expected a column '{name}', found none", place(1)))
    };
    let (time, kind) = (column("time_second")?, column("beat_type")?);
    let (rhythm, bad) = (column("rhythm_label")?, column("bad_signal_quality")?);
    let mut rows: Vec<(i64, BeatClass, bool, bool)> = Vec::new();
    for row in table.records() {
        let row = row.with_context(|| format!("{} is no table", path.display()))?;
        let cell = |i: usize| row.get(i).unwrap_or_default().trim();
        let at: f64 =
            cell(time).parse().ok().filter(|t: &f64| (0.0..1e9).contains(t)).with_context(|| {
                let line = row.position().map_or(0, csv::Position::line);
                format!("{}: expected a time in seconds, found '{}'", place(line), cell(time))
            })?;
        let in_af = cell(rhythm).starts_with("AFIB");
        let class = match cell(kind) {
            "S" if !in_af => BeatClass::S,
            "N" | "S" => BeatClass::N,
            "V" => BeatClass::V,
            _ => BeatClass::Q,
        };
        rows.push((MS.samples_from_seconds(at), class, in_af, cell(bad).eq_ignore_ascii_case("true")));
    }
    ensure!(!rows.is_empty(), "{} holds no beat", path.display());
    rows.sort_by_key(|r| r.0);
    // The excerpt starts with its first beat.
    let first = rows[0].0;
    rows.iter_mut().for_each(|r| r.0 -= first);
    let samples = rows[rows.len() - 1].0 + 1;
    let reference = Annotations {
        af: stretches(&rows, samples, |r| r.2),
        shutdown: stretches(&rows, samples, |r| r.3),
        ..Annotations::of_beats(rows.iter().map(|r| (r.0, r.1)).collect())
    };
    let name = stem(path).replace("Annotation_file_", "");
    Ok(case(name, MS, samples, |_| judged(MS, samples, reference.clone())))
}

/// From each row that `is` to the next that is not.
fn stretches<T: Copy>(
    rows: &[(i64, T, bool, bool)],
    end: i64,
    is: fn(&(i64, T, bool, bool)) -> bool,
) -> Vec<Span> {
    let until = |i: usize| rows.get(i + 1).map_or(end, |r| r.0);
    let spans = (0..rows.len()).filter(|i| is(&rows[*i])).map(|i| Span::new(rows[i].0, until(i)));
    Span::merged(spans.collect(), 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_rr_list_in_seconds_is_read_and_a_word_in_it_is_refused_with_its_line() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("one_rr_secs.txt");
        std::fs::write(&path, "225.8\n0.7\n0.8\n").unwrap();
        let case = of_intervals(&path).unwrap();
        let at: Vec<i64> = case.literature.reference.beats.iter().map(|b| b.0).collect();
        assert_eq!((case.record.as_str(), at), ("one", vec![225_800, 226_500, 227_300]));
        std::fs::write(&path, "0.7\nbeat\n").unwrap();
        let error = of_intervals(&path).unwrap_err().to_string();
        assert!(error.contains("line 2: expected an interval in seconds, found 'beat'"), "{error}");
    }

    #[test]
    fn a_table_of_beats_gives_rhythm_and_unreadable_stretches() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("Annotation_file_7.csv");
        let text = "\u{feff}time_second,beat_type,rhythm_label,bad_signal_quality\n\
            10.0,N,N,False\n11.0,S,AFIB/AFL,False\n12.0,N,AFIB/AFL,True\n13.0,U,N,False\n";
        std::fs::write(&path, text).unwrap();
        let case = of_table(&path).unwrap();
        let reference = &case.literature.reference;
        assert_eq!(case.record, "7");
        assert_eq!(
            (reference.af.clone(), reference.shutdown.clone()),
            (vec![Span::new(1000, 3000)], vec![Span::new(2000, 3000)])
        );
        let letters: String = reference.beats.iter().map(|b| b.1.letter()).collect();
        assert_eq!(letters, "NNNQ");
    }
}
