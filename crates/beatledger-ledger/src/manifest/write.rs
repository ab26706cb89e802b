//! Writing a manifest.

use std::path::{Path, PathBuf};

use super::{
    FILE_NAME, FileV1, ManifestError, ManifestV1, SIGNATURE_NAME, SignerV1, VERSION, check_paths, list,
};
use crate::{sha256_of_bytes, sha256_of_file};

/// What the caller says about a sign-off.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Meta {
    /// When, ISO 8601 with offset, such as [`crate::iso_time`] gives.
    pub created: String,
    /// Printed name of the signer.
    pub signer_name: String,
    /// Role of the signer.
    pub signer_role: String,
    /// Meaning, such as `reviewed and approved`.
    pub statement: String,
    /// SHA-256 of the recording.
    pub recording_sha256: String,
    /// [`crate::Ledger::head_hash`] at the time.
    pub ledger_head: String,
    /// Version of the program.
    pub program: String,
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ManifestInfo {
    /// The manifest.
    pub path: PathBuf,
    /// SHA-256 of its bytes: what a signature entry in the ledger names.
    pub sha256: String,
    /// Number of files listed.
    pub files: usize,
}

/// Lists every file under `folder` in `manifest.json` there. A manifest that is there already is replaced
/// and named in `supersedes`; a signature of the old one no longer holds and is removed.
///
/// # Errors
/// When a file cannot be read or listed, or the manifest cannot be written; an old one then stays.
pub fn write(folder: &Path, meta: &Meta) -> Result<ManifestInfo, ManifestError> {
    let listing = list(folder)?;
    if let Some((name, why)) = listing.odd.first() {
        return Err(ManifestError::Unlistable { path: folder.join(name), why });
    }
    let names = listing.files;
    check_paths(names.iter().map(String::as_str))?;
    let mut files = Vec::with_capacity(names.len());
    for path in names {
        let at = folder.join(&path);
        let (sha256, size) = sha256_of_file(&at).map_err(ManifestError::io("reading the file", &at))?;
        files.push(FileV1 { path, size, sha256 });
    }
    let path = folder.join(FILE_NAME);
    let supersedes = match std::fs::read(&path) {
        Ok(old) => Some(sha256_of_bytes(&old)),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
        Err(e) => return Err(ManifestError::io("reading the manifest", &path)(e)),
    };
    let count = files.len();
    let manifest = ManifestV1 {
        format: "export-manifest".to_owned(),
        version: VERSION,
        created: meta.created.clone(),
        signer: SignerV1 { name: meta.signer_name.clone(), role: meta.signer_role.clone() },
        key: None,
        statement: meta.statement.clone(),
        recording_sha256: meta.recording_sha256.clone(),
        ledger_head: meta.ledger_head.clone(),
        program: meta.program.clone(),
        supersedes,
        files,
    };
    let mut bytes = serde_json::to_vec_pretty(&manifest)
        .map_err(|e| ManifestError::Format { why: e.to_string(), path: path.clone() })?;
    bytes.push(b'\n');
    beatledger_files::replace(&path, &bytes).map_err(ManifestError::io("writing the manifest", &path))?;
    let signature = folder.join(SIGNATURE_NAME);
    match std::fs::remove_file(&signature) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
            return Err(ManifestError::io("removing the old signature", &signature)(e));
        }
        _ => {}
    }
    Ok(ManifestInfo { path, sha256: sha256_of_bytes(&bytes), files: count })
}
