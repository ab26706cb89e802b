//! The working day holds what it promises, in the truth and in the samples.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::sync::OnceLock;

use beatledger_core::model::{BeatClass, EventKind, FigureId, Span};
use beatledger_synth::{BeatKind, Made, Request, Scenario, make};

fn day() -> &'static Made {
    static DAY: OnceLock<Made> = OnceLock::new();
    DAY.get_or_init(|| make(&Request::default()))
}

fn number(made: &Made, id: FigureId) -> f64 {
    made.truth.number(id).unwrap_or_else(|| panic!("no figure {id}"))
}

/// Valid RR intervals in ms, counted here anew: index of the first beat, interval.
fn rr_ms(made: &Made) -> Vec<(usize, f64)> {
    let truth = &made.truth;
    let mut out = Vec::new();
    for i in 1..truth.beats.len() {
        let between = Span::new(truth.beats[i - 1].sample, truth.beats[i].sample + 1);
        if truth.unreadable.iter().all(|dark| !dark.touches(between)) {
            out.push((i - 1, made.recording.rate.ms_from_samples(between.len() - 1)));
        }
    }
    out
}

#[test]
fn a_day_holds_every_finding_it_promises() {
    let exact = [
        (FigureId::SCouplets, 4.0),
        (FigureId::SRuns, 2.0),
        (FigureId::SLongestRunBeats, 11.0),
        (FigureId::VCouplets, 6.0),
        (FigureId::VRuns, 2.0),
        (FigureId::VtRuns, 2.0),
        (FigureId::VLongestRunBeats, 9.0),
        (FigureId::VBigeminyEpisodes, 1.0),
        (FigureId::VTrigeminyEpisodes, 1.0),
        (FigureId::FBeats, 1.0),
        (FigureId::QBeats, 0.0),
        (FigureId::AfEpisodes, 1.0),
        (FigureId::DroppedCandidates, 1.0),
        (FigureId::Pauses, 2.0),
        (FigureId::PausesCritical, 1.0),
    ];
    for (id, value) in exact {
        assert_eq!(number(day(), id), value, "{id}");
    }
    assert!((39.5..40.5).contains(&number(day(), FigureId::AfMin)));
    assert!((3395.0..3405.0).contains(&number(day(), FigureId::LongestRrMs)));
    assert!((140.0..160.0).contains(&number(day(), FigureId::VFastestRunBpm)));
    assert!((133.0..147.0).contains(&number(day(), FigureId::SFastestRunBpm)));
    assert!((300.0..500.0).contains(&number(day(), FigureId::VSingles)));
    assert!((90.0..200.0).contains(&number(day(), FigureId::SSingles)));
    let kinds = |kind| day().truth.beats.iter().filter(|b| b.kind == kind).count();
    assert_eq!(kinds(BeatKind::Interpolated), 1);
    assert!(kinds(BeatKind::VentricularB) >= 40);
    let events = |kind| day().truth.of_kind(kind).count();
    assert_eq!((events(EventKind::Tachycardia), events(EventKind::Bradycardia)), (1, 1));
    let short: Vec<_> = day().truth.events.iter().filter(|e| !e.counts).collect();
    assert_eq!(short.len(), 1);
    assert_eq!(short[0].kind, EventKind::AtrialFibrillation);
}

#[test]
fn the_rate_follows_day_and_night() {
    assert!((66.0..74.0).contains(&number(day(), FigureId::MeanBpm)));
    assert!((72.0..80.0).contains(&number(day(), FigureId::DayMeanBpm)));
    assert!((55.0..63.0).contains(&number(day(), FigureId::NightMeanBpm)));
}

#[test]
fn the_figures_agree_with_a_recount() {
    let made = day();
    let rr = rr_ms(made);
    let mean = rr.iter().map(|(_, ms)| ms).sum::<f64>() / rr.len() as f64;
    assert!((60_000.0 / mean - number(made, FigureId::MeanBpm)).abs() < 1e-9);
    assert_eq!(rr.iter().filter(|(_, ms)| *ms >= 2000.0).count() as f64, number(made, FigureId::Pauses));
    for (class, id) in
        [(BeatClass::V, FigureId::VBeats), (BeatClass::S, FigureId::SBeats), (BeatClass::F, FigureId::FBeats)]
    {
        let n = made.truth.beats.iter().filter(|b| b.readable && b.class == class).count();
        assert_eq!(n as f64, number(made, id), "{id}");
    }
    let v = number(made, FigureId::VBeats) + number(made, FigureId::FBeats);
    let in_runs: u32 =
        made.truth.of_kind(EventKind::VentricularTachycardia).map(|e| e.beats.1 - e.beats.0).sum();
    assert_eq!(
        v,
        number(made, FigureId::VSingles) + 2.0 * number(made, FigureId::VCouplets) + f64::from(in_runs)
    );
    for (kind, id) in [
        (EventKind::VentricularCouplet, FigureId::VCouplets),
        (EventKind::VentricularTachycardia, FigureId::VRuns),
        (EventKind::SupraventricularCouplet, FigureId::SCouplets),
        (EventKind::SupraventricularRun, FigureId::SRuns),
        (EventKind::VentricularBigeminy, FigureId::VBigeminyEpisodes),
        (EventKind::VentricularTrigeminy, FigureId::VTrigeminyEpisodes),
        (EventKind::Pause, FigureId::Pauses),
    ] {
        assert_eq!(made.truth.of_kind(kind).count() as f64, number(made, id), "{id}");
    }
}

/// No pause of 1.99 s, no beat 20 % early, no normal beat that looks early: whatever the seed.
#[test]
fn nothing_lies_near_the_limit_of_a_definition() {
    for seed in 1..=4 {
        let made = make(&Request { seed, leads: 1, rate_hz: 250, hours: 24.0, ..Request::default() });
        let rr = rr_ms(&made);
        let kind = |i: usize| made.truth.beats[i].kind;
        for pair in rr.windows(9) {
            let (i, last) = pair[8];
            assert!(!(1900.0..2100.0).contains(&last), "seed {seed}: RR {last} at beat {i}");
            let all_sinus = (pair[0].0..=i).all(|k| kind(k) == BeatKind::Sinus) && pair[0].0 + 8 == i;
            if !all_sinus {
                continue;
            }
            let mut before: Vec<f64> = pair[..8].iter().map(|(_, ms)| *ms).collect();
            before.sort_by(f64::total_cmp);
            let early = 1.0 - last / before[4];
            match kind(i + 1) {
                BeatKind::Sinus => assert!(early < 0.15, "seed {seed}: N {early} early at beat {i}"),
                BeatKind::AtrialEctopic => assert!((0.22..0.48).contains(&early), "S {early}"),
                BeatKind::VentricularA | BeatKind::VentricularB => {
                    assert!((0.25..0.50).contains(&early), "V {early}");
                }
                _ => {}
            }
        }
        assert_eq!(made.truth.number(FigureId::DroppedCandidates), Some(1.0), "seed {seed}");
        assert_eq!(made.truth.number(FigureId::Pauses), Some(2.0), "seed {seed}");
        assert_eq!(made.truth.number(FigureId::VCouplets), Some(6.0), "seed {seed}");
    }
}

/// Time around the beat for which lead 0 stays beyond a quarter of its deflection, and that deflection.
fn width_and_size(made: &Made, at: i64) -> (f64, f64) {
    let mut mv = Vec::new();
    made.recording.leads[0].read_mv(Span::new(at - 50, at + 50), &mut mv);
    let base = mv[..12].iter().sum::<f32>() / 12.0;
    let size = mv[50] - base;
    let beyond = |i: &usize| (mv[*i] - base) / size > 0.25;
    let right = (50..100).take_while(beyond).count();
    let left = (0..50).rev().take_while(beyond).count();
    (made.recording.rate.ms_from_samples((left + right) as i64), f64::from(size))
}

#[test]
fn ventricular_beats_are_wide_in_the_samples_and_normal_ones_narrow() {
    let made = day();
    let mean_width = |kind: BeatKind| {
        let some: Vec<_> =
            made.truth.beats.iter().filter(|b| b.kind == kind && b.readable).skip(20).take(30).collect();
        some.iter().map(|b| width_and_size(made, b.sample).0).sum::<f64>() / some.len() as f64
    };
    // Between its quarter heights a wave is about 60 % of its full width.
    assert!(mean_width(BeatKind::Sinus) < 55.0, "{}", mean_width(BeatKind::Sinus));
    assert!(mean_width(BeatKind::VentricularA) > 75.0, "{}", mean_width(BeatKind::VentricularA));
    let sinus = made.truth.beats.iter().filter(|b| b.kind == BeatKind::Sinus).nth(300).unwrap();
    let (_, size) = width_and_size(made, sinus.sample);
    assert!((0.9..1.8).contains(&size), "R of {size} mV");
}

#[test]
fn lost_contact_is_flat_on_every_lead_and_beats_inside_are_not_required() {
    let made = day();
    let flat = made.truth.unreadable.iter().max_by_key(|s| s.len()).unwrap();
    assert_eq!(made.recording.rate.seconds_from_samples(flat.len()), 120.0);
    let mut mv = Vec::new();
    for lead in &made.recording.leads {
        for second in 2..118 {
            let start = flat.start + second * 250;
            lead.read_mv(Span::new(start, start + 250), &mut mv);
            let (low, high) = mv.iter().fold((f32::MAX, f32::MIN), |(a, b), x| (a.min(*x), b.max(*x)));
            assert!(high - low < 0.05, "{} mV in a second without contact", high - low);
        }
    }
    assert!(made.truth.beats.iter().filter(|b| flat.contains(b.sample)).all(|b| !b.readable));
    assert!(made.truth.beats.iter().any(|b| !b.readable));
    let counted = made.truth.beats.iter().filter(|b| b.readable).count();
    assert_eq!(counted as f64, number(made, FigureId::BeatsTotal));
}

#[test]
fn one_lead_without_contact_does_not_make_time_unreadable() {
    let made = day();
    let long =
        |spans: &[Span]| spans.iter().any(|s| made.recording.rate.seconds_from_samples(s.len()) >= 720.0);
    assert!(long(&made.truth.lost[2]));
    assert!(!long(&made.truth.unreadable));
}

#[test]
fn the_diary_has_symptoms_with_and_without_a_finding() {
    use beatledger_core::model::DiaryKind;
    let made = day();
    let symptoms: Vec<_> = made.recording.diary.iter().filter(|d| d.kind == DiaryKind::Symptom).collect();
    assert_eq!(symptoms.len(), 5);
    let near = |at: i64| {
        let window = Span::new(at - 60 * 250, at + 60 * 250);
        made.truth.events.iter().any(|e| e.counts && e.span.touches(window))
            || made.truth.beats.iter().any(|b| b.class != BeatClass::N && window.contains(b.sample))
    };
    assert_eq!(symptoms.iter().filter(|d| near(d.span.start)).count(), 3);
    assert!(made.recording.diary.iter().any(|d| d.kind == DiaryKind::Sleep));
}

#[test]
fn scenario_names_are_the_names_of_the_recordings() {
    assert_eq!(day().recording.name, Scenario::WorkingDay.name());
    assert_eq!(day().recording.identity.code, "DEMO-7");
}

/// The truth of the default request is kept in demo-data; it is the same on every machine.
#[test]
fn the_truth_of_the_default_seed_is_the_one_kept() {
    let dir = tempfile::tempdir().unwrap();
    let written = beatledger_synth::write(day(), dir.path()).unwrap();
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-data/working-day.truth.json");
    let (new, kept) =
        (std::fs::read_to_string(written.truth).unwrap(), std::fs::read_to_string(kept).unwrap());
    let differs = new.lines().zip(kept.lines()).position(|(a, b)| a != b);
    assert!(new == kept, "the truth differs from demo-data/working-day.truth.json from line {differs:?} on");
}
