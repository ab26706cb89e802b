//! Which part is written, and whether anything would be lost by writing.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail, ensure};
use beatledger_core::model::{LocalTime, Recording, Span};

/// Refuses to write over the recording itself, and over any file without --force.
pub fn check(input: &Path, files: &[PathBuf], force: bool) -> anyhow::Result<()> {
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    let of_record = |path: &Path| path.extension().is_some_and(|e| e == "hea" || e == "dat");
    for file in files {
        let Some(there) = real(file) else { continue };
        let source = real(input);
        let folder = source.as_ref().is_some_and(|s| s.is_dir() && there.parent() == Some(s.as_path()));
        let record = of_record(input)
            && source.as_ref().is_some_and(|s| s.with_extension("") == there.with_extension(""));
        ensure!(
            source.as_ref() != Some(&there) && !folder && !record,
            "{} belongs to the recording itself, which is never changed; choose another name",
            file.display()
        );
        ensure!(force, "{} is already there; --force replaces it", file.display());
    }
    Ok(())
}

/// The part between two places, the whole where none is said.
pub fn span(recording: &Recording, from: Option<&str>, to: Option<&str>) -> anyhow::Result<Span> {
    let start = from.map_or(Ok(0), |text| sample(recording, text, 0).context("--from"))?;
    let end = to.map_or(Ok(recording.samples), |text| sample(recording, text, start + 1).context("--to"))?;
    let end = end.min(recording.samples);
    ensure!(
        start < end,
        "the part from {} to {} holds no samples; the recording lasts until {}",
        said(recording, start),
        said(recording, end),
        said(recording, recording.samples)
    );
    Ok(Span::new(start, end))
}

/// A place in words: seconds from the start, and the time of day where it is known.
pub fn said(recording: &Recording, sample: i64) -> String {
    let seconds = recording.rate.seconds_from_samples(sample);
    let clock =
        recording.local_time(sample).map_or(String::new(), |t| format!(" (time of day {})", t.clock_ms()));
    format!("{seconds:.3} s from the start{clock}")
}

/// The sample of a time of day, the first one at or after sample `after`, or of seconds from the start.
fn sample(recording: &Recording, text: &str, after: i64) -> anyhow::Result<i64> {
    if !text.contains(':') {
        let seconds: f64 =
            text.trim().parse().ok().filter(|s: &f64| s.is_finite() && *s >= 0.0).with_context(|| {
                format!("expected a time of day such as 22:30 or seconds from the start, found '{text}'")
            })?;
        return Ok(recording.rate.samples_from_seconds(seconds));
    }
    let ms =
        clock_ms(text).with_context(|| format!("expected a time of day such as 22:30:15, found '{text}'"))?;
    let Some(start) = recording.start else {
        bail!(
            "the recording does not say when it starts, so {text} is no place in it; give seconds from the start"
        );
    };
    let from_ms = start.0 + recording.rate.ms_from_samples(after).ceil() as i64;
    let day = from_ms - LocalTime(from_ms).ms_of_day();
    let at_ms = if day + ms < from_ms { day + ms + LocalTime::DAY_MS } else { day + ms };
    Ok(recording.rate.samples_from_ms((at_ms - start.0) as f64))
}

/// ms since midnight of `HH:MM`, `HH:MM:SS` or `HH:MM:SS.mmm`.
fn clock_ms(text: &str) -> Option<i64> {
    let mut parts = text.trim().split(':');
    let whole = |part: &str, below: u32| part.parse::<u32>().ok().filter(|n| *n < below && part.len() <= 2);
    let (hour, minute) = (whole(parts.next()?, 24)?, whole(parts.next()?, 60)?);
    let second: f64 = match parts.next() {
        None => 0.0,
        Some(part) => part.parse().ok().filter(|s| (0.0..60.0).contains(s))?,
    };
    let minutes = i64::from(hour * 60 + minute);
    parts.next().is_none().then(|| minutes * 60_000 + (second * 1000.0).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_and_others_refused() {
        assert_eq!(clock_ms("22:30"), Some(81_000_000));
        assert_eq!(clock_ms("00:00:01.5"), Some(1500));
        for bad in ["24:00", "1:60", "1:2:60", "a:b", "1:2:3:4", ":", "1:-1", "1:2:NaN"] {
            assert_eq!(clock_ms(bad), None, "{bad}");
        }
    }
}
