//! The tables of a snapshot as they lie in the file.

use beatledger_core::model::{
    AlternansPoint, ConductionRow, Enough, FigureId, HrvRow, LeadTime, LongestRr, PauseTier, QtRow,
    Recording, RrCause, Span, StCourse, StLead, SymptomRow,
};
use beatledger_core::session::Snapshot;

use super::place_text;
use super::rows::*;
use crate::explain::{self, Explained};

/// What a table rests on.
type Rests = (Option<f64>, &'static str);

fn table<T>(what: &Explained, (percent, of): Rests, rows: impl IntoIterator<Item = T>) -> TablePart<T> {
    TablePart {
        definition: what.definition.to_owned(),
        settings: what.settings.iter().map(|s| (*s).to_owned()).collect(),
        basis_percent: percent.filter(|x| x.is_finite()),
        basis_of: of.to_owned(),
        reason: None,
        rows: rows.into_iter().collect(),
    }
}

/// What a figure rests on: a table of the same family rests on the same.
fn rests(snapshot: &Snapshot, id: FigureId) -> Rests {
    snapshot.summary.figure(id).map_or((None, ""), |f| (f.basis.percent, f.basis.of))
}

/// The tables of a snapshot.
pub fn tables(snapshot: &Snapshot) -> TablesPart {
    let (recording, summary) = (&*snapshot.recording, &*snapshot.summary);
    let of = |id| rests(snapshot, id);
    let time = of(FigureId::ReadablePercent);
    TablesPart {
        pause_tiers: table(
            &explain::PAUSE_TIERS,
            time,
            summary.pause_tiers.iter().map(|t| tier(snapshot, t)),
        ),
        longest_rr: table(
            &explain::LONGEST_RR,
            time,
            summary.longest_rr.iter().map(|l| longest(recording, l)),
        ),
        hrv_windows: hrv_windows(snapshot),
        hrv_hours: hrv_hours(snapshot),
        st: table(&explain::ST, of(FigureId::StChanges), summary.st.iter().map(|s| st(recording, s))),
        alternans: alternans(snapshot),
        conduction: conduction_hours(snapshot),
        qt_hours: table(
            &explain::QT_HOURS,
            of(FigureId::QtWindows),
            summary.qt_hours.iter().enumerate().map(|(i, q)| qt(recording, readable(snapshot, i), q)),
        ),
        symptoms: symptoms(snapshot),
        silent_findings: silent(snapshot),
        leads: table(&explain::LEADS, time, summary.leads.iter().map(|l| lead(recording, l))),
        enough: table(&explain::ENOUGH, time, summary.enough.iter().map(enough)),
    }
}

/// Variability by five minutes alone.
pub fn hrv_windows(snapshot: &Snapshot) -> TablePart<HrvPart> {
    let rows = snapshot.summary.hrv_windows.iter().map(|h| hrv(&snapshot.recording, h));
    table(&explain::HRV_WINDOWS, rests(snapshot, FigureId::NnPercent), rows)
}

/// Variability by hour alone.
pub fn hrv_hours(snapshot: &Snapshot) -> TablePart<HrvPart> {
    let rows = snapshot.summary.hrv_hours.iter().map(|h| hrv(&snapshot.recording, h));
    table(&explain::HRV_HOURS, rests(snapshot, FigureId::NnPercent), rows)
}

/// Conduction by hour alone.
pub fn conduction_hours(snapshot: &Snapshot) -> TablePart<ConductionPart> {
    let rows = snapshot.summary.conduction.iter().enumerate();
    let rows = rows.map(|(i, c)| conduction(&snapshot.recording, readable(snapshot, i), c));
    table(&explain::CONDUCTION, rests(snapshot, FigureId::PrMs), rows)
}

/// Share of an hour that could be read, %: the rows by hour of all tables are those of the same hours.
fn readable(snapshot: &Snapshot, hour: usize) -> f64 {
    let Some(row) = snapshot.summary.hours.get(hour) else { return 0.0 };
    let length = row.span.map_or(0, Span::len).max(1);
    100.0 * row.readable_s / snapshot.recording.rate.seconds_from_samples(length)
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
        sdann_ms: finite(row.sdann_ms),
        sdnn_index_ms: finite(row.sdnn_index_ms),
        nn50: row.nn50,
        pnn50_percent: finite(row.pnn50_percent),
        triangular_index: finite(row.triangular_index),
        tinn_ms: finite(row.tinn_ms),
        total_ms2: finite(row.total_ms2),
        vlf_ms2: finite(row.vlf_ms2),
        lf_ms2: finite(row.lf_ms2),
        hf_ms2: finite(row.hf_ms2),
        lf_nu: finite(row.lf_nu),
        hf_nu: finite(row.hf_nu),
        lf_hf_ratio: finite(row.lf_hf_ratio),
        even_total_ms2: finite(row.even_total_ms2),
        even_vlf_ms2: finite(row.even_vlf_ms2),
        even_lf_ms2: finite(row.even_lf_ms2),
        even_hf_ms2: finite(row.even_hf_ms2),
        sd1_ms: finite(row.sd1_ms),
        sd2_ms: finite(row.sd2_ms),
        dfa_alpha1: finite(row.dfa_alpha1),
        dfa_alpha2: finite(row.dfa_alpha2),
        sample_entropy: finite(row.sample_entropy),
    }
}

fn qt(recording: &Recording, readable_percent: f64, row: &QtRow) -> QtPart {
    QtPart {
        start_sample: row.span.start,
        end_sample: row.span.end,
        clock: place_text(recording, row.span.start),
        readable_percent,
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
        control_uv: exact(p.control_uv),
    };
    let mut out = table(&explain::ALTERNANS, rests(snapshot, FigureId::TwaUv), []);
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

fn conduction(recording: &Recording, readable_percent: f64, row: &ConductionRow) -> ConductionPart {
    ConductionPart {
        start_sample: row.span.start,
        end_sample: row.span.end,
        clock: place_text(recording, row.span.start),
        readable_percent,
        pr_ms: row.pr_ms,
        pr_beats: row.pr_beats,
        qrs_ms: row.qrs_ms,
        qrs_beats: row.qrs_beats,
        wide_percent: row.wide_percent,
    }
}

fn symptoms(snapshot: &Snapshot) -> TablePart<SymptomPart> {
    let found = &snapshot.summary.symptoms;
    let class = |i: usize, row: &SymptomRow| {
        let holds = |list: &[u32]| list.iter().any(|r| *r as usize == i);
        match (holds(&found.with_finding), holds(&found.without_finding)) {
            _ if !row.is_symptom => "no-symptom",
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
        class: class(i, row).to_owned(),
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
    table(&explain::SYMPTOMS, rests(snapshot, FigureId::Symptoms), found.rows.iter().enumerate().map(part))
}

fn silent(snapshot: &Snapshot) -> TablePart<SilentPart> {
    let events = snapshot.summary.symptoms.silent_findings.iter();
    let part = |e: &beatledger_core::model::Event| SilentPart {
        kind: e.kind.key().to_owned(),
        start_sample: e.span.start,
        end_sample: e.span.end,
        clock: place_text(&snapshot.recording, e.span.start),
    };
    table(
        &explain::SYMPTOMS,
        rests(snapshot, FigureId::Symptoms),
        events.filter_map(|i| snapshot.events.get(*i as usize)).map(part),
    )
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
