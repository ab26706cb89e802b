//! One numeric variable of a MATLAB level 5 file, as the published layout has it ('MAT-File Format',
//! level 5): a header of 128 bytes, then elements of type, length and data, compressed ones among them.

use std::io::Read as _;
use std::path::Path;

use anyhow::{Context as _, ensure};

const HEADER: usize = 128;
/// Of a compressed variable no more bytes than this are unpacked.
const MAX_BYTES: u64 = 1 << 26;

mod kind {
    pub const INT8: u32 = 1;
    pub const UINT8: u32 = 2;
    pub const INT16: u32 = 3;
    pub const UINT16: u32 = 4;
    pub const INT32: u32 = 5;
    pub const UINT32: u32 = 6;
    pub const SINGLE: u32 = 7;
    pub const DOUBLE: u32 = 9;
    pub const MATRIX: u32 = 14;
    pub const COMPRESSED: u32 = 15;
}

/// The values of the first numeric variable, column by column.
pub fn first_variable(path: &Path) -> anyhow::Result<Vec<f64>> {
    let name = path.display();
    let bytes = std::fs::read(path).with_context(|| format!("could not read {name}"))?;
    ensure!(
        bytes.starts_with(b"MATLAB 5.0") && bytes.get(126..HEADER) == Some(b"IM"),
        "{name}: expected a little-endian MATLAB level 5 file, found something else"
    );
    values(&bytes[HEADER..]).with_context(|| format!("{name}: expected a numeric variable, found none"))
}

/// Type, data and what follows of the element at the start of `bytes`.
fn element(bytes: &[u8]) -> Option<(u32, &[u8], &[u8])> {
    let word = |at: usize| Some(u32::from_le_bytes(*bytes.get(at..)?.first_chunk()?));
    let tag = word(0)?;
    // A small element keeps up to four bytes in its tag.
    if tag >> 16 != 0 {
        let data = bytes.get(4..8)?.get(..(tag >> 16) as usize)?;
        return Some((tag & 0xffff, data, bytes.get(8..)?));
    }
    let len = word(4)? as usize;
    let data = bytes.get(8..)?.get(..len)?;
    let padded = if tag == kind::COMPRESSED { len } else { len.next_multiple_of(8) };
    Some((tag, data, bytes.get(8 + padded..).unwrap_or_default()))
}

fn values(mut bytes: &[u8]) -> Option<Vec<f64>> {
    loop {
        let (tag, data, rest) = element(bytes)?;
        let found = match tag {
            kind::COMPRESSED => {
                let mut plain = Vec::new();
                flate2::read::ZlibDecoder::new(data).take(MAX_BYTES).read_to_end(&mut plain).ok()?;
                element(&plain).filter(|e| e.0 == kind::MATRIX).and_then(|e| matrix(e.1))
            }
            kind::MATRIX => matrix(data),
            _ => None,
        };
        if found.is_some() {
            return found;
        }
        bytes = rest;
    }
}

/// Flags, dimensions, name, then the real part.
fn matrix(bytes: &[u8]) -> Option<Vec<f64>> {
    let (_, _, rest) = element(bytes)?;
    let (_, _, rest) = element(rest)?;
    let (_, _, rest) = element(rest)?;
    let (tag, data, _) = element(rest)?;
    macro_rules! numbers {
        ($type:ty) => {
            Some(
                data.chunks_exact(size_of::<$type>())
                    .filter_map(|c| Some(<$type>::from_le_bytes(*c.first_chunk()?) as f64))
                    .collect(),
            )
        };
    }
    match tag {
        kind::INT8 => numbers!(i8),
        kind::UINT8 => numbers!(u8),
        kind::INT16 => numbers!(i16),
        kind::UINT16 => numbers!(u16),
        kind::INT32 => numbers!(i32),
        kind::UINT32 => numbers!(u32),
        kind::SINGLE => numbers!(f32),
        kind::DOUBLE => numbers!(f64),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A 1 x 2 matrix of 16-bit integers, laid out by hand.
    fn made() -> Vec<u8> {
        let mut bytes = b"MATLAB 5.0 MAT-file".to_vec();
        bytes.resize(126, b' ');
        bytes.extend(b"IM");
        let mut body = Vec::new();
        for word in [6u32, 8, 6, 0, 5, 8, 1, 2, 1 << 16 | 1, u32::from(b'x'), 4 << 16 | 3] {
            body.extend(word.to_le_bytes());
        }
        body.extend([(-7i16).to_le_bytes(), 300i16.to_le_bytes()].concat());
        bytes.extend(14u32.to_le_bytes());
        bytes.extend((body.len() as u32).to_le_bytes());
        bytes.extend(body);
        bytes
    }

    #[test]
    fn a_small_matrix_is_read_and_a_file_cut_anywhere_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.mat");
        std::fs::write(&path, made()).unwrap();
        assert_eq!(first_variable(&path).unwrap(), [-7.0, 300.0]);
        for end in 0..made().len() {
            std::fs::write(&path, &made()[..end]).unwrap();
            assert!(first_variable(&path).is_err(), "cut at {end}");
        }
    }
}
