//! Records without a tracing: reference beats go in, and what the program makes of them is compared.
//!
//! Only rhythm can be judged here. Runs are taken from the program's events, not from the labels that went
//! in, so that a run that it does not report is missed.

use std::path::Path;

use anyhow::{Context as _, ensure};
use beatledger_core::model::{
    Beat, BeatClass, Event, EventKind, Evidence, Identity, Origin, Rate, Reading, Recording, Span, Waves,
};
use beatledger_core::rhythm;
use beatledger_core::settings::Settings;
use beatledger_formats::wfdb::{self, Annotation, Mapping};
use beatledger_score::Annotations;

use super::case::{Case, Sides, length, stem};
use super::labels::annotations;

/// Ticks of records whose times are in seconds.
const MS: Rate = Rate::whole_hz(1000);

/// Annotations beside a header whose signal is not there.
pub fn of_header(header: &Path, annotator: &str) -> anyhow::Result<Case> {
    let all = wfdb::read_annotations(header.with_extension(annotator))?;
    let header_says = wfdb::read_header(header)?;
    let samples = length(header_says.samples, &all);
    let sides = |mapping| judged(header_says.rate, samples, annotations(&all, mapping, samples));
    Ok(case(stem(header), header_says.rate, samples, sides))
}

/// Beats in one annotation file, rhythm in another, no header.
pub fn of_two_files(beats: &Path, annotator: &str, rate: Rate) -> anyhow::Result<Case> {
    let read = |path: &Path| -> anyhow::Result<Vec<Annotation>> {
        Ok(wfdb::read_annotation_file(path, Some(rate))?.annotations)
    };
    let (marks, mut all) = (read(beats)?, read(&beats.with_extension(annotator))?);
    let samples = length(None, &marks);
    all.extend(marks);
    all.sort_by_key(|a| a.sample);
    let sides = |mapping| judged(rate, samples, annotations(&all, mapping, samples));
    Ok(case(stem(beats), rate, samples, sides))
}

/// RR intervals in seconds, one a line; the first value is the time before the first beat. No beat is
/// labelled, so that any fibrillation found counts as false: it is for people known to have none.
pub fn of_intervals(path: &Path) -> anyhow::Result<Case> {
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
pub fn of_table(path: &Path) -> anyhow::Result<Case> {
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

fn case(record: String, rate: Rate, samples: i64, sides: impl Fn(Mapping) -> Sides) -> Case {
    Case {
        record,
        rate,
        samples,
        from_tracing: false,
        confidence: Vec::new(),
        literature: sides(Mapping::Literature),
        standard: sides(Mapping::Ec57),
    }
}

/// The reference, and what the program makes of its beats. Unreadable time and ventricular fibrillation,
/// where no beats are marked, are unreadable to the program.
fn judged(rate: Rate, samples: i64, reference: Annotations) -> Sides {
    let readable = |s: &(i64, BeatClass)| !reference.vf.iter().any(|v| v.contains(s.0));
    let beats: Vec<(i64, BeatClass)> = reference.beats.iter().copied().filter(readable).collect();
    let unreadable = Span::merged([&*reference.shutdown, &*reference.vf].concat(), 0);
    let events = events(rate, samples, &beats, &unreadable);
    let af = events.iter().filter(|e| e.kind == EventKind::AtrialFibrillation).map(|e| e.span);
    let test = Annotations {
        beats: as_reported(&beats, &events),
        shutdown: reference.shutdown.clone(),
        vf: reference.vf.clone(),
        af: Span::merged(af.collect(), 0),
        flutter: Vec::new(),
    };
    Sides { reference, test }
}

fn events(rate: Rate, samples: i64, beats: &[(i64, BeatClass)], unreadable: &[Span]) -> Vec<Event> {
    let recording = Recording { rate, samples, segments: vec![Span::new(0, samples)], ..no_recording() };
    let beats: Vec<Beat> = beats.iter().map(|(sample, class)| beat(*sample, *class)).collect();
    let settings = Settings::default();
    rhythm::events(&Reading::new(&recording, &settings, &beats, unreadable))
}

/// A recording without samples, at a millisecond a tick.
pub fn no_recording() -> Recording {
    Recording {
        name: String::new(),
        format: "annotations".to_owned(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate: MS,
        samples: 0,
        segments: Vec::new(),
        leads: Vec::new(),
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}

fn beat(sample: i64, class: BeatClass) -> Beat {
    Beat {
        sample,
        class,
        class_found: Some(class),
        origin: Origin::Found,
        confidence: 1.0,
        group: Beat::NO_GROUP,
        waves: Waves::default(),
        evidence: Evidence { quality: 1.0, ..Evidence::default() },
    }
}

/// The beats with the runs that the program reports and no others: ectopic beats that follow one of their
/// kind without an event that says so become N.
fn as_reported(beats: &[(i64, BeatClass)], events: &[Event]) -> Vec<(i64, BeatClass)> {
    let mut told = [vec![false; beats.len()], vec![false; beats.len()]];
    for event in events {
        let kind = match event.kind {
            EventKind::VentricularTachycardia
            | EventKind::IdioventricularRun
            | EventKind::VentricularCouplet => 0,
            EventKind::SupraventricularRun | EventKind::SupraventricularCouplet => 1,
            _ => continue,
        };
        told[kind][event.beats.0 as usize..event.beats.1 as usize].fill(true);
    }
    let kind = |class: BeatClass| match class {
        BeatClass::V | BeatClass::F => Some(0),
        BeatClass::S => Some(1),
        BeatClass::N | BeatClass::Q => None,
    };
    let mut out = beats.to_vec();
    for i in 1..beats.len() {
        if let Some(k) = kind(beats[i].1)
            && kind(beats[i - 1].1) == Some(k)
            && !(told[k][i] && told[k][i - 1])
        {
            out[i].1 = BeatClass::N;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labelled(letters: &str) -> Vec<(i64, BeatClass)> {
        let class = |c| BeatClass::from_letter(c).unwrap();
        letters.chars().enumerate().map(|(i, c)| (i as i64 * 600, class(c))).collect()
    }

    fn letters(beats: &[(i64, BeatClass)]) -> String {
        beats.iter().map(|b| b.1.letter()).collect()
    }

    #[test]
    fn runs_come_from_events_and_not_from_the_labels_that_went_in() {
        let beats = labelled("NVVNVVVVNSSN");
        let found = events(MS, 10_000, &beats, &[]);
        assert_eq!(letters(&as_reported(&beats, &found)), "NVVNVVVVNSSN");
        assert_eq!(letters(&as_reported(&beats, &[])), "NVNNVNNNNSNN");
    }

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
        assert_eq!(letters(&reference.beats), "NNNQ");
    }
}
