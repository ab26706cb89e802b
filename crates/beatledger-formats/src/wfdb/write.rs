//! Writes MIT annotation files.

use std::path::Path;

use beatledger_core::model::Rate;

use super::Annotation;
use super::annotation::{RESOLUTION, word};
use crate::FormatError;

/// Writes annotations in order of time, then channel. With a `rate` the file states its time resolution.
///
/// # Errors
/// One sentence when an annotation cannot be expressed in the format (code above 49 or 0, time before 0 or
/// above 2^31 steps, text above 255 bytes) or the file cannot be written.
pub fn write_annotations(
    path: impl AsRef<Path>,
    annotations: &[Annotation],
    rate: Option<Rate>,
) -> Result<(), FormatError> {
    let path = path.as_ref();
    let bytes = annotation_bytes(annotations, rate).map_err(|what| FormatError::unsupported(path, what))?;
    std::fs::write(path, bytes).map_err(|e| FormatError::io(path, "writing", e))
}

/// The bytes of an annotation file.
///
/// # Errors
/// A sentence that names the annotation that cannot be expressed.
pub fn annotation_bytes(annotations: &[Annotation], rate: Option<Rate>) -> Result<Vec<u8>, String> {
    let mut out = Vec::with_capacity(annotations.len() * 4 + 64);
    if let Some(rate) = rate {
        let aux = format!("{RESOLUTION} {}", rate.hz());
        push(&mut out, word::NOTE, 0);
        push_aux(&mut out, &aux);
    }
    let mut sorted: Vec<&Annotation> = annotations.iter().collect();
    sorted.sort_by_key(|a| (a.sample, a.chan));
    let (mut time, mut num, mut chan) = (0, 0, 0);
    for annotation in sorted {
        check(annotation)?;
        push_time(&mut out, annotation, time)?;
        time = annotation.sample;
        if annotation.num != num {
            num = annotation.num;
            push(&mut out, word::NUM, u16::from(num as u8));
        }
        if annotation.subtype != 0 {
            push(&mut out, word::SUB, u16::from(annotation.subtype as u8));
        }
        if annotation.chan != chan {
            chan = annotation.chan;
            push(&mut out, word::CHN, u16::from(chan));
        }
        if !annotation.aux.is_empty() {
            push_aux(&mut out, &annotation.aux);
        }
    }
    push(&mut out, 0, 0);
    Ok(out)
}

fn check(annotation: &Annotation) -> Result<(), String> {
    let Annotation { sample, code, aux, .. } = annotation;
    if !(1..=word::LAST_CODE).contains(code) {
        return Err(format!("annotation at sample {sample}: expected a code from 1 to 49, found {code}"));
    }
    if aux.len() > 255 {
        return Err(format!(
            "annotation at sample {sample}: expected a text of at most 255 bytes, found {}",
            aux.len()
        ));
    }
    Ok(())
}

/// The annotation's own word, after a SKIP where the step from `time` does not fit into 10 bits.
fn push_time(out: &mut Vec<u8>, annotation: &Annotation, time: i64) -> Result<(), String> {
    let sample = annotation.sample;
    let step = i32::try_from(sample - time).ok().filter(|_| sample >= 0);
    let Some(step) = step else {
        return Err(format!(
            "annotation at sample {sample}: expected a step of 0 to 2147483647 samples from {time}"
        ));
    };
    match u16::try_from(step) {
        Ok(short) if short <= 0x3ff => push(out, annotation.code, short),
        _ => {
            push(out, word::SKIP, 0);
            let [a, b, c, d] = step.to_le_bytes();
            out.extend([c, d, a, b]);
            push(out, annotation.code, 0);
        }
    }
    Ok(())
}

fn push(out: &mut Vec<u8>, code: u8, low: u16) {
    out.extend((u16::from(code) << 10 | low).to_le_bytes());
}

/// Text word, text, and a NUL where the length is odd; the caller keeps the text within 255 bytes.
fn push_aux(out: &mut Vec<u8>, text: &str) {
    push(out, word::AUX, text.len().min(255) as u16);
    out.extend(text.bytes());
    if text.len() % 2 == 1 {
        out.push(0);
    }
}
