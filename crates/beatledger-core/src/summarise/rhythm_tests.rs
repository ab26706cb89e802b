//! What a reader sees of rates by the clock, of rhythms and of repeats.

use super::*;
use crate::model::{EventKind, EventState, FIGURES, FigureId, Found, Origin, Proof, Span, Summary};
use crate::rhythm::{self, testing::Made, testing::made, testing::sinus};
use crate::settings::TABLE;

fn summary(day: &Made) -> Summary {
    let reading = day.reading();
    summarise(&reading, &rhythm::events(&reading), &[])
}

/// Four hours from just after 21:00, an hour each of 1000, 800, 1200 and 600 ms.
fn evening() -> Made {
    let rr: Vec<i64> =
        [1000, 800, 1200, 600].iter().flat_map(|ms| vec![*ms; (3_600_000 / ms) as usize]).collect();
    sinus(&rr).starting_at(21 * 3_600_000 + 10_000)
}

#[test]
fn slowest_and_fastest_rates_are_told_of_the_waking_hours_and_of_the_night_with_their_places() {
    let found = summary(&evening());
    for (id, bpm, hour) in [
        (FigureId::DayMinBpm, 60.0, 0),
        (FigureId::DayMaxBpm, 75.0, 1),
        (FigureId::NightMinBpm, 50.0, 2),
        (FigureId::NightMaxBpm, 100.0, 3),
    ] {
        assert_eq!(found.number(id), Some(bpm), "{id}");
        let place = found.figure(id).unwrap().place.unwrap();
        assert!(Span::new(hour * 3_600_000, (hour + 1) * 3_600_000).contains(place.start), "{id}: {place:?}");
    }
    let mut unknown = evening();
    unknown.recording.start = None;
    assert_eq!(summary(&unknown).number(FigureId::NightMinBpm), None);
}

/// Sixteen hours awake and eight asleep, a V beat in four by night and none by day.
#[test]
fn ectopic_burden_is_told_of_the_waking_hours_and_of_the_night() {
    let letters = "N".repeat(16 * 3600) + &"NNNV".repeat(2 * 3600);
    let told = summary(&made(&letters, &[1000]).starting_at(7 * 3_600_000));
    for (id, expected) in [
        (FigureId::VWakingBeats, 0.0),
        (FigureId::VWakingPercent, 0.0),
        (FigureId::VNightBeats, 7200.0),
        (FigureId::VNightPercent, 25.0),
        (FigureId::VNightPerHour, 900.0),
        (FigureId::SNightPercent, 0.0),
    ] {
        assert!((told.number(id).unwrap() - expected).abs() < 0.1, "{id}: {:?}", told.number(id));
    }
}

#[test]
fn each_hour_knows_where_its_extremes_are_and_the_day_takes_them_over() {
    let found = summary(&evening());
    for (hour, row) in found.hours.iter().enumerate() {
        for place in [row.min_place, row.max_place, row.longest_rr_place] {
            assert!(row.span.unwrap().contains(place.unwrap().start), "hour {hour}");
        }
    }
    let rr = found.day.longest_rr_place.unwrap();
    assert_eq!((found.day.longest_rr_ms, rr.len()), (Some(1200.0), 1201));
    assert_eq!(found.day.min_place, found.figure(FigureId::MinBpm).unwrap().place);
    assert_eq!(found.day.max_place, found.figure(FigureId::MaxBpm).unwrap().place);
}

#[test]
fn time_beyond_a_limit_is_proven_by_the_stretches_beyond_it() {
    let found = summary(&evening());
    let figure = found.figure(FigureId::AboveTachyPercent).unwrap();
    assert_eq!(figure.proof, Proof::Spans(Default::default()), "100 bpm is not above 100");
    let mut strict = evening();
    strict.settings.set("tachy_bpm", 95.0).unwrap();
    let found = summary(&strict);
    assert!((found.number(FigureId::AboveTachyMin).unwrap() - 60.0).abs() < 0.1);
    let place = found.figure(FigureId::AboveTachyMin).unwrap().place.unwrap();
    assert!((place.len() - 3_600_000).abs() < 10_000, "{place:?}");
}

#[test]
fn waves_without_beats_are_counted_and_timed() {
    let mut day = made(&"N".repeat(60), &[800]);
    let waves = vec![Span::new(8_100, 12_100), Span::new(16_100, 24_700)];
    day.beats.retain(|b| !waves.iter().any(|w| w.contains(b.sample)));
    let found = Found { ventricular_waves: waves.clone(), ..Found::default() };
    let reading = day.reading().with_found(&found);
    let told = summarise(&reading, &rhythm::events(&reading), &[]);
    assert_eq!((told.number(FigureId::VfEpisodes), told.number(FigureId::VfS)), (Some(2.0), Some(12.6)));
    assert_eq!(told.number(FigureId::VfLongestS), Some(8.6));
    assert_eq!(told.figure(FigureId::VfLongestS).unwrap().place, Some(waves[1]));
    assert_eq!(summary(&evening()).number(FigureId::VfEpisodes), Some(0.0));
}

/// Flutter that a reader names counts with fibrillation and is no sinus rhythm.
#[test]
fn flutter_that_a_reader_names_joins_the_burden_and_leaves_variability() {
    let day = evening();
    let reading = day.reading();
    let mut events = rhythm::events(&reading);
    events.push(crate::model::Event {
        kind: EventKind::AtrialFlutter,
        span: Span::new(10_800_000, 14_400_000),
        beats: (0, 0),
        rate_bpm: None,
        state: EventState::Changed,
        origin: Origin::Reader,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    });
    let told = summarise(&reading, &events, &[]);
    for (id, expected) in [
        (FigureId::AfEpisodes, 1.0),
        (FigureId::AfMin, 60.0),
        (FigureId::AfPercent, 25.0),
        (FigureId::FlutterMin, 60.0),
    ] {
        assert!((told.number(id).unwrap() - expected).abs() < 0.1, "{id}: {:?}", told.number(id));
    }
    assert!(told.hrv_hours[3].withheld.is_some() && told.hrv_hours[0].withheld.is_none());
    assert_eq!(summary(&day).number(FigureId::FlutterMin), Some(0.0));
}

/// Ten minutes of beats every second, of which 100 to 200 s cannot be read. A reader says fibrillation of 180 s, 80 s of
/// them readable, and of 90 s after it; when they overlap by 10 s, 160 s are left.
#[test]
fn unreadable_time_is_no_time_in_fibrillation_and_time_said_twice_counts_once() {
    let day = sinus(&[1000; 600]).with_hole(100_000, 200_000);
    let said = |kind, start, end| crate::model::Event {
        kind,
        span: Span::new(start, end),
        beats: (0, 0),
        rate_bpm: None,
        state: EventState::Changed,
        origin: Origin::Reader,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    };
    let near = |told: &Summary, id: FigureId, expected: f64| {
        let value = told.number(id).unwrap();
        assert!((value - expected).abs() < 1e-6, "{id}: {value} not {expected}");
    };
    let reading = day.reading();
    let apart =
        [(70_000, 250_000), (260_000, 350_000)].map(|(a, b)| said(EventKind::AtrialFibrillation, a, b));
    let told = summarise(&reading, &apart, &[]);
    near(&told, FigureId::AfMin, (80.0 + 90.0) / 60.0);
    near(&told, FigureId::AfPercent, 100.0 * 170.0 / 500.001);
    near(&told, FigureId::AfLongestMin, 90.0 / 60.0);
    assert_eq!(
        told.figure(FigureId::AfMin).unwrap().place,
        Some(Span::new(260_000, 350_000)),
        "most readable time"
    );
    assert!((told.day.af_s - 170.0).abs() < 1e-6);
    for kind in [EventKind::AtrialFibrillation, EventKind::AtrialFlutter] {
        let twice = [(70_000, 250_000), (240_000, 330_000)].map(|(a, b)| said(kind, a, b));
        let told = summarise(&reading, &twice, &[]);
        near(&told, FigureId::AfMin, 160.0 / 60.0);
        near(&told, FigureId::FlutterMin, if kind == EventKind::AtrialFlutter { 160.0 / 60.0 } else { 0.0 });
    }
}

#[test]
fn supraventricular_repeats_and_fast_runs_have_their_figures() {
    let letters = "NNNSNSNSNNNNSNNSNNSNNNSSSNNNNNN";
    let told = summary(&made(letters, &[700]));
    for (id, expected) in [
        (FigureId::SBigeminyEpisodes, 1.0),
        (FigureId::SBigeminyBeats, 3.0),
        (FigureId::STrigeminyEpisodes, 1.0),
        (FigureId::STrigeminyBeats, 3.0),
        (FigureId::SRuns, 1.0),
        (FigureId::SvtRuns, 0.0),
    ] {
        assert_eq!(told.number(id), Some(expected), "{id}");
    }
    assert_eq!(summary(&made("NNNNSSSNNNN", &[599])).number(FigureId::SvtRuns), Some(1.0));
    assert_eq!(
        summary(&made("NNNNSSSNNNN", &[600])).number(FigureId::SvtRuns),
        Some(0.0),
        "100/min is not above 100"
    );
}

/// Settings that change only what is drawn, how annotations are compared or which events must be read first stand here;
/// every other one is named by a figure that it decides.
#[test]
fn every_setting_that_decides_a_figure_is_named_by_one() {
    let elsewhere = [
        "highpass_hz",
        "lowpass_hz",
        "mains_hz",
        "match_ms",
        "af_enter_share",
        "af_leave_share",
        "af_p_clear",
        "af_join_s",
        "sustained_s",
        "accelerated_bpm",
        "unreadable_min_s",
        "seen_min_s",
        "seen_pace",
    ];
    for setting in TABLE {
        let named = FIGURES.iter().any(|row| row.settings.contains(&setting.key));
        assert_eq!(named, !elsewhere.contains(&setting.key), "{}", setting.key);
    }
}
