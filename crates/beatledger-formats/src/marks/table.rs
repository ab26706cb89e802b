//! Beats and events as typed columns, from which both CSV and Parquet are written. Names carry their units; a value
//! that is not there is empty in CSV and null in Parquet, never 0.

use std::io::Write;
use std::path::Path;

use beatledger_core::model::{Origin, Rate};

use super::Marks;
use crate::FormatError;
use crate::put::whole_file;
use crate::time::{date_is_known, iso_date_time};

/// One column.
pub(super) struct Column {
    pub(super) name: &'static str,
    pub(super) cells: Cells,
}

/// The cells of a column.
pub(super) enum Cells {
    Whole(Vec<Option<i64>>),
    /// With so many decimals in CSV.
    Real(usize, Vec<Option<f64>>),
    Text(Vec<Option<String>>),
    /// Wall clock on the recorder's own clock, no zone, ms since 1970-01-01 local.
    Local(Vec<Option<i64>>),
}

impl Cells {
    pub(super) fn len(&self) -> usize {
        match self {
            Self::Whole(list) | Self::Local(list) => list.len(),
            Self::Real(_, list) => list.len(),
            Self::Text(list) => list.len(),
        }
    }

    fn csv(&self, row: usize) -> String {
        let text = match self {
            Self::Whole(list) => list[row].map(|n| n.to_string()),
            Self::Real(decimals, list) => list[row].map(|x| format!("{x:.decimals$}")),
            Self::Text(list) => list[row].clone(),
            Self::Local(list) => list[row].map(|ms| iso_date_time(beatledger_core::model::LocalTime(ms))),
        };
        text.unwrap_or_default()
    }
}

fn origin(origin: Origin) -> String {
    match origin {
        Origin::Found => "program".into(),
        Origin::Reader => "reader".into(),
    }
}

/// Wall clock of samples; null where start or date is not known.
fn local(marks: &Marks, samples: impl Iterator<Item = i64>) -> Cells {
    let start = marks.start.filter(|s| date_is_known(*s));
    Cells::Local(samples.map(|at| start.map(|s| crate::cut::moved(s, marks.rate, at).0)).collect())
}

fn real<'a, T: 'a>(decimals: usize, rows: &'a [T], value: impl Fn(&'a T) -> Option<f64>) -> Cells {
    Cells::Real(decimals, rows.iter().map(value).collect())
}

/// One row a beat.
pub(super) fn beats(marks: &Marks) -> Vec<Column> {
    let rows = &marks.beats;
    let column = |name, cells| Column { name, cells };
    let letters = |letter: &dyn Fn(usize) -> Option<char>| {
        Cells::Text((0..rows.len()).map(|i| letter(i).map(String::from)).collect())
    };
    vec![
        column("sample", Cells::Whole(rows.iter().map(|b| Some(b.sample)).collect())),
        column("time_s", real(6, rows, |b| Some(b.time_s))),
        column("time_local", local(marks, rows.iter().map(|b| b.sample))),
        column("rr_ms", real(3, rows, |b| b.rr_ms)),
        column("class", letters(&|i| Some(rows[i].class.letter()))),
        column("class_found", letters(&|i| rows[i].class_found.map(|c| c.letter()))),
        column("origin", Cells::Text(rows.iter().map(|b| Some(origin(b.origin))).collect())),
        column("confidence", real(3, rows, |b| Some(f64::from(b.confidence)))),
        column("group", Cells::Whole(rows.iter().map(|b| b.group.map(i64::from)).collect())),
    ]
}

/// One row an event, dropped ones included and marked so.
pub(super) fn events(marks: &Marks) -> Vec<Column> {
    let rows = &marks.events;
    let rate: Rate = marks.rate;
    let column = |name, cells| Column { name, cells };
    let text = |words: &dyn Fn(usize) -> String| {
        Cells::Text((0..rows.len()).map(|i| Some(words(i)).filter(|t| !t.is_empty())).collect())
    };
    vec![
        column("kind", text(&|i| rows[i].kind.key().to_owned())),
        column("start_sample", Cells::Whole(rows.iter().map(|e| Some(e.span.start)).collect())),
        column("end_sample", Cells::Whole(rows.iter().map(|e| Some(e.span.end)).collect())),
        column("start_s", real(6, rows, |e| Some(rate.seconds_from_samples(e.span.start)))),
        column("duration_s", real(6, rows, |e| Some(rate.seconds_from_samples(e.span.len())))),
        column("time_local", local(marks, rows.iter().map(|e| e.span.start))),
        column("beats", Cells::Whole(rows.iter().map(|e| e.beats.map(i64::from)).collect())),
        column("rate_bpm", real(1, rows, |e| e.rate_bpm.map(f64::from))),
        column("state", text(&|i| rows[i].state.word().to_owned())),
        column("origin", text(&|i| origin(rows[i].origin))),
        column("note", text(&|i| rows[i].note.clone())),
        column("certainty", real(2, rows, |e| Some(f64::from(e.certainty.share)))),
        column("reason", text(&|i| rows[i].certainty.reason.clone())),
    ]
}

/// Writes the beats as CSV: UTF-8, comma, LF, a row of names, quoted by RFC 4180.
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write_beats_csv(marks: &Marks, path: impl AsRef<Path>) -> Result<(), FormatError> {
    csv(&beats(marks), path.as_ref())
}

/// Writes the events as CSV, as [`write_beats_csv`].
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write_events_csv(marks: &Marks, path: impl AsRef<Path>) -> Result<(), FormatError> {
    csv(&events(marks), path.as_ref())
}

fn csv(columns: &[Column], path: &Path) -> Result<(), FormatError> {
    whole_file(path, |out| {
        let mut table =
            ::csv::WriterBuilder::new().terminator(::csv::Terminator::Any(b'\n')).from_writer(&mut *out);
        // An error of the table is one of the file behind it.
        table.write_record(columns.iter().map(|c| c.name)).map_err(std::io::Error::from)?;
        for row in 0..columns.first().map_or(0, |c| c.cells.len()) {
            table.write_record(columns.iter().map(|c| c.cells.csv(row))).map_err(std::io::Error::from)?;
        }
        table.flush()?;
        drop(table);
        Ok(out.flush()?)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marks::MarkedEvent;
    use crate::marks::testing::marks_at;
    use crate::time::local_time_from_ymd_hms;
    use beatledger_core::model::{Certainty, EventKind, EventState, Span};

    #[test]
    fn an_event_leaves_with_its_certainty_and_with_what_makes_it_doubtful() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("e.csv");
        let mut marks = marks_at(250, &[25, 225]);
        let event = |certainty| MarkedEvent {
            kind: EventKind::AvBlock2To1,
            span: Span::new(25, 226),
            beats: Some(2),
            rate_bpm: Some(75.0),
            state: EventState::Unread,
            origin: Origin::Found,
            note: String::new(),
            certainty,
        };
        let doubtful = Certainty::of(0.7, || "the P waves are small, and few".to_owned());
        marks.events = vec![event(doubtful), event(Certainty::sure())];
        write_events_csv(&marks, &path).unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        let ends: Vec<&str> = text
            .lines()
            .filter_map(|l| l.split_once(",origin,").or(l.split_once(",program,")))
            .map(|l| l.1)
            .collect();
        assert_eq!(ends, ["note,certainty,reason", ",0.70,\"the P waves are small, and few\"", ",1.00,"]);
    }

    #[test]
    fn a_beat_is_a_row_with_its_clock_and_empty_cells_where_nothing_is_known() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        let mut marks = marks_at(250, &[25, 225]);
        marks.start = local_time_from_ymd_hms((2020, 10, 25), (23, 59, 59, 500));
        marks.beats[1].group = None;
        marks.beats[1].class_found = None;
        marks.beats[1].origin = Origin::Reader;
        write_beats_csv(&marks, &path).unwrap();
        let expected = "sample,time_s,time_local,rr_ms,class,class_found,origin,confidence,group\n\
            25,0.100000,2020-10-25T23:59:59.600,,N,N,program,0.900,0\n\
            225,0.900000,2020-10-26T00:00:00.400,800.000,N,,reader,0.900,\n";
        assert_eq!(std::fs::read_to_string(&path).unwrap(), expected);
    }
}
