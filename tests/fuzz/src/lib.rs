//! What every target shares: a folder in memory for the bytes, and what every file must come out as.

use std::path::PathBuf;
use std::sync::OnceLock;

use beatledger_formats::open;

#[path = "../../../crates/beatledger-formats/tests/common/mod.rs"]
mod common;

pub use common::check_sentence;

/// A file of this name in a folder of this process; in memory where the system has such a place.
pub fn path(name: &str) -> PathBuf {
    static FOLDER: OnceLock<tempfile::TempDir> = OnceLock::new();
    let folder = FOLDER.get_or_init(|| {
        let memory = PathBuf::from("/dev/shm");
        let place = if memory.is_dir() { memory } else { std::env::temp_dir() };
        tempfile::tempdir_in(place).expect("a folder for the bytes")
    });
    folder.path().join(name)
}

/// Writes a file and gives its path.
pub fn put(name: &str, bytes: &[u8]) -> PathBuf {
    let path = path(name);
    std::fs::write(&path, bytes).expect("the file is written");
    path
}

/// Opens a recording that the bytes alone make up: it is read or refused in one sentence, without a panic and
/// without memory in proportion to a claim.
pub fn open_alone(name: &str, bytes: &[u8]) {
    let path = put(name, bytes);
    // A cell of a table may be as short as its separator, and a byte may hold a step of a wide signal.
    common::check_recording(&open(path), 4 * bytes.len());
}

/// Opens a recording of `path` whose files hold so many bytes.
pub fn open_of(path: PathBuf, bytes: usize) {
    common::check_recording(&open(path), 4 * bytes);
}
