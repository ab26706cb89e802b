//! All of the above to the summary: every figure carries what proves it.

pub mod catalogue;
mod enough;
mod figures;
mod heart;
mod hours;
mod kept;
mod list;
mod normal;
mod rates;
mod rows;
mod sheet;
mod strips;
mod timing;
mod trend;
mod waves;

pub use kept::Kept;
pub use list::rr_list;

use crate::measure::{Day, ectopy::ectopy};
use crate::model::{Basis, DiaryEntry, Event, FigureValue, Proof, Reading, Summary};
use rows::Rows;

/// Why a figure is not told yet: the summary is the first part of [`summarise_first`].
pub const AWAITED: &str = "being worked out";

/// Why there is no rate.
const NO_BEATS: &str = "no readable interval between two beats";
/// Why nothing is told by the clock.
const NO_START: &str = "the recording has no start time";

/// The summary of a day as it stands. `events` are all events, dropped ones included; those count nowhere.
pub fn summarise(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    summarise_after(reading, events, diary, None).0
}

/// The same, the sooner for what was kept `before` of another summary of the same recording and findings; with what the
/// next one may take over.
pub fn summarise_after(
    reading: &Reading<'_>,
    events: &[Event],
    diary: &[DiaryEntry],
    before: Option<&Kept>,
) -> (Summary, Kept) {
    let day = Day::new(reading, events);
    let mut kept = Kept::default();
    let mut summary = build(
        &day,
        diary,
        || Rows::new(&day, diary, before),
        |rows, summary| {
            kept = rows.put(&day, summary);
        },
    );
    summary.whole = true;
    (summary, kept)
}

/// What a reader looks at after an edit, in a fraction of the time: the figures of the families in [`LATER`] say that
/// they are being worked out, and the courses are empty. Everything else is as in the whole summary.
pub fn summarise_first(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    let day = Day::new(reading, events);
    let mut summary =
        build(&day, diary, || Rows::first(&day, diary), |rows, summary| rows.put_first(summary));
    for figure in summary.figures.iter_mut().filter(|f| LATER.contains(&f.family)) {
        figure.value = FigureValue::NotComputable(AWAITED.to_owned());
        figure.proof = Proof::Whole;
        (figure.place, figure.basis) = (None, Basis::default());
    }
    summary
}

/// Families of figures that take long.
pub const LATER: [&str; 5] =
    ["Variability", "Variability spectrum", "Turbulence and deceleration", "Intervals", "ST and T wave"];

fn build(
    day: &Day<'_>,
    diary: &[DiaryEntry],
    rows: impl FnOnce() -> Rows + Send,
    put: impl FnOnce(Rows, &mut Summary),
) -> Summary {
    let ectopic = ectopy(day);
    let (rows, ((hours, total), (strips, trend))) = rayon::join(rows, || {
        rayon::join(|| hours::hours(day, &ectopic), || (strips::strips(day, diary), trend::trend(day)))
    });
    let figures = figures::figures(day, &ectopic, &rows);
    let mut summary = Summary { figures, hours, day: total, strips, trend, ..Summary::default() };
    put(rows, &mut summary);
    summary
}

#[cfg(test)]
mod figure_tests;
#[cfg(test)]
mod hour_tests;
#[cfg(test)]
mod rhythm_tests;
#[cfg(test)]
mod tests;
