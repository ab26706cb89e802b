//! Writes a recording as a WFDB record: a header and one signal file.

use std::fmt::Write as _;
use std::io::Write;
use std::path::Path;

use beatledger_core::model::{Lead, Recording, Unit, Warning};

use crate::FormatError;
use crate::error::shown;
use crate::put::{Trouble, whole_file};
use crate::time::{date_is_known, ymd_from_local_time};
use crate::warn::Warnings;

/// Frames that are put together at a time; an even number, so that packs of two samples stay whole.
const FRAMES: usize = 1 << 16;

/// How samples are stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// Format 16: two bytes a sample, -32767 to 32767.
    Bits16,
    /// Format 212: three bytes for two samples, -2047 to 2047.
    Bits12,
}

impl Packing {
    fn number(self) -> u16 {
        match self {
            Self::Bits16 => 16,
            Self::Bits12 => 212,
        }
    }

    /// The value that means 'no sample here'; samples lie between it and its opposite.
    fn missing(self) -> i32 {
        match self {
            Self::Bits16 => -32_768,
            Self::Bits12 => -2048,
        }
    }

    fn pack(self, samples: &[i32], out: &mut Vec<u8>) {
        match self {
            Self::Bits16 => out.extend(samples.iter().flat_map(|s| (*s as i16).to_le_bytes())),
            Self::Bits12 => {
                for pair in samples.chunks(2) {
                    let [a, high] = (pair[0] as u16 & 0xfff).to_le_bytes();
                    match pair.get(1) {
                        Some(second) => {
                            let [b, top] = (*second as u16 & 0xfff).to_le_bytes();
                            out.extend([a, high | top << 4, b]);
                        }
                        None => out.extend([a, high]),
                    }
                }
            }
        }
    }
}

/// Writes `recording` as `<stem>.hea` at `header` and `<stem>.dat` beside it. Gaps are written as missing samples.
/// The warnings tell what the format could not hold exactly.
///
/// # Errors
/// One sentence when a sample does not fit the packing, the name is no record name, there is nothing to write,
/// or a file cannot be written.
pub fn write_record(
    recording: &Recording,
    header: impl AsRef<Path>,
    packing: Packing,
) -> Result<Vec<Warning>, FormatError> {
    let path = header.as_ref();
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let is_name = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    if stem.is_empty() || !stem.chars().all(is_name) || path.extension().is_none_or(|e| e != "hea") {
        let expected = "a name of letters, digits, '_' and '-' that ends in .hea";
        return Err(FormatError::malformed(path, "file name", expected, shown(&stem)));
    }
    let same = recording.leads.iter().all(|l| l.samples.len() as i64 == recording.samples);
    if recording.leads.is_empty() || recording.leads.len() > 256 || recording.samples <= 0 || !same {
        let what = "a WFDB record needs 1 to 256 leads that are all as long as the recording";
        return Err(FormatError::unsupported(path, what));
    }
    let mut warnings = Warnings::default();
    let data = path.with_extension("dat");
    let marks = whole_file(&data, |out| write_samples(recording, out, packing))?;
    let text = header_text(recording, &stem, packing, &marks, &mut warnings);
    whole_file(path, |out| Ok(out.write_all(text.as_bytes())?))?;
    Ok(warnings.into_list())
}

/// First value and 16-bit sum of a signal.
#[derive(Clone, Copy, Default)]
struct Marks {
    first: i32,
    sum: i16,
}

fn write_samples(
    recording: &Recording,
    out: &mut impl Write,
    packing: Packing,
) -> Result<Vec<Marks>, Trouble> {
    let (leads, total) = (&recording.leads, recording.samples as usize);
    let mut marks = vec![Marks::default(); leads.len()];
    let (mut raw, mut bytes) = (Vec::new(), Vec::new());
    for start in (0..total).step_by(FRAMES) {
        let frames = FRAMES.min(total - start);
        let mut all = vec![0; frames * leads.len()];
        for (i, lead) in leads.iter().enumerate() {
            raw.clear();
            raw.resize(frames, 0);
            lead.samples.read(start, &mut raw);
            for (k, value) in raw.iter().enumerate() {
                let value = stored(lead, *value, packing).map_err(Trouble::Content)?;
                all[k * leads.len() + i] = value;
                marks[i].sum = marks[i].sum.wrapping_add(value as i16);
            }
            if start == 0 {
                marks[i].first = all[i];
            }
        }
        bytes.clear();
        packing.pack(&all, &mut bytes);
        out.write_all(&bytes)?;
    }
    Ok(marks)
}

fn stored(lead: &Lead, value: i32, packing: Packing) -> Result<i32, String> {
    let missing = packing.missing();
    match value {
        v if Some(v) == lead.missing => Ok(missing),
        v if missing < v && v < -missing => Ok(v),
        odd => Err(format!(
            "lead {} has the sample {odd}, format {} holds {} to {}",
            shown(&lead.name),
            packing.number(),
            missing + 1,
            -missing - 1
        )),
    }
}

fn header_text(
    recording: &Recording,
    stem: &str,
    packing: Packing,
    marks: &[Marks],
    warnings: &mut Warnings,
) -> String {
    let mut text = format!("{stem} {} {} {}", marks.len(), recording.rate.hz(), recording.samples);
    if let Some(start) = recording.start {
        let date = ymd_from_local_time(start).filter(|_| date_is_known(start));
        let date = date.map_or_else(String::new, |(y, m, d)| format!(" {d:02}/{m:02}/{y:04}"));
        // Writing to a text cannot fail.
        let _ = write!(text, " {}{date}", start.clock_ms());
    }
    text.push('\n');
    for (lead, mark) in recording.leads.iter().zip(marks) {
        let baseline = lead.adc_zero.round();
        if baseline != lead.adc_zero {
            let note =
                format!("The zero {} of {} was rounded to {baseline}.", lead.adc_zero, shown(&lead.name));
            warnings.add("zero-rounded", format!("lead {}", shown(&lead.name)), note);
        }
        let gain = if lead.unit == Unit::Millivolt { lead.adc_per_mv } else { 0.0 };
        let (bits, middle) = range(lead);
        let name: String = lead.name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        let _ = writeln!(
            text,
            "{stem}.dat {} {gain}({baseline})/mV {bits} {middle} {} {} 0 {}",
            packing.number(),
            mark.first,
            mark.sum,
            name.trim()
        );
    }
    text
}

/// Bits and middle of the range of the ADC; 0 bits where the range is not known or no power of two.
fn range(lead: &Lead) -> (u32, i32) {
    let Some((low, high)) = lead.rails else { return (0, 0) };
    let steps = i64::from(high) - i64::from(low) + 1;
    match u64::try_from(steps) {
        Ok(n) if n.is_power_of_two() && (2..=1 << 24).contains(&n) => {
            (n.trailing_zeros(), low + (n / 2) as i32)
        }
        _ => (0, 0),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use beatledger_core::model::{Rate, Span};

    use super::*;
    use crate::time::local_time_from_ymd_hms;

    fn made(values: Vec<i16>) -> Recording {
        let samples = values.len() as i64;
        let lead = |name: &str, values: Vec<i16>, rails| Lead {
            name: name.into(),
            unit: Unit::Millivolt,
            adc_per_mv: 200.0,
            adc_zero: 12.0,
            missing: Some(-999),
            rails,
            prefilter: String::new(),
            samples: Arc::new(values),
        };
        let turned = values.iter().rev().copied().collect();
        Recording {
            name: "made".into(),
            format: String::new(),
            sha256: String::new(),
            identity: beatledger_core::model::Identity::default(),
            start: local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 500)),
            rate: Rate::whole_hz(250),
            samples,
            segments: vec![Span::new(0, samples)],
            leads: vec![lead("MLII", values, Some((-1024, 1023))), lead("V 5", turned, None)],
            others: vec![],
            diary: vec![],
            warnings: vec![],
        }
    }

    fn raw(lead: &Lead) -> Vec<i32> {
        let mut out = vec![0; lead.samples.len()];
        lead.samples.read(0, &mut out);
        out
    }

    #[test]
    fn a_record_comes_back_as_it_was_in_both_packings() {
        let folder = tempfile::tempdir().unwrap();
        let mut values: Vec<i16> = (0..70_001i32).map(|i| (i * 7919 % 2047 - 1023) as i16).collect();
        values[3] = -999;
        for packing in [Packing::Bits16, Packing::Bits12] {
            let path = folder.path().join("made.hea");
            assert!(write_record(&made(values.clone()), &path, packing).unwrap().is_empty());
            let back = crate::open(&path).unwrap();
            let missing = packing.missing();
            let expected: Vec<i32> =
                values.iter().map(|v| if *v == -999 { missing } else { i32::from(*v) }).collect();
            assert_eq!((raw(&back.leads[0]), back.leads[0].missing), (expected, Some(missing)));
            let names: Vec<_> = back.leads.iter().map(|l| (l.name.as_str(), l.adc_zero, l.rails)).collect();
            assert_eq!(names, [("MLII", 12.0, Some((-1024, 1023))), ("V 5", 12.0, None)]);
            assert_eq!((back.start, back.rate), (made(vec![0]).start, Rate::whole_hz(250)));
            assert!(back.warnings.is_empty(), "the checksum agrees: {:?}", back.warnings);
        }
    }

    // Two signals as the Python package `wfdb` 4.3.1 wrote them.
    #[test]
    fn packs_are_the_bytes_that_the_reference_library_writes() {
        let mut out = Vec::new();
        Packing::Bits12.pack(&[0, 1, 2047, -2048, -1, 5, 100, -100, 1024], &mut out);
        assert_eq!(out, [0, 0, 1, 0xff, 0x87, 0, 0xff, 0x0f, 5, 0x64, 0xf0, 0x9c, 0, 4]);
    }

    #[test]
    fn what_the_packing_cannot_hold_is_refused_and_leaves_no_file() {
        let folder = tempfile::tempdir().unwrap();
        let error =
            write_record(&made(vec![2048]), folder.path().join("made.hea"), Packing::Bits12).unwrap_err();
        assert!(
            error.to_string().ends_with("lead 'MLII' has the sample 2048, format 212 holds -2047 to 2047")
        );
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        let error = write_record(&made(vec![1]), folder.path().join("a b.hea"), Packing::Bits16).unwrap_err();
        assert!(error.to_string().contains("expected a name of letters, digits, '_' and '-'"));
    }
}
