//! Figures of ST, of the T wave and of symptoms, in the order of the catalogue.

use std::sync::Arc;

use super::rows::Rows;
use super::sheet::{Sheet, by_events, by_span};
use crate::model::{Proof, Span};

/// ST over all leads.
pub fn st_of(rows: &Rows, sheet: &mut Sheet) {
    let courses = || rows.st.iter().filter_map(|lead| lead.course.as_ref().ok());
    let leads = courses().count();
    let covered = courses().map(|c| c.readable_percent).sum::<f64>() / leads.max(1) as f64;
    sheet.rest_on((leads > 0).then_some(covered), "of readable time with an ST level");
    let episodes = || courses().flat_map(|c| &c.episodes);
    let spans: Arc<[Span]> = episodes().map(|e| e.span).collect();
    let first = spans.iter().min().copied();
    let reason = rows.st.iter().find_map(|lead| lead.course.as_ref().err());
    let reason = reason.map_or("ST was not measured", |why| why);
    match leads {
        0 => {
            sheet.number("st_leads", None, 0, reason, Proof::Whole, None);
            sheet.number("st_changes", None, 0, reason, Proof::Whole, None);
        }
        _ => {
            sheet.count("st_leads", leads as u64, Proof::Whole, None);
            sheet.count("st_changes", spans.len() as u64, Proof::Spans(spans.clone()), first);
        }
    }
    let largest = episodes().max_by(|a, b| a.extreme_mv.abs().total_cmp(&b.extreme_mv.abs()));
    let reason = if leads == 0 { reason } else { "no ST change" };
    let place = largest.map(|e| e.place);
    sheet.number("st_largest_mv", largest.map(|e| f64::from(e.extreme_mv)), 2, reason, by_span(place), place);
}

/// T-wave alternans.
pub fn alternans_of(rows: &Rows, sheet: &mut Sheet) {
    let found = rows.alternans.as_ref().map(Result::as_ref);
    let value = found.and_then(Result::ok);
    sheet.rest_on(value.map(|a| a.readable_percent), "of readable time in usable windows");
    let reason = match found {
        Some(Err(why)) => why.as_str(),
        _ => "T-wave alternans was not measured",
    };
    let place = value.map(|a| a.highest.span);
    sheet.number("twa_uv", value.map(|a| f64::from(a.highest.uv)), 0, reason, by_span(place), place);
    let place = value.map(|a| a.control.span);
    let control = value.map(|a| f64::from(a.control.control_uv));
    sheet.number("twa_control_uv", control, 0, reason, by_span(place), place);
    match value {
        Some(alternans) => sheet.count("twa_windows", u64::from(alternans.windows), Proof::Whole, None),
        None => sheet.number("twa_windows", None, 0, reason, Proof::Whole, None),
    }
}

/// Symptoms beside findings.
pub fn symptoms_of(rows: &Rows, sheet: &mut Sheet) {
    let found = &rows.symptoms;
    let all: Vec<u32> = (0..found.rows.len() as u32).filter(|i| found.rows[*i as usize].is_symptom).collect();
    for (key, list) in [
        ("symptoms", &all),
        ("symptoms_with_finding", &found.with_finding),
        ("symptoms_without_finding", &found.without_finding),
        ("symptoms_unreadable", &found.unreadable),
    ] {
        let windows: Arc<[Span]> = list.iter().map(|i| found.rows[*i as usize].window).collect();
        // The place is that of the entry itself; its window proves it.
        let first = list.iter().find_map(|i| found.rows[*i as usize].place());
        sheet.count(key, list.len() as u64, Proof::Spans(windows), first);
    }
    let silent = &found.silent_findings;
    sheet.count("findings_without_symptom", silent.len() as u64, by_events(silent), None);
}
