//! Times, rates, pauses and ectopy at the limits of their definitions, over unreadable time and after a reader's word.

use super::*;
use crate::model::{
    BeatClass, DiaryEntry, DiaryKind, Event, EventKind, EventState, Found, FoundBeat, LeadQuality, Origin,
    Quality, RrCause, SecondQuality, Span, Waves,
};
use crate::rhythm::{
    self,
    testing::{Made, made, sinus},
};

/// An event that a reader added.
pub(super) fn said(kind: EventKind, start: i64, end: i64) -> Event {
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

/// The same, but a reader said that it is not so.
pub(super) fn dropped(kind: EventKind, start: i64, end: i64) -> Event {
    Event { state: EventState::Dropped, ..said(kind, start, end) }
}

pub(super) fn with_day<T>(day: &Made, events: &[Event], of: impl Fn(&Day<'_>) -> T) -> T {
    of(&Day::new(&day.reading(), events))
}

const AF: EventKind = EventKind::AtrialFibrillation;

/// A beat a second for 200 s, unreadable from 50 to 70 s, and a gap in the file from 150 to 160 s.
fn holes() -> Made {
    let mut day = sinus(&[1000; 200]).with_hole(50_000, 70_000).with_hole(150_000, 160_000);
    day.recording.segments = vec![Span::new(0, 150_000), Span::new(160_000, 200_001)];
    day
}

#[test]
fn a_gap_of_the_file_is_not_worn_and_unreadable_time_is_worn_but_not_readable() {
    let time = with_day(&holes(), &[], burden::readable_time);
    assert_eq!((time.worn_samples, time.readable_samples), (190_001, 170_001));
    assert_eq!(time.longest_hole, Some(Span::new(50_000, 70_000)));
    let equal = sinus(&[1000; 200]).with_hole(50_000, 60_000).with_hole(150_000, 160_000);
    let longest = with_day(&equal, &[], burden::readable_time).longest_hole;
    assert_eq!(longest, Some(Span::new(50_000, 60_000)), "the first of equal ones");
}

/// Fibrillation from 40 to 100 s with 20 s of it unreadable: 40 s. Up to 60 s only the first 10 s of it can be read.
#[test]
fn unreadable_time_is_no_time_in_fibrillation() {
    let day = holes();
    let of = |events: &[Event], from, to| {
        with_day(&day, events, |d| burden::fibrillation_samples(d, Span::new(from, to)))
    };
    let af = [said(AF, 40_000, 100_000)];
    assert_eq!((of(&af, 0, 200_001), of(&af, 0, 60_000), of(&af, 90_000, 200_001)), (40_000, 10_000, 10_000));
    assert_eq!(of(&[dropped(AF, 40_000, 100_000)], 0, 200_001), 0, "a reader disagrees");
    assert_eq!(of(&[said(AF, -50_000, 30_000)], 0, 200_001), 30_000, "cut to the recording");
    assert_eq!(of(&[said(AF, 0, 40_000), said(AF, 20_000, 45_000)], 0, 200_001), 45_000, "once");
    let minutes =
        |events: &[Event]| with_day(&day, events, |d| burden::minutes_of(d, EventKind::AtrialFlutter) * 60.0);
    let flutter = EventKind::AtrialFlutter;
    assert!((minutes(&[said(flutter, 40_000, 100_000)]) - 40.0).abs() < 1e-9);
    assert!((minutes(&[said(flutter, 180_000, 300_000)]) - 20.001).abs() < 1e-9, "cut to the recording");
    assert_eq!(minutes(&[dropped(flutter, 40_000, 100_000)]), 0.0);
}

/// Beats in fibrillation every 500 ms from 10 to 20 s, with a hole of 1 s; else every second. The interval that leads in
/// and the one across the hole are left out: 120 bpm.
#[test]
fn the_rate_in_fibrillation_is_that_of_the_intervals_inside_it_that_can_be_read() {
    let rr = [vec![1000; 10], vec![500; 20], vec![1000; 10]].concat();
    let day = sinus(&rr).with_hole(15_100, 15_900);
    let of = |events: &[Event]| with_day(&day, events, rate::fibrillation_bpm);
    assert_eq!(of(&[said(AF, 10_000, 20_001)]), Some(120.0));
    assert_eq!(of(&[]), None);
}

/// The last interval before 23:00 begins at 22:59:59, the first of the night at 23:00:00; the night ends at 7:00.
#[test]
fn an_interval_belongs_to_the_night_when_it_begins_in_it() {
    let evening = sinus(&[1000; 120]).starting_at(22 * 3_600_000 + 59 * 60_000);
    let of = |day: &Made| with_day(day, &[], rate::mean_rates);
    let found = of(&evening);
    assert_eq!((found.waking.count, found.night.count, found.all.count), (60, 60, 120));
    let morning = sinus(&[1000; 100]).starting_at(6 * 3_600_000 + 59 * 60_000);
    assert_eq!((of(&morning).night.count, of(&morning).waking.count), (60, 40));
    let mut early = evening;
    (early.settings.night_from_h, early.settings.night_to_h) = (22.0, 5.0);
    assert_eq!(of(&early).night.count, 120);
    let mut late = sinus(&[1000; 100]).starting_at(6 * 3_600_000);
    late.settings.night_to_h = 5.0;
    assert_eq!(of(&late).night.count, 0);
}

/// From noon for 36 hours: one whole night, and the first hour of the second.
#[test]
fn a_recording_of_two_days_has_two_nights() {
    let mut day = sinus(&[1000; 10]).starting_at(12 * 3_600_000);
    day.recording.samples = 36 * 3_600_000;
    let hour = |h: i64| h * 3_600_000;
    let found = with_day(&day, &[], |d| rate::nights(d.reading()));
    assert_eq!(found, [Span::new(hour(11), hour(19)), Span::new(hour(35), hour(36))]);
    day.recording.start = None;
    assert!(with_day(&day, &[], |d| rate::nights(d.reading())).is_empty());
}

/// A minute each of 1000, 500 and 800 ms from two minutes before the night.
fn three_rates() -> Made {
    sinus(&[vec![1000; 60], vec![500; 120], vec![800; 75]].concat()).starting_at(22 * 3_600_000 + 58 * 60_000)
}

#[test]
fn a_slowest_rate_that_a_reader_drops_takes_no_fastest_one_with_it() {
    let bpm = |w: Option<rhythm::rate::Window>| w.map(|w| w.bpm.round());
    let of = |events: &[Event]| {
        with_day(&three_rates(), events, |d| {
            let clock = rate::extremes_by_clock(d).0;
            let day = [rate::slowest_that_counts(d), rate::fastest_that_counts(d)];
            [bpm(day[0]), bpm(day[1]), bpm(clock[0]), bpm(clock[1])]
        })
    };
    assert_eq!(of(&[]), [60.0, 120.0, 60.0, 120.0].map(Some));
    // Next come seven intervals of 1000 and one of 500 ms, and seven of 500 and one of 800 ms.
    assert_eq!(of(&[dropped(EventKind::SlowestRate, 0, 60_001)]), [64.0, 120.0, 64.0, 120.0].map(Some));
    assert_eq!(of(&[dropped(EventKind::FastestRate, 60_000, 120_001)]), [60.0, 112.0, 60.0, 112.0].map(Some));
    // A window belongs where it begins: those of the waking hours that reach into the night are slower than 120.
    let night = with_day(&three_rates(), &[], |d| rate::extremes_by_clock(d).1);
    assert_eq!((bpm(night[0]), bpm(night[1])), (Some(75.0), Some(75.0)));
}

/// Half a minute at 120 bpm, 3 s at 60 bpm, half a minute at 120 bpm: two stretches of about half a minute.
#[test]
fn time_beyond_a_limit_is_that_of_the_last_interval_of_its_windows() {
    let day = sinus(&[vec![800; 20], vec![500; 60], vec![1000; 10], vec![500; 60], vec![800; 20]].concat());
    let beyond = with_day(&day, &[], |d| rate::time_beyond(d, |bpm| bpm > 115.0));
    // All eight intervals of a window must be fast: 53 of 60.
    assert_eq!(beyond.spans, [Span::new(19_500, 46_000), Span::new(59_500, 86_000)]);
    assert_eq!((beyond.inside, beyond.all), (53_000, 102_000 - 5_600));
    assert_eq!(beyond.longest(), Some(Span::new(19_500, 46_000)), "the first of equal ones");
    let bridged = sinus(&[vec![500; 60], vec![1000; 1], vec![500; 60]].concat());
    let beyond = with_day(&bridged, &[], |d| rate::time_beyond(d, |bpm| bpm > 115.0));
    assert_eq!(beyond.spans.len(), 2);
}

/// Reporting tiers of 2.0, 2.5 and 3.0 s: an interval at the limit belongs to the tier, one a millisecond shorter does
/// not. They are told in the order of their limits, however they are set.
#[test]
fn a_pause_at_the_limit_of_a_tier_belongs_to_it_and_a_shorter_one_does_not() {
    let counts = |ms: i64, middle_ms: f64| {
        let mut rr = vec![800; 20];
        rr[10] = ms;
        let mut day = sinus(&rr);
        day.settings.pause_middle_ms = middle_ms;
        let reading = day.reading();
        let events = rhythm::events(&reading);
        let tiers = pauses::tiers(&Day::new(&reading, &events));
        tiers.iter().map(|t| (t.limit_ms, t.events.len())).collect::<Vec<_>>()
    };
    for (ms, expected) in [
        (1999, [0, 0, 0]),
        (2000, [1, 0, 0]),
        (2499, [1, 0, 0]),
        (2500, [1, 1, 0]),
        (2999, [1, 1, 0]),
        (3000, [1; 3]),
    ] {
        assert_eq!(counts(ms, 2500.0).iter().map(|t| t.1).collect::<Vec<_>>(), expected, "{ms} ms");
    }
    assert_eq!(counts(3500, 4000.0), [(2000.0, 1), (3000.0, 1), (4000.0, 0)]);
}

#[test]
fn a_longest_interval_or_a_pause_that_a_reader_drops_is_not_the_longest() {
    let mut rr = vec![800; 30];
    (rr[10], rr[20]) = (2600, 2300);
    let day = sinus(&rr);
    let place = (8_000, 10_601);
    let longest = |events: &[Event]| {
        with_day(&day, events, |d| pauses::longest(d).iter().map(|l| l.ms).collect::<Vec<_>>())
    };
    assert_eq!(longest(&[]), [Some(2600.0), Some(2600.0), None, None]);
    for kind in [EventKind::LongestRr, EventKind::Pause] {
        let told = longest(&[dropped(kind, place.0, place.1)]);
        assert_eq!(told, [Some(2300.0), Some(2300.0), None, None], "{kind:?}");
        let beside = longest(&[dropped(kind, place.0 + 800, place.1)]);
        assert_eq!(beside[0], Some(2600.0), "{kind:?} that covers it in part");
    }
    let in_af = with_day(&day, &[said(AF, 10_000, 12_000)], |d| {
        pauses::longest_interval(d, Some(RrCause::Fibrillation))
    });
    assert_eq!(in_af, Some(11), "it ends in fibrillation");
}

/// Three runs of four, three and four V beats: of the two longest the faster one is told as the longest.
#[test]
fn the_longest_run_is_the_faster_of_equally_long_ones_and_the_fastest_may_be_shorter() {
    let letters = "NNVVVVNNVVVNNVVVVNN";
    let mut rr = vec![800; 18];
    rr[2..5].fill(500);
    rr[8..10].fill(350);
    rr[13..16].fill(450);
    let day = made(letters, &rr);
    let reading = day.reading();
    let events = rhythm::events(&reading);
    let laid = Day::new(&reading, &events);
    let runs = laid.events_of(&[EventKind::VentricularTachycardia]);
    assert_eq!(runs.len(), 3);
    assert_eq!(ectopy::longest_run(&laid, &runs).unwrap().beats, (13, 17));
    assert_eq!(ectopy::fastest_run(&laid, &runs).unwrap().beats, (8, 11));
}

#[test]
fn a_beat_that_a_reader_put_there_was_not_found() {
    let found_beat = |sample| FoundBeat {
        sample,
        class: BeatClass::N,
        confidence: 1.0,
        group: 0,
        waves: Waves::default(),
        evidence: Default::default(),
    };
    let day = sinus(&[400, 400, 800, 900]);
    let found = Found { beats: [0, 800, 1600, 2600].map(found_beat).to_vec(), ..Found::default() };
    let reading = day.reading().with_found(&found);
    let laid = Day::new(&reading, &[]);
    let at = found::FoundAt::new(laid.reading());
    assert_eq!((0..6).map(|i| at.get(i)).collect::<Vec<_>>(), [Some(0), None, Some(1), Some(2), None, None]);
}

#[test]
fn a_beat_in_fibrillation_or_across_a_hole_has_no_coupling() {
    let day = made("NNVNNVN", &[800, 500, 1100, 800, 520, 1100]);
    let of = |day: &Made, events: &[Event]| with_day(day, events, premature::coupling);
    assert_eq!(of(&day, &[]).beats, [2, 5]);
    let af = of(&day, &[said(AF, 1_300, 1_301)]);
    assert_eq!((af.beats, af.mean_ms, af.sd_ms), (vec![5], Some(520.0), None));
    assert_eq!(of(&day.with_hole(1_000, 1_100), &[]).beats, [5]);
}

#[test]
fn an_interpolated_beat_stands_between_normal_beats_in_about_one_sinus_interval() {
    let of = |letters: &str, rr: &[i64]| with_day(&made(letters, rr), &[], premature::interpolated);
    assert_eq!(of("NNVNN", &[800, 360, 360, 800]), [2], "10 % short");
    assert_eq!(of("NNVNN", &[800, 360, 359, 800]), [0u32; 0]);
    assert_eq!(of("NVNVN", &[800, 500, 260, 240]), [0u32; 0], "the interval before is none of sinus rhythm");
    assert_eq!(of("NNVVN", &[800, 400, 400, 800]), [0u32; 0], "a couplet");
    assert_eq!(of("NNVSN", &[800, 400, 400, 800]), [0u32; 0]);
    let mut strict = made("NNVNN", &[800, 400, 430, 800]);
    assert_eq!(with_day(&strict, &[], premature::interpolated), [2]);
    strict.settings.interpolated_percent = 3.0;
    assert_eq!(with_day(&strict, &[], premature::interpolated), [0u32; 0]);
}

/// A second that is unreadable for half of it is still readable; the hole that ended before it does not count.
#[test]
fn a_second_is_lost_when_more_than_half_of_it_is() {
    let times = |holes: &[(i64, i64)]| {
        let day = holes.iter().fold(sinus(&[1000; 10]), |d, h| d.with_hole(h.0, h.1));
        let kind = vec![SecondQuality::Good; 10];
        let quality = Quality { leads: vec![LeadQuality { kind, score: vec![] }], unreadable: vec![] };
        let found = Found { quality, ..Found::default() };
        let reading = day.reading().with_found(&found);
        let time = leads::lead_times(&Day::new(&reading, &[])).remove(0);
        (time.readable_s, time.noisy_s, time.unreadable_s, time.longest_hole)
    };
    assert_eq!(times(&[(4_200, 4_700)]), (10.0, 0.0, 0.0, None));
    assert_eq!(times(&[(4_200, 4_701)]), (9.0, 0.0, 1.0, Some(Span::new(4_000, 5_000))));
    assert_eq!(times(&[(3_000, 4_000), (4_200, 4_900)]).2, 2.0);
    assert_eq!(
        times(&[(2_000, 3_000), (6_000, 7_000)]).3,
        Some(Span::new(2_000, 3_000)),
        "the first of equal ones"
    );
}

/// An hour at 75 bpm, with a symptom at 10 min; its window is from 8 to 12 min.
#[test]
fn a_symptom_is_judged_by_its_own_window_alone() {
    let entry =
        |at_s: i64, kind| DiaryEntry { span: Span::new(at_s * 1000, at_s * 1000), kind, text: String::new() };
    let symptom = [entry(600, DiaryKind::Symptom)];
    let of = |day: &Made, events: &[Event], diary: &[DiaryEntry]| {
        with_day(day, events, |d| symptoms::symptoms(d, diary))
    };
    // 240.001 s of window: 120 s readable are less than half, 120.001 s are more.
    let rr = [vec![800; 600], vec![400; 150], vec![800; 150], vec![1000; 60], vec![800; 600]].concat();
    let day = sinus(&rr);
    assert_eq!(of(&day.clone().with_hole(480_000, 600_001), &[], &symptom).unreadable, [0]);
    assert_eq!(of(&day.clone().with_hole(480_000, 600_000), &[], &symptom).without_finding, [0]);
    let even = [DiaryEntry { span: Span::new(600_000, 600_002), ..symptom[0].clone() }];
    assert_eq!(of(&day.clone().with_hole(480_000, 600_001), &[], &even).without_finding, [0], "one half");
    let row = &of(&day, &[], &symptom).rows[0];
    assert_eq!((row.min_bpm, row.max_bpm), (Some(60.0), Some(150.0)));
    // Only the first 5 s of the window from 535 s on are at 150 bpm.
    assert_eq!(of(&day, &[], &[entry(655, DiaryKind::Symptom)]).rows[0].max_bpm, Some(150.0));
    // The 1000 ms begin at 660 s and end at 720 s; a window of one minute ends where they begin.
    let mut short = day.clone();
    short.settings.symptom_min = 1.0;
    let row = &of(&short, &[], &symptom).rows[0];
    assert_eq!((row.window, row.min_bpm), (Span::new(540_000, 660_001), Some(75.0)));
    // What lies beside a walk alone is a finding without a symptom.
    let pause = [said(EventKind::Pause, 1_000, 4_000)];
    let walk = [entry(2, DiaryKind::Activity), symptom[0].clone()];
    assert_eq!(of(&day, &pause, &walk).silent_findings[..], [0]);
    assert_eq!(of(&day, &pause, &[entry(2, DiaryKind::Button)]).with_finding, [0]);
    let walked = of(&day, &pause, &walk);
    assert!(walked.rows[0].findings[..] == [0] && walked.with_finding.is_empty());
}

#[test]
fn the_rhythm_around_a_symptom_is_told_in_shares_of_its_readable_time() {
    let day = sinus(&[800; 1500]);
    let diary =
        [DiaryEntry { span: Span::new(600_000, 600_000), kind: DiaryKind::Symptom, text: String::new() }];
    let words = |day: &Made, events: &[Event]| {
        with_day(day, events, |d| symptoms::symptoms(d, &diary).rows[0].rhythm.clone())
    };
    assert_eq!(
        words(&day, &[said(AF, 480_000, 540_000)]),
        "no other rhythm told 75 %, atrial fibrillation 25 %"
    );
    assert_eq!(
        words(&day, &[said(AF, 480_000, 660_000)]),
        "atrial fibrillation 75 %, no other rhythm told 25 %"
    );
    assert_eq!(words(&day, &[said(AF, 0, 900_000)]), "atrial fibrillation");
    let flutter = said(EventKind::AtrialFlutter, 480_000, 540_000);
    assert_eq!(words(&day, std::slice::from_ref(&flutter)), "no other rhythm told 75 %, atrial flutter 25 %");
    let both = [flutter, said(AF, 600_000, 720_000)];
    assert_eq!(
        words(&day, &both),
        "atrial fibrillation 50 %, no other rhythm told 25 %, atrial flutter 25 %"
    );
    let mut with_p = sinus(&[800; 1500]);
    with_p.beats.iter_mut().for_each(|b| b.evidence.p_before = Some(0.8));
    assert_eq!(words(&with_p, &[said(AF, 480_000, 540_000)]), "sinus rhythm 75 %, atrial fibrillation 25 %");
    let vf = said(EventKind::VentricularFibrillation, 590_000, 614_000);
    assert_eq!(words(&with_p, &[vf]), "sinus rhythm 90 %, VF/VFL candidate 10 %");
    // Half of the window cannot be read; of the rest one half is fibrillation.
    let hole = day.with_hole(480_000, 600_000);
    assert_eq!(
        words(&hole, &[said(AF, 480_000, 660_000)]),
        "no other rhythm told 50 %, atrial fibrillation 50 %"
    );
}

/// More than a year after the first is no recording; a beat at the same microsecond is no new beat.
#[test]
fn a_list_takes_beats_of_a_year_that_come_one_after_the_other() {
    let year_ms = 366.0 * 86_400_000.0;
    let day = rr_list::RrDay::new(&[5.0, 5.0, 5.0004, 5.001, year_ms + 4.0, year_ms + 5.0], &[]);
    let settings = Default::default();
    let reading = day.reading(&settings);
    let samples: Vec<i64> = reading.beats.iter().map(|b| b.sample).collect();
    assert_eq!((samples, day.left_out()), (vec![0, 1, 366 * 86_400_000_000 - 1_000], 3));
}
