//! Which leads of a record are read.

use std::str::FromStr;

use beatledger_core::model::Recording;

/// All leads, or one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Leads {
    /// Every lead.
    #[default]
    All,
    /// The lead with this number, from 1.
    Only(usize),
}

impl FromStr for Leads {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match (text, text.parse()) {
            ("all", _) => Ok(Self::All),
            (_, Ok(number)) if number > 0 => Ok(Self::Only(number)),
            _ => Err(format!("'{text}' names no lead; `all` or a number from 1 is expected")),
        }
    }
}

impl Leads {
    /// The recording with these leads alone; `None` when it has no such lead.
    pub fn of(self, mut recording: Recording) -> Option<Recording> {
        if let Self::Only(number) = self {
            let lead = recording.leads.get(number - 1)?.clone();
            recording.leads = vec![lead];
        }
        Some(recording)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leads_are_named_by_number_from_one() {
        assert_eq!("all".parse(), Ok(Leads::All));
        assert_eq!("2".parse(), Ok(Leads::Only(2)));
        for wrong in ["0", "-1", "II", ""] {
            assert!(wrong.parse::<Leads>().is_err(), "{wrong}");
        }
    }
}
