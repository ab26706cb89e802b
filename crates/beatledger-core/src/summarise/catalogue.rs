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
        "readable_h", "Readable time", "h", &["flat_mv"], "Time in which beats can be told on at least one lead; all rates and shares rest on it (common practice).";
        "readable_percent", "Readable time", "%", &["flat_mv"], "Readable time as a share of recorded time; to be printed with every report (common practice).";
        "longest_gap_min", "Longest unreadable time", "min", &["flat_mv"], "The longest stretch in which no lead can be read, gaps of the file included (common practice).";
    }
    "Rate" {
        "beats_total", "Beats", "", &["refractory_ms", "flat_mv"], "All beats of classes N, S, V, F and Q (ANSI/AAMI EC57 classes).";
        "mean_bpm", "Mean rate", "bpm", &["refractory_ms"], "60000 / mean RR over all readable RR intervals, never the mean of rates (common practice).";
        "min_bpm", "Slowest rate", "bpm", &["rate_window_beats", "pause_ms"], "Lowest mean over the window of consecutive RR intervals; intervals that touch V or F, lie in a supraventricular run, are pauses or cross unreadable time are left out (no standard window).";
        "max_bpm", "Fastest rate", "bpm", &["rate_window_beats", "pause_ms"], "Highest mean over the window of consecutive RR intervals; intervals that touch V or F or lie in a supraventricular run are left out (no standard window).";
        "day_mean_bpm", "Mean rate, waking hours", "bpm", &["night_from_h", "night_to_h"], "60000 / mean RR over the intervals that begin outside the night hours (hours are a setting).";
        "night_mean_bpm", "Mean rate, night", "bpm", &["night_from_h", "night_to_h"], "60000 / mean RR over the intervals that begin in the night hours (hours are a setting).";
        "day_min_bpm", "Slowest rate, waking hours", "bpm", RATE_CLOCK, "The slowest rate of the windows that begin outside the night hours (hours are a setting).";
        "day_max_bpm", "Fastest rate, waking hours", "bpm", RATE_CLOCK, "The fastest rate of the windows that begin outside the night hours (hours are a setting).";
        "night_min_bpm", "Slowest rate, night", "bpm", RATE_CLOCK, "The slowest rate of the windows that begin in the night hours (hours are a setting).";
        "night_max_bpm", "Fastest rate, night", "bpm", RATE_CLOCK, "The fastest rate of the windows that begin in the night hours (hours are a setting).";
        "tachy_min", "Time in sinus tachycardia", "min", &["tachy_bpm", "rate_episode_s", "rate_window_beats"], "Readable time outside atrial fibrillation with the windowed rate above the limit, held for the minimum time (above 100/min by convention, CinC Challenge 2017).";
        "brady_min", "Time in sinus bradycardia", "min", &["brady_bpm", "rate_episode_s", "rate_window_beats"], "Readable time outside atrial fibrillation with the windowed rate below the limit, held for the minimum time (below 50/min, 2018 ACC/AHA/HRS, second hand).";
        "above_tachy_percent", "Time above the fast limit", "%", &["tachy_bpm", "rate_window_beats", "pause_ms"], "Time with the windowed rate above the fast limit, in any rhythm, as a share of the time that has a windowed rate (above 100/min by convention, CinC Challenge 2017).";
        "below_brady_percent", "Time below the slow limit", "%", &["brady_bpm", "rate_window_beats", "pause_ms"], "Time with the windowed rate below the slow limit, in any rhythm, as a share of the time that has a windowed rate (below 50/min, 2018 ACC/AHA/HRS, second hand).";
        "above_tachy_min", "Minutes above the fast limit", "min", &["tachy_bpm", "rate_window_beats", "pause_ms"], "Time with the windowed rate above the fast limit, in any rhythm (above 100/min by convention, CinC Challenge 2017).";
        "below_brady_min", "Minutes below the slow limit", "min", &["brady_bpm", "rate_window_beats", "pause_ms"], "Time with the windowed rate below the slow limit, in any rhythm (below 50/min, 2018 ACC/AHA/HRS, second hand).";
    }
    "Ectopy" {
        "v_beats", "Ventricular ectopic beats", "", &["prematurity_percent", "wide_qrs_ms"], "Beats of class V (ANSI/AAMI EC57).";
        "v_percent", "Ventricular ectopic burden", "%", &["prematurity_percent", "wide_qrs_ms"], "Beats of class V as a share of all beats (2019 HRS/EHRA/APHRS/LAHRS consensus, Table 2).";
        "v_per_hour", "Ventricular beats per hour", "/h", &["prematurity_percent", "wide_qrs_ms"], "Beats of class V per readable hour (common practice).";
        "v_singles", "Single ventricular beats", "", &["prematurity_percent", "wide_qrs_ms"], "V or F beats with no V or F beat next to them (ANSI/AAMI EC57 runs).";
        "v_couplets", "Ventricular couplets", "", &["prematurity_percent", "wide_qrs_ms"], "Exactly two consecutive V or F beats (ANSI/AAMI EC57 runs).";
        "v_runs", "Ventricular runs", "", &["run_beats", "run_rate_bpm", "prematurity_percent", "wide_qrs_ms"], "Consecutive V or F beats, as many as the setting or more, fast and slow ones (ANSI/AAMI EC57 runs).";
        "v_longest_run_beats", "Longest ventricular run", "beats", &["run_beats", "prematurity_percent", "wide_qrs_ms"], "Beats of the longest ventricular run (ANSI/AAMI EC57 runs).";
        "v_fastest_run_bpm", "Fastest ventricular run", "bpm", &["run_beats", "prematurity_percent", "wide_qrs_ms"], "Highest mean rate of a ventricular run, over the RR intervals inside it (common practice).";
        "v_bigeminy_episodes", "Episodes of ventricular bigeminy", "", &["bigeminy_cycles", "prematurity_percent", "wide_qrs_ms"], "Stretches in which every second beat is V or F for the set number of repeats (no standard minimum).";
        "v_trigeminy_episodes", "Episodes of ventricular trigeminy", "", &["bigeminy_cycles", "prematurity_percent", "wide_qrs_ms"], "Stretches in which every third beat is V or F for the set number of repeats (no standard minimum).";
        "v_bigeminy_beats", "Ventricular beats in bigeminy", "", &["bigeminy_cycles", "prematurity_percent", "wide_qrs_ms"], "V or F beats inside episodes of bigeminy (no standard minimum).";
        "v_trigeminy_beats", "Ventricular beats in trigeminy", "", &["bigeminy_cycles", "prematurity_percent", "wide_qrs_ms"], "V or F beats inside episodes of trigeminy (no standard minimum).";
        "f_beats", "Fusion beats", "", &["prematurity_percent", "wide_qrs_ms"], "Beats of class F: fusion of a ventricular and a normal beat (ANSI/AAMI EC57).";
        "s_beats", "Supraventricular ectopic beats", "", &["prematurity_percent"], "Beats of class S, inside atrial fibrillation too (ANSI/AAMI EC57).";
        "s_percent", "Supraventricular ectopic burden", "%", &["prematurity_percent"], "Beats of class S as a share of all beats (common practice).";
        "s_per_hour", "Supraventricular beats per hour", "/h", &["prematurity_percent"], "Beats of class S per readable hour (30 an hour and more is excessive, Binici 2010, from memory).";
        "s_singles", "Single supraventricular beats", "", &["prematurity_percent", "af_min_s"], "S beats outside atrial fibrillation with no S beat next to them (ANSI/AAMI EC57 runs).";
        "s_couplets", "Supraventricular couplets", "", &["prematurity_percent", "af_min_s"], "Exactly two consecutive S beats outside atrial fibrillation (ANSI/AAMI EC57 runs).";
        "s_runs", "Supraventricular runs", "", &["run_beats", "prematurity_percent", "af_min_s"], "Consecutive S beats outside atrial fibrillation, as many as the setting or more (ANSI/AAMI EC57 runs).";
        "s_longest_run_beats", "Longest supraventricular run", "beats", &["run_beats", "prematurity_percent", "af_min_s"], "Beats of the longest supraventricular run (ANSI/AAMI EC57 runs).";
        "s_fastest_run_bpm", "Fastest supraventricular run", "bpm", &["run_beats", "prematurity_percent", "af_min_s"], "Highest mean rate of a supraventricular run, over the RR intervals inside it (common practice).";
        "svt_runs", "Runs of supraventricular tachycardia", "", &["s_run_rate_bpm", "run_beats", "prematurity_percent", "af_min_s"], "Supraventricular runs with a mean rate above the limit (above 100/min at rest, 2015 ACC/AHA/HRS, from memory).";
        "s_bigeminy_episodes", "Episodes of supraventricular bigeminy", "", S_REPEATS, "Stretches in which every second beat is S among N, outside atrial fibrillation, for the set number of repeats (no standard minimum).";
        "s_trigeminy_episodes", "Episodes of supraventricular trigeminy", "", S_REPEATS, "Stretches in which every third beat is S among N, outside atrial fibrillation, for the set number of repeats (no standard minimum).";
        "s_bigeminy_beats", "Supraventricular beats in bigeminy", "", S_REPEATS, "S beats inside episodes of bigeminy (no standard minimum).";
        "s_trigeminy_beats", "Supraventricular beats in trigeminy", "", S_REPEATS, "S beats inside episodes of trigeminy (no standard minimum).";
        "q_beats", "Paced or unclassifiable beats", "", &[], "Beats of class Q (ANSI/AAMI EC57).";
        "v_waking_beats", "Ventricular beats, waking hours", "", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V outside the night hours (hours are a setting).";
        "v_waking_percent", "Ventricular ectopic burden, waking hours", "%", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V as a share of all beats outside the night hours (hours are a setting).";
        "v_waking_per_hour", "Ventricular beats per hour, waking hours", "/h", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V per readable hour outside the night hours (hours are a setting).";
        "v_night_beats", "Ventricular beats, night", "", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V in the night hours (hours are a setting).";
        "v_night_percent", "Ventricular ectopic burden, night", "%", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V as a share of all beats in the night hours (hours are a setting).";
        "v_night_per_hour", "Ventricular beats per hour, night", "/h", &["night_from_h", "night_to_h", "prematurity_percent", "wide_qrs_ms"], "Beats of class V per readable hour in the night hours (hours are a setting).";
        "s_waking_beats", "Supraventricular beats, waking hours", "", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S outside the night hours (hours are a setting).";
        "s_waking_percent", "Supraventricular ectopic burden, waking hours", "%", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S as a share of all beats outside the night hours (hours are a setting).";
        "s_waking_per_hour", "Supraventricular beats per hour, waking hours", "/h", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S per readable hour outside the night hours (hours are a setting).";
        "s_night_beats", "Supraventricular beats, night", "", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S in the night hours (hours are a setting).";
        "s_night_percent", "Supraventricular ectopic burden, night", "%", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S as a share of all beats in the night hours (hours are a setting).";
        "s_night_per_hour", "Supraventricular beats per hour, night", "/h", &["night_from_h", "night_to_h", "prematurity_percent"], "Beats of class S per readable hour in the night hours (hours are a setting).";
        "v_coupling_ms", "Ventricular coupling interval", "ms", &["af_min_s", "prematurity_percent", "wide_qrs_ms"], "Mean interval from an N beat to the V beat after it, outside atrial fibrillation (common practice).";
        "v_coupling_sd_ms", "Spread of the coupling interval", "ms", &["af_min_s", "prematurity_percent", "wide_qrs_ms"], "Standard deviation (n - 1) of the same intervals; a small one speaks for a fixed coupling (common practice).";
        "v_coupling_min_ms", "Shortest coupling interval", "ms", &["af_min_s", "prematurity_percent", "wide_qrs_ms"], "The shortest of the same intervals (common practice).";
        "v_coupling_max_ms", "Longest coupling interval", "ms", &["af_min_s", "prematurity_percent", "wide_qrs_ms"], "The longest of the same intervals (common practice).";
        "v_r_on_t", "R-on-T candidates", "", &["r_on_t_ratio", "qt_min_beats", "qt_min_quality", "wide_qrs_ms", "prematurity_percent", "af_min_s"], "V beats that come before the set share of the mean QT of their five minutes has passed since the QRS onset of the N beat before (Lown and Wolf 1971, from memory); candidates, to be read.";
        "v_interpolated", "Interpolated ventricular beats", "", &["interpolated_percent", "af_min_s", "prematurity_percent", "wide_qrs_ms"], "V beats between two N beats whose distance is about the sinus interval before, outside atrial fibrillation (textbook definition, from memory; the tolerance is a design choice).";
    }
    "Rhythm" {
        "vt_runs", "Runs of ventricular tachycardia", "", &["run_beats", "run_rate_bpm", "prematurity_percent", "wide_qrs_ms"], "Ventricular runs with a mean rate above the limit (three or more beats above 100/min, 2017 AHA/ACC/HRS).";
        "vf_episodes", "VF/VFL candidates", "", &[], "Stretches of waves without beats at 130 to 540 a minute that may be ventricular flutter or fibrillation, to be read at once (leakage of Kuo and Dillman 1978, from memory).";
        "vf_s", "Time in VF/VFL candidates", "s", &[], "Time inside these stretches (common practice).";
        "vf_longest_s", "Longest VF/VFL candidate", "s", &[], "The longest of these stretches (common practice).";
        "af_episodes", "Episodes of AF or flutter", "", &["af_min_s"], "Stretches of irregular RR intervals without P waves of the minimum readable time or more (30 s, ESC 2016, second hand), and the atrial flutter that a reader named: the program does not tell flutter.";
        "af_min", "Time in AF or flutter", "min", &["af_min_s"], "Readable time inside these episodes (common practice).";
        "af_percent", "AF/flutter burden", "%", &["af_min_s"], "Time in atrial fibrillation or flutter as a share of readable time (common practice).";
        "af_longest_min", "Longest AF or flutter", "min", &["af_min_s"], "Readable time of the longest of these episodes (common practice).";
        "af_mean_bpm", "Mean rate in AF or flutter", "bpm", &["af_min_s"], "60000 / mean RR over the readable intervals inside these episodes (common practice).";
        "flutter_min", "Time in atrial flutter", "min", &[], "Readable time inside the atrial flutter that a reader named; the program does not tell flutter (design rule).";
        "dropped_candidates", "Dropped-beat candidates", "", &["dropped_low_ratio", "dropped_high_ratio", "pause_ms"], "Intervals of about two local medians that are no pause, in sinus rhythm and not after ectopy (design rule); candidates, not block.";
    }
    "Pauses" {
        "pauses", "Pauses", "", &["pause_ms"], "RR intervals at or above the pause limit inside readable time (reporting tiers of 2.0, 2.5 and 3.0 s, common practice).";
        "pauses_middle", "Pauses of the middle tier", "", &["pause_ms", "pause_middle_ms"], "Pauses at or above the limit of the middle tier (reporting tiers of 2.0, 2.5 and 3.0 s, common practice).";
        "pauses_critical", "Pauses that must be read", "", &["critical_pause_ms"], "Pauses at or above the critical limit (3 s notify level, second hand).";
        "longest_rr_ms", "Longest RR interval", "ms", &["refractory_ms"], "The longest interval between two beats inside readable time (common practice).";
        "longest_rr_sinus_ms", "Longest RR in sinus rhythm", "ms", &["af_min_s"], "The longest interval outside atrial fibrillation that follows no S, V or F beat (design rule: the kind is told with the interval).";
        "longest_rr_ectopy_ms", "Longest RR after ectopy", "ms", &["af_min_s"], "The longest interval outside atrial fibrillation that follows an S, V or F beat (design rule: the kind is told with the interval).";
        "longest_rr_af_ms", "Longest RR in atrial fibrillation", "ms", &["af_min_s"], "The longest interval that touches atrial fibrillation (design rule: the kind is told with the interval).";
    }
    "Variability" {
        "nn_percent", "Normal-to-normal intervals", "%", &["nn_min_ms", "nn_max_ms", "nn_jump_percent"], "NN intervals that pass the filters as a share of all readable RR intervals (common practice).";
        "sdnn_ms", "SDNN", "ms", HRV_DAY, "Standard deviation (n - 1) of all NN intervals (Task Force 1996; 24-h norm 141 +/- 39 ms).";
        "sdann_ms", "SDANN", "ms", HRV_DAY, "Standard deviation (n - 1) of the means of NN in 5-minute segments (Task Force 1996; 24-h norm 127 +/- 35 ms).";
        "sdnn_index_ms", "SDNN index", "ms", HRV_DAY, "Mean of the standard deviations of NN in 5-minute segments (Task Force 1996).";
        "rmssd_ms", "RMSSD", "ms", HRV, "Root mean square of the differences between neighbouring NN intervals (Task Force 1996; 24-h norm 27 +/- 12 ms).";
        "nn50", "NN50", "", HRV, "Differences between neighbouring NN intervals of strictly more than 50 ms (Task Force 1996).";
        "pnn50_percent", "pNN50", "%", PNN50, "NN50 divided by the number of NN intervals, or by that of differences where the setting says so (Task Force 1996).";
        "triangular_index", "HRV triangular index", "", HISTOGRAM, "Number of NN intervals divided by the height of their histogram with bins of the set width (Task Force 1996: 7.8125 ms; 24-h norm 37 +/- 15).";
        "tinn_ms", "TINN", "ms", HISTOGRAM, "Base width of the triangle that fits the histogram of NN (bins of the set width) best by least squares, with its top on the highest bin (Task Force 1996).";
        "sd1_ms", "SD1", "ms", HRV, "Poincare plot of neighbouring NN: standard deviation (n) of the cloud across the line of equal intervals (Brennan 2001).";
        "sd2_ms", "SD2", "ms", HRV_DAY, "Poincare plot of neighbouring NN: standard deviation (n) of the cloud along the line of equal intervals (Brennan 2001).";
        "dfa_alpha1", "DFA alpha 1", "", HRV, "Scaling exponent of detrended fluctuation over boxes of 4 to 16 NN, all NN in a row with holes closed (Peng 1995).";
        "dfa_alpha2", "DFA alpha 2", "", HRV, "Scaling exponent of detrended fluctuation over boxes of 16 to 64 NN in steps of 4, all NN in a row with holes closed (Peng 1995).";
        "sample_entropy", "Sample entropy", "", ENTROPY, "Patterns of two NN, likeness within the set share of the standard deviation (n - 1), of the first full 5-minute window of each hour; mean over the hours, never of the day as a whole (Richman and Moorman 2000).";
    }
    "Variability spectrum" {
        "window_count", "Five-minute windows", "", HRV, "Five-minute segments of the recording that NN intervals fill to the set share; the means below are over them (Task Force 1996).";
        "window_total_ms2", "Total power, 5 min", "ms²", SPECTRUM, "Variance of NN up to 0.40 Hz by the Lomb-Scargle periodogram, mean over 5-minute windows (Task Force 1996; supine norm 3466 +/- 1018 ms², not that of a day of activity).";
        "window_vlf_ms2", "VLF, 5 min", "ms²", SPECTRUM, "Power up to 0.04 Hz, mean over 5-minute windows (Task Force 1996).";
        "window_lf_ms2", "LF, 5 min", "ms²", SPECTRUM, "Power from 0.04 to 0.15 Hz, mean over 5-minute windows (Task Force 1996; supine norm 1170 +/- 416 ms²).";
        "window_hf_ms2", "HF, 5 min", "ms²", SPECTRUM, "Power from 0.15 to 0.40 Hz, mean over 5-minute windows (Task Force 1996; supine norm 975 +/- 203 ms²).";
        "window_lf_nu", "LF, normalised", "%", NORMALISED, "Mean LF / (total - VLF) of the 5-minute windows, which is LF / (LF + HF) unless the setting takes the variance for the total (Task Force 1996; supine norm 54 +/- 4).";
        "window_hf_nu", "HF, normalised", "%", NORMALISED, "Mean HF / (total - VLF) of the 5-minute windows, which is HF / (LF + HF) unless the setting takes the variance for the total (Task Force 1996; supine norm 29 +/- 3).";
        "window_lf_hf_ratio", "LF/HF", "", SPECTRUM, "Mean LF divided by mean HF of the 5-minute windows (Task Force 1996; supine norm 1.5 to 2.0).";
        "even_total_ms2", "Total power, 5 min, evenly laid", "ms²", SPECTRUM, "Variance of NN up to 0.40 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines, mean over the same 5-minute windows (Task Force 1996).";
        "even_vlf_ms2", "VLF, 5 min, evenly laid", "ms²", SPECTRUM, "Power up to 0.04 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        "even_lf_ms2", "LF, 5 min, evenly laid", "ms²", SPECTRUM, "Power from 0.04 to 0.15 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        "even_hf_ms2", "HF, 5 min, evenly laid", "ms²", SPECTRUM, "Power from 0.15 to 0.40 Hz by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines, which damps waves that are fast for the rate (Task Force 1996).";
        "even_lf_nu", "LF, normalised, evenly laid", "%", NORMALISED, "Mean LF / (total - VLF) of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        "even_hf_nu", "HF, normalised, evenly laid", "%", NORMALISED, "Mean HF / (total - VLF) of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        "even_lf_hf_ratio", "LF/HF, evenly laid", "", SPECTRUM, "Mean LF divided by mean HF of the 5-minute windows by the Fourier transform of the intervals laid evenly at 4 Hz with cubic splines (Task Force 1996).";
        "day_total_ms2", "Total power, 24 h", "ms²", SPECTRUM_DAY, "Variance of NN up to 0.40 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "day_ulf_ms2", "ULF, 24 h", "ms²", SPECTRUM_DAY, "Power up to 0.003 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "day_vlf_ms2", "VLF, 24 h", "ms²", SPECTRUM_DAY, "Power from 0.003 to 0.04 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "day_lf_ms2", "LF, 24 h", "ms²", SPECTRUM_DAY, "Power from 0.04 to 0.15 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "day_hf_ms2", "HF, 24 h", "ms²", SPECTRUM_DAY, "Power from 0.15 to 0.40 Hz by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "day_lf_nu", "LF, normalised, 24 h", "%", NORMALISED_DAY, "LF / (LF + HF) by the Lomb-Scargle periodogram of the first 24 hours as a whole, or LF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        "day_hf_nu", "HF, normalised, 24 h", "%", NORMALISED_DAY, "HF / (LF + HF) by the Lomb-Scargle periodogram of the first 24 hours as a whole, or HF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        "day_lf_hf_ratio", "LF/HF, 24 h", "", SPECTRUM_DAY, "LF divided by HF by the Lomb-Scargle periodogram of the first 24 hours as a whole (Task Force 1996).";
        "even_day_total_ms2", "Total power, 24 h, evenly laid", "ms²", SPECTRUM_DAY, "Variance of NN up to 0.40 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        "even_day_ulf_ms2", "ULF, 24 h, evenly laid", "ms²", SPECTRUM_DAY, "Power up to 0.003 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        "even_day_vlf_ms2", "VLF, 24 h, evenly laid", "ms²", SPECTRUM_DAY, "Power from 0.003 to 0.04 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        "even_day_lf_ms2", "LF, 24 h, evenly laid", "ms²", SPECTRUM_DAY, "Power from 0.04 to 0.15 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        "even_day_hf_ms2", "HF, 24 h, evenly laid", "ms²", SPECTRUM_DAY, "Power from 0.15 to 0.40 Hz by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
        "even_day_lf_nu", "LF, normalised, 24 h, evenly laid", "%", NORMALISED_DAY, "LF / (LF + HF) by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes, or LF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        "even_day_hf_nu", "HF, normalised, 24 h, evenly laid", "%", NORMALISED_DAY, "HF / (LF + HF) by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes, or HF / (variance - ULF - VLF) where the setting says so (Task Force 1996).";
        "even_day_lf_hf_ratio", "LF/HF, 24 h, evenly laid", "", SPECTRUM_DAY, "LF divided by HF by the Fourier transform of the first 24 hours laid evenly at 4 Hz with cubic splines, straight lines over holes (Task Force 1996).";
    }
    "Turbulence and deceleration" {
        "hrt_beats", "Ventricular beats for turbulence", "", HRT, "Single V beats outside atrial fibrillation that pass the filters of the originators: early and with a long pause by the set share (20 %), five sinus intervals before and the set number (15) after without artefact (Schmidt 1999).";
        "hrt_onset_percent", "Turbulence onset", "%", HRT, "First two sinus intervals after the pause against the last two before the V beat, mean over the beats (Schmidt 1999; 0 % and above is abnormal).";
        "hrt_slope_ms_per_rr", "Turbulence slope", "ms/RR", HRT, "Steepest regression over five consecutive of the sinus intervals after the pause, of the averaged tachogram (Schmidt 1999; 2.5 ms/RR and below is abnormal).";
        "deceleration_capacity_ms", "Deceleration capacity", "ms", DC, "Mean of (X0 + X1 - X-1 - X-2) / 4 over all NN intervals X0 that are longer than the one before by no more than the set share (phase-rectified signal averaging, Bauer 2006; 2.5 ms and below is high risk after infarction, Rizas 2018).";
    }
    "Intervals" {
        "pr_ms", "PR", "ms", WAVES, "Mean from P onset to QRS onset of N beats outside atrial fibrillation where P was found; limits set by the program, to be checked on the tracing (common practice).";
        "qrs_ms", "QRS duration", "ms", WAVES, "Mean QRS duration of N beats; limits set by the program, to be checked on the tracing (common practice).";
        "wide_qrs_percent", "Wide QRS among normal beats", "%", WIDE, "N beats whose QRS lasts as long as the setting or longer, as a share of those measured (120 ms, AHA/ACCF/HRS 2009, second hand); the side of a block is not told.";
        "pr_min_hour_ms", "Shortest PR of an hour", "ms", WAVES, "The lowest of the medians of PR by clock hour (common practice: a trend is told by hour).";
        "pr_max_hour_ms", "Longest PR of an hour", "ms", WAVES, "The highest of the medians of PR by clock hour (common practice: a trend is told by hour; above 200 ms is first degree block, second hand).";
        "qt_windows", "Five-minute windows with QT", "", QT, "Windows whose averaged beat, of narrow N beats of fair signal, outside atrial fibrillation and not after ectopy, has an end of T; RR is the mean of the same beats (common practice: single beats are not paired).";
        "qt_merged_percent", "T runs into the next P", "%", QT, "Narrow N beats outside atrial fibrillation whose T is not over when the next P begins, as a share of those in which T was found; their QT is withheld (design rule: more than a fifth of T is left in the valley between T and P).";
        "qt_ms", "QT", "ms", QT, "Mean QT of the averaged beats of five minutes, T end by the tangent of its far limb, or at the valley before the next P where that comes first (Lepeschkin and Surawicz 1952).";
        "qt_waking_ms", "QT, waking hours", "ms", QT_CLOCK, "Mean QT of the windows that begin outside the night hours (hours are a setting).";
        "qt_night_ms", "QT, night", "ms", QT_CLOCK, "Mean QT of the windows that begin in the night hours (hours are a setting).";
        "qtc_bazett_ms", "QTc Bazett", "ms", QT, "QT / RR^(1/2) of the window means (Bazett 1920; 98th percentile of normal ECGs 483 ms, Luo 2004); overcorrects fast rates.";
        "qtc_fridericia_ms", "QTc Fridericia", "ms", QT, "QT / RR^(1/3) of the window means (Fridericia 1920; 98th percentile 460 ms, Luo 2004).";
        "qtc_framingham_ms", "QTc Framingham", "ms", QT, "QT + 154 (1 - RR) of the window means (Sagie 1992; 98th percentile 457 ms, Luo 2004).";
        "qtc_hodges_ms", "QTc Hodges", "ms", QT, "QT + 1.75 (rate - 60) of the window means (Hodges 1983; 98th percentile 457 ms, Luo 2004).";
        "qtc_fridericia_waking_ms", "QTc Fridericia, waking hours", "ms", QT_CLOCK, "Mean of the windows that begin outside the night hours (Fridericia 1920; hours are a setting).";
        "qtc_fridericia_night_ms", "QTc Fridericia, night", "ms", QT_CLOCK, "Mean of the windows that begin in the night hours (Fridericia 1920; hours are a setting).";
        "qtc_fridericia_max_ms", "Longest QTc Fridericia, 5 min", "ms", QT, "The longest of the five-minute windows; look at the tracing there (Fridericia 1920).";
    }
    "ST and T wave" {
        "st_leads", "Leads with ST", "", ST, "Leads whose recorder passed low enough frequencies and that hold five minutes of clean narrow normal beats (0.05 Hz when ST is claimed, IEC 60601-2-47, from memory).";
        "st_changes", "ST changes", "", ST, "Stretches in which the ST level of a lead is off its median of the day by the set limit for the set time (0.1 mV for 1 min, 1 min apart, from memory); a change of position imitates a change of ST.";
        "st_largest_mv", "Largest ST change", "mV", ST, "The greatest deviation in an ST change, negative for a fall (European ST-T Database: 0.1 mV and more); a change of position imitates a change of ST.";
        "twa_uv", "T-wave alternans", "µV", TWA, "Largest distance of the modified moving averages of even and odd beats between J and the end of T, highest window of 15 s (Nearing and Verrier 2002; 47 and 60 µV are cut-points, from memory); a research measure.";
        "twa_control_uv", "T-wave alternans, control", "µV", TWA, "The same of beats taken two by two (AABB), in which alternans cancels: the highest window of it is what scatter alone gives, and alternans no higher than this is not told from scatter (design rule).";
        "twa_windows", "Windows with alternans", "", TWA, "Windows of 15 s of normal beats alone and of good signal in which alternans could be measured (Nearing and Verrier 2002).";
    }
    "Symptoms" {
        "symptoms", "Symptoms", "", SYMPTOMS, "Diary entries that are symptoms, and presses of the button (common practice).";
        "symptoms_with_finding", "Symptoms with a finding", "", SYMPTOMS, "Those with an event other than the extremes of the day and unreadable time inside the set minutes around them (common practice: symptom and rhythm are laid beside each other).";
        "symptoms_without_finding", "Symptoms without a finding", "", SYMPTOMS, "Those without such an event where half of the time around them or more could be read (common practice).";
        "symptoms_unreadable", "Symptoms that cannot be judged", "", SYMPTOMS, "Those without such an event where less than half of the time around them could be read (design rule).";
        "findings_without_symptom", "Findings without a symptom", "", SYMPTOMS, "Such events that lie in the set minutes of no symptom (common practice).";
    }
}

const RATE_CLOCK: &[&str] = &["rate_window_beats", "pause_ms", "night_from_h", "night_to_h"];
const S_REPEATS: &[&str] = &["bigeminy_cycles", "prematurity_percent", "af_min_s"];
const HRV: &[&str] = &["nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const SPECTRUM: &[&str] =
    &["spectrum_detrend", "nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const NORMALISED: &[&str] = &[
    "spectrum_nu_variance",
    "spectrum_detrend",
    "nn_min_ms",
    "nn_max_ms",
    "nn_jump_percent",
    "nn_min_share_percent",
];
const SPECTRUM_DAY: &[&str] = &[
    "spectrum_detrend",
    "nn_min_ms",
    "nn_max_ms",
    "nn_jump_percent",
    "nn_min_share_percent",
    "hrv_min_hours",
];
const NORMALISED_DAY: &[&str] = &[
    "spectrum_nu_variance",
    "spectrum_detrend",
    "nn_min_ms",
    "nn_max_ms",
    "nn_jump_percent",
    "nn_min_share_percent",
    "hrv_min_hours",
];
const PNN50: &[&str] =
    &["pnn50_per_difference", "nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const HISTOGRAM: &[&str] =
    &["histogram_bin_ms", "nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const HRV_DAY: &[&str] =
    &["nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent", "hrv_min_hours"];

const ENTROPY: &[&str] =
    &["entropy_tolerance", "nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const HRT: &[&str] = &[
    "hrt_early_percent",
    "hrt_step_ms",
    "hrt_after_beats",
    "hrt_min_beats",
    "nn_min_ms",
    "nn_max_ms",
    "nn_jump_percent",
    "af_min_s",
];
const DC: &[&str] = &["dc_step_percent", "nn_min_ms", "nn_max_ms", "nn_jump_percent", "nn_min_share_percent"];
const WAVES: &[&str] = &["qt_min_quality", "qt_min_beats", "af_min_s"];
const WIDE: &[&str] = &["wide_qrs_ms", "qt_min_quality", "qt_min_beats", "af_min_s"];
const ST: &[&str] = &[
    "st_offset_ms",
    "st_fast_offset_ms",
    "st_fast_bpm",
    "st_lowest_hz",
    "st_unknown_filter",
    "st_uncertain_mv",
    "st_change_mv",
    "st_hold_s",
    "wide_qrs_ms",
    "qt_min_quality",
];
const TWA: &[&str] = &["twa_max_bpm", "twa_noise_uv", "af_min_s"];
const SYMPTOMS: &[&str] = &["symptom_min"];
const QT: &[&str] = &["qt_min_beats", "qt_min_quality", "wide_qrs_ms", "af_min_s"];
const QT_CLOCK: &[&str] =
    &["qt_min_beats", "qt_min_quality", "wide_qrs_ms", "af_min_s", "night_from_h", "night_to_h"];

/// Names of the day-long indices where less was readable than `hrv_min_hours`.
pub const SHORT_NAMES: &[(&str, &str)] = &[
    ("sdnn_ms", "SDNN (short recording)"),
    ("sdann_ms", "SDANN (short recording)"),
    ("sdnn_index_ms", "SDNN index (short recording)"),
    ("triangular_index", "HRV triangular index (short recording)"),
    ("tinn_ms", "TINN (short recording)"),
    ("sd2_ms", "SD2 (short recording)"),
];
