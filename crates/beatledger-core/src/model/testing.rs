//! Drawn recordings for tests.

use std::sync::Arc;

use super::{Identity, Lead, Rate, Recording, Span, Unit};

/// A recording of one lead, drawn in mV.
pub(crate) fn drawn(rate_hz: u32, mv: &[f64]) -> Recording {
    let samples: Vec<i16> = mv.iter().map(|v| (v * 1000.0).round() as i16).collect();
    let whole = Span::new(0, samples.len() as i64);
    Recording {
        name: "drawn".into(),
        format: "drawn".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate: Rate::whole_hz(rate_hz),
        samples: whole.end,
        segments: vec![whole],
        leads: vec![Lead {
            name: "ECG 1".into(),
            unit: Unit::Millivolt,
            adc_per_mv: 1000.0,
            adc_zero: 0.0,
            missing: None,
            rails: None,
            prefilter: String::new(),
            samples: Arc::new(samples),
        }],
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}
