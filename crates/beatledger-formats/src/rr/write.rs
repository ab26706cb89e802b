//! Writes RR intervals as text: ms, one a line.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;

use beatledger_core::model::BeatClass;

use super::GAP;
use crate::FormatError;
use crate::marks::Marks;
use crate::put::whole_file;

/// Which intervals are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// All that were measured, whatever the class of their beats.
    All,
    /// Those between two normal beats.
    NormalToNormal,
}

/// The text: a heading, then one interval a line in ms with three decimals. Where an interval was left out (across
/// unreadable time, or beside a beat that is not N) a comment `# gap MS` keeps the time. Intervals are differences
/// of rounded times, so that their sum does not drift.
pub fn text(marks: &Marks, which: Which) -> String {
    let what = match which {
        Which::All => "all intervals",
        Which::NormalToNormal => "intervals between two normal beats",
    };
    let mut out = format!("# RR intervals in ms, one a line: {what}. '{GAP}MS' is time without one.\n");
    let rounded_us = |at: f64| (at * 1e6).round() as i64;
    let mut since: Option<i64> = None;
    for (i, beat) in marks.beats.iter().enumerate() {
        let at = rounded_us(beat.time_s);
        let before = i.checked_sub(1).and_then(|k| marks.beats.get(k));
        let both = before.is_some_and(|b| b.class == BeatClass::N && beat.class == BeatClass::N);
        let counts = beat.rr_ms.is_some() && (which == Which::All || both);
        match (since, before) {
            (Some(from), _) if counts => {
                // Writing to a text cannot fail.
                let _ = writeln!(out, "{}.{:03}", (at - from) / 1000, (at - from) % 1000);
            }
            (Some(from), Some(_)) => {
                let _ = writeln!(out, "{GAP}{}.{:03}", (at - from) / 1000, (at - from) % 1000);
            }
            _ => {}
        }
        since = Some(at);
    }
    out
}

/// Writes [`text`] to `path`.
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write(marks: &Marks, which: Which, path: impl AsRef<Path>) -> Result<(), FormatError> {
    whole_file(path.as_ref(), |out| Ok(out.write_all(text(marks, which).as_bytes())?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marks::testing::marks_at;

    // 256 Hz: one sample is 3.90625 ms, so that three decimals alone would drift.
    #[test]
    fn intervals_sum_to_the_time_between_first_and_last_beat_and_gaps_keep_the_time() {
        let places: Vec<i64> = (0..50_001).map(|i| i * 207).collect();
        let mut marks = marks_at(256, &places);
        marks.beats[10].rr_ms = None;
        let written = text(&marks, Which::All);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.rr.txt");
        write(&marks, Which::All, &path).unwrap();
        let read = crate::rr::read(&path).unwrap();
        assert_eq!(written.lines().nth(1), Some("808.594"));
        assert_eq!(read.beats_ms.len(), places.len());
        assert_eq!(read.gaps_ms.len(), 1);
        let whole_ms = 50_000.0 * 207.0 / 256.0 * 1000.0;
        assert!((read.beats_ms[50_000] - whole_ms).abs() < 0.001, "{}", read.beats_ms[50_000]);
    }

    #[test]
    fn beside_a_beat_that_is_not_normal_there_is_no_nn_interval() {
        let mut marks = marks_at(1000, &[0, 800, 1200, 2400, 3200]);
        marks.beats[2].class = BeatClass::V;
        let lines = |which| text(&marks, which).lines().skip(1).map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(lines(Which::All), ["800.000", "400.000", "1200.000", "800.000"]);
        assert_eq!(lines(Which::NormalToNormal), ["800.000", "# gap 400.000", "# gap 1200.000", "800.000"]);
    }
}
