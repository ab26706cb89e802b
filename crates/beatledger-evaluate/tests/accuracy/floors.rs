//! Figures against the floors that they have reached before.

use std::path::PathBuf;
use std::sync::Mutex;

use beatledger_score::Score;
use beatledger_testkit::root;
use serde_json::{Value, json};

/// A figure may lie this far below its floor, or above its ceiling.
const SLACK: f64 = 0.02;
/// Tests run side by side and share one file.
static FILE: Mutex<()> = Mutex::new(());

fn path() -> PathBuf {
    root().join("crates/beatledger-evaluate/tests/accuracy/floors.json")
}

/// Fails when one of `names` has fallen below its floor in the part `set` of the file.
pub fn hold(set: &str, score: &Score, names: &[&str]) {
    let figures: Vec<(String, Option<f64>)> =
        names.iter().map(|n| ((*n).to_owned(), super::figure(score, n))).collect();
    hold_values(set, &figures);
}

/// The same for figures with names of their own.
pub fn hold_values(set: &str, figures: &[(String, Option<f64>)]) {
    let _alone = FILE.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let mut all: Value = serde_json::from_str(&std::fs::read_to_string(path()).unwrap()).unwrap();
    let raise = std::env::var_os("RAISE_FLOORS").is_some();
    let mut fallen = Vec::new();
    for (name, value) in figures {
        let Some(value) = *value else { panic!("{set}: {name} could not be computed") };
        let floor = all[set][name].as_f64();
        let text = floor.map_or("none".to_owned(), |f| format!("{f:.2}"));
        println!("{set:<16} {name:<28} {value:9.3}   floor {text}");
        // Cut, not rounded: the floor must lie under what was reached.
        let reached = (value * 100.0).floor() / 100.0;
        if raise && floor.is_none_or(|f| reached > f) {
            all[set][name] = json!(reached);
        } else if floor.is_none_or(|f| value < f - SLACK) {
            fallen.push(format!("{set}: {name} is {value:.3}, its floor is {text}"));
        }
    }
    if raise {
        std::fs::write(path(), format!("{all:#}\n")).unwrap();
    }
    assert!(fallen.is_empty(), "fallen: {}", fallen.join("; "));
}
