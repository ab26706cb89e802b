//! The features of one beat of a small made recording, written out by name.
//!
//! The intervals, widths, counts and shares were worked out by hand from the recording, as noted beside each;
//! distances, energies, cosines and P waves, which depend on the drawn tracing and its noise, were printed
//! once and hold still.

use std::sync::Arc;

use beatledger_testkit::Random;

use super::*;
use crate::model::testing::drawn;

const HZ: u32 = 250;
const BEATS: usize = 61;
/// The beat that is looked at: an early atrial beat between two ventricular ones.
const EARLY_BEAT: usize = 30;
const VENTRICULAR: [usize; 3] = [12, 28, 33];

/// RR before each beat, samples of 4 ms: 800 ms, with a full compensatory pause after ventricular beats.
fn rr_samples(beat: usize) -> i64 {
    match beat {
        EARLY_BEAT => 140,
        31 => 230,
        b if VENTRICULAR.contains(&b) => 130,
        b if VENTRICULAR.contains(&(b - 1)) => 270,
        _ => 200,
    }
}

fn bell(ms: f64, sigma_ms: f64) -> f64 {
    (-0.5 * (ms / sigma_ms).powi(2)).exp()
}

/// A beat on one lead, mV, `ms` from its R peak.
fn shape(beat: usize, lead: usize, ms: f64) -> f64 {
    let height = [1.0, 0.6][lead];
    if VENTRICULAR.contains(&beat) {
        return height * (1.4 * bell(ms - 10.0, 32.0) - 0.5 * bell(ms - 250.0, 60.0));
    }
    let (p_ms, p_mv) = if beat == EARLY_BEAT { (-136.0, -0.05) } else { (-144.0, 0.12) };
    let r = bell(ms, 9.0) - 0.2 * bell(ms - 26.0, if beat == EARLY_BEAT { 12.0 } else { 9.0 });
    height * (r + 0.25 * bell(ms - 260.0, 45.0)) + p_mv * bell(ms - p_ms, 14.0)
}

/// Places of the beats, samples.
fn places() -> Vec<i64> {
    let mut places = vec![300i64];
    (1..BEATS).for_each(|b| places.push(places[b - 1] + rr_samples(b)));
    places
}

/// Two leads with noise of 0.02 mV.
fn recording(places: &[i64]) -> Recording {
    let length = (places[places.len() - 1] + i64::from(2 * HZ)) as usize;
    let reach = i64::from(HZ / 2);
    let mut random = Random::new(1);
    let mut lead_mv = |lead: usize| -> Vec<f64> {
        let mut mv: Vec<f64> = (0..length).map(|_| 0.02 * (random.share() - 0.5)).collect();
        for (beat, at) in places.iter().enumerate() {
            for i in (at - reach).max(0)..(at + reach).min(length as i64) {
                mv[i as usize] += shape(beat, lead, (i - at) as f64 * 1000.0 / f64::from(HZ));
            }
        }
        mv
    };
    let (first, second) = (lead_mv(0), lead_mv(1));
    let mut recording = drawn(HZ, &first);
    let samples: Vec<i16> = second.iter().map(|v| (v * 1000.0).round() as i16).collect();
    let mut lead = recording.leads[0].clone();
    lead.samples = Arc::new(samples);
    recording.leads.push(lead);
    recording
}

fn clean(recording: &Recording) -> Quality {
    let seconds = (recording.samples as f64 / recording.rate.hz()).ceil() as usize;
    let lead = LeadQuality { kind: vec![SecondQuality::Good; seconds], score: vec![204; seconds] };
    Quality { leads: vec![lead; recording.leads.len()], unreadable: Vec::new() }
}

fn waves(beat: usize) -> Waves {
    if VENTRICULAR.contains(&beat) {
        return Waves { qrs_on: Some(-14), qrs_off: Some(22), ..Waves::default() };
    }
    let (p_on, qrs_off) = if beat == EARLY_BEAT { (-41, 13) } else { (-43, 12) };
    Waves { p_on: Some(p_on), qrs_on: Some(-10), qrs_off: Some(qrs_off), ..Waves::default() }
}

#[test]
fn every_feature_of_an_early_atrial_beat_has_the_value_written_here() {
    let places = places();
    let (recording, waves) = (recording(&places), (0..BEATS).map(waves).collect::<Vec<_>>());
    let (quality, settings) = (clean(&recording), Settings::default());
    let study = study(&recording, &quality, &settings, &places, &waves, &Progress::default());
    let expected_class = |beat: usize| match beat {
        EARLY_BEAT => BeatClass::S,
        b if VENTRICULAR.contains(&b) => BeatClass::V,
        _ => BeatClass::N,
    };
    assert_eq!(study.labels.classes, (0..BEATS).map(expected_class).collect::<Vec<_>>());
    let row = study.rows[EARLY_BEAT].as_ref().unwrap();
    assert_eq!(GOLDEN.map(|(feature, _)| feature), *Feature::ALL);
    let wrong: Vec<String> = GOLDEN
        .iter()
        .filter(|(feature, value)| (row.get(*feature) - value).abs() > 1e-4 * value.abs().max(0.1))
        .map(|(feature, value)| format!("{}: {} instead of {value}", feature.key(), row.get(*feature)))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Every feature of [`EARLY_BEAT`], and how its value follows from the recording where that can be seen.
const GOLDEN: [(Feature, f32); 109] = [
    (Feature::Early, 0.3),                 // 1 - 560 / 800
    (Feature::RrAfter, 1.15),              // 920 / 800
    (Feature::RrOverNext, 0.6086956),      // 560 / 920
    (Feature::RrOverPrevious, 0.5185185),  // 560 / 1080
    (Feature::PreviousEarly, -0.35000002), // 1 - 1080 / 800
    (Feature::NextEarly, -0.14999998),     // 1 - 920 / 800
    (Feature::EarlyOfTrend, 0.3),          // 1 - 560 / 800
    (Feature::EarlyOfLastNn, 0.3),         // 1 - 560 / 800
    (Feature::EarlyOfRecent, 0.3),         // 1 - 560 / 800
    (Feature::EarlyOfWide, 0.3),           // 1 - 560 / 800
    (Feature::RrPair, 0.925),              // (560 + 920) / 1600
    (Feature::EarlyTwoBefore, 0.35000002), // 1 - 520 / 800
    (Feature::EarlyTwoAfter, 0.0),         // 1 - 800 / 800
    (Feature::EarlyOverSpread, 20.0),      // 0.3 / 0.015
    (Feature::Spread, 0.0),                // all normal beats on time
    (Feature::JumpsNear, 0.13333334),      // 2 of 15
    (Feature::JumpsFar, 0.04),             // 2 of 50
    (Feature::PNear, 0.9434017),
    (Feature::Irregular, 0.0), // no
    (Feature::DominantDistance, 0.00497894),
    (Feature::OrdinaryDistance, 0.00497894),
    (Feature::NormalDistance, 0.0048417826),
    (Feature::WorstLeadDistance, 0.0066833086),
    (Feature::ClusterCount, 4.060443),               // ln 58
    (Feature::ClusterRegularEarlyShare, 0.01754386), // 1 of 57
    (Feature::WiderMs, 4.0),                         // 92 - 88
    (Feature::HeightRatio, 0.00086627883),
    (Feature::PBefore, 0.0),
    (Feature::PBeforeChange, -0.9434017),
    (Feature::PrChangeMs, -8.0), // 124 - 132
    (Feature::PrMissing, 0.0),   // no
    (Feature::PStretchDistance, 1.6868762),
    (Feature::PStretchEnergy, -1.0458361),
    (Feature::TStretchDistance, 0.0017668009),
    (Feature::TStretchEnergy, -0.021289663),
    (Feature::RuleS, 1.0),             // early by more than a fifth
    (Feature::RuleV, 0.0),             // no
    (Feature::PreviousV, 0.0),         // no
    (Feature::NextV, 0.0),             // no
    (Feature::PreviousS, 0.0),         // no
    (Feature::NextS, 0.0),             // no
    (Feature::ClusterDistance, 0.0),   // its cluster is the dominant one
    (Feature::JumpsAfter, 0.22222222), // 2 of 9
    (Feature::PAfter, 0.99570364),
    (Feature::DominantCosine, 0.9950211),
    (Feature::LengthRatio, -0.13626154),
    (Feature::LengthMs, 46.046722),
    (Feature::SpeedRatio, -0.0106979385),
    (Feature::Speed, 0.6004768),
    (Feature::Polarity, 0.58209914),
    (Feature::PolarityChange, 0.010013342),
    (Feature::EnergyRatio, 0.001126349),
    (Feature::PeakShare, 0.20236184),
    (Feature::WidthMs, 92.0),         // 23 samples
    (Feature::ClusterWidthMs, 88.0),  // 22 samples
    (Feature::DominantWidthMs, 88.0), // 22 samples
    (Feature::Quality, 0.8),          // 204 / 255
    (Feature::RuleScore, -4.0585613),
    (Feature::ClusterShapeScore, -3.1166666),
    (Feature::ClusterTimingScore, -1.5298246), // 4 * (1 / 57 - 0.4)
    (Feature::PreviousDistance, 0.0051897685),
    (Feature::NextDistance, 0.00552258),
    (Feature::PreviousClusterDistance, 0.0), // both in the dominant cluster
    (Feature::NextClusterDistance, 0.0),     // both in the dominant cluster
    (Feature::PreviousRuleScore, -5.594561),
    (Feature::NextRuleScore, -5.4985614),
    (Feature::LengthOverPrevious, -0.14401561),
    (Feature::LengthOverNext, -0.14409773),
    (Feature::ClusterShare, -0.050430857),           // ln(58 / 61)
    (Feature::ClusterRegularEarly, -0.015789473),    // (0.3 - 0.15 - 3 * 0.35) / 57
    (Feature::ClusterRrAfter, 0.97894734),           // 1 + (0.15 - 0.3 - 3 * 0.35) / 57
    (Feature::ClusterRuns, 1.0),                     // all
    (Feature::SimilarRegularEarlyShare, 0.01754386), // 1 of 57
    (Feature::SimilarShare, -0.050430857),           // ln(58 / 61)
    (Feature::SimilarP, 0.9786963),
    (Feature::SimilarWidthMs, 88.0), // 22 samples
    (Feature::ClusterP, 0.9786963),
    (Feature::DominantP, 0.9786963),
    (Feature::DominantShare, 0.9508197), // 58 / 61
    (Feature::DominantLengthMs, 52.767956),
    (Feature::DominantSpeed, 0.60693514),
    (Feature::ClusterLengthRatio, 0.0), // the same cluster
    (Feature::ClusterSpeedRatio, 0.0),  // the same cluster
    (Feature::ClusterEnergyRatio, 0.0), // the same cluster
    (Feature::Fusion, 0.0),             // no
    (Feature::DistanceNear, 0.05350295),
    (Feature::DistanceFar, 0.027628573),
    (Feature::VNear, 0.0952381),              // 2 of 21
    (Feature::VShare, 0.04918033),            // 3 of 61
    (Feature::IrregularShare, 0.0),           // none
    (Feature::ClusterEarly, -0.015789473),    // as regular: no stretch is irregular
    (Feature::ClusterEarlyShare, 0.01754386), // 1 of 57
    (Feature::ClusterRrSpread, 0.039269157),  // the definition, over 57 intervals of mean 812.6 ms
    (Feature::SimilarEarlyShare, 0.01754386), // 1 of 57
    (Feature::SimilarRrSpread, 0.039269157),  // no other cluster is similar
    (Feature::RrRank, 0.085365854),           // 3 shorter and itself, of 41
    (Feature::NextRrRank, 0.91463417),        // 37 shorter and itself, of 41
    (Feature::RrS, 0.56),                     // 560 ms
    (Feature::NextRrS, 0.92),                 // 920 ms
    (Feature::SinusS, 0.8),                   // 800 ms
    (Feature::NearestDistance, 0.0048417826),
    (Feature::SecondNearestDistance, 0.0049533877),
    (Feature::SimilarNearShare, 0.8775687),
    (Feature::SimilarNearEarly, 0.0005769938),
    (Feature::BestLeadDistance, 0.0032819954),
    (Feature::NormalCosine, 0.9951595),
    (Feature::StartCosine, 0.99985874),
    (Feature::StartEnergy, -0.036261376),
    (Feature::NormalStartCosine, 0.99990034),
];
