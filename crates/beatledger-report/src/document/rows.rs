//! Tables beyond the hours: pauses by length and cause, conduction, variability by hour, leads, and whether the
//! recording is long enough.

use beatledger_core::model::{ConductionRow, HrvRow, QtRow, RrCause, Span};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;

use super::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::explain::{self, Explained};
use crate::values::{duration_text, grouped, place_text, short_number};

/// A table with what it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Stable name.
    pub key: &'static str,
    /// Heading.
    pub title: &'static str,
    /// A result in one sentence, or why it is withheld; empty when the rows say it all.
    pub words: String,
    /// The table; `None` when it is withheld.
    pub table: Option<Table>,
    /// What must be said beside it; empty when nothing must.
    pub caution: &'static str,
    /// Definition with its source, and the settings in force that decide it.
    pub note: String,
}

impl Measured {
    pub(super) fn new(snapshot: &Snapshot, what: &Explained, table: Option<Table>) -> Self {
        let note = format!("{}{}", what.definition, settings_words(snapshot, what.settings));
        Self { key: what.key, title: what.title, words: String::new(), table, caution: "", note }
    }

    /// The same as blocks of a section.
    pub(super) fn blocks(self) -> Vec<Block> {
        let mut out = vec![Block::Subheading(self.title.to_owned())];
        let mut say = |style, text: &str| {
            if !text.is_empty() {
                out.push(Block::Paragraph(style, text.to_owned()));
            }
        };
        say(Style::Body, &self.words);
        say(Style::Strong, self.caution);
        // A research measure takes a sentence of the page, and five minutes are too many rows for it; both stand in the
        // window and the files.
        if ![explain::ALTERNANS.key, explain::HRV_WINDOWS.key].contains(&self.key) {
            out.extend(self.table.map(Block::Table));
        }
        out.push(Block::Paragraph(Style::Note, self.note));
        out
    }
}

/// Every table beyond figures and hours that the day gives, in printing order: the same for pages and window.
pub fn measured(snapshot: &Snapshot) -> Vec<Measured> {
    let summary = &snapshot.summary;
    let of = |what: &Explained, table: Table| {
        (!table.rows.is_empty()).then(|| Measured::new(snapshot, what, Some(table)))
    };
    let conducted = summary.conduction.iter().any(|c| c.qrs_beats > 0);
    [
        of(&explain::PAUSE_TIERS, pauses(snapshot)),
        of(&explain::LONGEST_RR, longest(snapshot)),
        super::waves::st(snapshot),
        super::waves::changes(snapshot),
        super::waves::alternans(snapshot),
        of(&explain::CONDUCTION, conduction(snapshot)).filter(|_| conducted),
        of(&explain::QT_HOURS, qt_hours(snapshot)).filter(|_| summary.qt_hours.iter().any(|q| q.windows > 0)),
        of(&explain::HRV_HOURS, hrv(snapshot, "of each clock hour", &summary.hrv_hours)),
        of(&explain::HRV_WINDOWS, hrv(snapshot, "of five minutes", &summary.hrv_windows)),
        of(&explain::SYMPTOMS, super::symptoms::rows(snapshot)),
        super::symptoms::classes(snapshot),
        of(&explain::LEADS, leads(snapshot)),
        of(&explain::ENOUGH, enough(snapshot)),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The blocks of the tables of these keys.
pub(super) fn blocks_of(snapshot: &Snapshot, keys: &[&str]) -> Vec<Block> {
    measured(snapshot).into_iter().filter(|m| keys.contains(&m.key)).flat_map(Measured::blocks).collect()
}

/// ` Settings: pause_ms 2000 ms, …` of what decides a table.
pub(super) fn settings_words(snapshot: &Snapshot, keys: &[&str]) -> String {
    let words: Vec<String> = keys
        .iter()
        .filter_map(|key| TABLE.iter().find(|row| row.key == *key))
        .map(|row| {
            format!("{} {} {}", row.key, short_number(row.value(&snapshot.settings)), row.unit)
                .trim_end()
                .to_owned()
        })
        .collect();
    if words.is_empty() { String::new() } else { format!(" Settings: {}.", words.join(", ")) }
}

pub(super) fn number(x: Option<f64>, decimals: usize) -> String {
    x.filter(|x| x.is_finite()).map_or("–".to_owned(), |x| format!("{x:.decimals$}"))
}

/// The clock of an hour without its seconds.
pub(super) fn hour_name(snapshot: &Snapshot, span: Span) -> String {
    let clock = place_text(&snapshot.recording, span.start);
    clock.rsplit_once(':').map_or(clock.clone(), |(head, _)| head.to_owned())
}

fn count(n: u64) -> String {
    if n == 0 { "–".to_owned() } else { grouped(n) }
}

/// Everything that stands neither under variability nor with the diary, on a page of its own.
pub(super) fn section(snapshot: &Snapshot) -> Option<Section> {
    let keys = [
        "pause_tiers",
        "longest_rr",
        "st",
        "st_changes",
        "alternans",
        "conduction",
        "qt_hours",
        "leads",
        "enough",
    ];
    let mut blocks = blocks_of(snapshot, &keys);
    let is_st = |b: &Block| matches!(b, Block::Subheading(text) if text == explain::ST.title);
    if let Some((at, chart)) = blocks.iter().position(is_st).zip(super::st_chart(snapshot)) {
        blocks.insert(at + 1, Block::St(Box::new(chart)));
    }
    (!blocks.is_empty()).then(|| Section::new("Intervals, ST and leads", blocks).on_new_page())
}

fn pauses(snapshot: &Snapshot) -> Table {
    let row = |tier: &beatledger_core::model::PauseTier| {
        let mut cells =
            vec![format!("{:.1} s and longer", tier.limit_ms / 1000.0), count(tier.events.len() as u64)];
        cells.extend(tier.by_cause.map(count));
        let first = tier.events.first().and_then(|i| snapshot.events.get(*i as usize));
        cells.push(first.map_or(String::new(), |e| place_text(&snapshot.recording, e.span.start)));
        Row::at(cells, first.map(|e| e.span))
    };
    Table {
        summary: "Pauses by length and by what they follow".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Length", 40.0),
            Column::right("Pauses", 22.0),
            Column::right("in sinus rhythm", 30.0),
            Column::right("after ectopy", 30.0),
            Column::right("in atrial fibrillation", 34.0),
            Column::right("First at", 24.0),
        ],
        rows: snapshot.summary.pause_tiers.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

fn longest(snapshot: &Snapshot) -> Table {
    let name = |cause: Option<RrCause>| match cause {
        None => "of all",
        Some(RrCause::Sinus) => "in sinus rhythm",
        Some(cause) => cause.words(),
    };
    let row = |l: &beatledger_core::model::LongestRr| {
        let at = l.place.map_or(String::new(), |p| place_text(&snapshot.recording, p.start));
        Row::at(vec![name(l.cause).to_owned(), number(l.ms.map(|ms| ms / 1000.0), 2), at], l.place)
    };
    Table {
        summary: "The longest RR interval of all and of each rhythm".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Longest RR", 60.0),
            Column::right("Length, s", 30.0),
            Column::right("At", 30.0),
        ],
        rows: snapshot.summary.longest_rr.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

fn conduction(snapshot: &Snapshot) -> Table {
    let row = |c: &ConductionRow| {
        let cells = vec![
            hour_name(snapshot, c.span),
            number(c.pr_ms, 0),
            count(u64::from(c.pr_beats)),
            number(c.qrs_ms, 0),
            count(u64::from(c.qrs_beats)),
            number(c.wide_percent, 1),
        ];
        Row::at(cells, Some(c.span))
    };
    Table {
        summary: "PR, QRS and the share of wide QRS of each clock hour".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("From", 24.0),
            Column::right("PR, ms", 28.0),
            Column::right("beats with P", 32.0),
            Column::right("QRS, ms", 28.0),
            Column::right("N beats", 32.0),
            Column::right("wide QRS, %", 32.0),
        ],
        rows: snapshot.summary.conduction.iter().map(row).collect(),
        size: TableSize::Dense,
    }
}

fn qt_hours(snapshot: &Snapshot) -> Table {
    let row = |q: &QtRow| {
        let mut cells = vec![hour_name(snapshot, q.span), count(u64::from(q.windows))];
        cells.extend([q.qt_ms, q.rr_ms].map(|x| number(x, 0)));
        cells.extend(
            [q.qtc_bazett_ms, q.qtc_fridericia_ms, q.qtc_framingham_ms, q.qtc_hodges_ms]
                .map(|x| number(x, 0)),
        );
        Row::at(cells, Some(q.span))
    };
    Table {
        summary: "QT, RR and QT for the rate of each clock hour".to_owned(),
        groups: vec![(String::new(), 4), ("QT for the rate, ms".to_owned(), 4)],
        columns: vec![
            Column::left("From", 24.0),
            Column::right("windows", 20.0),
            Column::right("QT, ms", 22.0),
            Column::right("RR, ms", 22.0),
            Column::right("Bazett", 22.0),
            Column::right("Fridericia", 22.0),
            Column::right("Framingham", 24.0),
            Column::right("Hodges", 22.0),
        ],
        rows: snapshot.summary.qt_hours.iter().map(row).collect(),
        size: TableSize::Dense,
    }
}

fn hrv(snapshot: &Snapshot, what: &str, rows: &[HrvRow]) -> Table {
    let row = |h: &HrvRow| {
        let mut cells = vec![hour_name(snapshot, h.span), format!("{:.0}", h.readable_percent)];
        cells.push(if h.intervals == 0 { "–".to_owned() } else { format!("{:.0}", h.nn_percent) });
        cells.extend([h.mean_nn_ms, h.sdnn_ms, h.rmssd_ms].map(|x| number(x, 0)));
        cells.push(number(h.pnn50_percent, 1));
        cells.extend([h.total_ms2, h.vlf_ms2, h.lf_ms2, h.hf_ms2, h.lf_nu].map(|x| number(x, 0)));
        cells.push(number(h.lf_hf_ratio, 1));
        cells.push(h.withheld.clone().unwrap_or_default());
        Row::at(cells, Some(h.span))
    };
    Table {
        summary: format!("Heart-rate variability {what}"),
        groups: vec![
            (String::new(), 3),
            ("ms".to_owned(), 3),
            (String::new(), 1),
            ("Power, ms²".to_owned(), 4),
            (String::new(), 3),
        ],
        columns: vec![
            Column::left("From", 15.0),
            Column::right("Read. %", 12.0),
            Column::right("NN %", 11.0),
            Column::right("mean NN", 14.0),
            Column::right("SDNN", 11.0),
            Column::right("RMSSD", 12.0),
            Column::right("pNN50 %", 13.0),
            Column::right("total", 12.0),
            Column::right("VLF", 12.0),
            Column::right("LF", 11.0),
            Column::right("HF", 11.0),
            Column::right("LF nu", 10.0),
            Column::right("LF/HF", 10.0),
            Column::left("Withheld because", 35.0),
        ],
        rows: rows.iter().map(row).collect(),
        size: TableSize::Dense,
    }
}

fn leads(snapshot: &Snapshot) -> Table {
    let row = |l: &beatledger_core::model::LeadTime| {
        let hole = l.longest_hole.map_or("–".to_owned(), |h| {
            let s = snapshot.recording.rate.seconds_from_samples(h.len());
            format!("{} at {}", duration_text(s), place_text(&snapshot.recording, h.start))
        });
        let mut cells = vec![l.name.clone()];
        cells.extend(
            [l.readable_s, l.noisy_s, l.unreadable_s, l.flat_s, l.railed_s, l.missing_s]
                .map(|s| if s > 0.0 { duration_text(s) } else { "–".to_owned() }),
        );
        cells.push(hole);
        Row::at(cells, l.longest_hole)
    };
    Table {
        summary: "Readable time of each lead".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Lead", 20.0),
            Column::right("Readable", 22.0),
            Column::right("of it noisy", 22.0),
            Column::right("Hides beats", 22.0),
            Column::right("Flat", 18.0),
            Column::right("At limits", 18.0),
            Column::right("No samples", 20.0),
            Column::right("Longest not readable", 38.0),
        ],
        rows: snapshot.summary.leads.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

fn enough(snapshot: &Snapshot) -> Table {
    let row = |e: &beatledger_core::model::Enough| {
        let amount = |x: f64| {
            let unit = if x == 1.0 { e.unit.trim_end_matches('s') } else { e.unit };
            format!("{} {unit}", short_number((x * 10.0).round() / 10.0))
        };
        Row {
            cells: vec![
                e.what.to_owned(),
                amount(e.asked).trim_end().to_owned(),
                amount(e.have).trim_end().to_owned(),
                if e.is_enough() { "enough" } else { "too little" }.to_owned(),
                e.source.to_owned(),
            ],
            strong: !e.is_enough(),
            place: None,
        }
    };
    Table {
        summary: "Whether the recording is long enough for each family of figures".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("For", 50.0),
            Column::right("Asked", 24.0),
            Column::right("There is", 24.0),
            Column::left("", 20.0),
            Column::left("Source", 62.0),
        ],
        rows: snapshot.summary.enough.iter().map(row).collect(),
        size: TableSize::Small,
    }
}
