//! The first page: who, when, how much could be read, the main figures, the conclusion, who said what.

use std::collections::{BTreeMap, BTreeSet};

use beatledger_core::model::{Event, EventKind, EventState, FigureId, FigureValue, Recording};
use beatledger_core::session::Snapshot;

use super::context::{ReportContext, SignOff, SignState};
use super::headlines;
use super::reader::provenance;
use super::reader::reader_share;
use super::tree::{Block, Column, KeyFigure, Row, Section, Style, Table, TableSize, Turn};
use crate::values::{
    Reason, date_text, doubt_words, duration_text, figure_text, grouped, place_text, short_number,
    value_words,
};

/// Keys of the main figures, in order, and their plain names.
const MAIN: [(FigureId, &str); 12] = [
    (FigureId::ReadableH, "Readable time"),
    (FigureId::BeatsTotal, "Beats"),
    (FigureId::MeanBpm, "Mean rate"),
    (FigureId::MinBpm, "Slowest rate"),
    (FigureId::MaxBpm, "Fastest rate"),
    (FigureId::LongestRrMs, "Longest RR interval"),
    (FigureId::VBeats, "Ventricular beats (V)"),
    (FigureId::VPercent, "Ventricular burden"),
    (FigureId::SBeats, "Supraventricular beats (S)"),
    (FigureId::VtRuns, "Ventricular tachycardia"),
    (FigureId::AfPercent, "Atrial fibrillation"),
    (FigureId::Pauses, "Pauses"),
];

pub(super) fn section(snapshot: &Snapshot, context: &ReportContext) -> Section {
    let mut blocks = vec![
        Block::Title {
            over: "Ambulatory ECG · summary of a day".to_owned(),
            text: title(&snapshot.recording),
        },
        state(snapshot, context),
        Block::Pairs(identity(snapshot)),
        Block::KeyFigures(key_figures(snapshot)),
    ];
    blocks.extend(headlines::blocks(snapshot));
    blocks.push(Block::Subheading("Conclusion".to_owned()));
    blocks.push(match snapshot.conclusion.trim() {
        "" => Block::Paragraph(Style::Strong, "No conclusion has been written.".to_owned()),
        text => Block::Paragraph(Style::Large, text.to_owned()),
    });
    blocks.push(Block::Subheading("Found by the program, said by a reader".to_owned()));
    blocks.push(Block::Paragraph(Style::Body, beats_sentence(snapshot)));
    blocks.extend(events_table(snapshot).map(Block::Table));
    blocks.extend(not_told(snapshot).map(|text| Block::Paragraph(Style::Strong, text)));
    blocks.push(Block::Paragraph(
        Style::Note,
        "Research and education software, not a cleared medical device. A qualified, licensed clinician \
         reviews and stays responsible; see Cautions."
            .to_owned(),
    ));
    Section { heading: "Summary".to_owned(), new_page: false, turn: Turn::Portrait, blocks }
}

/// What is doubtful or could not be told, which stands in no figure until a reader has spoken.
fn not_told(snapshot: &Snapshot) -> Option<String> {
    let mut kinds: BTreeMap<EventKind, (usize, BTreeSet<&str>)> = BTreeMap::new();
    let told_apart = |e: &&Event| e.kind == EventKind::ContactUncertain && e.state == EventState::Unread;
    for event in snapshot.events.iter().filter(|e| e.doubt().is_some() || told_apart(e)) {
        let (count, reasons) = kinds.entry(event.kind).or_default();
        *count += 1;
        reasons.extend(event.doubt());
    }
    let words = |(kind, (count, reasons)): (EventKind, (usize, BTreeSet<&str>))| {
        let times = if count > 1 { format!(" ×{count}") } else { String::new() };
        let why = reasons.into_iter().collect::<Vec<_>>().join(", ");
        format!("{}{times}{}", kind.words(), if why.is_empty() { why } else { format!(" ({why})") })
    };
    let list: Vec<String> = kinds.into_iter().map(words).collect();
    (!list.is_empty()).then(|| format!("Doubtful or not told, to be read: {}.", list.join("; ")))
}

fn title(recording: &Recording) -> String {
    match recording.identity.name.trim() {
        "" => recording.name.clone(),
        name => name.to_owned(),
    }
}

fn state(snapshot: &Snapshot, context: &ReportContext) -> Block {
    let unread = snapshot.unread_critical().len();
    let detail = match (&context.sign, unread) {
        (SignState::Signed(signed), _) => {
            format!("{} {}", responsibility(signed), how_much_was_read(snapshot))
        }
        (SignState::ChangedSince(_), _) => {
            "The signature does not cover what is printed here. It must be reviewed and signed again."
                .to_owned()
        }
        (SignState::NotSigned, 0) => {
            "A draft: nothing here counts as reviewed until a qualified clinician has signed it.".to_owned()
        }
        (SignState::NotSigned, 1) => {
            "A draft: 1 event that must be read before signing has not been read.".to_owned()
        }
        (SignState::NotSigned, n) => {
            format!("A draft: {n} events that must be read before signing have not been read.")
        }
    };
    Block::State { settled: matches!(context.sign, SignState::Signed(_)), text: context.sign.text(), detail }
}

/// A page that somebody prepared was not reviewed.
fn responsibility(signed: &SignOff) -> String {
    match signed.meaning.as_str() {
        meaning if meaning.contains("reviewed") => {
            "Reviewed by the reader named above, who is responsible.".to_owned()
        }
        meaning if meaning.contains("approved") => {
            "Approved by the reader named above, who is responsible.".to_owned()
        }
        meaning => format!("Signed as '{meaning}': this is no review by a clinician."),
    }
}

/// How much of the day was shown to a reader, at a scale and for a time in which it can be read.
fn how_much_was_read(snapshot: &Snapshot) -> String {
    let whole = snapshot.recording.whole();
    let read = 100.0 * whole.covered_by(&snapshot.read) as f64 / whole.len().max(1) as f64;
    let told: Vec<_> = snapshot.events.iter().filter(|e| !e.kind.is_landmark()).collect();
    let answered = told.iter().filter(|e| e.state != EventState::Unread).count();
    format!(
        "{read:.0} % of the recording was on the screen; {answered} of {} events have an answer.",
        told.len()
    )
}

fn identity(snapshot: &Snapshot) -> Vec<(String, String)> {
    let recording = &*snapshot.recording;
    let id = &recording.identity;
    let mut pairs = Vec::new();
    let mut put = |name: &str, value: &str| {
        let value = if value.trim().is_empty() { "not stated" } else { value.trim() };
        pairs.push((name.to_owned(), value.to_owned()));
    };
    put("Name", &id.name);
    put("Code", &id.code);
    put("Born", &id.born);
    put("Sex", &id.sex);
    put("Recorder", &id.recorder);
    if !id.remarks.trim().is_empty() {
        put("Remarks of the file", &id.remarks);
    }
    put("Recording", &recording.name);
    let start = recording.start.map_or_else(
        || "not stated; times count from the start".to_owned(),
        |t| format!("{} {} (recorder's clock)", date_text(t), t.clock()),
    );
    put("Start", &start);
    put("Length", &duration_text(recording.hours() * 3600.0));
    let leads: Vec<&str> = recording.leads.iter().map(|l| l.name.as_str()).collect();
    put("Leads", &leads.join(", "));
    put(
        "Format, rate",
        &format!("{}, {} samples a second", recording.format, short_number(recording.rate.hz())),
    );
    let readable = |id| snapshot.summary.figure(id).map(|f| figure_text(f, recording));
    put("Readable", &readable(FigureId::ReadablePercent).unwrap_or_default());
    put("Longest gap", &readable(FigureId::LongestGapMin).unwrap_or_default());
    pairs
}

fn key_figures(snapshot: &Snapshot) -> Vec<KeyFigure> {
    MAIN.iter()
        .filter_map(|(id, name)| {
            let figure = snapshot.summary.figure(*id)?;
            let mut note = provenance(figure, snapshot);
            if let Some(doubt) = doubt_words(figure) {
                note = format!("{doubt}; {note}");
            }
            let (value, unit) = match &figure.value {
                FigureValue::NotComputable(reason) => {
                    note = format!("not computable: {reason}");
                    ("–".to_owned(), String::new())
                }
                FigureValue::Count(n) => (grouped(*n), String::new()),
                // Hours read as a duration, and a long interval reads in seconds.
                FigureValue::Number(x) if figure.unit() == "h" => (duration_text(x * 3600.0), String::new()),
                FigureValue::Number(x) if *id == FigureId::LongestRrMs && x.is_finite() => {
                    (format!("{:.2}", x / 1000.0), "s".to_owned())
                }
                _ => {
                    let words = value_words(figure, &snapshot.recording, Reason::Said);
                    match words.rsplit_once('\u{a0}') {
                        Some((value, unit)) => (value.to_owned(), unit.to_owned()),
                        None => (words, String::new()),
                    }
                }
            };
            if let Some(place) = figure
                .place
                .filter(|_| [FigureId::MinBpm, FigureId::MaxBpm, FigureId::LongestRrMs].contains(id))
            {
                note = format!("at {}, {note}", place_text(&snapshot.recording, place.start));
            }
            Some(KeyFigure { name: (*name).to_owned(), value, unit, note })
        })
        .collect()
}

fn beats_sentence(snapshot: &Snapshot) -> String {
    let share = reader_share(snapshot);
    let n = |n: usize| grouped(n as u64);
    if share.relabelled + share.inserted + share.removed + share.confirmed_or_moved == 0 {
        return format!(
            "Beats: {} stand as the program found and labelled them; no reader changed any.",
            n(snapshot.beats.len())
        );
    }
    format!(
        "Beats: {} stand. A reader relabelled {}, placed {}, took away {}, and confirmed or moved {}; \
         all others stand as the program labelled them.",
        n(snapshot.beats.len()),
        n(share.relabelled),
        n(share.inserted),
        n(share.removed),
        n(share.confirmed_or_moved)
    )
}

/// Events by kind and by what was said about them; `None` when there is no event.
fn events_table(snapshot: &Snapshot) -> Option<Table> {
    let rows: Vec<Row> = EventKind::ALL
        .into_iter()
        .filter(|kind| !kind.is_landmark())
        .filter_map(|kind| {
            let of = |state| snapshot.events.iter().filter(|e| e.kind == kind && e.state == state).count();
            let counts =
                [EventState::Unread, EventState::Kept, EventState::Changed, EventState::Dropped].map(of);
            (counts.iter().sum::<usize>() > 0).then(|| {
                let text = |n: usize| if n == 0 { "–".to_owned() } else { grouped(n as u64) };
                let mut cells = vec![kind.words().to_owned()];
                cells.extend(counts.map(text));
                Row::plain(cells)
            })
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        summary: "Events by kind: not confirmed, confirmed, changed or added, dropped".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Event", 60.0),
            Column::right("Found, not confirmed", 30.0),
            Column::right("Confirmed by reader", 30.0),
            Column::right("Changed or added", 30.0),
            Column::right("Dropped by reader", 30.0),
        ],
        rows,
        size: TableSize::Small,
    })
}
