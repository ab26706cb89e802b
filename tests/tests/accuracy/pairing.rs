//! Pairing of beats against an independent comparator: `wfdb.processing.compare_annotations` (wfdb 4.3.1, PyPI).
//!
//! `tests/reference/score/make_expected.py` worsens a reference by a fixed stream of integers and writes what
//! that comparator finds; the same stream is made here.

use beatledger_core::model::{BeatClass, Rate};
use beatledger_formats::wfdb::{Mapping, beat_class, read_annotations};
use beatledger_score::{Annotations, Rules, pairs};
use beatledger_tests::{data, root};
use serde_json::{Value, json};

const RATE: Rate = Rate::whole_hz(360);

/// Knuth's 64-bit linear congruential generator; the upper 31 bits are used.
struct Stream(u64);

impl Stream {
    fn below(&mut self, limit: u64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % limit) as i64
    }
}

/// A copy with beats taken out (3 %), moved (up to 40 samples) and added (3 %).
fn worsened(reference: &[i64], stream: &mut Stream) -> Vec<i64> {
    let mut out = Vec::new();
    for at in reference {
        let (taken, moved) = (stream.below(100) < 3, stream.below(81) - 40);
        let (added, by) = (stream.below(100) < 3, 60 + stream.below(120));
        if !taken {
            out.push((at + moved).max(0));
        }
        if added {
            out.push(at + by);
        }
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// 500 beats, 417 to 1250 ms apart.
fn made(stream: &mut Stream) -> Vec<i64> {
    let mut at = 0;
    (0..500)
        .map(|_| {
            at += 150 + stream.below(300);
            at
        })
        .collect()
}

fn compared(reference: &[i64], test: &[i64]) -> Value {
    let of = |at: &[i64]| Annotations::of_beats(at.iter().map(|s| (*s, BeatClass::N)).collect());
    let (mut found, mut missed, mut added, mut distance) = (0, 0, 0, 0);
    for pair in pairs(RATE, &of(reference), &of(test), &Rules::WHOLE) {
        match (pair.reference, pair.test) {
            (Some(r), Some(t)) => {
                found += 1;
                distance += reference[r].abs_diff(test[t]);
            }
            (Some(_), None) => missed += 1,
            _ => added += 1,
        }
    }
    json!({ "pairs": found, "missed": missed, "added": added, "distance": distance })
}

fn expected() -> Value {
    let path = root().join("tests/reference/score/expected.json");
    let all: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let pairing = all["pairing"].clone();
    assert_eq!(pairing["window_samples"], Rules::WHOLE.window_samples(RATE));
    pairing
}

#[test]
fn ten_made_series_pair_as_an_independent_comparator_pairs_them() {
    let expected = expected();
    for seed in 1..=10 {
        let mut stream = Stream(seed);
        let reference = made(&mut stream);
        let test = worsened(&reference, &mut stream);
        assert_eq!(compared(&reference, &test), expected["made"][seed as usize - 1], "seed {seed}");
    }
}

#[test]
fn ten_records_pair_as_an_independent_comparator_pairs_them() {
    let Some(folder) = data("pairing on ten records of the MIT-BIH Arrhythmia Database") else { return };
    let expected = expected();
    let records = expected["records"].as_object().unwrap();
    assert_eq!(records.len(), 10);
    for (name, expected) in records {
        let all = read_annotations(folder.join(format!("mitdb/{name}.atr"))).unwrap();
        let is_beat = |symbol: &str| beat_class(symbol, Mapping::Literature).is_some();
        let reference: Vec<i64> = all.iter().filter(|a| is_beat(&a.symbol)).map(|a| a.sample).collect();
        let test = worsened(&reference, &mut Stream(name.parse().unwrap()));
        assert_eq!(&compared(&reference, &test), expected, "record {name}");
    }
}
