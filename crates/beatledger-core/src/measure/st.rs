//! The course of ST on each lead, and changes of it that are held.
//!
//! The level of a window of 15 s is the median over its narrow N beats of fair signal, in seconds of good quality on
//! that lead; a window whose beats lie so far apart that the median is uncertain has none. A change is a level `st_change_mv` or further from the median of the day for `st_hold_s` or more, and as
//! long from the next (the 1 x 1 x 1 rule, from memory). The reference is the median of the day, a design choice: the
//! European ST-T Database takes the first 30 s. A change of position imitates a change of ST, so no cause is named.
//! The sign is that of the lead in the file, whatever way up it is drawn.

use rayon::prelude::*;

use super::Day;
use super::conduction::takes_part;
use super::found::FoundAt;
use crate::model::{Lead, Repolarisation, SecondQuality, Span, StCourse, StEpisode, StLead, StPoint, Unit};

/// Length of a window, s.
const WINDOW_S: f64 = 15.0;
/// A window needs this many beats.
const FEWEST: usize = 5;
/// A course needs this many windows: five minutes.
const FEWEST_WINDOWS: usize = 20;

/// ST of every lead; empty where nothing was measured.
pub fn leads(day: &Day<'_>, found_at: &FoundAt<'_>) -> Vec<StLead> {
    let Some(found) = day.reading().found else { return Vec::new() };
    let usable = usable_beats(day, found_at);
    let of_lead = |(lead, known): (usize, &Lead)| {
        let measured = || {
            let levels = found.repolarisation.st_uv.get(lead).ok_or("ST was not measured on this lead")?;
            allowed(day, known)?;
            let kinds = found.quality.leads.get(lead).map_or(&[][..], |q| &q.kind);
            let points = points(day, &usable, levels, kinds);
            course(day, points).ok_or("fewer than 5 minutes hold enough narrow normal beats of good signal")
        };
        let course = measured().map_err(str::to_owned);
        StLead { lead, name: known.name.clone(), course }
    };
    day.reading().recording.leads.par_iter().enumerate().map(of_lead).collect()
}

/// Whether the recorder passed what ST needs; the reason where not.
fn allowed(day: &Day<'_>, lead: &Lead) -> Result<(), &'static str> {
    let settings = day.reading().settings;
    if lead.unit == Unit::Uncalibrated {
        return Err("the file gives no gain for this lead");
    }
    match lowest_hz(&lead.prefilter) {
        Some(hz) if hz <= settings.st_lowest_hz => Ok(()),
        Some(_) => Err("the recorder did not pass low enough frequencies for ST"),
        None if settings.st_unknown_filter >= 0.5 => Ok(()),
        None => Err("the file does not say what low frequencies the recorder passed"),
    }
}

/// Lower limit that a text on filters states, such as `HP:0.05Hz LP:40Hz`, Hz; 0 for `DC`.
pub fn lowest_hz(prefilter: &str) -> Option<f64> {
    let text = prefilter.to_ascii_uppercase();
    let Some(at) = text.find("HP") else {
        let says_dc = text.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word == "DC");
        return says_dc.then_some(0.0);
    };
    let value = text[at + 2..].trim_start_matches([':', '=', ' ', '\t']);
    if value.starts_with("DC") || value.starts_with("NONE") {
        return Some(0.0);
    }
    let number: String = value.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect();
    let hz = number.replace(',', ".").trim_end_matches('.').parse::<f64>().ok()?;
    let unit = value[number.len()..].trim_start();
    Some(if unit.starts_with("MHZ") { hz / 1000.0 } else { hz })
}

/// A narrow N beat of fair signal, and where it belongs.
struct Usable {
    /// Index of the found beat at its place.
    found: usize,
    /// Second of the recording.
    second: usize,
    /// Number of the window.
    window: i64,
}

/// The beats that may take part, in order: the same for every lead.
fn usable_beats(day: &Day<'_>, found_at: &FoundAt<'_>) -> Vec<Usable> {
    let reading = day.reading();
    let (settings, rate) = (reading.settings, reading.recording.rate);
    let wide = settings.wide_qrs_ms;
    let is_narrow = |width: i64| width > 0 && rate.ms_from_samples(width) < wide;
    let length = rate.samples_from_seconds(WINDOW_S).max(1);
    let (per, seconds) = (i64::from(rate.parts().0), i64::from(rate.parts().1));
    let mut usable = Vec::with_capacity(reading.beats.len());
    for (i, beat) in reading.beats.iter().enumerate() {
        let narrow = beat.waves.qrs_samples().is_some_and(is_narrow);
        if let Some(found) = found_at.get(i).filter(|_| narrow && takes_part(beat, settings.qt_min_quality)) {
            let second = (beat.sample * seconds / per).max(0) as usize;
            usable.push(Usable { found, second, window: beat.sample.div_euclid(length) });
        }
    }
    usable
}

fn points(day: &Day<'_>, usable: &[Usable], levels_uv: &[i16], kinds: &[SecondQuality]) -> Vec<StPoint> {
    let length = day.reading().recording.rate.samples_from_seconds(WINDOW_S).max(1);
    // A quality that is not known is not held against a lead.
    let is_good = |beat: &Usable| kinds.is_empty() || kinds.get(beat.second) == Some(&SecondQuality::Good);
    let most_uv = 1000.0 * day.reading().settings.st_uncertain_mv;
    let mut points = Vec::new();
    let mut levels: Vec<i16> = Vec::with_capacity(64);
    for window in usable.chunk_by(|a, b| a.window == b.window) {
        let known =
            |beat: &Usable| levels_uv.get(beat.found).copied().filter(|l| *l != Repolarisation::NO_LEVEL);
        levels.clear();
        levels.extend(window.iter().filter(|beat| is_good(beat)).filter_map(known));
        if levels.len() < FEWEST {
            continue;
        }
        let (level_uv, uncertain_uv) = median(&mut levels);
        if uncertain_uv <= most_uv {
            let beats = levels.len().min(usize::from(u16::MAX)) as u16;
            let level_mv = f32::from(level_uv) / 1000.0;
            points.push(StPoint { start: window[0].window * length, level_mv, beats });
        }
    }
    points
}

/// Median of `levels`, which are not empty, and its standard error: 1.2533 standard deviations over the root of their
/// number, the deviation being 1.4826 times the median distance from the median (normal theory, textbook, from memory).
fn median(levels: &mut [i16]) -> (i16, f64) {
    let middle = levels.len() / 2;
    let median = *levels.select_nth_unstable(middle).1;
    levels.iter_mut().for_each(|level| *level = level.saturating_sub(median).saturating_abs());
    let apart = f64::from(*levels.select_nth_unstable(middle).1);
    (median, 1.2533 * 1.4826 * apart / (levels.len() as f64).sqrt())
}

/// The course of the points; `None` when there are too few.
fn course(day: &Day<'_>, points: Vec<StPoint>) -> Option<StCourse> {
    if points.len() < FEWEST_WINDOWS {
        return None;
    }
    let (rate, whole) = (day.reading().recording.rate, day.reading().recording.whole());
    let length = rate.samples_from_seconds(WINDOW_S).max(1);
    let span = |p: &StPoint| Span::new(p.start, p.start + length).overlap(whole);
    let mut levels: Vec<f32> = points.iter().map(|p| p.level_mv).collect();
    let middle = levels.len() / 2;
    let reference_mv = *levels.select_nth_unstable_by(middle, f32::total_cmp).1;
    let lowest = points.iter().min_by(|a, b| a.level_mv.total_cmp(&b.level_mv))?;
    let highest = points.iter().rev().max_by(|a, b| a.level_mv.total_cmp(&b.level_mv))?;
    let covered: i64 = points.iter().map(|p| day.reading().readable_samples(span(p))).sum();
    let readable = day.reading().readable_samples(whole);
    Some(StCourse {
        reference_mv,
        lowest: (lowest.level_mv, span(lowest)),
        highest: (highest.level_mv, span(highest)),
        episodes: episodes(day, &points, reference_mv, length),
        readable_percent: 100.0 * covered as f64 / readable.max(1) as f64,
        points,
    })
}

/// Changes that are held, of one sign each. Windows without a level end nothing unless they last as long as a change.
fn episodes(day: &Day<'_>, points: &[StPoint], reference_mv: f32, length: i64) -> Vec<StEpisode> {
    let settings = day.reading().settings;
    let (hold, whole) = (
        day.reading().recording.rate.samples_from_seconds(settings.st_hold_s),
        day.reading().recording.whole(),
    );
    let away = |p: &StPoint| p.level_mv - reference_mv;
    // Levels are whole microvolts; half of one keeps the limit itself inside.
    let sign = |p: &StPoint| match away(p) {
        x if f64::from(x.abs()) + 5e-4 < settings.st_change_mv => 0,
        x => x.signum() as i32,
    };
    let mut found: Vec<(i32, StEpisode)> = Vec::new();
    let follows = |a: &StPoint, b: &StPoint| sign(a) == sign(b) && b.start - (a.start + length) < hold;
    for part in points.chunk_by(follows) {
        let (first, last) = (&part[0], &part[part.len() - 1]);
        let span = Span::new(first.start, last.start + length).overlap(whole);
        if sign(first) == 0 || span.len() < hold {
            continue;
        }
        let Some(far) = part.iter().rev().max_by(|a, b| away(a).abs().total_cmp(&away(b).abs())) else {
            continue;
        };
        let place = Span::new(far.start, far.start + length).overlap(whole);
        let episode = StEpisode { span, extreme_mv: away(far), place };
        match found.last_mut() {
            Some((before, last)) if *before == sign(first) && span.start - last.span.end < hold => {
                last.span.end = span.end;
                if episode.extreme_mv.abs() > last.extreme_mv.abs() {
                    (last.extreme_mv, last.place) = (episode.extreme_mv, place);
                }
            }
            _ => found.push((sign(first), episode)),
        }
    }
    found.into_iter().map(|(_, episode)| episode).collect()
}

#[cfg(test)]
#[path = "st_tests.rs"]
mod tests;
