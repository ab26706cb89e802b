//! What the tables of the summary are: title, definition with its source, and the settings that decide them.
//! Single figures carry this themselves; here it stands once for tables, pages and files alike.

/// What a table holds.
#[derive(Clone, Copy, Debug)]
pub struct Explained {
    /// Stable name in files.
    pub key: &'static str,
    /// Heading.
    pub title: &'static str,
    /// Definition in one or two sentences, with its source.
    pub definition: &'static str,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
}

/// The hours.
pub const HOURS: Explained = Explained {
    key: "hours",
    title: "Hour by hour",
    definition: "What begins in each clock hour; counts add up to those of the day. Rates are 60000 / mean RR and the extreme \
                 windows of RR intervals. S singles, couplets and runs lie outside atrial fibrillation; V beats are of class V, \
                 their singles, couplets and runs of V or F (ANSI/AAMI EC57 runs).",
    settings: &[
        "rate_window_beats",
        "run_beats",
        "pause_ms",
        "af_min_s",
        "prematurity_percent",
        "wide_qrs_ms",
    ],
};
/// Pauses by reporting tier.
pub const PAUSE_TIERS: Explained = Explained {
    key: "pause_tiers",
    title: "Pauses by length and cause",
    definition: "RR intervals at or above each limit; a longer one stands in every tier below it too (reporting \
                 tiers 2.0, 2.5 and 3.0 s, common practice).",
    settings: &["pause_ms", "pause_middle_ms", "critical_pause_ms"],
};
/// Longest intervals.
pub const LONGEST_RR: Explained = Explained {
    key: "longest_rr",
    title: "Longest RR by rhythm",
    definition: "The longest readable RR interval of all, in sinus rhythm, after ectopy and in atrial fibrillation \
                 (common practice).",
    settings: &["pause_ms"],
};
/// Variability of five minutes.
pub const HRV_WINDOWS: Explained = Explained {
    key: "hrv_windows",
    title: "Variability by five minutes",
    definition: "Time and frequency domain of the NN intervals of each five minutes (Task Force 1996); withheld where \
                 too few intervals are normal to normal or atrial fibrillation lies in them. ULF asks for a day.",
    settings: HRV,
};
/// Variability of hours.
pub const HRV_HOURS: Explained = Explained {
    key: "hrv_hours",
    title: "Variability by hour",
    definition: "NN intervals of each clock hour; powers are means over its full five-minute windows (Task Force \
                 1996). NN share: intervals that are normal to normal and pass the filters. ULF asks for a day.",
    settings: HRV,
};
const HRV: &[&str] = &[
    "nn_min_ms",
    "nn_max_ms",
    "nn_jump_percent",
    "nn_min_share_percent",
    "pnn50_per_difference",
    "histogram_bin_ms",
    "spectrum_detrend",
    "spectrum_nu_variance",
    "entropy_tolerance",
];
/// ST by lead.
pub const ST: Explained = Explained {
    key: "st",
    title: "ST level by lead",
    definition: "Median over the beats of each window of the level after J against the PQ level; a change is held \
                 beyond the limit from the reference level of the lead (European ST-T Database annotation rule).",
    settings: &[
        "st_offset_ms",
        "st_fast_offset_ms",
        "st_fast_bpm",
        "st_lowest_hz",
        "st_unknown_filter",
        "st_uncertain_mv",
        "st_change_mv",
        "st_hold_s",
    ],
};
/// Changes of ST.
pub const ST_CHANGES: Explained = Explained {
    key: "st_changes",
    title: "ST change",
    definition: "Stretches in which the level of a lead stays beyond the limit from its reference for the set time \
                 (1 x 1 x 1 rule, from memory).",
    settings: &["st_change_mv", "st_hold_s"],
};
/// What must be said beside ST.
pub const ST_CAUTION: &str = "Change of position imitates ST change: look at the tracing. A level is a measurement, \
                              not a diagnosis, and 'ST change' names no cause.";
/// Alternans.
pub const ALTERNANS: Explained = Explained {
    key: "alternans",
    title: "T-wave alternans (research measure)",
    definition: "Largest difference of the two modified moving averages between J and the end of T (Nearing and \
                 Verrier 2002); control: the same of beats taken two by two, in which alternans cancels, so that it is \
                 what scatter alone gives; windows with ectopy, noise, fast rate or atrial fibrillation are left out.",
    settings: &["twa_max_bpm", "twa_noise_uv"],
};
/// Conduction.
pub const CONDUCTION: Explained = Explained {
    key: "conduction",
    title: "Conduction by hour",
    definition: "Medians over the N beats outside atrial fibrillation: PR where a P wave is found, QRS duration, and \
                 the share of wide QRS (wide from 120 ms, AHA/ACCF/HRS 2009, second hand).",
    settings: &["wide_qrs_ms", "qt_min_quality", "qt_min_beats"],
};
/// QT of hours.
pub const QT_HOURS: Explained = Explained {
    key: "qt_hours",
    title: "QT by hour",
    definition: "Means over the averaged beats of the five-minute windows that begin in the hour, with RR of the same beats beside them; QT for \
                 the rate by Bazett 1920, Fridericia 1920, Sagie 1992 (Framingham) and Hodges 1983. Withheld in atrial \
                 fibrillation, wide QRS and noise, and where the next P wave hides the end of T.",
    settings: &["qt_min_beats", "qt_min_quality", "wide_qrs_ms", "af_min_s"],
};
/// Symptoms.
pub const SYMPTOMS: Explained = Explained {
    key: "symptoms",
    title: "Diary and findings",
    definition: "Each entry of the diary with rhythm, rate and ectopy in the set minutes on both sides of it (common \
                 practice).",
    settings: &["symptom_min"],
};
/// What came with what.
pub const SYMPTOM_CLASSES: Explained = Explained {
    key: "symptom_classes",
    title: "What came with what",
    definition: "A finding is an event other than the extremes of the day and unreadable time; a symptom of which \
                 less than half could be read is not judged (design rule).",
    settings: &["symptom_min"],
};
/// Readable time of leads.
pub const LEADS: Explained = Explained {
    key: "leads",
    title: "Readable time by lead",
    definition: "Seconds of the recording in which each lead is good or noisy, hides beats, is flat, at the limits of \
                 the recorder, or has no samples (common practice).",
    settings: &["flat_mv"],
};
/// Long enough.
pub const ENOUGH: Explained = Explained {
    key: "enough",
    title: "Is the recording long enough?",
    definition: "What each family of figures asks for, and what there is.",
    settings: &[
        "hrv_min_hours",
        "nn_min_share_percent",
        "night_from_h",
        "night_to_h",
        "af_min_s",
        "hrt_min_beats",
        "qt_min_beats",
    ],
};

/// All of them, in printing order.
pub const ALL: [Explained; 14] = [
    HOURS,
    PAUSE_TIERS,
    LONGEST_RR,
    HRV_WINDOWS,
    HRV_HOURS,
    ST,
    ST_CHANGES,
    ALTERNANS,
    CONDUCTION,
    QT_HOURS,
    SYMPTOMS,
    SYMPTOM_CLASSES,
    LEADS,
    ENOUGH,
];

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::settings::TABLE;

    #[test]
    fn every_setting_that_a_table_names_is_there_and_every_key_once() {
        for table in ALL {
            for key in table.settings {
                assert!(TABLE.iter().any(|row| row.key == *key), "{}: no setting {key}", table.key);
            }
            assert_eq!(ALL.iter().filter(|t| t.key == table.key).count(), 1);
            assert!(table.definition.ends_with('.'));
        }
    }

    #[test]
    fn every_table_names_the_settings_that_decide_it_and_no_other() {
        let hrv = "nn_min_ms nn_max_ms nn_jump_percent nn_min_share_percent pnn50_per_difference histogram_bin_ms \
                   spectrum_detrend spectrum_nu_variance entropy_tolerance";
        let expected = [
            ("hours", "rate_window_beats run_beats pause_ms af_min_s prematurity_percent wide_qrs_ms"),
            ("pause_tiers", "pause_ms pause_middle_ms critical_pause_ms"),
            ("longest_rr", "pause_ms"),
            ("hrv_windows", hrv),
            ("hrv_hours", hrv),
            (
                "st",
                "st_offset_ms st_fast_offset_ms st_fast_bpm st_lowest_hz st_unknown_filter st_uncertain_mv \
                 st_change_mv st_hold_s",
            ),
            ("st_changes", "st_change_mv st_hold_s"),
            ("alternans", "twa_max_bpm twa_noise_uv"),
            ("conduction", "wide_qrs_ms qt_min_quality qt_min_beats"),
            ("qt_hours", "qt_min_beats qt_min_quality wide_qrs_ms af_min_s"),
            ("symptoms", "symptom_min"),
            ("symptom_classes", "symptom_min"),
            ("leads", "flat_mv"),
            (
                "enough",
                "hrv_min_hours nn_min_share_percent night_from_h night_to_h af_min_s hrt_min_beats qt_min_beats",
            ),
        ];
        assert_eq!(ALL.map(|table| table.key), expected.map(|(key, _)| key));
        for (table, (key, settings)) in ALL.iter().zip(expected) {
            assert_eq!(table.settings, settings.split_whitespace().collect::<Vec<_>>(), "{key}");
        }
    }

    /// Sources as in the papers and standards themselves.
    #[test]
    fn a_definition_names_its_source() {
        for (table, source) in [
            (HOURS, "(ANSI/AAMI EC57 runs)"),
            (PAUSE_TIERS, "(reporting tiers 2.0, 2.5 and 3.0 s, common practice)"),
            (HRV_WINDOWS, "(Task Force 1996)"),
            (HRV_HOURS, "(Task Force 1996)"),
            (ST, "(European ST-T Database annotation rule)"),
            (ST_CHANGES, "(1 x 1 x 1 rule, from memory)"),
            (ALTERNANS, "(Nearing and Verrier 2002)"),
            (CONDUCTION, "(wide from 120 ms, AHA/ACCF/HRS 2009, second hand)"),
            (QT_HOURS, "by Bazett 1920, Fridericia 1920, Sagie 1992 (Framingham) and Hodges 1983"),
        ] {
            let definition = table.definition.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(definition.contains(source), "{}: {definition}", table.key);
        }
    }
}
