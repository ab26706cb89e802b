//! What was compared, as text to print and as CSV to keep.
//!
//! It knows cases and the figures of the comparison; it works out no figure of its own and writes no file.

mod errors;
mod figures;
mod text;

pub use errors::errors_csv;
pub use figures::figures_csv;
pub use text::text_tables;

use beatledger_score::Rules;

/// What is scored of each record: name for files, heading, rules.
type Period = (&'static str, &'static str, Rules);

/// Both periods.
const PERIODS: [Period; 2] = [
    ("whole", "Whole records", Rules::WHOLE),
    ("from-minute-5", "Without the first five minutes", Rules::EC57),
];

/// The rows of a CSV table that was written into memory, as text.
pub(crate) fn text_of(table: csv::Writer<Vec<u8>>) -> anyhow::Result<String> {
    Ok(String::from_utf8(table.into_inner().map_err(|e| e.into_error())?)?)
}
