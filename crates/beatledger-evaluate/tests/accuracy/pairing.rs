//! Pairs and matrix of beats against an independent comparator: `wfdb.processing.compare_annotations` (wfdb 4.3.1, PyPI).
//!
//! `tests/reference/score/make_expected.py` worsens a reference by a fixed stream of integers and writes what
//! that comparator finds; the same stream is made here. Places and moves are even and additions odd, so that no two
//! beats are equally far from a third: there the standard leaves the earlier one alone and that comparator takes it.

use beatledger_core::model::{BeatClass, Rate};
use beatledger_formats::wfdb::{Annotation, Mapping, beat_class, read_annotations};
use beatledger_score::{Annotations, Column, Row, Rules, compare, pairs};
use beatledger_testkit::{Random, data, root};
use serde_json::{Value, json};

const RATE: Rate = Rate::whole_hz(360);

type Beats = Vec<(i64, BeatClass)>;

/// A copy with beats taken out (3 %), moved (up to 40 samples), added (3 %) and labelled anew (5 %).
fn worsened(reference: &Beats, stream: &mut Random) -> Beats {
    let mut out = Vec::new();
    for (at, class) in reference {
        let (taken, moved) = (stream.below(100) < 3, 2 * stream.below(41) - 40);
        let (added, by) = (stream.below(100) < 3, 61 + 2 * stream.below(60));
        let (changed, to) = (stream.below(100) < 5, BeatClass::ALL[stream.below(5) as usize]);
        if !taken {
            out.push(((at + moved).max(0), if changed { to } else { *class }));
        }
        if added {
            out.push((at + by, to));
        }
    }
    out.sort_by_key(|b| b.0);
    out.dedup_by_key(|b| b.0);
    out
}

/// 500 beats, 417 to 1250 ms apart; one in ten S, one in ten V.
fn made(stream: &mut Random) -> Beats {
    let mut at = 0;
    (0..500)
        .map(|_| {
            at += 150 + 2 * stream.below(150);
            let class = match stream.below(10) {
                8 => BeatClass::S,
                9 => BeatClass::V,
                _ => BeatClass::N,
            };
            (at, class)
        })
        .collect()
}

/// Sum of distances in the pairs, and the cells of the matrix that are not empty.
fn compared(reference: &Beats, test: &Beats) -> Value {
    let (reference, test) = (Annotations::of_beats(reference.clone()), Annotations::of_beats(test.clone()));
    let distance: u64 = pairs(RATE, &reference, &test, &Rules::WHOLE)
        .iter()
        .filter_map(|p| Some(reference.beats[p.reference?].0.abs_diff(test.beats[p.test?].0)))
        .sum();
    let matrix = compare("", RATE, &reference, &test, &Rules::WHOLE).matrix;
    let mut cells = serde_json::Map::new();
    for (row, column) in Row::ALL.into_iter().flat_map(|r| Column::ALL.map(|c| (r, c))) {
        if matrix.at(row, column) > 0 {
            cells.insert(format!("{}{}", row.letter(), column.letter()), json!(matrix.at(row, column)));
        }
    }
    json!({ "distance": distance, "cells": cells })
}

fn expected() -> Value {
    let path = root().join("tests/reference/score/expected.json");
    let all: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let pairing = all["pairing"].clone();
    assert_eq!(pairing["window_samples"], Rules::WHOLE.window_samples(RATE));
    pairing
}

#[test]
fn ten_made_series_give_the_matrix_that_an_independent_comparator_gives() {
    let expected = expected();
    for seed in 1..=10 {
        let mut stream = Random::new(seed);
        let reference = made(&mut stream);
        let test = worsened(&reference, &mut stream);
        assert_eq!(compared(&reference, &test), expected["made"][seed as usize - 1], "seed {seed}");
    }
}

#[test]
fn ten_records_give_the_matrix_that_an_independent_comparator_gives() {
    let Some(folder) = data("pairing on ten records of the MIT-BIH Arrhythmia Database") else { return };
    let expected = expected();
    let records = expected["records"].as_object().unwrap();
    assert_eq!(records.len(), 10);
    for (name, expected) in records {
        let all = read_annotations(folder.join(format!("mitdb/{name}.atr"))).unwrap();
        let beat = |a: &Annotation| Some((a.sample / 2 * 2, beat_class(&a.symbol, Mapping::Literature)?));
        let reference: Beats = all.iter().filter_map(beat).collect();
        let test = worsened(&reference, &mut Random::new(name.parse().unwrap()));
        assert_eq!(&compared(&reference, &test), expected, "record {name}");
    }
}
