//! Read-only access to the files of a recording, hashed as they are read.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::FormatError;

/// One file of a recording. Every byte that is read also goes into the hash.
pub(crate) struct Source {
    file: File,
    path: PathBuf,
    /// Length when it was opened, bytes.
    pub(crate) len: u64,
}

impl Source {
    /// Opens a regular file read-only; devices and folders are refused because they have no length.
    pub(crate) fn open(path: &Path) -> Result<Self, FormatError> {
        let file = File::open(path).map_err(|e| FormatError::io(path, "opening", e))?;
        let meta = file.metadata().map_err(|e| FormatError::io(path, "opening", e))?;
        if !meta.is_file() {
            return Err(FormatError::unsupported(
                path,
                "this is no regular file; a recording file is needed",
            ));
        }
        Ok(Self { file, path: path.to_owned(), len: meta.len() })
    }

    /// Fills `buf` as far as the file reaches and returns the number of bytes.
    pub(crate) fn fill(&mut self, buf: &mut [u8], hash: &mut Sha256) -> Result<usize, FormatError> {
        let mut got = 0;
        while got < buf.len() {
            match self.file.read(&mut buf[got..]) {
                Ok(0) => break,
                Ok(n) => got += n,
                Err(e) if e.kind() == ErrorKind::Interrupted => {}
                Err(e) => return Err(FormatError::io(&self.path, "reading", e)),
            }
        }
        hash.update(&buf[..got]);
        Ok(got)
    }

    /// Appends up to `want` bytes, as far as the file reaches.
    pub(crate) fn append(
        &mut self,
        to: &mut Vec<u8>,
        want: usize,
        hash: &mut Sha256,
    ) -> Result<(), FormatError> {
        let from = to.len();
        let read = (&mut self.file).take(want as u64).read_to_end(to);
        read.map_err(|e| FormatError::io(&self.path, "reading", e))?;
        hash.update(&to[from..]);
        Ok(())
    }

    /// The file itself, to be read in any place later.
    pub(crate) fn into_file(self) -> File {
        self.file
    }

    /// Reads what is left into the hash only.
    pub(crate) fn drain(&mut self, hash: &mut Sha256) -> Result<(), FormatError> {
        let mut buf = vec![0; 1 << 16];
        while self.fill(&mut buf, hash)? > 0 {}
        Ok(())
    }
}

/// The whole of a small file; one longer than `max_bytes` is refused before anything is read.
pub(crate) fn read_small(path: &Path, max_bytes: u64, what: &str) -> Result<Vec<u8>, FormatError> {
    let mut source = Source::open(path)?;
    if source.len > max_bytes {
        let expected = format!("{what} of at most {max_bytes} bytes");
        return Err(FormatError::malformed(path, "whole file", expected, format!("{} bytes", source.len)));
    }
    let mut bytes = Vec::new();
    let read = (&mut source.file).take(max_bytes).read_to_end(&mut bytes);
    read.map_err(|e| FormatError::io(path, "reading", e))?;
    Ok(bytes)
}

/// Lower-case hex of a finished hash.
pub(crate) fn hex(hash: Sha256) -> String {
    hash.finalize().iter().map(|b| format!("{b:02x}")).collect()
}

/// UTF-8 where the bytes are UTF-8, else Latin-1, where every byte is a character. The flag says which.
pub(crate) fn text_from_bytes(bytes: &[u8]) -> (String, bool) {
    match std::str::from_utf8(bytes) {
        Ok(text) => (text.to_owned(), true),
        Err(_) => (bytes.iter().map(|b| char::from(*b)).collect(), false),
    }
}
