//! Code systems: LOINC where a code is sure to mean the figure, our own for all the rest. Units are UCUM.

use beatledger_core::model::{Figure, FigureId};

use super::types::{CodeableConcept, Coding, Decimal, Quantity};

/// Our own codes: the stable names of figures and events. The bundle carries the list with definitions.
pub const OWN: &str = "urn:uuid:a90db30b-443c-4acd-abe5-1813a6c3ed10";
/// Names the hashes of recording and ledger as identifiers.
pub const SHA256: &str = "urn:uuid:845894d0-e7cc-4c83-ac7f-b721cf5dda1c";
/// Logical Observation Identifiers Names and Codes.
pub const LOINC: &str = "http://loinc.org";
/// Unified Code for Units of Measure.
pub const UCUM: &str = "http://unitsofmeasure.org";

/// LOINC codes of figures of any length. 8634-8, 8636-3, 8625-6, 8633-0: US Core ECG value set;
/// 80404-7 is SDNN and nothing else; 76126-2 counts ventricular beats.
const LOINC_CODES: [(FigureId, &str, &str); 10] = [
    (FigureId::QtMs, "8634-8", "Q-T interval"),
    (FigureId::QtcBazettMs, "8636-3", "Q-T interval corrected"),
    (FigureId::QtcFridericiaMs, "8636-3", "Q-T interval corrected"),
    (FigureId::QtcFraminghamMs, "8636-3", "Q-T interval corrected"),
    (FigureId::QtcHodgesMs, "8636-3", "Q-T interval corrected"),
    (FigureId::PrMs, "8625-6", "P-R interval"),
    (FigureId::QrsMs, "8633-0", "QRS duration"),
    (FigureId::SdnnMs, "80404-7", "R-R interval.standard deviation (Heart rate variability)"),
    (FigureId::VBeats, "76126-2", "Premature ventricular contractions [#]"),
    (FigureId::MeanBpm, "8867-4", "Heart rate"),
];

/// LOINC codes that say 24 hours in their name.
const LOINC_DAY: [(FigureId, &str, &str); 3] = [
    (FigureId::MeanBpm, "41924-2", "Heart rate 24 hour mean"),
    (FigureId::MaxBpm, "8873-2", "Heart rate 24 hour maximum"),
    (FigureId::MinBpm, "8883-1", "Heart rate 24 hour minimum"),
];

/// Recordings from 23 to 25 hours take the codes that say 24 hours.
const DAY_H: std::ops::RangeInclusive<f64> = 23.0..=25.0;

/// Code of a figure: our own first, then LOINC where there is one.
pub fn of_figure(figure: &Figure, hours: f64) -> CodeableConcept {
    let day = LOINC_DAY.iter().filter(|_| DAY_H.contains(&hours));
    let loinc = day.chain(&LOINC_CODES).find(|(id, ..)| *id == figure.id);
    let mut coding = vec![own(figure.key(), figure.name)];
    coding.extend(loinc.map(|(_, code, display)| coded(LOINC, code, display)));
    CodeableConcept { coding, text: Some(figure.name.to_owned()) }
}

/// A concept of one of our own codes.
pub fn own_concept(code: &str, display: &str) -> CodeableConcept {
    CodeableConcept { coding: vec![own(code, display)], text: Some(display.to_owned()) }
}

/// A concept of one code.
pub fn concept(system: &str, code: &str, display: &str) -> CodeableConcept {
    CodeableConcept { coding: vec![coded(system, code, display)], text: None }
}

/// A concept in words alone.
pub fn words(text: &str) -> CodeableConcept {
    CodeableConcept { coding: Vec::new(), text: Some(text.to_owned()) }
}

fn own(code: &str, display: &str) -> Coding {
    coded(OWN, code, display)
}

fn coded(system: &str, code: &str, display: &str) -> Coding {
    Coding { system: system.to_owned(), code: code.to_owned(), display: Some(display.to_owned()) }
}

/// UCUM code and unit for a reader of a unit in print.
pub fn ucum(unit: &str) -> Option<(&'static str, &'static str)> {
    Some(match unit {
        "" => ("1", "1"),
        "beats" => ("{beats}", "beats"),
        "cycles" => ("{cycles}", "cycles"),
        "RR" => ("{RR}", "RR intervals"),
        "SD" => ("{SD}", "standard deviations"),
        "bpm" => ("/min", "beats/minute"),
        "%" => ("%", "%"),
        "ms" => ("ms", "ms"),
        "s" => ("s", "s"),
        "min" => ("min", "min"),
        "h" => ("h", "h"),
        "ms²" => ("ms2", "ms²"),
        "ms/RR" => ("ms/{RR}", "ms per RR interval"),
        "/h" => ("/h", "per hour"),
        "windows" => ("{windows}", "windows"),
        "mV" => ("mV", "mV"),
        "µV" | "uV" => ("uV", "µV"),
        "Hz" => ("Hz", "Hz"),
        _ => return None,
    })
}

/// A number with its unit; `None` when it is not finite. A unit that UCUM has no word for is an annotation
/// on the number one, as UCUM allows.
pub fn quantity(value: f64, decimals: u8, unit: &str) -> Option<Quantity> {
    let value = Decimal::new(value, decimals)?;
    let (code, words) = match ucum(unit) {
        Some((code, words)) => (code.to_owned(), words.to_owned()),
        None => {
            let plain: String = unit.chars().filter(|c| c.is_ascii_alphanumeric()).collect();
            (format!("{{{plain}}}"), unit.to_owned())
        }
    };
    Some(Quantity { value, unit: words, system: UCUM.to_owned(), code })
}
