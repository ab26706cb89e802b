//! The header of an EDF+ file that is written, field by field.

use beatledger_core::model::Recording;

use super::ANNOTATIONS;
use super::fields::{BLOCK, ascii};
use super::identity::{patient_field, recording_field, start_fields};
use super::write_layout::Layout;
use crate::error::shown;
use crate::warn::Warnings;

/// The header of a file that is written; the layout has at least one record.
pub(super) fn header(recording: &Recording, layout: &Layout, warnings: &mut Warnings) -> Vec<u8> {
    let count = recording.leads.len() + 1;
    let (date, time, startdate) = start_fields(recording.start);
    let times = &layout.times;
    let filled = times.samples_of(times.records - 1).len() != times.per_record as i64;
    let mut head = Head { out: Vec::with_capacity(BLOCK * (count + 1)), warnings };
    head.text("0", 8);
    head.text(&patient_field(&recording.identity), 80);
    head.text(&recording_field(&startdate, &recording.identity, filled.then_some(recording.samples)), 80);
    head.text(&date, 8);
    head.text(&time, 8);
    head.text(&(BLOCK * (count + 1)).to_string(), 8);
    head.text(if times.has_gaps() { "EDF+D" } else { "EDF+C" }, 44);
    head.text(&times.records.to_string(), 8);
    head.text(&times.duration_text(), 8);
    head.text(&count.to_string(), 4);
    let leads = || recording.leads.iter().zip(&layout.leads);
    head.column(leads().map(|(l, _)| l.name.clone()), ANNOTATIONS, 16);
    head.column(leads().map(|_| String::new()), "", 80);
    head.column(leads().map(|(_, t)| t.range.unit.to_owned()), "", 8);
    head.column(leads().map(|(_, t)| t.range.physical.0.clone()), "-1", 8);
    head.column(leads().map(|(_, t)| t.range.physical.1.clone()), "1", 8);
    head.column(leads().map(|(_, t)| t.range.digital.0.to_string()), "-32768", 8);
    head.column(leads().map(|(_, t)| t.range.digital.1.to_string()), "32767", 8);
    head.column(leads().map(|(l, _)| l.prefilter.clone()), "", 80);
    let annotation_samples = (layout.annotations.bytes / 2).to_string();
    head.column(leads().map(|_| times.per_record.to_string()), &annotation_samples, 8);
    let missing = |m: i16| format!("missing={m}");
    head.column(leads().map(|(_, t)| t.missing.map(missing).unwrap_or_default()), "", 32);
    head.out
}

/// The header as it grows field by field.
struct Head<'a> {
    out: Vec<u8>,
    warnings: &'a mut Warnings,
}

impl Head<'_> {
    fn text(&mut self, text: &str, len: usize) {
        let plain: String = text.chars().map(ascii).collect();
        if plain.len() > len {
            let text = format!("{} was cut to {len} characters.", shown(text));
            self.warnings.add("text-cut", format!("byte {}", self.out.len()), text);
        }
        let padding = std::iter::repeat(b' ');
        self.out.extend(plain.bytes().chain(padding).take(len));
    }

    fn column(&mut self, texts: impl Iterator<Item = String>, annotation: &str, len: usize) {
        texts.for_each(|text| self.text(&text, len));
        self.text(annotation, len);
    }
}
