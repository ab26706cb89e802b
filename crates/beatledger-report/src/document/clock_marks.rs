//! Clock marks below a chart of the day.

use beatledger_core::model::Recording;

use crate::values::date_text;

/// Clock marks at whole hours, as many as a page takes.
pub(super) fn ticks(recording: &Recording) -> Vec<(f64, String)> {
    let hours = recording.hours();
    let step_h: f64 = match hours {
        h if h <= 0.25 => 1.0 / 60.0,
        h if h <= 1.0 => 1.0 / 6.0,
        h if h <= 3.0 => 0.5,
        h if h <= 12.0 => 1.0,
        h if h <= 30.0 => 2.0,
        h if h <= 60.0 => 4.0,
        _ => 24.0,
    };
    // A recording of months would ask for thousands of marks; the step then follows the length.
    let step_h = step_h.max((hours / 40.0 / 24.0).ceil() * if hours > 960.0 { 24.0 } else { 0.0 });
    let start_h = recording.start.map_or(0.0, |s| s.ms_of_day() as f64 / 3_600_000.0);
    let mut out = Vec::new();
    let mut at = (start_h / step_h).ceil() * step_h;
    while at <= start_h + hours + 1e-9 {
        let minutes = (at * 60.0).round() as i64;
        let text = match recording.local_time(recording.rate.samples_from_seconds((at - start_h) * 3600.0)) {
            // Steps of whole days fall on midnight, where the day says more than the hour.
            Some(time) if step_h >= 24.0 => date_text(time).get(5..).unwrap_or_default().to_owned(),
            Some(_) => format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60),
            None => format!("+{}:{:02}", minutes / 60, minutes % 60),
        };
        out.push((at - start_h, text));
        at += step_h;
    }
    out
}
