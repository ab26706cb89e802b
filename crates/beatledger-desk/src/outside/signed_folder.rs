//! A signed folder: the files of the day and a manifest with their SHA-256 sums, in a new folder.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail, ensure};
use beatledger_core::review::{Entry, Signature};
use beatledger_core::session::{Snapshot, Stamp};
use beatledger_ledger::manifest::{self, Meta};
use beatledger_report::document::{self, SignState};

use crate::outside::export;
use crate::outside::services::{SignOff, SignRequest, Signed};
use crate::outside::sign_rules;

/// Writes signed folders beside the recording; the demo day goes to `beatledger-out`.
#[derive(Default)]
pub struct SignedFolders;

impl SignOff for SignedFolders {
    fn sign(
        &mut self,
        request: &SignRequest,
        stamp: &Stamp,
        snapshot: &Snapshot,
        entries: &[Entry],
        path: Option<&Path>,
    ) -> Result<Signed, String> {
        write_signed(request, stamp, snapshot, entries, path).map_err(|error| format!("{error:#}"))
    }

    fn take_back(&mut self, signed: &Signed) -> Result<(), String> {
        let Some(folder) = &signed.folder else { return Ok(()) };
        std::fs::remove_dir_all(folder).map_err(|error| {
            format!("The folder {} is not signed and could not be removed: {error}.", folder.display())
        })
    }
}

/// Writes the files, then the manifest, into a folder that is not there yet; it appears whole or not at all.
///
/// # Errors
/// When [`sign_rules::hindrance`] gives a reason, and when a file cannot be written; nothing is signed then.
pub fn write_signed(
    request: &SignRequest,
    stamp: &Stamp,
    snapshot: &Snapshot,
    entries: &[Entry],
    path: Option<&Path>,
) -> anyhow::Result<Signed> {
    if let Some(why) = sign_rules::hindrance(request, snapshot) {
        bail!("{why}");
    }
    let ledger_head = ledger_head(path)?;
    if let (Some(path), true, false) = (path, ledger_head.is_empty(), entries.is_empty()) {
        let ledger = beatledger_ledger::path_for(path);
        bail!("the ledger with {} entries is gone: {}; nothing is signed", entries.len(), ledger.display());
    }
    let folder = folder_for(path, snapshot, stamp);
    let parent = folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::create_dir_all(parent)
        .with_context(|| format!("could not make the folder {}", parent.display()))?;
    let unfinished = tempfile::Builder::new()
        .prefix(".signing-")
        .tempdir_in(parent)
        .with_context(|| format!("could not write beside the recording, in {}", parent.display()))?;
    let sign = SignState::Signed(document::SignOff {
        reader: request.reader.clone(),
        role: request.role.clone(),
        meaning: request.meaning.clone(),
        at_utc_ms: stamp.at_utc_ms,
        utc_offset_min: stamp.utc_offset_min,
    });
    let mut context = export::context(&ledger_head, entries.len(), sign);
    (context.created_utc_ms, context.utc_offset_min) = (stamp.at_utc_ms, stamp.utc_offset_min);
    export::write_all(unfinished.path(), snapshot, &context)?;
    let info = manifest::write(unfinished.path(), &meta(request, stamp, snapshot, ledger_head))?;
    ensure!(!folder.exists(), "the folder {} is already there; sign again in a second", folder.display());
    std::fs::rename(unfinished.keep(), &folder)
        .with_context(|| format!("could not give the signed folder its name {}", folder.display()))?;
    let signature = Signature {
        reader: request.reader.clone(),
        role: request.role.clone(),
        meaning: request.meaning.clone(),
        manifest_sha256: info.sha256,
    };
    let words = format!("Signed: {} files in {}", info.files, folder.display());
    Ok(Signed { signature, words, folder: Some(folder) })
}

fn meta(request: &SignRequest, stamp: &Stamp, snapshot: &Snapshot, ledger_head: String) -> Meta {
    Meta {
        created: beatledger_ledger::iso_time(stamp.at_utc_ms, stamp.utc_offset_min),
        signer_name: request.reader.clone(),
        signer_role: request.role.clone(),
        statement: request.meaning.clone(),
        recording_sha256: snapshot.recording.sha256.clone(),
        ledger_head,
        program: export::PROGRAM.to_owned(),
    }
}

/// Hash of the last record of the ledger beside the recording; empty when there is none.
fn ledger_head(path: Option<&Path>) -> anyhow::Result<String> {
    let Some(ledger) = path.map(beatledger_ledger::path_for).filter(|l| l.exists()) else {
        return Ok(String::new());
    };
    Ok(beatledger_ledger::read(&ledger)?.head_hash)
}

/// `<recording>.signed-20261124-231005`, in local time of the stamp.
fn folder_for(path: Option<&Path>, snapshot: &Snapshot, stamp: &Stamp) -> PathBuf {
    let iso = beatledger_ledger::iso_time(stamp.at_utc_ms, stamp.utc_offset_min);
    let digits: String = iso.chars().take(19).filter(char::is_ascii_digit).collect();
    let (day, time) = digits.split_at(digits.len().min(8));
    let (parent, name) = match path {
        Some(path) => (
            path.parent().map(Path::to_path_buf).unwrap_or_default(),
            path.file_name()
                .map_or_else(|| snapshot.recording.name.clone(), |n| n.to_string_lossy().into_owned()),
        ),
        None => (PathBuf::from("beatledger-out"), snapshot.recording.name.clone()),
    };
    parent.join(format!("{name}.signed-{day}-{time}"))
}
