//! Records without a tracing: reference beats go in, and what the program makes of them is compared.
//!
//! It knows annotation files and lists of beats. Nothing that looks at samples may come in.
//!
//! Only rhythm can be judged here. Runs are taken from the program's events, not from the labels that went
//! in, so that a run that it does not report is missed.

mod lists;

use std::path::Path;

use beatledger_core::model::{
    Beat, BeatClass, Event, EventKind, Evidence, Origin, Rate, Reading, Recording, Span, Waves,
};
use beatledger_core::rhythm;
use beatledger_core::settings::Settings;
use beatledger_formats::wfdb::{self, Annotation, Mapping};
use beatledger_score::Annotations;

pub(crate) use lists::{of_intervals, of_table};

use crate::annotations::annotations;
use crate::case::{Case, Sides, length, stem};
use crate::recording::empty_recording;

/// Annotations beside a header whose signal is not there.
pub(crate) fn of_header(header: &Path, annotator: &str) -> anyhow::Result<Case> {
    let all = wfdb::read_annotations(header.with_extension(annotator))?;
    let header_says = wfdb::read_header(header)?;
    let samples = length(header_says.samples, &all);
    let sides = |mapping| judged(header_says.rate, samples, annotations(&all, mapping, samples));
    Ok(case(stem(header), header_says.rate, samples, sides))
}

/// Beats in one annotation file, rhythm in another, no header.
pub(crate) fn of_two_files(beats: &Path, annotator: &str, rate: Rate) -> anyhow::Result<Case> {
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

/// A case of which the beats are given.
fn case(record: String, rate: Rate, samples: i64, sides: impl Fn(Mapping) -> Sides) -> Case {
    Case {
        record,
        rate,
        samples,
        from_tracing: false,
        confidence: Vec::new(),
        said: None,
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
        ..Annotations::default()
    };
    Sides { reference, test }
}

fn events(rate: Rate, samples: i64, beats: &[(i64, BeatClass)], unreadable: &[Span]) -> Vec<Event> {
    let recording = Recording { rate, samples, segments: vec![Span::new(0, samples)], ..empty_recording() };
    let beats: Vec<Beat> = beats.iter().map(|(sample, class)| beat(*sample, *class)).collect();
    let settings = Settings::default();
    rhythm::events(&Reading::new(&recording, &settings, &beats, unreadable))
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
    let mut reported = [vec![false; beats.len()], vec![false; beats.len()]];
    for event in events {
        let kind = match event.kind {
            EventKind::VentricularTachycardia
            | EventKind::IdioventricularRun
            | EventKind::VentricularCouplet => 0,
            EventKind::SupraventricularRun | EventKind::SupraventricularCouplet => 1,
            _ => continue,
        };
        reported[kind][event.beats.0 as usize..event.beats.1 as usize].fill(true);
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
            && !(reported[k][i] && reported[k][i - 1])
        {
            out[i].1 = BeatClass::N;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recording::MS;

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
}
