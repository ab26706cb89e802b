//! The course of ST over the day: a plot a lead, with the changes that are held.

use beatledger_core::model::{StCourse, StLead, StPoint};
use beatledger_core::session::Snapshot;

use super::clock_marks::ticks;
use super::tree::{StChart, StPlot};

/// The axis shows at least this much to either side of the reference, mV: twice the limit of a change.
const LEAST_MV: f64 = 0.2;
/// And this much beyond the levels, mV.
const MARGIN_MV: f64 = 0.02;

/// The course of ST of every lead that has one; `None` where none has.
pub fn st_chart(snapshot: &Snapshot) -> Option<StChart> {
    let recording = &*snapshot.recording;
    let hour = |sample: i64| recording.rate.seconds_from_samples(sample) / 3600.0;
    let plot = |lead: &StLead| {
        let course = lead.course.as_ref().ok()?;
        let changes = course.episodes.iter().map(|e| ((hour(e.span.start), hour(e.span.end)), e.extreme_mv));
        Some(StPlot {
            name: lead.name.clone(),
            range_mv: range_mv(course),
            reference_mv: f64::from(course.reference_mv),
            pieces: pieces(&course.points, hour),
            changes: changes.collect(),
            words: words(lead, course),
        })
    };
    let leads: Vec<StPlot> = snapshot.summary.st.iter().filter_map(plot).collect();
    (!leads.is_empty()).then(|| StChart {
        hours: recording.hours(),
        ticks: ticks(recording),
        unreadable: snapshot.unreadable.iter().map(|s| (hour(s.start), hour(s.end))).collect(),
        leads,
    })
}

/// Limits of the axis: whole tenths of a mV around the reference and all levels.
fn range_mv(course: &StCourse) -> (f64, f64) {
    let reference = f64::from(course.reference_mv);
    let low = f64::from(course.lowest.0).min(reference - LEAST_MV);
    let high = f64::from(course.highest.0).max(reference + LEAST_MV);
    (((low - MARGIN_MV) * 10.0).floor() / 10.0, ((high + MARGIN_MV) * 10.0).ceil() / 10.0)
}

/// One point a minute, the mean of its windows; a minute without a level breaks the line.
fn pieces(points: &[StPoint], hour: impl Fn(i64) -> f64) -> Vec<Vec<(f64, f32)>> {
    let minute = |p: &StPoint| (hour(p.start) * 60.0 + 1e-6).floor() as i64;
    let mut out: Vec<Vec<(f64, f32)>> = Vec::new();
    let mut last = i64::MIN;
    for part in points.chunk_by(|a, b| minute(a) == minute(b)) {
        let now = minute(&part[0]);
        let level = part.iter().map(|p| p.level_mv).sum::<f32>() / part.len() as f32;
        if out.is_empty() || now - last > 1 {
            out.push(Vec::new());
        }
        if let Some(piece) = out.last_mut() {
            // A point stands for its minute and is drawn in the middle of it.
            piece.push(((now as f64 + 0.5) / 60.0, level));
        }
        last = now;
    }
    out
}

fn words(lead: &StLead, course: &StCourse) -> String {
    let changes = match course.episodes.len() {
        0 => "no ST change".to_owned(),
        1 => "1 ST change".to_owned(),
        n => format!("{n} ST changes"),
    };
    format!(
        "ST level of the day on {}: from {:.2} to {:.2} mV, reference {:.2} mV, {changes}",
        lead.name, course.lowest.0, course.highest.0, course.reference_mv
    )
}
