//! Least and greatest values of the rows on show, kept so that a page is read once.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::rows::StripRows;
use crate::paint::picture_keys::DayKey;
use crate::shell::view_context::ViewContext;
use crate::tracing::pyramid::{Column, Pyramid, direct_columns};

/// Rows whose columns are kept; beyond that the oldest pages are read again.
const KEPT_ROWS: usize = 400;

/// Columns of the rows on show and around, so that a page is read once.
#[derive(Default)]
pub(super) struct Columns {
    pub(super) key: Option<(DayKey, usize, usize, usize)>,
    pub(super) rows: BTreeMap<i64, Arc<Vec<Column>>>,
}

impl Columns {
    pub(super) fn row(
        &mut self,
        view: &ViewContext<'_>,
        pyramid: Option<&Pyramid>,
        lead: usize,
        rows: &StripRows,
        row: i64,
        width: usize,
    ) -> Arc<Vec<Column>> {
        let day = DayKey::of(view.snapshot);
        let fits = self.key.as_ref().is_some_and(|(d, l, w, length)| {
            d.same_tracing(&day) && (*l, *w, *length) == (lead, width, rows.length_ms as usize)
        });
        if !fits || self.rows.len() > KEPT_ROWS {
            self.rows.clear();
            self.key = Some((day, lead, width, rows.length_ms as usize));
        }
        let read = || {
            let span = rows.span(row);
            let s = view.snapshot;
            let quick = pyramid.and_then(|p| p.columns(lead, span, width));
            let mut columns =
                quick.unwrap_or_else(|| direct_columns(&s.recording, &s.settings, lead, span, width));
            if s.inverted.get(lead).copied().unwrap_or(false) {
                columns.iter_mut().for_each(|c| *c = (-c.1, -c.0));
            }
            Arc::new(columns)
        };
        self.rows.entry(row).or_insert_with(read).clone()
    }
}
