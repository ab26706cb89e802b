//! Wave limits and ST of made days against their truth.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::sync::Arc;

use beatledger_core::model::{BeatClass, FigureId, Progress, Recording, Span};
use beatledger_core::pipeline;
use beatledger_core::review::Fold;
use beatledger_core::session::Snapshot;
use beatledger_core::settings::Settings;
use beatledger_report::document::{self, ReportContext};
use beatledger_synth::{Made, Request, Scenario};
use beatledger_tests::st::with_st_change;

/// Errors of one limit, ms.
#[derive(Default)]
struct Errors(Vec<f64>);

impl Errors {
    fn mean_and_sd(&self) -> (f64, f64) {
        let n = self.0.len().max(1) as f64;
        let mean = self.0.iter().sum::<f64>() / n;
        (mean, (self.0.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt())
    }
}

/// Errors of P begin and end, QRS begin and end and T end of the normal beats of a made day that `takes_part` lets
/// through by the interval to the beat after, ms, against their truth; and how many of them have a T wave whose end is
/// not told.
fn limit_errors(made: &Made, takes_part: impl Fn(f64) -> bool) -> ([Errors; 5], usize) {
    let found = pipeline::find(&made.recording, &Settings::default(), &Progress::default()).unwrap();
    let ms = |samples: i64| made.recording.rate.ms_from_samples(samples);
    let mut errors: [Errors; 5] = Default::default();
    let mut hidden = 0;
    for pair in made.truth.beats.windows(2) {
        let truth = &pair[0];
        let all_normal = pair.iter().all(|b| b.readable && b.class == BeatClass::N);
        if !all_normal || !takes_part(ms(pair[1].sample - truth.sample)) {
            continue;
        }
        let near = found.beats.partition_point(|b| ms(b.sample - truth.sample) < -40.0);
        let Some(beat) = found.beats.get(near).filter(|b| ms(b.sample - truth.sample) <= 40.0) else {
            continue;
        };
        let off = |limit: Option<i16>| limit.map(|at| ms(beat.sample - truth.sample + i64::from(at)));
        let (waves, limits) = (&beat.waves, &truth.limits);
        hidden += usize::from(waves.t_peak.is_some() && waves.t_off.is_none());
        for (errors, (found, known)) in errors.iter_mut().zip([
            (off(waves.p_on), limits.p_ms.map(|p| p.0)),
            (off(waves.p_off), limits.p_ms.map(|p| p.1)),
            (off(waves.qrs_on), Some(limits.qrs_ms.0)),
            (off(waves.qrs_off), Some(limits.qrs_ms.1)),
            (off(waves.t_off), Some(limits.t_off_ms)),
        ]) {
            errors.0.extend(found.zip(known).map(|(found, known)| found - known));
        }
    }
    (errors, hidden)
}

/// Tolerances between cardiologists of the CSE working party (from memory): the standard deviation of each limit, which
/// the mean error must not pass either.
#[test]
fn wave_limits_lie_within_the_tolerances_of_the_cse_working_party() {
    for (scenario, rate_hz) in [(Scenario::Quiet, 250), (Scenario::Quiet, 500), (Scenario::WorkingDay, 250)] {
        let made = beatledger_synth::make(&Request { hours: 0.5, rate_hz, ..Request::usual(scenario) });
        let (errors, _) = limit_errors(&made, |_| true);
        for (errors, (what, tolerance)) in errors.iter().zip([
            ("P begin", 10.2),
            ("P end", 12.7),
            ("QRS begin", 6.5),
            ("QRS end", 11.6),
            ("T end", 30.6),
        ]) {
            let (mean, sd) = errors.mean_and_sd();
            println!(
                "{} {rate_hz} Hz {what}: {mean:.1} +/- {sd:.1} ms, {} beats",
                scenario.name(),
                errors.0.len()
            );
            assert!(errors.0.len() > 1000, "{what}: {} beats", errors.0.len());
            assert!(sd <= tolerance && mean.abs() <= tolerance, "{what}: {mean:.1} +/- {sd:.1} ms");
        }
    }
}

/// The first hours of a made day.
fn first_hours(mut made: Made, hours: f64) -> Made {
    let recording = &mut made.recording;
    let samples = recording.rate.samples_from_seconds(3600.0 * hours);
    for lead in &mut recording.leads {
        let mut part = vec![0i32; samples as usize];
        lead.samples.read(0, &mut part);
        lead.samples = Arc::new(part.into_iter().map(|s| s as i16).collect::<Vec<i16>>());
    }
    recording.samples = samples;
    recording.segments = vec![Span::new(0, samples)];
    made.truth.beats.retain(|b| b.sample < samples);
    made
}

/// At fast rates the next P wave comes before T is over: the end of T is then bounded by it or not told, never the end of
/// P. Truth is where less than a twentieth of T as it was made is left.
#[test]
fn the_end_of_t_at_a_fast_rate_is_that_of_t_or_is_not_told() {
    // The morning of the working day: up the stairs at 123 bpm.
    let made = first_hours(beatledger_synth::make(&Request::default()), 1.8);
    for (from_ms, to_ms, least) in [(520.0, 720.0, 60), (440.0, 520.0, 300)] {
        let (errors, hidden) = limit_errors(&made, |rr_ms| (from_ms..to_ms).contains(&rr_ms));
        let t = &errors[4];
        let (mean, sd) = t.mean_and_sd();
        let longest = t.0.iter().copied().fold(f64::MIN, f64::max);
        println!(
            "RR {from_ms} to {to_ms} ms, T end: {mean:.1} +/- {sd:.1} ms, at most {longest:.0} ms late, {} beats, {hidden} not told",
            t.0.len()
        );
        assert!(t.0.len() + hidden > least, "{} beats", t.0.len());
        // CSE working party, from memory: 30.6 ms between cardiologists.
        assert!(t.0.is_empty() || sd <= 30.6 && mean.abs() <= 30.6, "{mean:.1} +/- {sd:.1} ms");
        let late = t.0.iter().filter(|e| **e > 61.2).count();
        assert!(late * 50 <= t.0.len(), "{late} of {} are late by more than twice the tolerance", t.0.len());
    }
}

fn read(recording: Recording) -> Snapshot {
    let found = pipeline::find(&recording, &Settings::default(), &Progress::default()).unwrap();
    Snapshot::new(Arc::new(recording), &Settings::default(), Arc::new(found), Fold::default())
}

/// A quiet day with ST lower by 0.2 mV on one lead for eight minutes.
#[test]
fn a_change_of_st_is_found_where_it_was_made_and_drawn_in_the_report() {
    let made = beatledger_synth::make(&Request { hours: 1.0, ..Request::usual(Scenario::Quiet) });
    let rate = made.recording.rate;
    let at = |minutes: f64| rate.samples_from_seconds(60.0 * minutes);
    let truth = Span::new(at(20.0), at(28.0));
    let before = read(made.recording.clone());
    let after = read(with_st_change(&made, 1, truth, -0.2));
    for (lead, (st, plain)) in after.summary.st.iter().zip(&before.summary.st).enumerate() {
        let (course, plain) = (st.course.as_ref().unwrap(), plain.course.as_ref().unwrap());
        assert!(plain.episodes.is_empty(), "{}: {:?}", st.name, plain.episodes);
        assert_eq!(course.episodes.len(), usize::from(lead == 1), "{}: {:?}", st.name, course.episodes);
        assert!((course.reference_mv - plain.reference_mv).abs() < 0.01, "{}", st.name);
    }
    let episode = after.summary.st[1].course.as_ref().unwrap().episodes[0];
    let off_s = |a: i64, b: i64| rate.seconds_from_samples(a - b).abs();
    println!(
        "ST change {:+.3} mV, made -0.200 mV; begins {:.0} s and ends {:.0} s off",
        episode.extreme_mv,
        off_s(episode.span.start, truth.start),
        off_s(episode.span.end, truth.end)
    );
    // Two windows of 15 s; a tenth of the change.
    assert!(off_s(episode.span.start, truth.start) <= 30.0 && off_s(episode.span.end, truth.end) <= 30.0);
    assert!((episode.extreme_mv + 0.2).abs() <= 0.02, "{}", episode.extreme_mv);
    let report = document::build(&after, &ReportContext::default());
    let name = &after.recording.leads[1].name;
    assert!(report.to_text().contains(&format!("ST level of the day on {name}")), "{}", report.to_text());
    if let Some(folder) = std::env::var_os("BEATLEDGER_PAGES") {
        let pdf = beatledger_report::pdf::render(&report).unwrap();
        std::fs::write(std::path::Path::new(&folder).join("st-change.pdf"), pdf).unwrap();
    }
}

/// Made days hold no change of ST and no alternans; their nights hold motion of a millivolt and more.
#[test]
fn motion_is_no_change_of_st_and_no_alternans() {
    for seed in [2, 7] {
        let made = beatledger_synth::make(&Request { seed, ..Request::default() });
        let settings = Settings::default();
        let found = pipeline::find(&made.recording, &settings, &Progress::default()).unwrap();
        let day = Snapshot::new(Arc::new(made.recording), &settings, Arc::new(found), Fold::default());
        assert_eq!(day.summary.number(FigureId::StChanges), Some(0.0), "seed {seed}");
        for lead in &day.summary.st {
            let course = lead.course.as_ref().unwrap();
            let off = [course.lowest.0, course.highest.0].map(|mv| (mv - course.reference_mv).abs());
            assert!(
                off.iter().all(|mv| *mv < 0.06),
                "seed {seed}, {}: {off:?} mV from the reference",
                lead.name
            );
            assert!(course.readable_percent > 95.0, "seed {seed}, {}", lead.name);
        }
        let why = day.summary.alternans.as_ref().and_then(|told| told.as_ref().err());
        assert!(why.is_some_and(|why| why.contains("not above scatter")), "seed {seed}: {why:?}");
    }
}

/// QT by hour of a made day, from the averaged beats of five minutes, against the mean of the true limits of its normal
/// beats: within the tolerance of the end of T of the CSE working party (30.6 ms, from memory), and by far.
#[test]
fn qt_by_hour_is_that_of_the_made_beats() {
    let made = beatledger_synth::make(&Request { hours: 6.0, leads: 2, ..Request::default() });
    let truth = made.truth.beats.clone();
    let day = read(made.recording);
    let told = day.summary.qt_hours.iter().filter(|row| row.withheld.is_none());
    let mut hours = 0;
    for row in told {
        let normal =
            truth.iter().filter(|b| row.span.contains(b.sample) && b.class == BeatClass::N && b.readable);
        let qt: Vec<f64> = normal.map(|b| b.limits.t_off_ms - b.limits.qrs_ms.0).collect();
        let (found, known) = (row.qt_ms.unwrap(), qt.iter().sum::<f64>() / qt.len() as f64);
        assert!((found - known).abs() < 10.0, "hour {hours}: {found:.1} ms, made with {known:.1} ms");
        hours += 1;
    }
    assert_eq!(hours, 6);
}
