//! The report as a tree of plain blocks, free of any PDF type.

use beatledger_core::model::Span;

use crate::strip::StripGeom;

/// Which way a page is turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Turn {
    /// 210 mm wide.
    #[default]
    Portrait,
    /// 297 mm wide: a strip of 10 s fits at 25 mm/s.
    Landscape,
}

/// A report ready to be set.
#[derive(Clone, Debug, PartialEq)]
pub struct Report {
    /// Title of the document.
    pub title: String,
    /// Printed names of those who signed.
    pub authors: Vec<String>,
    /// When it was made, ms since 1970-01-01 UTC.
    pub created_utc_ms: i64,
    /// Minutes east of UTC of the clock that made it.
    pub utc_offset_min: i32,
    /// The same for the same content: recording, ledger and time.
    pub document_id: String,
    /// Left part of the foot of each page: recording, short hash, state.
    pub foot: String,
    /// Program and version.
    pub program: String,
    /// The sections.
    pub sections: Vec<Section>,
}

/// A section with a heading of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Heading; the first section prints its own.
    pub heading: String,
    /// True to start on a new page.
    pub new_page: bool,
    /// Which way its pages are turned; a change starts a new page.
    pub turn: Turn,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

impl Section {
    pub(super) fn new(heading: &str, blocks: Vec<Block>) -> Self {
        Self { heading: heading.to_owned(), new_page: false, turn: Turn::Portrait, blocks }
    }

    pub(super) fn on_new_page(mut self) -> Self {
        self.new_page = true;
        self
    }
}

/// How a paragraph is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Running text.
    Body,
    /// Running text, larger: the reader's own words.
    Large,
    /// Small and quiet.
    Note,
    /// Strong: a thing that must not be missed.
    Strong,
    /// One of several points.
    Point,
}

/// A piece of the report.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Title of the document with a line above it.
    Title {
        /// Small line above.
        over: String,
        /// The title.
        text: String,
    },
    /// A heading below the section's own.
    Subheading(String),
    /// A paragraph; line breaks are kept.
    Paragraph(Style, String),
    /// The state of the report: signed or not.
    State {
        /// True when it is signed and nothing was changed since.
        settled: bool,
        /// The state in a few words.
        text: String,
        /// What it means.
        detail: String,
    },
    /// Names and values in columns.
    Pairs(Vec<(String, String)>),
    /// The main figures.
    KeyFigures(Vec<KeyFigure>),
    /// A table.
    Table(Table),
    /// The rate of the day.
    Trend(Box<TrendChart>),
    /// The course of ST over the day.
    St(Box<StChart>),
    /// Tracing on paper scale.
    Strip(Box<StripBlock>),
}

/// A main figure.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyFigure {
    /// Name in plain words.
    pub name: String,
    /// Value in print.
    pub value: String,
    /// Unit, empty when the value has none or carries it.
    pub unit: String,
    /// Who said so: found by the program, confirmed by a reader.
    pub note: String,
}

/// Which edge of a column its cells line up with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Text.
    Left,
    /// Numbers.
    Right,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Heading.
    pub title: String,
    /// Full name, to be read aloud; the heading where that is enough.
    pub name: &'static str,
    /// How its cells line up.
    pub align: Align,
    /// Share of the width.
    pub share: f32,
}

impl Column {
    pub(super) fn left(title: &'static str, share: f32) -> Self {
        Self { title: title.to_owned(), name: title, align: Align::Left, share }
    }

    pub(super) fn right(title: &'static str, share: f32) -> Self {
        Self { title: title.to_owned(), name: title, align: Align::Right, share }
    }
}

/// A row of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// One a column.
    pub cells: Vec<String>,
    /// True for totals and the like.
    pub strong: bool,
    /// The stretch of tracing that shows it, where there is one.
    pub place: Option<Span>,
}

impl Row {
    pub(super) fn plain(cells: Vec<String>) -> Self {
        Self { cells, strong: false, place: None }
    }
}

/// How large a table is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TableSize {
    /// As running text.
    Normal,
    /// Small.
    Small,
    /// Small, with rows close together: the hours of a day on one page.
    Dense,
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it shows, for those who cannot see it.
    pub summary: String,
    /// Headings over several columns: text and number of columns; empty when there are none.
    pub groups: Vec<(String, usize)>,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
    /// How large it is set.
    pub size: TableSize,
}

/// The rate of the day, places in hours from the start of the recording.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrendChart {
    /// Length of the recording, h.
    pub hours: f64,
    /// Lowest and highest rate of the axis, bpm.
    pub range_bpm: (f64, f64),
    /// Hour, lowest, mean, highest rate; one a minute, broken into pieces where there is no rate.
    pub pieces: Vec<Vec<(f64, f32, f32, f32)>>,
    /// Clock marks of the axis.
    pub ticks: Vec<(f64, String)>,
    /// Night.
    pub night: Vec<(f64, f64)>,
    /// Unreadable time.
    pub unreadable: Vec<(f64, f64)>,
    /// Kinds of event that occur, each with its places.
    pub lanes: Vec<(String, Vec<(f64, f64)>)>,
    /// Diary entries: place and number in the diary.
    pub diary: Vec<(f64, usize)>,
    /// What it shows, in words.
    pub words: String,
}

/// The course of ST over the day, one plot a lead, places in hours from the start of the recording.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StChart {
    /// Length of the recording, h.
    pub hours: f64,
    /// Clock marks of the axis.
    pub ticks: Vec<(f64, String)>,
    /// Unreadable time.
    pub unreadable: Vec<(f64, f64)>,
    /// The leads that have a course.
    pub leads: Vec<StPlot>,
}

/// The course of ST on one lead.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StPlot {
    /// Name of the lead.
    pub name: String,
    /// Lowest and highest level of the axis, mV.
    pub range_mv: (f64, f64),
    /// Reference level, mV.
    pub reference_mv: f64,
    /// Hour and level, mV; one a minute, broken into pieces where there is no level.
    pub pieces: Vec<Vec<(f64, f32)>>,
    /// Changes that are held, and the greatest deviation of each, mV.
    pub changes: Vec<((f64, f64), f32)>,
    /// What it shows, in words.
    pub words: String,
}

/// A strip with what is said about it.
#[derive(Clone, Debug, PartialEq)]
pub struct StripBlock {
    /// What is shown.
    pub title: String,
    /// Who found it and what a reader said.
    pub note: String,
    /// The tracing, cut into lines that fit the page.
    pub lines: Vec<StripGeom>,
}
