//! What each lead was like: the quality of every second, with what a reader declared unreadable.

use super::Day;
use crate::model::{LeadTime, SecondQuality, Span};

/// One entry per lead; empty where the quality of the leads is not known.
pub fn lead_times(day: &Day<'_>) -> Vec<LeadTime> {
    let reading = day.reading();
    let Some(found) = reading.found else { return Vec::new() };
    let leads = reading.recording.leads.iter().zip(&found.quality.leads);
    leads.enumerate().map(|(lead, (known, quality))| of_lead(day, lead, &known.name, &quality.kind)).collect()
}

fn of_lead(day: &Day<'_>, lead: usize, name: &str, kinds: &[SecondQuality]) -> LeadTime {
    let reading = day.reading();
    let (rate, whole) = (reading.recording.rate, reading.recording.whole());
    let mut out = LeadTime { lead, name: name.to_owned(), ..LeadTime::default() };
    let mut holes = Vec::new();
    let mut at = 0;
    for (second, kind) in kinds.iter().enumerate() {
        let start = rate.samples_from_seconds(second as f64);
        let span = Span::new(start, rate.samples_from_seconds(second as f64 + 1.0)).overlap(whole);
        while at < reading.unreadable.len() && reading.unreadable[at].end <= span.start {
            at += 1;
        }
        let lost = reading.unreadable.get(at).is_some_and(|hole| 2 * hole.overlap(span).len() > span.len());
        let seconds = rate.seconds_from_samples(span.len());
        let is_readable = kind.is_readable() && !lost;
        let part = match kind {
            _ if is_readable => &mut out.readable_s,
            SecondQuality::Flat => &mut out.flat_s,
            SecondQuality::Railed => &mut out.railed_s,
            SecondQuality::Missing => &mut out.missing_s,
            _ => &mut out.unreadable_s,
        };
        *part += seconds;
        if is_readable && *kind == SecondQuality::Noisy {
            out.noisy_s += seconds;
        }
        if !is_readable {
            holes.push(span);
        }
    }
    out.longest_hole = Span::merged(holes, 0).into_iter().rev().max_by_key(|s| s.len());
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Found, LeadQuality, Quality};
    use crate::rhythm::testing::sinus;

    #[test]
    fn every_second_of_a_lead_stands_in_one_column() {
        use SecondQuality::{Flat, Good, Missing, Noisy, Railed, Unreadable};
        let day = sinus(&[1000; 10]).with_hole(8_200, 9_000);
        let kind = vec![Good, Noisy, Flat, Flat, Railed, Missing, Unreadable, Good, Good, Good, Good];
        let quality = Quality { leads: vec![LeadQuality { kind, score: vec![] }], unreadable: vec![] };
        let found = Found { quality, ..Found::default() };
        let reading = day.reading().with_found(&found);
        let times = &lead_times(&Day::new(&reading, &[]))[0];
        assert_eq!((times.readable_s, times.noisy_s, times.unreadable_s), (4.001, 1.0, 2.0));
        assert_eq!((times.flat_s, times.railed_s, times.missing_s), (2.0, 1.0, 1.0));
        assert_eq!(times.longest_hole, Some(Span::new(2000, 7000)));
        assert!(lead_times(&Day::new(&day.reading(), &[])).is_empty());
    }
}
