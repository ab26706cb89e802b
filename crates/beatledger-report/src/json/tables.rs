//! The tables of a snapshot as they lie in the file.

use beatledger_core::model::{
    AlternansPoint, ConductionRow, Enough, HrvRow, LeadTime, LongestRr, PauseTier, QtRow, Recording, RrCause,
    Span, StCourse, StLead, SymptomRow,
};
use beatledger_core::session::Snapshot;

use super::place_text;
use super::rows::*;
use crate::explain::{self, Explained};

fn table<T>(what: &Explained, rows: impl IntoIterator<Item = T>) -> TablePart<T> {
    TablePart {
        definition: what.definition.to_owned(),
        settings: what.settings.iter().map(|s| (*s).to_owned()).collect(),
        reason: None,
        rows: rows.into_iter().collect(),
    }
}

/// The tables of a snapshot.
pub fn tables(snapshot: &Snapshot) -> TablesPart {
    let (recording, summary) = (&*snapshot.recording, &*snapshot.summary);
    TablesPart {
        pause_tiers: table(&explain::PAUSE_TIERS, summary.pause_tiers.iter().map(|t| tier(snapshot, t))),
        longest_rr: table(&explain::LONGEST_RR, summary.longest_rr.iter().map(|l| longest(recording, l))),
        hrv_windows: table(&explain::HRV_WINDOWS, summary.hrv_windows.iter().map(|h| hrv(recording, h))),
        hrv_hours: table(&explain::HRV_HOURS, summary.hrv_hours.iter().map(|h| hrv(recording, h))),
        st: table(&explain::ST, summary.st.iter().map(|s| st(recording, s))),
        alternans: alternans(snapshot),
        conduction: table(&explain::CONDUCTION, summary.conduction.iter().map(|c| conduction(recording, c))),
        qt_hours: table(&explain::QT_HOURS, summary.qt_hours.iter().map(|q| qt(recording, q))),
        symptoms: symptoms(snapshot),
        silent_findings: silent(snapshot),
        leads: table(&explain::LEADS, summary.leads.iter().map(|l| lead(recording, l))),
        enough: table(&explain::ENOUGH, summary.enough.iter().map(enough)),
    }
}

/// Through text, so that 0.1 in single precision does not become 0.10000000149.
fn exact(x: f32) -> f64 {
    x.to_string().parse().unwrap_or(0.0)
}

fn place(recording: &Recording, span: Span) -> PlacePart {
    PlacePart { start_sample: span.start, end_sample: span.end, clock: place_text(recording, span.start) }
}

fn tier(snapshot: &Snapshot, tier: &PauseTier) -> PauseTierPart {
    let [sinus, after_ectopy, in_af] = tier.by_cause;
    let spans = tier.events.iter().filter_map(|i| snapshot.events.get(*i as usize)).map(|e| e.span);
    PauseTierPart {
        limit_ms: tier.limit_ms,
        setting: tier.setting.to_owned(),
        pauses: tier.events.len() as u64,
        sinus,
        after_ectopy,
        in_af,
        places: spans.map(|s| place(&snapshot.recording, s)).collect(),
    }
}

fn longest(recording: &Recording, longest: &LongestRr) -> LongestRrPart {
    let cause = match longest.cause {
        None => "any",
        Some(RrCause::Sinus) => "sinus",
        Some(RrCause::AfterEctopy) => "after-ectopy",
        Some(RrCause::Fibrillation) => "fibrillation",
    };
    LongestRrPart {
        cause: cause.to_owned(),
        ms: longest.ms,
        place: longest.place.map(|s| place(recording, s)),
    }
}

fn hrv(recording: &Recording, row: &HrvRow) -> HrvPart {
    let finite = |x: Option<f64>| x.filter(|x| x.is_finite());
    HrvPart {
        start_sample: row.span.start,
        end_sample: row.span.end,
        clock: place_text(recording, row.span.start),
        readable_percent: row.readable_percent,
        intervals: row.intervals,
        nn_percent: row.nn_percent,
        reason: row.withheld.clone(),
        mean_nn_ms: finite(row.mean_nn_ms),
        sdnn_ms: finite(row.sdnn_ms),
        rmssd_ms: finite(row.rmssd_ms),
        pnn50_percent: finite(row.pnn50_percent),
        vlf_ms2: finite(row.vlf_ms2),
        lf_ms2: finite(row.lf_ms2),
        hf_ms2: finite(row.hf_ms2),
        sd1_ms: finite(row.sd1_ms),
        sd2_ms: finite(row.sd2_ms),
        dfa_alpha1: finite(row.dfa_alpha1),
        dfa_alpha2: finite(row.dfa_alpha2),
        sample_entropy: finite(row.sample_entropy),
    }
}

fn qt(recording: &Recording, row: &QtRow) -> QtPart {
    QtPart {
        start_sample: row.span.start,
        end_sample: row.span.end,
        clock: place_text(recording, row.span.start),
        windows: row.windows,
        beats: row.beats,
        reason: row.withheld.clone(),
        qt_ms: row.qt_ms,
        rr_ms: row.rr_ms,
        qtc_bazett_ms: row.qtc_bazett_ms,
        qtc_fridericia_ms: row.qtc_fridericia_ms,
        qtc_framingham_ms: row.qtc_framingham_ms,
        qtc_hodges_ms: row.qtc_hodges_ms,
    }
}

fn st(recording: &Recording, lead: &StLead) -> StPart {
    let name = lead.name.clone();
    match &lead.course {
        Err(reason) => StPart { lead: name, reason: Some(reason.clone()), ..StPart::default() },
        Ok(course) => StPart {
            lead: name,
            reason: None,
            readable_percent: Some(course.readable_percent),
            reference_mv: Some(exact(course.reference_mv)),
            lowest_mv: Some(exact(course.lowest.0)),
            lowest_place: Some(place(recording, course.lowest.1)),
            highest_mv: Some(exact(course.highest.0)),
            highest_place: Some(place(recording, course.highest.1)),
            changes: changes(recording, course),
            points: course
                .points
                .iter()
                .map(|p| StPointPart { start_sample: p.start, level_mv: exact(p.level_mv), beats: p.beats })
                .collect(),
        },
    }
}

fn changes(recording: &Recording, course: &StCourse) -> Vec<StChangePart> {
    let part = |e: &beatledger_core::model::StEpisode| StChangePart {
        start_sample: e.span.start,
        end_sample: e.span.end,
        clock: place_text(recording, e.span.start),
        extreme_mv: exact(e.extreme_mv),
        extreme_place: place(recording, e.place),
    };
    course.episodes.iter().map(part).collect()
}

fn alternans(snapshot: &Snapshot) -> TablePart<AlternansPart> {
    let part = |p: &AlternansPoint, hour| AlternansPart {
        hour,
        start_sample: p.span.start,
        end_sample: p.span.end,
        clock: place_text(&snapshot.recording, p.span.start),
        lead: snapshot.recording.leads.get(p.lead).map_or(String::new(), |l| l.name.clone()),
        uv: exact(p.uv),
    };
    let mut out = table(&explain::ALTERNANS, []);
    match &snapshot.summary.alternans {
        None => out.reason = Some("not looked for".to_owned()),
        Some(Err(reason)) => out.reason = Some(reason.clone()),
        Some(Ok(found)) => {
            out.rows.push(part(&found.highest, false));
            out.rows.extend(found.hours.iter().map(|p| part(p, true)));
        }
    }
    out
}

fn conduction(recording: &Recording, row: &ConductionRow) -> ConductionPart {
    ConductionPart {
        start_sample: row.span.start,
        end_sample: row.span.end,
        clock: place_text(recording, row.span.start),
        pr_ms: row.pr_ms,
        pr_beats: row.pr_beats,
        qrs_ms: row.qrs_ms,
        qrs_beats: row.qrs_beats,
        wide_percent: row.wide_percent,
    }
}

fn symptoms(snapshot: &Snapshot) -> TablePart<SymptomPart> {
    let found = &snapshot.summary.symptoms;
    let class = |i: usize| {
        let holds = |list: &[u32]| list.iter().any(|r| *r as usize == i);
        match (holds(&found.with_finding), holds(&found.without_finding)) {
            (true, _) => "with-finding",
            (_, true) => "without-finding",
            _ => "unreadable",
        }
    };
    let part = |(i, row): (usize, &SymptomRow)| SymptomPart {
        diary: row.diary,
        text: snapshot.diary.get(row.diary as usize).map_or(String::new(), |d| d.text.clone()),
        start_sample: row.window.start,
        end_sample: row.window.end,
        clock: place_text(&snapshot.recording, row.window.start),
        readable_percent: row.readable_percent,
        class: class(i).to_owned(),
        rhythm: row.rhythm.clone(),
        min_bpm: row.min_bpm,
        mean_bpm: row.mean_bpm,
        max_bpm: row.max_bpm,
        v_beats: row.v_beats,
        s_beats: row.s_beats,
        findings: row
            .findings
            .iter()
            .filter_map(|i| snapshot.events.get(*i as usize))
            .map(|e| e.kind.key().to_owned())
            .collect(),
    };
    table(&explain::SYMPTOMS, found.rows.iter().enumerate().map(part))
}

fn silent(snapshot: &Snapshot) -> TablePart<SilentPart> {
    let events = snapshot.summary.symptoms.silent_findings.iter();
    let part = |e: &beatledger_core::model::Event| SilentPart {
        kind: e.kind.key().to_owned(),
        start_sample: e.span.start,
        end_sample: e.span.end,
        clock: place_text(&snapshot.recording, e.span.start),
    };
    table(&explain::SYMPTOMS, events.filter_map(|i| snapshot.events.get(*i as usize)).map(part))
}

fn lead(recording: &Recording, lead: &LeadTime) -> LeadPart {
    LeadPart {
        lead: lead.name.clone(),
        readable_s: lead.readable_s,
        noisy_s: lead.noisy_s,
        unreadable_s: lead.unreadable_s,
        flat_s: lead.flat_s,
        railed_s: lead.railed_s,
        missing_s: lead.missing_s,
        longest_hole: lead.longest_hole.map(|s| place(recording, s)),
    }
}

fn enough(enough: &Enough) -> EnoughPart {
    EnoughPart {
        what: enough.what.to_owned(),
        unit: enough.unit.to_owned(),
        asked: enough.asked,
        have: enough.have,
        enough: enough.is_enough(),
        source: enough.source.to_owned(),
    }
}
