//! The course of ST on each lead, and changes of it that are held.
//!
//! The level of a window of 15 s is the median over its narrow N beats of fair signal, in seconds of good quality on
//! that lead; a window whose beats lie so far apart that the median is uncertain has none. A change is a level `st_change_mv`
//! or further from the reference for `st_hold_s` or more, and as long from the next (the 1 x 1 x 1 rule, from memory). The
//! reference is the level of the first five minutes in which it is stable (the European ST-T Database takes the first 30 s): a
//! change that fills most of the day stays one. A change of position imitates a change of ST: what begins at the instant at
//! which QRS changes is called one of position or axis, and no cause of any other is named.
//! The sign is that of the lead in the file, whatever way up it is drawn.

use rayon::prelude::*;

use super::conduction::takes_part;
use super::found::FoundAt;
use crate::model::{
    Certainty, Event, EventKind, EventState, Lead, MS_PER_SECOND, Origin, Reading, Repolarisation,
    SECONDS_PER_MINUTE, SecondQuality, Span, StCourse, StEpisode, StLead, StPoint, UV_PER_MV, Unit,
};
use crate::statistics;

/// Length of a window, s.
const WINDOW_S: f64 = 15.0;
/// A window needs this many beats.
const FEWEST: usize = 5;
/// A course needs this many windows: five minutes.
const FEWEST_WINDOWS: usize = 20;
/// The level is stable where the middle four fifths of five minutes lie within this, mV (design choice: half of the smallest
/// change).
const STABLE_MV: f32 = 0.05;
/// QRS has changed where its height on a lead differs by this share (design choice).
const QRS_CHANGE: f32 = 0.15;
/// A height below this is none to take a share of, mV.
const LEAST_QRS_MV: f32 = 0.2;
/// So many windows before and after the begin of a change tell whether QRS changed there: a minute.
const BESIDE: usize = 4;
/// This share of a change of position is there within so many windows.
const SUDDEN_SHARE: f32 = 0.6;
/// The windows of a sudden change: from the one before its begin to this many after it.
const SUDDEN_WINDOWS: usize = 2;

/// The course of a lead in the making.
struct Made {
    points: Vec<StPoint>,
    /// Median height of QRS in each window, mV; NaN where it was not measured.
    qrs_mv: Vec<f32>,
}

/// ST of every lead; empty where nothing was measured.
pub fn leads(reading: &Reading<'_>) -> Vec<StLead> {
    let Some(found) = reading.found else { return Vec::new() };
    let usable = usable_beats(reading);
    let of_lead = |(lead, known): (usize, &Lead)| -> Result<Made, &'static str> {
        let levels = found.repolarisation.st_uv.get(lead).ok_or("ST was not measured on this lead")?;
        allowed(reading, known)?;
        let kinds = found.quality.leads.get(lead).map_or(&[][..], |q| &q.kind);
        let heights = found.repolarisation.qrs_uv.get(lead).map_or(&[][..], |h| h);
        let made = points(reading, &usable, (levels, heights), kinds);
        let enough = made.points.len() >= FEWEST_WINDOWS;
        enough.then_some(made).ok_or("fewer than 5 minutes hold enough narrow normal beats of good signal")
    };
    let made: Vec<_> = reading.recording.leads.par_iter().enumerate().map(of_lead).collect();
    let told: Vec<&Made> = made.iter().filter_map(|m| m.as_ref().ok()).collect();
    let lead = |(lead, known): (usize, &Lead)| StLead {
        lead,
        name: known.name.clone(),
        course: match &made[lead] {
            Ok(made) => {
                course(reading, made, &told).ok_or_else(|| "ST was not measured on this lead".to_owned())
            }
            Err(why) => Err((*why).to_owned()),
        },
    };
    reading.recording.leads.iter().enumerate().map(lead).collect()
}

/// Changes of ST that are held, and changes of position, as events: to be looked at before signing.
pub fn events(reading: &Reading<'_>, leads: &[StLead]) -> Vec<Event> {
    let courses = leads.iter().filter_map(|lead| Some((lead, lead.course.as_ref().ok()?)));
    let of_lead = |(lead, course): (&StLead, &StCourse)| {
        let of = |kind, episodes: &[StEpisode]| {
            let event = |e: &StEpisode| event(reading, kind, &lead.name, course, e);
            episodes.iter().map(event).collect::<Vec<_>>()
        };
        [of(EventKind::StChange, &course.episodes), of(EventKind::PositionChange, &course.positions)].concat()
    };
    courses.flat_map(of_lead).collect()
}

fn event(
    reading: &Reading<'_>,
    kind: EventKind,
    lead: &str,
    course: &StCourse,
    episode: &StEpisode,
) -> Event {
    let beats = reading.beats_in(episode.span);
    let rr: Vec<f32> = reading.rr_ms[beats.clone()].iter().copied().filter(|r| r.is_finite()).collect();
    let mean_ms = rr.iter().sum::<f32>() / rr.len() as f32;
    let since = reading.recording.clock(course.reference_place.start);
    Event {
        kind,
        span: episode.span,
        beats: (beats.start as u32, beats.end as u32),
        rate_bpm: (mean_ms > 0.0).then_some((SECONDS_PER_MINUTE * MS_PER_SECOND) as f32 / mean_ms),
        state: EventState::Unread,
        origin: Origin::Found,
        critical: kind == EventKind::StChange,
        note: format!("{lead}: {:+.2} mV at most, against the five minutes from {since}", episode.extreme_mv),
        certainty: Certainty::sure(),
    }
}

/// Whether the recorder passed what ST needs; the reason where not.
fn allowed(reading: &Reading<'_>, lead: &Lead) -> Result<(), &'static str> {
    let settings = reading.settings;
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
fn usable_beats(reading: &Reading<'_>) -> Vec<Usable> {
    let found_at = FoundAt::new(reading);
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

fn points(
    reading: &Reading<'_>,
    usable: &[Usable],
    (levels_uv, heights_uv): (&[i16], &[i16]),
    kinds: &[SecondQuality],
) -> Made {
    let length = reading.recording.rate.samples_from_seconds(WINDOW_S).max(1);
    // A quality that is not known is not held against a lead.
    let is_good = |beat: &&Usable| kinds.is_empty() || kinds.get(beat.second) == Some(&SecondQuality::Good);
    let most_uv = 1000.0 * reading.settings.st_uncertain_mv;
    let mut made = Made { points: Vec::new(), qrs_mv: Vec::new() };
    let mut levels: Vec<i16> = Vec::with_capacity(64);
    let mut collect = |of: &[i16], window: &[Usable]| -> Vec<i16> {
        let known = |beat: &Usable| of.get(beat.found).copied().filter(|l| *l != Repolarisation::NO_LEVEL);
        levels.clear();
        levels.extend(window.iter().filter(is_good).filter_map(known));
        levels.clone()
    };
    for window in usable.chunk_by(|a, b| a.window == b.window) {
        let mut levels = collect(levels_uv, window);
        if levels.len() < FEWEST {
            continue;
        }
        let (level_uv, uncertain_uv) = median(&mut levels);
        if uncertain_uv <= most_uv {
            let beats = levels.len().min(usize::from(u16::MAX)) as u16;
            let level_mv = f32::from(level_uv) / UV_PER_MV as f32;
            made.points.push(StPoint { start: window[0].window * length, level_mv, beats });
            let height = statistics::upper_median(&mut collect(heights_uv, window));
            made.qrs_mv.push(height.map_or(f32::NAN, |h| f32::from(h) / UV_PER_MV as f32));
        }
    }
    made
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

/// The course of a lead; `all` are the leads that have one.
fn course(reading: &Reading<'_>, made: &Made, all: &[&Made]) -> Option<StCourse> {
    let points = &made.points;
    let (rate, whole) = (reading.recording.rate, reading.recording.whole());
    let length = rate.samples_from_seconds(WINDOW_S).max(1);
    let span = |p: &StPoint| Span::new(p.start, p.start + length).overlap(whole);
    let (stable, reference_mv) = reference(points)?;
    let lowest = points.iter().min_by(|a, b| a.level_mv.total_cmp(&b.level_mv))?;
    let highest = points.iter().rev().max_by(|a, b| a.level_mv.total_cmp(&b.level_mv))?;
    let covered: i64 = points.iter().map(|p| reading.readable_samples(span(p))).sum();
    let readable = reading.readable_samples(whole);
    let is_position =
        |e: &StEpisode| is_sudden(points, e) && all.iter().any(|lead| qrs_changes(lead, e.span.start));
    let (positions, episodes) =
        episodes(reading, points, reference_mv, length).into_iter().partition(|e| is_position(e));
    Some(StCourse {
        reference_mv,
        reference_place: Span::new(points[stable.start].start, points[stable.end - 1].start + length)
            .overlap(whole),
        lowest: (lowest.level_mv, span(lowest)),
        highest: (highest.level_mv, span(highest)),
        episodes,
        positions,
        readable_percent: 100.0 * covered as f64 / readable.max(1) as f64,
        points: points.clone(),
    })
}

/// The first five minutes of points whose level is stable, else the most stable ones, and their median level, mV.
fn reference(points: &[StPoint]) -> Option<(std::ops::Range<usize>, f32)> {
    let spread = |window: &[StPoint]| {
        let of = |share| statistics::quantile(window.iter().map(|p| p.level_mv), share).unwrap_or(0.0);
        of(0.9) - of(0.1)
    };
    let spreads: Vec<f32> = points.windows(FEWEST_WINDOWS).map(spread).collect();
    let least = || spreads.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map(|(at, _)| at);
    let at = spreads.iter().position(|s| *s <= STABLE_MV).or_else(least)?;
    let stable = at..at + FEWEST_WINDOWS;
    let mut levels: Vec<f32> = points[stable.clone()].iter().map(|p| p.level_mv).collect();
    Some((stable, statistics::upper_median(&mut levels)?))
}

/// True where most of a change is there at once.
fn is_sudden(points: &[StPoint], episode: &StEpisode) -> bool {
    let first = points.partition_point(|p| p.start < episode.span.start);
    let after = points.get(first + SUDDEN_WINDOWS).or(points.last()).map_or(0.0, |p| p.level_mv);
    first.checked_sub(1).is_some_and(|before| {
        (after - points[before].level_mv).abs() >= SUDDEN_SHARE * episode.extreme_mv.abs()
    })
}

/// True where the height of QRS on a lead is another after a place than before it.
fn qrs_changes(lead: &Made, at: i64) -> bool {
    let first = lead.points.partition_point(|p| p.start < at);
    let median = |part: &[f32]| {
        let mut known: Vec<f32> = part.iter().copied().filter(|h| h.is_finite()).collect();
        statistics::upper_median(&mut known)
    };
    let before = median(&lead.qrs_mv[first.saturating_sub(BESIDE)..first]);
    let after =
        median(&lead.qrs_mv[(first + 1).min(lead.qrs_mv.len())..(first + 1 + BESIDE).min(lead.qrs_mv.len())]);
    before.zip(after).is_some_and(|(before, after)| {
        let larger = before.abs().max(after.abs());
        larger >= LEAST_QRS_MV && (before - after).abs() >= QRS_CHANGE * larger
    })
}

/// Changes that are held, of one sign each: from where the level is half of the limit away to where it is so no more, and beyond
/// the limit for half of the time in one piece (European ST-T Database annotation rule, from memory). Windows without a level
/// end nothing unless they last as long as a change.
fn episodes(reading: &Reading<'_>, points: &[StPoint], reference_mv: f32, length: i64) -> Vec<StEpisode> {
    let settings = reading.settings;
    let (hold, whole) =
        (reading.recording.rate.samples_from_seconds(settings.st_hold_s), reading.recording.whole());
    let away = |p: &StPoint| p.level_mv - reference_mv;
    // Levels are whole microvolts; half of one keeps the limit itself inside.
    let is_beyond = |p: &StPoint, limit_mv: f64| f64::from(away(p).abs()) + 5e-4 >= limit_mv;
    let sign = |p: &StPoint| match is_beyond(p, settings.st_change_mv / 2.0) {
        false => 0,
        true => away(p).signum() as i32,
    };
    let is_held = |part: &[StPoint]| {
        let runs =
            part.chunk_by(|a, b| is_beyond(a, settings.st_change_mv) == is_beyond(b, settings.st_change_mv));
        runs.filter(|run| is_beyond(&run[0], settings.st_change_mv))
            .any(|run| 2 * (run[run.len() - 1].start + length - run[0].start) >= hold)
    };
    let mut found: Vec<(i32, StEpisode)> = Vec::new();
    let follows = |a: &StPoint, b: &StPoint| sign(a) == sign(b) && b.start - (a.start + length) < hold;
    for part in points.chunk_by(follows) {
        let (first, last) = (&part[0], &part[part.len() - 1]);
        let span = Span::new(first.start, last.start + length).overlap(whole);
        if sign(first) == 0 || span.len() < hold || !is_held(part) {
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
