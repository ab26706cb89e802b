//! What the beats say of the quality, on beats of known place and similarity.

use super::{Complexes, revised_quality};
use crate::detect::envelope::Candidates;
use crate::model::{Identity, LeadQuality, Quality, Rate, Recording, SecondQuality, Span};

const SECONDS: usize = 120;
const RATE_HZ: i64 = 100;

/// Two minutes: beats as (s, similarity), and how clearly they stand out and how large each second is, by lead.
#[derive(Clone)]
struct Made {
    beats: Vec<(f64, f32)>,
    clearness: Vec<Vec<f32>>,
    size: Vec<Vec<f32>>,
}

impl Made {
    /// Clear beats, alike, 75 a minute.
    fn regular(leads: usize) -> Self {
        let beats = (0..150).map(|k| (0.4 + 0.8 * f64::from(k), 0.98)).collect();
        Self { beats, clearness: vec![vec![0.9; SECONDS]; leads], size: vec![vec![1000.0; SECONDS]; leads] }
    }

    /// Puts other beats between 50 and 70 s: the interval before each and its similarity, over and over.
    fn with_beats(mut self, others: &[(f64, f32)]) -> Self {
        self.beats.retain(|b| !(50.0..70.0).contains(&b.0));
        let mut at_s = 50.0;
        for (before_s, similarity) in others.iter().cycle() {
            at_s += before_s;
            if at_s >= 70.0 {
                break;
            }
            self.beats.push((at_s, *similarity));
        }
        self.beats.sort_by(|a, b| a.0.total_cmp(&b.0));
        self
    }

    /// Sets how clearly beats stand out on `lead` between 50 and 70 s.
    fn with_clearness(mut self, lead: usize, clearness: f32) -> Self {
        self.clearness[lead][50..70].fill(clearness);
        self
    }

    fn judged(&self) -> Quality {
        let samples = SECONDS as i64 * RATE_HZ;
        let recording = Recording {
            name: "made".into(),
            format: "memory".into(),
            sha256: String::new(),
            identity: Identity::default(),
            start: None,
            rate: Rate::whole_hz(RATE_HZ as u32),
            samples,
            segments: vec![Span::new(0, samples)],
            leads: vec![],
            others: vec![],
            diary: vec![],
            warnings: vec![],
        };
        let good = LeadQuality { kind: vec![SecondQuality::Good; SECONDS], score: vec![255; SECONDS] };
        let quality = Quality { leads: vec![good; self.clearness.len()], unreadable: vec![] };
        let all = Candidates {
            clearness: self.clearness.clone(),
            size: self.size.clone(),
            ..Candidates::default()
        };
        let middles: Vec<i64> = self.beats.iter().map(|b| (b.0 * RATE_HZ as f64) as i64).collect();
        let similarity: Vec<f32> = self.beats.iter().map(|b| b.1).collect();
        revised_quality(&recording, &quality, &all, &Complexes { middles: &middles, similarity: &similarity })
    }

    /// Seconds that cannot be read on any lead.
    fn unreadable_s(&self) -> i64 {
        self.judged().unreadable.iter().map(|s| s.len()).sum::<i64>() / RATE_HZ
    }
}

/// Half of them dissimilar, in disorder, no more a minute than a heart may have.
const MIXTURE: [(f64, f32); 4] = [(0.35, 0.5), (1.2, 0.95), (0.5, 0.5), (0.9, 0.95)];

#[test]
fn beats_half_of_which_are_noise_are_unreadable_however_little_the_lead_moves() {
    let mixed = Made::regular(1).with_beats(&MIXTURE);
    let unreadable_s = mixed.clone().with_clearness(0, 0.5).unreadable_s();
    assert!((14..=26).contains(&unreadable_s), "{unreadable_s} s");
    assert_eq!(mixed.with_clearness(0, 0.75).unreadable_s(), 0, "where beats stand out they can be counted");
    let alike = MIXTURE.map(|m| (m.0, 0.95));
    let ectopy = Made::regular(1).with_beats(&alike).with_clearness(0, 0.5);
    assert_eq!(ectopy.unreadable_s(), 0, "a rhythm in disorder whose beats are alike is the heart's own");
}

#[test]
fn more_beats_than_a_heart_can_have_are_noise_where_they_hardly_stand_out() {
    let fast = Made::regular(1).with_beats(&[(0.2, 0.95)]);
    assert!(fast.clone().with_clearness(0, 0.4).unreadable_s() >= 10);
    assert_eq!(fast.with_clearness(0, 0.8).unreadable_s(), 0, "a clear one is left to a reader");
}

#[test]
fn a_lead_without_beats_is_unreadable_where_another_one_shows_them() {
    let judged = Made::regular(2).with_clearness(0, 0.05).judged();
    assert_eq!(judged.leads[0].kind[60], SecondQuality::Unreadable);
    assert_eq!(judged.leads[1].kind[60], SecondQuality::Good);
    assert!(judged.unreadable.is_empty());
    let both = Made::regular(2).with_clearness(0, 0.05).with_clearness(1, 0.05).judged();
    assert_ne!(both.leads[0].kind[60], SecondQuality::Unreadable, "no lead proves that there are beats");
}

/// Intervals of a made fibrillation, s: their spread is a fifth to a quarter, as in atrial fibrillation.
const FIBRILLATION: [f64; 8] = [0.55, 0.95, 0.7, 0.5, 1.05, 0.62, 0.9, 0.58];

#[test]
fn a_moving_lead_proves_no_noise_where_the_rhythm_is_irregular_by_itself() {
    let mut made = Made::regular(1);
    let mut at_s = 0.2;
    made.beats = FIBRILLATION
        .iter()
        .cycle()
        .map(|rr| {
            at_s += rr;
            at_s
        })
        .take(158)
        .map(|t| (t, 0.97))
        .collect();
    made.size[0][50..70].fill(1600.0);
    made = made.with_beats(&[(0.4, 0.97), (1.1, 0.97), (0.5, 0.97), (0.95, 0.97)]).with_clearness(0, 0.6);
    assert_eq!(made.unreadable_s(), 0);
    let dissimilar = made.with_beats(&[(0.4, 0.6), (1.1, 0.97), (0.5, 0.6), (0.95, 0.97)]);
    assert!(dissimilar.unreadable_s() >= 15, "but beats half of which are dissimilar do");
}
