//! Agreement of two annotation sets by ANSI/AAMI EC57.
//!
//! EC57:1998 names a published set of comparators as the way to score; their rules are restated and
//! implemented here from the description in Moody, 'Evaluating ECG Analyzers' (distributed with them).
//! Inputs are plain positions and classes: this room knows no file. All percentages are `f64` and `None`
//! where the denominator is zero; such ones print as `-` and are left out of averages.
//!
//! ```
//! use beatledger_core::model::{BeatClass, Rate};
//! use beatledger_score::{Annotations, Rules, compare};
//!
//! let reference = Annotations::of_beats(vec![(360, BeatClass::N), (720, BeatClass::V)]);
//! let test = Annotations::of_beats(vec![(362, BeatClass::N), (725, BeatClass::V)]);
//! let line = compare("made", Rate::whole_hz(360), &reference, &test, &Rules::WHOLE);
//! assert_eq!(line.matrix.figures().vse_percent, Some(100.0));
//! ```
//!
//! The mapping of a database's beat symbols to N S V F Q belongs to the caller and must be stated with
//! every figure: conventions differ on escape beats.

mod episodes;
mod heart_rate;
mod matrix;
mod measurement;
mod pairing;
mod reliability;
mod runs;
mod score;
mod table;
mod timing;
mod totals;

pub use episodes::{EpisodeFigures, EpisodeTally, episodes};
pub use heart_rate::{HEART_RATE_RULE, heart_rate};
pub use matrix::{BeatFigures, Column, Matrix, Row};
pub use measurement::{MeasurementError, compare_measurements};
pub use pairing::{Annotations, Pair, Rules, pairs};
pub use reliability::{Bin, Reliability, bin_cells, reliability_table};
pub use runs::{RunClass, RunFigures, RunTally, runs};
pub use score::{Figure, Score};
pub use table::{
    beat_table, episode_table, matrix_table, rate_table, run_table, shutdown_table, timing_table,
};
pub use timing::{Hits, Timing, WINDOWS_MS};
pub use totals::{Line, RrError, average, compare, gross, gross_matrix};

/// `100 * part / whole`; `None` when `whole` is zero.
pub(crate) fn percent(part: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| 100.0 * part / whole)
}
