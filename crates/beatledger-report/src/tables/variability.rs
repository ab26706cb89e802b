//! Heart-rate variability by five minutes and by clock hour.

use beatledger_core::model::{FigureId, HrvRow, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING};
use super::hours::hour_name;
use super::table::Rows;
use super::value::Value;
use crate::document::tree::TableSize;

/// Variability of each five minutes.
pub struct FiveMinutes;

impl Rows for FiveMinutes {
    type Row = HrvRow;

    const ABOUT: About = About {
        key: "hrv_windows",
        title: "Variability by five minutes",
        shows: "Heart-rate variability of five minutes",
        definition: "Time and frequency domain of the NN intervals of each five minutes (Task Force 1996); withheld where \
                     too few intervals are normal to normal or atrial fibrillation lies in them. ULF asks for a day.",
        settings: &[
            "nn_min_ms",
            "nn_max_ms",
            "nn_jump_percent",
            "nn_min_share_percent",
            "pnn50_per_difference",
            "histogram_bin_ms",
            "spectrum_detrend",
            "spectrum_nu_variance",
            "entropy_tolerance",
        ],
        rests_like: FigureId::NnPercent,
        file: Some("hrv.csv"),
        in_summary: true,
        page: Page::No,
        size: TableSize::Dense,
        groups: &[("", 3), ("ms", 3), ("", 1), ("Power, ms²", 4), ("", 3)],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<HrvRow> {
        snapshot.summary.hrv_windows.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<HrvRow>> {
        columns()
    }

    fn place(&self, _: &Snapshot, row: &HrvRow) -> Option<Span> {
        Some(row.span)
    }
}

/// Variability of each clock hour.
pub struct ByHour;

impl Rows for ByHour {
    type Row = HrvRow;

    const ABOUT: About = About {
        key: "hrv_hours",
        title: "Variability by hour",
        shows: "Heart-rate variability of each clock hour",
        definition: "NN intervals of each clock hour; powers are means over its full five-minute windows (Task Force \
                     1996). NN share: intervals that are normal to normal and pass the filters. ULF asks for a day.",
        file: Some("hrv-hours.csv"),
        page: Page::Variability,
        ..FiveMinutes::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<HrvRow> {
        snapshot.summary.hrv_hours.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<HrvRow>> {
        columns()
    }

    fn place(&self, _: &Snapshot, row: &HrvRow) -> Option<Span> {
        Some(row.span)
    }
}

fn nn_share(_: &Snapshot, row: &HrvRow) -> String {
    if row.intervals == 0 { NOTHING.to_owned() } else { format!("{:.0}", row.nn_percent) }
}

#[rustfmt::skip]
fn columns() -> Vec<Column<HrvRow>> {
    type C = Column<HrvRow>;
    vec![
        C::span(|h| Some(h.span)),
        C::text("From", 15.0, |s, h| hour_name(s, h.span)),
        C::field("readable_percent", |_, h| h.readable_percent.into()).number("Read. %", 12.0, 0),
        C::field("intervals", |_, h| h.intervals.into()),
        C::field("nn_percent", |_, h| h.nn_percent.into()).own("NN %", 11.0, nn_share),
        C::field("reason", |_, h| h.withheld.clone().into()),
        C::field("mean_nn_ms", |_, h| finite(h.mean_nn_ms)).number("mean NN", 14.0, 0),
        C::field("sdnn_ms", |_, h| finite(h.sdnn_ms)).number("SDNN", 11.0, 0),
        C::field("rmssd_ms", |_, h| finite(h.rmssd_ms)).number("RMSSD", 12.0, 0),
        C::field("sdann_ms", |_, h| finite(h.sdann_ms)),
        C::field("sdnn_index_ms", |_, h| finite(h.sdnn_index_ms)),
        C::field("nn50", |_, h| h.nn50.into()),
        C::field("pnn50_percent", |_, h| finite(h.pnn50_percent)).number("pNN50 %", 13.0, 1),
        C::field("triangular_index", |_, h| finite(h.triangular_index)),
        C::field("tinn_ms", |_, h| finite(h.tinn_ms)),
        C::field("total_ms2", |_, h| finite(h.total_ms2)).number("total", 12.0, 0),
        C::field("vlf_ms2", |_, h| finite(h.vlf_ms2)).number("VLF", 12.0, 0),
        C::field("lf_ms2", |_, h| finite(h.lf_ms2)).number("LF", 11.0, 0),
        C::field("hf_ms2", |_, h| finite(h.hf_ms2)).number("HF", 11.0, 0),
        C::field("lf_nu", |_, h| finite(h.lf_nu)).number("LF nu", 10.0, 0),
        C::field("hf_nu", |_, h| finite(h.hf_nu)),
        C::field("lf_hf_ratio", |_, h| finite(h.lf_hf_ratio)).number("LF/HF", 10.0, 1),
        C::field("even_total_ms2", |_, h| finite(h.even_total_ms2)),
        C::field("even_vlf_ms2", |_, h| finite(h.even_vlf_ms2)),
        C::field("even_lf_ms2", |_, h| finite(h.even_lf_ms2)),
        C::field("even_hf_ms2", |_, h| finite(h.even_hf_ms2)),
        C::field("sd1_ms", |_, h| finite(h.sd1_ms)),
        C::field("sd2_ms", |_, h| finite(h.sd2_ms)),
        C::field("dfa_alpha1", |_, h| finite(h.dfa_alpha1)),
        C::field("dfa_alpha2", |_, h| finite(h.dfa_alpha2)),
        C::field("sample_entropy", |_, h| finite(h.sample_entropy)),
        C::text("Withheld because", 35.0, |_, h| h.withheld.clone().unwrap_or_default()),
    ]
}

fn finite(x: Option<f64>) -> Value {
    x.filter(|x| x.is_finite()).into()
}
