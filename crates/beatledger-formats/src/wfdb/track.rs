//! One signal of one record, checked against what its header says, ready to be a lead or a piece of one.

use std::sync::Arc;

use beatledger_core::model::{Lead, SampleSource, Span, Unit};

use super::coding::Coding;
use super::header::SignalSpec;
use crate::choose::mv_per_unit;
use crate::error::shown;
use crate::samples::{GAP, Joined, Piece, Store};
use crate::warn::Warnings;

/// The samples of a signal with their scale.
#[derive(Clone, Debug)]
pub(super) struct Track {
    pub(super) held: Arc<dyn SampleSource>,
    /// Samples at the start that belong to no frame.
    pub(super) skew: usize,
    pub(super) missing: Option<i32>,
    pub(super) unit: Unit,
    pub(super) adc_per_mv: f64,
    pub(super) adc_zero: f64,
    pub(super) rails: Option<(i32, i32)>,
}

impl Track {
    /// `whole` says that as many samples were read as the header speaks of, so that the checksum means something.
    pub(super) fn of(
        name: &str,
        spec: &SignalSpec,
        samples: Store,
        coding: &Coding,
        whole: bool,
        warnings: &mut Warnings,
    ) -> Self {
        let place = || format!("signal {}", shown(name));
        if whole {
            check_sum(spec, name, &samples, warnings);
        }
        if spec.gain.is_none() {
            let text = format!(
                "{} has no gain; 200 units per mV are assumed, amplitudes are not calibrated.",
                shown(name)
            );
            warnings.add("uncalibrated", place(), text);
        }
        Self {
            rails: rails(name, spec, &samples, coding, warnings),
            skew: (spec.skew_samples as usize).min(samples.len()),
            held: samples.into_source(),
            missing: coding.missing,
            unit: if spec.gain.is_some() { Unit::Millivolt } else { Unit::Uncalibrated },
            adc_per_mv: spec.gain.map_or(200.0, |gain| gain / mv_per_unit(&spec.unit).unwrap_or(1.0)),
            adc_zero: spec.baseline,
        }
    }

    /// The samples as a piece that starts at `start` of a lead and fills at most `samples` of it.
    pub(super) fn piece(&self, start: i64, samples: i64) -> Piece {
        let there = (self.held.len() - self.skew) as i64;
        Piece {
            span: Span::new(start, start + there.min(samples)),
            held: Arc::clone(&self.held),
            from: self.skew,
            missing: self.missing,
            rescale: None,
        }
    }

    /// The signal as a lead of `samples` samples by itself.
    pub(super) fn into_lead(self, name: String, samples: i64) -> Lead {
        let apart = self.skew > 0 || self.held.len() as i64 != samples;
        Lead {
            name,
            unit: self.unit.clone(),
            adc_per_mv: self.adc_per_mv,
            adc_zero: self.adc_zero,
            missing: if apart { Some(GAP) } else { self.missing },
            rails: self.rails,
            prefilter: String::new(),
            samples: match apart {
                true => Arc::new(Joined::new(samples as usize, vec![self.piece(0, samples)])),
                false => self.held,
            },
        }
    }
}

fn check_sum(spec: &SignalSpec, name: &str, samples: &Store, warnings: &mut Warnings) {
    // Writers that do not compute the sum leave 0, so 0 says nothing.
    let Some(said) = spec.checksum.filter(|sum| *sum != 0) else { return };
    let mut found = 0i16;
    samples.each(0, |s| found = found.wrapping_add(s as i16));
    if said as i16 != found {
        let text = format!(
            "The header gives the checksum {said} for {}, its samples give {found}; the signal may be damaged.",
            shown(name)
        );
        warnings.add("checksum", format!("signal {}", shown(name)), text);
    }
}

/// The range of the ADC where the header states its bits, unless the samples prove it wrong.
fn rails(
    name: &str,
    spec: &SignalSpec,
    samples: &Store,
    coding: &Coding,
    warnings: &mut Warnings,
) -> Option<(i32, i32)> {
    let half = 1i32.checked_shl(spec.adc_bits?.checked_sub(1)?).filter(|h| *h > 0)?;
    let low = spec.adc_zero.checked_sub(half)?;
    let high = spec.adc_zero.checked_add(half - 1)?;
    let mut outside = 0;
    samples.each(0, |s| outside += u64::from(Some(s) != coding.missing && !(low..=high).contains(&s)));
    if outside > 0 {
        let text = format!(
            "{outside} samples of {} lie outside the range {low} to {high} that the header gives; the range was ignored.",
            shown(name)
        );
        warnings.add("range", format!("signal {}", shown(name)), text);
        return None;
    }
    Some((low, high))
}
