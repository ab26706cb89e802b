//! The bytes of a recording's data: in memory for a day, read from the file in blocks for what is longer.
//!
//! A file that is read in blocks is not mapped: a mapped file that is cut short ends the program, a read that
//! fails does not. What is promised when somebody else changes the file while it is open: bytes that are gone
//! are samples that are missing, bytes that were overwritten are read as they are now. The hash of the
//! recording is the one of the bytes at opening, so the ledger no longer fits such a file when it is opened again.

use std::fs::File;
use std::io;

/// Data up to this size are kept in memory, where nothing that happens to the file can reach them.
/// Tests make it small, so that both ways are walked.
pub(crate) const IN_MEMORY_BYTES: u64 = if cfg!(test) { 1 << 12 } else { 1 << 28 };

/// Bytes that can be looked at in any place and from any thread.
#[derive(Debug)]
pub(crate) enum Bytes {
    /// The bytes themselves.
    Memory(Vec<u8>),
    /// The file that holds them.
    File(File),
}

impl Bytes {
    /// Shows `len` bytes from byte `at` on; `None` where they are not, or no longer, to be had.
    /// `scratch` holds them meanwhile when they come from a file.
    pub(crate) fn look<'a>(&'a self, at: u64, len: usize, scratch: &'a mut Vec<u8>) -> Option<&'a [u8]> {
        match self {
            Self::Memory(bytes) => {
                let at = usize::try_from(at).ok()?;
                bytes.get(at..at.checked_add(len)?)
            }
            Self::File(file) => {
                scratch.resize(len, 0);
                read_at(file, scratch, at).ok()?;
                Some(scratch)
            }
        }
    }

    /// True when the bytes take memory.
    pub(crate) fn in_memory(&self) -> bool {
        matches!(self, Self::Memory(_))
    }
}

/// Fills `out` from byte `at` of the file on, without a cursor that threads would share.
fn read_at(file: &File, out: &mut [u8], at: u64) -> io::Result<()> {
    #[cfg(unix)]
    return std::os::unix::fs::FileExt::read_exact_at(file, out, at);
    #[cfg(windows)]
    {
        let mut done = 0;
        while done < out.len() {
            match std::os::windows::fs::FileExt::seek_read(file, &mut out[done..], at + done as u64) {
                Ok(0) => return Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(n) => done += n,
                Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
                Err(e) => return Err(e),
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_of_a_file_that_is_cut_while_open_are_gone_and_the_rest_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, [1, 2, 3, 4, 5]).unwrap();
        let bytes = Bytes::File(File::open(&path).unwrap());
        let mut scratch = Vec::new();
        assert_eq!(bytes.look(2, 3, &mut scratch), Some(&[3, 4, 5][..]));
        File::options().write(true).open(&path).unwrap().set_len(3).unwrap();
        assert_eq!(bytes.look(2, 3, &mut scratch), None);
        assert_eq!(bytes.look(1, 2, &mut scratch), Some(&[2, 3][..]));
    }
}
