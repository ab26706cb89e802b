//! Seeds, threads, lengths, rates and the other scenarios.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use beatledger_core::model::{BeatClass, EventKind, FigureId, Span};
use beatledger_synth::{Made, Request, Scenario, make};

fn raw(made: &Made) -> Vec<Vec<i32>> {
    let all = |lead: &beatledger_core::model::Lead| {
        let mut out = vec![0; lead.samples.len()];
        lead.samples.read(0, &mut out);
        out
    };
    made.recording.leads.iter().map(all).collect()
}

fn on_threads(threads: usize, request: &Request) -> Made {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(|| make(request))
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_one_thread_and_on_many() {
    let request = Request { hours: 0.5, ..Request::default() };
    let (one, many) = (on_threads(1, &request), on_threads(5, &request));
    assert!(raw(&one) == raw(&many));
    assert_eq!(one.truth, many.truth);
}

#[test]
fn another_seed_gives_another_day() {
    let request = Request { hours: 0.2, ..Request::default() };
    let other = Request { seed: 8, ..request };
    let (one, two) = (make(&request), make(&other));
    assert!(raw(&one) != raw(&two));
    assert_ne!(one.truth.beats, two.truth.beats);
}

#[test]
fn a_short_day_still_has_one_of_most_things() {
    for hours in [1.0, 2.0, 6.0] {
        let made = make(&Request { hours, ..Request::default() });
        assert_eq!(made.recording.hours(), hours);
        for kind in [
            EventKind::VentricularTachycardia,
            EventKind::Pause,
            EventKind::AtrialFibrillation,
            EventKind::SupraventricularRun,
            EventKind::DroppedBeatCandidate,
            EventKind::VentricularCouplet,
            EventKind::VentricularBigeminy,
            EventKind::VentricularTrigeminy,
            EventKind::SupraventricularCouplet,
            EventKind::Tachycardia,
            EventKind::Bradycardia,
            EventKind::Unreadable,
        ] {
            assert!(made.truth.of_kind(kind).count() > 0, "{hours} h without {}", kind.words());
        }
        assert_eq!(made.truth.number(FigureId::PausesCritical), Some(1.0));
        assert!(made.truth.number(FigureId::ReadablePercent).unwrap() > 80.0);
    }
}

#[test]
fn the_shortest_day_has_beats_and_fits_its_length() {
    for scenario in Scenario::all() {
        let made = make(&Request { scenario, hours: 0.1, ..Request::default() });
        assert_eq!(made.recording.samples, 360 * 250);
        assert!(made.truth.events.iter().all(|e| e.counts));
        assert!(made.truth.beats.len() > 200, "{}", scenario.name());
        assert!(made.truth.beats.is_sorted_by(|a, b| a.sample < b.sample));
        let whole = made.recording.whole();
        assert!(made.truth.beats.iter().all(|b| whole.contains(b.sample)));
        assert!(made.truth.events.iter().all(|e| e.span.overlap(whole) == e.span));
        assert!(made.recording.diary.iter().all(|d| d.span.start >= 0 && d.span.end <= whole.end));
    }
}

#[test]
fn values_out_of_range_are_held_and_never_panic() {
    let wild = Request { hours: f64::NEG_INFINITY, leads: 0, rate_hz: 0, ..Request::default() };
    let made = make(&wild);
    assert_eq!((made.recording.leads.len(), made.recording.samples), (1, 360 * 100));
    let many = make(&Request { hours: 0.1, leads: 99, rate_hz: 1000, ..Request::default() });
    assert_eq!((many.recording.leads.len(), many.recording.samples), (8, 360 * 1000));
}

#[test]
fn a_beat_lies_at_the_same_time_at_any_rate() {
    let at = |rate_hz| make(&Request { hours: 0.2, rate_hz, ..Request::default() });
    let (slow, fast) = (at(100), at(1000));
    assert_eq!(slow.truth.beats.len(), fast.truth.beats.len());
    for (a, b) in slow.truth.beats.iter().zip(&fast.truth.beats) {
        assert!((a.sample * 10 - b.sample).abs() <= 5);
    }
}

#[test]
fn the_quiet_day_has_nothing_to_find() {
    let made = make(&Request { rate_hz: 100, ..Request::usual(Scenario::Quiet) });
    assert!(made.truth.beats.iter().all(|b| b.class == BeatClass::N && b.readable));
    assert!(made.truth.events.iter().all(|e| e.kind == EventKind::LongestRr));
    assert_eq!(made.truth.number(FigureId::ReadablePercent), Some(100.0));
}

#[test]
fn the_patch_is_small_and_upside_down() {
    let made = make(&Request { hours: 2.0, ..Request::usual(Scenario::Patch) });
    assert_eq!(made.recording.leads.len(), 1);
    let mut mv = Vec::new();
    let mut sum = 0.0;
    let sinus: Vec<_> =
        made.truth.beats.iter().filter(|b| b.class == BeatClass::N).skip(50).take(100).collect();
    for beat in &sinus {
        made.recording.leads[0].read_mv(Span::new(beat.sample - 15, beat.sample + 1), &mut mv);
        sum += f64::from(mv[15] - mv[0]);
    }
    let mean = sum / sinus.len() as f64;
    assert!((-0.9..-0.3).contains(&mean), "main deflection {mean} mV");
    assert!(made.truth.number(FigureId::AfEpisodes) == Some(1.0));
}

#[test]
fn the_restless_night_is_unreadable_in_large_part_and_its_day_is_not() {
    let made = make(&Request { rate_hz: 100, ..Request::usual(Scenario::Restless) });
    let rate = made.recording.rate;
    let night = Span::new(rate.samples_from_seconds(14.5 * 3600.0), rate.samples_from_seconds(22.5 * 3600.0));
    let dark = night.covered_by(&made.truth.unreadable) as f64 / night.len() as f64;
    assert!((0.25..0.75).contains(&dark), "{dark} of the night");
    assert_eq!(
        made.recording.whole().covered_by(&made.truth.unreadable),
        night.covered_by(&made.truth.unreadable)
    );
    assert!(made.truth.number(FigureId::VBeats).unwrap() <= 14.0);
    assert_eq!(made.truth.number(FigureId::Pauses), Some(0.0));
    assert_eq!(made.truth.number(FigureId::VRuns), Some(0.0));
}

#[test]
fn the_long_recording_has_other_findings_on_other_days() {
    let made = make(&Request { hours: 9.0 * 24.0, rate_hz: 100, ..Request::usual(Scenario::Long) });
    assert_eq!(made.truth.number(FigureId::AfEpisodes), Some(2.0));
    assert_eq!(made.truth.number(FigureId::Pauses), Some(1.0));
    assert_eq!(made.truth.number(FigureId::VRuns), Some(1.0));
    assert_eq!(Request::usual(Scenario::Long).hours, 336.0);
    assert!(made.recording.clock(0).starts_with("08:00:00"));
}

#[test]
fn six_minutes_of_the_working_day_still_show_the_main_findings() {
    let made = make(&Request { hours: 0.1, ..Request::default() });
    for kind in [
        EventKind::VentricularTachycardia,
        EventKind::Pause,
        EventKind::AtrialFibrillation,
        EventKind::SupraventricularRun,
        EventKind::VentricularCouplet,
        EventKind::VentricularBigeminy,
        EventKind::Unreadable,
    ] {
        assert!(made.truth.of_kind(kind).count() > 0, "six minutes without {}", kind.words());
    }
}

#[test]
fn the_critical_day_has_waves_without_beats_that_are_no_pause() {
    let made = make(&Request { hours: 2.0, ..Request::usual(Scenario::Critical) });
    let waves = &made.truth.ventricular;
    assert_eq!(waves.len(), 2);
    assert_eq!(made.truth.of_kind(EventKind::VentricularFibrillation).count(), 2);
    assert!(made.truth.beats.iter().all(|b| !waves.iter().any(|w| w.contains(b.sample))));
    assert_eq!(made.truth.number(FigureId::Pauses), Some(1.0), "the pause of the script and no other");
}
