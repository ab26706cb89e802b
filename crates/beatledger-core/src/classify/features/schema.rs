//! The list of features that the trees look at: name, key, unit and meaning, once.
//!
//! Their number, order, keys and digest are derived from this list. The order is that of the columns of
//! training rows and of the numbers in the weights file, so a new feature goes to the end and the model is
//! trained again.

macro_rules! features {
    ($( $name:ident $key:literal $unit:literal $meaning:literal; )*) => {
        /// A number that tells the class of a beat. None is ever missing: where something could not be
        /// measured, the value that favours no class stands in.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Feature { $( #[doc = $meaning] $name, )* }

        impl Feature {
            /// All features, in their order.
            pub const ALL: &[Self] = &[ $( Self::$name, )* ];
            /// Keys of all features, in their order.
            pub const KEYS: [&str; Self::ALL.len()] = [ $( $key, )* ];

            /// Key of the feature in training rows and in `assets/model/beats.json`.
            pub fn key(self) -> &'static str {
                Self::KEYS[self as usize]
            }

            /// Unit; the unit of a distance is 0 for same, 1 for unlike and 2 for opposite.
            pub fn unit(self) -> &'static str {
                match self { $( Self::$name => $unit, )* }
            }

            /// What it is, one sentence.
            pub fn meaning(self) -> &'static str {
                match self { $( Self::$name => $meaning, )* }
            }
        }
    };
}

/// How many features there are.
pub const COUNT: usize = Feature::ALL.len();

/// Digest of the keys in their order, each followed by a line feed: FNV-1a with 64 bits.
///
/// The weights file holds the digest of the features it was trained on.
pub const DIGEST: u64 = digest(&Feature::KEYS);

/// FNV-1a with 64 bits of keys, each followed by a line feed (offset basis and prime as published by its
/// authors).
pub const fn digest(keys: &[&str]) -> u64 {
    let mut digest = 0xcbf2_9ce4_8422_2325;
    let mut k = 0;
    while k < keys.len() {
        let key = keys[k].as_bytes();
        let mut at = 0;
        while at <= key.len() {
            let byte = if at < key.len() { key[at] } else { b'\n' };
            digest = (digest ^ byte as u64).wrapping_mul(0x100_0000_01b3);
            at += 1;
        }
        k += 1;
    }
    digest
}

features! {
    Early "early" "share" "Prematurity: 1 less RR before over the local sinus interval, -3 to 1; 0 where it is not known.";
    RrAfter "rr_after" "ratio" "RR after over the local sinus interval, at most 4; 1 where it is not known.";
    RrOverNext "rr_over_next" "ratio" "RR before over RR after, at most 4; 1 where either is missing.";
    RrOverPrevious "rr_over_previous" "ratio" "RR before over the RR before that, at most 4; 1 where either is missing.";
    PreviousEarly "previous_early" "share" "Prematurity of the previous beat, -3 to 1.";
    NextEarly "next_early" "share" "Prematurity of the next beat, -3 to 1.";
    EarlyOfTrend "early_of_trend" "share" "1 less RR before over the median of the last eight normal-to-normal intervals.";
    EarlyOfLastNn "early_of_last_nn" "share" "1 less RR before over the last normal-to-normal interval.";
    EarlyOfRecent "early_of_recent" "share" "1 less RR before over the median of the five intervals before.";
    EarlyOfWide "early_of_wide" "share" "1 less RR before over the median of the intervals within 20 beats.";
    RrPair "rr_pair" "ratio" "RR before and after over two local sinus intervals, at most 4: 1 before a full compensatory pause.";
    EarlyTwoBefore "early_two_before" "share" "Prematurity two beats before, -3 to 1.";
    EarlyTwoAfter "early_two_after" "share" "Prematurity two beats after, -3 to 1.";
    EarlyOverSpread "early_over_spread" "ratio" "Prematurity over the usual spread of normal beats, -20 to 20.";
    Spread "spread" "share" "Mean deviation of normal beats from the local sinus interval within 12 beats, as a share of it.";
    JumpsNear "jumps_near" "share" "Share of neighbouring intervals that jump within 10 beats.";
    JumpsFar "jumps_far" "share" "Share of neighbouring intervals that jump within 40 beats.";
    PNear "p_near" "clearness" "Mean clearness of the P waves within 10 beats, 0 to 1.";
    Irregular "irregular" "yes or no" "1 in an absolutely irregular stretch, from its first beat on.";
    DominantDistance "dominant_distance" "distance" "Distance to the dominant shape.";
    OrdinaryDistance "ordinary_distance" "distance" "Distance to the nearest cluster that usually comes on time.";
    NormalDistance "normal_distance" "distance" "Distance to the nearest of up to four normal beats around.";
    WorstLeadDistance "worst_lead_distance" "distance" "Distance to the dominant shape on the lead on which it is largest.";
    ClusterCount "cluster_count" "log beats" "Log of the number of members of its cluster, of at most 60.";
    ClusterRegularEarlyShare "cluster_regular_early_share" "share" "Share of the members of its cluster that come clearly early, irregular stretches left out.";
    WiderMs "wider_ms" "ms" "QRS width less that of the dominant shape.";
    HeightRatio "height_ratio" "log ratio" "Log of the height of the QRS over that of normal beats around.";
    PBefore "p_before" "clearness" "Clearness of the P wave before it, 0 to 1.";
    PBeforeChange "p_before_change" "clearness" "Clearness of the P wave before it less that of the P waves within 10 beats.";
    PrChangeMs "pr_change_ms" "ms" "PR interval less the median of the last nine normal beats, -150 to 150.";
    PrMissing "pr_missing" "yes or no" "1 where no PR interval was measured.";
    PStretchDistance "p_stretch_distance" "distance" "Distance of the tracing where the P wave stands to that of normal beats around.";
    PStretchEnergy "p_stretch_energy" "log ratio" "Log of the energy where the P wave stands over that of normal beats around.";
    TStretchDistance "t_stretch_distance" "distance" "Distance of the tracing where the T wave stands to that of normal beats around: 2 for a turned T wave.";
    TStretchEnergy "t_stretch_energy" "log ratio" "Log of the energy where the T wave stands over that of normal beats around.";
    RuleS "rule_s" "yes or no" "1 where the rules say S.";
    RuleV "rule_v" "yes or no" "1 where the rules say V or F.";
    PreviousV "previous_v" "yes or no" "1 where the rules say V or F of the previous beat.";
    NextV "next_v" "yes or no" "1 where the rules say V or F of the next beat.";
    PreviousS "previous_s" "yes or no" "1 where the rules say S of the previous beat.";
    NextS "next_s" "yes or no" "1 where the rules say S of the next beat.";
    ClusterDistance "cluster_distance" "distance" "Distance of its cluster to the dominant shape.";
    JumpsAfter "jumps_after" "share" "Share of neighbouring intervals that jump within the 12 beats after.";
    PAfter "p_after" "clearness" "Mean clearness of the P waves of the 12 beats after, 0 to 1.";
    DominantCosine "dominant_cosine" "cosine" "Cosine of its shape and the dominant one at the best shift.";
    LengthRatio "length_ratio" "log ratio" "Log of the length of its energy over that of the dominant shape.";
    LengthMs "length_ms" "ms" "Length of its energy: twice the standard deviation in time.";
    SpeedRatio "speed_ratio" "log ratio" "Log of its speed over that of the dominant shape.";
    Speed "speed" "ratio" "Change from step to step over the values, both as root mean squares.";
    Polarity "polarity" "share" "Which way it points against the dominant shape, -1 to 1.";
    PolarityChange "polarity_change" "share" "How much it points another way than the dominant shape.";
    EnergyRatio "energy_ratio" "log ratio" "Log of its energy over that of the dominant shape, -5 to 5.";
    PeakShare "peak_share" "share" "Largest share of its energy in one step.";
    WidthMs "width_ms" "ms" "QRS width, that of its cluster where none was measured.";
    ClusterWidthMs "cluster_width_ms" "ms" "Usual QRS width of its cluster.";
    DominantWidthMs "dominant_width_ms" "ms" "Usual QRS width of the dominant cluster.";
    Quality "quality" "share" "Signal quality on the best lead, 0 to 1.";
    RuleScore "rule_score" "score" "Ventricular score by the rules.";
    ClusterShapeScore "cluster_shape_score" "score" "Shape score of its cluster.";
    ClusterTimingScore "cluster_timing_score" "score" "Timing score of its cluster.";
    PreviousDistance "previous_distance" "distance" "Distance to the previous beat; 0.5 where there is none.";
    NextDistance "next_distance" "distance" "Distance to the next beat; 0.5 where there is none.";
    PreviousClusterDistance "previous_cluster_distance" "distance" "Distance of the cluster of the previous beat to the dominant shape.";
    NextClusterDistance "next_cluster_distance" "distance" "Distance of the cluster of the next beat to the dominant shape.";
    PreviousRuleScore "previous_rule_score" "score" "Ventricular score by the rules of the previous beat, -6 to 6.";
    NextRuleScore "next_rule_score" "score" "Ventricular score by the rules of the next beat, -6 to 6.";
    LengthOverPrevious "length_over_previous" "log ratio" "Log of the length of its energy over that of the previous beat.";
    LengthOverNext "length_over_next" "log ratio" "Log of the length of its energy over that of the next beat.";
    ClusterShare "cluster_share" "log share" "Log of the share of its cluster of all beats.";
    ClusterRegularEarly "cluster_regular_early" "share" "Mean prematurity of the members of its cluster, irregular stretches left out.";
    ClusterRrAfter "cluster_rr_after" "ratio" "Mean RR after over the local sinus interval of the members of its cluster.";
    ClusterRuns "cluster_runs" "share" "Share of the members of its cluster that stand beside another member.";
    SimilarRegularEarlyShare "similar_regular_early_share" "share" "Share of the members of similar clusters that come clearly early, irregular stretches left out.";
    SimilarShare "similar_share" "log share" "Log of the share of similar clusters of all beats.";
    SimilarP "similar_p" "clearness" "Clearness of the P waves before the members of similar clusters, 0 to 1.";
    SimilarWidthMs "similar_width_ms" "ms" "Usual QRS width of similar clusters.";
    ClusterP "cluster_p" "clearness" "Clearness of the P waves before the members of its cluster, 0 to 1.";
    DominantP "dominant_p" "clearness" "Clearness of the P waves before the members of the dominant cluster, 0 to 1.";
    DominantShare "dominant_share" "share" "Share of clusters similar to the dominant one of all beats.";
    DominantLengthMs "dominant_length_ms" "ms" "Length of the energy of the dominant shape.";
    DominantSpeed "dominant_speed" "ratio" "Speed of the dominant shape.";
    ClusterLengthRatio "cluster_length_ratio" "log ratio" "Log of the length of the energy of its cluster over that of the dominant shape.";
    ClusterSpeedRatio "cluster_speed_ratio" "log ratio" "Log of the speed of its cluster over that of the dominant shape.";
    ClusterEnergyRatio "cluster_energy_ratio" "log ratio" "Log of the energy of its cluster over that of the dominant shape, -5 to 5.";
    Fusion "fusion" "yes or no" "1 where its cluster is a blend of the dominant and a ventricular shape.";
    DistanceNear "distance_near" "distance" "Mean distance of the clusters of the beats within 10 beats to the dominant shape.";
    DistanceFar "distance_far" "distance" "Mean distance of the clusters of the beats within 60 beats to the dominant shape.";
    VNear "v_near" "share" "Share of the beats within 10 beats with a rule score above 0.";
    VShare "v_share" "share" "Share of all beats with a rule score above 0.";
    IrregularShare "irregular_share" "share" "Share of all beats in absolutely irregular stretches.";
    ClusterEarly "cluster_early" "share" "Mean prematurity of all members of its cluster.";
    ClusterEarlyShare "cluster_early_share" "share" "Share of all members of its cluster that come clearly early.";
    ClusterRrSpread "cluster_rr_spread" "share" "Mean distance of the RR before the members of its cluster from their mean, as a share of it.";
    SimilarEarlyShare "similar_early_share" "share" "Share of all members of similar clusters that come clearly early.";
    SimilarRrSpread "similar_rr_spread" "share" "Mean distance of the RR before the members of similar clusters from their mean, as a share of it.";
    RrRank "rr_rank" "share" "Rank of RR before among the intervals within 20 beats, 0 shortest to 1 longest.";
    NextRrRank "next_rr_rank" "share" "Rank of RR after among the intervals within 20 beats, 0 shortest to 1 longest.";
    RrS "rr_s" "s" "RR before, at most 3.";
    NextRrS "next_rr_s" "s" "RR after, at most 3.";
    SinusS "sinus_s" "s" "Local sinus interval, at most 3.";
    NearestDistance "nearest_distance" "distance" "Distance to the most similar beat within 12 beats.";
    SecondNearestDistance "second_nearest_distance" "distance" "Distance to the second most similar beat within 12 beats.";
    SimilarNearShare "similar_near_share" "share" "Share of similar beats within 12 beats, by weight.";
    SimilarNearEarly "similar_near_early" "share" "Share of the similar beats within 12 beats that come clearly early, by weight.";
    BestLeadDistance "best_lead_distance" "distance" "Distance to the dominant shape on the lead on which it is smallest.";
    NormalCosine "normal_cosine" "cosine" "Cosine of its shape and the most alike of up to four normal beats around.";
    StartCosine "start_cosine" "cosine" "Cosine of the first 48 ms of its QRS and of the dominant one.";
    StartEnergy "start_energy" "log ratio" "Log of the energy of the first 48 ms of its QRS over that of the dominant one, -4 to 4.";
    NormalStartCosine "normal_start_cosine" "cosine" "Cosine of the first 48 ms of its QRS and of the most alike of up to four normal beats around.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_the_name_of_its_feature_in_small_letters_and_every_feature_has_a_sentence_and_a_unit() {
        for feature in Feature::ALL {
            let small: String = feature.key().split('_').collect();
            assert_eq!(small, format!("{feature:?}").to_lowercase());
            assert!(feature.meaning().ends_with('.') && !feature.unit().is_empty(), "{feature:?}");
        }
    }

    #[test]
    fn the_digest_changes_with_any_key_and_with_their_order() {
        // The published value of "foobar" is 0x85944171f73967e8; one more step of the definition takes in the
        // line feed.
        let foobar: u64 = 0x8594_4171_f739_67e8;
        assert_eq!(digest(&["foobar"]), (foobar ^ u64::from(b'\n')).wrapping_mul(0x100_0000_01b3));
        assert_ne!(digest(&["a", "b"]), digest(&["b", "a"]));
        assert_ne!(digest(&["ab", "c"]), digest(&["a", "bc"]));
    }
}
