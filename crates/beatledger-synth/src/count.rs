//! Figures counted straight from the truth, by plain code of their own: nothing here calls the analysis.

use beatledger_core::model::{BeatClass, EventKind, LocalTime, Recording};

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

fn put(
    out: &mut Vec<TruthFigure>,
    family: &'static str,
    key: &'static str,
    name: &'static str,
    value: impl Into<Option<f64>>,
    unit: &'static str,
) {
    out.push(TruthFigure { key, family, name, value: value.into(), unit });
}

fn readable_time(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let hours = |samples: i64| recording.rate.seconds_from_samples(samples) / 3600.0;
    let dark: i64 = truth.unreadable.iter().map(|s| s.len()).sum();
    let longest = truth.unreadable.iter().map(|s| s.len()).max().unwrap_or(0);
    let worn_h = recording.hours();
    let readable_h = worn_h - hours(dark);
    let family = "Readable time";
    put(out, family, "worn_h", "Worn", worn_h, "h");
    put(out, family, "readable_h", "Readable", readable_h, "h");
    put(out, family, "readable_percent", "Readable share", 100.0 * readable_h / worn_h, "%");
    put(out, family, "longest_gap_min", "Longest unreadable stretch", hours(longest) * 60.0, "min");
}

fn rate(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let night = |h: u32| h >= NIGHT_H.0 || h < NIGHT_H.1;
    let beats = truth.beats.iter().filter(|b| b.readable).count();
    put(out, "Rate", "beats_total", "Beats", beats as f64, "");
    put(out, "Rate", "mean_bpm", "Mean rate", mean_bpm(truth, recording, |_| true), "bpm");
    put(out, "Rate", "day_mean_bpm", "Mean rate by day", mean_bpm(truth, recording, |h| !night(h)), "bpm");
    put(out, "Rate", "night_mean_bpm", "Mean rate by night", mean_bpm(truth, recording, night), "bpm");
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
    let family = "Ectopy";
    put(out, family, "v_beats", "Ventricular beats", of(BeatClass::V), "");
    put(out, family, "v_percent", "Ventricular share", 100.0 * of(BeatClass::V) / total, "%");
    put(out, family, "v_singles", "Ventricular singles", with(&v, 1), "");
    put(out, family, "v_couplets", "Ventricular couplets", with(&v, 2), "");
    put(out, family, "v_runs", "Ventricular runs", runs(&v), "");
    put(out, family, "v_longest_run_beats", "Longest ventricular run", longest(&v), "beats");
    put(out, family, "v_fastest_run_bpm", "Fastest ventricular run", fastest(&v), "bpm");
    put(out, family, "v_bigeminy_episodes", "Bigeminy episodes", gemini(truth, 2) as f64, "");
    put(out, family, "v_trigeminy_episodes", "Trigeminy episodes", gemini(truth, 3) as f64, "");
    let interpolated = truth.beats.iter().filter(|b| b.readable && b.kind == BeatKind::Interpolated).count();
    put(out, family, "v_interpolated", "Interpolated ventricular beats", interpolated as f64, "");
    put(out, family, "f_beats", "Fusion beats", of(BeatClass::F), "");
    put(out, family, "s_beats", "Supraventricular ectopic beats", of(BeatClass::S), "");
    put(out, family, "s_percent", "Supraventricular ectopic share", 100.0 * of(BeatClass::S) / total, "%");
    put(out, family, "s_singles", "Supraventricular singles", with(&s, 1), "");
    put(out, family, "s_couplets", "Supraventricular couplets", with(&s, 2), "");
    put(out, family, "s_runs", "Supraventricular runs", runs(&s), "");
    put(out, family, "s_longest_run_beats", "Longest supraventricular run", longest(&s), "beats");
    put(out, family, "s_fastest_run_bpm", "Fastest supraventricular run", fastest(&s), "bpm");
    put(out, family, "q_beats", "Unclassifiable beats", of(BeatClass::Q), "");
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
    let family = "Rhythm";
    put(out, family, "vt_runs", "Ventricular tachycardia", vt as f64, "");
    put(out, family, "af_episodes", "Atrial fibrillation episodes", af.len() as f64, "");
    put(out, family, "af_min", "Atrial fibrillation", minutes(total), "min");
    put(out, family, "af_percent", "Atrial fibrillation share", 100.0 * total as f64 / readable as f64, "%");
    let longest = af.iter().max().map_or(0.0, |n| minutes(*n));
    put(out, family, "af_longest_min", "Longest atrial fibrillation", longest, "min");
    let dropped = truth.of_kind(EventKind::DroppedBeatCandidate).count();
    put(out, family, "dropped_candidates", "Dropped-beat candidates", dropped as f64, "");
}

fn pauses(truth: &Truth, recording: &Recording, out: &mut Vec<TruthFigure>) {
    let rr_ms: Vec<f64> = intervals(truth).map(|(_, rr)| recording.rate.ms_from_samples(rr)).collect();
    let at_least = |limit: f64| rr_ms.iter().filter(|rr| **rr >= limit).count() as f64;
    put(out, "Pauses", "pauses", "Pauses", at_least(PAUSE_MS), "");
    put(out, "Pauses", "pauses_critical", "Pauses of 3 s and more", at_least(CRITICAL_PAUSE_MS), "");
    put(out, "Pauses", "longest_rr_ms", "Longest RR", rr_ms.iter().copied().reduce(f64::max), "ms");
}
