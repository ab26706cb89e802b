//! One multiplex group of a waveform object: its channels and samples.

use beatledger_core::model::{Lead, OtherSignal, Rate, Unit};

use super::elements::{Broken, Part, Set, items};
use super::leads::lead_name;
use crate::choose::mv_per_unit;
use crate::error::shown;
use crate::samples::Store;
use crate::warn::Warnings;

const ORIGINALITY: u32 = 0x003a_0004;
const CHANNELS: u32 = 0x003a_0005;
const SAMPLES: u32 = 0x003a_0010;
const RATE: u32 = 0x003a_001a;
const DEFINITIONS: u32 = 0x003a_0200;
const OFFSET_MS: u32 = 0x0018_1068;
const BITS: u32 = 0x5400_1004;
const KIND: u32 = 0x5400_1006;
const PADDING: u32 = 0x5400_100a;
const DATA: u32 = 0x5400_1010;

const LABEL: u32 = 0x003a_0203;
const SOURCE: u32 = 0x003a_0208;
const SENSITIVITY: u32 = 0x003a_0210;
const SENSITIVITY_UNITS: u32 = 0x003a_0211;
const CORRECTION: u32 = 0x003a_0212;
const BASELINE: u32 = 0x003a_0213;
const HIGH_PASS: u32 = 0x003a_0220;
const LOW_PASS: u32 = 0x003a_0221;
const NOTCH: u32 = 0x003a_0222;
const CODE: u32 = 0x0008_0100;
const SCHEME: u32 = 0x0008_0102;
const MEANING: u32 = 0x0008_0104;

const MAX_CHANNELS: u32 = 256;

/// What a group says about itself.
pub(super) struct Group<'a> {
    set: Set<'a>,
    explicit: bool,
    pub(super) channels: usize,
    /// Samples of each channel that are there.
    pub(super) samples: usize,
    pub(super) rate: Rate,
    pub(super) derived: bool,
    pub(super) offset_ms: f64,
    width: usize,
    place: usize,
}

impl<'a> Group<'a> {
    /// Reads the fields of a group; in words what is wrong when it holds no samples that can be read.
    pub(super) fn of(part: Part<'a>, explicit: bool) -> Result<Self, Broken> {
        let tags = [ORIGINALITY, CHANNELS, SAMPLES, RATE, DEFINITIONS, OFFSET_MS, BITS, KIND, PADDING, DATA];
        let set = Set::read(part, explicit, &tags)?;
        let wrong = |why| Err(Broken { at: part.at, why });
        let Some(channels) = set.whole(CHANNELS).filter(|c| (1..=MAX_CHANNELS).contains(c)) else {
            return wrong("a group has no number of channels from 1 to 256");
        };
        let Some(rate) = set.decimal(RATE).and_then(Rate::from_hz) else {
            return wrong("a group has no sampling rate above 0 Hz");
        };
        let width = match (set.whole(BITS), set.text(KIND).as_str()) {
            (Some(8), "SB") => 1,
            (Some(16), "SS") => 2,
            (Some(32), "SL") => 4,
            _ => return wrong("the samples of a group are no whole numbers with a sign of 8, 16 or 32 bits"),
        };
        let held = set.get(DATA).map_or(0, |d| d.bytes.len()) / (width * channels as usize);
        let said = set.whole(SAMPLES).map_or(held, |n| n as usize);
        if held.min(said) == 0 {
            return wrong("a group holds no sample");
        }
        Ok(Self {
            derived: set.text(ORIGINALITY) == "DERIVED",
            offset_ms: set.decimal(OFFSET_MS).unwrap_or(0.0),
            set,
            explicit,
            channels: channels as usize,
            samples: held.min(said),
            rate,
            width,
            place: part.at,
        })
    }

    /// The channels as leads, and those that are no voltage.
    pub(super) fn leads(&self, warnings: &mut Warnings) -> Result<(Vec<Lead>, Vec<OtherSignal>), Broken> {
        self.note_length(warnings);
        let definitions = match self.set.get(DEFINITIONS) {
            Some(part) => items(part, self.explicit, MAX_CHANNELS as usize + 1)?,
            None => Vec::new(),
        };
        if definitions.len() != self.channels {
            return Err(Broken { at: self.place, why: "a group does not describe each of its channels" });
        }
        let (mut leads, mut others) = (Vec::new(), Vec::new());
        for (i, part) in definitions.into_iter().enumerate() {
            let channel = Channel::of(part, self.explicit, i)?;
            match channel.scale(warnings) {
                Ok((unit, adc_per_mv, adc_zero)) => leads.push(Lead {
                    name: channel.name,
                    unit,
                    adc_per_mv,
                    adc_zero,
                    missing: self.missing(),
                    rails: None,
                    prefilter: channel.prefilter,
                    samples: self.samples_of(i).into_source(),
                }),
                Err(reason) => others.push(OtherSignal { name: channel.name, reason }),
            }
        }
        Ok((leads, others))
    }

    fn note_length(&self, warnings: &mut Warnings) {
        let said = self.set.whole(SAMPLES).map_or(self.samples, |n| n as usize);
        if said > self.samples {
            let text = format!(
                "The group speaks of {said} samples, its data hold {}; {} were read.",
                self.samples, self.samples
            );
            warnings.add("signal-short", format!("byte {}", self.place), text);
            let seconds = |samples: usize| self.rate.seconds_from_samples(samples as i64);
            warnings.add_if_cut(seconds(self.samples), seconds(said));
        }
    }

    fn missing(&self) -> Option<i32> {
        self.set.get(PADDING).and_then(|p| sample(p.bytes.get(..self.width)?))
    }

    fn samples_of(&self, channel: usize) -> Store {
        let bytes = self.set.get(DATA).map_or(&[][..], |d| d.bytes);
        let mut store = Store::with_capacity(self.width > 2, self.samples);
        let values = bytes.chunks_exact(self.width).skip(channel).step_by(self.channels).take(self.samples);
        store.extend(values.map(|b| sample(b).unwrap_or(0)));
        store
    }
}

/// A whole number with a sign from one, two or four bytes.
fn sample(bytes: &[u8]) -> Option<i32> {
    match *bytes {
        [a] => Some(i32::from(a as i8)),
        [a, b] => Some(i32::from(i16::from_le_bytes([a, b]))),
        [a, b, c, d] => Some(i32::from_le_bytes([a, b, c, d])),
        _ => None,
    }
}

struct Channel {
    name: String,
    unit: Option<String>,
    /// Units of one step.
    step: Option<f64>,
    baseline: f64,
    prefilter: String,
}

impl Channel {
    fn of(part: Part<'_>, explicit: bool, i: usize) -> Result<Self, Broken> {
        let tags =
            [LABEL, SOURCE, SENSITIVITY, SENSITIVITY_UNITS, CORRECTION, BASELINE, HIGH_PASS, LOW_PASS, NOTCH];
        let set = Set::read(part, explicit, &tags)?;
        let coded = |tag| -> Result<Option<Set<'_>>, Broken> {
            let Some(sequence) = set.get(tag) else { return Ok(None) };
            let first = items(sequence, explicit, 1)?.first().copied();
            first.map(|item| Set::read(item, explicit, &[CODE, SCHEME, MEANING])).transpose()
        };
        let source = coded(SOURCE)?;
        let by_code = source.as_ref().and_then(|s| lead_name(&s.text(SCHEME), &s.text(CODE)));
        let names = [
            by_code.unwrap_or_default().to_owned(),
            set.text(LABEL),
            source.map_or_else(String::new, |s| s.text(MEANING)),
            format!("ECG {}", i + 1),
        ];
        let filters = [("HP", HIGH_PASS), ("LP", LOW_PASS), ("N", NOTCH)]
            .map(|(word, tag)| set.decimal(tag).map(|hz| format!("{word}:{hz}Hz")));
        let step = set.decimal(SENSITIVITY).map(|s| s * set.decimal(CORRECTION).unwrap_or(1.0));
        Ok(Self {
            name: names.into_iter().find(|n| !n.is_empty()).unwrap_or_default(),
            unit: coded(SENSITIVITY_UNITS)?.map(|s| s.text(CODE)),
            step: step.filter(|s| *s != 0.0 && (1.0 / s).is_finite()),
            baseline: set.decimal(BASELINE).unwrap_or(0.0),
            prefilter: filters.into_iter().flatten().collect::<Vec<_>>().join(" "),
        })
    }

    /// Unit, steps of one millivolt and the step of 0 mV, or why the channel is no lead.
    fn scale(&self, warnings: &mut Warnings) -> Result<(Unit, f64, f64), String> {
        let Some((step, unit)) = self.step.zip(self.unit.as_deref()) else {
            let text = format!(
                "{} has no sensitivity; 200 units per mV are assumed, amplitudes are not calibrated.",
                shown(&self.name)
            );
            warnings.add("uncalibrated", format!("channel {}", shown(&self.name)), text);
            return Ok((Unit::Uncalibrated, 200.0, 0.0));
        };
        let Some(mv) = mv_per_unit(unit) else {
            return Err(format!("its unit {} is no voltage", shown(unit)));
        };
        let scale = (1.0 / (step * mv), -self.baseline / step);
        match scale.0.is_finite() && scale.0 != 0.0 && scale.1.is_finite() {
            true => Ok((Unit::Millivolt, scale.0, scale.1)),
            false => Err("its sensitivity is out of range".to_owned()),
        }
    }
}
