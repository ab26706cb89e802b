//! The summary of a day, at once or in two steps.

use super::kept::Kept;
use super::rows::Rows;
use super::{figures, hours, strips, trend};
use crate::measure::{Day, ectopy::ectopy, st};
use crate::model::{Basis, DiaryEntry, Event, FigureValue, Proof, Reading, StLead, Summary};

/// The summary of a day as it stands. `events` are all events, dropped ones included; those count nowhere.
pub fn summarise(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    summarise_after(reading, events, diary, st::leads(reading), None).0
}

/// The same with ST as it was measured, the sooner for what was kept `before` of another summary of the same recording and
/// findings; with what the next one may take over.
pub fn summarise_after(
    reading: &Reading<'_>,
    events: &[Event],
    diary: &[DiaryEntry],
    st: Vec<StLead>,
    before: Option<&Kept>,
) -> (Summary, Kept) {
    let day = Day::new(reading, events);
    let mut kept = Kept::default();
    let mut summary = build(
        &day,
        diary,
        || Rows::new(&day, diary, st, before),
        |rows, summary| {
            kept = rows.put(&day, summary);
        },
    );
    summary.whole = true;
    (summary, kept)
}

/// What a reader looks at after an edit, in a fraction of the time: the figures of the families that come later ([`crate::model::Family::comes_later`]) say that
/// they are being worked out, and the courses are empty. Everything else is as in the whole summary.
pub fn summarise_first(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    let day = Day::new(reading, events);
    let mut summary =
        build(&day, diary, || Rows::first(&day, diary), |rows, summary| rows.put_first(summary));
    for figure in summary.figures.iter_mut().filter(|f| f.family().comes_later()) {
        figure.value = FigureValue::NotComputable(FigureValue::AWAITED.to_owned());
        figure.proof = Proof::Whole;
        (figure.place, figure.basis, figure.doubt) = (None, Basis::default(), None);
    }
    summary
}

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
