//! Recordings that are kept as numbers of MATLAB files, as CPSC 2019 hands them out.

use std::path::Path;
use std::sync::Arc;

use anyhow::ensure;
use beatledger_core::model::{BeatClass, Lead, Rate, Recording, Span, Unit};
use beatledger_formats::matlab::first_variable;
use beatledger_score::Annotations;

use crate::case::{Case, stem};
use crate::leads::Leads;
use crate::recording::{case_of_recording, empty_recording};

/// Rate and unit of the CPSC 2019 recordings: 500 Hz, millivolts, kept in microvolts here.
const VARIABLES_RATE: Rate = Rate::whole_hz(500);

/// A tracing in `data/NAME.mat` and its beats, counted from 1, in `ref/` under the same number. The reference
/// has no classes, so those found are not compared: all beats count as N.
pub(super) fn of_variables(path: &Path, leads: Leads) -> anyhow::Result<Option<Case>> {
    let name = stem(path);
    let reference = path.with_file_name(format!("../ref/{}.mat", name.replacen("data", "R", 1)));
    let peaks = first_variable(&reference)?;
    let samples: Vec<i32> = first_variable(path)?.iter().map(|mv| (mv * 1000.0).round() as i32).collect();
    let lead = Lead {
        name: "ECG".to_owned(),
        unit: Unit::Millivolt,
        adc_per_mv: 1000.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new(samples.clone()),
    };
    let recording = Recording {
        name,
        format: "MATLAB level 5".to_owned(),
        rate: VARIABLES_RATE,
        samples: samples.len() as i64,
        segments: vec![Span::new(0, samples.len() as i64)],
        leads: vec![lead],
        ..empty_recording()
    };
    let in_recording = |peak: &f64| (1.0..=samples.len() as f64).contains(peak);
    ensure!(peaks.iter().all(in_recording), "{}: a beat lies outside the recording", reference.display());
    ensure!(!samples.is_empty(), "{}: the recording is empty", path.display());
    let beats: Vec<_> = peaks.iter().map(|p| (*p as i64 - 1, BeatClass::N)).collect();
    let reference = Annotations::of_beats(beats);
    let case = leads.of(recording).map(|r| case_of_recording(r, |_, _| reference.clone()));
    Ok(case.map(|mut case| {
        for sides in [&mut case.literature, &mut case.standard] {
            sides.test.beats.iter_mut().for_each(|b| b.1 = BeatClass::N);
        }
        case
    }))
}
