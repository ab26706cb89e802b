//! Everything that is measured in rows and courses, before the figures are drawn from it.

use super::{enough, hours::clock_hours};
use crate::measure::found::FoundAt;
use crate::measure::hrv::{self, Series};
use crate::measure::{Day, alternans, conduction, leads, pauses, st, symptoms};
use crate::model::{
    Alternans, ConductionRow, DiaryEntry, HrvRow, LeadTime, LongestRr, PauseTier, StLead, Summary, Symptoms,
};

/// Rows and courses of a day.
pub struct Rows {
    /// Pauses by tier.
    pub pause_tiers: Vec<PauseTier>,
    /// Longest intervals by cause.
    pub longest_rr: Vec<LongestRr>,
    /// The NN intervals and their spectra.
    pub series: Series,
    /// ST by lead.
    pub st: Vec<StLead>,
    /// T-wave alternans.
    pub alternans: Option<Result<Alternans, String>>,
    /// Conduction by hour.
    pub conduction: Vec<ConductionRow>,
    /// Diary beside findings.
    pub symptoms: Symptoms,
    hrv: (Vec<HrvRow>, Vec<HrvRow>),
    leads: Vec<LeadTime>,
}

impl Rows {
    /// Measures them; none looks at another, so that they are measured side by side.
    pub fn new(day: &Day<'_>, diary: &[DiaryEntry]) -> Self {
        let hours = clock_hours(day.reading().recording);
        let of_series = || {
            let series = Series::new(day);
            let rows = (hrv::by_window(day, &series), hrv::by_hour(day, &series, &hours));
            (series, rows)
        };
        let of_waves = || {
            let found_at = FoundAt::new(day);
            (st::leads(day, &found_at), alternans::alternans(day, &hours), conduction::by_hour(day, &hours))
        };
        let of_beats = || {
            let pauses = (pauses::tiers(day), pauses::longest(day));
            (pauses, symptoms::symptoms(day, diary), leads::lead_times(day))
        };
        let ((series, hrv), ((st, alternans, conduction), (pauses, symptoms, leads))) =
            rayon::join(of_series, || rayon::join(of_waves, of_beats));
        let (pause_tiers, longest_rr) = pauses;
        Self { pause_tiers, longest_rr, series, st, alternans, conduction, symptoms, hrv, leads }
    }

    /// Puts them into the summary.
    pub fn put(self, day: &Day<'_>, summary: &mut Summary) {
        summary.enough = enough::enough(day, summary);
        summary.pause_tiers = self.pause_tiers;
        summary.longest_rr = self.longest_rr;
        (summary.hrv_windows, summary.hrv_hours) = self.hrv;
        summary.st = self.st;
        summary.alternans = self.alternans;
        summary.conduction = self.conduction;
        summary.symptoms = self.symptoms;
        summary.leads = self.leads;
    }
}
