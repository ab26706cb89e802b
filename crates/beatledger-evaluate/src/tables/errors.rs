//! Every beat that is missed, added or wrongly labelled, a line each: for those who want to see why.

use beatledger_core::model::BeatClass;
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Rules, pairs};

use super::text_of;
use crate::case::Case;

/// The list as CSV.
///
/// # Errors
/// When a row cannot be written, which does not happen in memory.
pub fn errors_csv(cases: &[Case], mapping: Mapping) -> anyhow::Result<String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record([
        "record",
        "sample",
        "time_s",
        "clock",
        "kind",
        "reference",
        "found",
        "confidence",
        "unreadable",
    ])?;
    for case in cases.iter().filter(|c| c.from_tracing) {
        let sides = case.sides(mapping);
        for pair in pairs(case.rate, &sides.reference, &sides.test, &Rules::WHOLE) {
            let reference = pair.reference.map(|r| sides.reference.beats[r]);
            let test = pair.test.map(|t| sides.test.beats[t]);
            let kind = match (reference, test) {
                (Some(r), Some(t)) if r.1 == t.1 => continue,
                (Some(_), Some(_)) => "label",
                (Some(_), None) => "missed",
                _ => "added",
            };
            let Some((sample, _)) = reference.or(test) else { continue };
            let letter = |b: Option<(i64, BeatClass)>| b.map_or("-".to_owned(), |b| b.1.letter().to_string());
            let confidence = pair.test.and_then(|t| case.confidence.get(t));
            let seconds = case.rate.seconds_from_samples(sample);
            let unreadable = sides.test.shutdown.iter().any(|s| s.contains(sample));
            table.write_record([
                case.record.clone(),
                sample.to_string(),
                format!("{seconds:.3}"),
                format!("{:02}:{:06.3}", (seconds / 60.0) as u64, seconds % 60.0),
                kind.to_owned(),
                letter(reference),
                letter(test),
                confidence.map_or(String::new(), |c| format!("{c:.2}")),
                if unreadable { "yes" } else { "no" }.to_owned(),
            ])?;
        }
    }
    text_of(table)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Sides;
    use beatledger_core::model::{Rate, Span};
    use beatledger_score::Annotations;

    #[test]
    fn each_wrong_beat_has_a_line_and_right_ones_have_none() {
        let reference =
            Annotations::of_beats(vec![(1000, BeatClass::N), (2000, BeatClass::V), (3000, BeatClass::S)]);
        let mut test =
            Annotations::of_beats(vec![(1000, BeatClass::N), (2010, BeatClass::N), (61_500, BeatClass::V)]);
        test.shutdown = vec![Span::new(2900, 3100)];
        let case = Case {
            record: "a".into(),
            rate: Rate::whole_hz(1000),
            samples: 70_000,
            from_tracing: true,
            confidence: vec![0.9, 0.625, 0.5],
            said: None,
            literature: Sides { reference, test },
            standard: Sides::default(),
        };
        let text = errors_csv(&[case], Mapping::Literature).unwrap();
        let lines: Vec<&str> = text.lines().skip(1).collect();
        assert_eq!(
            lines,
            [
                "a,2000,2.000,00:02.000,label,V,N,0.62,no",
                "a,3000,3.000,00:03.000,missed,S,-,,yes",
                "a,61500,61.500,01:01.500,added,-,V,0.50,no",
            ]
        );
    }
}
