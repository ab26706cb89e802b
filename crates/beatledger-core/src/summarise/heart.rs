//! Figures of variability, turbulence and intervals, in the order of the catalogue.

use std::sync::Arc;

use super::normal::{Measured, Normal};
use super::sheet::{Sheet, by_span};
use crate::measure::intervals::{
    Intervals, Part, QtWindow, bazett_ms, framingham_ms, fridericia_ms, hodges_ms,
};
use crate::measure::spectrum::{self, Bands};
use crate::measure::{Day, turbulence};
use crate::model::{BeatClass, ConductionRow, FigureValue, Proof, Span};

pub use crate::measure::intervals::NO_QT;

const FEW: &str = "too few normal-to-normal intervals";

/// Variability in all its families.
pub fn variability_of(day: &Day<'_>, normal: &Normal, sheet: &mut Sheet) {
    let rests = |sheet: &mut Sheet| sheet.rest_on(normal.share_percent, "of RR intervals normal to normal");
    rests(sheet);
    let reason = "no readable interval between two beats";
    sheet.number("nn_percent", normal.share_percent, 1, reason, Proof::Class(BeatClass::N), None);
    if normal.too_short.is_some() {
        sheet.mark_short();
    }
    let withheld = normal.withheld.as_deref();
    time_domain(&normal.found, withheld, sheet);
    let day_reason = withheld.or(normal.too_short.as_deref()).unwrap_or(FEW);
    spectrum_of(day, &normal.found, withheld, day_reason, sheet);
    turbulence_of(day, sheet);
    rests(sheet);
    let proof = Proof::Class(BeatClass::N);
    let reason = withheld.unwrap_or("no interval is an anchor with its neighbours");
    sheet.number("deceleration_capacity_ms", normal.found.deceleration_ms, 1, reason, proof, None);
}

fn time_domain(found: &Measured, withheld: Option<&str>, sheet: &mut Sheet) {
    let reason = withheld.unwrap_or(FEW);
    let normal = || Proof::Class(BeatClass::N);
    let time = &found.time;
    let mut number = |key, value, decimals| sheet.number(key, value, decimals, reason, normal(), None);
    number("sdnn_ms", time.sdnn_ms, 0);
    number("sdann_ms", time.sdann_ms, 0);
    number("sdnn_index_ms", time.sdnn_index_ms, 0);
    number("rmssd_ms", time.rmssd_ms, 0);
    let nn50 = time.nn50.map_or(FigureValue::NotComputable(reason.to_owned()), FigureValue::Count);
    sheet.put("nn50", nn50, normal(), None);
    let mut number = |key, value, decimals| sheet.number(key, value, decimals, reason, normal(), None);
    number("pnn50_percent", time.pnn50_percent, 1);
    number("triangular_index", time.triangular_index, 1);
    number("tinn_ms", found.tinn_ms, 0);
    number("sd1_ms", found.poincare.map(|p| p.0), 0);
    number("sd2_ms", found.poincare.map(|p| p.1), 0);
    let reason = withheld.unwrap_or("fewer than four of the largest boxes, or intervals that never change");
    let mut number = |key, value| sheet.number(key, value, 2, reason, normal(), None);
    number("dfa_alpha1", found.alpha1);
    number("dfa_alpha2", found.alpha2);
    let reason = withheld.unwrap_or("no full 5-minute window with patterns that come again");
    let proof = Proof::Spans(Arc::from(found.places.as_slice()));
    sheet.number("sample_entropy", found.entropy, 2, reason, proof, None);
}

fn spectrum_of(day: &Day<'_>, found: &Measured, withheld: Option<&str>, day_reason: &str, sheet: &mut Sheet) {
    let all = (day.reading().recording.hours() * 3600.0 / spectrum::WINDOW_S).ceil().max(1.0);
    let of_all = |windows: usize| Some(100.0 * windows as f64 / all);
    let basis = sheet.basis();
    sheet.rest_on(of_all(found.windows.windows), "of five-minute windows full");
    let reason = withheld.unwrap_or("no 5-minute window is filled by normal-to-normal intervals");
    let proof = || Proof::Spans(Arc::from(found.places.as_slice()));
    let place = found.places.first().copied();
    match withheld {
        Some(why) => sheet.number("window_count", None, 0, why, proof(), None),
        None => sheet.count("window_count", found.windows.windows as u64, proof(), place),
    }
    let mean = (found.windows.windows > 0).then_some(&found.windows.mean);
    let mut number = |key, value, decimals| sheet.number(key, value, decimals, reason, proof(), None);
    number("window_total_ms2", mean.map(Bands::total_ms2), 0);
    number("window_vlf_ms2", mean.map(|b| b.vlf_ms2), 0);
    number("window_lf_ms2", mean.map(|b| b.lf_ms2), 0);
    number("window_hf_ms2", mean.map(|b| b.hf_ms2), 0);
    let of_variance = day.reading().settings.spectrum_nu_variance >= 0.5;
    let nu = mean.and_then(|m| m.normalised(of_variance));
    number("window_lf_nu", nu.map(|nu| nu.0), 1);
    number("window_hf_nu", nu.map(|nu| nu.1), 1);
    number("window_lf_hf_ratio", mean.and_then(Bands::lf_hf), 2);
    let even = (found.even.windows > 0).then_some(&found.even.mean);
    number("even_total_ms2", even.map(Bands::total_ms2), 0);
    number("even_vlf_ms2", even.map(|b| b.vlf_ms2), 0);
    number("even_lf_ms2", even.map(|b| b.lf_ms2), 0);
    number("even_hf_ms2", even.map(|b| b.hf_ms2), 0);
    let nu = even.and_then(|m| m.normalised(of_variance));
    number("even_lf_nu", nu.map(|nu| nu.0), 1);
    number("even_hf_nu", nu.map(|nu| nu.1), 1);
    number("even_lf_hf_ratio", even.and_then(Bands::lf_hf), 2);
    sheet.rest_on(basis.percent, basis.of);
    day_spectrum(DAY_KEYS, found.day.as_ref(), of_variance, day_reason, sheet);
    day_spectrum(EVEN_DAY_KEYS, found.even_day.as_ref(), of_variance, day_reason, sheet);
}

/// Total power, bands, normalised units and ratio of a day, in the order of the catalogue.
type DayKeys = [&'static str; 8];
const DAY_KEYS: DayKeys = [
    "day_total_ms2",
    "day_ulf_ms2",
    "day_vlf_ms2",
    "day_lf_ms2",
    "day_hf_ms2",
    "day_lf_nu",
    "day_hf_nu",
    "day_lf_hf_ratio",
];
const EVEN_DAY_KEYS: DayKeys = [
    "even_day_total_ms2",
    "even_day_ulf_ms2",
    "even_day_vlf_ms2",
    "even_day_lf_ms2",
    "even_day_hf_ms2",
    "even_day_lf_nu",
    "even_day_hf_nu",
    "even_day_lf_hf_ratio",
];

fn day_spectrum(keys: DayKeys, bands: Option<&Bands>, of_variance: bool, reason: &str, sheet: &mut Sheet) {
    let nu = bands.and_then(|b| b.normalised(of_variance));
    let values = [
        (bands.map(Bands::total_ms2), 0),
        (bands.map(|b| b.ulf_ms2), 0),
        (bands.map(|b| b.vlf_ms2), 0),
        (bands.map(|b| b.lf_ms2), 0),
        (bands.map(|b| b.hf_ms2), 0),
        (nu.map(|nu| nu.0), 1),
        (nu.map(|nu| nu.1), 1),
        (bands.and_then(Bands::lf_hf), 2),
    ];
    for (key, (value, decimals)) in keys.into_iter().zip(values) {
        sheet.number(key, value, decimals, reason, Proof::Class(BeatClass::N), None);
    }
}

fn turbulence_of(day: &Day<'_>, sheet: &mut Sheet) {
    let found = turbulence::turbulence(day);
    let asked = day.reading().settings.hrt_min_beats;
    let n = found.beats.len();
    let of_v = day.columns.classes.iter().filter(|c| **c == BeatClass::V).count();
    sheet
        .rest_on((of_v > 0).then(|| 100.0 * n as f64 / of_v as f64), "of ventricular beats pass the filters");
    let proof = || Proof::Beats(Arc::from(found.beats.as_slice()));
    let place = found.beats.first().map(|i| day.span_of_beats(*i as usize, *i as usize));
    sheet.count("hrt_beats", n as u64, proof(), place);
    let enough = n as f64 >= asked;
    let reason = format!("{n} ventricular beats pass the filters, {asked:.0} asked");
    sheet.number("hrt_onset_percent", found.onset_percent.filter(|_| enough), 2, &reason, proof(), place);
    sheet.number("hrt_slope_ms_per_rr", found.slope_ms_per_rr.filter(|_| enough), 2, &reason, proof(), place);
}

/// PR, QRS, QT and QT for the rate.
pub fn intervals_of(day: &Day<'_>, found: &Intervals, conduction: &[ConductionRow], sheet: &mut Sheet) {
    let normal = || Proof::Class(BeatClass::N);
    let few = |what: &str| format!("{what} found on too few normal beats of fair signal");
    sheet.number("pr_ms", found.pr_ms, 0, &few("P was"), normal(), None);
    sheet.number("qrs_ms", found.qrs_ms, 0, &few("QRS limits were"), normal(), None);
    sheet.number("wide_qrs_percent", found.wide_percent, 1, &few("QRS limits were"), normal(), None);
    let by_pr =
        |a: &&ConductionRow, b: &&ConductionRow| a.pr_ms.unwrap_or(0.0).total_cmp(&b.pr_ms.unwrap_or(0.0));
    let hours = || conduction.iter().filter(|row| row.pr_ms.is_some());
    for (key, hour) in [("pr_min_hour_ms", hours().min_by(by_pr)), ("pr_max_hour_ms", hours().max_by(by_pr))]
    {
        let place = hour.map(|row| row.span);
        let reason = "P was found on too few beats of every hour";
        sheet.number(key, hour.and_then(|row| row.pr_ms), 0, reason, by_span(place), place);
    }
    let all = (day.reading().recording.hours() * 12.0).ceil().max(1.0);
    sheet.rest_on(Some(100.0 * found.windows.len() as f64 / all), "of five-minute windows with QT");
    let spans: Arc<[Span]> = found.windows.iter().map(|w| w.span).collect();
    let proof = || Proof::Spans(spans.clone());
    sheet.count("qt_windows", found.windows.len() as u64, proof(), spans.first().copied());
    let with_t = found.qt_beats + found.merged_beats;
    let merged = (with_t > 0).then(|| 100.0 * found.merged_beats as f64 / with_t as f64);
    sheet.number("qt_merged_percent", merged, 1, NO_QT, proof(), None);
    let has_start = day.reading().recording.start.is_some();
    let mut number = |key, part, of: fn(&QtWindow) -> f64| {
        let value = found.mean(part, of).filter(|_| part == Part::All || has_start);
        let reason = match (part, has_start) {
            (Part::All, _) => NO_QT,
            (_, false) => "the recording has no start time",
            _ => "no QT in these hours",
        };
        sheet.number(key, value, 0, reason, proof(), None);
    };
    let fridericia: fn(&QtWindow) -> f64 = |w| fridericia_ms(w.qt_ms, w.rr_s);
    number("qt_ms", Part::All, |w| w.qt_ms);
    number("qt_waking_ms", Part::Waking, |w| w.qt_ms);
    number("qt_night_ms", Part::Night, |w| w.qt_ms);
    number("qtc_bazett_ms", Part::All, |w| bazett_ms(w.qt_ms, w.rr_s));
    number("qtc_fridericia_ms", Part::All, fridericia);
    number("qtc_framingham_ms", Part::All, |w| framingham_ms(w.qt_ms, w.rr_s));
    number("qtc_hodges_ms", Part::All, |w| hodges_ms(w.qt_ms, w.rr_s));
    number("qtc_fridericia_waking_ms", Part::Waking, fridericia);
    number("qtc_fridericia_night_ms", Part::Night, fridericia);
    let longest = found.longest();
    let place = longest.map(|w| w.span);
    let value = longest.map(fridericia);
    sheet.number("qtc_fridericia_max_ms", value, 0, NO_QT, by_span(place), place);
}
