//! Beats and events as Apache Parquet (the format's own specification, `parquet.thrift` 2.x): one row group, one
//! plain page a column, no compression, so that every reader of the format reads it.
//!
//! The crate of the Apache project would add more than 40 s to a cold build for these few structures.

use std::io::Write;
use std::path::Path;

use super::Marks;
use super::table::{Cells, Column, beats, events};
use super::thrift::{Fields, varint};
use crate::FormatError;
use crate::put::whole_file;

const MAGIC: &[u8; 4] = b"PAR1";
/// Version of the columns and keys that are written here.
const FORMAT_VERSION: &str = "2";

/// Physical types of the format.
const INT64: i32 = 2;
const DOUBLE: i32 = 5;
const BYTE_ARRAY: i32 = 6;
/// Encodings.
const PLAIN: i32 = 0;
const RLE: i32 = 3;
/// Converted types, for readers that know no logical ones.
const UTF8: i32 = 0;

/// Writes the beats, one row each: `sample` INT64, `time_s` DOUBLE, `time_local` TIMESTAMP (ms, no zone), `rr_ms`
/// DOUBLE, `class`, `class_found`, `origin` UTF-8, `confidence` DOUBLE, `group` INT64. The metadata of the file state
/// the rate as `rate_num` and `rate_den`, `samples`, `start_local`, `zone` (empty: not known), `source_sha256` and
/// `format_version`.
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write_beats_parquet(marks: &Marks, path: impl AsRef<Path>) -> Result<(), FormatError> {
    write(marks, "beats", &beats(marks), path.as_ref())
}

/// Writes the events, as [`write_beats_parquet`].
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write_events_parquet(marks: &Marks, path: impl AsRef<Path>) -> Result<(), FormatError> {
    write(marks, "events", &events(marks), path.as_ref())
}

/// Where a column lies in the file, bytes.
struct Chunk {
    at: i64,
    len: i64,
}

fn write(marks: &Marks, name: &str, columns: &[Column], path: &Path) -> Result<(), FormatError> {
    whole_file(path, |out| {
        out.write_all(MAGIC)?;
        let mut at = MAGIC.len() as i64;
        let mut chunks = Vec::with_capacity(columns.len());
        for column in columns {
            let page = page(&column.cells);
            out.write_all(&page)?;
            chunks.push(Chunk { at, len: page.len() as i64 });
            at += page.len() as i64;
        }
        let footer = footer(marks, name, columns, &chunks);
        out.write_all(&footer)?;
        // The footer is a few kilobytes: names and places of about ten columns.
        out.write_all(&(footer.len() as u32).to_le_bytes())?;
        Ok(out.write_all(MAGIC)?)
    })
}

fn physical(cells: &Cells) -> i32 {
    match cells {
        Cells::Whole(_) | Cells::Local(_) => INT64,
        Cells::Real(..) => DOUBLE,
        Cells::Text(_) => BYTE_ARRAY,
    }
}

/// Header and body of the one page of a column: which cells are there, then those that are.
fn page(cells: &Cells) -> Vec<u8> {
    let (mut values, mut there) = (Vec::new(), Vec::with_capacity(cells.len()));
    match cells {
        Cells::Whole(list) | Cells::Local(list) => {
            list.iter().for_each(|n| values.extend(n.map(i64::to_le_bytes).into_iter().flatten()));
            there.extend(list.iter().map(Option::is_some));
        }
        Cells::Real(_, list) => {
            list.iter().for_each(|x| values.extend(x.map(f64::to_le_bytes).into_iter().flatten()));
            there.extend(list.iter().map(Option::is_some));
        }
        Cells::Text(list) => {
            for text in list.iter().flatten() {
                values.extend((text.len() as u32).to_le_bytes());
                values.extend(text.bytes());
            }
            there.extend(list.iter().map(Option::is_some));
        }
    }
    let levels = runs(&there);
    let size = (levels.len() + 4 + values.len()) as i32;
    let data = Fields::default().i32(1, cells.len() as i32).i32(2, PLAIN).i32(3, RLE).i32(4, RLE);
    let header = Fields::default().i32(1, 0).i32(2, size).i32(3, size).inner(5, data);
    let mut out = header.finish();
    out.extend((levels.len() as u32).to_le_bytes());
    out.extend(levels);
    out.extend(values);
    out
}

/// Which cells are there, as runs: twice the length, then the value.
fn runs(there: &[bool]) -> Vec<u8> {
    let mut out = Vec::new();
    for run in there.chunk_by(|a, b| a == b) {
        varint(&mut out, (run.len() as u64) << 1);
        out.push(u8::from(run[0]));
    }
    out
}

fn footer(marks: &Marks, name: &str, columns: &[Column], chunks: &[Chunk]) -> Vec<u8> {
    let rows = columns.first().map_or(0, |c| c.cells.len()) as i64;
    let root = Fields::default().text(4, name).i32(5, columns.len() as i32);
    let schema = std::iter::once(root).chain(columns.iter().map(element)).collect();
    let total = chunks.iter().map(|c| c.len).sum();
    let parts = columns.iter().zip(chunks).map(|(column, chunk)| {
        let meta = Fields::default()
            .i32(1, physical(&column.cells))
            .i32s(2, &[PLAIN, RLE])
            .texts(3, &[column.name])
            .i32(4, 0)
            .i64(5, column.cells.len() as i64)
            .i64(6, chunk.len)
            .i64(7, chunk.len)
            .i64(9, chunk.at);
        Fields::default().i64(2, chunk.at).inner(3, meta)
    });
    let group = Fields::default().structs(1, parts.collect()).i64(2, total).i64(3, rows);
    let keys = metadata(marks).into_iter().map(|(k, v)| Fields::default().text(1, k).text(2, &v));
    Fields::default()
        .i32(1, 1)
        .structs(2, schema)
        .i64(3, rows)
        .structs(4, vec![group])
        .structs(5, keys.collect())
        .text(6, concat!("beatledger ", env!("CARGO_PKG_VERSION")))
        .finish()
}

/// A column in the schema: every cell may be missing.
fn element(column: &Column) -> Fields {
    let fields = Fields::default().i32(1, physical(&column.cells)).i32(3, 1).text(4, column.name);
    match column.cells {
        Cells::Text(_) => fields.i32(6, UTF8).inner(10, Fields::default().inner(1, Fields::default())),
        Cells::Local(_) => {
            let ms = Fields::default().inner(1, Fields::default());
            let local = Fields::default().bool(1, false).inner(2, ms);
            fields.inner(10, Fields::default().inner(8, local))
        }
        Cells::Whole(_) | Cells::Real(..) => fields,
    }
}

fn metadata(marks: &Marks) -> [(&'static str, String); 7] {
    let (samples, seconds) = marks.rate.parts();
    let start = marks.start.filter(|s| crate::time::date_is_known(*s));
    [
        ("format_version", FORMAT_VERSION.to_owned()),
        ("rate_num", samples.to_string()),
        ("rate_den", seconds.to_string()),
        ("samples", marks.samples.to_string()),
        ("start_local", start.map_or_else(String::new, crate::time::iso_date_time)),
        ("zone", String::new()),
        ("source_sha256", marks.source_sha256.clone()),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marks::testing::marks_at;

    /// The whole file of two beats byte for byte, as `pyarrow` 26.0.1 reads it (tests/reference/check_written.py
    /// reads larger ones).
    #[test]
    fn the_frame_of_a_file_is_what_the_specification_asks_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.parquet");
        write_beats_parquet(&marks_at(250, &[25, 225]), &path).unwrap();
        let bytes = std::fs::read(&path).unwrap();
        assert_eq!((&bytes[..4], &bytes[bytes.len() - 4..]), (MAGIC.as_slice(), MAGIC.as_slice()));
        // Page header: data page, 23 bytes twice, 2 values, plain, run-length levels; then the levels and two places.
        let first = [0x15, 0, 0x15, 44, 0x15, 44, 0x2c, 0x15, 4, 0x15, 0, 0x15, 6, 0x15, 6, 0, 0];
        assert_eq!(bytes[4..21], first);
        assert_eq!(bytes[21..27], [2, 0, 0, 0, 4, 1]);
        assert_eq!(bytes[27..43], [25i64.to_le_bytes(), 225i64.to_le_bytes()].concat());
        let len = bytes.len();
        let footer =
            u32::from_le_bytes([bytes[len - 8], bytes[len - 7], bytes[len - 6], bytes[len - 5]]) as usize;
        assert!(footer > 100 && bytes[len - 8 - footer] == 0x15, "the footer lies where its length says");
    }

    #[test]
    fn cells_that_are_not_there_are_runs_and_take_no_room() {
        assert_eq!(runs(&[true, true, false, true]), [4, 1, 2, 0, 2, 1]);
        let with = page(&Cells::Real(3, vec![Some(1.0), None]));
        let without = page(&Cells::Real(3, vec![Some(1.0)]));
        assert_eq!(with.len(), without.len() + 2, "one more run, no more numbers");
    }
}
