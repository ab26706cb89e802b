//! ST by lead: its level with the places of its extremes, its changes, and its course window by window.

use beatledger_core::model::{FigureId, Span, StCourse, StEpisode, StLead};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING};
use super::table::Rows;
use super::value::{Named, Value, span_fields};
use crate::document::tree::TableSize;
use crate::values::{duration_text, list_clock, place_text};

/// Most changes of ST of one lead in window and print.
const MOST_CHANGES: usize = 12;

/// Level of ST on each lead.
pub struct Levels;

impl Rows for Levels {
    type Row = StLead;

    const ABOUT: About = About {
        key: "st",
        title: "ST level by lead",
        shows: "ST of each lead: reference, lowest and highest level, changes",
        definition: "Median over the beats of each window of the level after J against the PQ level; a change is held \
                     beyond the limit from the reference level of the lead, that of its first five minutes in which it is stable \
                     (European ST-T Database annotation rule), and does not begin where QRS changes.",
        settings: &[
            "st_offset_ms",
            "st_fast_offset_ms",
            "st_fast_bpm",
            "st_lowest_hz",
            "st_unknown_filter",
            "st_uncertain_mv",
            "st_change_mv",
            "st_hold_s",
        ],
        rests_like: FigureId::StChanges,
        file: None,
        in_summary: true,
        page: Page::Intervals,
        size: TableSize::Small,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<StLead> {
        snapshot.summary.st.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<StLead>> {
        level_columns()
    }

    /// The level that is furthest from the reference is the one to look at.
    fn place(&self, _: &Snapshot, row: &StLead) -> Option<Span> {
        let course = row.course.as_ref().ok()?;
        let [low, high] = [course.lowest, course.highest].map(|l| ((l.0 - course.reference_mv).abs(), l.1));
        Some(if low.0 > high.0 { low.1 } else { high.1 })
    }

    fn caution(&self) -> &'static str {
        "Change of position imitates ST change: look at the tracing. A level is a measurement, not a diagnosis, and \
         'ST change' names no cause."
    }
}

#[rustfmt::skip]
fn level_columns() -> Vec<Column<StLead>> {
    type C = Column<StLead>;
    vec![
        C::field("lead", |_, l| l.name.clone().into()).own_text("Lead", 22.0, |_, l| l.name.clone()),
        C::field("reason", |_, l| l.course.as_ref().err().cloned().into()),
        C::field("readable_percent", |_, l| of(l, |c| c.readable_percent.into())),
        C::field("reference_mv", |_, l| of(l, |c| Value::single(c.reference_mv)))
            .own("Reference, mV", 22.0, |_, l| words(l, |c| format!("{:.2}", c.reference_mv))),
        C::field("reference_place", |s, l| of(l, |c| Value::place(&s.recording, c.reference_place))),
        C::field("lowest_mv", |_, l| of(l, |c| Value::single(c.lowest.0)))
            .own("Lowest, mV", 32.0, |s, l| words(l, |c| level_at(s, c.lowest))),
        C::field("lowest_place", |s, l| of(l, |c| Value::place(&s.recording, c.lowest.1))),
        C::field("highest_mv", |_, l| of(l, |c| Value::single(c.highest.0)))
            .own("Highest, mV", 32.0, |s, l| words(l, |c| level_at(s, c.highest))),
        C::field("highest_place", |s, l| of(l, |c| Value::place(&s.recording, c.highest.1))),
        C::field("changes", |s, l| list(l, |c| c.episodes.iter().map(|e| change(s, e)).collect()))
            .own("Changes", 16.0, |_, l| words(l, |c| c.episodes.len().to_string())),
        C::field("points", |_, l| list(l, points)),
        C::right("Read. %", 14.0, |_, l| words(l, |c| format!("{:.0}", c.readable_percent))),
        C::text("Withheld because", 42.0, |_, l| l.course.as_ref().err().cloned().unwrap_or_default()),
    ]
}

fn of(lead: &StLead, value: impl Fn(&StCourse) -> Value) -> Value {
    lead.course.as_ref().map_or(Value::None, value)
}

fn list(lead: &StLead, values: impl Fn(&StCourse) -> Vec<Value>) -> Value {
    Value::List(lead.course.as_ref().map_or(Vec::new(), values))
}

fn words(lead: &StLead, words: impl Fn(&StCourse) -> String) -> String {
    lead.course.as_ref().map_or(NOTHING.to_owned(), words)
}

fn level_at(snapshot: &Snapshot, level: (f32, Span)) -> String {
    format!("{:.2} at {}", level.0, place_text(&snapshot.recording, level.1.start))
}

fn change(snapshot: &Snapshot, episode: &StEpisode) -> Value {
    let mut fields = span_fields(&snapshot.recording, Some(episode.span)).to_vec();
    fields.push(("extreme_mv", Value::single(episode.extreme_mv)));
    fields.push(("extreme_place", Value::place(&snapshot.recording, episode.place)));
    Value::Record(Named(fields))
}

fn points(course: &StCourse) -> Vec<Value> {
    let point = |p: &beatledger_core::model::StPoint| {
        Value::Record(Named(vec![
            ("start_sample", p.start.into()),
            ("level_mv", Value::single(p.level_mv)),
            ("beats", u32::from(p.beats).into()),
        ]))
    };
    course.points.iter().map(point).collect()
}

/// Changes of ST that are held, lead by lead.
pub struct Changes;

/// A change on a lead, or how many more there are than are shown.
pub enum Change {
    /// One.
    One(String, StEpisode),
    /// So many more.
    More(String, usize),
}

impl Rows for Changes {
    type Row = Change;

    const ABOUT: About = About {
        key: "st_changes",
        title: "ST change",
        shows: "Changes of ST that are held: lead, time, length, greatest deviation",
        definition: "Stretches in which the level of a lead stays beyond the limit from its reference for the set time \
                     (1 x 1 x 1 rule, from memory).",
        settings: &["st_change_mv", "st_hold_s"],
        in_summary: false,
        ..Levels::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Change> {
        let of_lead = |lead: &StLead| {
            let episodes = lead.course.as_ref().map_or(&[][..], |c| &c.episodes);
            let shown = episodes.iter().take(MOST_CHANGES);
            let mut rows: Vec<Change> = shown.map(|e| Change::One(lead.name.clone(), *e)).collect();
            let more = episodes.len().saturating_sub(MOST_CHANGES);
            rows.extend((more > 0).then(|| Change::More(lead.name.clone(), more)));
            rows
        };
        snapshot.summary.st.iter().flat_map(of_lead).collect()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Change>> {
        type C = Column<Change>;
        fn one(row: &Change, words: impl Fn(&StEpisode) -> String) -> String {
            match row {
                Change::One(_, episode) => words(episode),
                Change::More(..) => String::new(),
            }
        }
        vec![
            C::text("", 60.0, |_, row| match row {
                Change::One(lead, _) => format!("ST change, {lead}"),
                Change::More(lead, n) => format!("and {n} more on {lead}"),
            }),
            C::right("From", 30.0, |s, row| one(row, |e| place_text(&s.recording, e.span.start))),
            C::right("Length", 30.0, |s, row| {
                one(row, |e| duration_text(s.recording.rate.seconds_from_samples(e.span.len())))
            }),
            C::right("Greatest, mV", 30.0, |_, row| one(row, |e| format!("{:+.2}", e.extreme_mv))),
            C::right("Greatest at", 30.0, |s, row| one(row, |e| place_text(&s.recording, e.place.start))),
        ]
    }

    fn place(&self, _: &Snapshot, row: &Change) -> Option<Span> {
        match row {
            Change::One(_, episode) => Some(episode.span),
            Change::More(..) => None,
        }
    }
}

/// The level of ST window by window: a list of comma-separated values alone.
pub struct Course;

/// Name of the lead, first sample, level in mV and beats of a window.
type Window = (String, i64, f32, u16);

impl Rows for Course {
    type Row = Window;

    const ABOUT: About = About {
        key: "st_course",
        title: "Course of ST",
        shows: "The level of ST of each window on each lead",
        file: Some("st.csv"),
        in_summary: false,
        page: Page::No,
        ..Levels::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Window> {
        let of_lead = |lead: &StLead| -> Vec<Window> {
            let points = lead.course.as_ref().map_or(&[][..], |c| &c.points);
            points.iter().map(|p| (lead.name.clone(), p.start, p.level_mv, p.beats)).collect()
        };
        snapshot.summary.st.iter().flat_map(of_lead).collect()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Window>> {
        type C = Column<Window>;
        vec![
            C::field("lead", |_, p| p.0.clone().into()),
            C::field("start_sample", |_, p| p.1.into()),
            C::field("time_s", |s, p| format!("{:.6}", s.recording.rate.seconds_from_samples(p.1)).into()),
            C::field("clock", |s, p| list_clock(&s.recording, p.1).into()),
            C::field("level_mv", |_, p| Value::Text(p.2.to_string())),
            C::field("beats", |_, p| u32::from(p.3).into()),
        ]
    }

    fn is_shown(&self, _: &Snapshot, _: &[Window]) -> bool {
        false
    }
}
