//! What a reader sees in the summary of small made days.

use super::*;
use crate::model::{BeatClass, DiaryKind, EventKind, EventState, FigureValue, HourRow, Proof, Span};
use crate::rhythm::{self, testing::Made, testing::made, testing::sinus};

fn summary(day: &Made) -> Summary {
    let reading = day.reading();
    summarise(&reading, &rhythm::events(&reading), &[])
}

fn number(day: &Made, key: &str) -> Option<f64> {
    summary(day).number(key)
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
        let keys: Vec<_> = summary(&day).figures.iter().map(|f| f.key).collect();
        assert_eq!(keys, catalogue::CATALOGUE.iter().map(|r| r.key).collect::<Vec<_>>());
    }
    for row in catalogue::CATALOGUE {
        assert!(row.definition.contains('(') && row.definition.ends_with(['.', ';']), "{}", row.key);
        let known = |key: &&str| crate::settings::TABLE.iter().any(|s| s.key == *key);
        assert!(row.settings.iter().all(known), "{}", row.key);
    }
}

#[test]
fn counts_are_those_of_the_letters() {
    let day = made("NNVNNVVNNVVVNNFNSNNSSNSSSNNQN", &[500]);
    for (key, expected) in [
        ("beats_total", 29.),
        ("v_beats", 6.),
        ("f_beats", 1.),
        ("v_singles", 2.),
        ("v_couplets", 1.),
        ("v_runs", 1.),
        ("vt_runs", 1.),
        ("v_longest_run_beats", 3.),
        ("v_fastest_run_bpm", 120.),
        ("s_beats", 6.),
        ("s_singles", 1.),
        ("s_couplets", 1.),
        ("s_runs", 1.),
        ("s_longest_run_beats", 3.),
        ("q_beats", 1.),
        ("pauses", 0.),
    ] {
        assert_eq!(number(&day, key), Some(expected), "{key}");
    }
    assert!((number(&day, "v_percent").unwrap() - 100.0 * 6.0 / 29.0).abs() < 1e-9);
}

#[test]
fn the_mean_rate_is_that_of_the_mean_interval() {
    let rr = [800, 810, 790, 860, 750, 820, 805, 795, 900, 780];
    let found = number(&sinus(&rr), "mean_bpm").unwrap();
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
    for (key, of) in [
        ("beats_total", (|h| h.beats) as fn(&HourRow) -> u64),
        ("v_beats", |h| h.v_beats),
        ("v_singles", |h| h.v_singles),
        ("v_couplets", |h| h.v_couplets),
        ("v_runs", |h| h.v_runs),
        ("s_beats", |h| h.s_beats),
        ("s_singles", |h| h.s_singles),
        ("s_couplets", |h| h.s_couplets),
        ("s_runs", |h| h.s_runs),
        ("pauses", |h| h.pauses),
    ] {
        assert_eq!((sum(of), of(&summary.day)), (summary.number(key).unwrap() as u64, sum(of)), "{key}");
        assert!(sum(of) > 0, "{key} is not exercised");
    }
    let readable: f64 = summary.hours.iter().map(|h| h.readable_s).sum();
    assert!((readable - summary.day.readable_s).abs() < 1e-6);
    assert!((summary.day.readable_s / 3600.0 - summary.number("readable_h").unwrap()).abs() < 1e-9);
    assert_eq!(summary.day.min_bpm, summary.number("min_bpm"));
    assert_eq!(summary.day.max_bpm, summary.number("max_bpm"));
    assert_eq!(summary.day.longest_rr_ms, summary.number("longest_rr_ms"));
    assert_eq!(summary.day.mean_bpm, summary.number("mean_bpm"));
}

#[test]
fn the_same_day_an_hour_later_has_the_same_figures() {
    let (now, later) = (summary(&mixed()), summary(&mixed().later(3_600_000)));
    for figure in &now.figures {
        // An hour without beats was added, which is readable.
        let by_time = ["worn_h", "readable_h", "readable_percent"].contains(&figure.key);
        if !by_time && !figure.key.ends_with("_per_hour") && !figure.key.ends_with("_mean_bpm") {
            assert_eq!(Some(&figure.value), later.figure(figure.key).map(|f| &f.value), "{}", figure.key);
        }
    }
}

#[test]
fn a_dropped_event_counts_nowhere() {
    let day = made("NNNNNNNNNNNVVNNNNVVVNNNN", &[500, 500, 500, 2500]);
    let reading = day.reading();
    let all = rhythm::events(&reading);
    let before = summarise(&reading, &all, &[]);
    for (kind, key) in [(EventKind::VentricularCouplet, "v_couplets"), (EventKind::Pause, "pauses")] {
        let mut events = all.clone();
        let hit = events.iter_mut().find(|e| e.kind == kind).unwrap();
        hit.state = EventState::Dropped;
        let after = summarise(&reading, &events, &[]);
        assert_eq!(after.number(key).unwrap() + 1.0, before.number(key).unwrap(), "{key}");
        assert_eq!(after.number("v_beats"), before.number("v_beats"));
    }
}

#[test]
fn dropping_the_only_pause_takes_it_out_of_the_longest_interval() {
    let mut rr = vec![800; 30];
    rr[15] = 3400;
    let day = sinus(&rr);
    let reading = day.reading();
    let mut events = rhythm::events(&reading);
    assert_eq!(summarise(&reading, &events, &[]).number("longest_rr_ms"), Some(3400.0));
    let pause = events.iter_mut().find(|e| e.kind == EventKind::Pause).unwrap();
    pause.state = EventState::Dropped;
    let after = summarise(&reading, &events, &[]);
    assert_eq!(after.number("longest_rr_ms"), Some(800.0));
    assert_eq!((after.number("pauses"), after.number("pauses_critical")), (Some(0.0), Some(0.0)));
}

#[test]
fn what_cannot_be_computed_says_why() {
    for (day, key, part) in [
        (made("NNNN", &[800]), "v_fastest_run_bpm", "no ventricular run"),
        (made("NNNN", &[800]), "night_mean_bpm", "no start time"),
        (made("", &[]), "mean_bpm", "no readable interval"),
        (made("", &[]), "af_percent", "no readable time"),
        (made("NVNVNVNNNN", &[800]), "sdnn_ms", "% asked"),
        (made("NN", &[800]), "rmssd_ms", "fewer than two"),
    ] {
        let summary = summary(&day);
        let value = &summary.figure(key).unwrap().value;
        assert!(matches!(value, FigureValue::NotComputable(why) if why.contains(part)), "{key}: {value:?}");
    }
}

#[test]
fn waking_hours_and_night_are_told_apart_by_the_clock() {
    let mut rr = vec![1000; 3600];
    rr.extend([500; 7200]);
    let day = sinus(&rr).starting_at(6 * 3_600_000);
    let close = |key, expected: f64| assert!((number(&day, key).unwrap() - expected).abs() < 0.05, "{key}");
    close("night_mean_bpm", 60.0);
    close("day_mean_bpm", 120.0);
}

#[test]
fn short_recordings_mark_their_day_long_variability() {
    let summary = summary(&sinus(&[800, 810, 790, 820]));
    assert_eq!(summary.figure("sdnn_ms").unwrap().name, "SDNN (short recording)");
    assert_eq!(summary.figure("rmssd_ms").unwrap().name, "RMSSD");
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
        assert!(figure.place.is_none_or(|p| p.overlap(whole) == p && !p.is_empty()), "{}", figure.key);
    }
    let class = |key: &str| summary(&day).figure(key).unwrap().proof.clone();
    assert_eq!(class("v_beats"), Proof::Class(BeatClass::V));
    assert_eq!(class("pauses"), Proof::Kind(EventKind::Pause));
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
    for (key, expected) in [("below_brady_percent", 25.0), ("above_tachy_percent", 50.0)] {
        assert!((number(&day, key).unwrap() - expected).abs() < 0.3, "{key}");
    }
}

#[test]
fn bands_of_short_windows_add_up_and_a_short_day_has_no_day_long_ones() {
    let rr: Vec<i64> = (0..2000).map(|i| 800 + 40 * (i % 9 - 4) + i % 7).collect();
    let found = summary(&sinus(&rr));
    let n = |key| found.number(key).unwrap();
    let sum = n("window_vlf_ms2") + n("window_lf_ms2") + n("window_hf_ms2");
    assert!((sum - n("window_total_ms2")).abs() < 1e-9 * sum && sum > 100.0);
    assert!((n("window_lf_nu") + n("window_hf_nu") - 100.0).abs() < 1e-9);
    assert_eq!(n("window_count"), 5.0);
    let why = &found.figure("day_ulf_ms2").unwrap().value;
    assert!(matches!(why, FigureValue::NotComputable(why) if why.contains("18 h asked")), "{why:?}");
}

#[test]
fn turbulence_of_fewer_than_five_beats_says_how_many_there_are() {
    let mut rr = vec![800; 30];
    (rr[9], rr[10]) = (500, 1100);
    let day = made(&format!("{}V{}", "N".repeat(10), "N".repeat(20)), &rr);
    let found = summary(&day);
    assert_eq!(found.number("hrt_beats"), Some(1.0));
    let why = &found.figure("hrt_onset_percent").unwrap().value;
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
        assert!(!figure.basis.of.is_empty(), "{}", figure.key);
        let share = figure.basis.percent.is_none_or(|p| (0.0..=100.0 + 1e-9).contains(&p));
        assert!(share, "{}: {:?}", figure.key, figure.basis);
    }
}

#[test]
fn symptoms_stand_among_the_figures_with_their_windows() {
    let day = sinus(&[800; 1200]);
    let reading = day.reading();
    let at =
        |sample| DiaryEntry { span: Span::new(sample, sample), kind: DiaryKind::Symptom, text: "a".into() };
    let found = summarise(&reading, &rhythm::events(&reading), &[at(300_000), at(600_000)]);
    assert_eq!((found.number("symptoms"), found.number("symptoms_without_finding")), (Some(2.0), Some(2.0)));
    let windows = [Span::new(180_000, 420_001), Span::new(480_000, 720_001)];
    assert_eq!(found.figure("symptoms").unwrap().proof, Proof::Spans(windows.into()));
}

/// Editing, denominator, bin, detrending and normalisation: where toolboxes differ, a setting says which way is taken.
#[test]
fn each_choice_in_which_toolboxes_differ_moves_its_own_figures() {
    let rr: Vec<i64> = (0..2000).map(|i| 800 + i / 12 + 60 * (i % 5 - 2) + i % 7).collect();
    let plain = sinus(&rr);
    let before = summary(&plain);
    let choices: [(&str, f64, &[&str], &[&str]); 5] = [
        ("nn_jump_percent", 10.0, &["nn_percent", "sdnn_ms"], &["mean_bpm"]),
        ("pnn50_per_difference", 1.0, &["pnn50_percent"], &["nn50", "sdnn_ms", "triangular_index"]),
        ("histogram_bin_ms", 15.0, &["triangular_index", "tinn_ms"], &["sdnn_ms", "window_lf_ms2"]),
        ("spectrum_detrend", 1.0, &["window_vlf_ms2", "even_vlf_ms2"], &["sdnn_ms", "triangular_index"]),
        ("spectrum_nu_variance", 1.0, &["window_lf_nu", "window_hf_nu"], &["window_lf_ms2", "sdnn_ms"]),
    ];
    for (setting, value, moved, kept) in choices {
        let mut day = plain.clone();
        day.settings.set(setting, value).unwrap();
        let after = summary(&day);
        for key in moved {
            assert_ne!(before.number(key), after.number(key), "{setting} moves {key}");
            assert!(after.figure(key).unwrap().settings.contains(&setting), "{key} names {setting}");
        }
        for key in kept {
            assert_eq!(before.number(key), after.number(key), "{setting} leaves {key}");
        }
    }
}
