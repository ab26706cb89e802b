//! What can be asked for: a scenario, its length, seed, leads and rate.

use thiserror::Error;

/// Which day to make.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scenario {
    /// A full day of findings: ectopy of both kinds, runs, atrial fibrillation, pauses, motion, lost contact.
    WorkingDay,
    /// One lead, small and upside down, with a few findings.
    Patch,
    /// Clean sinus rhythm: nothing to find.
    Quiet,
    /// One lead with motion all night and a few ectopic beats by day.
    Restless,
    /// Fourteen days of one lead.
    Long,
    /// Ventricular flutter and fibrillation, a run and a pause among motion.
    Critical,
    /// A slow sinus rhythm among atrial runs, and dropped beats.
    AtrialRuns,
}

impl Scenario {
    /// All scenarios, the default first.
    pub fn all() -> [Scenario; 7] {
        [
            Self::WorkingDay,
            Self::Patch,
            Self::Quiet,
            Self::Restless,
            Self::Long,
            Self::Critical,
            Self::AtrialRuns,
        ]
    }

    /// Name in commands and file names.
    pub fn name(self) -> &'static str {
        match self {
            Self::WorkingDay => "working-day",
            Self::Patch => "patch",
            Self::Quiet => "quiet",
            Self::Restless => "restless",
            Self::Long => "long",
            Self::Critical => "critical",
            Self::AtrialRuns => "atrial-runs",
        }
    }

    /// The scenario of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::all().into_iter().find(|s| s.name() == name)
    }

    /// What it holds, one sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::WorkingDay => "a day with most findings there are, noise, lost contact and a diary",
            Self::Patch => "one small lead, upside down, with a few findings",
            Self::Quiet => "clean sinus rhythm with nothing to find",
            Self::Restless => "one lead with motion all night and a few ectopic beats by day",
            Self::Long => "fourteen days of one lead with findings far apart",
            Self::Critical => "ventricular flutter and fibrillation, a run and a pause among motion",
            Self::AtrialRuns => "a slow sinus rhythm among atrial runs, and dropped beats in the evening",
        }
    }
}

/// What to make. The fields may be set freely; [`make`](crate::make) holds values outside the allowed range at
/// its nearest end, [`Request::new`] refuses them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Request {
    /// Which day.
    pub scenario: Scenario,
    /// Length, h: [`Request::HOURS`].
    pub hours: f64,
    /// Seed: another seed gives another day of the same kind.
    pub seed: u64,
    /// Number of leads: [`Request::LEADS`].
    pub leads: usize,
    /// Samples per second: [`Request::RATE_HZ`].
    pub rate_hz: u32,
}

impl Default for Request {
    fn default() -> Self {
        Self { scenario: Scenario::WorkingDay, hours: 24.0, seed: 7, leads: 3, rate_hz: 250 }
    }
}

/// Why a request was refused.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{text}")]
pub struct BadRequest {
    /// One sentence: which value, what it is, what is allowed.
    pub text: String,
}

impl Request {
    /// Allowed length, h.
    pub const HOURS: (f64, f64) = (0.1, 336.0);
    /// Allowed number of leads.
    pub const LEADS: (usize, usize) = (1, 8);
    /// Allowed rate, Hz.
    pub const RATE_HZ: (u32, u32) = (100, 1000);

    /// A checked request.
    ///
    /// # Errors
    /// Refuses a value outside its allowed range with one sentence.
    pub fn new(
        scenario: Scenario,
        hours: f64,
        seed: u64,
        leads: usize,
        rate_hz: u32,
    ) -> Result<Self, BadRequest> {
        let (low, high) = Self::HOURS;
        if !(low..=high).contains(&hours) {
            return Err(BadRequest { text: format!("hours is {hours}, allowed is {low} to {high}") });
        }
        let (low, high) = Self::LEADS;
        if !(low..=high).contains(&leads) {
            return Err(BadRequest { text: format!("leads is {leads}, allowed is {low} to {high}") });
        }
        let (low, high) = Self::RATE_HZ;
        if !(low..=high).contains(&rate_hz) {
            return Err(BadRequest {
                text: format!("the rate is {rate_hz} Hz, allowed is {low} to {high} Hz"),
            });
        }
        Ok(Self { scenario, hours, seed, leads, rate_hz })
    }

    /// The scenario as it is meant: 14 days for `long`, else 24 h; three leads for `working-day`, `quiet` and
    /// `critical`, one for the others; 250 Hz, seed 7.
    pub fn usual(scenario: Scenario) -> Self {
        let hours = if scenario == Scenario::Long { 336.0 } else { 24.0 };
        let leads = if matches!(scenario, Scenario::WorkingDay | Scenario::Quiet | Scenario::Critical) {
            3
        } else {
            1
        };
        Self { scenario, hours, leads, ..Self::default() }
    }

    /// Every value held inside its allowed range; a length that is no number becomes 24 h.
    pub(crate) fn held(self) -> Self {
        let hours = if self.hours.is_nan() { 24.0 } else { self.hours.clamp(Self::HOURS.0, Self::HOURS.1) };
        Self {
            hours,
            leads: self.leads.clamp(Self::LEADS.0, Self::LEADS.1),
            rate_hz: self.rate_hz.clamp(Self::RATE_HZ.0, Self::RATE_HZ.1),
            ..self
        }
    }

    /// Length in whole seconds.
    pub(crate) fn seconds(self) -> i64 {
        (self.held().hours * 3600.0).round() as i64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_request_out_of_range_is_refused_with_the_range() {
        let refused = |hours, leads, rate| {
            Request::new(Scenario::Quiet, hours, 1, leads, rate).unwrap_err().to_string()
        };
        assert_eq!(refused(0.05, 1, 250), "hours is 0.05, allowed is 0.1 to 336");
        assert_eq!(refused(f64::NAN, 1, 250), "hours is NaN, allowed is 0.1 to 336");
        assert_eq!(refused(1.0, 0, 250), "leads is 0, allowed is 1 to 8");
        assert_eq!(refused(1.0, 1, 50), "the rate is 50 Hz, allowed is 100 to 1000 Hz");
        assert!(Request::new(Scenario::Quiet, 0.1, 1, 8, 1000).is_ok());
    }

    #[test]
    fn every_scenario_is_found_by_its_name() {
        for scenario in Scenario::all() {
            assert_eq!(Scenario::from_name(scenario.name()), Some(scenario));
        }
        assert_eq!(Scenario::from_name("nothing"), None);
    }
}
