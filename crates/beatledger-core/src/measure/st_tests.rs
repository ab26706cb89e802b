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
    let repolarisation = Repolarisation { st_uv, alternans: vec![] };
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
    let laid = Day::new(&reading, &[]);
    leads(&laid, &FoundAt::new(&laid)).remove(0).course
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
