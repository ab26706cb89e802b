//! Figures of ST, of the T wave and of symptoms, in the order of the catalogue.

use std::sync::Arc;

use super::figure_list::{FigureList, by_events, by_span};
use super::rows::Rows;
use crate::measure::Day;
use crate::model::{EventKind, FigureId, Proof, Span, StEpisode};

/// ST over all leads.
pub fn st_of(day: &Day<'_>, rows: &Rows, list: &mut FigureList) {
    let courses = || rows.st.iter().filter_map(|lead| lead.course.as_ref().ok());
    let leads = courses().count();
    let covered = courses().map(|c| c.readable_percent).sum::<f64>() / leads.max(1) as f64;
    list.rest_on((leads > 0).then_some(covered), "of readable time with an ST level");
    // What a reader does not agree with counts no more.
    let dropped = day.dropped_of(&[EventKind::StChange]);
    let stands = |e: &&StEpisode| !dropped.iter().any(|d| 2 * d.overlap(e.span).len() > e.span.len());
    let episodes = || courses().flat_map(|c| &c.episodes).filter(stands);
    let spans: Arc<[Span]> = episodes().map(|e| e.span).collect();
    let first = spans.iter().min().copied();
    let reason = rows.st.iter().find_map(|lead| lead.course.as_ref().err());
    let reason = reason.map_or("ST was not measured", |why| why);
    match leads {
        0 => {
            list.number(FigureId::StLeads, None, reason, Proof::Whole, None);
            list.number(FigureId::StChanges, None, reason, Proof::Whole, None);
        }
        _ => {
            list.count(FigureId::StLeads, leads as u64, Proof::Whole, None);
            list.count(FigureId::StChanges, spans.len() as u64, Proof::Spans(spans.clone()), first);
        }
    }
    let largest = episodes().max_by(|a, b| a.extreme_mv.abs().total_cmp(&b.extreme_mv.abs()));
    let reason = if leads == 0 { reason } else { "no ST change" };
    let place = largest.map(|e| e.place);
    list.number(
        FigureId::StLargestMv,
        largest.map(|e| f64::from(e.extreme_mv)),
        reason,
        by_span(place),
        place,
    );
}

/// T-wave alternans.
pub fn alternans_of(rows: &Rows, list: &mut FigureList) {
    let found = rows.alternans.as_ref().map(Result::as_ref);
    let value = found.and_then(Result::ok);
    list.rest_on(value.map(|a| a.readable_percent), "of readable time in usable windows");
    let reason = match found {
        Some(Err(why)) => why.as_str(),
        _ => "T-wave alternans was not measured",
    };
    let place = value.map(|a| a.highest.span);
    list.number(FigureId::TwaUv, value.map(|a| f64::from(a.highest.uv)), reason, by_span(place), place);
    let place = value.map(|a| a.control.span);
    let control = value.map(|a| f64::from(a.control.control_uv));
    list.number(FigureId::TwaControlUv, control, reason, by_span(place), place);
    match value {
        Some(alternans) => list.count(FigureId::TwaWindows, u64::from(alternans.windows), Proof::Whole, None),
        None => list.number(FigureId::TwaWindows, None, reason, Proof::Whole, None),
    }
}

/// Symptoms beside findings.
pub fn symptoms_of(rows: &Rows, list: &mut FigureList) {
    let found = &rows.symptoms;
    let all: Vec<u32> = (0..found.rows.len() as u32).filter(|i| found.rows[*i as usize].is_symptom).collect();
    for (id, entries) in [
        (FigureId::Symptoms, &all),
        (FigureId::SymptomsWithFinding, &found.with_finding),
        (FigureId::SymptomsWithoutFinding, &found.without_finding),
        (FigureId::SymptomsUnreadable, &found.unreadable),
    ] {
        let windows: Arc<[Span]> = entries.iter().map(|i| found.rows[*i as usize].window).collect();
        // The place is that of the entry itself; its window proves it.
        let first = entries.iter().find_map(|i| found.rows[*i as usize].place());
        list.count(id, entries.len() as u64, Proof::Spans(windows), first);
    }
    let silent = &found.silent_findings;
    list.count(FigureId::FindingsWithoutSymptom, silent.len() as u64, by_events(silent), None);
}
