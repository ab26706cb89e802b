//! Figures whose values are worked by hand or known from theory, each under its own name.

use std::f64::consts::PI;

use super::*;
use crate::model::{
    AlternansFound, DiaryEntry, DiaryKind, Event, EventKind, EventState, FigureId, FigureValue, Found,
    Origin, Repolarisation, Span, StripReason, Summary, Waves,
};
use crate::rhythm::{self, testing::Made, testing::made, testing::sinus};

fn with(day: &Made, found: Option<&Found>, more: &[Event], diary: &[DiaryEntry]) -> Summary {
    let plain = day.reading();
    let reading = match found {
        Some(found) => plain.with_found(found),
        None => plain,
    };
    let mut events = rhythm::events(&reading);
    events.extend_from_slice(more);
    summarise(&reading, &events, diary)
}

fn summary(day: &Made) -> Summary {
    with(day, None, &[], &[])
}

/// The figure of a key.
fn named(key: &str) -> FigureId {
    FigureId::from_key(key).unwrap()
}

fn near(told: &Summary, id: FigureId, expected: f64, tolerance: f64) {
    let value = told.number(id);
    assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{id}: {value:?} is not {expected}");
}

fn said(kind: EventKind, start: i64, end: i64) -> Event {
    Event {
        kind,
        span: Span::new(start, end),
        beats: (0, 0),
        rate_bpm: None,
        state: EventState::Changed,
        origin: Origin::Reader,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}

/// Task Force 1996 on ten intervals and on three parts of five minutes, each value under its own id.
#[test]
fn each_measure_of_variability_in_time_stands_under_its_own_name() {
    let ten = summary(&sinus(&[800, 810, 790, 860, 750, 820, 805, 795, 900, 780]));
    for (id, expected) in [
        (FigureId::SdnnMs, 42.0846),
        (FigureId::RmssdMs, 73.1437),
        (FigureId::Nn50, 5.0),
        (FigureId::Pnn50Percent, 50.0),
        (FigureId::TriangularIndex, 5.0),
        (FigureId::Sd1Ms, 51.6965),
        (FigureId::Sd2Ms, 27.1314),
    ] {
        near(&ten, id, expected, 5e-4);
    }
    let parts = summary(&sinus(&[vec![1000; 300], [900, 1100].repeat(150), vec![800; 375]].concat()));
    near(&parts, FigureId::SdannMs, 115.470, 0.001);
    near(&parts, FigureId::SdnnIndexMs, 33.389, 0.001);
    // A wave of ten beats rises within short boxes and repeats within long ones.
    let wave: Vec<i64> =
        (0..400).map(|i| (900.0 + 50.0 * (0.2 * PI * f64::from(i)).sin()).round() as i64).collect();
    let told = summary(&sinus(&wave));
    assert!(
        told.number(FigureId::DfaAlpha1).unwrap() > 1.0 && told.number(FigureId::DfaAlpha2).unwrap() < 0.5
    );
}

/// Intervals of about 1 s that hold a wave of 50 ms at 0.1 Hz, one of 30 ms at 0.25 Hz, and for the day one of 40 ms at
/// 0.001 Hz and one of 20 ms at 0.01 Hz: A * A / 2 each. Laying evenly keeps 0.9855 squared of a wave at 0.25 Hz.
#[test]
fn each_band_stands_under_its_own_name() {
    let waves = |slow: f64| {
        let (mut rr, mut t) = (Vec::new(), 0.0f64);
        while t < 7201.0 {
            let wave = |ms: f64, hz: f64| ms * (2.0 * PI * hz * t).sin();
            let ms =
                1000.0 + wave(50.0, 0.1) + wave(30.0, 0.25) + slow * (wave(40.0, 0.001) + wave(20.0, 0.01));
            rr.push(ms.round() as i64);
            t += ms / 1000.0;
        }
        let mut day = sinus(&rr);
        day.settings.hrv_min_hours = 2.0;
        summary(&day)
    };
    let told = waves(0.0);
    let hf = 450.0 * 0.9855 * 0.9855;
    for (id, expected) in [
        (FigureId::WindowLfMs2, 1250.0),
        (FigureId::WindowHfMs2, 450.0),
        (FigureId::WindowTotalMs2, 1700.0),
        (FigureId::EvenLfMs2, 1250.0),
        (FigureId::EvenHfMs2, hf),
        (FigureId::EvenTotalMs2, 1250.0 + hf),
    ] {
        near(&told, id, expected, 0.05 * expected);
    }
    near(&told, FigureId::WindowLfNu, 100.0 * 1250.0 / 1700.0, 1.0);
    near(&told, FigureId::WindowHfNu, 100.0 * 450.0 / 1700.0, 1.0);
    near(&told, FigureId::WindowLfHfRatio, 1250.0 / 450.0, 0.15);
    assert!(told.number(FigureId::EvenHfMs2) < told.number(FigureId::WindowHfMs2));
    let told = waves(1.0);
    for day in ["", "even_"] {
        for (id, expected) in
            [("ulf", 800.0), ("vlf", 200.0), ("lf", 1250.0), ("hf", 450.0), ("total", 2700.0)]
        {
            near(&told, named(&format!("{day}day_{id}_ms2")), expected, 0.08 * expected);
        }
    }
    assert!(told.number(FigureId::EvenDayHfMs2) < told.number(FigureId::DayHfMs2));
}

/// Eighteen hours are asked: as much as asked is enough.
#[test]
fn a_recording_of_just_the_hours_that_are_asked_is_long_enough() {
    let mut day = sinus(&vec![1000; 3600]);
    day.recording.samples = 3_600_000;
    day.recording.segments = vec![Span::new(0, 3_600_000)];
    day.beats.pop();
    day.settings.hrv_min_hours = 1.0;
    assert_eq!(summary(&day).figure(FigureId::SdnnMs).unwrap().name, "SDNN");
    day.settings.hrv_min_hours = 1.001;
    assert_eq!(summary(&day).figure(FigureId::SdnnMs).unwrap().name, "SDNN (short recording)");
}

/// The four published formulas: a QT of 400 ms at 75 bpm, from 22:55 on; PR of 150 ms, then of 200 ms.
#[test]
fn each_interval_stands_under_its_own_name() {
    let mut day = sinus(&[800; 3000]).starting_at(22 * 3_600_000 + 55 * 60_000);
    for (i, beat) in day.beats.iter_mut().enumerate() {
        beat.evidence.quality = 1.0;
        // Up to 23:00 a PR of 150 ms and T over at 380 ms, then 200 ms and 400 ms.
        let (p_on, t_off) = if i < 375 { (-190, Some(340)) } else { (-240, Some(360)) };
        beat.waves = Waves {
            p_on: Some(p_on),
            qrs_on: Some(-40),
            qrs_off: Some(50),
            t_peak: Some(250),
            t_off,
            ..Waves::default()
        };
    }
    day.beats.iter_mut().skip(2700).for_each(|b| b.waves.t_off = None);
    let mut found = day.found_averaged(Waves { qrs_on: Some(-40), t_off: Some(360), ..Waves::default() });
    found.averaged[0].waves.t_off = Some(340);
    let told = with(&day, Some(&found), &[], &[]);
    near(&told, FigureId::QtWakingMs, 380.0, 1e-9);
    near(&told, FigureId::QtNightMs, 400.0, 1e-9);
    near(&told, FigureId::QtMs, (380.0 + 7.0 * 400.0) / 8.0, 1e-9);
    near(&told, FigureId::QtcFridericiaNightMs, 430.887, 5e-4);
    near(&told, FigureId::QtcFridericiaWakingMs, 380.0 / 0.8f64.cbrt(), 5e-4);
    near(&told, FigureId::QtcFridericiaMaxMs, 430.887, 5e-4);
    let means = |of_400: f64, of_380: f64| (7.0 * of_400 + of_380) / 8.0;
    near(&told, FigureId::QtcBazettMs, means(447.214, 380.0 / 0.8f64.sqrt()), 5e-4);
    near(&told, FigureId::QtcFridericiaMs, means(430.887, 380.0 / 0.8f64.cbrt()), 5e-4);
    near(&told, FigureId::QtcFraminghamMs, means(430.8, 410.8), 5e-4);
    near(&told, FigureId::QtcHodgesMs, means(426.25, 406.25), 5e-4);
    near(&told, FigureId::PrMinHourMs, 150.0, 0.0);
    near(&told, FigureId::PrMaxHourMs, 200.0, 0.0);
    near(&told, FigureId::QrsMs, 90.0, 1e-9);
    // Of beats 1 to 2999 those from 2700 on have a T that is not over.
    near(&told, FigureId::QtMergedPercent, 100.0 * 300.0 / 2999.0, 1e-9);
    assert_eq!(told.qt_hours.iter().map(|h| h.windows).collect::<Vec<_>>(), [1, 7]);
}

/// Five V beats with the filters of turbulence are as many as are asked.
#[test]
fn turbulence_of_just_the_beats_that_are_asked_is_told() {
    let after = [780, 775, 770, 772, 780, 790, 802, 815, 826, 835, 840, 838, 836, 834, 832];
    let unit = [&[790, 800, 790, 800, 810, 500, 1100][..], &after].concat();
    let day = made(&format!("N{}", "NNNNNVNNNNNNNNNNNNNNNN".repeat(5)), &unit.repeat(5));
    let told = summary(&day);
    near(&told, FigureId::HrtBeats, 5.0, 0.0);
    near(&told, FigureId::HrtOnsetPercent, -3.4161, 5e-5);
    near(&told, FigureId::HrtSlopeMsPerRr, 11.70, 1e-4);
    let mut strict = day;
    strict.settings.hrt_min_beats = 6.0;
    assert_eq!(summary(&strict).number(FigureId::HrtOnsetPercent), None);
}

/// 500 s, of which 100 cannot be read and 100 are a gap of the file: 400 s were worn, 300 can be read.
#[test]
fn shares_and_rates_per_hour_rest_on_the_time_that_can_be_read() {
    let letters: String = (0..501).map(|i| if i % 10 == 5 { 'V' } else { 'N' }).collect();
    let mut day = made(&letters, &[1000]).with_hole(100_000, 200_000).with_hole(300_000, 400_000);
    day.recording.segments = vec![Span::new(0, 300_000), Span::new(400_000, 500_001)];
    let told = with(&day, None, &[said(EventKind::AtrialFibrillation, 50_000, 220_000)], &[]);
    near(&told, FigureId::WornH, 400.001 / 3600.0, 1e-9);
    near(&told, FigureId::ReadableH, 300.001 / 3600.0, 1e-9);
    near(&told, FigureId::ReadablePercent, 100.0 * 300.001 / 400.001, 1e-9);
    near(&told, FigureId::LongestGapMin, 100.0 / 60.0, 1e-9);
    assert_eq!(told.figure(FigureId::LongestGapMin).unwrap().place, Some(Span::new(100_000, 200_000)));
    near(&told, FigureId::VBeats, 30.0, 0.0);
    near(&told, FigureId::VPercent, 100.0 * 30.0 / 301.0, 1e-9);
    near(&told, FigureId::VPerHour, 30.0 * 3600.0 / 300.001, 1e-9);
    // 50 to 100 s and 200 to 220 s.
    near(&told, FigureId::AfMin, 70.0 / 60.0, 1e-9);
    near(&told, FigureId::AfPercent, 100.0 * 70.0 / 300.001, 1e-9);
    near(&told, FigureId::AfLongestMin, 70.0 / 60.0, 1e-9);
    near(&told, FigureId::FlutterMin, 0.0, 0.0);
}

/// The longer episode cannot be read for most of its time: the other one is the longest.
#[test]
fn the_longest_fibrillation_is_that_with_most_readable_time() {
    let day = sinus(&[1000; 900]).with_hole(20_000, 180_000);
    let af = EventKind::AtrialFibrillation;
    let told = with(&day, None, &[said(af, 0, 200_000), said(af, 400_000, 500_000)], &[]);
    near(&told, FigureId::AfLongestMin, 100.0 / 60.0, 1e-9);
    near(&told, FigureId::AfMin, 140.0 / 60.0, 1e-9);
    assert_eq!(told.figure(FigureId::AfLongestMin).unwrap().place, Some(Span::new(400_000, 500_000)));
    let flutter = with(
        &day,
        None,
        &[said(af, 400_000, 500_000), said(EventKind::AtrialFlutter, 600_000, 660_000)],
        &[],
    );
    near(&flutter, FigureId::FlutterMin, 1.0, 1e-9);
    near(&flutter, FigureId::AfMin, 160.0 / 60.0, 1e-9);
}

/// 24 hours from 23:00: eight of night with 1 V in 10, sixteen of waking with 1 V in 20; of 60 beats a minute.
#[test]
fn burdens_by_the_clock_are_shares_of_the_beats_and_hours_of_that_part() {
    let letters = "NNNNVNNNNN".repeat(2880) + &"NNNNVNNNNNNNNNNNNNNN".repeat(2880);
    let told = summary(&made(&letters, &[1000]).starting_at(23 * 3_600_000));
    for (id, expected) in [
        (FigureId::VNightBeats, 2880.0),
        (FigureId::VNightPercent, 10.0),
        (FigureId::VNightPerHour, 360.0),
        (FigureId::VWakingBeats, 2880.0),
        (FigureId::VWakingPercent, 5.0),
        (FigureId::VWakingPerHour, 180.0),
        (FigureId::VCouplingMinMs, 1000.0),
    ] {
        near(&told, id, expected, 0.01);
    }
    let coupled = summary(&made("NNVNNVNNVN", &[800, 500, 1100, 800, 560, 1100, 800, 530, 1100]));
    for (id, expected) in [("ms", 530.0), ("min_ms", 500.0), ("max_ms", 560.0), ("sd_ms", 30.0)] {
        near(&coupled, named(&format!("v_coupling_{id}")), expected, 1e-9);
    }
}

/// 100/min is not above 100, 50/min is not below 50.
#[test]
fn time_at_a_limit_of_rate_is_not_beyond_it() {
    for (rr, above, below) in [(600, 0.0, 0.0), (599, 100.0, 0.0), (1200, 0.0, 0.0), (1201, 0.0, 100.0)] {
        let told = summary(&sinus(&[rr; 300]));
        near(&told, FigureId::AboveTachyPercent, above, 1e-9);
        near(&told, FigureId::BelowBradyPercent, below, 1e-9);
    }
    // Two minutes at 120 bpm, then 90 s at 40 bpm, between minutes at 75 bpm.
    let rr = [vec![800; 75], vec![500; 240], vec![800; 75], vec![1500; 60], vec![800; 75]].concat();
    let told = summary(&sinus(&rr));
    near(&told, FigureId::RegularTachyMin, 2.0, 0.1);
    near(&told, FigureId::TachyMin, 0.0, 0.0);
    near(&told, FigureId::BradyMin, 1.5, 0.1);
    near(&told, FigureId::MinBpm, 40.0, 0.0);
    near(&told, FigureId::MaxBpm, 120.0, 0.0);
}

#[test]
fn repeats_count_their_own_episodes_and_the_ectopic_beats_in_them() {
    let told = summary(&made("NNNVNVNVNVNNNNVNNVNNVNNNNNNVNNVNNVNNVNNN", &[700]));
    for (id, expected) in [
        (FigureId::VBigeminyEpisodes, 1.0),
        (FigureId::VBigeminyBeats, 4.0),
        (FigureId::VTrigeminyEpisodes, 2.0),
        (FigureId::VTrigeminyBeats, 7.0),
        (FigureId::SBigeminyEpisodes, 0.0),
        (FigureId::STrigeminyBeats, 0.0),
    ] {
        near(&told, id, expected, 0.0);
    }
    let twice = with(
        &made("NNNVNVNVNVNNNN", &[700]),
        None,
        &[Event { beats: (2, 10), ..said(EventKind::VentricularBigeminy, 1_400, 6_301) }],
        &[],
    );
    near(&twice, FigureId::VBigeminyBeats, 4.0, 0.0);
    near(&twice, FigureId::VBigeminyEpisodes, 2.0, 0.0);
    let mut rr = vec![700; 30];
    (rr[6], rr[14], rr[22]) = (1400, 2100, 2150);
    let dropped = summary(&sinus(&rr));
    near(&dropped, FigureId::DroppedCandidates, 1.0, 0.0);
    near(&dropped, FigureId::Pauses, 2.0, 0.0);
}

/// Flutter or fibrillation of the ventricles that a reader adds over a found one counts its time once.
#[test]
fn ventricular_waves_that_overlap_are_timed_once() {
    let mut day = made(&"N".repeat(60), &[800]);
    let waves = Span::new(8_100, 12_100);
    day.beats.retain(|b| !waves.contains(b.sample));
    let found = Found { ventricular_waves: vec![waves], ..Found::default() };
    let more = [said(EventKind::VentricularFibrillation, 10_100, 15_100)];
    let told = with(&day, Some(&found), &more, &[]);
    near(&told, FigureId::VfEpisodes, 2.0, 0.0);
    near(&told, FigureId::VfS, 7.0, 1e-9);
    near(&told, FigureId::VfLongestS, 5.0, 1e-9);
}

/// A fall of 0.3 mV is larger than a rise of 0.2 mV. Alternans of 60 uV stands in the window with a control of 10 uV,
/// the highest control of 45 uV in the window with 50 uV.
#[test]
fn st_and_alternans_tell_their_largest_values() {
    let mut day = made(&"N".repeat(1500), &[1000]);
    for beat in &mut day.beats {
        beat.evidence.quality = 1.0;
        beat.waves = Waves { qrs_on: Some(-40), qrs_off: Some(50), ..Waves::default() };
    }
    day.recording.leads[0].prefilter = "DC".into();
    let mut found = day.found_averaged(Waves::default());
    let level = |s: i64| match s {
        300..400 => 200i16,
        700..800 => -300,
        _ => 0,
    };
    let window = |window: u32| {
        let (uv, control_uv) = match window {
            20 => (60.0, 10.0),
            30 => (50.0, 45.0),
            _ => (30.0, 20.0),
        };
        AlternansFound { window, uv, control_uv, scatter_uv: 5.0, beats: 15 }
    };
    found.repolarisation = Repolarisation {
        st_uv: vec![(0..1500).map(level).collect()],
        qrs_uv: vec![],
        alternans: vec![(2..90).map(window).collect()],
    };
    let told = with(&day, Some(&found), &[], &[]);
    near(&told, FigureId::StChanges, 2.0, 0.0);
    near(&told, FigureId::StLargestMv, -0.3, 1e-6);
    near(&told, FigureId::TwaUv, 60.0, 0.0);
    near(&told, FigureId::TwaControlUv, 45.0, 0.0);
    near(&told, FigureId::TwaWindows, 88.0, 0.0);
    assert_eq!(told.figure(FigureId::TwaUv).unwrap().place, Some(Span::new(300_000, 315_000)));
}

/// One symptom beside a pause, two beside nothing, three where nothing can be read.
#[test]
fn symptoms_stand_under_what_was_found_beside_them() {
    let mut rr = vec![800; 3000];
    rr[750] = 2600;
    let day = sinus(&rr).with_hole(1_500_000, 2_400_000);
    let entry = |s: i64| DiaryEntry {
        span: Span::new(s * 1000, s * 1000),
        kind: DiaryKind::Symptom,
        text: String::new(),
    };
    let diary = [600, 1000, 1100, 1700, 1900, 2000].map(entry);
    let told = with(&day, None, &[], &diary);
    for (id, expected) in [
        (FigureId::Symptoms, 6.0),
        (FigureId::SymptomsWithFinding, 1.0),
        (FigureId::SymptomsWithoutFinding, 2.0),
        (FigureId::SymptomsUnreadable, 3.0),
        (FigureId::FindingsWithoutSymptom, 0.0),
    ] {
        near(&told, id, expected, 0.0);
    }
}

fn captions(told: &Summary) -> Vec<(&str, i64)> {
    let of_events = told.strips.iter().filter(|s| matches!(s.reason, StripReason::Event(_)));
    of_events.map(|s| (s.caption.as_str(), s.span.start)).collect()
}

/// Of two runs the longer one is shown, though the other is faster; of two couplets the faster one; a long run from
/// 1.2 s before its onset.
#[test]
fn a_strip_shows_the_most_telling_event_of_its_kind() {
    let letters = format!("{0}VVV{0}{1}{0}VV{0}VV{0}", "N".repeat(30), "V".repeat(20));
    let mut rr = vec![800; letters.len() - 1];
    rr[30..32].fill(300);
    rr[63..82].fill(400);
    (rr[113], rr[145]) = (500, 400);
    let told = summary(&made(&letters, &rr));
    let captions = captions(&told);
    let onset = |beat: usize| rr[..beat].iter().sum::<i64>();
    let has = |text: &str| captions.iter().find(|c| c.0 == text).map(|c| c.1);
    assert_eq!(
        has("Ventricular tachycardia, 20 beats at 150 bpm, non-sustained"),
        Some(onset(63) - 1200),
        "{captions:?}"
    );
    assert!(has("Ventricular couplet, 2 beats at 150 bpm").is_some(), "{captions:?}");
    let mut day = sinus(&[1000; 600]);
    day.settings.rate_episode_s = 10.0;
    let af = with(&day, None, &[said(EventKind::AtrialFibrillation, 100_000, 225_000)], &[]);
    assert!(
        captions_of(&af).iter().any(|c| c.starts_with("Atrial fibrillation 2 min 5 s")),
        "{:?}",
        captions_of(&af)
    );
}

fn captions_of(told: &Summary) -> Vec<&str> {
    told.strips.iter().map(|s| s.caption.as_str()).collect()
}

/// A recording of two hours from 22:00 with a hole of 10 min: what is asked and what there is.
#[test]
fn what_is_asked_and_what_there_is_stand_side_by_side() {
    let day = sinus(&vec![1000; 7200]).starting_at(22 * 3_600_000).with_hole(5_400_000, 6_000_000);
    let told = summary(&day);
    let of = |what: &str| {
        let row = told.enough.iter().find(|e| e.what == what).unwrap();
        ((row.asked * 100.0).round() / 100.0, (row.have * 100.0).round() / 100.0)
    };
    assert_eq!(of("Variability over 24 hours"), (18.0, 1.83));
    // Eight hours of night at 80 %; from 23:00 on 50 min can be read.
    assert_eq!(of("Variability over 24 hours: the whole night"), (6.4, 0.83));
    assert_eq!(of("Atrial fibrillation told"), (0.5, 90.0));
    assert_eq!(of("Ectopic burden"), (24.0, 2.0));
    assert_eq!(of("Spectrum of five minutes"), (1.0, 22.0));
    assert_eq!(of("Heart-rate turbulence"), (5.0, 0.0));
    assert!(matches!(told.figure(FigureId::StLeads).unwrap().value, FigureValue::NotComputable(_)));
}
