//! What the lines before the first sample say: rate, unit, start, and the columns.

use beatledger_core::model::{LocalTime, Rate};
use chrono::NaiveDateTime;

use crate::choose::mv_per_unit;

/// A column as its header names it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) name: String,
    pub(super) unit: String,
}

/// How the rows are to be read.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Layout {
    pub(super) rate: Option<Rate>,
    pub(super) start: Option<LocalTime>,
    pub(super) separator: char,
    pub(super) columns: Vec<Column>,
    /// The time column and seconds of its unit.
    pub(super) time: Option<(usize, f64)>,
    /// Lines before the first row of numbers.
    pub(super) lines: usize,
}

/// The layout from the first lines of a text; `None` when they are not those of a table of samples.
pub(super) fn layout(text: &str) -> Option<Layout> {
    let mut layout = Layout::default();
    let mut unit = String::new();
    let mut header: Option<&str> = None;
    for line in text.trim_start_matches('\u{feff}').lines() {
        let line = line.trim_end();
        if let Some(comment) = line.strip_prefix('#') {
            layout.note(comment, &mut unit);
        } else if !line.trim().is_empty() {
            let separator = layout.separator(header.unwrap_or(line));
            let numbers =
                line.split(separator).all(|cell| cell.trim().is_empty() || number(cell, separator).is_some());
            if numbers {
                layout.finish(header, line, separator, &unit);
                return (layout.rate.is_some() || layout.time.is_some()).then_some(layout);
            }
            if header.replace(line).is_some() {
                return None;
            }
        }
        layout.lines += 1;
    }
    None
}

impl Layout {
    /// A comment of the form `key=value`.
    fn note(&mut self, comment: &str, unit: &mut String) {
        let Some((key, value)) = comment.split_once('=') else { return };
        let value = value.trim();
        match key.trim() {
            "rate_hz" => self.rate = value.parse().ok().and_then(Rate::from_hz),
            "unit" => *unit = value.to_owned(),
            "start" => {
                let time = NaiveDateTime::parse_from_str(value, "%Y-%m-%dT%H:%M:%S%.f").ok();
                self.start = time.map(|t| LocalTime(t.and_utc().timestamp_millis()));
            }
            _ => {}
        }
    }

    fn separator(&self, line: &str) -> char {
        ['\t', ';', ','].into_iter().find(|c| line.contains(*c)).unwrap_or(',')
    }

    fn finish(&mut self, header: Option<&str>, first: &str, separator: char, unit: &str) {
        self.separator = separator;
        let count = first.split(separator).count();
        let names: Vec<&str> = header.map_or_else(Vec::new, |h| h.split(separator).collect());
        for i in 0..count.max(names.len()) {
            let name = names.get(i).map(|n| n.trim().trim_matches('"')).unwrap_or_default();
            let mut column = name_and_unit(name);
            if column.name.is_empty() {
                column.name = format!("ECG {}", i + 1);
            }
            let is_time =
                matches!(column.name.to_ascii_lowercase().as_str(), "time" | "t" | "elapsed" | "seconds");
            let seconds = match column.unit.as_str() {
                "" | "s" => Some(1.0),
                "ms" => Some(0.001),
                _ => None,
            };
            if let Some(seconds) = seconds.filter(|_| is_time && self.time.is_none()) {
                self.time = Some((i, seconds));
            } else if column.unit.is_empty() {
                column.unit = unit.to_owned();
            }
            self.columns.push(column);
        }
    }
}

/// `II (mV)`, `II [mV]`, `II_mV` or `time_s` as name and unit.
fn name_and_unit(text: &str) -> Column {
    let is_unit = |u: &str| mv_per_unit(u).is_some() || matches!(u, "s" | "ms");
    let bracket =
        text.trim_end_matches([')', ']']).rsplit_once(['(', '[']).filter(|_| text.ends_with([')', ']']));
    let tail = text.rsplit_once('_').filter(|(_, unit)| is_unit(unit));
    let (name, unit) = bracket.or(tail).unwrap_or((text, ""));
    Column { name: name.trim().to_owned(), unit: unit.trim().to_owned() }
}

/// A finite number; a decimal comma where commas do not part the cells.
pub(super) fn number(cell: &str, separator: char) -> Option<f64> {
    let cell = cell.trim().trim_matches('"');
    let plain: Option<f64> = cell.parse().ok();
    let with_comma = || if separator == ',' { None } else { cell.replacen(',', ".", 1).parse().ok() };
    plain.or_else(with_comma).filter(|v| v.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn columns(layout: &Layout) -> Vec<(&str, &str)> {
        layout.columns.iter().map(|c| (c.name.as_str(), c.unit.as_str())).collect()
    }

    #[test]
    fn a_header_row_names_columns_units_and_the_time() {
        let table = layout("time_ms,MLII (mV),V5 [uV],aVF_mV,note\n0,1,2,3,\n").unwrap();
        assert_eq!((table.time, table.separator, table.lines), (Some((0, 0.001)), ',', 1));
        assert_eq!(columns(&table)[1..], [("MLII", "mV"), ("V5", "uV"), ("aVF", "mV"), ("note", "")]);
    }

    #[test]
    fn comments_state_rate_unit_and_start_of_a_table_without_a_header() {
        let table =
            layout("# rate_hz=250\r\n# unit=uV\r\n# start=2020-10-24T09:30:15\r\n\r\n12;-3,5\r\n").unwrap();
        assert_eq!(table.rate.map(Rate::hz), Some(250.0));
        assert_eq!(columns(&table), [("ECG 1", "uV"), ("ECG 2", "uV")]);
        assert_eq!((table.start.map(|s| s.clock()).as_deref(), table.lines), (Some("09:30:15"), 4));
        assert_eq!(number("-3,5", ';'), Some(-3.5));
        assert_eq!((number("3,5", ','), number("inf", ';')), (None, None));
    }

    #[test]
    fn a_table_without_rate_and_time_and_other_texts_are_none() {
        for text in [
            "MLII,V5\n1,2\n",
            "812.5\n808.6\n",
            "0,12,-16000\n",
            "time,elapsed_s,kind,text\n2020-10-24T14:05:00,16485,symptom,dizzy\n",
            "# rate_hz=0\n1\n",
            "208 2 360 650000\n208.dat 212 200\n",
            "",
        ] {
            assert_eq!(layout(text), None, "{text}");
        }
    }
}
