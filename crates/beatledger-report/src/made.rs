//! A small made recording for tests: three minutes over midnight, two leads, 75 bpm, with an early V beat and
//! ten seconds that cannot be read.

use std::sync::Arc;

use beatledger_core::model::{
    BeatClass, DiaryEntry, DiaryKind, Evidence, Found, FoundBeat, Identity, Lead, LocalTime, Quality, Rate,
    Recording, Span, Unit, Waves,
};
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;

/// Samples a second.
pub const HZ: i64 = 250;
/// Sample of the V beat.
pub const V_AT: i64 = 8_000;
/// What cannot be read: 100 to 110 s.
pub const HOLE: Span = Span { start: 25_000, end: 27_500 };
const LENGTH: i64 = 180 * HZ;

/// Beats every 800 ms from 400 ms on; the V beat comes 400 ms early.
pub fn beats() -> Vec<(i64, BeatClass)> {
    (0..225)
        .map(|i| 100 + i * 200)
        .map(|at| if at == V_AT + 100 { (V_AT, BeatClass::V) } else { (at, BeatClass::N) })
        .filter(|(at, _)| !HOLE.contains(*at))
        .collect()
}

fn lead(name: &str, turn: i16) -> Lead {
    let mut samples = vec![0i16; LENGTH as usize];
    for (at, _) in beats() {
        for (i, height) in [(-4, 0), (-3, 60), (-2, 120), (-1, 180), (0, 200), (1, 150), (2, 90), (3, 30)] {
            samples[(at + i) as usize] = height * turn;
        }
    }
    Lead {
        name: name.to_owned(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new(samples),
    }
}

pub fn recording() -> Recording {
    Recording {
        name: "made".to_owned(),
        format: "made in memory".to_owned(),
        sha256: "0123456789abcdef".repeat(4),
        identity: Identity { name: "M. Ade".to_owned(), ..Identity::default() },
        // 2024-03-04 23:58:30.
        start: Some(LocalTime(1_709_596_710_000)),
        rate: Rate::whole_hz(HZ as u32),
        samples: LENGTH,
        segments: vec![Span::new(0, LENGTH)],
        leads: vec![lead("ECG II", 1), lead("ECG <V5>", -1)],
        others: Vec::new(),
        diary: vec![DiaryEntry {
            span: Span::new(8_000, 8_000),
            kind: DiaryKind::Symptom,
            text: "skipped a beat".to_owned(),
        }],
        warnings: Vec::new(),
    }
}

fn found() -> Found {
    let beat = |(sample, class)| FoundBeat {
        sample,
        class,
        confidence: 0.9,
        group: u32::from(class == BeatClass::V),
        waves: Waves::default(),
        evidence: Evidence::default(),
    };
    Found {
        quality: Quality { leads: Vec::new(), unreadable: vec![HOLE] },
        beats: beats().into_iter().map(beat).collect(),
        looks_inverted: vec![false, true],
        ..Found::default()
    }
}

/// What stands after `edits`.
pub fn snapshot(edits: &[Edit]) -> Snapshot {
    let mut session = Session::new(Arc::new(recording()), Settings::default(), Arc::new(found()), &[]);
    let stamp = Stamp { reader: "A. Reader".to_owned(), at_utc_ms: 0, utc_offset_min: 0 };
    for edit in edits {
        let entry = session.entry(Action::Do(edit.clone()), &stamp);
        session.push(&entry);
    }
    (*session.snapshot()).clone()
}

/// A recording in which there is nothing at all.
pub fn empty() -> Snapshot {
    let recording = Recording {
        samples: 0,
        segments: Vec::new(),
        leads: Vec::new(),
        diary: Vec::new(),
        start: None,
        sha256: String::new(),
        ..recording()
    };
    Session::new(Arc::new(recording), Settings::default(), Arc::new(Found::default()), &[])
        .snapshot()
        .as_ref()
        .clone()
}
