//! Sign-off of a whole export: a list of its files with their SHA-256, who signed, what it means.
//!
//! `manifest.json` can be checked without this program: `sha256sum report.pdf`. It proves that files are
//! as they were when it was written, not who wrote it; a detached signature over its exact bytes may come
//! beside it later, for which the `key` field is kept free. `created` is the computer's clock.

mod strict;
mod verify;
mod write;

#[cfg(test)]
mod field_tests;
#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use thiserror::Error;

pub use verify::{FileCheck, FileState, Verification, verify};
pub use write::{ManifestInfo, Meta, write};

/// Name of the manifest in its folder.
pub const FILE_NAME: &str = "manifest.json";

/// Name of a detached signature; it can list nothing and is listed nowhere.
pub const SIGNATURE_NAME: &str = "manifest.sig";

/// Version of the format.
pub const VERSION: u32 = 1;

/// A manifest as it lies in the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ManifestV1 {
    /// Always `export-manifest`.
    pub format: String,
    /// Always [`VERSION`].
    pub version: u32,
    /// ISO 8601 with offset, by the computer's clock.
    pub created: String,
    /// Who signs.
    pub signer: SignerV1,
    /// Key of a detached signature; `null` when there is none.
    pub key: Option<KeyV1>,
    /// What the signature means.
    pub statement: String,
    /// SHA-256 of the recording.
    pub recording_sha256: String,
    /// SHA-256 of the last ledger entry before signing.
    pub ledger_head: String,
    /// Version of the program that wrote it.
    pub program: String,
    /// SHA-256 of the manifest that this one takes the place of.
    #[serde(default)]
    pub supersedes: Option<String>,
    /// The files, sorted by path.
    pub files: Vec<FileV1>,
}

/// Who signs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignerV1 {
    /// Printed name.
    pub name: String,
    /// Role.
    pub role: String,
}

/// A public key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeyV1 {
    /// Algorithm, such as `Ed25519`.
    pub alg: String,
    /// The key in Base64.
    pub public: String,
    /// Its SHA-256, lower-case hex.
    pub sha256: String,
}

/// One file of the export.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileV1 {
    /// Path from the manifest's folder, with `/`.
    pub path: String,
    /// Bytes.
    pub size: u64,
    /// SHA-256, lower-case hex.
    pub sha256: String,
}

/// Why a manifest could not be written or read.
#[derive(Debug, Error)]
pub enum ManifestError {
    /// A path that a manifest must not hold.
    #[error("the manifest names '{path}', which is refused because {why}")]
    Path {
        /// The path.
        path: String,
        /// Why.
        why: &'static str,
    },
    /// A file of the folder that cannot be listed.
    #[error("this cannot be listed in a manifest because {why}: {}", path.display())]
    Unlistable {
        /// The file.
        path: PathBuf,
        /// Why.
        why: &'static str,
    },
    /// The manifest is not one.
    #[error("this is no export manifest of version {VERSION} ({why}): {}", path.display())]
    Format {
        /// What is odd.
        why: String,
        /// The manifest.
        path: PathBuf,
    },
    /// Whatever the system says.
    #[error("{doing} failed: {source}: {}", path.display())]
    Io {
        /// What was being done.
        doing: &'static str,
        /// What the system says.
        source: std::io::Error,
        /// The file.
        path: PathBuf,
    },
}

impl ManifestError {
    pub(crate) fn io(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::Io { doing, source, path }
    }
}

/// What lies under a folder, the manifest and its signature left out.
#[derive(Debug, Default)]
struct Listing {
    /// Plain files as paths with `/`, sorted.
    files: Vec<String>,
    /// What cannot be listed, and why, sorted.
    odd: Vec<(String, &'static str)>,
}

fn list(folder: &Path) -> Result<Listing, ManifestError> {
    let mut listing = Listing::default();
    let mut open = vec![(folder.to_owned(), String::new())];
    while let Some((at, prefix)) = open.pop() {
        for entry in std::fs::read_dir(&at).map_err(ManifestError::io("reading the folder", &at))? {
            let entry = entry.map_err(ManifestError::io("reading the folder", &at))?;
            let path = entry.path();
            let kind = entry.file_type().map_err(ManifestError::io("reading the folder", &path))?;
            let name = match entry.file_name().into_string() {
                Ok(name) => format!("{prefix}{name}"),
                Err(name) => {
                    let name = format!("{prefix}{}", name.to_string_lossy());
                    listing.odd.push((name, "its name is not UTF-8"));
                    continue;
                }
            };
            if kind.is_dir() {
                open.push((path, format!("{name}/")));
            } else if !kind.is_file() {
                listing.odd.push((name, "it is a link or no plain file"));
            } else if name != FILE_NAME && name != SIGNATURE_NAME {
                listing.files.push(name);
            }
        }
    }
    listing.files.sort();
    listing.odd.sort();
    Ok(listing)
}

/// Refuses paths that leave the folder, or that two systems would understand differently.
fn check_path(path: &str) -> Result<(), ManifestError> {
    let why = if path.is_empty() {
        "it is empty"
    } else if path.contains(['\\', ':', '\0']) {
        "it holds a character that some systems take for a separator"
    } else if path.starts_with('/') {
        "it is absolute"
    } else if path.split('/').any(|part| part == "..") {
        "it leaves the folder"
    } else if path.split('/').any(|part| part.is_empty() || part == ".") {
        "it has an empty part"
    } else if [FILE_NAME, SIGNATURE_NAME].contains(&path.to_lowercase().as_str()) {
        "a manifest cannot list itself or its signature"
    } else {
        return Ok(());
    };
    Err(ManifestError::Path { path: path.to_owned(), why })
}

/// Checks each path, and that no two are the same where upper and lower case are one.
fn check_paths<'a>(paths: impl Iterator<Item = &'a str>) -> Result<(), ManifestError> {
    let mut seen = std::collections::BTreeSet::new();
    for path in paths {
        check_path(path)?;
        if !seen.insert(path.to_lowercase()) {
            let why = "it is named twice, or differs from another in case only";
            return Err(ManifestError::Path { path: path.to_owned(), why });
        }
    }
    Ok(())
}
