//! Every figure of a summary, once: family, key, name, unit, decimals, deciding settings, where it is shown first, what it
//! needs, definition and source.
//!
//! Windows, reports and files derive their lists from this table. A family or a figure that is not in it has no name in
//! code, so that a misspelling does not compile; nor does a setting that is none.

/// Keys of settings. The macro names the fields, so that a key that is none does not compile.
macro_rules! keys {
    ($($key:ident),* $(,)?) => {{
        const _: fn(&crate::settings::Settings) = |_settings| {
            $( let _ = _settings.$key; )*
        };
        &[$(stringify!($key)),*]
    }};
}

/// Where a figure is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// Among those that a summary turns on (common practice of ambulatory reports).
    First,
    /// Where a reader asks for every figure.
    Full,
}

/// What a figure is worked out of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// The times of the beats alone: a bare list of intervals gives it too.
    Times,
    /// Classes of beats, or the tracing.
    Day,
}

/// What a figure is, before it has a value.
#[derive(Clone, Copy, Debug)]
pub struct FigureRow {
    /// Which figure.
    pub id: FigureId,
    /// Stable name in files, snake_case with the unit at the end, such as `longest_rr_ms`.
    pub key: &'static str,
    /// Family it stands under.
    pub family: Family,
    /// Name for a reader, in trade words.
    pub name: &'static str,
    /// Unit in print, empty for counts.
    pub unit: &'static str,
    /// Decimals in print.
    pub decimals: u8,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
    /// Whether it is shown before a reader asks for all.
    pub shown: Shown,
    /// What it is worked out of.
    pub needs: Needs,
    /// One sentence with its source.
    pub definition: &'static str,
}

macro_rules! figures {
    ($( $family:ident $title:literal $later:literal { $(
        $id:ident $key:literal $name:literal $unit:literal $decimals:literal $settings:expr, $shown:ident $needs:ident
        $definition:literal;
    )* } )*) => {
        /// Families of figures, in printing order.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Family { $( #[doc = $title] $family, )* }

        impl Family {
            /// All families, in printing order.
            pub const ALL: &[Self] = &[ $( Self::$family, )* ];

            /// Title for a reader.
            pub fn title(self) -> &'static str {
                match self { $( Self::$family => $title, )* }
            }

            /// True when its figures take long: they come a moment after the others when a reader changes something.
            pub fn comes_later(self) -> bool {
                match self { $( Self::$family => $later, )* }
            }
        }

        /// A figure of the summary.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FigureId { $( $( #[doc = $definition] $id, )* )* }

        /// One row a figure, in printing order.
        pub const FIGURES: &[FigureRow] = &[ $( $( FigureRow {
            id: FigureId::$id, key: $key, family: Family::$family, name: $name, unit: $unit, decimals: $decimals,
            settings: $settings, shown: Shown::$shown, needs: Needs::$needs, definition: $definition,
        }, )* )* ];
    };
}

impl FigureId {
    /// What the table says of it.
    pub fn row(self) -> &'static FigureRow {
        // The rows stand in the order of the variants: both are made from one list.
        &FIGURES[self as usize]
    }

    /// Its key in files.
    pub fn key(self) -> &'static str {
        self.row().key
    }

    /// The figure of a key in a file.
    pub fn from_key(key: &str) -> Option<Self> {
        FIGURES.iter().find(|row| row.key == key).map(|row| row.id)
    }
}

impl std::fmt::Display for FigureId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.key())
    }
}

const RATE_CLOCK: &[&str] = keys![rate_window_beats, pause_ms, night_from_h, night_to_h];
const S_REPEATS: &[&str] = keys![bigeminy_cycles, prematurity_percent, af_min_s];
const HRV: &[&str] = keys![nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const SPECTRUM: &[&str] =
    keys![spectrum_detrend, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const NORMALISED: &[&str] = keys![
    spectrum_nu_variance,
    spectrum_detrend,
    nn_min_ms,
    nn_max_ms,
    nn_jump_percent,
    nn_min_share_percent
];
const SPECTRUM_DAY: &[&str] =
    keys![spectrum_detrend, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent, hrv_min_hours];
const NORMALISED_DAY: &[&str] = keys![
    spectrum_nu_variance,
    spectrum_detrend,
    nn_min_ms,
    nn_max_ms,
    nn_jump_percent,
    nn_min_share_percent,
    hrv_min_hours
];
const PNN50: &[&str] =
    keys![pnn50_per_difference, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const HISTOGRAM: &[&str] =
    keys![histogram_bin_ms, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const HRV_DAY: &[&str] = keys![nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent, hrv_min_hours];
const ENTROPY: &[&str] =
    keys![entropy_tolerance, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const HRT: &[&str] = keys![
    hrt_early_percent,
    hrt_step_ms,
    hrt_after_beats,
    hrt_min_beats,
    nn_min_ms,
    nn_max_ms,
    nn_jump_percent,
    af_min_s
];
const DC: &[&str] = keys![dc_step_percent, nn_min_ms, nn_max_ms, nn_jump_percent, nn_min_share_percent];
const WAVES: &[&str] = keys![qt_min_quality, qt_min_beats, af_min_s];
const WIDE: &[&str] = keys![wide_qrs_ms, qt_min_quality, qt_min_beats, af_min_s];
const ST: &[&str] = keys![
    st_offset_ms,
    st_fast_offset_ms,
    st_fast_bpm,
    st_lowest_hz,
    st_unknown_filter,
    st_uncertain_mv,
    st_change_mv,
    st_hold_s,
    wide_qrs_ms,
    qt_min_quality
];
const TWA: &[&str] = keys![twa_max_bpm, twa_noise_uv, af_min_s];
const SYMPTOMS: &[&str] = keys![symptom_min];
const QT: &[&str] = keys![qt_min_beats, qt_min_quality, wide_qrs_ms, af_min_s];
const QT_CLOCK: &[&str] =
    keys![qt_min_beats, qt_min_quality, wide_qrs_ms, af_min_s, night_from_h, night_to_h];

figures! {
    ReadableTime "Readable time" false {
        WornH "worn_h" "Recorded time" "h" 2 &[], Full Times
            "Time for which the file holds samples; gaps in the file are left out (common practice).";
        ReadableH "readable_h" "Readable time" "h" 2 keys![flat_mv], First Times
            "Time in which beats can be told on at least one lead; all rates and shares rest on it (common practice).";
        ReadablePercent "readable_percent" "Readable time" "%" 1 keys![flat_mv], First Times
            "Readable time as a share of recorded time; to be printed with every report (common practice).";
        LongestGapMin "longest_gap_min" "Longest unreadable time" "min" 1 keys![flat_mv], First Times
            "The longest stretch in which no lead can be read, gaps of the file included (common practice).";
    }
    Rate "Rate" false {
        BeatsTotal "beats_total" "Beats" "" 0 keys![refractory_ms, flat_mv], First Times
            "All beats of classes N, S, V, F and Q (ANSI/AAMI EC57 classes).";
        MeanBpm "mean_bpm" "Mean rate" "bpm" 0 keys![refractory_ms], First Times
            "60000 / mean RR over all readable RR intervals, never the mean of rates (common practice).";
        MinBpm "min_bpm" "Slowest rate" "bpm" 0 keys![rate_window_beats, pause_ms], First Times
            "Lowest mean over the window of consecutive RR intervals; intervals that touch V or F, lie in a supraventricular run, are pauses or cross unreadable time are left out (no standard window).";
        MaxBpm "max_bpm" "Fastest rate" "bpm" 0 keys![rate_window_beats, pause_ms], First Times
            "Highest mean over the window of consecutive RR intervals; intervals that touch V or F or lie in a supraventricular run are left out (no standard window).";
        DayMeanBpm "day_mean_bpm" "Mean rate, waking hours" "bpm" 0 keys![night_from_h, night_to_h], First Times
            "60000 / mean RR over the intervals that begin outside the night hours (hours are a setting).";
        NightMeanBpm "night_mean_bpm" "Mean rate, night" "bpm" 0 keys![night_from_h, night_to_h], First Times
            "60000 / mean RR over the intervals that begin in the night hours (hours are a setting).";
        DayMinBpm "day_min_bpm" "Slowest rate, waking hours" "bpm" 0 RATE_CLOCK, Full Times
            "The slowest rate of the windows that begin outside the night hours (hours are a setting).";
        DayMaxBpm "day_max_bpm" "Fastest rate, waking hours" "bpm" 0 RATE_CLOCK, Full Times
            "The fastest rate of the windows that begin outside the night hours (hours are a setting).";
        NightMinBpm "night_min_bpm" "Slowest rate, night" "bpm" 0 RATE_CLOCK, Full Times
            "The slowest rate of the windows that begin in the night hours (hours are a setting).";
        NightMaxBpm "night_max_bpm" "Fastest rate, night" "bpm" 0 RATE_CLOCK, Full Times
            "The fastest rate of the windows that begin in the night hours (hours are a setting).";
        TachyMin "tachy_min" "Time in sinus tachycardia" "min" 1 keys![tachy_bpm, rate_episode_s, rate_window_beats], Full Times
            "Readable time outside atrial fibrillation with the windowed rate above the limit, held for the minimum time (above 100/min by convention, CinC Challenge 2017).";
        RegularTachyMin "regular_tachy_min" "Time in regular tachycardia, mechanism not told" "min" 1 keys![tachy_bpm, rate_episode_s, rate_window_beats], Full Times
            "The same where nothing shows that the rhythm is that of the sinus node: it begins or ends suddenly, its rate does not vary, or no P waves show (design rule).";
        BradyMin "brady_min" "Time in bradycardia" "min" 1 keys![brady_bpm, rate_episode_s, rate_window_beats], Full Times
            "Readable time outside atrial fibrillation with the windowed rate below the limit, held for the minimum time (below 50/min, 2018 ACC/AHA/HRS, second hand).";
        AboveTachyPercent "above_tachy_percent" "Time above the fast limit" "%" 1 keys![tachy_bpm, rate_window_beats, pause_ms], Full Times
            "Time with the windowed rate above the fast limit, in any rhythm, as a share of the time that has a windowed rate (above 100/min by convention, CinC Challenge 2017).";
        BelowBradyPercent "below_brady_percent" "Time below the slow limit" "%" 1 keys![brady_bpm, rate_window_beats, pause_ms], Full Times
            "Time with the windowed rate below the slow limit, in any rhythm, as a share of the time that has a windowed rate (below 50/min, 2018 ACC/AHA/HRS, second hand).";
        AboveTachyMin "above_tachy_min" "Minutes above the fast limit" "min" 1 keys![tachy_bpm, rate_window_beats, pause_ms], Full Times
            "Time with the windowed rate above the fast limit, in any rhythm (above 100/min by convention, CinC Challenge 2017).";
        BelowBradyMin "below_brady_min" "Minutes below the slow limit" "min" 1 keys![brady_bpm, rate_window_beats, pause_ms], Full Times
            "Time with the windowed rate below the slow limit, in any rhythm (below 50/min, 2018 ACC/AHA/HRS, second hand).";
    }
    Ectopy "Ectopy" false {
        VBeats "v_beats" "Ventricular ectopic beats" "" 0 keys![prematurity_percent, wide_qrs_ms], First Day
            "Beats of class V (ANSI/AAMI EC57).";
        VPercent "v_percent" "Ventricular ectopic burden" "%" 2 keys![prematurity_percent, wide_qrs_ms], First Day
            "Beats of class V as a share of all beats (2019 HRS/EHRA/APHRS/LAHRS consensus, Table 2).";
        VPerHour "v_per_hour" "Ventricular beats per hour" "/h" 1 keys![prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V per readable hour (common practice).";
        VSingles "v_singles" "Single ventricular beats" "" 0 keys![prematurity_percent, wide_qrs_ms], Full Day
            "V or F beats with no V or F beat next to them (ANSI/AAMI EC57 runs).";
        VCouplets "v_couplets" "Ventricular couplets" "" 0 keys![prematurity_percent, wide_qrs_ms], First Day
            "Exactly two consecutive V or F beats (ANSI/AAMI EC57 runs).";
        VRuns "v_runs" "Ventricular runs" "" 0 keys![run_beats, run_rate_bpm, prematurity_percent, wide_qrs_ms], First Day
            "Consecutive V or F beats, as many as the setting or more, fast and slow ones (ANSI/AAMI EC57 runs).";
        VLongestRunBeats "v_longest_run_beats" "Longest ventricular run" "beats" 0 keys![run_beats, prematurity_percent, wide_qrs_ms], First Day
            "Beats of the longest ventricular run (ANSI/AAMI EC57 runs).";
        VFastestRunBpm "v_fastest_run_bpm" "Fastest ventricular run" "bpm" 0 keys![run_beats, prematurity_percent, wide_qrs_ms], First Day
            "Highest mean rate of a ventricular run, over the RR intervals inside it (common practice).";
        VBigeminyEpisodes "v_bigeminy_episodes" "Episodes of ventricular bigeminy" "" 0 keys![bigeminy_cycles, prematurity_percent, wide_qrs_ms], Full Day
            "Stretches in which every second beat is V or F for the set number of repeats (no standard minimum).";
        VTrigeminyEpisodes "v_trigeminy_episodes" "Episodes of ventricular trigeminy" "" 0 keys![bigeminy_cycles, prematurity_percent, wide_qrs_ms], Full Day
            "Stretches in which every third beat is V or F for the set number of repeats (no standard minimum).";
        VBigeminyBeats "v_bigeminy_beats" "Ventricular beats in bigeminy" "" 0 keys![bigeminy_cycles, prematurity_percent, wide_qrs_ms], Full Day
            "V or F beats inside episodes of bigeminy (no standard minimum).";
        VTrigeminyBeats "v_trigeminy_beats" "Ventricular beats in trigeminy" "" 0 keys![bigeminy_cycles, prematurity_percent, wide_qrs_ms], Full Day
            "V or F beats inside episodes of trigeminy (no standard minimum).";
        FBeats "f_beats" "Fusion beats" "" 0 keys![prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class F: fusion of a ventricular and a normal beat (ANSI/AAMI EC57).";
        SBeats "s_beats" "Supraventricular ectopic beats" "" 0 keys![prematurity_percent], First Day
            "Beats of class S, inside atrial fibrillation too (ANSI/AAMI EC57).";
        SPercent "s_percent" "Supraventricular ectopic burden" "%" 2 keys![prematurity_percent], First Day
            "Beats of class S as a share of all beats (common practice).";
        SPerHour "s_per_hour" "Supraventricular beats per hour" "/h" 1 keys![prematurity_percent], Full Day
            "Beats of class S per readable hour (30 an hour and more is excessive, Binici 2010, from memory).";
        SSingles "s_singles" "Single supraventricular beats" "" 0 keys![prematurity_percent, af_min_s], Full Day
            "S beats outside atrial fibrillation with no S beat next to them (ANSI/AAMI EC57 runs).";
        SCouplets "s_couplets" "Supraventricular couplets" "" 0 keys![prematurity_percent, af_min_s], First Day
            "Exactly two consecutive S beats outside atrial fibrillation (ANSI/AAMI EC57 runs).";
        SRuns "s_runs" "Supraventricular runs" "" 0 keys![run_beats, prematurity_percent, af_min_s], First Day
            "Consecutive S beats outside atrial fibrillation, as many as the setting or more (ANSI/AAMI EC57 runs).";
        SLongestRunBeats "s_longest_run_beats" "Longest supraventricular run" "beats" 0 keys![run_beats, prematurity_percent, af_min_s], First Day
            "Beats of the longest supraventricular run (ANSI/AAMI EC57 runs).";
        SFastestRunBpm "s_fastest_run_bpm" "Fastest supraventricular run" "bpm" 0 keys![run_beats, prematurity_percent, af_min_s], First Day
            "Highest mean rate of a supraventricular run, over the RR intervals inside it (common practice).";
        SvtRuns "svt_runs" "Runs of supraventricular tachycardia" "" 0 keys![s_run_rate_bpm, run_beats, prematurity_percent, af_min_s], Full Day
            "Supraventricular runs with a mean rate above the limit (above 100/min at rest, 2015 ACC/AHA/HRS, from memory).";
        SBigeminyEpisodes "s_bigeminy_episodes" "Episodes of supraventricular bigeminy" "" 0 S_REPEATS, Full Day
            "Stretches in which every second beat is S among N, outside atrial fibrillation, for the set number of repeats (no standard minimum).";
        STrigeminyEpisodes "s_trigeminy_episodes" "Episodes of supraventricular trigeminy" "" 0 S_REPEATS, Full Day
            "Stretches in which every third beat is S among N, outside atrial fibrillation, for the set number of repeats (no standard minimum).";
        SBigeminyBeats "s_bigeminy_beats" "Supraventricular beats in bigeminy" "" 0 S_REPEATS, Full Day
            "S beats inside episodes of bigeminy (no standard minimum).";
        STrigeminyBeats "s_trigeminy_beats" "Supraventricular beats in trigeminy" "" 0 S_REPEATS, Full Day
            "S beats inside episodes of trigeminy (no standard minimum).";
        QBeats "q_beats" "Paced or unclassifiable beats" "" 0 &[], Full Day
            "Beats of class Q (ANSI/AAMI EC57).";
        VWakingBeats "v_waking_beats" "Ventricular beats, waking hours" "" 0 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V outside the night hours (hours are a setting).";
        VWakingPercent "v_waking_percent" "Ventricular ectopic burden, waking hours" "%" 2 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V as a share of all beats outside the night hours (hours are a setting).";
        VWakingPerHour "v_waking_per_hour" "Ventricular beats per hour, waking hours" "/h" 1 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V per readable hour outside the night hours (hours are a setting).";
        VNightBeats "v_night_beats" "Ventricular beats, night" "" 0 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V in the night hours (hours are a setting).";
        VNightPercent "v_night_percent" "Ventricular ectopic burden, night" "%" 2 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V as a share of all beats in the night hours (hours are a setting).";
        VNightPerHour "v_night_per_hour" "Ventricular beats per hour, night" "/h" 1 keys![night_from_h, night_to_h, prematurity_percent, wide_qrs_ms], Full Day
            "Beats of class V per readable hour in the night hours (hours are a setting).";
        SWakingBeats "s_waking_beats" "Supraventricular beats, waking hours" "" 0 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S outside the night hours (hours are a setting).";
        SWakingPercent "s_waking_percent" "Supraventricular ectopic burden, waking hours" "%" 2 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S as a share of all beats outside the night hours (hours are a setting).";
        SWakingPerHour "s_waking_per_hour" "Supraventricular beats per hour, waking hours" "/h" 1 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S per readable hour outside the night hours (hours are a setting).";
        SNightBeats "s_night_beats" "Supraventricular beats, night" "" 0 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S in the night hours (hours are a setting).";
        SNightPercent "s_night_percent" "Supraventricular ectopic burden, night" "%" 2 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S as a share of all beats in the night hours (hours are a setting).";
        SNightPerHour "s_night_per_hour" "Supraventricular beats per hour, night" "/h" 1 keys![night_from_h, night_to_h, prematurity_percent], Full Day
            "Beats of class S per readable hour in the night hours (hours are a setting).";
        VCouplingMs "v_coupling_ms" "Ventricular coupling interval" "ms" 0 keys![af_min_s, prematurity_percent, wide_qrs_ms], Full Day
            "Mean interval from an N beat to the V beat after it, outside atrial fibrillation (common practice).";
        VCouplingSdMs "v_coupling_sd_ms" "Spread of the coupling interval" "ms" 0 keys![af_min_s, prematurity_percent, wide_qrs_ms], Full Day
            "Standard deviation (n - 1) of the same intervals; a small one speaks for a fixed coupling (common practice).";
        VCouplingMinMs "v_coupling_min_ms" "Shortest coupling interval" "ms" 0 keys![af_min_s, prematurity_percent, wide_qrs_ms], Full Day
            "The shortest of the same intervals (common practice).";
        VCouplingMaxMs "v_coupling_max_ms" "Longest coupling interval" "ms" 0 keys![af_min_s, prematurity_percent, wide_qrs_ms], Full Day
            "The longest of the same intervals (common practice).";
        VROnT "v_r_on_t" "R-on-T candidates" "" 0 keys![r_on_t_ratio, qt_min_beats, qt_min_quality, wide_qrs_ms, prematurity_percent, af_min_s], Full Day
            "V beats that come before the set share of the mean QT of their five minutes has passed since the QRS onset of the N beat before (Lown and Wolf 1971, from memory); candidates, to be read.";
        VInterpolated "v_interpolated" "Interpolated ventricular beats" "" 0 keys![interpolated_percent, af_min_s, prematurity_percent, wide_qrs_ms], Full Day
            "V beats between two N beats whose distance is about the sinus interval before, outside atrial fibrillation (textbook definition, from memory; the tolerance is a design choice).";
    }
    Rhythm "Rhythm" false {
        VtRuns "vt_runs" "Runs of ventricular tachycardia" "" 0 keys![run_beats, run_rate_bpm, prematurity_percent, wide_qrs_ms], First Day
            "Ventricular runs with a mean rate above the limit (three or more beats above 100/min, 2017 AHA/ACC/HRS).";
        VfEpisodes "vf_episodes" "VF/VFL candidates" "" 0 &[], First Day
            "Stretches of waves without beats at 130 to 540 a minute that may be ventricular flutter or fibrillation, to be read at once (leakage of Kuo and Dillman 1978, from memory).";
        VfS "vf_s" "Time in VF/VFL candidates" "s" 0 &[], Full Day
            "Time inside these stretches (common practice).";
        VfLongestS "vf_longest_s" "Longest VF/VFL candidate" "s" 0 &[], Full Day
            "The longest of these stretches (common practice).";
        AfEpisodes "af_episodes" "Episodes of AF or flutter" "" 0 keys![af_min_s], First Times
            "Stretches of irregular RR intervals without P waves of the minimum readable time or more (30 s, ESC 2016, second hand), and atrial flutter; what must be read and is doubtful counts once a reader keeps it.";
        AfMin "af_min" "Time in AF or flutter" "min" 1 keys![af_min_s], First Times
            "Readable time inside these episodes (common practice).";
        AfPercent "af_percent" "AF/flutter burden" "%" 1 keys![af_min_s], First Times
            "Time in atrial fibrillation or flutter as a share of readable time (common practice).";
        AfLongestMin "af_longest_min" "Longest AF or flutter" "min" 1 keys![af_min_s], First Times
            "Readable time of the longest of these episodes (common practice).";
        AfMeanBpm "af_mean_bpm" "Mean rate in AF or flutter" "bpm" 0 keys![af_min_s], Full Day
            "60000 / mean RR over the readable intervals inside these episodes (common practice).";
        FlutterMin "flutter_min" "Time in atrial flutter" "min" 1 &[], Full Day
            "Readable time inside atrial flutter: waves of one rate of 200 to 350 a minute between the beats (common practice); doubtful flutter counts once a reader keeps it.";
        DroppedCandidates "dropped_candidates" "Dropped-beat candidates" "" 0 keys![dropped_low_ratio, dropped_high_ratio, pause_ms], First Day
            "Intervals of about two local medians that are no pause, in sinus rhythm and not after ectopy (design rule); candidates, not block.";
    }
    Pauses "Pauses" false {
        Pauses "pauses" "Pauses" "" 0 keys![pause_ms], First Times
            "RR intervals at or above the pause limit inside readable time (reporting tiers of 2.0, 2.5 and 3.0 s, common practice).";
        PausesMiddle "pauses_middle" "Pauses of the middle tier" "" 0 keys![pause_ms, pause_middle_ms], Full Times
            "Pauses at or above the limit of the middle tier (reporting tiers of 2.0, 2.5 and 3.0 s, common practice).";
        PausesCritical "pauses_critical" "Pauses that must be read" "" 0 keys![critical_pause_ms], First Times
            "Pauses at or above the critical limit (3 s notify level, second hand).";
        LongestRrMs "longest_rr_ms" "Longest RR interval" "ms" 0 keys![refractory_ms], First Times
            "The longest interval between two beats inside readable time (common practice).";
        LongestRrSinusMs "longest_rr_sinus_ms" "Longest RR in sinus rhythm" "ms" 0 keys![af_min_s], Full Times
            "The longest interval outside atrial fibrillation that follows no S, V or F beat (design rule: the kind is told with the interval).";
        LongestRrEctopyMs "longest_rr_ectopy_ms" "Longest RR after ectopy" "ms" 0 keys![af_min_s], Full Times
            "The longest interval outside atrial fibrillation that follows an S, V or F beat (design rule: the kind is told with the interval).";
        LongestRrAfMs "longest_rr_af_ms" "Longest RR in atrial fibrillation" "ms" 0 keys![af_min_s], Full Times
            "The longest interval that touches atrial fibrillation (design rule: the kind is told with the interval).";
    }
    Variability "Variability" true {
        NnPercent "nn_percent" "Normal-to-normal intervals" "%" 1 keys![nn_min_ms, nn_max_ms, nn_jump_percent], Full Times
            "NN intervals that pass the filters as a share of all readable RR intervals (common practice).";
        SdnnMs "sdnn_ms" "SDNN" "ms" 0 HRV_DAY, First Times
            "Standard deviation (n - 1) of all NN intervals (Task Force 1996; 24-h norm 141 +/- 39 ms).";
        SdannMs "sdann_ms" "SDANN" "ms" 0 HRV_DAY, First Times
            "Standard deviation (n - 1) of the means of NN in 5-minute segments (Task Force 1996; 24-h norm 127 +/- 35 ms).";
        SdnnIndexMs "sdnn_index_ms" "SDNN index" "ms" 0 HRV_DAY, Full Times
            "Mean of the standard deviations of NN in 5-minute segments (Task Force 1996).";
        RmssdMs "rmssd_ms" "RMSSD" "ms" 0 HRV, First Times
            "Root mean square of the differences between neighbouring NN intervals (Task Force 1996; 24-h norm 27 +/- 12 ms).";
        Nn50 "nn50" "NN50" "" 0 HRV, Full Times
            "Differences between neighbouring NN intervals of strictly more than 50 ms (Task Force 1996).";
        Pnn50Percent "pnn50_percent" "pNN50" "%" 1 PNN50, First Times
            "NN50 divided by the number of NN intervals, or by that of differences where the setting says so (Task Force 1996).";
        TriangularIndex "triangular_index" "HRV triangular index" "" 1 HISTOGRAM, First Times
            "Number of NN intervals divided by the height of their histogram with bins of the set width (Task Force 1996: 7.8125 ms; 24-h norm 37 +/- 15).";
        TinnMs "tinn_ms" "TINN" "ms" 0 HISTOGRAM, Full Times
            "Base width of the triangle that fits the histogram of NN (bins of the set width) best by least squares, with its top on the highest bin (Task Force 1996).";
        Sd1Ms "sd1_ms" "SD1" "ms" 0 HRV, Full Times
            "Poincare plot of neighbouring NN: standard deviation (n) of the cloud across the line of equal intervals (Brennan 2001).";
        Sd2Ms "sd2_ms" "SD2" "ms" 0 HRV_DAY, Full Times
            "Poincare plot of neighbouring NN: standard deviation (n) of the cloud along the line of equal intervals (Brennan 2001).";
        DfaAlpha1 "dfa_alpha1" "DFA alpha 1" "" 2 HRV, Full Times
            "Scaling exponent of detrended fluctuation over boxes of 4 to 16 NN, all NN in a row with holes closed (Peng 1995).";
        DfaAlpha2 "dfa_alpha2" "DFA alpha 2" "" 2 HRV, Full Times
            "Scaling exponent of detrended fluctuation over boxes of 16 to 64 NN in steps of 4, all NN in a row with holes closed (Peng 1995).";
        SampleEntropy "sample_entropy" "Sample entropy" "" 2 ENTROPY, Full Times
            "Patterns of two NN, likeness within the set share of the standard deviation (n - 1), of the first full 5-minute window of each hour; mean over the hours, never of the day as a whole (Richman and Moorman 2000).";
    }
    Spectrum "Variability spectrum" true {
        WindowCount "window_count" "Five-minute windows" "" 0 HRV, Full Times
            "Five-minute segments of the recording that NN intervals fill to the set share; the means below are over them (Task Force 1996).";
        WindowTotalMs2 "window_total_ms2" "Total power, 5 min" "ms²" 0 SPECTRUM, Full Times
            "Variance of NN up to 0.40 Hz by the Lomb-Scargle periodogram, mean over 5-minute windows (Task Force 1996; supine norm 3466 +/- 1018 ms², not that of a day of activity).";
        WindowVlfMs2 "window_vlf_ms2" "VLF, 5 min" "ms²" 0 SPECTRUM, Full Times
            "Power up to 0.04 Hz, mean over 5-minute windows (Task Force 1996).";
        WindowLfMs2 "window_lf_ms2" "LF, 5 min" "ms²" 0 SPECTRUM, Full Times
            "Power from 0.04 to 0.15 Hz, mean over 5-minute windows (Task Force 1996; supine norm 1170 +/- 416 ms²).";
        WindowHfMs2 "window_hf_ms2" "HF, 5 min" "ms²" 0 SPECTRUM, Full Times
            "Power from 0.15 to 0.40 Hz, mean over 5-minute windows (Task Force 1996; supine norm 975 +/- 203 ms²).";
        WindowLfNu "window_lf_nu" "LF, normalised" "%" 1 NORMALISED, Full Times
            "Mean LF / (total - VLF) of the 5-minute windows, which is LF / (LF + HF) unless the setting takes the variance for the total (Task Force 1996; supine norm 54 +/- 4).";
        WindowHfNu "window_hf_nu" "HF, normalised" "%" 1 NORMALISED, Full Times
            "Mean HF / (total - VLF) of the 5-minute windows, which is HF / (LF + HF) unless the setting takes the variance for the total (Task Force 1996; supine norm 29 +/- 3).";
        WindowLfHfRatio "window_lf_hf_ratio" "LF/HF" "" 2 SPECTRUM, Full Times
            "Mean LF divided by mean HF of the 5-minute windows (Task Force 1996; supine norm 1.5 to 2.0).";
        EvenTotalMs2 "even_total_ms2" "Total power, 5 min, evenly laid" "ms²" 0 SPECTRUM, Full Times
            "Variance of NN up to 0.40 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines, mean over the same 5-minute windows (Task Force 1996).";
        EvenVlfMs2 "even_vlf_ms2" "VLF, 5 min, evenly laid" "ms²" 0 SPECTRUM, Full Times
            "Power up to 0.04 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        EvenLfMs2 "even_lf_ms2" "LF, 5 min, evenly laid" "ms²" 0 SPECTRUM, Full Times
            "Power from 0.04 to 0.15 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        EvenHfMs2 "even_hf_ms2" "HF, 5 min, evenly laid" "ms²" 0 SPECTRUM, Full Times
            "Power from 0.15 to 0.40 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines, which damps waves that are fast for the rate (Task Force 1996).";
        EvenLfNu "even_lf_nu" "LF, normalised, evenly laid" "%" 1 NORMALISED, Full Times
            "Mean LF / (total - VLF) of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        EvenHfNu "even_hf_nu" "HF, normalised, evenly laid" "%" 1 NORMALISED, Full Times
            "Mean HF / (total - VLF) of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        EvenLfHfRatio "even_lf_hf_ratio" "LF/HF, evenly laid" "" 2 SPECTRUM, Full Times
            "Mean LF divided by mean HF of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        DayTotalMs2 "day_total_ms2" "Total power, 24 h" "ms²" 0 SPECTRUM_DAY, Full Times
            "Variance of NN up to 0.40 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        DayUlfMs2 "day_ulf_ms2" "ULF, 24 h" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power up to 0.003 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        DayVlfMs2 "day_vlf_ms2" "VLF, 24 h" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.003 to 0.04 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        DayLfMs2 "day_lf_ms2" "LF, 24 h" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.04 to 0.15 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        DayHfMs2 "day_hf_ms2" "HF, 24 h" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.15 to 0.40 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        DayLfNu "day_lf_nu" "LF, normalised, 24 h" "%" 1 NORMALISED_DAY, Full Times
            "LF / (LF + HF) by the Lomb-Scargle periodogram of the first 24 hours as a whole, or LF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        DayHfNu "day_hf_nu" "HF, normalised, 24 h" "%" 1 NORMALISED_DAY, Full Times
            "HF / (LF + HF) by the Lomb-Scargle periodogram of the first 24 hours as a whole, or HF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        DayLfHfRatio "day_lf_hf_ratio" "LF/HF, 24 h" "" 2 SPECTRUM_DAY, Full Times
            "LF divided by HF by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        EvenDayTotalMs2 "even_day_total_ms2" "Total power, 24 h, evenly laid" "ms²" 0 SPECTRUM_DAY, Full Times
            "Variance of NN up to 0.40 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        EvenDayUlfMs2 "even_day_ulf_ms2" "ULF, 24 h, evenly laid" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power up to 0.003 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        EvenDayVlfMs2 "even_day_vlf_ms2" "VLF, 24 h, evenly laid" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.003 to 0.04 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        EvenDayLfMs2 "even_day_lf_ms2" "LF, 24 h, evenly laid" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.04 to 0.15 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        EvenDayHfMs2 "even_day_hf_ms2" "HF, 24 h, evenly laid" "ms²" 0 SPECTRUM_DAY, Full Times
            "Power from 0.15 to 0.40 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        EvenDayLfNu "even_day_lf_nu" "LF, normalised, 24 h, evenly laid" "%" 1 NORMALISED_DAY, Full Times
            "LF / (LF + HF) by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes, or LF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        EvenDayHfNu "even_day_hf_nu" "HF, normalised, 24 h, evenly laid" "%" 1 NORMALISED_DAY, Full Times
            "HF / (LF + HF) by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes, or HF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        EvenDayLfHfRatio "even_day_lf_hf_ratio" "LF/HF, 24 h, evenly laid" "" 2 SPECTRUM_DAY, Full Times
            "LF divided by HF by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
    }
    Turbulence "Turbulence and deceleration" true {
        HrtBeats "hrt_beats" "Ventricular beats for turbulence" "" 0 HRT, Full Day
            "Single V beats outside atrial fibrillation that pass the filters of the originators: early and with a long pause by the set share (20 %), five sinus intervals before and the set number (15) after without artefact (Schmidt 1999).";
        HrtOnsetPercent "hrt_onset_percent" "Turbulence onset" "%" 2 HRT, Full Day
            "First two sinus intervals after the pause against the last two before the V beat, mean over the beats (Schmidt 1999; 0 % and above is abnormal).";
        HrtSlopeMsPerRr "hrt_slope_ms_per_rr" "Turbulence slope" "ms/RR" 2 HRT, Full Day
            "Steepest regression over five consecutive of the sinus intervals after the pause, of the averaged tachogram (Schmidt 1999; 2.5 ms/RR and below is abnormal).";
        DecelerationCapacityMs "deceleration_capacity_ms" "Deceleration capacity" "ms" 1 DC, Full Times
            "Mean of (X0 + X1 - X-1 - X-2) / 4 over all NN intervals X0 that are longer than the one before by no more than the set share (phase-rectified signal averaging, Bauer 2006; 2.5 ms and below is high risk after infarction, Rizas 2018).";
    }
    Intervals "Intervals" true {
        PrMs "pr_ms" "PR" "ms" 0 WAVES, First Day
            "Mean from P onset to QRS onset of N beats outside atrial fibrillation where P was found; limits set by the program, to be checked on the tracing (common practice).";
        QrsMs "qrs_ms" "QRS duration" "ms" 0 WAVES, First Day
            "Mean QRS duration of N beats; limits set by the program, to be checked on the tracing (common practice).";
        WideQrsPercent "wide_qrs_percent" "Wide QRS among normal beats" "%" 1 WIDE, Full Day
            "N beats whose QRS lasts as long as the setting or longer, as a share of those measured (120 ms, AHA/ACCF/HRS 2009, second hand); the side of a block is not told.";
        PrMinHourMs "pr_min_hour_ms" "Shortest PR of an hour" "ms" 0 WAVES, Full Day
            "The lowest of the medians of PR by clock hour (common practice: a trend is told by hour).";
        PrMaxHourMs "pr_max_hour_ms" "Longest PR of an hour" "ms" 0 WAVES, Full Day
            "The highest of the medians of PR by clock hour (common practice: a trend is told by hour; above 200 ms is first degree block, second hand).";
        QtWindows "qt_windows" "Five-minute windows with QT" "" 0 QT, Full Day
            "Windows whose averaged beat, of narrow N beats of fair signal, outside atrial fibrillation and not after ectopy, has an end of T; RR is the mean of the same beats (common practice: single beats are not paired).";
        QtMergedPercent "qt_merged_percent" "T runs into the next P" "%" 1 QT, Full Day
            "Narrow N beats outside atrial fibrillation whose T is not over when the next P begins, as a share of those in which T was found; their QT is withheld (design rule: more than a fifth of T is left in the valley between T and P).";
        QtMs "qt_ms" "QT" "ms" 0 QT, First Day
            "Mean QT of the averaged beats of five minutes, T end where a trapezium under its far limb is largest, or at the valley before the next P where that comes first (Zhang et al. 2006, from memory); withheld where leads or methods do not agree.";
        QtWakingMs "qt_waking_ms" "QT, waking hours" "ms" 0 QT_CLOCK, Full Day
            "Mean QT of the windows that begin outside the night hours (hours are a setting).";
        QtNightMs "qt_night_ms" "QT, night" "ms" 0 QT_CLOCK, Full Day
            "Mean QT of the windows that begin in the night hours (hours are a setting).";
        QtcBazettMs "qtc_bazett_ms" "QTc Bazett" "ms" 0 QT, First Day
            "QT / RR^(1/2) of the window means (Bazett 1920; 98th percentile of normal ECGs 483 ms, Luo 2004); overcorrects fast rates.";
        QtcFridericiaMs "qtc_fridericia_ms" "QTc Fridericia" "ms" 0 QT, First Day
            "QT / RR^(1/3) of the window means (Fridericia 1920; 98th percentile 460 ms, Luo 2004).";
        QtcFraminghamMs "qtc_framingham_ms" "QTc Framingham" "ms" 0 QT, Full Day
            "QT + 154 (1 - RR) of the window means (Sagie 1992; 98th percentile 457 ms, Luo 2004).";
        QtcHodgesMs "qtc_hodges_ms" "QTc Hodges" "ms" 0 QT, Full Day
            "QT + 1.75 (rate - 60) of the window means (Hodges 1983; 98th percentile 457 ms, Luo 2004).";
        QtcFridericiaWakingMs "qtc_fridericia_waking_ms" "QTc Fridericia, waking hours" "ms" 0 QT_CLOCK, Full Day
            "Mean of the windows that begin outside the night hours (Fridericia 1920; hours are a setting).";
        QtcFridericiaNightMs "qtc_fridericia_night_ms" "QTc Fridericia, night" "ms" 0 QT_CLOCK, Full Day
            "Mean of the windows that begin in the night hours (Fridericia 1920; hours are a setting).";
        QtcFridericiaMaxMs "qtc_fridericia_max_ms" "Longest QTc Fridericia, 5 min" "ms" 0 QT, Full Day
            "The longest of the five-minute windows; look at the tracing there (Fridericia 1920).";
    }
    StAndT "ST and T wave" true {
        StLeads "st_leads" "Leads with ST" "" 0 ST, Full Day
            "Leads whose recorder passed low enough frequencies and that hold five minutes of clean narrow normal beats (0.05 Hz when ST is claimed, IEC 60601-2-47, from memory).";
        StChanges "st_changes" "ST changes" "" 0 ST, First Day
            "Stretches in which the ST level of a lead is off that of its first five stable minutes by the set limit for the set time (0.1 mV for 1 min, 1 min apart, from memory), and QRS does not change where it begins.";
        StLargestMv "st_largest_mv" "Largest ST change" "mV" 2 ST, Full Day
            "The greatest deviation in an ST change, negative for a fall (European ST-T Database: 0.1 mV and more); a change of position imitates a change of ST.";
        TwaUv "twa_uv" "T-wave alternans" "µV" 0 TWA, Full Day
            "Largest distance of the modified moving averages of even and odd beats between J and the end of T, highest window of 15 s (Nearing and Verrier 2002; 47 and 60 µV are cut-points, from memory); a research measure.";
        TwaControlUv "twa_control_uv" "T-wave alternans, control" "µV" 0 TWA, Full Day
            "The same of beats taken two by two (AABB), in which alternans cancels: the highest window of it is what scatter alone gives, and alternans no higher than this is not told from scatter (design rule).";
        TwaWindows "twa_windows" "Windows with alternans" "" 0 TWA, Full Day
            "Windows of 15 s of normal beats alone and of good signal in which alternans could be measured (Nearing and Verrier 2002).";
    }
    Symptoms "Symptoms" false {
        Symptoms "symptoms" "Symptoms" "" 0 SYMPTOMS, First Day
            "Diary entries that are symptoms, and presses of the button (common practice).";
        SymptomsWithFinding "symptoms_with_finding" "Symptoms with a finding" "" 0 SYMPTOMS, First Day
            "Those with an event other than the extremes of the day and unreadable time inside the set minutes around them (common practice: symptom and rhythm are laid beside each other).";
        SymptomsWithoutFinding "symptoms_without_finding" "Symptoms without a finding" "" 0 SYMPTOMS, Full Day
            "Those without such an event where half of the time around them or more could be read (common practice).";
        SymptomsUnreadable "symptoms_unreadable" "Symptoms that cannot be judged" "" 0 SYMPTOMS, Full Day
            "Those without such an event where less than half of the time around them could be read (design rule).";
        FindingsWithoutSymptom "findings_without_symptom" "Findings without a symptom" "" 0 SYMPTOMS, First Day
            "Such events that lie in the set minutes of no symptom (common practice).";
    }
}

/// Names of the day-long indices where less was readable than the setting `hrv_min_hours` asks.
pub const SHORT_NAMES: &[(FigureId, &str)] = &[
    (FigureId::SdnnMs, "SDNN (short recording)"),
    (FigureId::SdannMs, "SDANN (short recording)"),
    (FigureId::SdnnIndexMs, "SDNN index (short recording)"),
    (FigureId::TriangularIndex, "HRV triangular index (short recording)"),
    (FigureId::TinnMs, "TINN (short recording)"),
    (FigureId::Sd2Ms, "SD2 (short recording)"),
];
