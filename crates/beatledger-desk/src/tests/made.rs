//! A small day made by hand for the tests of the views: plain shapes, known beats, one of everything.

use std::sync::Arc;

use beatledger_core::model::{
    Beat, BeatClass, DiaryEntry, DiaryKind, Event, EventKind, EventState, Evidence, Found, FoundBeat, Group,
    Identity, Lead, LocalTime, Origin, Quality, Rate, Recording, Span, Timing, Unit, Waves,
};
use beatledger_core::review::{Action, Edit, Entry, Fold};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;

const RATE_HZ: i64 = 128;
const LEADS: usize = 3;

/// What kind of day is made.
#[derive(Clone, Copy, Debug)]
pub struct MadeDay {
    minutes: i64,
}

impl MadeDay {
    /// A recording of this many minutes that starts at 21:30.
    pub fn minutes(minutes: i64) -> Self {
        Self { minutes }
    }

    /// The day as it stands, with one relabelled beat.
    pub fn snapshot(self) -> Snapshot {
        let samples = self.minutes * 60 * RATE_HZ;
        let beats = found_beats(samples);
        let recording = Arc::new(recording(samples, &beats));
        let noise = Span::new(samples / 2, samples / 2 + samples / 20);
        let groups =
            [(BeatClass::N, Timing::OnTime), (BeatClass::V, Timing::Early), (BeatClass::S, Timing::Early)]
                .into_iter()
                .enumerate()
                .map(|(i, (class, timing))| Group {
                    class,
                    timing,
                    count: beats.iter().filter(|b| b.group as usize == i).count() as u32,
                    mean_mv: (0..LEADS).map(|lead| mean_mv(class, lead)).collect(),
                })
                .collect();
        let quality = Quality { leads: Vec::new(), unreadable: vec![noise] };
        let relabelled = beats.iter().find(|b| b.class == BeatClass::V).map_or(0, |b| b.sample);
        let found = Arc::new(Found {
            quality,
            beats,
            groups,
            looks_inverted: vec![false, false, true],
            ..Found::default()
        });
        let entry = Entry {
            seq: 1,
            at_utc_ms: 0,
            utc_offset_min: 0,
            reader: "A. Reader".into(),
            action: Action::Do(Edit::Relabel { beats: vec![relabelled], class: BeatClass::Q }),
        };
        let mut snapshot = Snapshot::new(recording, &Settings::default(), found, Fold::of(&[entry]));
        snapshot.read = Arc::new(vec![Span::new(0, samples / 3)]);
        snapshot.events = Arc::new(events(&snapshot.beats, samples));
        snapshot
    }
}

/// A beat every 0.8 s; every 9th one ventricular and early, every 31st supraventricular and early.
fn found_beats(samples: i64) -> Vec<FoundBeat> {
    let mut beats = Vec::new();
    let mut at = RATE_HZ / 2;
    let mut i = 0i64;
    while at < samples - RATE_HZ {
        let (class, group) = match i {
            _ if i % 9 == 8 => (BeatClass::V, 1),
            _ if i % 31 == 30 => (BeatClass::S, 2),
            _ => (BeatClass::N, 0),
        };
        let waves = Waves { qrs_on: Some(-6), qrs_off: Some(7), t_off: Some(40), ..Waves::default() };
        beats.push(FoundBeat {
            sample: at,
            class,
            confidence: 0.9,
            group,
            waves,
            evidence: Evidence::default(),
        });
        i += 1;
        let early = i % 9 == 8 || i % 31 == 30;
        let slow = (at as f64 / samples as f64 * 6.3).sin() * 20.0;
        at += if early {
            70
        } else if class != BeatClass::N {
            130
        } else {
            100 + slow as i64 + (i * 7) % 5
        };
    }
    beats
}

fn recording(samples: i64, beats: &[FoundBeat]) -> Recording {
    let leads = (0..LEADS)
        .map(|lead| {
            let size = lead_size(lead);
            let mut raw: Vec<i16> = (0..samples).map(|i| ((i * 37 % 11) - 5) as i16).collect();
            for beat in beats {
                for k in -36..56i64 {
                    // Beats lie half a second from either end, so the index stays inside; checked all the same.
                    if let Some(to) = raw.get_mut((beat.sample + k).max(0) as usize) {
                        let mv = f64::from(shape_mv(beat.class, k as f64 / RATE_HZ as f64));
                        *to += (mv * size * 200.0) as i16;
                    }
                }
            }
            Lead {
                name: ["I", "II", "V5"][lead].into(),
                unit: Unit::Millivolt,
                adc_per_mv: 200.0,
                adc_zero: 0.0,
                missing: None,
                rails: None,
                prefilter: String::new(),
                samples: Arc::new(raw),
            }
        })
        .collect();
    let noon = Span::new(samples / 4, samples / 4);
    Recording {
        name: "made".into(),
        format: "made in memory".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: Some(LocalTime(21 * 3_600_000 + 30 * 60_000)),
        rate: Rate::whole_hz(RATE_HZ as u32),
        samples,
        segments: vec![Span::new(0, samples)],
        leads,
        others: Vec::new(),
        diary: vec![DiaryEntry { span: noon, kind: DiaryKind::Symptom, text: "dizzy".into() }],
        warnings: Vec::new(),
    }
}

/// How large beats are on a lead; the third one is upside down.
fn lead_size(lead: usize) -> f64 {
    if lead == 2 { -0.7 } else { 1.0 - 0.3 * lead as f64 }
}

fn mean_mv(class: BeatClass, lead: usize) -> Vec<f32> {
    let at_s = |k: i64| (k - 36) as f64 / RATE_HZ as f64;
    (0..92).map(|k| shape_mv(class, at_s(k)) * lead_size(lead) as f32).collect()
}

fn shape_mv(class: BeatClass, at_s: f64) -> f32 {
    let bump = |centre_s: f64, width_s: f64| (-((at_s - centre_s) / width_s).powi(2)).exp();
    let mv = match class {
        BeatClass::V => 1.5 * bump(0.0, 0.05) - 0.5 * bump(0.25, 0.08),
        BeatClass::S => 1.1 * bump(0.0, 0.018) + 0.2 * bump(0.24, 0.06) - 0.1 * bump(-0.12, 0.03),
        _ => {
            1.1 * bump(0.0, 0.018) - 0.25 * bump(0.035, 0.015)
                + 0.25 * bump(0.25, 0.06)
                + 0.12 * bump(-0.16, 0.03)
        }
    };
    mv as f32
}

fn events(beats: &[Beat], samples: i64) -> Vec<Event> {
    let event = |kind, from: i64, to: i64, state, critical| {
        let span = Span::new(from, to);
        let at = |sample| beats.partition_point(|b| b.sample < sample) as u32;
        let rate_bpm = Some(74.0);
        let origin = Origin::Found;
        Event {
            kind,
            span,
            beats: (at(from), at(to)),
            rate_bpm,
            state,
            origin,
            critical,
            note: String::new(),
            certainty: beatledger_core::model::Certainty::sure(),
        }
    };
    vec![
        event(EventKind::AtrialFibrillation, samples / 8, samples / 5, EventState::Unread, true),
        event(EventKind::Pause, samples / 3, samples / 3 + 400, EventState::Kept, true),
        event(
            EventKind::VentricularCouplet,
            samples * 2 / 3,
            samples * 2 / 3 + 200,
            EventState::Dropped,
            false,
        ),
    ]
}
