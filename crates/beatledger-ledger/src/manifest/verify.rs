//! Checking an export against its manifest. Each question keeps its own answer.

use std::fmt;
use std::path::{Path, PathBuf};

use super::{FILE_NAME, FileV1, ManifestError, ManifestV1, SIGNATURE_NAME, VERSION, check_paths, list};
use crate::hash::normal;
use crate::manifest::strict::NoDuplicates;
use crate::{error::short, sha256_of_bytes, sha256_of_file};
use beatledger_files::folder_of;

/// Largest manifest that is read, bytes.
const MOST_BYTES: u64 = 16 << 20;

/// How one listed file stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileState {
    /// Size and hash are those of the manifest.
    Same,
    /// It is there and its bytes are others.
    Changed,
    /// It is not there.
    Missing,
    /// It, or a folder on the way to it, is a link, or it is no plain file: not followed.
    NotPlain,
}

/// One listed file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileCheck {
    /// Path as in the manifest.
    pub path: String,
    /// How it stands.
    pub state: FileState,
}

/// What checking an export gave.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verification {
    /// The manifest.
    pub manifest: ManifestV1,
    /// SHA-256 of the manifest's bytes: compare it with the signature entry in the ledger.
    pub manifest_sha256: String,
    /// Listed files, in the manifest's order.
    pub files: Vec<FileCheck>,
    /// Files and links in the folder that the manifest does not list, sorted.
    pub unlisted: Vec<String>,
    /// True when a detached signature lies beside it; this version does not check one.
    pub signature_present: bool,
}

impl Verification {
    /// True when every listed file is the same and no other file is there. Says nothing about who signed.
    pub fn is_intact(&self) -> bool {
        self.unlisted.is_empty() && self.files.iter().all(|f| f.state == FileState::Same)
    }

    /// Number of listed files in `state`.
    pub fn count(&self, state: FileState) -> usize {
        self.files.iter().filter(|f| f.state == state).count()
    }
}

/// Text on one line: a line break in a name could pass for a line of this answer.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

impl fmt::Display for Verification {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let m = &self.manifest;
        let (same, all) = (self.count(FileState::Same), self.files.len());
        let verdict = if self.is_intact() { "Intact" } else { "Not intact" };
        writeln!(f, "{verdict}: {same} of {all} listed files are as they were.")?;
        for file in self.files.iter().filter(|x| x.state != FileState::Same) {
            let what = match file.state {
                FileState::Same => "is the same",
                FileState::Changed => "has changed",
                FileState::Missing => "is missing",
                FileState::NotPlain => "is a link or no plain file and was not followed",
            };
            writeln!(f, "{} {what}.", one_line(&file.path))?;
        }
        for path in self.unlisted.iter().map(|path| one_line(path)) {
            writeln!(f, "{path} is here but not listed.")?;
        }
        writeln!(
            f,
            "Says it was signed by {}, {}: {}.",
            one_line(&m.signer.name),
            one_line(&m.signer.role),
            one_line(&m.statement)
        )?;
        writeln!(f, "Says it was signed at {} by the computer's clock.", one_line(&m.created))?;
        let (recording, head) = (short(&m.recording_sha256), short(&m.ledger_head));
        writeln!(f, "Recording {recording}..., ledger {head}..., manifest {}.", self.manifest_sha256)?;
        match self.signature_present {
            true => write!(f, "A key signature lies beside it and was not checked."),
            false => write!(f, "No key signature: this shows that files are the same, not who signed."),
        }
    }
}

/// Checks the export whose folder or `manifest.json` is at `path`.
///
/// # Errors
/// When there is no manifest, it is not one (a key that stands twice included), or it names a path that
/// is refused. A changed or missing file is no error but an answer.
pub fn verify(path: &Path) -> Result<Verification, ManifestError> {
    let path = if path.is_dir() { path.join(FILE_NAME) } else { path.to_owned() };
    let folder = folder_of(&path);
    let (manifest, manifest_sha256) = read_manifest(&path)?;
    check_paths(manifest.files.iter().map(|f| f.path.as_str()))?;
    let mut files = Vec::with_capacity(manifest.files.len());
    for listed in &manifest.files {
        files.push(FileCheck { path: listed.path.clone(), state: state_of(folder, listed)? });
    }
    let listing = list(folder)?;
    let mut unlisted = listing.files;
    unlisted.extend(listing.odd.into_iter().map(|(name, _)| name));
    unlisted.sort();
    unlisted.retain(|name| !manifest.files.iter().any(|f| f.path == *name));
    let signature_present = folder.join(SIGNATURE_NAME).exists();
    Ok(Verification { manifest, manifest_sha256, files, unlisted, signature_present })
}

fn read_manifest(path: &Path) -> Result<(ManifestV1, String), ManifestError> {
    let odd = |why: String| ManifestError::Format { why, path: path.to_owned() };
    let size = std::fs::metadata(path).map_err(ManifestError::io("reading the manifest", path))?.len();
    if size > MOST_BYTES {
        return Err(odd(format!("it has {size} bytes and at most {MOST_BYTES} are read")));
    }
    let bytes = std::fs::read(path).map_err(ManifestError::io("reading the manifest", path))?;
    serde_json::from_slice::<NoDuplicates>(&bytes).map_err(|e| odd(e.to_string()))?;
    let manifest: ManifestV1 = serde_json::from_slice(&bytes).map_err(|e| odd(e.to_string()))?;
    if manifest.format != "export-manifest" || manifest.version != VERSION {
        return Err(odd(format!("it calls itself '{}' version {}", manifest.format, manifest.version)));
    }
    if let Some(file) = manifest.files.iter().find(|f| normal(&f.sha256).as_ref() != Some(&f.sha256)) {
        return Err(odd(format!("the hash of '{}' is not 64 lower-case hex digits", file.path)));
    }
    Ok((manifest, sha256_of_bytes(&bytes)))
}

fn state_of(folder: &Path, listed: &FileV1) -> Result<FileState, ManifestError> {
    let mut at: PathBuf = folder.to_owned();
    let mut parts = listed.path.split('/').peekable();
    while let Some(part) = parts.next() {
        at.push(part);
        let is_last = parts.peek().is_none();
        match std::fs::symlink_metadata(&at) {
            Ok(m) if is_last && m.is_file() && m.len() != listed.size => return Ok(FileState::Changed),
            Ok(m) if (is_last && m.is_file()) || (!is_last && m.is_dir()) => {}
            Ok(_) => return Ok(FileState::NotPlain),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(FileState::Missing),
            Err(e) => return Err(ManifestError::io("reading the file", &at)(e)),
        }
    }
    let (sha256, size) = sha256_of_file(&at).map_err(ManifestError::io("reading the file", &at))?;
    let is_same = sha256 == listed.sha256 && size == listed.size;
    Ok(if is_same { FileState::Same } else { FileState::Changed })
}
