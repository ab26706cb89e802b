//! A summary file laid beside the truth file of a made day.

use std::path::Path;

use serde_json::Value;

/// A summary, or the truth in the same shape.
pub struct Summary(Value);

/// An event of a summary: kind, start and end sample.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// Key of the kind.
    pub kind: String,
    /// First sample.
    pub start: i64,
    /// One past the last sample.
    pub end: i64,
    /// Wall clock of the start.
    pub clock: String,
}

impl Stretch {
    /// True when both share a sample.
    pub fn touches(&self, other: &Stretch) -> bool {
        self.start < other.end && other.start < self.end
    }
}

impl Summary {
    /// Reads a file.
    pub fn read(path: &Path) -> Self {
        let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let value: Value = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert_eq!(value["format"], "beatledger-summary");
        assert_eq!(value["version"], 1);
        Self(value)
    }

    /// The file as it is.
    pub fn value(&self) -> &Value {
        &self.0
    }

    /// The number of a figure; `None` when there is none.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.0["figures"].as_array()?.iter().find(|f| f["key"] == key)?["value"].as_f64()
    }

    /// Events of the kinds given, those that a reader dropped left out.
    pub fn events(&self, kinds: &[&str]) -> Vec<Stretch> {
        let all = self.0["events"].as_array().map(Vec::as_slice).unwrap_or_default();
        all.iter()
            .filter(|e| kinds.iter().any(|k| e["kind"] == *k) && e["state"] != "dropped")
            .map(|e| Stretch {
                kind: e["kind"].as_str().unwrap_or_default().to_owned(),
                start: e["start_sample"].as_i64().unwrap_or_default(),
                end: e["end_sample"].as_i64().unwrap_or_default(),
                clock: e["clock"].as_str().unwrap_or_default().to_owned(),
            })
            .collect()
    }
}

/// Kinds that are runs, pauses and AF: a reader must not miss one.
pub const WEIGHTY: [&str; 5] = [
    "ventricular-tachycardia",
    "idioventricular-run",
    "supraventricular-run",
    "pause",
    "atrial-fibrillation",
];

/// Events of `left` that no event of the same kind in `right` overlaps.
pub fn unmatched(left: &[Stretch], right: &[Stretch]) -> Vec<Stretch> {
    let has = |e: &&Stretch| right.iter().any(|o| o.kind == e.kind && o.touches(e));
    left.iter().filter(|e| !has(e)).cloned().collect()
}
