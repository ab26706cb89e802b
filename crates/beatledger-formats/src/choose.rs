//! Which signals of a file are ECG leads: decided by unit and name, never by channel order.

/// Millivolts per unit of a voltage unit as files spell it; `None` for anything that is no voltage.
pub(crate) fn mv_per_unit(unit: &str) -> Option<f64> {
    let unit: String = unit.trim().replace(['\u{b5}', '\u{3bc}'], "u");
    match unit.as_str() {
        "V" | "v" | "volt" | "Volt" => Some(1000.0),
        "nV" | "nv" | "NV" => Some(1e-6),
        "MV" => Some(1.0),
        other => match other.to_ascii_lowercase().as_str() {
            "mv" | "millivolt" | "millivolts" => Some(1.0),
            "uv" | "microvolt" | "microvolts" => Some(1e-3),
            _ => None,
        },
    }
}

/// True when a name says that the signal is an ECG lead.
pub(crate) fn is_ecg_name(name: &str) -> bool {
    let upper = name.to_ascii_uppercase();
    if upper.contains("ECG") || upper.contains("EKG") {
        return true;
    }
    let word: String = upper.chars().filter(|c| c.is_ascii_alphanumeric()).collect();
    const NAMES: [&str; 19] = [
        "I", "II", "III", "AVR", "AVL", "AVF", "MLI", "MLII", "MLIII", "ML1", "ML2", "ML3", "X", "Y", "Z",
        "V", "LEADI", "LEADII", "LEADIII",
    ];
    NAMES.contains(&word.as_str()) || is_chest_lead(&word)
}

/// V1..V9, V3R.., the bipolar chest leads that ambulatory recorders use (MV1, CM5, CC5, CS3 ...), and D1.. (European ST-T
/// Database).
fn is_chest_lead(word: &str) -> bool {
    let bare = word.strip_suffix('R').unwrap_or(word);
    ["MV", "MODV", "MCL", "CM", "CC", "CS", "CB", "V", "D"].iter().any(|prefix| {
        bare.strip_prefix(prefix).is_some_and(|n| n.len() == 1 && n.chars().all(|c| ('1'..='9').contains(&c)))
    })
}

/// One signal as the choice sees it.
pub(crate) struct Candidate<'a> {
    pub(crate) name: &'a str,
    pub(crate) unit: &'a str,
    /// Samples per record or frame: a stand-in for the rate.
    pub(crate) per_record: u64,
}

/// For each signal `Ok` when it is a lead, or the reason why not. Signals named as ECG win; where none is,
/// every voltage is taken. All leads have one rate: the one that most of them have, the faster on a tie.
pub(crate) fn leads(signals: &[Candidate<'_>]) -> Vec<Result<(), String>> {
    let calibrated = |s: &Candidate<'_>| mv_per_unit(s.unit).is_some();
    let named = |s: &Candidate<'_>| is_ecg_name(s.name) && (calibrated(s) || s.unit.trim().is_empty());
    let any_named = signals.iter().any(named);
    let wanted: Vec<bool> = signals
        .iter()
        .map(|s| if any_named { named(s) } else { calibrated(s) && !is_known_other(s.name) })
        .collect();
    let rate = main_rate(signals, &wanted);
    let mut out = Vec::with_capacity(signals.len());
    for (signal, wanted) in signals.iter().zip(wanted) {
        out.push(if !wanted && !calibrated(signal) {
            Err(format!("its unit {} is no voltage", crate::error::shown(signal.unit)))
        } else if !wanted {
            Err("its name is not that of an ECG lead".to_owned())
        } else if Some(signal.per_record) != rate {
            Err("its sampling rate differs from that of the other leads".to_owned())
        } else {
            Ok(())
        });
    }
    out
}

/// Voltages that are certainly something else.
fn is_known_other(name: &str) -> bool {
    let upper = name.to_ascii_uppercase();
    ["EEG", "EMG", "EOG", "RESP", "PLETH", "STATUS", "ABP", "SPO2"].iter().any(|w| upper.contains(w))
}

fn main_rate(signals: &[Candidate<'_>], wanted: &[bool]) -> Option<u64> {
    let rates = || signals.iter().zip(wanted).filter(|(_, w)| **w).map(|(s, _)| s.per_record);
    rates().max_by_key(|rate| (rates().filter(|r| r == rate).count(), *rate))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chosen(signals: &[(&str, &str, u64)]) -> Vec<bool> {
        let list: Vec<_> = signals
            .iter()
            .map(|(name, unit, per_record)| Candidate { name, unit, per_record: *per_record })
            .collect();
        leads(&list).into_iter().map(|r| r.is_ok()).collect()
    }

    #[test]
    fn named_leads_win_over_other_voltages() {
        let signals = [("MLII", "mV", 360), ("RESP", "mV", 360), ("V5", "mV", 360), ("ABP", "mmHg", 360)];
        assert_eq!(chosen(&signals), [true, false, true, false]);
    }

    /// The European ST-T Database names limb leads so; half of its tracing must not be lost.
    #[test]
    fn a_lead_named_d3_is_one_beside_a_chest_lead() {
        assert_eq!(chosen(&[("D3", "mV", 250), ("V4", "mV", 250)]), [true, true]);
    }

    #[test]
    fn where_no_name_speaks_every_voltage_is_taken() {
        assert_eq!(chosen(&[("Direct_1", "uV", 1000), ("temp", "C", 1000)]), [true, false]);
    }

    #[test]
    fn a_lead_of_another_rate_is_listed_apart() {
        assert_eq!(
            chosen(&[("ECG I", "mV", 250), ("ECG II", "mV", 250), ("ECG III", "mV", 500)]),
            [true, true, false]
        );
    }

    #[test]
    fn units_are_read_in_their_usual_spellings() {
        assert_eq!(mv_per_unit("µV"), Some(1e-3));
        assert_eq!(mv_per_unit("uV"), Some(1e-3));
        assert_eq!(mv_per_unit(" mV "), Some(1.0));
        assert_eq!(mv_per_unit("V"), Some(1000.0));
        assert_eq!(mv_per_unit("mmHg"), None);
    }

    #[test]
    fn lead_names_are_known_and_other_words_are_not() {
        for name in ["ECG V1", "II", "aVR", "V3R", "MLII", "MV1", "CM5", "ekg 2", "mod. V1", "V"] {
            assert!(is_ecg_name(name), "{name}");
        }
        for name in ["RESP", "V10", "IV", "Abdomen_1", ""] {
            assert!(!is_ecg_name(name), "{name}");
        }
    }
}
