//! What every broken file must come out as: one sentence, or a recording that can be used.

use beatledger_core::model::{Recording, Span};
use beatledger_formats::FormatError;

pub fn check_sentence(error: &FormatError) {
    let text = error.to_string();
    assert!(text.len() > 10 && text.len() < 1200, "{text}");
    assert!(!text.chars().any(char::is_control), "{text:?}");
}

/// Whatever came out is usable, and holds no more than the files can have given.
pub fn check_recording(result: &Result<Recording, FormatError>, file_bytes: usize) {
    match result {
        Err(error) => check_sentence(error),
        Ok(recording) => {
            let held: usize = recording.leads.iter().map(|l| l.samples.bytes()).sum();
            assert!(held <= 2 * file_bytes, "{held} bytes of samples from {file_bytes} bytes of file");
            assert!(recording.samples > 0 && !recording.leads.is_empty());
            let mut mv = Vec::new();
            for lead in &recording.leads {
                assert_eq!(lead.samples.len() as i64, recording.samples);
                assert!(lead.adc_per_mv.is_finite() && lead.adc_per_mv != 0.0 && lead.adc_zero.is_finite());
                lead.read_mv(Span::new(recording.samples - 50, recording.samples + 50), &mut mv);
                lead.read_mv(Span::new(-5, 5), &mut mv);
            }
            assert!(recording.diary.iter().all(|d| d.span.start >= 0 && d.span.end <= recording.samples));
        }
    }
}
