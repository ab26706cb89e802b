//! Everything that is measured in rows and courses, before the figures are drawn from it.

use super::kept::Kept;
use super::normal::Normal;
use super::{enough, hours::clock_hours};
use crate::measure::hrv::{self, Series};
use crate::measure::intervals::{Intervals, by_hour, intervals};
use crate::measure::{Day, alternans, conduction, leads, pauses, symptoms};
use crate::model::{
    Alternans, ConductionRow, DiaryEntry, HrvRow, LeadTime, LongestRr, PauseTier, StLead, Summary, Symptoms,
};

/// Rows and courses of a day.
#[derive(Default)]
pub struct Rows {
    /// Pauses by tier.
    pub pause_tiers: Vec<PauseTier>,
    /// Longest intervals by cause.
    pub longest_rr: Vec<LongestRr>,
    /// What the NN intervals give.
    pub normal: Normal,
    /// PR, QRS and QT.
    pub intervals: Intervals,
    /// ST by lead.
    pub st: Vec<StLead>,
    /// T-wave alternans.
    pub alternans: Option<Result<Alternans, String>>,
    /// Conduction by hour.
    pub conduction: Vec<ConductionRow>,
    /// Diary beside findings.
    pub symptoms: Symptoms,
    series: Series,
    hrv: (Vec<HrvRow>, Vec<HrvRow>),
    leads: Vec<LeadTime>,
}

impl Rows {
    /// Measures them, but for ST, which is handed in; none looks at another, so that they are measured side by side. What
    /// `before` holds of the same is taken over.
    pub fn new(day: &Day<'_>, diary: &[DiaryEntry], st: Vec<StLead>, before: Option<&Kept>) -> Self {
        let hours = clock_hours(day.reading().recording);
        let of_series = || {
            let series = Series::new(day, before.map(|b| &b.series));
            let rows = || (hrv::by_window(day, &series), hrv::by_hour(day, &series, &hours));
            let (normal, rows) = rayon::join(|| Normal::new(day, &series), rows);
            (series, normal, rows)
        };
        let of_waves = || (alternans::alternans(day, &hours), conduction::by_hour(day, &hours));
        let of_beats = || {
            let pauses = (pauses::tiers(day), pauses::longest(day));
            let leads = before.and_then(|b| b.leads_of(day)).unwrap_or_else(|| leads::lead_times(day));
            (pauses, symptoms::symptoms(day, diary), leads, intervals(day))
        };
        let ((series, normal, hrv), ((alternans, conduction), (pauses, symptoms, leads, intervals))) =
            rayon::join(of_series, || rayon::join(of_waves, of_beats));
        let (pause_tiers, longest_rr) = pauses;
        Self {
            pause_tiers,
            longest_rr,
            normal,
            intervals,
            series,
            st,
            alternans,
            conduction,
            symptoms,
            hrv,
            leads,
        }
    }

    /// Those that take no time; the others are empty.
    pub fn first(day: &Day<'_>, diary: &[DiaryEntry]) -> Self {
        let (intervals, (pauses, symptoms)) = rayon::join(
            || intervals(day),
            || ((pauses::tiers(day), pauses::longest(day)), symptoms::symptoms(day, diary)),
        );
        let (pause_tiers, longest_rr) = pauses;
        let normal = Normal::first(day);
        Self { pause_tiers, longest_rr, normal, intervals, symptoms, ..Self::default() }
    }

    /// Puts those that take no time into the summary.
    pub fn put_first(self, summary: &mut Summary) {
        summary.pause_tiers = self.pause_tiers;
        summary.longest_rr = self.longest_rr;
        summary.symptoms = self.symptoms;
    }

    /// Puts them into the summary, and gives what the next one may take over.
    pub fn put(self, day: &Day<'_>, summary: &mut Summary) -> Kept {
        summary.enough = enough::enough(day, summary);
        summary.pause_tiers = self.pause_tiers;
        summary.longest_rr = self.longest_rr;
        (summary.hrv_windows, summary.hrv_hours) = self.hrv;
        summary.st = self.st;
        summary.alternans = self.alternans;
        summary.conduction = self.conduction;
        summary.qt_hours = by_hour(&self.intervals, &clock_hours(day.reading().recording));
        summary.symptoms = self.symptoms;
        summary.leads = self.leads;
        Kept::new(self.series, day, &summary.leads)
    }
}
