//! ST courses of made levels.

use super::*;
use crate::model::{Found, LeadQuality, Quality, Waves};
use crate::rhythm::testing::{Made, made};

/// One beat a second for 40 minutes; the level of each second in uV.
fn day(level: impl Fn(i64) -> i16, prefilter: &str) -> (Made, Found) {
    let mut day = made(&"N".repeat(2400), &[1000]);
    for beat in &mut day.beats {
        beat.evidence.quality = 1.0;
        beat.waves = Waves { qrs_on: Some(-40), qrs_off: Some(50), ..Waves::default() };
    }
    day.recording.leads[0].prefilter = prefilter.to_owned();
    let beats = day.beats.iter().map(|b| FoundAtTest::beat(b.sample)).collect();
    let st_uv = vec![(0..2400).map(level).collect()];
    let repolarisation = Repolarisation { st_uv, qrs_uv: vec![], alternans: vec![] };
    (day, Found { beats, repolarisation, ..Found::default() })
}

struct FoundAtTest;

impl FoundAtTest {
    fn beat(sample: i64) -> crate::model::FoundBeat {
        crate::model::FoundBeat {
            sample,
            class: crate::model::BeatClass::N,
            confidence: 1.0,
            group: 0,
            waves: Waves::default(),
            evidence: Default::default(),
        }
    }
}

fn of(day: &Made, found: &Found) -> Result<StCourse, String> {
    let reading = day.reading().with_found(found);
    leads(&reading).remove(0).course
}

/// The 1 x 1 x 1 rule: 0.1 mV for a minute, a minute apart.
#[test]
fn a_change_of_0_1_mv_for_a_minute_is_an_episode() {
    for (from, to, uv, expected) in
        [(600, 660, 100, 1), (600, 660, -100, 1), (600, 645, 100, 0), (600, 900, 98, 0)]
    {
        let level = |s: i64| if (from..to).contains(&s) { 20 + uv } else { 20 };
        let (day, found) = day(level, "HP:0.05Hz LP:40Hz");
        let course = of(&day, &found).unwrap();
        assert_eq!(course.episodes.len(), expected, "{from} to {to} s, {uv} uV");
        assert_eq!(course.reference_mv, 0.02);
        if let Some(episode) = course.episodes.first() {
            assert_eq!(episode.span, Span::new(600_000, 660_000));
            assert!((f64::from(episode.extreme_mv) - f64::from(uv) / 1000.0).abs() < 1e-6);
        }
    }
}

#[test]
fn changes_less_than_a_minute_apart_are_one_and_of_other_sign_are_two() {
    let twice = |gap: i64, second: i16| {
        let level = move |s: i64| match s {
            600..720 => 150,
            _ if (720 + gap..840 + gap).contains(&s) => second,
            _ => 0,
        };
        let (day, found) = day(level, "DC");
        of(&day, &found).unwrap().episodes
    };
    assert_eq!(twice(30, 200).len(), 1);
    assert_eq!(twice(30, 200)[0].extreme_mv, 0.2);
    assert_eq!(twice(60, 200).len(), 2);
    assert_eq!(twice(30, -200).len(), 2);
}

#[test]
fn noise_wide_and_ectopic_beats_take_no_part() {
    let level = |s: i64| if (600..720).contains(&s) { 300 } else { 0 };
    let (mut noisy, found) = day(level, "HP:DC");
    let mut kind = vec![SecondQuality::Good; 2400];
    kind[590..730].fill(SecondQuality::Noisy);
    let quality = Quality { leads: vec![LeadQuality { kind, score: vec![] }], unreadable: vec![] };
    let with_noise = Found { quality, ..found.clone() };
    assert!(of(&noisy, &with_noise).unwrap().episodes.is_empty());
    noisy.beats[600..720].iter_mut().for_each(|b| b.waves.qrs_off = Some(100));
    assert!(of(&noisy, &found).unwrap().episodes.is_empty());
    noisy.beats[600..720].iter_mut().for_each(|b| b.waves.qrs_off = Some(50));
    assert_eq!(of(&noisy, &found).unwrap().episodes.len(), 1);
    noisy.beats[600..720].iter_mut().for_each(|b| b.class = crate::model::BeatClass::V);
    assert!(of(&noisy, &found).unwrap().episodes.is_empty());
}

/// Motion moves the level of every beat by itself, so that the median of a few beats is no level of ST.
#[test]
fn beats_that_scatter_by_motion_give_no_level() {
    let scattered = |by_uv: i64| {
        let (day, found) = day(
            move |s| match s {
                600..720 => (300 + by_uv * (s * 37 % 11 - 5)) as i16,
                _ => (s * 37 % 11 - 5) as i16,
            },
            "DC",
        );
        of(&day, &found).unwrap()
    };
    let (still, moved) = (scattered(4), scattered(40));
    assert_eq!(still.episodes.len(), 1);
    assert!((still.highest.0 - 0.3).abs() < 0.01, "{:?}", still.highest);
    assert_eq!((moved.episodes.len(), moved.points.len() + 8), (0, still.points.len()));
    assert!(moved.highest.0 < 0.01, "{:?}", moved.highest);
}

#[test]
fn st_is_withheld_where_the_recorder_does_not_reach_low_enough() {
    for (prefilter, reason) in [
        ("HP:0.05Hz LP:40Hz", ""),
        ("", "does not say"),
        ("LP:40Hz", "does not say"),
        ("HP:0.5Hz", "low enough"),
        ("HP:0.67Hz LP:40Hz", "low enough"),
    ] {
        let (day, found) = day(|_| 0, prefilter);
        let why = of(&day, &found).err().unwrap_or_default();
        assert!(why.contains(reason) && why.is_empty() == reason.is_empty(), "{prefilter}: {why}");
    }
    let (mut unknown, found) = day(|_| 0, "");
    unknown.settings.st_unknown_filter = 1.0;
    assert!(of(&unknown, &found).is_ok());
    unknown.recording.leads[0].unit = Unit::Uncalibrated;
    assert!(of(&unknown, &found).is_err_and(|why| why.contains("no gain")));
}

/// EDF+ writes filters as `HP:0.1Hz LP:75Hz N:50Hz` (EDF specification, prefiltering field).
#[test]
fn the_lower_limit_is_read_from_the_words_of_a_file() {
    for (text, expected) in [
        ("HP:0.1Hz LP:75Hz N:50Hz", Some(0.1)),
        ("HP: 0.05 Hz, LP: 150 Hz", Some(0.05)),
        ("hp:50mHz", Some(0.05)),
        ("HP:DC LP:100Hz", Some(0.0)),
        ("DC-100 Hz", Some(0.0)),
        ("HP:", None),
        ("0.05-40", None),
        ("", None),
    ] {
        assert_eq!(lowest_hz(text), expected, "{text}");
    }
}

/// Five beats in a window of 15 s are enough, four are none; beats without a level do not count.
#[test]
fn a_window_has_a_level_from_five_beats_with_one() {
    let with = |beats: i64| {
        let level = move |s: i64| if s % 15 < beats { 50 } else { Repolarisation::NO_LEVEL };
        let (day, found) = day(level, "DC");
        of(&day, &found).map(|c| (c.points.len(), c.points[0].beats, c.reference_mv))
    };
    assert_eq!(with(5), Ok((160, 5, 0.05)));
    assert!(with(4).is_err_and(|why| why.contains("fewer than 5 minutes")));
}

/// Twenty windows of 15 s are five minutes; of the 2399 s that can be read they are 12.5 %.
#[test]
fn five_minutes_of_levels_make_a_course_and_fifteen_seconds_less_do_not() {
    let with = |seconds: i64| {
        let (day, found) = day(move |s| if s < seconds { 0 } else { Repolarisation::NO_LEVEL }, "DC");
        of(&day, &found).map(|c| (c.points.len(), (10.0 * c.readable_percent).round()))
    };
    assert_eq!(with(300), Ok((20, 125.0)));
    assert!(with(285).is_err());
}

/// A QRS of 120 ms is wide. Seconds with noise are no good signal, though beats can be told from them.
#[test]
fn wide_beats_and_noisy_seconds_give_no_level() {
    let (mut day, found) = day(|_| 0, "DC");
    day.beats.iter_mut().for_each(|b| b.waves.qrs_off = Some(79));
    assert!(of(&day, &found).is_ok(), "119 ms");
    day.beats.iter_mut().for_each(|b| b.waves.qrs_off = Some(80));
    assert!(of(&day, &found).is_err(), "120 ms");
}

/// A fall of 0.3 mV from 600 to 660 s, deepest from 630 to 645 s, and a rise of 0.15 mV from 1200 to 1320 s.
#[test]
fn each_change_tells_its_farthest_level_and_where_that_is() {
    let level = |s: i64| match s {
        600..630 | 645..660 => -150,
        630..645 => -300,
        1200..1320 => 150,
        _ => 0,
    };
    let (day, found) = day(level, "DC");
    let course = of(&day, &found).unwrap();
    let told: Vec<_> = course.episodes.iter().map(|e| (e.extreme_mv, e.place)).collect();
    let place = |s: i64| Span::new(s * 1000, (s + 15) * 1000);
    assert_eq!(told, [(-0.3, place(630)), (0.15, place(1200))]);
    assert_eq!((course.lowest, course.highest), ((-0.3, place(630)), (0.15, place(1200))));
}

/// Windows without a level for less than a minute do not end a change; a minute and more do, so that 45 s on either side
/// are none. The extreme of a change in two parts is the farther one.
#[test]
fn windows_without_a_level_for_a_minute_end_a_change() {
    let with = |hole: std::ops::Range<i64>, first: i16| {
        let level = move |s: i64| match s {
            _ if hole.contains(&s) => Repolarisation::NO_LEVEL,
            600..645 => first,
            645..750 => 150,
            _ => 0,
        };
        let (day, found) = day(level, "DC");
        of(&day, &found).unwrap().episodes
    };
    let bridged = with(645..690, 200);
    assert_eq!(
        (bridged.len(), bridged[0].span, bridged[0].extreme_mv),
        (1, Span::new(600_000, 750_000), 0.2)
    );
    let parted = with(645..705, 200);
    assert!(parted.is_empty(), "45 s, a minute without a level, 45 s: {parted:?}");
}

/// The usual level is 0.03 mV, so that a rise to 0.13 is a change and one to 0.129 none, whatever rounding makes of it.
#[test]
fn the_limit_itself_is_a_change_at_any_reference() {
    for reference in [30, 70, 110, -230] {
        for (by, expected) in [(100, 1), (-100, 1), (99, 0), (-99, 0)] {
            let level = move |s: i64| if (600..660).contains(&s) { reference + by } else { reference };
            let (day, found) = day(level, "DC");
            assert_eq!(of(&day, &found).unwrap().episodes.len(), expected, "{reference} {by} uV");
        }
    }
}
