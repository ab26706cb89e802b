//! What a reader sees in the summary of small made days.

use super::*;
use crate::model::{
    BeatClass, DiaryEntry, DiaryKind, EventKind, EventState, FIGURES, FigureId, FigureValue, HourRow, Proof,
    Span, Summary,
};
use crate::rhythm::{self, testing::Made, testing::made, testing::sinus};

fn summary(day: &Made) -> Summary {
    let reading = day.reading();
    summarise(&reading, &rhythm::events(&reading), &[])
}

fn number(day: &Made, id: FigureId) -> Option<f64> {
    summary(day).number(id)
}

/// Two and a half hours with a bit of everything, from 10:15.
fn mixed() -> Made {
    let cycle = "NNNNNNNNNNVNNNNNVVNNNNNSNNNNNSSNNNNNVVVVNNNNNNNSSSSNNFNNNNNQNNNNNNNNNNNN";
    let letters = cycle.repeat(150);
    let rr: Vec<i64> = (0..letters.len() as i64 - 1)
        .map(|i| if i % 1999 == 0 { 2300 } else { 780 + 15 * (i % 5) })
        .collect();
    made(&letters, &rr).with_hole(400_000, 460_000).starting_at(10 * 3_600_000 + 900_000)
}

#[test]
fn every_figure_of_the_catalogue_is_there_in_its_order_with_name_and_source() {
    for day in [mixed(), made("", &[]), made("N", &[])] {
        let keys: Vec<_> = summary(&day).figures.iter().map(|f| f.id).collect();
        assert_eq!(keys, FIGURES.iter().map(|r| r.id).collect::<Vec<_>>());
    }
    for row in FIGURES {
        assert!(row.definition.contains('(') && row.definition.ends_with(['.', ';']), "{}", row.key);
        let known = |key: &&str| crate::settings::TABLE.iter().any(|s| s.key == *key);
        assert!(row.settings.iter().all(known), "{}", row.key);
    }
}

#[test]
fn counts_are_those_of_the_letters() {
    let day = made("NNVNNVVNNVVVNNFNSNNSSNSSSNNQN", &[500]);
    for (id, expected) in [
        (FigureId::BeatsTotal, 29.),
        (FigureId::VBeats, 6.),
        (FigureId::FBeats, 1.),
        (FigureId::VSingles, 2.),
        (FigureId::VCouplets, 1.),
        (FigureId::VRuns, 1.),
        (FigureId::VtRuns, 1.),
        (FigureId::VLongestRunBeats, 3.),
        (FigureId::VFastestRunBpm, 120.),
        (FigureId::SBeats, 6.),
        (FigureId::SSingles, 1.),
        (FigureId::SCouplets, 1.),
        (FigureId::SRuns, 1.),
        (FigureId::SLongestRunBeats, 3.),
        (FigureId::QBeats, 1.),
        (FigureId::Pauses, 0.),
    ] {
        assert_eq!(number(&day, id), Some(expected), "{id}");
    }
    assert!((number(&day, FigureId::VPercent).unwrap() - 100.0 * 6.0 / 29.0).abs() < 1e-9);
}

#[test]
fn the_mean_rate_is_that_of_the_mean_interval() {
    let rr = [800, 810, 790, 860, 750, 820, 805, 795, 900, 780];
    let found = number(&sinus(&rr), FigureId::MeanBpm).unwrap();
    assert!((found - 73.9827).abs() < 5e-5);
    let mean_of_rates = rr.iter().map(|ms| 60_000.0 / *ms as f64).sum::<f64>() / 10.0;
    assert!((mean_of_rates - 74.156).abs() < 5e-4 && (found - mean_of_rates).abs() > 0.17);
}

#[test]
fn hours_begin_on_the_clock_and_add_up_to_the_day() {
    let summary = summary(&mixed());
    let first = summary.hours[0].span.unwrap();
    assert_eq!((first.start, first.end), (0, 45 * 60_000));
    assert!(summary.hours.windows(2).all(|w| w[0].span.unwrap().end == w[1].span.unwrap().start));
    let sum = |of: fn(&HourRow) -> u64| summary.hours.iter().map(of).sum::<u64>();
    for (id, of) in [
        (FigureId::BeatsTotal, (|h| h.beats) as fn(&HourRow) -> u64),
        (FigureId::VBeats, |h| h.v_beats),
        (FigureId::VSingles, |h| h.v_singles),
        (FigureId::VCouplets, |h| h.v_couplets),
        (FigureId::VRuns, |h| h.v_runs),
        (FigureId::SBeats, |h| h.s_beats),
        (FigureId::SSingles, |h| h.s_singles),
        (FigureId::SCouplets, |h| h.s_couplets),
        (FigureId::SRuns, |h| h.s_runs),
        (FigureId::Pauses, |h| h.pauses),
    ] {
        assert_eq!((sum(of), of(&summary.day)), (summary.number(id).unwrap() as u64, sum(of)), "{id}");
        assert!(sum(of) > 0, "{id} is not exercised");
    }
    let readable: f64 = summary.hours.iter().map(|h| h.readable_s).sum();
    assert!((readable - summary.day.readable_s).abs() < 1e-6);
    assert!((summary.day.readable_s / 3600.0 - summary.number(FigureId::ReadableH).unwrap()).abs() < 1e-9);
    assert_eq!(summary.day.min_bpm, summary.number(FigureId::MinBpm));
    assert_eq!(summary.day.max_bpm, summary.number(FigureId::MaxBpm));
    assert_eq!(summary.day.longest_rr_ms, summary.number(FigureId::LongestRrMs));
    assert_eq!(summary.day.mean_bpm, summary.number(FigureId::MeanBpm));
}

#[test]
fn the_same_day_an_hour_later_has_the_same_figures() {
    let (now, later) = (summary(&mixed()), summary(&mixed().later(3_600_000)));
    for figure in &now.figures {
        // An hour without beats was added, which is readable.
        let by_time = [FigureId::WornH, FigureId::ReadableH, FigureId::ReadablePercent].contains(&figure.id);
        if !by_time && !figure.key().ends_with("_per_hour") && !figure.key().ends_with("_mean_bpm") {
            assert_eq!(Some(&figure.value), later.figure(figure.id).map(|f| &f.value), "{}", figure.id);
        }
    }
}

#[test]
fn a_dropped_event_counts_nowhere() {
    let day = made("NNNNNNNNNNNVVNNNNVVVNNNN", &[500, 500, 500, 2500]);
    let reading = day.reading();
    let all = rhythm::events(&reading);
    let before = summarise(&reading, &all, &[]);
    for (kind, id) in
        [(EventKind::VentricularCouplet, FigureId::VCouplets), (EventKind::Pause, FigureId::Pauses)]
    {
        let mut events = all.clone();
        let hit = events.iter_mut().find(|e| e.kind == kind).unwrap();
        hit.state = EventState::Dropped;
        let after = summarise(&reading, &events, &[]);
        assert_eq!(after.number(id).unwrap() + 1.0, before.number(id).unwrap(), "{id}");
        assert_eq!(after.number(FigureId::VBeats), before.number(FigureId::VBeats));
    }
}

#[test]
fn dropping_the_only_pause_takes_it_out_of_the_longest_interval() {
    let mut rr = vec![800; 30];
    rr[15] = 3400;
    let day = sinus(&rr);
    let reading = day.reading();
    let mut events = rhythm::events(&reading);
    assert_eq!(summarise(&reading, &events, &[]).number(FigureId::LongestRrMs), Some(3400.0));
    let pause = events.iter_mut().find(|e| e.kind == EventKind::Pause).unwrap();
    pause.state = EventState::Dropped;
    let after = summarise(&reading, &events, &[]);
    assert_eq!(after.number(FigureId::LongestRrMs), Some(800.0));
    assert_eq!(
        (after.number(FigureId::Pauses), after.number(FigureId::PausesCritical)),
        (Some(0.0), Some(0.0))
    );
}

#[test]
fn what_cannot_be_computed_says_why() {
    for (day, id, part) in [
        (made("NNNN", &[800]), FigureId::VFastestRunBpm, "no ventricular run"),
        (made("NNNN", &[800]), FigureId::NightMeanBpm, "no start time"),
        (made("", &[]), FigureId::MeanBpm, "no readable interval"),
        (made("", &[]), FigureId::AfPercent, "no readable time"),
        (made("NVNVNVNNNN", &[800]), FigureId::SdnnMs, "% asked"),
        (made("NN", &[800]), FigureId::RmssdMs, "fewer than two"),
    ] {
        let summary = summary(&day);
        let value = &summary.figure(id).unwrap().value;
        assert!(matches!(value, FigureValue::NotComputable(why) if why.contains(part)), "{id}: {value:?}");
    }
}

#[test]
fn waking_hours_and_night_are_told_apart_by_the_clock() {
    let mut rr = vec![1000; 3600];
    rr.extend([500; 7200]);
    let day = sinus(&rr).starting_at(6 * 3_600_000);
    let close = |id, expected: f64| assert!((number(&day, id).unwrap() - expected).abs() < 0.05, "{id}");
    close(FigureId::NightMeanBpm, 60.0);
    close(FigureId::DayMeanBpm, 120.0);
}

#[test]
fn short_recordings_mark_their_day_long_variability() {
    let summary = summary(&sinus(&[800, 810, 790, 820]));
    assert_eq!(summary.figure(FigureId::SdnnMs).unwrap().name, "SDNN (short recording)");
    assert_eq!(summary.figure(FigureId::RmssdMs).unwrap().name, "RMSSD");
}

#[test]
fn every_proof_points_at_something_that_is_there() {
    let day = mixed();
    let reading = day.reading();
    let events = rhythm::events(&reading);
    for figure in summarise(&reading, &events, &[]).figures {
        match &figure.proof {
            Proof::Beats(beats) => assert!(beats.iter().all(|i| (*i as usize) < day.beats.len())),
            Proof::Events(list) => assert!(list.iter().all(|i| (*i as usize) < events.len())),
            _ => {}
        }
        let whole = Span::new(0, day.recording.samples);
        assert!(figure.place.is_none_or(|p| p.overlap(whole) == p && !p.is_empty()), "{}", figure.id);
    }
    let class = |id: FigureId| summary(&day).figure(id).unwrap().proof.clone();
    assert_eq!(class(FigureId::VBeats), Proof::Class(BeatClass::V));
    assert_eq!(class(FigureId::Pauses), Proof::Kind(EventKind::Pause));
}

#[test]
fn strips_show_one_of_each_kind_and_every_symptom() {
    let mut rr = vec![800; 60];
    rr[30] = 3420;
    let day = made(&format!("{}VVVV{}", "N".repeat(45), "N".repeat(12)), &rr);
    let reading = day.reading();
    let events = rhythm::events(&reading);
    let entry = |at, kind, text: &str| DiaryEntry { span: Span::new(at, at), kind, text: text.into() };
    let diary = [
        entry(1_000, DiaryKind::Symptom, "dizzy"),
        entry(9_000, DiaryKind::Activity, "walking"),
        entry(20_000, DiaryKind::Button, ""),
    ];
    let summary = summarise(&reading, &events, &diary);
    let captions: Vec<_> = summary.strips.iter().map(|s| s.caption.as_str()).collect();
    for expected in [
        "Pause 3.42 s, sinus",
        "Longest RR 3.42 s, sinus",
        "Idioventricular run, 4 beats at 75 bpm, accelerated",
        "Slowest rate 75 bpm, mean of 8 RR",
        "Symptom: dizzy",
        "Button pressed",
    ] {
        assert!(captions.contains(&expected), "{expected} is not in {captions:?}");
    }
    assert_eq!(summary.strips.iter().filter(|s| s.span.len() == 7200).count(), summary.strips.len());
    let pause = &summary.strips[0];
    let event = events.iter().find(|e| e.kind == EventKind::Pause).unwrap();
    assert!((pause.span.start + pause.span.end - event.span.start - event.span.end).abs() <= 2);
}

#[test]
fn the_trend_has_a_point_a_minute_and_none_where_nothing_can_be_read() {
    let day = sinus(&[1000; 600]).with_hole(120_000, 240_000);
    let trend = summary(&day).trend;
    assert_eq!(trend.iter().map(|p| p.0 / 60_000).collect::<Vec<_>>(), [0, 1, 4, 5, 6, 7, 8, 9]);
    assert!(trend.iter().all(|p| (p.1, p.2, p.3) == (60.0, 60.0, 60.0)));
}

/// Ten minutes at 40, ten at 75 and twenty at 120 bpm.
#[test]
fn time_above_and_below_the_limits_is_a_share_of_the_day() {
    let mut rr = vec![1500; 400];
    rr.extend([800; 750]);
    rr.extend([500; 2400]);
    let day = sinus(&rr);
    for (id, expected) in [(FigureId::BelowBradyPercent, 25.0), (FigureId::AboveTachyPercent, 50.0)] {
        assert!((number(&day, id).unwrap() - expected).abs() < 0.3, "{id}");
    }
}

#[test]
fn bands_of_short_windows_add_up_and_a_short_day_has_no_day_long_ones() {
    let rr: Vec<i64> = (0..2000).map(|i| 800 + 40 * (i % 9 - 4) + i % 7).collect();
    let found = summary(&sinus(&rr));
    let n = |id| found.number(id).unwrap();
    let sum = n(FigureId::WindowVlfMs2) + n(FigureId::WindowLfMs2) + n(FigureId::WindowHfMs2);
    assert!((sum - n(FigureId::WindowTotalMs2)).abs() < 1e-9 * sum && sum > 100.0);
    assert!((n(FigureId::WindowLfNu) + n(FigureId::WindowHfNu) - 100.0).abs() < 1e-9);
    assert_eq!(n(FigureId::WindowCount), 5.0);
    let why = &found.figure(FigureId::DayUlfMs2).unwrap().value;
    assert!(matches!(why, FigureValue::NotComputable(why) if why.contains("18 h asked")), "{why:?}");
}

#[test]
fn turbulence_of_fewer_than_five_beats_says_how_many_there_are() {
    let mut rr = vec![800; 30];
    (rr[9], rr[10]) = (500, 1100);
    let day = made(&format!("{}V{}", "N".repeat(10), "N".repeat(20)), &rr);
    let found = summary(&day);
    assert_eq!(found.number(FigureId::HrtBeats), Some(1.0));
    let why = &found.figure(FigureId::HrtOnsetPercent).unwrap().value;
    assert!(matches!(why, FigureValue::NotComputable(why) if why.starts_with("1 ventricular")), "{why:?}");
}

/// Intervals that stand in one row of five minutes each, and the NN among them.
fn nn_counted(day: &Made) -> (u64, u64) {
    let summary = summary(day);
    let nn = |r: &crate::model::HrvRow| (r.nn_percent * f64::from(r.intervals) / 100.0).round() as u64;
    let rows = &summary.hrv_windows;
    (rows.iter().map(|r| u64::from(r.intervals)).sum(), rows.iter().map(nn).sum())
}

#[test]
fn a_normal_beat_that_becomes_ventricular_takes_its_two_intervals_out_of_nn_and_no_other() {
    let rr: Vec<i64> = (0..2000).map(|i| 790 + 10 * (i % 3)).collect();
    let plain = sinus(&rr);
    let before = nn_counted(&plain);
    assert_eq!(before, (2000, 2000));
    for at in [1, 700, 1500] {
        let mut day = plain.clone();
        day.beats[at].class = BeatClass::V;
        let expected = (before.0, before.1 - 2);
        assert_eq!(nn_counted(&day), expected, "beat {at}");
    }
}

#[test]
fn rows_of_hours_and_of_five_minutes_hold_each_interval_once() {
    let found = summary(&mixed());
    let sum = |rows: &[crate::model::HrvRow]| rows.iter().map(|r| r.intervals).sum::<u32>();
    assert_eq!(sum(&found.hrv_hours), sum(&found.hrv_windows));
    assert_eq!(found.hrv_hours.len(), found.hours.len());
    assert!(found.hrv_hours.iter().zip(&found.hours).all(|(a, b)| Some(a.span) == b.span));
    assert!(found.conduction.iter().zip(&found.hours).all(|(a, b)| Some(a.span) == b.span));
}

#[test]
fn every_figure_says_what_share_of_the_data_it_rests_on() {
    for figure in summary(&mixed()).figures {
        assert!(!figure.basis.of.is_empty(), "{}", figure.id);
        let share = figure.basis.percent.is_none_or(|p| (0.0..=100.0 + 1e-9).contains(&p));
        assert!(share, "{}: {:?}", figure.key(), figure.basis);
    }
}

#[test]
fn symptoms_stand_among_the_figures_with_their_windows() {
    let day = sinus(&[800; 1200]);
    let reading = day.reading();
    let at =
        |sample| DiaryEntry { span: Span::new(sample, sample), kind: DiaryKind::Symptom, text: "a".into() };
    let found = summarise(&reading, &rhythm::events(&reading), &[at(300_000), at(600_000)]);
    assert_eq!(
        (found.number(FigureId::Symptoms), found.number(FigureId::SymptomsWithoutFinding)),
        (Some(2.0), Some(2.0))
    );
    let windows = [Span::new(180_000, 420_001), Span::new(480_000, 720_001)];
    assert_eq!(found.figure(FigureId::Symptoms).unwrap().proof, Proof::Spans(windows.into()));
}

/// Editing, denominator, bin, detrending and normalisation: where toolboxes differ, a setting says which way is taken.
#[test]
fn each_choice_in_which_toolboxes_differ_moves_its_own_figures() {
    let rr: Vec<i64> = (0..2000).map(|i| 800 + i / 12 + 60 * (i % 5 - 2) + i % 7).collect();
    let plain = sinus(&rr);
    let before = summary(&plain);
    let choices: [(&str, f64, &[FigureId], &[FigureId]); 5] = [
        ("nn_jump_percent", 10.0, &[FigureId::NnPercent, FigureId::SdnnMs], &[FigureId::MeanBpm]),
        (
            "pnn50_per_difference",
            1.0,
            &[FigureId::Pnn50Percent],
            &[FigureId::Nn50, FigureId::SdnnMs, FigureId::TriangularIndex],
        ),
        (
            "histogram_bin_ms",
            15.0,
            &[FigureId::TriangularIndex, FigureId::TinnMs],
            &[FigureId::SdnnMs, FigureId::WindowLfMs2],
        ),
        (
            "spectrum_detrend",
            1.0,
            &[FigureId::WindowVlfMs2, FigureId::EvenVlfMs2],
            &[FigureId::SdnnMs, FigureId::TriangularIndex],
        ),
        (
            "spectrum_nu_variance",
            1.0,
            &[FigureId::WindowLfNu, FigureId::WindowHfNu],
            &[FigureId::WindowLfMs2, FigureId::SdnnMs],
        ),
    ];
    for (setting, value, moved, kept) in choices {
        let mut day = plain.clone();
        day.settings.set(setting, value).unwrap();
        let after = summary(&day);
        for id in moved {
            assert_ne!(before.number(*id), after.number(*id), "{setting} moves {id}");
            assert!(after.figure(*id).unwrap().settings().contains(&setting), "{id} names {setting}");
        }
        for id in kept {
            assert_eq!(before.number(*id), after.number(*id), "{setting} leaves {id}");
        }
    }
}
