//! Beats and events as comma-separated values: UTF-8, comma, LF, header row, quoted by RFC 4180. Sample numbers count at the
//! recording's own rate, whatever lead was read. [`tables`](crate::tables) write their own lists in the same way.

use std::io::Write;

use beatledger_core::model::{Beat, Event, EventKind};
use beatledger_core::session::Snapshot;

use crate::ReportError;
use crate::values::{list_clock, rr_before_ms};

/// Columns of the beat list.
pub const BEAT_COLUMNS: [&str; 8] =
    ["sample", "time_s", "clock", "rr_ms", "class", "class_found", "confidence", "group"];
/// Columns of the event list.
pub const EVENT_COLUMNS: [&str; 9] =
    ["kind", "start_sample", "end_sample", "clock", "beats", "rate_bpm", "state", "certainty", "reason"];

/// Writes one row a beat as it stands. `rr_ms` is the interval that ends at the beat, empty at the first beat
/// and across unreadable time; `class_found` is empty for a beat that a reader placed, `group` when it
/// belongs to none.
///
/// # Errors
/// When the writer fails.
pub fn beats(snapshot: &Snapshot, to: impl Write) -> Result<(), ReportError> {
    let recording = &*snapshot.recording;
    let mut out = writer(to);
    out.write_record(BEAT_COLUMNS)?;
    for (i, beat) in snapshot.beats.iter().enumerate() {
        out.write_record([
            beat.sample.to_string(),
            format!("{:.6}", recording.rate.seconds_from_samples(beat.sample)),
            list_clock(recording, beat.sample),
            rr_before_ms(snapshot, i).map_or(String::new(), |rr| format!("{rr:.3}")),
            beat.class.letter().to_string(),
            beat.class_found.map_or(String::new(), |c| c.letter().to_string()),
            format!("{:.3}", beat.confidence),
            if beat.group == Beat::NO_GROUP { String::new() } else { beat.group.to_string() },
        ])?;
    }
    out.flush()?;
    Ok(())
}

/// Writes one row an event, dropped ones included and marked so.
///
/// # Errors
/// When the writer fails.
pub fn events(snapshot: &Snapshot, to: impl Write) -> Result<(), ReportError> {
    let mut out = writer(to);
    out.write_record(EVENT_COLUMNS)?;
    for event in snapshot.events.iter() {
        out.write_record([
            event.kind.key().to_owned(),
            event.span.start.to_string(),
            event.span.end.to_string(),
            list_clock(&snapshot.recording, event.span.start),
            beats_text(event),
            event.rate_bpm.filter(|r| r.is_finite()).map_or(String::new(), |r| format!("{r:.1}")),
            event.state.word().to_owned(),
            format!("{:.2}", event.certainty.share),
            event.certainty.reason.clone(),
        ])?;
    }
    out.flush()?;
    Ok(())
}

fn beats_text(event: &Event) -> String {
    if event.kind == EventKind::Unreadable { String::new() } else { event.beat_count().to_string() }
}

pub(crate) fn writer<W: Write>(to: W) -> ::csv::Writer<W> {
    ::csv::WriterBuilder::new().terminator(::csv::Terminator::Any(b'\n')).from_writer(to)
}
