//! The numbers of a list: lines to values, in the unit and the columns that their sizes tell.

use super::GAP;

/// One line that says something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Item {
    /// An interval, with the time column where there is one, in the unit of the file.
    Interval { line: usize, value: f64, time: Option<f64> },
    /// No interval for so many ms, as our own comment says.
    Gap { ms: f64 },
    /// A line that is no number.
    Unreadable { line: usize },
}

/// The items of a text; a first line of words is a heading and says nothing.
pub(super) fn items(text: &str) -> Vec<Item> {
    let mut out = Vec::new();
    for (at, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let line = line.trim();
        if let Some(ms) = line.strip_prefix(GAP) {
            out.extend(number(ms).filter(|ms| *ms > 0.0).map(|ms| Item::Gap { ms }));
            continue;
        }
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        match columns(line) {
            Some((time, value)) => out.push(Item::Interval { line: at + 1, value, time }),
            None if out.is_empty() && at == 0 => {}
            None => out.push(Item::Unreadable { line: at + 1 }),
        }
    }
    swap_columns(&mut out);
    out
}

/// One or two numbers: the interval, and the column before it.
fn columns(line: &str) -> Option<(Option<f64>, f64)> {
    let separator = |c: char| c.is_whitespace() || matches!(c, ',' | ';');
    let mut cells = line.split(separator).filter(|c| !c.is_empty());
    match (cells.next(), cells.next(), cells.next()) {
        (Some(only), None, None) => Some((None, number(only)?)),
        (Some(first), Some(second), None) => Some((Some(number(first)?), number(second)?)),
        _ => None,
    }
}

fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|x: &f64| x.is_finite())
}

/// Of two columns the one that never falls is the time, whichever comes first.
fn swap_columns(items: &mut [Item]) {
    let pairs = || {
        items.iter().filter_map(|item| match item {
            Item::Interval { value, time: Some(time), .. } => Some((*time, *value)),
            _ => None,
        })
    };
    let rises = |list: Vec<f64>| list.is_sorted() && list.first() < list.last();
    let (first, second) = (pairs().map(|p| p.0).collect(), pairs().map(|p| p.1).collect());
    if rises(second) && !rises(first) {
        for item in items {
            if let Item::Interval { value, time: Some(time), .. } = item {
                std::mem::swap(value, time);
            }
        }
    }
}

/// The median of the values that are above 0.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|v| *v > 0.0);
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_become_intervals_gaps_and_what_cannot_be_read() {
        let interval = |line, value| Item::Interval { line, value, time: None };
        let text = "\u{feff}rr_ms\r\n# a comment\n812.5\n\n# gap 2500\n800\nx\n1e3\n";
        let expected = [
            interval(3, 812.5),
            Item::Gap { ms: 2500.0 },
            interval(6, 800.0),
            Item::Unreadable { line: 7 },
            interval(8, 1e3),
        ];
        assert_eq!(items(text), expected);
    }

    #[test]
    fn the_time_column_is_the_one_that_rises() {
        let pair = |line, time, value| Item::Interval { line, value, time: Some(time) };
        let expected = [pair(1, 0.8, 800.0), pair(2, 1.7, 900.0), pair(3, 2.5, 800.0)];
        assert_eq!(items("0.8,800\n1.7,900\n2.5,800\n"), expected);
        assert_eq!(items("800\t0.8\n900\t1.7\n800\t2.5\n"), expected);
    }
}
