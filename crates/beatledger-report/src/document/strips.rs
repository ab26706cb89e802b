//! The strips: each on paper scale, cut into lines that fit a page.

use beatledger_core::model::{Span, Strip, StripReason};
use beatledger_core::session::Snapshot;

use super::reader::said;
use super::tree::{Block, Section, StripBlock, Style, Turn};
use crate::strip::{self, StripGeom, StripOptions};
use crate::values::date_text;

/// Most seconds on one line: 180 mm at 25 mm/s, which with the pulse before it fills an A4 page.
const LINE_S: f64 = 7.2;
/// Most lines of one strip; a longer one is cut and says so.
const MOST_LINES: usize = 3;
/// Most leads of one strip.
const MOST_LEADS: usize = 3;
/// Most height of the tracing of one line, mm.
const MOST_HEIGHT_MM: f32 = 140.0;

pub(super) fn section(snapshot: &Snapshot) -> Option<Section> {
    if snapshot.summary.strips.is_empty() {
        return None;
    }
    let mut blocks = vec![Block::Paragraph(
        Style::Note,
        "Chosen by the program. 25 mm/s and 10 mm/mV when printed at 100 %: 5 mm are 200 ms and 0.5 mV. The \
         pulse before each lead is 1 mV and 200 ms. Letters: beat class by ANSI/AAMI EC57 (N normal, S \
         supraventricular ectopic, V ventricular ectopic, F fusion, Q unclassifiable); underlined where a \
         reader set it. Numbers between: RR in ms."
            .to_owned(),
    )];
    blocks.extend(snapshot.summary.strips.iter().map(|s| Block::Strip(Box::new(block(snapshot, s)))));
    Some(Section { heading: "Tracing".to_owned(), new_page: true, turn: Turn::Portrait, blocks })
}

fn block(snapshot: &Snapshot, strip: &Strip) -> StripBlock {
    let recording = &*snapshot.recording;
    let line = recording.rate.samples_from_seconds(LINE_S).max(1);
    let span = strip.span.overlap(recording.whole());
    let mut lines: Vec<StripGeom> = Vec::new();
    let mut at = span.start;
    while at < span.end && lines.len() < MOST_LINES {
        lines.push(one_line(snapshot, Span::new(at, (at + line).min(span.end))));
        at += line;
    }
    let mut note = match &strip.reason {
        StripReason::Event(i) => {
            snapshot.events.get(*i as usize).map_or(String::new(), |e| said(e).to_owned())
        }
        StripReason::Diary(i) => match snapshot.diary.get(*i as usize) {
            Some(d) => format!("diary entry at {}", recording.clock(d.span.start)),
            None => "diary entry".to_owned(),
        },
    };
    if let Some(day) = recording.local_time(span.start).map(date_text) {
        note = format!("{note} · {day}");
    }
    if at < span.end {
        note.push_str(" · only the beginning is shown");
    }
    StripBlock { title: strip.caption.clone(), note, lines }
}

fn one_line(snapshot: &Snapshot, span: Span) -> StripGeom {
    let mut options = StripOptions {
        leads: (0..snapshot.recording.leads.len().min(MOST_LEADS)).collect(),
        ..StripOptions::default()
    };
    let geom = strip::build(snapshot, span, &options);
    if geom.height_mm <= MOST_HEIGHT_MM {
        return geom;
    }
    options.lead_height_mm = Some((MOST_HEIGHT_MM / options.leads.len() as f32 / 5.0).floor() * 5.0);
    strip::build(snapshot, span, &options)
}
