//! Long intervals named from the P waves inside them (definitions: 2018 ACC/AHA/HRS bradycardia guideline, second hand).

use super::calibration::{
    BEATS_BEFORE, CYCLES_AFTER_S, CYCLES_BEFORE_S, EARLY_P, FEWEST_USUAL, LEAST_GAP, LONG_INTERVAL,
    MOST_CYCLES, MULTIPLE, NEAR_BEATS, ON_TIME, P_SHOWN, PR_SAME_S, PR_STEP_S, SHORT_SHARE, USUAL_WITHIN,
};
use super::p_waves::PWaves;
use crate::model::{Conducted, Conduction, FoundBeat, Span};
use crate::statistics;

/// What is known of one beat.
#[derive(Clone, Copy)]
struct Seen {
    beat: i64,
    is_supraventricular: bool,
    /// Its P wave.
    p: Option<i64>,
}

impl Seen {
    fn pr(&self) -> Option<f64> {
        self.p.map(|p| (self.beat - p) as f64)
    }
}

/// The intervals that end in `span` and have a name.
pub(super) fn named(p: &PWaves, beats: &[FoundBeat], span: Span) -> Vec<Conducted> {
    let first = beats.partition_point(|b| b.sample < span.start).saturating_sub(2 * BEATS_BEFORE);
    let last = beats.partition_point(|b| b.sample < span.end);
    let seen: Vec<Seen> = beats[first..last]
        .iter()
        .map(|b| Seen {
            beat: b.sample,
            is_supraventricular: b.class.is_supraventricular(),
            p: p.conducted(b.sample),
        })
        .collect();
    let shown = seen.iter().filter(|s| s.p.is_some()).count() as f64 >= P_SHOWN * seen.len() as f64;
    let mut out = Vec::new();
    let mut before: Option<Conduction> = None;
    for i in 1..seen.len() {
        let finding = if shown { name(p, &seen, i) } else { None };
        if let Some((finding, count)) = finding.filter(|_| seen[i].beat >= span.start) {
            // Every second P wave in a row cannot be told to be of either type.
            let finding = match (finding, before) {
                (Conduction::MobitzOne | Conduction::MobitzTwo | Conduction::NotTold, Some(_))
                    if count == 1 =>
                {
                    Conduction::TwoToOne
                }
                (finding, _) => finding,
            };
            out.push(Conducted { span: Span::new(seen[i - 1].beat, seen[i].beat + 1), finding, count });
        }
        before = finding.map(|f| f.0).filter(|f| *f != Conduction::ExitBlock);
    }
    out
}

/// The name of the interval before beat `i`, and how many P waves or cycles were not conducted.
fn name(p: &PWaves, seen: &[Seen], i: usize) -> Option<(Conduction, u32)> {
    let (before, after) = (seen[i - 1], seen[i]);
    let interval = (after.beat - before.beat) as f64;
    let from = before.p.filter(|_| before.is_supraventricular && p.is_clear(before.beat, after.beat))?;
    let usual = usual_cycle(p, before.beat)?;
    if interval < LEAST_GAP * usual || !has_usual(seen, i, usual) {
        return None;
    }
    let until = after.p.unwrap_or(after.beat);
    let extra: Vec<i64> = p.between(before.beat + 1, until).to_vec();
    match extra[..] {
        [] => {
            // Where the P wave that is not there could not be seen, nothing is told.
            let expected = from + usual as i64;
            let is_longer = |earlier: &Seen| interval > LONG_INTERVAL * (before.beat - earlier.beat) as f64;
            let stands_out = i.checked_sub(2).is_some_and(|i| is_longer(&seen[i]));
            (stands_out && !p.is_hidden(expected)).then(|| exit_block(from, after.p?, usual)).flatten()
        }
        [_] if !is_long(seen, i) => None,
        [one] => Some((one_blocked(p.hz, seen, i, (one - from) as f64, usual), 1)),
        _ => {
            let steady = |pair: &[i64]| ((pair[1] - pair[0]) as f64 - usual).abs() <= ON_TIME * usual;
            let all: Vec<i64> = std::iter::once(from).chain(extra.iter().copied()).collect();
            let finding = if all.windows(2).all(steady) { Conduction::Advanced } else { Conduction::NotTold };
            Some((finding, extra.len() as u32))
        }
    }
}

/// True where some interval near beat `i` is a usual one, conducted one to one: what passes for P waves twice as often as beats
/// come is no atrial rhythm.
fn has_usual(seen: &[Seen], i: usize, usual: f64) -> bool {
    near(seen, i).any(|interval| (interval - usual).abs() <= USUAL_WITHIN * usual)
}

/// True where the interval before beat `i` is long among those around it between beats that the atria drive.
fn is_long(seen: &[Seen], i: usize) -> bool {
    let short = statistics::quantile(near(seen, i), SHORT_SHARE).unwrap_or(f64::INFINITY);
    (seen[i].beat - seen[i - 1].beat) as f64 >= LEAST_GAP * short
}

/// Intervals between beats that the atria drive, near beat `i`.
fn near(seen: &[Seen], i: usize) -> impl Iterator<Item = f64> {
    let part = &seen[i.saturating_sub(NEAR_BEATS)..(i + NEAR_BEATS).min(seen.len())];
    part.windows(2)
        .filter(|w| w[0].is_supraventricular && w[1].is_supraventricular)
        .map(|w| (w[1].beat - w[0].beat) as f64)
}

/// The usual P-P interval around a place, samples: that of neighbouring P waves, conducted or not.
pub(super) fn usual_cycle(p: &PWaves, at: i64) -> Option<f64> {
    let reach = |seconds: f64| (seconds * p.hz) as i64;
    let near = p.between(at - reach(CYCLES_BEFORE_S), at + reach(CYCLES_AFTER_S));
    let mut cycles: Vec<f64> = near.windows(2).map(|w| (w[1] - w[0]) as f64).collect();
    // Where one was not seen, the distance is no cycle.
    let shortest = statistics::quantile(cycles.iter().copied(), SHORT_SHARE)?;
    cycles.retain(|c| *c < LONG_INTERVAL * shortest && *c > shortest / LONG_INTERVAL);
    (cycles.len() >= FEWEST_USUAL).then(|| statistics::median(&mut cycles)).flatten()
}

fn exit_block(from: i64, to: i64, usual: f64) -> Option<(Conduction, u32)> {
    let times = (to - from) as f64 / usual;
    let whole = times.round();
    let is_multiple = (2.0..=MOST_CYCLES).contains(&whole) && (times - whole).abs() <= MULTIPLE;
    is_multiple.then(|| (Conduction::ExitBlock, whole as u32 - 1))
}

/// One P wave without a complex, `after` samples after the last conducted one.
fn one_blocked(hz: f64, seen: &[Seen], i: usize, after: f64, usual: f64) -> Conduction {
    if after <= EARLY_P * usual {
        return Conduction::BlockedEctopy;
    }
    let (Some(last), Some(next)) = (seen[i - 1].pr(), seen[i].pr()) else { return Conduction::NotTold };
    let earlier = i.checked_sub(2).and_then(|i| seen[i].pr());
    let same = |a: f64, b: f64| (a - b).abs() <= PR_SAME_S * hz;
    if (after - usual).abs() > ON_TIME * usual {
        Conduction::NotTold
    } else if last - next >= PR_STEP_S * hz {
        Conduction::MobitzOne
    } else if same(last, next) && earlier.is_some_and(|earlier| same(earlier, last)) {
        Conduction::MobitzTwo
    } else {
        Conduction::NotTold
    }
}
