//! What a session takes over from its last summary: after every kind of edit each figure, row and course is what it is
//! when everything is worked out from nothing.

use super::*;
use crate::model::{
    AlternansFound, Averaged, BeatClass, DiaryKind, EventKind, Evidence, FigureId, FigureValue, FoundBeat,
    LeadQuality, LocalTime, Quality, Repolarisation, SecondQuality, Waves,
};
use crate::rhythm::testing::{Made, sinus};
use crate::settings::{Setting, TABLE};

const MINUTE: i64 = 60_000;

/// Two hours of sinus rhythm from 22:30 on two leads, with wave limits, averaged beats, ST levels, alternans and quality.
/// Lead 2 is flat in the tenth minute; nothing can be read from 90 to 92 min.
fn opened() -> Session {
    let rr: Vec<i64> = (0..9000).map(|i| 780 + 15 * (i % 5) + 40 * ((i / 90) % 2) + i / 500).collect();
    let Made { mut recording, beats, .. } = sinus(&rr);
    recording.start = Some(LocalTime(22 * 3_600_000 + 30 * MINUTE));
    recording.leads.push(recording.leads[0].clone());
    recording.leads.iter_mut().for_each(|lead| lead.prefilter = "HP:0.05Hz".into());
    let waves = Waves {
        p_on: Some(-190),
        qrs_on: Some(-40),
        qrs_off: Some(50),
        t_peak: Some(250),
        t_off: Some(330),
        ..Waves::default()
    };
    let unreadable = Span::new(90 * MINUTE, 92 * MINUTE);
    let seconds = (recording.samples / 1000 + 1) as usize;
    let quality = |flat: std::ops::Range<usize>| {
        let mut kind = vec![SecondQuality::Good; seconds];
        kind[flat].fill(SecondQuality::Flat);
        kind[5400..5520].fill(SecondQuality::Unreadable);
        LeadQuality { kind, score: Vec::new() }
    };
    let found = |b: &Beat| FoundBeat {
        sample: b.sample,
        class: BeatClass::N,
        confidence: 1.0,
        group: 0,
        waves,
        evidence: Evidence { quality: 1.0, p_before: Some(0.8), ..Evidence::default() },
    };
    let beats: Vec<FoundBeat> = beats.iter().map(found).collect();
    let mut averaged: Vec<Averaged> = Vec::new();
    for beat in &beats {
        let window = (beat.sample / 300_000) as u32;
        match averaged.last_mut() {
            Some(last) if last.window == window => last.beats += 1,
            _ => averaged.push(Averaged { window, beats: 1, waves, doubt: None }),
        }
    }
    let st = |b: &FoundBeat| if (30 * MINUTE..33 * MINUTE).contains(&b.sample) { 180i16 } else { 20 };
    let st: Vec<i16> = beats.iter().map(st).collect();
    let alternans = |window: u32| AlternansFound {
        window,
        uv: 20.0 + window as f32 / 50.0,
        control_uv: 15.0,
        scatter_uv: 8.0,
        beats: 17,
    };
    let alternans: Vec<_> = (2..470).map(alternans).collect();
    let found = Found {
        quality: Quality { leads: vec![quality(0..0), quality(540..600)], unreadable: vec![unreadable] },
        repolarisation: Repolarisation {
            st_uv: vec![st.clone(), st],
            qrs_uv: vec![],
            alternans: vec![alternans.clone(), alternans],
        },
        in_average: vec![true; beats.len()],
        averaged,
        beats,
        ..Found::default()
    };
    Session::new(Arc::new(recording), Settings::default(), Arc::new(found), &[])
}

fn act(session: &mut Session, action: Action) -> Arc<Snapshot> {
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    let entry = session.entry(action, &stamp);
    session.push(&entry)
}

/// Makes an edit and holds what stands then against the same worked out from nothing.
fn edit(session: &mut Session, edit: &Edit) -> Arc<Snapshot> {
    let now = act(session, Action::Do(edit.clone()));
    let anew = from_nothing(&now);
    assert_same(&now.summary, &anew.summary, &edit.words());
    assert_eq!((&now.beats, &now.events), (&anew.beats, &anew.events), "{}", edit.words());
    now
}

fn from_nothing(now: &Snapshot) -> Snapshot {
    Snapshot::new(now.recording.clone(), &Settings::default(), now.found.clone(), now.fold.clone())
}

fn assert_same(now: &Summary, anew: &Summary, what: &str) {
    for (a, b) in now.figures.iter().zip(&anew.figures) {
        assert_eq!(a, b, "{} after {what}", a.id);
    }
    assert_eq!(now.leads, anew.leads, "times of leads after {what}");
    assert_eq!(now.hrv_windows, anew.hrv_windows, "variability by five minutes after {what}");
    assert_eq!(now.hrv_hours, anew.hrv_hours, "variability by hour after {what}");
    assert!(now == anew, "something else after {what}");
}

/// Samples of `count` beats from beat `from` on.
fn beats(now: &Snapshot, from: usize, count: usize) -> Vec<i64> {
    now.beats[from..from + count].iter().map(|b| b.sample).collect()
}

/// Keys of the figures that differ.
fn moved(before: &Summary, after: &Summary) -> Vec<FigureId> {
    let differ = before.figures.iter().zip(&after.figures).filter(|(a, b)| a.value != b.value);
    differ.map(|(a, _)| a.id).collect()
}

/// 100 s of noise in the fourth five minutes, then 30 of them taken back, then all but a minute of the found hole.
#[test]
fn a_noise_mark_moves_the_times_of_leads_and_the_variability_of_its_five_minutes() {
    let mut session = opened();
    let before = session.snapshot();
    let leads = |now: &Snapshot| now.summary.leads.iter().map(|l| l.readable_s).collect::<Vec<_>>();
    let row = |now: &Snapshot, at: usize| {
        let row = &now.summary.hrv_windows[at];
        (row.readable_percent.round(), row.withheld.is_some())
    };
    let whole_s = before.recording.samples as f64 / 1000.0;
    let near = |now: &Snapshot, lost: [f64; 2]| {
        assert_eq!(leads(now).len(), 2);
        for (found, lost) in leads(now).iter().zip(lost) {
            assert!((found - (whole_s - lost)).abs() < 1e-6, "{found} s of {whole_s} s, {lost} s lost");
        }
    };
    near(&before, [120.0, 180.0]);
    assert_eq!((row(&before, 3), row(&before, 18)), ((100.0, false), (60.0, true)));
    let noisy = edit(&mut session, &Edit::MarkNoise { span: Span::new(1_000_000, 1_100_000) });
    near(&noisy, [220.0, 280.0]);
    assert_eq!((row(&noisy, 3), row(&noisy, 2)), ((67.0, true), (100.0, false)));
    assert!(noisy.summary.hrv_windows[3].lf_ms2.is_none() && before.summary.hrv_windows[3].lf_ms2.is_some());
    let windows = |now: &Snapshot| now.summary.number(FigureId::WindowCount);
    assert_eq!(windows(&noisy), windows(&before).map(|n| n - 1.0));
    // As many holes as before, but a shorter one.
    let shorter = edit(&mut session, &Edit::UnmarkNoise { span: Span::new(1_070_000, 1_100_000) });
    near(&shorter, [190.0, 250.0]);
    assert_eq!(row(&shorter, 3).0, 77.0);
    let readable = edit(&mut session, &Edit::UnmarkNoise { span: Span::new(0, 91 * MINUTE) });
    assert_eq!((row(&readable, 3).0, row(&readable, 18).0), (100.0, 80.0));
    let undo = session.undo_entry(&Stamp { reader: String::new(), at_utc_ms: 0, utc_offset_min: 0 }).unwrap();
    let back = session.push(&undo);
    near(&back, [190.0, 250.0]);
    assert_same(&back.summary, &shorter.summary, "undo");
}

/// Beats relabelled, inserted, removed and moved, one after the other: all families that rest on intervals follow.
#[test]
fn every_edit_of_beats_moves_the_figures_that_rest_on_their_intervals() {
    let mut session = opened();
    let start = session.snapshot();
    let relabelled = beats(&start, 700, 3);
    let between = (start.beats[2000].sample + start.beats[2001].sample) / 2;
    let edits = [
        (
            Edit::Relabel { beats: relabelled.clone(), class: BeatClass::V },
            &[FigureId::VRuns, FigureId::SdnnMs, FigureId::NnPercent][..],
        ),
        (Edit::Relabel { beats: relabelled, class: BeatClass::S }, &[FigureId::VRuns, FigureId::SRuns]),
        (
            Edit::InsertBeat { sample: between, class: BeatClass::N },
            &[FigureId::BeatsTotal, FigureId::SdnnMs, FigureId::MeanBpm],
        ),
        (
            Edit::RemoveBeats { beats: beats(&start, 4000, 3) },
            &[FigureId::Pauses, FigureId::LongestRrMs, FigureId::BeatsTotal],
        ),
        (
            Edit::MoveBeat { from: start.beats[6000].sample, to: start.beats[6000].sample + 150 },
            &[FigureId::RmssdMs, FigureId::Sd1Ms, FigureId::WindowHfMs2],
        ),
    ];
    let mut before = start.clone();
    for (change, keys) in &edits {
        let now = edit(&mut session, change);
        let moved = moved(&before.summary, &now.summary);
        for key in *keys {
            assert!(moved.contains(key), "{} moves {key}: {moved:?}", change.words());
        }
        before = now;
    }
    // Three V beats touch four intervals in the second five minutes of the recording; the first lost none.
    let v = Edit::Relabel { beats: beats(&start, 500, 3), class: BeatClass::V };
    let now = edit(&mut session, &v);
    let counts = |now: &Snapshot, at: usize| {
        let row = &now.summary.hrv_windows[at];
        (row.nn_percent * f64::from(row.intervals) / 100.0).round()
    };
    assert_eq!(counts(&now, 1), counts(&before, 1) - 4.0);
    assert_eq!(counts(&now, 0), counts(&before, 0));
    for _ in 0..6 {
        let undo =
            session.undo_entry(&Stamp { reader: String::new(), at_utc_ms: 0, utc_offset_min: 0 }).unwrap();
        session.push(&undo);
    }
    assert_same(&session.snapshot().summary, &start.summary, "all taken back");
}

/// Every setting after which beats need not be found anew, one after the other at its lowest value, its highest and back.
#[test]
fn a_changed_setting_leaves_nothing_stale() {
    let mut session = opened();
    let start = session.snapshot();
    for of in [|row: &Setting| row.min, |row: &Setting| row.max, |row: &Setting| row.default] {
        for row in TABLE.iter().filter(|row| !row.refind) {
            act(&mut session, Action::Do(Edit::ChangeSetting { key: row.key.into(), value: of(row) }));
        }
        let now = session.snapshot();
        assert_same(&now.summary, &from_nothing(&now).summary, "all settings changed one by one");
    }
    assert_same(&session.snapshot().summary, &start.summary, "all settings as they were");
    for (key, value, figures) in [
        ("spectrum_detrend", 1.0, &[FigureId::WindowVlfMs2, FigureId::EvenVlfMs2][..]),
        ("entropy_tolerance", 0.5, &[FigureId::SampleEntropy]),
        ("nn_min_share_percent", 30.0, &[FigureId::WindowCount]),
        ("nn_max_ms", 1500.0, &[]),
        ("histogram_bin_ms", 20.0, &[FigureId::TriangularIndex, FigureId::TinnMs]),
        ("st_change_mv", 0.2, &[FigureId::StChanges]),
        ("twa_noise_uv", 5.0, &[FigureId::TwaUv]),
        ("qt_min_beats", 300.0, &[]),
        ("night_from_h", 24.0, &[FigureId::DayMeanBpm]),
    ] {
        let before = session.snapshot();
        let now = edit(&mut session, &Edit::ChangeSetting { key: key.into(), value });
        let moved = moved(&before.summary, &now.summary);
        assert!(figures.iter().all(|figure| moved.contains(figure)), "{key}: {moved:?}");
    }
}

/// Fibrillation that a reader adds takes its five minutes out of variability, PR, QT and alternans, and gives them back.
#[test]
fn events_and_diary_entries_leave_nothing_stale() {
    let mut session = opened();
    let start = session.snapshot();
    let span = Span::new(20 * MINUTE, 40 * MINUTE);
    let kind = EventKind::AtrialFibrillation;
    let added = edit(&mut session, &Edit::AddEvent { kind, span });
    assert_eq!(added.summary.number(FigureId::AfMin), Some(20.0));
    assert!((4..8).all(|at| added.summary.hrv_windows[at].withheld.is_some()));
    assert!((3..9).step_by(5).all(|at| added.summary.hrv_windows[at].withheld.is_none()));
    assert_eq!(
        added.summary.number(FigureId::QtWindows),
        start.summary.number(FigureId::QtWindows).map(|n| n - 4.0)
    );
    // A beat relabelled there while it is fibrillation, then the event is dropped.
    let v = Edit::Relabel { beats: beats(&start, 1800, 1), class: BeatClass::V };
    edit(&mut session, &v);
    let dropped = edit(&mut session, &Edit::DropEvent { kind, span });
    assert_eq!(dropped.summary.number(FigureId::AfMin), Some(0.0));
    assert!((4..8).all(|at| dropped.summary.hrv_windows[at].withheld.is_none()));
    let entry =
        DiaryEntry { span: Span::new(MINUTE, MINUTE), kind: DiaryKind::Symptom, text: "dizzy".into() };
    let told = edit(&mut session, &Edit::AddDiary { entry });
    assert_eq!(
        (start.summary.number(FigureId::Symptoms), told.summary.number(FigureId::Symptoms)),
        (Some(0.0), Some(1.0))
    );
    for kind in [EventKind::SlowestRate, EventKind::FastestRate, EventKind::LongestRr] {
        let event = told.events.iter().find(|e| e.kind == kind).unwrap();
        edit(&mut session, &Edit::DropEvent { kind, span: event.span });
    }
    let every_known =
        |s: &Summary| s.figures.iter().filter(|f| !matches!(f.value, FigureValue::NotComputable(_))).count();
    assert!(every_known(&start.summary) > 60, "{} figures are told", every_known(&start.summary));
}
