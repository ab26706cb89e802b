//! Lowest and highest value of every block of samples, per lead, in blocks of 16, 64, 256 ... samples:
//! what a day strip of any row length needs to be drawn at once.
//!
//! Values are the tracing as drawn (filtered, not inverted) in microvolts. A block without any sample has no
//! value. A column that is wider than a block is exact to one block at either side.

use beatledger_core::condition;
use beatledger_core::model::{Progress, Recording, Span};
use beatledger_core::settings::Settings;
use rayon::prelude::*;

/// Lowest and highest value of one stretch, µV; low above high where there is no sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Pair {
    low_uv: i16,
    high_uv: i16,
}

const EMPTY: Pair = Pair { low_uv: i16::MAX, high_uv: i16::MIN };

impl Pair {
    fn of_mv(values_mv: &[f32]) -> Self {
        values_mv.iter().filter(|v| v.is_finite()).fold(EMPTY, |pair, v| {
            // A float is cut to the range of i16 by `as`, so that +-32.7 mV is the most that can be shown.
            let uv = (v * 1000.0).round() as i16;
            Self { low_uv: pair.low_uv.min(uv), high_uv: pair.high_uv.max(uv) }
        })
    }

    fn join(pairs: &[Pair]) -> Self {
        pairs
            .iter()
            .fold(EMPTY, |a, b| Self { low_uv: a.low_uv.min(b.low_uv), high_uv: a.high_uv.max(b.high_uv) })
    }
}

/// Lowest and highest value of one column of pixels, mV; NaN where there is no sample.
pub type Column = (f32, f32);

/// Blocks of one length, in order.
#[derive(Debug)]
struct Level {
    block_samples: i64,
    pairs: Vec<Pair>,
}

/// The pyramid of a recording under given filters.
#[derive(Debug)]
pub struct Pyramid {
    leads: Vec<Vec<Level>>,
}

/// Samples in a block of the lowest level.
const BASE_SAMPLES: i64 = 16;
/// Blocks that make one of the next level.
const FACTOR: usize = 4;
/// Samples read at a time; the limits do not depend on the number of threads.
const CHUNK_SAMPLES: i64 = 1 << 18;

impl Pyramid {
    /// Builds it off the UI thread; `None` when `progress` was cancelled.
    pub fn build(recording: &Recording, settings: &Settings, progress: &Progress) -> Option<Self> {
        let chunks = (recording.samples.max(0) + CHUNK_SAMPLES - 1) / CHUNK_SAMPLES;
        let leads = (0..recording.leads.len())
            .map(|lead| {
                let parts: Option<Vec<Vec<Pair>>> = (0..chunks)
                    .into_par_iter()
                    .map(|chunk| {
                        let start = chunk * CHUNK_SAMPLES;
                        let span = Span::new(start, (start + CHUNK_SAMPLES).min(recording.samples));
                        let mut mv = Vec::new();
                        (!progress.is_cancelled()).then(|| {
                            condition::display_mv(recording, lead, span, settings, &mut mv);
                            mv.chunks(BASE_SAMPLES as usize).map(Pair::of_mv).collect()
                        })
                    })
                    .collect();
                parts.map(|parts| levels(parts.concat()))
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { leads })
    }

    /// Columns of `span` on `lead`, or `None` when a column is narrower than the smallest block and the
    /// samples themselves should be read, see [`direct_columns`].
    pub fn columns(&self, lead: usize, span: Span, columns: usize) -> Option<Vec<Column>> {
        let per_column = span.len() as f64 / columns.max(1) as f64;
        let level = self.leads.get(lead)?.iter().rev().find(|l| l.block_samples as f64 <= per_column)?;
        let mut out = Vec::with_capacity(columns);
        for column in 0..columns {
            let from = span.start as f64 + column as f64 * per_column;
            let block = |sample: f64| (sample / level.block_samples as f64).max(0.0) as usize;
            let (first, last) = (block(from), block(from + per_column).max(block(from) + 1));
            let pairs = level.pairs.get(first.min(level.pairs.len())..last.min(level.pairs.len()));
            let pair = if from + per_column < 0.0 { EMPTY } else { Pair::join(pairs.unwrap_or_default()) };
            out.push(if pair.low_uv > pair.high_uv {
                (f32::NAN, f32::NAN)
            } else {
                (f32::from(pair.low_uv) / 1000.0, f32::from(pair.high_uv) / 1000.0)
            });
        }
        join_neighbours(&mut out);
        Some(out)
    }
}

fn levels(base: Vec<Pair>) -> Vec<Level> {
    let mut levels = vec![Level { block_samples: BASE_SAMPLES, pairs: base }];
    while let Some(last) = levels.last().filter(|l| l.pairs.len() > FACTOR) {
        let pairs = last.pairs.chunks(FACTOR).map(Pair::join).collect();
        let block_samples = last.block_samples * FACTOR as i64;
        levels.push(Level { block_samples, pairs });
    }
    levels
}

/// Columns of `span` read from the samples themselves: exact, for short rows and until the pyramid is there.
pub fn direct_columns(
    recording: &Recording,
    settings: &Settings,
    lead: usize,
    span: Span,
    columns: usize,
) -> Vec<Column> {
    let mut mv = Vec::new();
    if lead < recording.leads.len() {
        // One more sample on either side, so that the line reaches both edges.
        condition::display_mv(recording, lead, Span::new(span.start - 1, span.end + 2), settings, &mut mv);
    }
    columns_of(&mv, 1.0, span.len() as f64 / columns.max(1) as f64, columns)
}

/// Columns of a row of values: column `i` covers the line from value `from + i * per_column` on.
pub fn columns_of(values: &[f32], from: f64, per_column: f64, columns: usize) -> Vec<Column> {
    let value_at = |place: f64| -> f32 {
        let (index, share) = (place.floor().max(0.0) as usize, place.fract() as f32);
        match (values.get(index), values.get(index + 1)) {
            (Some(a), Some(b)) => a + (b - a) * share,
            _ => f32::NAN,
        }
    };
    (0..columns)
        .map(|column| {
            let (from, to) = (from + column as f64 * per_column, from + (column + 1) as f64 * per_column);
            let inner = (from.ceil() as usize)..(to.floor() as usize + 1).min(values.len());
            let ends = [value_at(from), value_at(to)];
            let all = values.get(inner).unwrap_or_default().iter().chain(&ends).filter(|v| v.is_finite());
            let (low, high) = all.fold((f32::MAX, f32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
            if low > high { (f32::NAN, f32::NAN) } else { (low, high) }
        })
        .collect()
}

/// Widens each column so that it touches the one before: a tracing is a line, not a row of bars.
fn join_neighbours(columns: &mut [Column]) {
    for i in 1..columns.len() {
        let (before, now) = (columns[i - 1], columns[i]);
        if before.0 > now.1 {
            columns[i].1 = before.0;
        } else if before.1 < now.0 {
            columns[i].0 = before.1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests::made::MadeDay;

    #[test]
    fn a_column_shows_the_lowest_and_highest_sample_in_it() {
        let day = MadeDay::minutes(2).snapshot();
        let (recording, settings) = (&day.recording, &day.settings);
        let pyramid = Pyramid::build(recording, settings, &Progress::default()).unwrap();
        let span = Span::new(1024, 1024 + 64 * 40);
        let columns = pyramid.columns(0, span, 40).unwrap();
        let mut mv = Vec::new();
        condition::display_mv(recording, 0, span, settings, &mut mv);
        for (column, values) in columns.iter().zip(mv.chunks(64)) {
            let high = values.iter().copied().fold(f32::MIN, f32::max);
            assert!(column.1 >= high - 0.002, "{column:?} misses {high} mV");
        }
        let tallest = mv.iter().copied().fold(f32::MIN, f32::max);
        assert!(columns.iter().all(|c| c.1 <= tallest + 0.002));
    }

    #[test]
    fn narrow_columns_are_left_to_the_samples_and_time_outside_has_no_value() {
        let day = MadeDay::minutes(1).snapshot();
        let pyramid = Pyramid::build(&day.recording, &day.settings, &Progress::default()).unwrap();
        assert!(pyramid.columns(0, Span::new(0, 100), 100).is_none());
        let before = pyramid.columns(0, Span::new(-6400, -3200), 10).unwrap();
        assert!(before[..9].iter().all(|c| c.0.is_nan()), "{before:?}");
        let late = direct_columns(&day.recording, &day.settings, 0, Span::new(1 << 40, (1 << 40) + 64), 8);
        assert!(late.iter().all(|c| c.0.is_nan()));
    }

    #[test]
    fn a_cancelled_build_gives_nothing() {
        let day = MadeDay::minutes(1).snapshot();
        let progress = Progress::default();
        progress.cancel();
        assert!(Pyramid::build(&day.recording, &day.settings, &progress).is_none());
    }
}
