//! The rate trend for drawing: one point a minute.

use crate::measure::Day;
use crate::measure::rate::Intervals;

/// `(sample, min, mean, max bpm)` a minute of the recording: the mean over all RR intervals that begin in it, the
/// extremes over its rate windows. Minutes without an interval are left out.
pub fn trend(day: &Day<'_>) -> Vec<(i64, f32, f32, f32)> {
    let columns = &day.columns;
    let per_minute = day.reading().recording.rate.samples_from_seconds(60.0).max(1);
    let mut points = Vec::new();
    let mut window = 0;
    let mut at = 1;
    while at < columns.len() {
        let minute = columns.samples[at - 1].div_euclid(per_minute);
        let end = (minute + 1) * per_minute;
        let mut intervals = Intervals::default();
        while at < columns.len() && columns.samples[at - 1] < end {
            if columns.joined(at) {
                intervals.add(columns.samples[at] - columns.samples[at - 1]);
            }
            at += 1;
        }
        let mean = intervals.mean_bpm(day);
        let (mut min, mut max) = (f64::INFINITY, f64::NEG_INFINITY);
        while window < day.windows.len() && columns.samples[day.windows[window].first] < end {
            let bpm = day.windows[window].bpm;
            (min, max) = (min.min(bpm), max.max(bpm));
            window += 1;
        }
        if let Some(mean) = mean {
            points.push((minute * per_minute, min.min(mean) as f32, mean as f32, max.max(mean) as f32));
        }
    }
    points
}
