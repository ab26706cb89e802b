//! ST by lead and T-wave alternans: measurements with their cautions, or why they are withheld.

use beatledger_core::model::{StCourse, StLead};
use beatledger_core::session::Snapshot;

use super::rows::{Measured, number};
use super::{Column, Row, Table, TableSize};
use crate::explain;
use crate::values::{duration_text, place_text};

/// Most changes of ST of one lead in print.
const MOST_CHANGES: usize = 12;

/// ST of each lead; `None` where there is no lead.
pub(super) fn st(snapshot: &Snapshot) -> Option<Measured> {
    let table = Some(levels(snapshot)).filter(|t| !t.rows.is_empty())?;
    Some(Measured { caution: explain::ST_CAUTION, ..Measured::new(snapshot, &explain::ST, Some(table)) })
}

fn levels(snapshot: &Snapshot) -> Table {
    let at = |level: (f32, beatledger_core::model::Span)| {
        format!("{:.2} at {}", level.0, place_text(&snapshot.recording, level.1.start))
    };
    let row = |lead: &StLead| {
        let cells = match &lead.course {
            Ok(c) => vec![
                lead.name.clone(),
                format!("{:.2}", c.reference_mv),
                at(c.lowest),
                at(c.highest),
                c.episodes.len().to_string(),
                format!("{:.0}", c.readable_percent),
                String::new(),
            ],
            Err(reason) => {
                let none = || "–".to_owned();
                vec![lead.name.clone(), none(), none(), none(), none(), none(), reason.clone()]
            }
        };
        // The level that is furthest from the reference is the one to look at.
        let far = |c: &StCourse| {
            let [low, high] = [c.lowest, c.highest].map(|l| ((l.0 - c.reference_mv).abs(), l.1));
            if low.0 > high.0 { low.1 } else { high.1 }
        };
        Row::at(cells, lead.course.as_ref().ok().map(far))
    };
    Table {
        summary: "ST of each lead: reference, lowest and highest level, changes".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Lead", 22.0),
            Column::right("Reference, mV", 22.0),
            Column::right("Lowest, mV", 32.0),
            Column::right("Highest, mV", 32.0),
            Column::right("Changes", 16.0),
            Column::right("Read. %", 14.0),
            Column::left("Withheld because", 42.0),
        ],
        rows: snapshot.summary.st.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

/// Changes that are held, lead by lead; `None` when there is none.
pub(super) fn changes(snapshot: &Snapshot) -> Option<Measured> {
    let recording = &*snapshot.recording;
    let of_lead = |name: &str, course: &StCourse| {
        let mut rows: Vec<Row> = course
            .episodes
            .iter()
            .take(MOST_CHANGES)
            .map(|e| {
                let cells = vec![
                    format!("ST change, {name}"),
                    place_text(recording, e.span.start),
                    duration_text(recording.rate.seconds_from_samples(e.span.len())),
                    format!("{:+.2}", e.extreme_mv),
                    place_text(recording, e.place.start),
                ];
                Row::at(cells, Some(e.span))
            })
            .collect();
        if course.episodes.len() > MOST_CHANGES {
            let more = format!("and {} more on {name}", course.episodes.len() - MOST_CHANGES);
            rows.push(Row::plain(vec![more, String::new(), String::new(), String::new(), String::new()]));
        }
        rows
    };
    let rows: Vec<Row> = snapshot
        .summary
        .st
        .iter()
        .filter_map(|l| Some(of_lead(&l.name, l.course.as_ref().ok()?)))
        .flatten()
        .collect();
    let table = Table {
        summary: "Changes of ST that are held: lead, time, length, greatest deviation".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("", 60.0),
            Column::right("From", 30.0),
            Column::right("Length", 30.0),
            Column::right("Greatest, mV", 30.0),
            Column::right("Greatest at", 30.0),
        ],
        rows,
        size: TableSize::Small,
    };
    (!table.rows.is_empty()).then(|| Measured::new(snapshot, &explain::ST_CHANGES, Some(table)))
}

/// Alternans by hour, or why it is withheld; `None` where it was not looked for.
pub(super) fn alternans(snapshot: &Snapshot) -> Option<Measured> {
    let found = match snapshot.summary.alternans.as_ref()? {
        Ok(found) => found,
        Err(reason) => {
            let words = format!("Withheld: {reason}.");
            return Some(Measured { words, ..Measured::new(snapshot, &explain::ALTERNANS, None) });
        }
    };
    let lead = |i: usize| snapshot.recording.leads.get(i).map_or("–", |l| l.name.as_str());
    let words = format!(
        "Highest {:.0} µV on {} at {}, control {:.0} µV; {} windows could be used, {:.0} % of the readable time.",
        found.highest.uv,
        lead(found.highest.lead),
        place_text(&snapshot.recording, found.highest.span.start),
        found.control.control_uv,
        found.windows,
        found.readable_percent
    );
    let row = |p: &beatledger_core::model::AlternansPoint| {
        let cells = vec![
            place_text(&snapshot.recording, p.span.start),
            lead(p.lead).to_owned(),
            number(Some(f64::from(p.uv)), 0),
            number(Some(f64::from(p.control_uv)), 0),
        ];
        Row::at(cells, Some(p.span))
    };
    let table = Table {
        summary: "Highest T-wave alternans of each clock hour".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("At", 30.0),
            Column::left("Lead", 40.0),
            Column::right("Highest of the hour, µV", 50.0),
            Column::right("Control, µV", 30.0),
        ],
        rows: found.hours.iter().map(row).collect(),
        size: TableSize::Dense,
    };
    Some(Measured { words, ..Measured::new(snapshot, &explain::ALTERNANS, Some(table)) })
}
