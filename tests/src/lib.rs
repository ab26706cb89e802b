//! Shared helpers of the test package: where the repository and the open data are, made days, a window.

pub mod made;
pub mod picture;
pub mod resample;
pub mod st;
pub mod syntax;
pub mod truth;
pub mod window;

use std::path::{Path, PathBuf};

/// Root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Folder with the open data: `BEATLEDGER_DATA` when set (empty means none), else `../shared/data` beside
/// the repository. `None` says in one line what could not be checked.
pub fn data(what: &str) -> Option<PathBuf> {
    let folder = match std::env::var_os("BEATLEDGER_DATA") {
        Some(value) => PathBuf::from(value),
        None => root().join("../shared/data"),
    };
    if folder.is_dir() {
        return Some(folder);
    }
    eprintln!("not checked: {what} (the open data are not here; set BEATLEDGER_DATA)");
    None
}

/// All files below `folder` whose name ends in `.ending`, in a stable order.
pub fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for path in entries.flatten().map(|e| e.path()) {
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}
