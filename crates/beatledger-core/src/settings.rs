//! Every tunable number: unit, default, allowed range, source. Nothing is tuned anywhere else.
//!
//! A setting is a plain field of [`Settings`] and a row of [`TABLE`], written once in the list below.

use serde::{Deserialize, Serialize};

/// Description of one setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Field name, which is also the key in a settings file.
    pub key: &'static str,
    /// Unit in print, empty for counts and shares.
    pub unit: &'static str,
    /// Default value.
    pub default: f64,
    /// Lowest allowed value.
    pub min: f64,
    /// Highest allowed value.
    pub max: f64,
    /// Where the default comes from.
    pub source: &'static str,
    /// What it does, one sentence.
    pub help: &'static str,
    /// True when beats must be found anew after a change.
    pub refind: bool,
    get: fn(&Settings) -> f64,
    set: fn(&mut Settings, f64),
}

impl Setting {
    /// Value in `settings`.
    pub fn value(&self, settings: &Settings) -> f64 {
        (self.get)(settings)
    }
}

macro_rules! settings {
    ($( $key:ident = $default:literal, $unit:literal, $min:literal ..= $max:literal, $refind:literal, $source:literal, $help:literal; )*) => {
        /// All settings. Each field is described by the row of the same name in [`TABLE`].
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
        #[serde(default, deny_unknown_fields)]
        pub struct Settings { $( #[doc = $help] pub $key: f64, )* }

        impl Default for Settings {
            fn default() -> Self { Self { $( $key: $default, )* } }
        }

        /// One row a setting, in printing order.
        pub const TABLE: &[Setting] = &[ $( Setting {
            key: stringify!($key), unit: $unit, default: $default, min: $min, max: $max,
            source: $source, help: $help, refind: $refind,
            get: |s| s.$key, set: |s, v| s.$key = v,
        }, )* ];
    };
}

settings! {
    highpass_hz = 0.5, "Hz", 0.05..=1.0, false, "0.67 Hz is the upper limit for ambulatory recorders (IEC 60601-2-47, from memory)", "Low end of the tracing as drawn and measured.";
    lowpass_hz = 40.0, "Hz", 20.0..=150.0, false, "40 Hz ambulatory response (IEC 60601-2-47, from memory)", "High end of the tracing as drawn.";
    mains_hz = 50.0, "Hz", 0.0..=60.0, false, "common practice: 50 or 60 by country, 0 for off", "Mains frequency removed from the tracing as drawn.";
    flat_mv = 0.05, "mV", 0.005..=0.2, true, "design rule: flat below about 50 uV peak to peak", "A second with less than this peak to peak on a lead is flat.";
    refractory_ms = 200.0, "ms", 150.0..=350.0, true, "physiological refractory time, common practice", "Two beats are never closer than this.";
    match_ms = 150.0, "ms", 25.0..=150.0, false, "ANSI/AAMI EC57 match window", "Two marks within this are the same beat.";
    prematurity_percent = 20.0, "%", 5.0..=50.0, true, "heart-rate-turbulence method (Schmidt 1999): at least 20 % early; no guideline fixes it", "A beat this much earlier than the local sinus interval is premature.";
    wide_qrs_ms = 120.0, "ms", 100.0..=160.0, true, "QRS of 120 ms and more is wide (AHA/ACCF/HRS 2009, second hand)", "A QRS at least this long is wide.";
    run_rate_bpm = 100.0, "bpm", 90.0..=100.0, false, "2017 AHA/ACC/HRS ventricular arrhythmia guideline: VT is 3 or more beats above 100/min", "A ventricular run above this rate is ventricular tachycardia, at or below it idioventricular.";
    s_run_rate_bpm = 100.0, "bpm", 90.0..=200.0, false, "2015 ACC/AHA/HRS guideline: supraventricular tachycardia is above 100/min at rest, from memory", "A supraventricular run above this rate is supraventricular tachycardia.";
    sustained_s = 30.0, "s", 10.0..=60.0, false, "2017 AHA/ACC/HRS ventricular arrhythmia guideline: sustained is longer than 30 s", "Ventricular tachycardia longer than this is sustained.";
    accelerated_bpm = 40.0, "bpm", 30.0..=60.0, false, "2019 HRS/EHRA/APHRS/LAHRS consensus, Table 2", "An idioventricular run above this rate is accelerated.";
    run_beats = 3.0, "beats", 3.0..=5.0, false, "EC57 run classes", "Consecutive supraventricular beats that make a run; three ventricular ones always do.";
    bigeminy_cycles = 3.0, "cycles", 2.0..=10.0, false, "no standard minimum; design choice", "Repeats that make bigeminy or trigeminy.";
    pause_ms = 2000.0, "ms", 1500.0..=3000.0, false, "reporting tiers 2.0, 2.5, 3.0 s, common practice", "An RR interval at least this long is a pause.";
    pause_middle_ms = 2500.0, "ms", 1500.0..=6000.0, false, "reporting tiers 2.0, 2.5, 3.0 s, common practice", "Limit of the middle reporting tier of pauses.";
    critical_pause_ms = 3000.0, "ms", 2000.0..=3000.0, false, "3 s notify level, second hand; sinus pause above 3 s (2018 ACC/AHA/HRS, second hand)", "A pause at least this long must be read before signing.";
    af_min_s = 30.0, "s", 10.0..=30.0, false, "ESC 2016: AF of 30 s or more by convention, second hand", "Atrial fibrillation shorter than this is not reported, except where it fills a tracing that is too short to hold it.";
    af_enter_share = 0.56, "", 0.3..=0.9, false, "fitted on MIT-BIH Atrial Fibrillation and Normal Sinus Rhythm annotations", "Share of unforeseen RR intervals, at a mean RR of 1 s, above which atrial fibrillation begins.";
    af_leave_share = 0.48, "", 0.3..=0.9, false, "fitted on MIT-BIH Atrial Fibrillation and Normal Sinus Rhythm annotations", "Share of unforeseen RR intervals, at a mean RR of 1 s, below which atrial fibrillation ends.";
    af_p_clear = 0.4, "", 0.1..=1.0, false, "between 0.0 to 0.1 seen in fibrillation and 0.5 to 1.0 in sinus rhythm on open recordings (MIT-BIH Arrhythmia, CPSC 2021)", "Mean clearness of P waves from which a stretch is not atrial fibrillation, however irregular; fainter ones count by degree.";
    af_join_s = 30.0, "s", 0.0..=300.0, false, "design choice: the minimum duration of an episode", "Unreadable time up to this long does not end atrial fibrillation that lies on both sides of it.";
    dropped_low_ratio = 1.8, "", 1.5..=2.0, false, "design rule", "Shortest interval, in local medians, that may hide a dropped beat.";
    dropped_high_ratio = 2.2, "", 2.0..=2.6, false, "design rule", "Longest interval, in local medians, that may hide one dropped beat.";
    brady_bpm = 50.0, "bpm", 30.0..=60.0, false, "2018 ACC/AHA/HRS bradycardia guideline: below 50, second hand", "Rate below which sinus bradycardia is reported.";
    tachy_bpm = 100.0, "bpm", 90.0..=150.0, false, "above 100 by convention (CinC Challenge 2017 text)", "Rate above which sinus tachycardia is reported.";
    rate_episode_s = 60.0, "s", 10.0..=600.0, false, "design choice", "A slow or fast rate must hold this long to be an event.";
    rate_window_beats = 8.0, "RR", 3.0..=32.0, false, "no standard; a mean of 4 to 8 intervals is common practice", "Intervals averaged for slowest and fastest rate.";
    nn_min_ms = 300.0, "ms", 200.0..=500.0, false, "heart-rate-turbulence filter (Schmidt 1999)", "Shorter NN intervals are left out of variability.";
    nn_max_ms = 2000.0, "ms", 1500.0..=3000.0, false, "heart-rate-turbulence filter (Schmidt 1999)", "Longer NN intervals are left out of variability.";
    nn_jump_percent = 20.0, "%", 10.0..=100.0, false, "heart-rate-turbulence filter (Schmidt 1999): 20 % from the mean of the last five", "NN intervals further than this from the mean of the five before are left out of variability.";
    nn_min_share_percent = 80.0, "%", 0.0..=100.0, false, "common guard 80 to 90 %, from memory", "Variability is withheld when fewer intervals than this are normal to normal.";
    pnn50_per_difference = 0.0, "", 0.0..=1.0, false, "Task Force 1996: per number of NN; some toolboxes divide by the number of differences", "0: NN50 is divided by the number of NN; 1: by the number of differences between neighbours.";
    histogram_bin_ms = 7.8125, "ms", 2.0..=20.0, false, "Task Force 1996: 1/128 s", "Bin of the histogram of NN for the triangular index and TINN.";
    spectrum_detrend = 0.0, "", 0.0..=1.0, false, "the mean alone: Lomb 1976, Scargle 1982; a straight line: common practice", "0: the mean of NN is taken off before a spectrum; 1: a straight line.";
    spectrum_nu_variance = 0.0, "", 0.0..=1.0, false, "Task Force 1996, from memory: LF / (total - VLF), total up to 0.40 Hz", "0: normalised units are shares of LF and HF; 1: shares of the variance without VLF, power above 0.40 Hz included.";
    hrv_min_hours = 18.0, "h", 0.0..=24.0, false, "Task Force 1996: 18 h of analysable data, from memory", "Twenty-four-hour variability is marked as short below this.";
    night_from_h = 23.0, "h", 18.0..=24.0, false, "design choice; say it in print", "Hour at which night starts.";
    night_to_h = 7.0, "h", 3.0..=12.0, false, "design choice; say it in print", "Hour at which night ends.";
    unreadable_min_s = 10.0, "s", 1.0..=300.0, false, "design choice", "Unreadable time at least this long is listed as an event.";
    entropy_tolerance = 0.2, "SD", 0.05..=0.5, false, "Richman and Moorman 2000: 0.2 standard deviations, from memory", "Intervals this near to each other are alike in sample entropy.";
    dc_step_percent = 5.0, "%", 1.0..=20.0, false, "deceleration capacity (Bauer 2006): no more than 5 % longer, from memory", "An interval longer than the one before by more than this is no anchor of deceleration capacity.";
    hrt_early_percent = 20.0, "%", 5.0..=40.0, false, "heart-rate-turbulence method (Schmidt 1999): beat 20 % early, pause 20 % long", "A ventricular beat takes part in turbulence when it comes this much early and its pause is this much long.";
    hrt_step_ms = 200.0, "ms", 50.0..=400.0, false, "heart-rate-turbulence filter (Schmidt 1999): 200 ms from the interval before", "A sinus interval further than this from the one before takes the ventricular beat out of turbulence.";
    hrt_after_beats = 15.0, "RR", 7.0..=20.0, false, "15 suffice (Front Cardiovasc Med 2022), many use 20", "Sinus intervals after the pause that turbulence needs.";
    hrt_min_beats = 5.0, "beats", 1.0..=50.0, false, "common practice for heart-rate turbulence, from memory", "Turbulence is withheld when fewer ventricular beats than this pass its filters.";
    qt_min_beats = 30.0, "beats", 5.0..=300.0, false, "design choice", "A five-minute window with fewer usable beats than this gives no QT.";
    qt_min_quality = 0.5, "", 0.0..=1.0, true, "design choice", "Beats with a lower signal quality take no part in PR, QRS and QT.";
    st_offset_ms = 80.0, "ms", 20.0..=100.0, true, "J+80 ms (Long-Term ST Database documentation)", "ST is measured this long after the end of QRS.";
    st_fast_offset_ms = 60.0, "ms", 20.0..=100.0, true, "J+60 ms when fast (Long-Term ST Database documentation)", "ST is measured this long after the end of QRS when the rate is fast.";
    st_fast_bpm = 120.0, "bpm", 90.0..=150.0, true, "commonly 120/min, from memory", "Rate from which the shorter ST offset is taken.";
    st_lowest_hz = 0.05, "Hz", 0.01..=0.67, false, "0.05 Hz when ST is claimed (IEC 60601-2-47, from memory; background J Electrocardiol 2009)", "ST is withheld on a lead whose recorder passed less low frequency than this.";
    st_unknown_filter = 0.0, "", 0.0..=1.0, false, "design rule: what the file does not say is not taken for granted", "1 measures ST also where the file does not say what low frequencies the recorder passed.";
    st_uncertain_mv = 0.02, "mV", 0.005..=0.2, false, "design choice: a fifth of the smallest change", "A window of 15 s whose median ST level has a larger standard error than this has no level.";
    st_change_mv = 0.1, "mV", 0.05..=0.5, false, "0.1 mV (European ST-T Database annotation rule)", "An ST level this far from the reference of its lead is a change.";
    st_hold_s = 60.0, "s", 30.0..=600.0, false, "1 x 1 x 1 rule: 0.1 mV for 1 min, 1 min apart, from memory", "A change of ST must hold this long, and be this far from the next.";
    twa_max_bpm = 125.0, "bpm", 80.0..=150.0, false, "modified moving average up to 125/min, second hand", "T-wave alternans is withheld in windows faster than this.";
    twa_noise_uv = 20.0, "uV", 5.0..=200.0, false, "20 uV of noise, from memory", "T-wave alternans is withheld in windows whose beats scatter more than this around their average.";
    symptom_min = 2.0, "min", 0.5..=30.0, false, "design choice", "Minutes before and after a diary entry that are laid beside it.";
    seen_min_s = 1.0, "s", 0.3..=600.0, false, "design choice; an eye rests some 0.3 s on a place, common knowledge", "Tracing counts as shown when it stood on the screen at least this long.";
    seen_pace = 60.0, "x", 10.0..=240.0, false, "common practice: tape was scanned at 60 to 120 times its own speed", "A long stretch must stand on the screen for its own length divided by this before it counts as shown.";
    r_on_t_ratio = 0.85, "", 0.5..=1.0, false, "Lown and Wolf 1971: QR' / QT below 0.85, from memory", "A ventricular beat earlier than this share of the QT before it is an R-on-T candidate.";
    interpolated_percent = 10.0, "%", 2.0..=25.0, false, "design choice", "A ventricular beat is interpolated when the sinus interval around it is within this of the one before.";
}

/// Why a settings value was refused.
#[derive(Clone, Debug, PartialEq)]
pub struct OutOfRange {
    /// What is wrong, one sentence with the allowed range.
    pub text: String,
}

impl Settings {
    /// Sets one value by key; refuses unknown keys and values outside the allowed range.
    pub fn set(&mut self, key: &str, value: f64) -> Result<(), OutOfRange> {
        let Some(row) = TABLE.iter().find(|r| r.key == key) else {
            return Err(OutOfRange { text: format!("there is no setting named '{key}'") });
        };
        if !(row.min..=row.max).contains(&value) {
            let Setting { min, max, unit, .. } = row;
            return Err(OutOfRange {
                text: format!("setting '{key}' is {value}, allowed is {min} to {max} {unit}"),
            });
        }
        (row.set)(self, value);
        Ok(())
    }

    /// Checks every value against its range.
    pub fn check(&self) -> Result<(), OutOfRange> {
        TABLE.iter().try_for_each(|row| self.clone().set(row.key, row.value(self)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_default_lies_in_its_range_and_names_a_source() {
        Settings::default().check().unwrap();
        assert!(TABLE.iter().all(|r| !r.source.is_empty() && !r.help.is_empty()));
    }

    /// Both ends belong to the range; the next number beyond either does not. No other setting moves.
    #[test]
    fn the_lowest_and_the_highest_value_of_every_setting_are_taken_and_the_next_ones_beyond_refused() {
        for row in TABLE {
            for value in [row.min, row.max] {
                let mut settings = Settings::default();
                settings.set(row.key, value).unwrap();
                settings.check().unwrap();
                for other in TABLE {
                    let expected = if other.key == row.key { value } else { other.default };
                    assert_eq!(other.value(&settings), expected, "{} after {}", other.key, row.key);
                }
            }
            for value in [row.min.next_down(), row.max.next_up(), f64::NEG_INFINITY, f64::INFINITY, f64::NAN]
            {
                let mut settings = Settings::default();
                let error = settings.set(row.key, value).unwrap_err();
                let range = format!("allowed is {} to {} {}", row.min, row.max, row.unit);
                assert!(error.text.contains(row.key) && error.text.contains(&range), "{}", error.text);
                assert_eq!(settings, Settings::default(), "{} stays", row.key);
                (row.set)(&mut settings, value);
                assert!(settings.check().is_err(), "{} is {value}", row.key);
            }
        }
    }

    #[test]
    fn a_value_out_of_range_is_refused_with_the_range() {
        let error = Settings::default().set("pause_ms", 10.0).unwrap_err();
        assert_eq!(error.text, "setting 'pause_ms' is 10, allowed is 1500 to 3000 ms");
        assert!(Settings::default().set("pause_ms", f64::NAN).is_err());
        assert!(Settings::default().set("no_such", 1.0).is_err());
    }
}
