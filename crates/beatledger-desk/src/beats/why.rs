//! Why a beat has its label, in words: what the program measured of it, and who is behind the label.

use beatledger_core::model::{Beat, Evidence};

/// Shares smaller than this of the sinus interval are no haste and no delay.
const ON_TIME: f32 = 0.03;

/// The label of a beat, who gave it, and the evidence: how early it came and how long the next interval is against the
/// sinus interval, QRS duration, how far its shape lies from the dominant one, how clear a P wave stands before it.
pub fn beat_words(beat: &Beat) -> String {
    let letter = beat.class.letter();
    let label = match (beat.class_found, beat.is_changed()) {
        (None, _) => format!("{letter}, put in by a reader"),
        (Some(found), true) if found != beat.class => {
            format!("{letter} by a reader, found as {}", found.letter())
        }
        (Some(_), true) => format!("{letter}, agreed by a reader"),
        (Some(_), false) => format!("{letter}, confidence {:.2}", beat.confidence),
    };
    match beat.class_found {
        None => label,
        Some(_) => format!("{label}: {}", evidence_words(&beat.evidence)),
    }
}

fn evidence_words(evidence: &Evidence) -> String {
    let mut words = Vec::new();
    if evidence.paced {
        words.push("a pacing spike begins it or most of its shape".to_owned());
    }
    if let Some(early) = evidence.prematurity.filter(|e| e.is_finite()) {
        let percent = (early.abs() * 100.0).round();
        words.push(match early {
            e if e >= ON_TIME => format!("{percent} % early"),
            e if e <= -ON_TIME => format!("{percent} % late"),
            _ => "on time".to_owned(),
        });
    }
    if let Some(ms) = evidence.width_ms {
        words.push(format!("QRS {ms:.0} ms"));
    }
    words.push(format!("shape {:.2} off", evidence.shape_distance));
    words.push(match evidence.p_before {
        Some(clear) => format!("P {clear:.2} clear"),
        None => "P not looked for".to_owned(),
    });
    if let Some(after) = evidence.pause_after.filter(|a| a.is_finite()) {
        words.push(format!("next RR {after:.2}"));
    }
    words.push(format!("quality {:.2}", evidence.quality));
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use beatledger_core::model::{BeatClass, Origin, Waves};

    use super::*;

    fn beat(class: BeatClass, found: Option<BeatClass>, origin: Origin) -> Beat {
        let evidence = Evidence {
            prematurity: Some(0.384),
            pause_after: Some(1.31),
            width_ms: Some(148.0),
            shape_distance: 0.92,
            p_before: None,
            quality: 0.97,
            paced: false,
        };
        let waves = Waves::default();
        Beat { sample: 0, class, class_found: found, origin, confidence: 0.98, group: 0, waves, evidence }
    }

    #[test]
    fn a_found_beat_says_what_was_measured_of_it() {
        assert_eq!(
            beat_words(&beat(BeatClass::V, Some(BeatClass::V), Origin::Found)),
            "V, confidence 0.98: 38 % early, QRS 148 ms, shape 0.92 off, P not looked for, next RR 1.31, \
             quality 0.97"
        );
    }

    #[test]
    fn a_changed_beat_says_what_it_was_found_as_and_an_inserted_one_has_no_evidence() {
        let changed = beat_words(&beat(BeatClass::S, Some(BeatClass::V), Origin::Reader));
        assert!(changed.starts_with("S by a reader, found as V: 38 % early"), "{changed}");
        assert_eq!(beat_words(&beat(BeatClass::N, None, Origin::Reader)), "N, put in by a reader");
    }
}
