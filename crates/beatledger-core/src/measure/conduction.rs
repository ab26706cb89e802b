//! PR and QRS duration by clock hour, and the share of wide QRS: medians of N beats outside atrial fibrillation.

use rayon::prelude::*;

use super::Day;
use crate::model::{Beat, BeatClass, ConductionRow, Span};

/// One row per stretch of `hours`. A median needs `qt_min_beats` beats of `qt_min_quality` or more.
pub fn by_hour(day: &Day<'_>, hours: &[Span]) -> Vec<ConductionRow> {
    hours.par_iter().map(|span| row(day, *span)).collect()
}

fn row(day: &Day<'_>, span: Span) -> ConductionRow {
    let reading = day.reading();
    let settings = reading.settings;
    let (mut pr, mut qrs) = (Vec::new(), Vec::new());
    for i in reading.beats_in(span) {
        let beat = &reading.beats[i];
        if day.in_af[i] || !takes_part(beat, settings.qt_min_quality) {
            continue;
        }
        pr.extend(beat.waves.pr_samples().filter(|s| *s > 0));
        qrs.extend(beat.waves.qrs_samples().filter(|s| *s > 0));
    }
    let least = (settings.qt_min_beats as usize).max(1);
    let rate = reading.recording.rate;
    let is_wide = |samples: &&i64| rate.ms_from_samples(**samples) >= settings.wide_qrs_ms;
    let wide = qrs.iter().filter(is_wide).count();
    let enough = qrs.len() >= least;
    ConductionRow {
        span,
        pr_beats: pr.len() as u32,
        qrs_beats: qrs.len() as u32,
        wide_percent: enough.then(|| 100.0 * wide as f64 / qrs.len() as f64),
        pr_ms: (pr.len() >= least).then(|| rate.ms_from_samples(median(&mut pr))),
        qrs_ms: enough.then(|| rate.ms_from_samples(median(&mut qrs))),
    }
}

/// True for an N beat of fair signal.
pub fn takes_part(beat: &Beat, least_quality: f64) -> bool {
    beat.class == BeatClass::N && f64::from(beat.evidence.quality) >= least_quality
}

/// The lower median; 0 of nothing.
fn median(values: &mut [i64]) -> i64 {
    let middle = values.len().saturating_sub(1) / 2;
    if values.is_empty() { 0 } else { *values.select_nth_unstable(middle).1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Waves;
    use crate::rhythm::testing::made;

    /// An hour with a PR of 160 ms and every fourth QRS of 140 ms, then an hour with a PR of 220 ms.
    #[test]
    fn pr_and_the_share_of_wide_qrs_are_told_by_hour() {
        let mut day = made(&"N".repeat(7200), &[1000]);
        for (i, beat) in day.beats.iter_mut().enumerate() {
            beat.evidence.quality = 1.0;
            let pr = if i < 3600 { 160 } else { 220 };
            let off = if i < 3600 && i % 4 == 0 { 100 } else { 50 };
            beat.waves =
                Waves { p_on: Some(-40 - pr), qrs_on: Some(-40), qrs_off: Some(off), ..Waves::default() };
        }
        // V beats and beats in noise take no part.
        day.beats[10].class = BeatClass::V;
        day.beats[11].evidence.quality = 0.1;
        let reading = day.reading();
        let hours = [Span::new(0, 3_600_000), Span::new(3_600_000, 7_200_000)];
        let rows = by_hour(&Day::new(&reading, &[]), &hours);
        assert_eq!((rows[0].pr_ms, rows[1].pr_ms, rows[0].qrs_ms), (Some(160.0), Some(220.0), Some(90.0)));
        assert_eq!(rows[0].qrs_beats, 3598);
        assert!((rows[0].wide_percent.unwrap() - 100.0 * 900.0 / 3598.0).abs() < 1e-9);
        assert_eq!(rows[1].wide_percent, Some(0.0));
    }

    #[test]
    fn an_hour_with_few_beats_says_nothing() {
        let day = made("NNN", &[800]);
        let reading = day.reading();
        let rows = by_hour(&Day::new(&reading, &[]), &[Span::new(0, 1601)]);
        assert_eq!((rows[0].pr_ms, rows[0].qrs_ms, rows[0].wide_percent), (None, None, None));
    }
}
