//! T-wave alternans that may be used: windows of N beats alone, outside atrial fibrillation, slow enough, of good signal.
//! A research measure, to be read beside the tracing.

use super::{Day, burden};
use crate::model::{Alternans, AlternansFound, AlternansPoint, BeatClass, SecondQuality, Span};

/// Shortest useful window, beats.
const FEWEST: usize = 8;

/// Alternans is told when its highest window is this many times the highest of the control (design choice: made tracings without
/// any reach 0.9 times).
const ABOVE_CONTROL: f32 = 1.25;

/// Alternans of the day; `None` where nothing was looked for.
pub fn alternans(day: &Day<'_>, hours: &[Span]) -> Option<Result<Alternans, String>> {
    let found = day.reading().found?;
    let rate = day.reading().recording.rate;
    let length = rate.samples_from_seconds(AlternansFound::WINDOW_S).max(1);
    let steady = steady_windows(day, length);
    let span = |w: usize| {
        Span::new(w as i64 * length, (w as i64 + 1) * length).overlap(day.reading().recording.whole())
    };
    let mut points: Vec<AlternansPoint> = Vec::new();
    for (lead, windows) in found.repolarisation.alternans.iter().enumerate() {
        let kinds = found.quality.leads.get(lead).map_or(&[][..], |q| &q.kind);
        let fits = |w: &&AlternansFound| {
            let at = w.window as usize;
            // The averages remember the window before.
            let calm = steady.get(at) == Some(&true) && at.checked_sub(1).is_none_or(|before| steady[before]);
            // A window is never left out for its control: that would make what is left look like alternans.
            calm && f64::from(w.scatter_uv) <= day.reading().settings.twa_noise_uv && is_good(kinds, at)
        };
        let point = |w: &AlternansFound| AlternansPoint {
            span: span(w.window as usize),
            lead,
            uv: w.uv,
            control_uv: w.control_uv,
        };
        points.extend(windows.iter().filter(fits).map(point));
    }
    let (Some(highest), Some(control)) = (highest(&points, |p| p.uv), highest(&points, |p| p.control_uv))
    else {
        let reason = "no 15 s of normal beats alone, slow enough and of good signal, follow on each other outside atrial fibrillation";
        return Some(Err(reason.to_owned()));
    };
    if highest.uv < ABOVE_CONTROL * control.control_uv {
        let scatter = format!(
            "not above scatter: {:.0} µV at most, where the control reaches {:.0} µV",
            highest.uv, control.control_uv
        );
        return Some(Err(scatter));
    }
    let mut spans: Vec<Span> = points.iter().map(|p| p.span).collect();
    spans.sort();
    spans.dedup();
    let covered: i64 = spans.iter().map(|s| s.len()).sum();
    let readable = burden::readable_time(day).readable_samples.max(1);
    let of_hour = |hour: &Span| {
        let inside: Vec<_> = points.iter().filter(|p| hour.contains(p.span.start)).copied().collect();
        self::highest(&inside, |p| p.uv)
    };
    Some(Ok(Alternans {
        highest,
        control,
        hours: hours.iter().filter_map(of_hour).collect(),
        windows: spans.len() as u32,
        readable_percent: 100.0 * covered as f64 / readable as f64,
    }))
}

/// The highest point, the first of equal ones.
fn highest(points: &[AlternansPoint], of: fn(&AlternansPoint) -> f32) -> Option<AlternansPoint> {
    points.iter().rev().max_by(|a, b| of(a).total_cmp(&of(b))).copied()
}

/// One flag a window: nothing but N beats outside atrial fibrillation, without a hole, below the highest rate.
fn steady_windows(day: &Day<'_>, length: i64) -> Vec<bool> {
    let columns = &day.columns;
    let highest_bpm = day.reading().settings.twa_max_bpm;
    let count = (day.reading().recording.samples.max(0) / length + 1) as usize;
    let mut steady = vec![false; count];
    let mut at = 0;
    while at < columns.len() {
        let window = columns.samples[at].div_euclid(length);
        let over = (window + 1) * length;
        let mut end = at;
        let mut fits = true;
        while end < columns.len() && columns.samples[end] < over {
            fits &=
                columns.classes[end] == BeatClass::N && !day.in_af[end] && (end == at || columns.joined(end));
            end += 1;
        }
        let slow = columns.mean_bpm(at..end).is_some_and(|bpm| bpm <= highest_bpm);
        if let Some(flag) = usize::try_from(window).ok().and_then(|w| steady.get_mut(w)) {
            *flag = fits && slow && end - at >= FEWEST;
        }
        at = end;
    }
    steady
}

/// True when every second of a window is good on the lead; a quality that is not known is not held against it.
fn is_good(kinds: &[SecondQuality], window: usize) -> bool {
    let per_window = AlternansFound::WINDOW_S as usize;
    let seconds = kinds.iter().skip(window * per_window).take(per_window);
    kinds.is_empty() || seconds.clone().count() > 0 && seconds.into_iter().all(|k| *k == SecondQuality::Good)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Event, EventKind, EventState, Found, Origin, Repolarisation};
    use crate::rhythm::testing::{Made, made};

    /// Five minutes at 75 bpm with 40 uV in every window but the tenth, which has 70 uV.
    fn of(day: &Made, events: &[Event], scatter_uv: f32) -> Result<Alternans, String> {
        let window = |window| AlternansFound {
            window,
            uv: if window == 10 { 70.0 } else { 40.0 },
            control_uv: window as f32,
            scatter_uv,
            beats: 18,
        };
        let repolarisation = Repolarisation {
            st_uv: vec![vec![]],
            qrs_uv: vec![],
            alternans: vec![(2..20).map(window).collect()],
        };
        let found = Found { repolarisation, ..Found::default() };
        let reading = day.reading().with_found(&found);
        let laid = Day::new(&reading, events);
        alternans(&laid, &[Span::new(0, 100_000), Span::new(100_000, 300_000)]).unwrap()
    }

    #[test]
    fn the_highest_window_is_told_with_its_place() {
        let found = of(&made(&"N".repeat(375), &[800]), &[], 10.0).unwrap();
        assert_eq!((found.highest.uv, found.highest.span), (70.0, Span::new(150_000, 165_000)));
        assert_eq!(found.hours.iter().map(|h| h.uv).collect::<Vec<_>>(), [40.0, 70.0]);
        assert_eq!((found.windows, found.control.control_uv), (18, 19.0));
    }

    #[test]
    fn ectopy_noise_a_fast_rate_and_fibrillation_withhold_windows() {
        let mut letters = "N".repeat(375);
        letters.replace_range(190..191, "V");
        assert_eq!(of(&made(&letters, &[800]), &[], 10.0).unwrap().highest.uv, 40.0);
        let plain = made(&"N".repeat(375), &[800]);
        assert!(of(&plain, &[], 21.0).is_err());
        assert!(of(&made(&"N".repeat(700), &[470]), &[], 10.0).is_err());
        let af = Event {
            kind: EventKind::AtrialFibrillation,
            span: Span::new(0, 400_000),
            beats: (0, 0),
            rate_bpm: None,
            state: EventState::Kept,
            origin: Origin::Reader,
            critical: false,
            note: String::new(),
            certainty: crate::model::Certainty::sure(),
        };
        assert!(of(&plain, &[af], 10.0).is_err_and(|why| why.contains("fibrillation")));
        assert!(of(&plain.with_hole(1_000, 299_000), &[], 10.0).is_err());
    }

    /// The same windows on two leads, the second 10 uV lower, with the quality of each second of both.
    fn of_two(day: &Made, kind: impl Fn(usize) -> SecondQuality) -> Result<Alternans, String> {
        let on = |less: f32| {
            move |window: u32| AlternansFound {
                window,
                uv: if window == 10 { 70.0 } else { 40.0 } - less,
                control_uv: window as f32,
                scatter_uv: 10.0,
                beats: 18,
            }
        };
        let alternans = vec![(2..20).map(on(0.0)).collect(), (2..20).map(on(10.0)).collect()];
        let kind: Vec<SecondQuality> = (0..300).map(kind).collect();
        let lead = crate::model::LeadQuality { kind, score: vec![] };
        let found = Found {
            repolarisation: Repolarisation { st_uv: vec![], qrs_uv: vec![], alternans },
            quality: crate::model::Quality { leads: vec![lead.clone(), lead], unreadable: vec![] },
            ..Found::default()
        };
        let reading = day.reading().with_found(&found);
        alternans_of(&reading)
    }

    fn alternans_of(reading: &crate::model::Reading<'_>) -> Result<Alternans, String> {
        alternans(&Day::new(reading, &[]), &[Span::new(0, 300_000)]).unwrap()
    }

    /// 18 windows of 15 s on two leads, the last cut to 14.201 s, are 269.201 s of the 299.201 s that can be read; a window counts once.
    #[test]
    fn windows_of_two_leads_count_once() {
        let found = of_two(&made(&"N".repeat(375), &[800]), |_| SecondQuality::Good).unwrap();
        assert!((found.readable_percent - 26_920.1 / 299.201).abs() < 1e-9);
        assert_eq!((found.windows, found.highest.lead, found.highest.uv), (18, 0, 70.0));
        assert_eq!(
            found.control.span,
            Span::new(285_000, 299_201),
            "the highest control, not the highest window"
        );
    }

    /// The tenth window lies from 150 to 165 s: a second of noise in it withholds it, one just outside does not.
    #[test]
    fn one_noisy_second_withholds_its_window_alone() {
        let day = made(&"N".repeat(375), &[800]);
        let noisy = |at: usize| {
            let kind = move |s| if s == at { SecondQuality::Noisy } else { SecondQuality::Good };
            let found = of_two(&day, kind).unwrap();
            (found.highest.uv, found.windows)
        };
        assert_eq!((noisy(150), noisy(164)), ((40.0, 17), (40.0, 17)));
        assert_eq!((noisy(149), noisy(165)), ((70.0, 17), (70.0, 17)));
        assert_eq!(noisy(10), (70.0, 18));
    }

    /// The averages remember the window before: a V beat or a hole in it withholds both.
    #[test]
    fn the_window_before_must_be_steady_too() {
        for at in [178, 190] {
            let mut letters = "N".repeat(375);
            letters.replace_range(at..at + 1, "V");
            assert_eq!(of(&made(&letters, &[800]), &[], 10.0).unwrap().highest.uv, 40.0, "V beat {at}");
        }
        let early = "N".repeat(165) + "V" + &"N".repeat(209);
        assert_eq!(of(&made(&early, &[800]), &[], 10.0).unwrap().highest.uv, 70.0, "two windows before");
        let plain = made(&"N".repeat(375), &[800]);
        assert_eq!(of(&plain.with_hole(152_100, 152_200), &[], 10.0).unwrap().highest.uv, 40.0);
    }

    /// 20 uV of scatter, 125 bpm and eight beats in 15 s are allowed; more, faster and fewer are not.
    #[test]
    fn the_limits_themselves_are_allowed() {
        let plain = made(&"N".repeat(375), &[800]);
        assert!(of(&plain, &[], 20.0).is_ok() && of(&plain, &[], 20.1).is_err());
        assert!(of(&made(&"N".repeat(700), &[480]), &[], 10.0).is_ok());
        assert!(of(&made(&"N".repeat(700), &[479]), &[], 10.0).is_err());
        assert!(of(&made(&"N".repeat(160), &[1875]), &[], 10.0).is_ok());
        assert!(of(&made(&"N".repeat(140), &[2143]), &[], 10.0).is_err());
        let mut slower = made(&"N".repeat(700), &[480]);
        slower.settings.twa_max_bpm = 120.0;
        assert!(of(&slower, &[], 10.0).is_err());
    }
}
