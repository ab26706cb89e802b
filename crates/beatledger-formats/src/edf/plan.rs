//! Decides which signals of an EDF file become leads, and with which gain.

use std::path::Path;

use beatledger_core::model::{OtherSignal, Rate, Unit};

use super::header::{Header, Signal};
use super::number::{Decimal, gcd};
use super::scale::gain_and_zero;
use crate::FormatError;
use crate::choose::{Candidate, leads, mv_per_unit};
use crate::error::shown;
use crate::warn::Warnings;

/// Which signals are read as what.
pub(super) struct Plan {
    /// Signals read as leads, with gain per mV and zero.
    pub(super) leads: Vec<(usize, Calibration)>,
    pub(super) others: Vec<OtherSignal>,
    pub(super) annotations: Vec<usize>,
    pub(super) rate: Rate,
    pub(super) per_record: u32,
}

#[derive(Clone)]
pub(super) struct Calibration {
    pub(super) unit: Unit,
    pub(super) adc_per_mv: f64,
    pub(super) adc_zero: f64,
}

impl Plan {
    pub(super) fn of(path: &Path, header: &Header, warnings: &mut Warnings) -> Result<Self, FormatError> {
        let (annotations, ordinary): (Vec<usize>, Vec<usize>) =
            (0..header.signals.len()).partition(|i| header.signals[*i].is_annotation());
        if ordinary.is_empty() {
            return Err(FormatError::unsupported(path, "this file holds annotations only and no signal"));
        }
        if header.duration.to_f64() <= 0.0 {
            let expected = "a data record duration above 0 s beside signals";
            return Err(FormatError::malformed(path, "byte 244", expected, "0"));
        }
        let (mut sound, mut others) = (Vec::new(), Vec::new());
        for i in ordinary {
            match calibration(&header.signals[i]) {
                Ok(calibration) => sound.push((i, calibration)),
                Err(reason) => others.push(OtherSignal { name: header.signals[i].label.clone(), reason }),
            }
        }
        let candidates: Vec<_> = sound
            .iter()
            .map(|(i, _)| &header.signals[*i])
            .map(|s| Candidate { name: &s.label, unit: &s.unit, per_record: u64::from(s.per_record) })
            .collect();
        let mut chosen = Vec::new();
        for ((i, calibration), verdict) in sound.iter().zip(leads(&candidates)) {
            match verdict {
                Ok(()) => chosen.push((*i, calibration.clone())),
                Err(reason) => others.push(OtherSignal { name: header.signals[*i].label.clone(), reason }),
            }
        }
        let Some((first, _)) = chosen.first() else {
            let names: Vec<_> =
                others.iter().take(8).map(|o| format!("{}: {}", shown(&o.name), o.reason)).collect();
            let what = format!("none of its signals is an ECG lead ({})", names.join("; "));
            return Err(FormatError::unsupported(path, what));
        };
        let per_record = header.signals[*first].per_record;
        let Some(rate) = rate_from(per_record, header.duration) else {
            let expected = "a sampling rate that can be expressed in 32 bits";
            let found = format!("{per_record} samples in {} s", header.duration.to_f64());
            return Err(FormatError::malformed(path, "byte 244", expected, found));
        };
        for (i, calibration) in chosen.iter().filter(|(_, c)| c.unit == Unit::Uncalibrated) {
            let name = shown(&header.signals[*i].label);
            let per_mv = calibration.adc_per_mv;
            let text = format!(
                "{name} has no unit; {per_mv} units per mV are assumed, amplitudes are not calibrated."
            );
            warnings.add("uncalibrated", format!("signal {}", i + 1), text);
        }
        Ok(Self { leads: chosen, others, annotations, rate, per_record })
    }
}

fn calibration(signal: &Signal) -> Result<Calibration, String> {
    let Some(digital) = signal.digital else {
        return Err("its digital range is no pair of whole numbers".to_owned());
    };
    if digital.0 >= digital.1 {
        return Err(format!("its digital range {} to {} is empty or upside down", digital.0, digital.1));
    }
    let Some(physical) = signal.physical else {
        return Err("its physical range is no pair of numbers".to_owned());
    };
    let Some((gain, adc_zero)) = gain_and_zero(physical, digital) else {
        return Err("its physical range is empty".to_owned());
    };
    if signal.unit.is_empty() {
        return Ok(Calibration { unit: Unit::Uncalibrated, adc_per_mv: 200.0, adc_zero: 0.0 });
    }
    // Signals of another unit are listed by the choice of leads; their factor is never used.
    let mv = mv_per_unit(&signal.unit).unwrap_or(1.0);
    let adc_per_mv = if mv < 1.0 { gain * (1.0 / mv).round() } else { gain / mv };
    Ok(Calibration { unit: Unit::Millivolt, adc_per_mv, adc_zero })
}

/// `samples` in `duration`, as a reduced fraction where it fits.
fn rate_from(samples: u32, duration: Decimal) -> Option<Rate> {
    let exact = || {
        let unit = Decimal::parse("1")?.0;
        let (seconds, one, _) = duration.aligned(unit)?;
        let (num, den) =
            (u64::try_from(one).ok()?.checked_mul(u64::from(samples))?, u64::try_from(seconds).ok()?);
        let divisor = gcd(num, den);
        Rate::new(u32::try_from(num / divisor).ok()?, u32::try_from(den / divisor).ok()?)
    };
    exact().or_else(|| Rate::from_hz(f64::from(samples) / duration.to_f64()))
}
