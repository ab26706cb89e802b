//! Figures of variability, turbulence and intervals, in the order of the catalogue.

use std::sync::Arc;

use super::figure_list::{FigureList, by_span};
use super::normal::{Measured, Normal};
use crate::measure::intervals::{
    Intervals, Part, QtWindow, bazett_ms, framingham_ms, fridericia_ms, hodges_ms,
};
use crate::measure::spectrum::{self, Bands};
use crate::measure::{Day, turbulence};
use crate::model::{BeatClass, ConductionRow, FigureId, FigureValue, Proof, Span};

pub use crate::measure::intervals::NO_QT;

const FEW: &str = "too few normal-to-normal intervals";

/// Variability in all its families.
pub fn variability_of(day: &Day<'_>, normal: &Normal, list: &mut FigureList) {
    let rests =
        |list: &mut FigureList| list.rest_on(normal.share_percent, "of RR intervals normal to normal");
    rests(list);
    let reason = "no readable interval between two beats";
    list.number(FigureId::NnPercent, normal.share_percent, reason, Proof::Class(BeatClass::N), None);
    if normal.too_short.is_some() {
        list.mark_short();
    }
    let withheld = normal.withheld.as_deref();
    time_domain(&normal.found, withheld, list);
    let day_reason = withheld.or(normal.too_short.as_deref()).unwrap_or(FEW);
    spectrum_of(day, &normal.found, withheld, day_reason, list);
    turbulence_of(day, list);
    rests(list);
    let proof = Proof::Class(BeatClass::N);
    let reason = withheld.unwrap_or("no interval is an anchor with its neighbours");
    list.number(FigureId::DecelerationCapacityMs, normal.found.deceleration_ms, reason, proof, None);
}

fn time_domain(found: &Measured, withheld: Option<&str>, list: &mut FigureList) {
    let reason = withheld.unwrap_or(FEW);
    let normal = || Proof::Class(BeatClass::N);
    let time = &found.time;
    let mut number = |id, value| list.number(id, value, reason, normal(), None);
    number(FigureId::SdnnMs, time.sdnn_ms);
    number(FigureId::SdannMs, time.sdann_ms);
    number(FigureId::SdnnIndexMs, time.sdnn_index_ms);
    number(FigureId::RmssdMs, time.rmssd_ms);
    let nn50 = time.nn50.map_or(FigureValue::NotComputable(reason.to_owned()), FigureValue::Count);
    list.put(FigureId::Nn50, nn50, normal(), None);
    let mut number = |id, value| list.number(id, value, reason, normal(), None);
    number(FigureId::Pnn50Percent, time.pnn50_percent);
    number(FigureId::TriangularIndex, time.triangular_index);
    number(FigureId::TinnMs, found.tinn_ms);
    number(FigureId::Sd1Ms, found.poincare.map(|p| p.0));
    number(FigureId::Sd2Ms, found.poincare.map(|p| p.1));
    let reason = withheld.unwrap_or("fewer than four of the largest boxes, or intervals that never change");
    let mut number = |id, value| list.number(id, value, reason, normal(), None);
    number(FigureId::DfaAlpha1, found.alpha1);
    number(FigureId::DfaAlpha2, found.alpha2);
    let reason = withheld.unwrap_or("no full 5-minute window with patterns that come again");
    let proof = Proof::Spans(Arc::from(found.places.as_slice()));
    list.number(FigureId::SampleEntropy, found.entropy, reason, proof, None);
}

fn spectrum_of(
    day: &Day<'_>,
    found: &Measured,
    withheld: Option<&str>,
    day_reason: &str,
    list: &mut FigureList,
) {
    let all = (day.reading().recording.hours() * 3600.0 / spectrum::WINDOW_S).ceil().max(1.0);
    let of_all = |windows: usize| Some(100.0 * windows as f64 / all);
    let basis = list.basis();
    list.rest_on(of_all(found.windows.windows), "of five-minute windows full");
    let reason = withheld.unwrap_or("no 5-minute window is filled by normal-to-normal intervals");
    let proof = || Proof::Spans(Arc::from(found.places.as_slice()));
    let place = found.places.first().copied();
    match withheld {
        Some(why) => list.number(FigureId::WindowCount, None, why, proof(), None),
        None => list.count(FigureId::WindowCount, found.windows.windows as u64, proof(), place),
    }
    let mean = (found.windows.windows > 0).then_some(&found.windows.mean);
    let mut number = |id, value| list.number(id, value, reason, proof(), None);
    number(FigureId::WindowTotalMs2, mean.map(Bands::total_ms2));
    number(FigureId::WindowVlfMs2, mean.map(|b| b.vlf_ms2));
    number(FigureId::WindowLfMs2, mean.map(|b| b.lf_ms2));
    number(FigureId::WindowHfMs2, mean.map(|b| b.hf_ms2));
    let of_variance = day.reading().settings.spectrum_nu_variance >= 0.5;
    let nu = mean.and_then(|m| m.normalised(of_variance));
    number(FigureId::WindowLfNu, nu.map(|nu| nu.0));
    number(FigureId::WindowHfNu, nu.map(|nu| nu.1));
    number(FigureId::WindowLfHfRatio, mean.and_then(Bands::lf_hf));
    let even = (found.even.windows > 0).then_some(&found.even.mean);
    number(FigureId::EvenTotalMs2, even.map(Bands::total_ms2));
    number(FigureId::EvenVlfMs2, even.map(|b| b.vlf_ms2));
    number(FigureId::EvenLfMs2, even.map(|b| b.lf_ms2));
    number(FigureId::EvenHfMs2, even.map(|b| b.hf_ms2));
    let nu = even.and_then(|m| m.normalised(of_variance));
    number(FigureId::EvenLfNu, nu.map(|nu| nu.0));
    number(FigureId::EvenHfNu, nu.map(|nu| nu.1));
    number(FigureId::EvenLfHfRatio, even.and_then(Bands::lf_hf));
    list.rest_on(basis.percent, basis.of);
    day_spectrum(DAY_FIGURES, found.day.as_ref(), of_variance, day_reason, list);
    day_spectrum(EVEN_DAY_FIGURES, found.even_day.as_ref(), of_variance, day_reason, list);
}

/// Total power, bands, normalised units and ratio of a day, in the order of the catalogue.
type DayFigures = [FigureId; 8];
const DAY_FIGURES: DayFigures = [
    FigureId::DayTotalMs2,
    FigureId::DayUlfMs2,
    FigureId::DayVlfMs2,
    FigureId::DayLfMs2,
    FigureId::DayHfMs2,
    FigureId::DayLfNu,
    FigureId::DayHfNu,
    FigureId::DayLfHfRatio,
];
const EVEN_DAY_FIGURES: DayFigures = [
    FigureId::EvenDayTotalMs2,
    FigureId::EvenDayUlfMs2,
    FigureId::EvenDayVlfMs2,
    FigureId::EvenDayLfMs2,
    FigureId::EvenDayHfMs2,
    FigureId::EvenDayLfNu,
    FigureId::EvenDayHfNu,
    FigureId::EvenDayLfHfRatio,
];

fn day_spectrum(
    ids: DayFigures,
    bands: Option<&Bands>,
    of_variance: bool,
    reason: &str,
    list: &mut FigureList,
) {
    let nu = bands.and_then(|b| b.normalised(of_variance));
    let values = [
        bands.map(Bands::total_ms2),
        bands.map(|b| b.ulf_ms2),
        bands.map(|b| b.vlf_ms2),
        bands.map(|b| b.lf_ms2),
        bands.map(|b| b.hf_ms2),
        nu.map(|nu| nu.0),
        nu.map(|nu| nu.1),
        bands.and_then(Bands::lf_hf),
    ];
    for (id, value) in ids.into_iter().zip(values) {
        list.number(id, value, reason, Proof::Class(BeatClass::N), None);
    }
}

fn turbulence_of(day: &Day<'_>, list: &mut FigureList) {
    let found = turbulence::turbulence(day);
    let asked = day.reading().settings.hrt_min_beats;
    let n = found.beats.len();
    let of_v = day.columns.classes.iter().filter(|c| **c == BeatClass::V).count();
    list.rest_on((of_v > 0).then(|| 100.0 * n as f64 / of_v as f64), "of ventricular beats pass the filters");
    let proof = || Proof::Beats(Arc::from(found.beats.as_slice()));
    let place = found.beats.first().map(|i| day.span_of_beats(*i as usize, *i as usize));
    list.count(FigureId::HrtBeats, n as u64, proof(), place);
    let enough = n as f64 >= asked;
    let reason = format!("{n} ventricular beats pass the filters, {asked:.0} asked");
    list.number(FigureId::HrtOnsetPercent, found.onset_percent.filter(|_| enough), &reason, proof(), place);
    list.number(FigureId::HrtSlopeMsPerRr, found.slope_ms_per_rr.filter(|_| enough), &reason, proof(), place);
}

/// PR, QRS, QT and QT for the rate.
pub fn intervals_of(day: &Day<'_>, found: &Intervals, conduction: &[ConductionRow], list: &mut FigureList) {
    let normal = || Proof::Class(BeatClass::N);
    let few = |what: &str| format!("{what} found on too few normal beats of fair signal");
    list.number(FigureId::PrMs, found.pr_ms, &few("P was"), normal(), None);
    list.number(FigureId::QrsMs, found.qrs_ms, &few("QRS limits were"), normal(), None);
    list.number(FigureId::WideQrsPercent, found.wide_percent, &few("QRS limits were"), normal(), None);
    let by_pr =
        |a: &&ConductionRow, b: &&ConductionRow| a.pr_ms.unwrap_or(0.0).total_cmp(&b.pr_ms.unwrap_or(0.0));
    let hours = || conduction.iter().filter(|row| row.pr_ms.is_some());
    for (id, hour) in
        [(FigureId::PrMinHourMs, hours().min_by(by_pr)), (FigureId::PrMaxHourMs, hours().max_by(by_pr))]
    {
        let place = hour.map(|row| row.span);
        let reason = "P was found on too few beats of every hour";
        list.number(id, hour.and_then(|row| row.pr_ms), reason, by_span(place), place);
    }
    let all = (day.reading().recording.hours() * 12.0).ceil().max(1.0);
    list.rest_on(Some(100.0 * found.windows.len() as f64 / all), "of five-minute windows with QT");
    let spans: Arc<[Span]> = found.windows.iter().map(|w| w.span).collect();
    let proof = || Proof::Spans(spans.clone());
    list.count(FigureId::QtWindows, found.windows.len() as u64, proof(), spans.first().copied());
    let with_t = found.qt_beats + found.merged_beats;
    let merged = (with_t > 0).then(|| 100.0 * found.merged_beats as f64 / with_t as f64);
    list.number(FigureId::QtMergedPercent, merged, NO_QT, proof(), None);
    let has_start = day.reading().recording.start.is_some();
    let why = found.why_no_qt();
    let mut number = |id, part, of: fn(&QtWindow) -> f64| {
        let value = found.mean(part, of).filter(|_| (part == Part::All || has_start) && why.is_none());
        let reason = match (&why, part, has_start) {
            (Some(why), ..) => why.as_str(),
            (None, Part::Waking | Part::Night, false) => "the recording has no start time",
            _ => "no QT in these hours",
        };
        list.number(id, value, reason, proof(), None);
    };
    let fridericia: fn(&QtWindow) -> f64 = |w| fridericia_ms(w.qt_ms, w.rr_s);
    number(FigureId::QtMs, Part::All, |w| w.qt_ms);
    number(FigureId::QtWakingMs, Part::Waking, |w| w.qt_ms);
    number(FigureId::QtNightMs, Part::Night, |w| w.qt_ms);
    number(FigureId::QtcBazettMs, Part::All, |w| bazett_ms(w.qt_ms, w.rr_s));
    number(FigureId::QtcFridericiaMs, Part::All, fridericia);
    number(FigureId::QtcFraminghamMs, Part::All, |w| framingham_ms(w.qt_ms, w.rr_s));
    number(FigureId::QtcHodgesMs, Part::All, |w| hodges_ms(w.qt_ms, w.rr_s));
    number(FigureId::QtcFridericiaWakingMs, Part::Waking, fridericia);
    number(FigureId::QtcFridericiaNightMs, Part::Night, fridericia);
    let longest = found.longest().filter(|_| why.is_none());
    let place = longest.map(|w| w.span);
    let value = longest.map(fridericia);
    let reason = why.as_deref().unwrap_or(NO_QT);
    list.number(FigureId::QtcFridericiaMaxMs, value, reason, by_span(place), place);
}
