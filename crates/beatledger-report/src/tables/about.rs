//! What a table is, said once for window, pages, terminal and files.

use beatledger_core::model::FigureId;

use crate::document::tree::TableSize;

/// What a table holds and where it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct About {
    /// Stable name in files.
    pub key: &'static str,
    /// Heading.
    pub title: &'static str,
    /// What it shows, for those who cannot see it.
    pub shows: &'static str,
    /// Definition in one or two sentences, with its source.
    pub definition: &'static str,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
    /// The figure that rests on the same share of the data.
    pub rests_like: FigureId,
    /// Name of its file of comma-separated values; `None` when it has none.
    pub file: Option<&'static str>,
    /// True when the summary file holds it under `tables`.
    pub in_summary: bool,
    /// Where in the report it stands.
    pub page: Page,
    /// How large it is set.
    pub size: TableSize,
    /// Headings over several printed columns: text and number of columns; empty when there are none.
    pub groups: &'static [(&'static str, usize)],
}

/// The section of the report in which a table stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Page {
    /// The day at a glance.
    Day,
    /// Intervals, ST and leads.
    Intervals,
    /// The same section, in words alone: a research measure takes a sentence of the page.
    IntervalsInWords,
    /// Heart rate variability.
    Variability,
    /// The diary.
    Diary,
    /// None: it has too many rows for a page; window and files hold it.
    No,
}
