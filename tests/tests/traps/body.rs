//! A made tracing for one trap: beats, P waves and a breathing baseline, and what goes wrong with the electrodes. It shares
//! nothing with the made days or the analysis.

use std::f64::consts::TAU;
use std::sync::Arc;

use beatledger_core::model::{Event, EventKind, Identity, Lead, Progress, Rate, Recording, Span, Unit};
use beatledger_core::pipeline;
use beatledger_core::session::{Session, Snapshot};
use beatledger_core::settings::Settings;
use beatledger_testkit::Random;

/// How the leads see the heart: height of QRS, P and T in each.
const LEADS: [(&str, f64, f64, f64); 3] =
    [("ECG II", 1.0, 1.0, 1.0), ("ECG V1", -0.7, 0.7, -0.4), ("ECG V5", 1.3, 0.8, 1.2)];

/// What the tracing looks like while no electrode is in contact.
#[derive(Clone, Copy, Debug)]
pub enum Loss {
    /// Mains hum of this frequency with drift; the same on all leads or each its own.
    Hum(f64, bool),
    /// Nothing but 5 uV of noise.
    Flat,
    /// At the limits of the recorder.
    Rails,
    /// A step that decays.
    Decay,
    /// Muscle noise.
    Muscle,
}

/// A tracing in the making.
#[derive(Clone, Debug)]
pub struct Body {
    /// Samples a second.
    pub hz: u32,
    /// Number of leads, one to three.
    pub leads: usize,
    /// Repeatable chance.
    pub seed: u64,
    /// Length, s.
    pub seconds: f64,
    /// Times of QRS complexes, s, and whether each is ventricular.
    pub beats: Vec<(f64, bool)>,
    /// Times of P waves, s.
    pub p_waves: Vec<f64>,
    /// Flutter waves of so many a minute, mV high.
    pub flutter: Option<(f64, f64)>,
    /// Height of QRS in lead II, mV.
    pub height_mv: f64,
    /// Height of the breathing baseline, mV.
    pub breathing_mv: f64,
    /// Height of T against the usual.
    pub t_share: f64,
    /// Height of a second summit of T, 110 ms after the first, against T.
    pub t_notch: f64,
    /// Changes of ST: from and to, s, height in lead II, mV, and how long they take to come and go, s.
    pub st: Vec<(f64, f64, f64, f64)>,
    /// Changes of position: from and to, s, and what QRS and T are multiplied by; ST moves with it by this much, mV.
    pub positions: Vec<(f64, f64, f64, f64)>,
    /// Width of QRS against the usual.
    pub qrs_width: f64,
    /// Height of the U wave in lead II, mV.
    pub u_wave_mv: f64,
    /// Stretches without contact, s.
    pub losses: Vec<(f64, f64, Loss)>,
    /// Spikes that no heart makes: when, s, how high on every lead, mV, and how long from foot to foot, s.
    pub spikes: Vec<(f64, f64, f64)>,
    /// Motion that is the same on every lead: from and to, s, swings a minute, mV.
    pub motion: Vec<(f64, f64, f64, f64)>,
    /// Ventricular fibrillation: from and to, s; the beats inside are taken away.
    pub fibrillation: Vec<(f64, f64)>,
    /// Stretches in which a lead is upside down, s.
    pub turned: Vec<(usize, f64, f64)>,
    /// Stretches in which the first two leads are plugged into each other's place, s.
    pub swapped: Vec<(f64, f64)>,
    /// How far T of every second beat stands above that of the others in lead II, mV.
    pub alternans_mv: f64,
    /// Height of white noise, mV.
    pub noise_mv: f64,
}

impl Body {
    /// Sinus rhythm of these intervals, s, from half a second on; P waves 160 ms before the beats.
    pub fn sinus(intervals_s: &[f64]) -> Self {
        let mut at = 0.5;
        let mut beats = vec![(at, false)];
        for rr in intervals_s {
            at += rr;
            beats.push((at, false));
        }
        let p_waves = beats.iter().map(|b| b.0 - 0.16).collect();
        Self {
            hz: 250,
            leads: 1,
            seed: 1,
            seconds: at + 1.0,
            beats,
            p_waves,
            flutter: None,
            height_mv: 1.0,
            breathing_mv: 0.1,
            t_share: 1.0,
            t_notch: 0.0,
            st: Vec::new(),
            positions: Vec::new(),
            qrs_width: 1.0,
            u_wave_mv: 0.0,
            losses: Vec::new(),
            spikes: Vec::new(),
            motion: Vec::new(),
            fibrillation: Vec::new(),
            turned: Vec::new(),
            swapped: Vec::new(),
            alternans_mv: 0.0,
            noise_mv: 0.008,
        }
    }

    /// Takes away what lies between `from` and `to`, s.
    pub fn silent(mut self, from: f64, to: f64) -> Self {
        self.beats.retain(|b| b.0 < from || b.0 > to);
        self.p_waves.retain(|p| *p < from || *p + 0.16 > to);
        self
    }

    /// What a recorder writes on a lead: a lead may be upside down or hold another's place.
    fn mv(&self, lead: usize) -> Vec<f64> {
        let mut mv = self.seen(lead);
        let hz = f64::from(self.hz);
        let part = |from: f64, to: f64| (from * hz) as usize..((to * hz) as usize).min(mv.len());
        let mut all: Vec<(std::ops::Range<usize>, Vec<f64>)> = Vec::new();
        for (from, to) in &self.swapped {
            if self.leads > 1 && lead < 2 {
                let part = part(*from, *to);
                all.push((part.clone(), self.seen(1 - lead)[part].to_vec()));
            }
        }
        for (_, from, to) in self.turned.iter().filter(|t| t.0 == lead) {
            let part = part(*from, *to);
            all.push((part.clone(), mv[part].iter().map(|v| -v).collect()));
        }
        for (part, values) in all {
            mv[part].copy_from_slice(&values);
        }
        mv
    }

    /// What an electrode sees.
    fn seen(&self, lead: usize) -> Vec<f64> {
        let hz = f64::from(self.hz);
        let n = (self.seconds * hz) as usize;
        let mut random = Random::new(self.seed * 31 + lead as u64);
        let (_, qrs, p, t) = LEADS[lead];
        let mut mv: Vec<f64> = (0..n)
            .map(|i| {
                let s = i as f64 / f64::from(self.hz);
                let breath = self.breathing_mv * (1.0 - 0.2 * lead as f64) * (TAU * s / 4.1).sin();
                let flutter = self.flutter.map_or(0.0, |(bpm, high)| {
                    // A saw-tooth: a slow fall and a quick rise.
                    let phase = (s * bpm / 60.0).fract();
                    let saw = if phase < 0.75 { 0.5 - phase / 0.75 } else { (phase - 0.75) / 0.25 - 0.5 };
                    high * p * saw
                });
                breath + flutter + self.noise_mv * normal(&mut random) + 0.003 * (TAU * 50.0 * s).sin()
            })
            .collect();
        let in_fibrillation = |at: f64| self.fibrillation.iter().any(|(from, to)| (*from..*to).contains(&at));
        for (k, (at, is_v)) in self.beats.iter().enumerate().filter(|(_, beat)| !in_fibrillation(beat.0)) {
            // T follows the interval before the beat.
            let before = k.checked_sub(1).and_then(|k| self.beats.get(k));
            let rr = before.map_or(0.8, |before| (at - before.0).clamp(0.3, 1.2));
            let (mut high, wide) = (self.height_mv, self.qrs_width);
            let mut st = 0.0;
            for (from, to, height, slow) in &self.st {
                st += height * ((at - from) / slow).min((to - at) / slow).clamp(0.0, 1.0);
            }
            for (_, _, factor, height) in self.positions.iter().filter(|p| (p.0..p.1).contains(at)) {
                high *= factor;
                st += height;
            }
            // A plateau from the end of QRS to T.
            for k in 0..8 {
                self.add(&mut mv, at + 0.06 + 0.02 * f64::from(k), 0.42 * st * t, 0.02);
            }
            let waves: &[(f64, f64, f64)] = if *is_v {
                &[(0.0, 1.3 * qrs, 0.034), (0.3, -0.45 * qrs, 0.06)]
            } else {
                &[
                    (-0.026 * wide, -0.1 * qrs, 0.008 * wide),
                    (0.0, qrs, 0.011 * wide),
                    (0.028 * wide, -0.2 * qrs, 0.009 * wide),
                    (0.3 * rr.sqrt(), 0.27 * t * self.t_share, 0.045),
                    (0.3 * rr.sqrt() + 0.11, 0.27 * t * self.t_share * self.t_notch, 0.045),
                ]
            };
            if k % 2 == 1 {
                self.add(&mut mv, at + 0.3 * rr.sqrt(), self.alternans_mv * t, 0.045);
            }
            self.add(&mut mv, at + 0.3 * rr.sqrt() + 0.2, self.u_wave_mv * t, 0.04);
            for (offset, height, width) in waves {
                self.add(&mut mv, at + offset, high * height, *width);
            }
        }
        for at in self.p_waves.iter().filter(|at| !in_fibrillation(**at)) {
            self.add(&mut mv, *at, 0.13 * p * self.height_mv, 0.022);
        }
        for (at, height, width) in &self.spikes {
            for i in ((at - width) * hz) as usize..(((at + width) * hz) as usize).min(n) {
                let away = (i as f64 / hz - at).abs() / (width / 2.0);
                mv[i] += height * (1.0 - away).max(0.0);
            }
        }
        for (from, to, per_min, height) in &self.motion {
            for i in (from * hz) as usize..((to * hz) as usize).min(n) {
                let turn = TAU * per_min / 60.0 * (i as f64 / hz - from);
                mv[i] += height * (turn.sin() + 0.35 * (2.0 * turn + 0.8).sin());
            }
        }
        for (from, to) in &self.fibrillation {
            // Each lead sees the waves from its own side: other phases, the same pace.
            let side = 1.7 * lead as f64;
            for i in (from * hz) as usize..((to * hz) as usize).min(n) {
                let s = i as f64 / hz - from;
                let turn = TAU * (4.6 * s + 0.25 * (TAU * s / 2.3).sin()) + side;
                let height = self.height_mv * (0.45 + 0.15 * (TAU * s / 1.7 + side).sin());
                mv[i] += height * (turn.sin() + 0.25 * (0.55 * turn + 2.0 * side).sin());
            }
        }
        for (from, to, loss) in &self.losses {
            self.lose(&mut mv, lead, (*from, *to), *loss);
        }
        mv
    }

    fn add(&self, mv: &mut [f64], at: f64, height: f64, width: f64) {
        let hz = f64::from(self.hz);
        let (from, to) =
            (((at - 5.0 * width) * hz).max(0.0) as usize, ((at + 5.0 * width) * hz).max(0.0) as usize);
        for i in from..to.min(mv.len()) {
            let d = (i as f64 / hz - at) / width;
            mv[i] += height * (-d * d / 2.0).exp();
        }
    }

    fn lose(&self, mv: &mut [f64], lead: usize, (from, to): (f64, f64), loss: Loss) {
        let hz = f64::from(self.hz);
        let mut random = Random::new(self.seed * 77 + lead as u64);
        let (mut slow, mut drift) = (0.0, 0.0);
        for i in (from * hz) as usize..((to * hz) as usize).min(mv.len()) {
            let s = i as f64 / hz - from;
            drift += 0.01 * normal(&mut random);
            mv[i] = match loss {
                Loss::Hum(hum, same) => {
                    let own = if same { 1.0 } else { 0.6 + 0.5 * lead as f64 };
                    0.15 * own * (TAU * hum * s + own).sin() + 0.2 * drift
                }
                Loss::Flat => 0.005 * normal(&mut random),
                Loss::Rails => 5.0,
                Loss::Decay => 1.5 * (-s / 3.0).exp() + 0.005 * normal(&mut random),
                Loss::Muscle => {
                    slow = 0.55 * slow + 0.12 * normal(&mut random);
                    slow
                }
            };
        }
    }

    /// The recording.
    pub fn recording(&self) -> Recording {
        let lead = |lead: usize| Lead {
            name: LEADS[lead].0.into(),
            unit: Unit::Millivolt,
            adc_per_mv: 400.0,
            adc_zero: 0.0,
            missing: None,
            rails: Some((-2000, 2000)),
            prefilter: String::new(),
            samples: Arc::new(
                self.mv(lead)
                    .iter()
                    .map(|v| (v * 400.0).round().clamp(-2000.0, 2000.0) as i16)
                    .collect::<Vec<i16>>(),
            ),
        };
        let samples = (self.seconds * f64::from(self.hz)) as i64;
        Recording {
            name: "trap".into(),
            format: "made in memory".into(),
            sha256: String::new(),
            identity: Identity::default(),
            start: None,
            rate: Rate::whole_hz(self.hz),
            samples,
            segments: vec![Span::new(0, samples)],
            leads: (0..self.leads).map(lead).collect(),
            others: Vec::new(),
            diary: Vec::new(),
            warnings: Vec::new(),
        }
    }

    /// What the program says of it.
    pub fn read(&self) -> Snapshot {
        let recording = self.recording();
        let settings = Settings::default();
        let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
        let session = Session::new(Arc::new(recording), settings, Arc::new(found), &[]);
        session.snapshot().as_ref().clone().whole()
    }
}

/// A number of mean 0 and variance 1, near enough to normal.
fn normal(random: &mut Random) -> f64 {
    (0..12).map(|_| random.share()).sum::<f64>() - 6.0
}

/// Intervals of sinus rhythm that breathe, s.
pub fn breathing(mean_s: f64, beats: usize) -> Vec<f64> {
    (0..beats).map(|i| mean_s * (1.0 + 0.03 * (i as f64 * mean_s * TAU / 4.1).sin())).collect()
}

/// Events of a kind that stand.
pub fn of(snapshot: &Snapshot, kind: EventKind) -> Vec<&Event> {
    snapshot.events.iter().filter(|e| e.kind == kind).collect()
}
