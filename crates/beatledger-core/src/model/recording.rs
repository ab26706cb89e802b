//! A recording as it came from the recorder. It never changes after import.

use std::fmt::Debug;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{LocalTime, Rate, Span, Warning};

/// Where raw samples come from: memory now, a mapped file as well later.
pub trait SampleSource: Send + Sync + Debug {
    /// Number of samples.
    fn len(&self) -> usize;

    /// True when there is no sample.
    fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Copies the raw integers from sample `start` on into `out`; the caller keeps `start + out.len() <= len()`.
    fn read(&self, start: usize, out: &mut [i32]);

    /// Bytes of memory that the samples occupy.
    fn bytes(&self) -> usize;
}

impl SampleSource for Vec<i16> {
    fn len(&self) -> usize {
        Vec::len(self)
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        for (to, from) in out.iter_mut().zip(&self[start..]) {
            *to = i32::from(*from);
        }
    }

    fn bytes(&self) -> usize {
        Vec::len(self) * 2
    }
}

impl SampleSource for Vec<i32> {
    fn len(&self) -> usize {
        Vec::len(self)
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        let n = out.len();
        out.copy_from_slice(&self[start..start + n]);
    }

    fn bytes(&self) -> usize {
        Vec::len(self) * 4
    }
}

/// Physical unit of a lead as the file states it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unit {
    /// Calibrated; millivolts come out of [`Lead::mv_from_adc`].
    Millivolt,
    /// The file gives no unit or gain; 200 units per mV are assumed and said so.
    Uncalibrated,
}

/// One lead: raw integers with gain and baseline. Filters, inversion and display gain act on copies.
#[derive(Clone, Debug)]
pub struct Lead {
    /// Name as in the file, `ECG 1` when the file has none.
    pub name: String,
    /// Whether the amplitudes are calibrated.
    pub unit: Unit,
    /// ADC units per millivolt; never zero, negative when the file inverts.
    pub adc_per_mv: f64,
    /// ADC value of 0 mV.
    pub adc_zero: f64,
    /// Raw value that means 'no sample here'.
    pub missing: Option<i32>,
    /// Lowest and highest value that the recorder can deliver; at these a sample may be clipped.
    pub rails: Option<(i32, i32)>,
    /// Filters that the recorder applied, as in the file.
    pub prefilter: String,
    /// The raw integers.
    pub samples: Arc<dyn SampleSource>,
}

impl Lead {
    /// Millivolts of one raw value.
    pub fn mv_from_adc(&self, adc: i32) -> f32 {
        ((f64::from(adc) - self.adc_zero) / self.adc_per_mv) as f32
    }

    /// Reads `span` as millivolts into `out` (cleared first). Missing samples, and samples outside the
    /// recording, are NaN, so that `out` always has `span.len()` values.
    pub fn read_mv(&self, span: Span, out: &mut Vec<f32>) {
        out.clear();
        if span.is_empty() {
            return;
        }
        out.resize(span.len() as usize, f32::NAN);
        let inside = span.overlap(Span::new(0, self.samples.len() as i64));
        if inside.is_empty() {
            return;
        }
        let mut raw = vec![0i32; inside.len() as usize];
        self.samples.read(inside.start as usize, &mut raw);
        let at = (inside.start - span.start) as usize;
        let (scale, zero) = ((1.0 / self.adc_per_mv) as f32, self.adc_zero as f32);
        for (to, adc) in out[at..].iter_mut().zip(&raw) {
            if Some(*adc) != self.missing {
                *to = (*adc as f32 - zero) * scale;
            }
        }
    }
}

/// A signal in the file that is no ECG lead (respiration, acceleration): listed, not analysed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct OtherSignal {
    /// Name as in the file.
    pub name: String,
    /// Why it is not read as a lead.
    pub reason: String,
}

/// Who was recorded, exactly as the file says; empty when it does not.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// Name or code.
    pub name: String,
    /// Patient code or number.
    pub code: String,
    /// Date of birth as text.
    pub born: String,
    /// Sex as text.
    pub sex: String,
    /// Recorder as text.
    pub recorder: String,
    /// Remarks of the file, word by word: they may name age, drugs or a diagnosis, and are never taken for anything else.
    pub remarks: String,
}

/// What a diary entry is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DiaryKind {
    /// Something felt.
    Symptom,
    /// Something done.
    Activity,
    /// Something taken.
    Medication,
    /// A button on the recorder pressed.
    Button,
    /// In bed.
    Sleep,
    /// Anything else.
    Note,
}

/// One line of the diary that came with the recording.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DiaryEntry {
    /// When, and for how long; an instant has an empty span.
    pub span: Span,
    /// What kind.
    pub kind: DiaryKind,
    /// The wearer's words.
    pub text: String,
}

/// A day of ambulatory ECG as it came in. All leads share one rate and one length.
#[derive(Clone, Debug)]
pub struct Recording {
    /// Short name: the file's stem.
    pub name: String,
    /// Format in words, such as `EDF+C`.
    pub format: String,
    /// SHA-256 over the bytes of all files of the recording, lower-case hex; empty for one made in memory.
    pub sha256: String,
    /// Who was recorded.
    pub identity: Identity,
    /// Wall clock of sample 0 on the recorder's own clock, when the file says.
    pub start: Option<LocalTime>,
    /// Samples per second of every lead.
    pub rate: Rate,
    /// Samples per lead, gaps included.
    pub samples: i64,
    /// Stretches with data, sorted and disjoint; one that spans everything when there is no gap.
    pub segments: Vec<Span>,
    /// The ECG leads.
    pub leads: Vec<Lead>,
    /// Signals that are not read as leads.
    pub others: Vec<OtherSignal>,
    /// Diary entries that came with the recording, sorted by start.
    pub diary: Vec<DiaryEntry>,
    /// What was odd about the file.
    pub warnings: Vec<Warning>,
}

impl Recording {
    /// The whole recording as a span.
    pub fn whole(&self) -> Span {
        Span::new(0, self.samples)
    }

    /// Wall clock at `sample`, when the start is known.
    pub fn local_time(&self, sample: i64) -> Option<LocalTime> {
        self.start.map(|s| LocalTime(s.0 + self.rate.ms_from_samples(sample).round() as i64))
    }

    /// `HH:MM:SS` at `sample`; elapsed time, marked with a leading `+`, when the start is unknown.
    pub fn clock(&self, sample: i64) -> String {
        match self.local_time(sample) {
            Some(t) => t.clock(),
            None => format!("+{}", LocalTime(self.rate.ms_from_samples(sample).round() as i64).clock()),
        }
    }

    /// Length in hours.
    pub fn hours(&self) -> f64 {
        self.rate.seconds_from_samples(self.samples) / 3600.0
    }
}
