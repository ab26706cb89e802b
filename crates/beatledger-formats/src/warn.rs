//! Collects warnings and keeps their number in bounds, so that a broken file cannot flood the reader.

use std::collections::BTreeMap;

use beatledger_core::model::Warning;

/// This many warnings of one code are kept word for word; the rest are counted.
const KEPT_PER_CODE: usize = 20;

/// Warnings in the order in which they came.
#[derive(Debug, Default)]
pub(crate) struct Warnings {
    list: Vec<Warning>,
    count: BTreeMap<&'static str, usize>,
}

impl Warnings {
    pub(crate) fn add(&mut self, code: &'static str, place: impl Into<String>, text: impl Into<String>) {
        let count = self.count.entry(code).or_default();
        *count += 1;
        if *count <= KEPT_PER_CODE {
            self.list.push(Warning::new(code, place, text));
        }
    }

    pub(crate) fn into_list(self) -> Vec<Warning> {
        let mut list = self.list;
        for (code, count) in self.count {
            if count > KEPT_PER_CODE {
                let more = count - KEPT_PER_CODE;
                list.push(Warning::new(code, "", format!("{more} more of the same kind are not listed.")));
            }
        }
        list
    }
}
