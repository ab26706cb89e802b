//! SHA-256 in lower-case hex.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

/// SHA-256 of `bytes`, 64 lower-case hex digits (FIPS 180-4).
pub fn sha256_of_bytes(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// SHA-256 of a file's bytes and their number, read in pieces.
///
/// # Errors
/// Whatever opening or reading the file says.
pub fn sha256_of_file(path: &Path) -> io::Result<(String, u64)> {
    let mut file = File::open(path)?;
    let mut hasher = Sha256::new();
    let mut piece = vec![0u8; 1 << 16];
    let mut bytes = 0u64;
    loop {
        let n = match file.read(&mut piece) {
            Ok(0) => return Ok((hex(&hasher.finalize()), bytes)),
            Ok(n) => n,
            Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
            Err(e) => return Err(e),
        };
        hasher.update(&piece[..n]);
        bytes += n as u64;
    }
}

/// `hash` in lower case when it is 64 hex digits.
pub(crate) fn normal(hash: &str) -> Option<String> {
    (hash.len() == 64 && hash.bytes().all(|b| b.is_ascii_hexdigit())).then(|| hash.to_ascii_lowercase())
}

fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let digit = |d: u8| char::from(DIGITS[usize::from(d & 15)]);
    bytes.iter().flat_map(|b| [digit(b >> 4), digit(*b)]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example 'abc'.
    #[test]
    fn the_hash_of_abc_is_the_published_one() {
        let published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(sha256_of_bytes(b"abc"), published);
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), b"abc").unwrap();
        assert_eq!(sha256_of_file(file.path()).unwrap(), (published.to_owned(), 3));
    }

    /// FIPS 180-4 example of one million letters 'a': longer than a piece that is read at once.
    #[test]
    fn the_hash_of_a_million_letters_is_the_published_one() {
        let published = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), vec![b'a'; 1_000_000]).unwrap();
        assert_eq!(sha256_of_file(file.path()).unwrap(), (published.to_owned(), 1_000_000));
    }
}
