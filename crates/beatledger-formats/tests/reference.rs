//! What the readers read is what two general reference libraries read: `wfdb` 4.3.1 and `edfio` 0.4.18.
//!
//! The expected values are written by `tests/reference/make_expected.py` of the repository. The tiny recordings
//! under `tests/data` were written by the same libraries from made numbers. Larger open recordings are compared
//! where a data folder is at hand: `BEATLEDGER_DATA`, or `../shared/data` beside the repository.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use beatledger_core::model::{Lead, Recording};
use beatledger_formats::wfdb::read_annotations;
use beatledger_testkit::{data, root};
use serde_json::Value;
use sha2::{Digest, Sha256};

fn crate_folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn json(path: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

fn hex(bytes: impl IntoIterator<Item = u8>) -> String {
    let hash = Sha256::new_with_prefix(bytes.into_iter().collect::<Vec<u8>>());
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

fn check_lead(lead: &Lead, expected: &Value) {
    let name = expected["name"].as_str().unwrap();
    assert_eq!(lead.name, name);
    let mut raw = vec![0i32; lead.samples.len()];
    lead.samples.read(0, &mut raw);
    if let Some(missing) = expected.get("missing").and_then(Value::as_i64) {
        raw.iter_mut().filter(|v| Some(**v) == lead.missing).for_each(|v| *v = missing as i32);
    }
    assert_eq!(raw.len() as i64, expected["count"].as_i64().unwrap(), "{name}");
    let list = |key: &str| -> Vec<i32> { serde_json::from_value(expected[key].clone()).unwrap() };
    assert_eq!(raw[..20], list("first"), "{name}");
    assert_eq!(raw[raw.len() - 20..], list("last"), "{name}");
    assert_eq!(raw.iter().map(|v| i64::from(*v)).sum::<i64>(), expected["sum"].as_i64().unwrap(), "{name}");
    let sha256 = hex(raw.iter().flat_map(|v| v.to_le_bytes()));
    assert_eq!(sha256, expected["sha256_of_i32_le"].as_str().unwrap(), "{name}");
    let near = |is: f64, key: &str| {
        let said = expected[key].as_f64().unwrap();
        assert!(
            (is - said).abs() <= 1e-9 * said.abs().max(1.0),
            "{name}: {key} is {is}, the reference says {said}"
        );
    };
    near(lead.adc_per_mv, "adc_per_mv");
    near(lead.adc_zero, "adc_zero");
}

fn check_recording(recording: &Recording, expected: &Value) {
    let signals = expected["signals"].as_array().unwrap();
    assert_eq!(recording.leads.len(), signals.len());
    recording.leads.iter().zip(signals).for_each(|(lead, expected)| check_lead(lead, expected));
    assert_eq!(recording.rate.hz(), expected["rate_hz"].as_f64().unwrap());
    if let Some(notes) = expected.get("notes") {
        assert_eq!(recording.diary.len() as i64, notes["count"].as_i64().unwrap());
        let at = |i: usize| {
            (recording.rate.seconds_from_samples(recording.diary[i].span.start), &recording.diary[i].text)
        };
        let same = |i: usize, note: &Value| {
            let (seconds, text) = at(i);
            assert!((seconds - note[0].as_f64().unwrap()).abs() <= 0.5 / recording.rate.hz() + 1e-9);
            assert_eq!(text, note[1].as_str().unwrap());
        };
        let list = |key: &str| notes[key].as_array().unwrap().clone();
        list("first").iter().enumerate().for_each(|(i, n)| same(i, n));
        let from = recording.diary.len() - list("last").len();
        list("last").iter().enumerate().for_each(|(i, n)| same(from + i, n));
    }
    if let Some(start) = expected.get("start_time") {
        assert!(start.as_str().unwrap().starts_with(&recording.clock(0)));
    }
}

fn check_annotations(path: &Path, expected: &Value) {
    let list = read_annotations(path).unwrap();
    assert_eq!(list.len() as i64, expected["count"].as_i64().unwrap());
    let count = |key: &str, texts: Vec<&str>| {
        let mut counts: BTreeMap<String, i64> = BTreeMap::new();
        texts
            .into_iter()
            .filter(|t| !t.is_empty())
            .for_each(|t| *counts.entry(t.to_owned()).or_default() += 1);
        let said: BTreeMap<String, i64> = serde_json::from_value(expected[key].clone()).unwrap();
        assert_eq!(counts, said, "{key}");
    };
    count("symbols", list.iter().map(|a| a.symbol.as_str()).collect());
    count("aux", list.iter().map(|a| a.aux.as_str()).collect());
    let sha256 = hex(list.iter().flat_map(|a| a.sample.to_le_bytes()));
    assert_eq!(sha256, expected["sha256_of_samples_i64_le"].as_str().unwrap());
}

#[test]
fn made_recordings_read_as_the_reference_libraries_read_them() {
    let data = crate_folder().join("tests/data");
    let expected = json(&data.join("expected.json"));
    for (file, key) in [("made212.hea", "made212"), ("made16.dat", "made16"), ("made.edf", "made.edf")] {
        let recording = beatledger_formats::open(data.join(file)).unwrap();
        check_recording(&recording, &expected[key]);
        assert!(recording.warnings.is_empty(), "{file}: {:?}", recording.warnings);
    }
    check_annotations(&data.join("made212.atr"), &expected["made212.atr"]);
}

#[test]
fn made_annotations_carry_subtype_channel_and_text() {
    let list = read_annotations(crate_folder().join("tests/data/made212.atr")).unwrap();
    assert_eq!(
        (list[0].aux.as_str(), list[2].chan, list[4].subtype, list[6].aux.as_str()),
        ("(N", 1, 3, "odd")
    );
    assert_eq!(list[7].sample, 90_000);
}

#[test]
fn open_recordings_read_as_the_reference_libraries_read_them() {
    let Some(data) = data("open recordings against the reference libraries") else { return };
    let root = root();
    let expected = json(&root.join("tests/reference/expected.json"));
    for (file, key) in [
        ("mitdb/208.hea", "mitdb/208"),
        ("cpsc2021/data_92_4.hea", "cpsc2021/data_92_4"),
        ("cinc2017/A00067.mat", "cinc2017/A00067"),
        ("formats/wfdb_formats/binformats.hea", "formats/wfdb_formats/binformats"),
        ("formats/wfdb_multisegment/041s", "formats/wfdb_multisegment/041s/041s"),
        (
            "formats/bdf/test_generator_datarec_generator_2.bdf",
            "formats/bdf/test_generator_datarec_generator_2.bdf",
        ),
        ("formats/ishne/ECG_P28.01.ecg", "formats/ishne/ECG_P28.01.ecg"),
        ("formats/dicom/waveform_ecg.dcm", "formats/dicom/waveform_ecg.dcm"),
        ("formats/edf/adfecgdb/r01.edf", "formats/edf/adfecgdb/r01.edf"),
    ] {
        check_recording(&beatledger_formats::open(data.join(file)).unwrap(), &expected[key]);
    }
    check_annotations(&data.join("mitdb/208.atr"), &expected["mitdb/208.atr"]);
}

#[test]
fn ishne_labels_stand_at_the_samples_that_their_distances_give() {
    let Some(data) = data("open recordings against the reference libraries") else { return };
    let root = root();
    let expected = &json(&root.join("tests/reference/expected.json"))["formats/ishne/ECG_P28.01.ann"];
    let list = read_annotations(data.join("formats/ishne/ECG_P28.01.ann")).unwrap();
    let sha256 = hex(list.iter().flat_map(|a| a.sample.to_le_bytes()));
    assert_eq!(sha256, expected["sha256_of_samples_i64_le"].as_str().unwrap());
    let count = |symbol: &str| list.iter().filter(|a| a.symbol == symbol).count() as i64;
    assert_eq!(Some(count("N")), expected["labels"]["N"].as_i64());
    assert_eq!(Some(count("|")), expected["labels"]["X"].as_i64(), "X is an artefact");
}

#[test]
fn files_of_formats_that_are_not_read_are_named() {
    let Some(data) = data("open recordings against the reference libraries") else { return };
    for (file, name) in [
        ("formats/aecg/aecg_example.xml", "HL7 aECG"),
        ("formats/scp/test.scp", "SCP-ECG"),
        ("formats/scp/PFE105.scp", "SCP-ECG"),
        ("formats/ishne/ECG_P28.01.ann", "a list of ISHNE annotations without a signal"),
    ] {
        let error = beatledger_formats::open(data.join(file)).unwrap_err().to_string();
        assert!(error.contains(&format!("its content is {name}, which is not read")), "{error}");
    }
    let flac = beatledger_formats::open(data.join("formats/wfdb_formats/flacformats.hea")).unwrap_err();
    assert!(flac.to_string().contains("WFDB format 508, which is not read"), "{flac}");
}
