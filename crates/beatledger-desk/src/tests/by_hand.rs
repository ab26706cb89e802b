//! Days whose every beat stands in the test itself, and what was handed to sign-off.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use beatledger_core::model::{
    BeatClass, Evidence, Found, FoundBeat, Group, Identity, Lead, LocalTime, Rate, Recording, Span, Timing,
    Unit, Waves,
};
use beatledger_core::review::{Entry, Fold, Signature};
use beatledger_core::session::{Snapshot, Stamp};
use beatledger_core::settings::Settings;

use super::*;
use crate::outside::services::{SignOff, SignRequest, Signed};

/// Classes in the order of the shape groups of a day: an N beat is in group 0, a V beat in group 1, and so on.
const GROUPS: [BeatClass; 5] = [BeatClass::N, BeatClass::V, BeatClass::S, BeatClass::F, BeatClass::Q];

/// A recording from 21:30:00 on with 1000 samples a second, so that a sample number is a time in ms, and what was
/// found in it.
#[derive(Clone)]
pub(super) struct Day {
    pub recording: Recording,
    pub found: Found,
}

/// Beats of the classes `letters`, the first one at 1000 ms, `rr_ms` apart; the last interval is repeated.
pub(super) fn day(letters: &str, rr_ms: &[i64]) -> Day {
    let mut beats = Vec::new();
    let mut sample = 1000;
    for (i, letter) in letters.chars().enumerate() {
        if i > 0 {
            sample += rr_ms[(i - 1).min(rr_ms.len() - 1)];
        }
        let class = BeatClass::from_letter(letter).unwrap();
        beats.push(FoundBeat {
            sample,
            class,
            confidence: 0.9,
            group: GROUPS.iter().position(|c| *c == class).unwrap() as u32,
            waves: Waves { qrs_on: Some(-45), qrs_off: Some(55), ..Waves::default() },
            evidence: Evidence::default(),
        });
    }
    let count = |class: BeatClass| beats.iter().filter(|b| b.class == class).count() as u32;
    let group = |class: &BeatClass| Group {
        class: *class,
        timing: if *class == BeatClass::N { Timing::OnTime } else { Timing::Early },
        count: count(*class),
        mean_mv: vec![vec![-0.2, 0.0, 1.0, 0.0]; 3],
    };
    let groups = GROUPS.iter().map(group).collect();
    Day {
        recording: recording(sample + 1000),
        found: Found { groups, beats, looks_inverted: vec![false; 3], ..Found::default() },
    }
}

/// Eighteen beats over 14.5 s: a single V, a single S and a run of four V 500 ms apart, 120 a minute.
///
/// N 1000, 1800, 2600; V 3200; N 4200, 5000; S 5600; N 6600, 7400, 8200; V 8700, 9200, 9700, 10200; N 11100, 11900,
/// 12700, 13500.
pub(super) fn mixed_day() -> Day {
    let rr = [800, 800, 600, 1000, 800, 600, 1000, 800, 800, 500, 500, 500, 500, 900, 800];
    day("NNNVNNSNNNVVVVNNNN", &rr)
}

fn recording(samples: i64) -> Recording {
    let lead = |name: &str| Lead {
        name: name.into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new(vec![0i16; samples as usize]),
    };
    Recording {
        name: "by hand".into(),
        format: "made in memory".into(),
        sha256: "5".repeat(64),
        identity: Identity::default(),
        start: Some(LocalTime(21 * 3_600_000 + 30 * 60_000)),
        rate: Rate::whole_hz(1000),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: vec![lead("I"), lead("II"), lead("V5")],
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}

impl Day {
    /// Gives the beat with this number, counted from 0, another confidence.
    pub fn sure(mut self, beat: usize, confidence: f32) -> Self {
        self.found.beats[beat].confidence = confidence;
        self
    }

    /// The day as it stands after these entries.
    pub fn snapshot(&self, entries: &[Entry]) -> Snapshot {
        let (recording, found) = (Arc::new(self.recording.clone()), Arc::new(self.found.clone()));
        Snapshot::new(recording, &Settings::default(), found, Fold::of(entries))
    }

    /// The day on the desk, read by A. Reader.
    pub fn on_the_desk(self) -> Bench {
        self.signed_with(Pen::default())
    }

    /// The same with `pen` for sign-off.
    pub fn signed_with(self, pen: Pen) -> Bench {
        self.with_services(Services { sign: Box::new(pen), ..canned::still_services() })
    }

    /// The same with given services.
    pub fn with_services(self, services: Services) -> Bench {
        let services = without_a_look(services);
        let harness = Harness::builder()
            .with_size(egui::vec2(1280.0, 800.0))
            .with_os(egui::os::OperatingSystem::Nix)
            .with_max_steps(40)
            .build_eframe(move |cc| {
                let start =
                    Start::AlreadyRead { recording: Arc::new(self.recording), found: Arc::new(self.found) };
                let mut desk = Desk::new(&cc.egui_ctx, start, services);
                desk.set_reader("A. Reader");
                desk
            });
        let mut bench = Bench { harness };
        bench.settle();
        bench
    }
}

impl Bench {
    /// Applies one act, as a view asks for it, and waits until the window is at rest.
    pub(super) fn act(&mut self, act: crate::app::act::Act) -> &mut Self {
        self.harness.state_mut().apply(act);
        self.rest()
    }

    /// Makes an edit, and says yes where one is asked for.
    pub(super) fn edit(&mut self, edit: beatledger_core::review::Edit) -> &mut Self {
        self.act(crate::app::act::Act::Edit(edit)).act(crate::app::act::Act::Confirm)
    }

    /// Selects these beats.
    pub(super) fn select(&mut self, samples: &[i64]) -> &mut Self {
        let selection = crate::app::selection::Selection::of_beats(samples.to_vec(), "by hand");
        self.act(crate::app::act::Act::Select { selection, go: false })
    }

    /// Selects a span.
    pub(super) fn select_span(&mut self, start: i64, end: i64) -> &mut Self {
        let selection = crate::app::selection::Selection::of_span(Span::new(start, end), "by hand");
        self.act(crate::app::act::Act::Select { selection, go: false })
    }

    /// Samples of the selected beats.
    pub(super) fn selected(&self) -> Vec<i64> {
        self.desk().selection().beats.to_vec()
    }

    /// Classes of all beats, in order.
    pub(super) fn letters(&self) -> String {
        self.desk().snapshot().unwrap().beats.iter().map(|b| b.class.letter()).collect()
    }
}

/// What sign-off was handed.
#[derive(Clone)]
pub(super) struct Seen {
    pub request: SignRequest,
    pub stamp: Stamp,
    pub snapshot: Snapshot,
    pub entries: Vec<Entry>,
    pub path: Option<PathBuf>,
}

/// Signs whatever it is handed, into memory.
#[derive(Clone, Default)]
pub(super) struct Pen(pub Arc<Mutex<Vec<Seen>>>);

impl Pen {
    /// How often it signed.
    pub fn times(&self) -> usize {
        self.0.lock().unwrap().len()
    }

    /// What it signed last.
    pub fn last(&self) -> Seen {
        self.0.lock().unwrap().last().unwrap().clone()
    }
}

impl SignOff for Pen {
    fn sign(
        &mut self,
        request: &SignRequest,
        stamp: &Stamp,
        snapshot: &Snapshot,
        entries: &[Entry],
        path: Option<&Path>,
    ) -> Result<Signed, String> {
        self.0.lock().unwrap().push(Seen {
            request: request.clone(),
            stamp: stamp.clone(),
            snapshot: snapshot.clone(),
            entries: entries.to_vec(),
            path: path.map(Path::to_path_buf),
        });
        let SignRequest { reader, role, meaning, .. } = request.clone();
        let signature = Signature { reader, role, meaning, manifest_sha256: "0".repeat(64) };
        Ok(Signed { signature, words: "Signed into memory".into(), folder: None })
    }

    fn take_back(&mut self, _signed: &Signed) -> Result<(), String> {
        self.0.lock().unwrap().pop();
        Ok(())
    }
}

/// A signature as it is asked for.
pub(super) fn request() -> SignRequest {
    SignRequest {
        reader: "A. Reader".into(),
        role: "physician".into(),
        meaning: "prepared".into(),
        confirmed: true,
    }
}

/// A ledger entry of A. Reader.
pub(super) fn entry(seq: u64, edit: beatledger_core::review::Edit) -> Entry {
    Entry {
        seq,
        at_utc_ms: 1_764_000_000_000,
        utc_offset_min: 60,
        reader: "A. Reader".into(),
        action: beatledger_core::review::Action::Do(edit),
    }
}

/// A time at which something is signed: 2025-11-24 17:00 at one hour east of UTC.
pub(super) fn stamp() -> Stamp {
    Stamp { reader: "A. Reader".into(), at_utc_ms: 1_764_000_000_000, utc_offset_min: 60 }
}

/// Puts entries into the ledger beside `path`, where a day that was edited has them.
pub(super) fn in_ledger(path: &Path, entries: &[Entry]) {
    let (mut ledger, loaded) =
        beatledger_ledger::Ledger::open(&beatledger_ledger::path_for(path), &"5".repeat(64)).unwrap();
    entries.iter().skip(loaded.entries.len()).for_each(|e| ledger.append(e).unwrap());
}
