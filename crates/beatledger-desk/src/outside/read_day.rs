//! A day read without a window: the same stages, ledger and figures as at the desk.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{Progress, Recording};
use beatledger_core::pipeline;
use beatledger_core::review::{self, Entry};
use beatledger_core::session::{Session, Snapshot};
use beatledger_core::settings::Settings;
use beatledger_report::document::{SignOff, SignState};

/// A day as it stands after its ledger.
pub struct ReadDay {
    /// Everything as it stands.
    pub snapshot: Arc<Snapshot>,
    /// Entries of the ledger.
    pub entries: Vec<Entry>,
    /// Hash of the ledger's last record; empty without a ledger.
    pub head: String,
    /// What was cut from a torn ledger, in one sentence.
    pub recovered: Option<String>,
}

impl ReadDay {
    /// Whether the day is signed, as the ledger says.
    pub fn sign_state(&self) -> SignState {
        let fold = &self.snapshot.fold;
        let Some((seq, signature)) = &fold.signed else { return SignState::NotSigned };
        let entry = self.entries.iter().find(|e| e.seq == *seq);
        let sign = SignOff {
            reader: signature.reader.clone(),
            role: signature.role.clone(),
            meaning: signature.meaning.clone(),
            at_utc_ms: entry.map_or(0, |e| e.at_utc_ms),
            utc_offset_min: entry.map_or(0, |e| e.utc_offset_min),
        };
        if fold.changed_since_signing { SignState::ChangedSince(sign) } else { SignState::Signed(sign) }
    }
}

/// Settings of a TOML file, or the defaults.
pub fn settings_from(path: Option<&Path>) -> anyhow::Result<Settings> {
    path.map_or_else(|| Ok(Settings::default()), crate::outside::settings_file::read)
}

/// Reads a recording and the ledger beside it, or the one given.
pub fn read(path: &Path, ledger: Option<&Path>, settings: &Settings) -> anyhow::Result<ReadDay> {
    let recording = beatledger_formats::open(path)?;
    let beside = beatledger_ledger::path_for(path);
    let ledger = ledger.or_else(|| beside.exists().then_some(&*beside));
    let (entries, head, recovered) = match ledger {
        Some(path) => entries_of(path, &recording)?,
        None => (Vec::new(), String::new(), None),
    };
    Ok(ReadDay { snapshot: stand(recording, settings, &entries), entries, head, recovered })
}

/// The demo day, read.
pub fn demo(settings: &Settings) -> ReadDay {
    let made = beatledger_synth::make(&beatledger_synth::Request::default());
    let snapshot = stand(made.recording, settings, &[]);
    ReadDay { snapshot, entries: Vec::new(), head: String::new(), recovered: None }
}

fn entries_of(path: &Path, recording: &Recording) -> anyhow::Result<(Vec<Entry>, String, Option<String>)> {
    let contents = beatledger_ledger::read(path)?;
    anyhow::ensure!(
        contents.header.recording_sha256 == recording.sha256,
        "the ledger {} belongs to another recording: it names SHA-256 {}, this recording has {}",
        path.display(),
        contents.header.recording_sha256,
        recording.sha256
    );
    let torn = contents.torn.map(|t| {
        format!(
            "the last {} bytes of the ledger are a record that was cut short; they were left out",
            t.bytes
        )
    });
    Ok((contents.entries, contents.head_hash, torn))
}

fn stand(recording: Recording, settings: &Settings, entries: &[Entry]) -> Arc<Snapshot> {
    // Nobody holds the progress, so nobody can cancel and a result always comes.
    let in_force = review::settings_of(settings, entries);
    let found = pipeline::find(&recording, &in_force, &Progress::default()).unwrap_or_default();
    Session::new(Arc::new(recording), settings.clone(), Arc::new(found), entries).snapshot()
}
