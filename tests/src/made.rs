//! Made days on disk, each in a folder of its own that goes away with it.

use std::path::PathBuf;
use std::sync::Arc;

use beatledger_core::model::{
    BeatClass, Evidence, Found, FoundBeat, Group, Progress, Quality, Recording, Timing, Waves,
};
use beatledger_core::pipeline;
use beatledger_core::settings::Settings;
use beatledger_synth::{Made, Request, Scenario, TruthBeat};

/// A made day that lies on disk.
pub struct OnDisk {
    /// Where it lies.
    pub folder: tempfile::TempDir,
    /// The recording.
    pub edf: PathBuf,
    /// What was written, with its truth.
    pub made: Made,
}

/// Makes `hours` of a scenario, with its usual leads, and writes it.
pub fn on_disk(scenario: Scenario, hours: f64) -> OnDisk {
    let folder = tempfile::tempdir().unwrap_or_else(|e| panic!("no temporary folder: {e}"));
    let made = beatledger_synth::make(&Request { hours, ..Request::usual(scenario) });
    let written =
        beatledger_synth::write(&made, folder.path()).unwrap_or_else(|e| panic!("not written: {e}"));
    OnDisk { folder, edf: written.edf, made }
}

/// Half an hour of the working day: one of nearly everything, read in a blink.
pub fn short_day() -> OnDisk {
    on_disk(Scenario::WorkingDay, 0.5)
}

/// The same day in memory, already read.
pub fn found(made: &Made) -> (Arc<Recording>, Arc<Found>) {
    let recording = Arc::new(made.recording.clone());
    let found = pipeline::find(&recording, &Settings::default(), &Progress::default());
    (recording, Arc::new(found.unwrap_or_else(|| panic!("nobody cancelled"))))
}

/// The same day as if every beat had been found and labelled right: what is shown of it then depends on
/// nothing that looks for beats.
pub fn told(made: &Made) -> (Arc<Recording>, Arc<Found>) {
    let readable = || made.truth.beats.iter().filter(|b| b.readable);
    let beat = |b: &TruthBeat| FoundBeat {
        sample: b.sample,
        class: b.class,
        confidence: 0.9,
        group: b.class.index() as u32,
        waves: Waves::default(),
        evidence: Evidence { quality: 1.0, ..Evidence::default() },
    };
    let group = |class: BeatClass| Group {
        class,
        timing: if class == BeatClass::N { Timing::OnTime } else { Timing::Early },
        count: readable().filter(|b| b.class == class).count() as u32,
        mean_mv: vec![Vec::new(); made.recording.leads.len()],
    };
    let found = Found {
        quality: Quality { leads: Vec::new(), unreadable: made.truth.unreadable.clone() },
        beats: readable().map(beat).collect(),
        groups: BeatClass::ALL.map(group).to_vec(),
        looks_inverted: vec![false; made.recording.leads.len()],
        ..Found::default()
    };
    (Arc::new(made.recording.clone()), Arc::new(found))
}
