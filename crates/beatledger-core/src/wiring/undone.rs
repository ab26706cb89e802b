//! The tracing as it would have been without the changes of its leads.

use std::sync::Arc;

use crate::model::{Lead, LeadChange, LeadChangeKind, Recording, SampleSource, Span};

/// The same recording with every change undone.
pub fn undone(recording: &Recording, changes: &[LeadChange]) -> Recording {
    let mut leads = recording.leads.clone();
    for change in changes {
        let before = leads.clone();
        let put = |lead: usize, from: usize, turned: bool| Lead {
            samples: Arc::new(Rewired {
                own: before[lead].samples.clone(),
                other: before[from].samples.clone(),
                span: change.span,
                zero: before[from].adc_zero,
                gain: before[lead].adc_per_mv / before[from].adc_per_mv * if turned { -1.0 } else { 1.0 },
                own_zero: before[lead].adc_zero,
                missing: before[from].missing,
                own_missing: before[lead].missing,
            }),
            ..before[lead].clone()
        };
        match change.kind {
            LeadChangeKind::Turned(lead) => leads[lead] = put(lead, lead, true),
            LeadChangeKind::Swapped(a, b) => {
                (leads[a], leads[b]) = (put(a, b, false), put(b, a, false));
            }
        }
    }
    Recording { leads, ..recording.clone() }
}

/// A lead that takes its samples from another within a stretch, in its own units.
#[derive(Debug)]
struct Rewired {
    own: Arc<dyn SampleSource>,
    other: Arc<dyn SampleSource>,
    span: Span,
    zero: f64,
    gain: f64,
    own_zero: f64,
    missing: Option<i32>,
    own_missing: Option<i32>,
}

impl SampleSource for Rewired {
    fn len(&self) -> usize {
        self.own.len()
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        self.own.read(start, out);
        let all = Span::new(start as i64, (start + out.len()) as i64);
        let part = self.span.overlap(all).overlap(Span::new(0, self.other.len() as i64));
        if part.is_empty() {
            return;
        }
        let out = &mut out[(part.start - all.start) as usize..(part.end - all.start) as usize];
        self.other.read(part.start as usize, out);
        for value in out {
            *value = match (Some(*value) == self.missing, self.own_missing) {
                (true, Some(missing)) => missing,
                _ => ((f64::from(*value) - self.zero) * self.gain + self.own_zero).round() as i32,
            };
        }
    }

    fn bytes(&self) -> usize {
        self.own.bytes()
    }
}
