//! Figures counted straight from the truth, by plain code of their own: nothing here calls the analysis.

use beatledger_core::model::{BeatClass, EventKind, FigureId, LocalTime, Recording};

use crate::truth::{BeatKind, Truth, TruthFigure};

/// The defaults of the settings that decide the figures.
pub(crate) const PAUSE_MS: f64 = 2000.0;
pub(crate) const CRITICAL_PAUSE_MS: f64 = 3000.0;
pub(crate) const RUN_RATE_BPM: f64 = 100.0;
pub(crate) const BIGEMINY_CYCLES: usize = 3;
pub(crate) const NIGHT_H: (u32, u32) = (23, 7);

/// Valid RR intervals: index of the first of two neighbouring readable beats, samples between them. Across
/// unreadable time and across ventricular flutter or fibrillation there is none.
pub(crate) fn intervals(truth: &Truth) -> impl Iterator<Item = (usize, i64)> + '_ {
    truth.beats.windows(2).enumerate().filter_map(|(i, pair)| {
        let (a, b) = (&pair[0], &pair[1]);
        let next = truth.unreadable.partition_point(|s| s.end <= a.sample);
        let waves = truth.ventricular.iter().any(|s| s.start < b.sample && a.sample < s.end);
        let dark = waves || truth.unreadable.get(next).is_some_and(|s| s.start < b.sample);
        (a.readable && b.readable && !dark).then_some((i, b.sample - a.sample))
    })
}

/// One row of ectopic beats: index of the first, number of beats.
struct Row {
    first: usize,
    beats: usize,
}

/// Rows of consecutive readable beats for which `belongs` holds.
fn rows(truth: &Truth, belongs: impl Fn(BeatClass) -> bool) -> Vec<Row> {
    let mut linked = vec![false; truth.beats.len()];
    for (i, _) in intervals(truth) {
        linked[i] = true;
    }
    let mut out: Vec<Row> = Vec::new();
    let mut goes_on = false;
    for (i, beat) in truth.beats.iter().enumerate() {
        let member = beat.readable && belongs(beat.class);
        match out.last_mut() {
            Some(row) if member && goes_on => row.beats += 1,
            _ if member => out.push(Row { first: i, beats: 1 }),
            _ => {}
        }
        goes_on = member && linked[i];
    }
    out
}

fn bpm_of(row: &Row, truth: &Truth, recording: &Recording) -> f64 {
    let span = truth.beats[row.first + row.beats - 1].sample - truth.beats[row.first].sample;
    60_000.0 * (row.beats - 1) as f64 / recording.rate.ms_from_samples(span)
}

/// Episodes in which every `period`-th beat is ventricular and the others are normal.
fn gemini(truth: &Truth, period: usize) -> usize {
    let valid: Vec<bool> = {
        let mut v = vec![false; truth.beats.len()];
        intervals(truth).for_each(|(i, _)| v[i] = true);
        v
    };
    let class = |i: usize| truth.beats.get(i).map(|b| b.class);
    let step = |i: usize| {
        class(i + period) == Some(BeatClass::V)
            && (1..period).all(|k| class(i + k) == Some(BeatClass::N))
            && (0..period).all(|k| valid.get(i + k) == Some(&true))
    };
    let (mut episodes, mut i) = (0, 0);
    while i < truth.beats.len() {
        if class(i) != Some(BeatClass::V) {
            i += 1;
            continue;
        }
        let mut cycles = 1;
        while step(i) {
            cycles += 1;
            i += period;
        }
        episodes += usize::from(cycles >= BIGEMINY_CYCLES);
        i += 1;
    }
    episodes
}

/// Mean rate over the valid intervals whose later beat lies in the hours `wanted`.
fn mean_bpm(truth: &Truth, recording: &Recording, wanted: impl Fn(u32) -> bool) -> Option<f64> {
    let (mut sum, mut n) = (0i64, 0u32);
    for (i, rr) in intervals(truth) {
        let at = recording.local_time(truth.beats[i + 1].sample).unwrap_or(LocalTime(0));
        if wanted(at.hour()) {
            sum += rr;
            n += 1;
        }
    }
    (n > 0).then(|| 60_000.0 * f64::from(n) / recording.rate.ms_from_samples(sum))
}

/// All figures that the truth knows exactly.
pub(crate) fn figures(truth: &Truth, recording: &Recording) -> Vec<TruthFigure> {
    let mut out = Vec::new();
    readable_time(truth, recording, &mut out);
    rate(truth, recording, &mut out);
    ectopy(truth, recording, &mut out);
    rhythm(truth, recording, &mut out);
    pauses(truth, recording, &mut out);
    out
}

fn put(out: &mut Vec<TruthFigure>, id: FigureId, value: impl Into<Option<f64>>) {
    out.push(TruthFigure { id, value: value.into() });
}

fn readable_time(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let hours = |samples: i64| recording.rate.seconds_from_samples(samples) / 3600.0;
    let dark: i64 = truth.unreadable.iter().map(|s| s.len()).sum();
    let longest = truth.unreadable.iter().map(|s| s.len()).max().unwrap_or(0);
    let worn_h = recording.hours();
    let readable_h = worn_h - hours(dark);
    put(out, FigureId::WornH, worn_h);
    put(out, FigureId::ReadableH, readable_h);
    put(out, FigureId::ReadablePercent, 100.0 * readable_h / worn_h);
    put(out, FigureId::LongestGapMin, hours(longest) * 60.0);
}

fn rate(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let night = |h: u32| h >= NIGHT_H.0 || h < NIGHT_H.1;
    let beats = truth.beats.iter().filter(|b| b.readable).count();
    put(out, FigureId::BeatsTotal, beats as f64);
    put(out, FigureId::MeanBpm, mean_bpm(truth, recording, |_| true));
    put(out, FigureId::DayMeanBpm, mean_bpm(truth, recording, |h| !night(h)));
    put(out, FigureId::NightMeanBpm, mean_bpm(truth, recording, night));
}

fn ectopy(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let of = |class| truth.beats.iter().filter(|b| b.readable && b.class == class).count() as f64;
    let total = truth.beats.iter().filter(|b| b.readable).count().max(1) as f64;
    let v = rows(truth, BeatClass::is_ventricular);
    let s = rows(truth, |c| c == BeatClass::S);
    let with = |rows: &[Row], beats: usize| rows.iter().filter(|r| r.beats == beats).count() as f64;
    let runs = |rows: &[Row]| rows.iter().filter(|r| r.beats >= 3).count() as f64;
    let longest =
        |rows: &[Row]| rows.iter().filter(|r| r.beats >= 3).map(|r| r.beats).max().unwrap_or(0) as f64;
    let fastest = |rows: &[Row]| {
        rows.iter().filter(|r| r.beats >= 3).map(|r| bpm_of(r, truth, recording)).reduce(f64::max)
    };
    put(out, FigureId::VBeats, of(BeatClass::V));
    put(out, FigureId::VPercent, 100.0 * of(BeatClass::V) / total);
    put(out, FigureId::VSingles, with(&v, 1));
    put(out, FigureId::VCouplets, with(&v, 2));
    put(out, FigureId::VRuns, runs(&v));
    put(out, FigureId::VLongestRunBeats, longest(&v));
    put(out, FigureId::VFastestRunBpm, fastest(&v));
    put(out, FigureId::VBigeminyEpisodes, gemini(truth, 2) as f64);
    put(out, FigureId::VTrigeminyEpisodes, gemini(truth, 3) as f64);
    let interpolated = truth.beats.iter().filter(|b| b.readable && b.kind == BeatKind::Interpolated).count();
    put(out, FigureId::VInterpolated, interpolated as f64);
    put(out, FigureId::FBeats, of(BeatClass::F));
    put(out, FigureId::SBeats, of(BeatClass::S));
    put(out, FigureId::SPercent, 100.0 * of(BeatClass::S) / total);
    put(out, FigureId::SSingles, with(&s, 1));
    put(out, FigureId::SCouplets, with(&s, 2));
    put(out, FigureId::SRuns, runs(&s));
    put(out, FigureId::SLongestRunBeats, longest(&s));
    put(out, FigureId::SFastestRunBpm, fastest(&s));
    put(out, FigureId::QBeats, of(BeatClass::Q));
}

fn rhythm(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let minutes = |samples: i64| recording.rate.seconds_from_samples(samples) / 60.0;
    let vt = rows(truth, BeatClass::is_ventricular)
        .iter()
        .filter(|r| r.beats >= 3 && bpm_of(r, truth, recording) > RUN_RATE_BPM)
        .count();
    let af: Vec<i64> = truth
        .of_kind(EventKind::AtrialFibrillation)
        .map(|e| e.span.len() - e.span.covered_by(&truth.unreadable))
        .collect();
    let dark: i64 = truth.unreadable.iter().map(|s| s.len()).sum();
    let readable = (recording.samples - dark).max(1);
    let total: i64 = af.iter().sum();
    put(out, FigureId::VtRuns, vt as f64);
    put(out, FigureId::AfEpisodes, af.len() as f64);
    put(out, FigureId::AfMin, minutes(total));
    put(out, FigureId::AfPercent, 100.0 * total as f64 / readable as f64);
    let longest = af.iter().max().map_or(0.0, |n| minutes(*n));
    put(out, FigureId::AfLongestMin, longest);
    let dropped = truth.of_kind(EventKind::DroppedBeatCandidate).count();
    put(out, FigureId::DroppedCandidates, dropped as f64);
}

fn pauses(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let rr_ms: Vec<f64> = intervals(truth).map(|(_, rr)| recording.rate.ms_from_samples(rr)).collect();
    let at_least = |limit: f64| rr_ms.iter().filter(|rr| **rr >= limit).count() as f64;
    put(out, FigureId::Pauses, at_least(PAUSE_MS));
    put(out, FigureId::PausesCritical, at_least(CRITICAL_PAUSE_MS));
    put(out, FigureId::LongestRrMs, rr_ms.iter().copied().reduce(f64::max));
}
