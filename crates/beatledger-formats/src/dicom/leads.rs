//! Lead names by the two code schemes of DICOM context group 3001.

/// Code of the scheme `MDC` behind `2:`, which for the first 8 and for 61 to 64 is also the lead number of
/// SCP-ECG that ends a code of the older scheme.
const NAMES: [(u32, &str); 27] = [
    (1, "I"),
    (2, "II"),
    (3, "V1"),
    (4, "V2"),
    (5, "V3"),
    (6, "V4"),
    (7, "V5"),
    (8, "V6"),
    (9, "V7"),
    (66, "V8"),
    (67, "V9"),
    (11, "V3R"),
    (12, "V4R"),
    (13, "V5R"),
    (16, "X"),
    (17, "Y"),
    (18, "Z"),
    (19, "CC5"),
    (20, "CM5"),
    (61, "III"),
    (62, "aVR"),
    (63, "aVL"),
    (64, "aVF"),
    (106, "CM1"),
    (131, "ES"),
    (132, "AS"),
    (133, "AI"),
];

/// The name of a lead from its code and the scheme of that code.
pub(super) fn lead_name(scheme: &str, code: &str) -> Option<&'static str> {
    let number = match scheme {
        "MDC" => code.strip_prefix("2:")?,
        "SCPECG" => code.rsplit('-').next()?,
        _ => return None,
    };
    let number: u32 = number.parse().ok()?;
    let known =
        |n: &&(u32, &str)| n.0 == number && (scheme == "MDC" || number <= 8 || (61..=64).contains(&number));
    NAMES.iter().find(known).map(|(_, name)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Codes of PS3.16, context group 3001, as the dictionaries of the Python package `pydicom` 3.0.2 hold them.
    #[test]
    fn codes_of_both_schemes_name_the_lead() {
        assert_eq!(lead_name("MDC", "2:2"), Some("II"));
        assert_eq!(lead_name("MDC", "2:66"), Some("V8"));
        assert_eq!(lead_name("SCPECG", "5.6.3-9-1"), Some("I"));
        assert_eq!(lead_name("SCPECG", "5.6.3-9-64"), Some("aVF"));
        assert_eq!(lead_name("SCPECG", "5.6.3-9-66"), None);
        assert_eq!(lead_name("MDC", "2:65"), None, "aVR turned over has no short name");
        assert_eq!(lead_name("99X", "2:2"), None);
    }
}
