//! What a report needs beside the snapshot: the clock, the program, the signature.

/// A signature as printed: who, as what, when, with which meaning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignOff {
    /// Printed name.
    pub reader: String,
    /// Role, such as `cardiologist`.
    pub role: String,
    /// Meaning, such as `reviewed and approved`.
    pub meaning: String,
    /// ms since 1970-01-01 UTC.
    pub at_utc_ms: i64,
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
}

/// Whether what is printed is signed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum SignState {
    /// Nobody has signed.
    #[default]
    NotSigned,
    /// Signed as it stands.
    Signed(SignOff),
    /// Signed once and changed since: the signature no longer covers it.
    ChangedSince(SignOff),
}

impl SignState {
    /// The signature, whether or not it still covers the report.
    pub fn sign_off(&self) -> Option<&SignOff> {
        match self {
            Self::NotSigned => None,
            Self::Signed(s) | Self::ChangedSince(s) => Some(s),
        }
    }

    /// The state in two or three words, for the foot of each page.
    pub fn short_text(&self) -> &'static str {
        match self {
            Self::NotSigned => "Not signed",
            Self::Signed(_) => "Signed",
            Self::ChangedSince(_) => "Changed since signing",
        }
    }

    /// The state in one line.
    pub fn text(&self) -> String {
        match self {
            Self::NotSigned => "Not signed".to_owned(),
            Self::Signed(s) => {
                format!("Signed by {} as {} at {}: {}", s.reader, s.role, s.at_text(), s.meaning)
            }
            Self::ChangedSince(s) => {
                format!("Changed since signing by {} as {} at {}", s.reader, s.role, s.at_text())
            }
        }
    }
}

impl SignOff {
    /// When it was signed, with the offset from UTC.
    pub fn at_text(&self) -> String {
        utc_text(self.at_utc_ms, self.utc_offset_min)
    }
}

/// What a report needs beside the snapshot.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReportContext {
    /// Name and version of the program.
    pub program: String,
    /// When the report is made, ms since 1970-01-01 UTC.
    pub created_utc_ms: i64,
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
    /// Whether it is signed.
    pub sign: SignState,
    /// Hash of the last ledger entry, hex; empty when the ledger is empty.
    pub ledger_head: String,
    /// Number of ledger entries.
    pub ledger_entries: u64,
    /// Minutes east of UTC of the recorder's clock, where somebody knows it; files without it hold no zone.
    pub recorder_utc_offset_min: Option<i32>,
}

impl ReportContext {
    /// When the report is made, in print.
    pub fn created_text(&self) -> String {
        utc_text(self.created_utc_ms, self.utc_offset_min)
    }
}

/// `2026-11-24 23:10:05 +01:00` of an instant and an offset.
pub(crate) fn utc_text(at_utc_ms: i64, utc_offset_min: i32) -> String {
    let local = at_utc_ms.saturating_add(i64::from(utc_offset_min) * 60_000);
    let sign = if utc_offset_min < 0 { '-' } else { '+' };
    let minutes = utc_offset_min.unsigned_abs();
    match chrono::DateTime::from_timestamp_millis(local) {
        Some(t) => {
            format!("{} {sign}{:02}:{:02}", t.format("%Y-%m-%d %H:%M:%S"), minutes / 60, minutes % 60)
        }
        None => "unknown time".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signature_states_name_role_time_with_offset_and_meaning() {
        // 21 CFR 11.50: printed name, date and time, meaning.
        let s = SignOff {
            reader: "A. Reader".into(),
            role: "cardiologist".into(),
            meaning: "reviewed and approved".into(),
            at_utc_ms: 1_700_000_000_000,
            utc_offset_min: -210,
        };
        assert_eq!(
            SignState::Signed(s).text(),
            "Signed by A. Reader as cardiologist at 2023-11-14 18:43:20 -03:30: reviewed and approved"
        );
    }
}
