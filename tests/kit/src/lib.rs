//! What tests of every package share: where the repository and the open data are, and random numbers that can be
//! repeated.
//!
//! It knows none of our packages and no library, so that the tests of each of them may stand on it, those of the core
//! too. What needs a recording belongs to the package that makes it.

mod random;

pub use random::Random;

use std::path::{Path, PathBuf};

/// Root of the repository.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    // This package lies two folders below the root.
    here.ancestors().nth(2).unwrap_or(here).to_path_buf()
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
