//! P waves that are not conducted: what kind of block it is, where that shows (definitions: 2018 ACC/AHA/HRS bradycardia guideline,
//! second hand).

use std::sync::Arc;

use beatledger_core::model::{EventKind, FigureId, Progress};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;

use super::body::{Body, breathing, of};

/// P waves every `pp_s` that breathe a little, for `seconds`; `conducted(k)` gives the PR of P wave `k`, s, from peak to R peak,
/// or `None` where it is not conducted.
fn with_p(pp_s: f64, seconds: f64, conducted: impl Fn(usize) -> Option<f64>) -> Body {
    let mut body = Body::sinus(&[]);
    let (mut at, mut k) = (0.6, 0);
    (body.beats, body.p_waves) = (Vec::new(), Vec::new());
    while at < seconds {
        body.p_waves.push(at);
        body.beats.extend(conducted(k).map(|pr| (at + pr, false)));
        at += pp_s * (1.0 + 0.015 * (at * 1.53).sin());
        k += 1;
    }
    body.seconds = seconds + 1.0;
    body
}

const PLAIN: f64 = 0.16;

/// Mobitz I with one of `cycle` P waves not conducted, for four minutes between plain rhythm.
fn mobitz_one(pp_s: f64, cycle: usize) -> Body {
    let (from, to) = ((60.0 / pp_s) as usize, (300.0 / pp_s) as usize);
    with_p(pp_s, 360.0, |k| {
        if k < from || k >= to {
            return Some(PLAIN);
        }
        match (k - from) % cycle {
            last if last == cycle - 1 => None,
            0 => Some(0.16),
            1 => Some(0.24),
            n => Some(0.24 + 0.03 * (n - 1) as f64),
        }
    })
}

fn mobitz_two(pp_s: f64, cycle: usize) -> Body {
    let (from, to) = ((60.0 / pp_s) as usize, (300.0 / pp_s) as usize);
    with_p(pp_s, 360.0, |k| {
        let dropped = k >= from && k < to && (k - from) % cycle == cycle - 1;
        (!dropped).then_some(PLAIN)
    })
}

/// Every third P wave conducted for a minute.
fn advanced(pp_s: f64) -> Body {
    let (from, to) = ((120.0 / pp_s) as usize, (200.0 / pp_s) as usize);
    with_p(pp_s, 360.0, |k| (k < from || k >= to || (k - from) % 3 == 2).then_some(PLAIN))
}

/// Four minutes in which the ventricles keep their own rate.
fn complete(pp_s: f64, rr_s: f64) -> Body {
    let (from, to) = (60.0, 300.0);
    let mut body = with_p(pp_s, 360.0, |_| Some(PLAIN));
    body.beats.retain(|b| b.0 < from || b.0 > to);
    let mut at = from + 0.9;
    while at < to - 0.6 {
        body.beats.push((at, false));
        at += rr_s * (1.0 + 0.006 * (at * 0.4).sin());
    }
    body.beats.sort_by(|a, b| a.0.total_cmp(&b.0));
    body
}

/// One cycle in twelve without P wave and beat.
fn exit_block(pp_s: f64) -> Body {
    let mut body = with_p(pp_s, 360.0, |_| Some(PLAIN));
    let gone: Vec<f64> = body.p_waves.iter().copied().skip(20).step_by(12).collect();
    body.beats.retain(|b| !gone.iter().any(|p| (b.0 - p - PLAIN).abs() < 0.01));
    body.p_waves.retain(|p| !gone.contains(p));
    body
}

/// An early P wave that is not conducted after every ninth beat; the sinus node begins anew after it.
fn blocked_ectopy(pp_s: f64) -> Body {
    let mut body = Body::sinus(&[]);
    (body.beats, body.p_waves) = (Vec::new(), Vec::new());
    let (mut at, mut k) = (0.6, 0);
    while at < 360.0 {
        body.p_waves.push(at);
        body.beats.push((at + PLAIN, false));
        if k % 9 == 8 {
            let early = at + (0.62 * pp_s).max(0.16 + 0.46);
            body.p_waves.push(early);
            at = early + 1.08 * pp_s;
        } else {
            at += pp_s * (1.0 + 0.015 * (at * 1.53).sin());
        }
        k += 1;
    }
    body.seconds = 361.0;
    body
}

/// Share of `from..to` seconds that events of one of `kinds` cover.
fn covered(day: &Snapshot, kinds: &[EventKind], from: f64, to: f64) -> f64 {
    let rate = day.recording.rate;
    let stretch =
        beatledger_core::model::Span::new(rate.samples_from_seconds(from), rate.samples_from_seconds(to));
    let spans = day.events.iter().filter(|e| kinds.contains(&e.kind)).map(|e| e.span).collect();
    let spans = beatledger_core::model::Span::merged(spans, 0);
    stretch.covered_by(&spans) as f64 / stretch.len() as f64
}

/// What is said of every kind of block, of a rate, of fibrillation; for a message.
fn said(day: &Snapshot) -> String {
    let kinds = [
        &EventKind::BLOCKS[..],
        &[
            EventKind::ExitBlock,
            EventKind::BlockedAtrialEctopy,
            EventKind::AvBlock1,
            EventKind::Bradycardia,
            EventKind::AtrialFibrillation,
            EventKind::IrregularShort,
            EventKind::AtrialFlutter,
            EventKind::SupraventricularRun,
            EventKind::DroppedBeatCandidate,
            EventKind::Pause,
        ],
    ]
    .concat();
    let told: Vec<String> = kinds
        .into_iter()
        .filter_map(|kind| {
            let n = of(day, kind).len();
            (n > 0).then(|| format!("{} {n}", kind.key()))
        })
        .collect();
    let s = day.beats.iter().filter(|b| b.class.letter() == 'S').count();
    let at: Vec<String> = day
        .beats
        .iter()
        .filter(|b| b.class.letter() == 'S')
        .take(3)
        .map(|b| format!("{:.1}", day.recording.rate.seconds_from_samples(b.sample)))
        .collect();
    format!("{s} S (at {} s), {}", at.join(" "), told.join(", "))
}

#[test]
fn each_kind_of_block_is_told_by_its_name_on_one_lead_and_on_three() {
    use EventKind::{AvBlock3, AvBlockAdvanced, AvBlockMobitz1, AvBlockMobitz2};
    let mut wrong = Vec::new();
    for (leads, seed) in [(1, 11), (3, 12)] {
        for (what, body, kind, (from, to)) in [
            ("Mobitz I 3:2", mobitz_one(0.8, 3), AvBlockMobitz1, (70.0, 290.0)),
            ("Mobitz I 4:3", mobitz_one(0.72, 4), AvBlockMobitz1, (70.0, 290.0)),
            ("Mobitz I 5:4", mobitz_one(0.9, 5), AvBlockMobitz1, (70.0, 290.0)),
            ("Mobitz II 4:3", mobitz_two(0.8, 4), AvBlockMobitz2, (70.0, 290.0)),
            ("Mobitz II 6:5", mobitz_two(0.7, 6), AvBlockMobitz2, (70.0, 290.0)),
            ("advanced", advanced(0.7), AvBlockAdvanced, (125.0, 195.0)),
            ("complete 38", complete(0.75, 1.58), AvBlock3, (65.0, 295.0)),
            ("complete 45", complete(0.68, 1.33), AvBlock3, (65.0, 295.0)),
            ("complete 34", complete(0.9, 1.76), AvBlock3, (65.0, 295.0)),
        ] {
            let day = Body { leads, seed, ..body }.read();
            let share = covered(&day, &[kind], from, to);
            let s = day.beats.iter().filter(|b| b.class.letter() == 'S').count();
            let af = of(&day, EventKind::AtrialFibrillation).len() + of(&day, EventKind::Bradycardia).len();
            if share < 0.7 || s > 0 || af > 0 {
                wrong.push(format!("{what}, {leads} leads: {:.0} % told; {}", 100.0 * share, said(&day)));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Intervals between which P waves are not conducted are none of the sinus node: with four minutes of six in block, variability
/// is withheld.
#[test]
fn variability_is_withheld_where_the_beats_are_not_those_of_the_sinus_node() {
    for body in [complete(0.75, 1.45), mobitz_one(0.8, 4), mobitz_two(0.75, 5)] {
        let day = body.read();
        assert_eq!(day.summary.number(FigureId::SdnnMs), None, "{}", said(&day));
    }
    assert!(with_p(0.8, 360.0, |_| Some(PLAIN)).read().summary.number(FigureId::SdnnMs).is_some());
}

#[test]
fn exit_block_and_blocked_ectopy_are_no_av_block_and_the_beat_after_is_not_early() {
    let mut wrong = Vec::new();
    for (leads, seed) in [(1, 21), (3, 22)] {
        for (what, body, kind) in [
            ("exit block 75", exit_block(0.8), EventKind::ExitBlock),
            ("exit block 60", exit_block(1.0), EventKind::ExitBlock),
            ("blocked ectopy 75", blocked_ectopy(0.8), EventKind::BlockedAtrialEctopy),
            ("blocked ectopy 60", blocked_ectopy(1.0), EventKind::BlockedAtrialEctopy),
        ] {
            let day = Body { leads, seed, ..body }.read();
            let blocks: usize = EventKind::BLOCKS.iter().map(|k| of(&day, *k).len()).sum();
            let s = day.beats.iter().filter(|b| b.class.letter() == 'S').count();
            if of(&day, kind).is_empty() || blocks > 0 || s > 0 {
                wrong.push(format!("{what}, {leads} leads: {}", said(&day)));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_long_pr_is_first_degree_block_and_a_usual_one_is_none() {
    for (leads, pr, told) in [(1, 0.25, true), (3, 0.27, true), (1, 0.15, false), (3, 0.13, false)] {
        let body = Body { leads, seed: 31, ..with_p(0.85, 640.0, |_| Some(pr)) };
        let day = body.read();
        let first = of(&day, EventKind::AvBlock1);
        assert_eq!(
            !first.is_empty(),
            told,
            "{leads} leads, PR {pr}: {:?}",
            day.summary.number(FigureId::PrMs)
        );
        assert_eq!(EventKind::BLOCKS.iter().map(|k| of(&day, *k).len()).sum::<usize>(), 0);
    }
}

/// What a reader does not agree with makes room for what stood there without it.
#[test]
fn exit_block_that_is_dropped_is_a_dropped_beat_candidate_again() {
    let (recording, settings) = (Arc::new(exit_block(0.8).recording()), Settings::default());
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
    let mut session = Session::new(recording, settings, Arc::new(found), &[]);
    let before = session.snapshot();
    assert!(of(&before, EventKind::DroppedBeatCandidate).is_empty(), "{}", said(&before));
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    for event in of(&before, EventKind::ExitBlock) {
        let entry = session.entry(Action::Do(Edit::DropEvent { kind: event.kind, span: event.span }), &stamp);
        session.push(&entry);
    }
    assert!(!of(&session.snapshot(), EventKind::DroppedBeatCandidate).is_empty());
}

/// PR just above 200 ms may be off by as much: it is told with doubt.
#[test]
fn a_pr_that_is_hardly_long_is_doubtful() {
    for (pr, doubtful) in [(0.195, true), (0.26, false)] {
        let day = Body { seed: 61, ..with_p(0.85, 640.0, |_| Some(pr)) }.read();
        let first = of(&day, EventKind::AvBlock1);
        let pr_ms = day.summary.number(FigureId::PrMs);
        assert!(first.iter().all(|e| e.doubt().is_some() == doubtful), "PR {pr}: {pr_ms:?} {first:?}");
        assert!(!first.is_empty(), "PR {pr}: {pr_ms:?}");
    }
}

/// What is not block: slow sinus rhythm with a U wave, arrhythmia with the breath, pauses of the sinus node, ectopic beats.
#[test]
fn sinus_rhythms_that_are_slow_or_irregular_are_no_block() {
    let mut wrong = Vec::new();
    for (leads, seed) in [(1, 41), (3, 42), (1, 43), (3, 44)] {
        let young: Vec<f64> = (0..400)
            .map(|i| {
                1.0 + 0.28 * (i as f64 * std::f64::consts::TAU / (3.7 + 0.3 * (i as f64 / 9.0).sin())).sin()
            })
            .collect();
        let mut pauses = breathing(0.9, 400);
        [(60, 2.35), (140, 3.1), (200, 2.6), (300, 4.1)].iter().for_each(|(i, s)| pauses[*i] = *s);
        for (what, body) in [
            ("slow", Body::sinus(&breathing(1.4, 260))),
            ("slow with U", Body { u_wave_mv: 0.06, ..Body::sinus(&breathing(1.3, 260)) }),
            ("young", Body::sinus(&young)),
            ("sinus pauses", Body::sinus(&pauses)),
        ] {
            let day = Body { leads, seed, ..body }.read();
            let blocks: usize = EventKind::BLOCKS.iter().map(|k| of(&day, *k).len()).sum();
            let flutter = of(&day, EventKind::AtrialFlutter).len();
            if blocks + flutter > 0 {
                wrong.push(format!("{what}, {leads} leads, seed {seed}: {}", said(&day)));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A saw-tooth between the beats, with every third, every fourth or a changing number of waves conducted.
#[test]
fn flutter_is_told_where_its_waves_show_between_the_beats() {
    let mut wrong = Vec::new();
    for (leads, seed) in [(1, 51), (3, 52)] {
        for (what, bpm, ratios) in [
            ("3:1 of 280", 280.0, &[3usize][..]),
            ("4:1 of 300", 300.0, &[4]),
            ("4:1 of 260", 260.0, &[4]),
            ("changing", 300.0, &[4, 3, 2, 4, 5, 2]),
            ("changing", 270.0, &[3, 4, 4, 2]),
        ] {
            let wave = 60.0 / bpm;
            let mut rr = Vec::new();
            let mut at = 0.0;
            while at < 300.0 {
                let next = ratios[rr.len() % ratios.len()] as f64 * wave;
                rr.push(next);
                at += next;
            }
            let body =
                Body { leads, seed, p_waves: Vec::new(), flutter: Some((bpm, 0.2)), ..Body::sinus(&rr) };
            let day = body.read();
            let share = covered(&day, &[EventKind::AtrialFlutter], 10.0, 290.0);
            let af = of(&day, EventKind::AtrialFibrillation).len() + of(&day, EventKind::Tachycardia).len();
            if share < 0.6 && what != "3:1 of 280" || af > 0 {
                wrong.push(format!(
                    "{what} of {bpm}, {leads} leads: {:.0} % told; {}",
                    100.0 * share,
                    said(&day)
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
