//! Every figure of the summary in printing order: family, name, unit, deciding settings, definition and source.

/// What a figure is, before it has a value.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Stable name.
    pub key: &'static str,
    /// Family it stands under.
    pub family: &'static str,
    /// Name in trade words.
    pub name: &'static str,
    /// Unit in print.
    pub unit: &'static str,
    /// Settings that decide it.
    pub settings: &'static [&'static str],
    /// One sentence with its source.
    pub definition: &'static str,
}

macro_rules! catalogue {
    ($( $family:literal { $( $key:literal, $name:literal, $unit:literal, $settings:expr, $definition:literal; )* } )*) => {
        /// All rows.
        pub const CATALOGUE: &[Row] = &[ $( $( Row {
            key: $key, family: $family, name: $name, unit: $unit, settings: $settings, definition: $definition,
        }, )* )* ];
    };
}

catalogue! {
    "Readable time" {
        "worn_h", "Recorded time", "h", &[], "Time for which the file holds samples; gaps in the file are left out (common practice).";
        "readable_h", "Readable time", "h", &[], "Time in which beats can be told on at least one lead; all rates and shares rest on it (common practice).";
        "readable_percent", "Readable time", "%", &[], "Readable time as a share of recorded time; to be printed with every report (common practice).";
        "longest_gap_min", "Longest unreadable time", "min", &[], "The longest stretch in which no lead can be read, gaps of the file included (common practice).";
    }
    "Rate" {
        "beats_total", "Beats", "", &[], "All beats of classes N, S, V, F and Q (ANSI/AAMI EC57 classes).";
        "mean_bpm", "Mean rate", "bpm", &[], "60000 / mean RR over all readable RR intervals, never the mean of rates (common practice).";
        "min_bpm", "Slowest rate", "bpm", &["rate_window_beats", "pause_ms"], "Lowest mean over the window of consecutive RR intervals; intervals that touch V or F, lie in a supraventricular run, are pauses or cross unreadable time are left out (no standard window).";
        "max_bpm", "Fastest rate", "bpm", &["rate_window_beats", "pause_ms"], "Highest mean over the window of consecutive RR intervals; intervals that touch V or F or lie in a supraventricular run are left out (no standard window).";
        "day_mean_bpm", "Mean rate, waking hours", "bpm", &["night_from_h", "night_to_h"], "60000 / mean RR over the intervals that begin outside the night hours (hours are a setting).";
        "night_mean_bpm", "Mean rate, night", "bpm", &["night_from_h", "night_to_h"], "60000 / mean RR over the intervals that begin in the night hours (hours are a setting).";
        "tachy_min", "Time in sinus tachycardia", "min", &["tachy_bpm", "rate_episode_s", "rate_window_beats"], "Readable time outside atrial fibrillation with the windowed rate above the limit, held for the minimum time (above 100/min by convention, CinC Challenge 2017).";
        "brady_min", "Time in sinus bradycardia", "min", &["brady_bpm", "rate_episode_s", "rate_window_beats"], "Readable time outside atrial fibrillation with the windowed rate below the limit, held for the minimum time (below 50/min, 2018 ACC/AHA/HRS, second hand).";
    }
    "Ectopy" {
        "v_beats", "Ventricular ectopic beats", "", &[], "Beats of class V (ANSI/AAMI EC57).";
        "v_percent", "Ventricular ectopic burden", "%", &[], "Beats of class V as a share of all beats (2019 HRS/EHRA/APHRS/LAHRS consensus, Table 2).";
        "v_singles", "Single ventricular beats", "", &[], "V or F beats with no V or F beat next to them (ANSI/AAMI EC57 runs).";
        "v_couplets", "Ventricular couplets", "", &[], "Exactly two consecutive V or F beats (ANSI/AAMI EC57 runs).";
        "v_runs", "Ventricular runs", "", &["run_beats", "run_rate_bpm"], "Consecutive V or F beats, as many as the setting or more, fast and slow ones (ANSI/AAMI EC57 runs).";
        "v_longest_run_beats", "Longest ventricular run", "beats", &["run_beats"], "Beats of the longest ventricular run (ANSI/AAMI EC57 runs).";
        "v_fastest_run_bpm", "Fastest ventricular run", "bpm", &["run_beats"], "Highest mean rate of a ventricular run, over the RR intervals inside it (common practice).";
        "v_bigeminy_episodes", "Episodes of ventricular bigeminy", "", &["bigeminy_cycles"], "Stretches in which every second beat is V or F for the set number of repeats (no standard minimum).";
        "v_trigeminy_episodes", "Episodes of ventricular trigeminy", "", &["bigeminy_cycles"], "Stretches in which every third beat is V or F for the set number of repeats (no standard minimum).";
        "f_beats", "Fusion beats", "", &[], "Beats of class F: fusion of a ventricular and a normal beat (ANSI/AAMI EC57).";
        "s_beats", "Supraventricular ectopic beats", "", &[], "Beats of class S, inside atrial fibrillation too (ANSI/AAMI EC57).";
        "s_percent", "Supraventricular ectopic burden", "%", &[], "Beats of class S as a share of all beats (common practice).";
        "s_singles", "Single supraventricular beats", "", &[], "S beats outside atrial fibrillation with no S beat next to them (ANSI/AAMI EC57 runs).";
        "s_couplets", "Supraventricular couplets", "", &[], "Exactly two consecutive S beats outside atrial fibrillation (ANSI/AAMI EC57 runs).";
        "s_runs", "Supraventricular runs", "", &["run_beats"], "Consecutive S beats outside atrial fibrillation, as many as the setting or more (ANSI/AAMI EC57 runs).";
        "s_longest_run_beats", "Longest supraventricular run", "beats", &["run_beats"], "Beats of the longest supraventricular run (ANSI/AAMI EC57 runs).";
        "s_fastest_run_bpm", "Fastest supraventricular run", "bpm", &["run_beats"], "Highest mean rate of a supraventricular run, over the RR intervals inside it (common practice).";
        "q_beats", "Paced or unclassifiable beats", "", &[], "Beats of class Q (ANSI/AAMI EC57).";
    }
    "Rhythm" {
        "vt_runs", "Runs of ventricular tachycardia", "", &["run_beats", "run_rate_bpm"], "Ventricular runs with a mean rate above the limit (three or more beats above 100/min, 2017 AHA/ACC/HRS).";
        "af_episodes", "Episodes of atrial fibrillation", "", &["af_min_s"], "Stretches of irregular RR intervals without P waves of the minimum readable time or more (30 s, ESC 2016, second hand).";
        "af_min", "Time in atrial fibrillation", "min", &["af_min_s"], "Readable time inside episodes of atrial fibrillation (common practice).";
        "af_percent", "Atrial fibrillation burden", "%", &["af_min_s"], "Time in atrial fibrillation as a share of readable time (common practice).";
        "af_longest_min", "Longest atrial fibrillation", "min", &["af_min_s"], "Readable time of the longest episode of atrial fibrillation (common practice).";
        "dropped_candidates", "Dropped-beat candidates", "", &["dropped_low_ratio", "dropped_high_ratio", "pause_ms"], "Intervals of about two local medians that are no pause, in sinus rhythm and not after ectopy (design rule); candidates, not block.";
    }
    "Pauses" {
        "pauses", "Pauses", "", &["pause_ms"], "RR intervals at or above the pause limit inside readable time (reporting tiers of 2.0, 2.5 and 3.0 s, common practice).";
        "pauses_critical", "Pauses that must be read", "", &["critical_pause_ms"], "Pauses at or above the critical limit (3 s notify level, second hand).";
        "longest_rr_ms", "Longest RR interval", "ms", &[], "The longest interval between two beats inside readable time (common practice).";
    }
    "Variability" {
        "nn_percent", "Normal-to-normal intervals", "%", &["nn_min_ms", "nn_max_ms", "nn_jump_percent"], "NN intervals that pass the filters as a share of all readable RR intervals (common practice).";
        "sdnn_ms", "SDNN", "ms", HRV_DAY, "Standard deviation (n - 1) of all NN intervals (Task Force 1996; 24-h norm 141 +/- 39 ms).";
        "sdann_ms", "SDANN", "ms", HRV_DAY, "Standard deviation (n - 1) of the means of NN in 5-minute segments (Task Force 1996; 24-h norm 127 +/- 35 ms).";
        "sdnn_index_ms", "SDNN index", "ms", HRV_DAY, "Mean of the standard deviations of NN in 5-minute segments (Task Force 1996).";
        "rmssd_ms", "RMSSD", "ms", HRV, "Root mean square of the differences between neighbouring NN intervals (Task Force 1996; 24-h norm 27 +/- 12 ms).";
        "nn50", "NN50", "", HRV, "Differences between neighbouring NN intervals of strictly more than 50 ms (Task Force 1996).";
        "pnn50_percent", "pNN50", "%", HRV, "NN50 divided by the number of NN intervals (Task Force 1996).";
        "triangular_index", "HRV triangular index", "", HRV_DAY, "Number of NN intervals divided by the height of their histogram with bins of 7.8125 ms (Task Force 1996; 24-h norm 37 +/- 15).";
    }
}

const HRV: &[&str] = &["nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const HRV_DAY: &[&str] =
    &["nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent", "hrv_min_hours"];

/// Names of the day-long indices where less was readable than `hrv_min_hours`.
pub const SHORT_NAMES: &[(&str, &str)] = &[
    ("sdnn_ms", "SDNN (short recording)"),
    ("sdann_ms", "SDANN (short recording)"),
    ("sdnn_index_ms", "SDNN index (short recording)"),
    ("triangular_index", "HRV triangular index (short recording)"),
];
