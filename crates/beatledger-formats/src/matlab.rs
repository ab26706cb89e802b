//! The first numeric variable of a MATLAB level 5 file, as the published layout has it ('MAT-File Format', level 5):
//! a header of 128 bytes, then elements of type, length and data, compressed ones among them.
//!
//! It gives numbers, not a recording: the layout says nothing of leads, rates or units. Names of variables, text,
//! cells, structures and big-endian files are not read.

use std::io::Read as _;
use std::path::Path;

use crate::FormatError;

/// Length of the header, bytes.
const HEADER_BYTES: usize = 128;
/// A longer file is refused, and all compressed variables of a file together are unpacked no further. A day of one
/// lead at 250 Hz in 16 bits takes 43 MB.
const MAX_BYTES: u64 = 1 << 26;

/// Types of elements.
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

/// Classes of matrices that hold numbers, from double precision to unsigned integers of 64 bits.
const NUMERIC_CLASSES: std::ops::RangeInclusive<u8> = 6..=15;

/// The values of the first numeric variable, column by column.
///
/// # Errors
/// One sentence when the file cannot be read, is no such file, is too long, or holds no numeric variable.
pub fn first_variable(path: impl AsRef<Path>) -> Result<Vec<f64>, FormatError> {
    let path = path.as_ref();
    let file = std::fs::File::open(path).map_err(|e| FormatError::io(path, "opening", e))?;
    let mut bytes = Vec::new();
    file.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(|e| FormatError::io(path, "reading", e))?;
    if bytes.len() as u64 > MAX_BYTES {
        return Err(FormatError::unsupported(path, format!("MATLAB files are read up to {MAX_BYTES} bytes")));
    }
    let is_level_5 = bytes.starts_with(b"MATLAB 5.0") && bytes.get(126..HEADER_BYTES) == Some(b"IM");
    let after_header = bytes.get(HEADER_BYTES..).filter(|_| is_level_5).ok_or_else(|| {
        FormatError::malformed(path, "byte 0", "a little-endian MATLAB level 5 file", "something else")
    })?;
    values(after_header)
        .ok_or_else(|| FormatError::malformed(path, "all variables", "one of numbers, whole", "none"))
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
    let length = word(4)? as usize;
    let (data, rest) = bytes.get(8..)?.split_at_checked(length)?;
    let padding = if tag == kind::COMPRESSED { 0 } else { length.wrapping_neg() % 8 };
    Some((tag, data, rest.get(padding..).unwrap_or_default()))
}

/// The values of the first element that holds a numeric variable.
fn values(mut bytes: &[u8]) -> Option<Vec<f64>> {
    let mut unpacked_left = MAX_BYTES;
    loop {
        let (tag, data, rest) = element(bytes)?;
        let found = match tag {
            kind::COMPRESSED => {
                let mut plain = Vec::new();
                flate2::read::ZlibDecoder::new(data).take(unpacked_left).read_to_end(&mut plain).ok()?;
                unpacked_left -= plain.len() as u64;
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
    let (_, flags, rest) = element(bytes)?;
    if !NUMERIC_CLASSES.contains(flags.first()?) {
        return None;
    }
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
    use std::io::Write as _;

    use super::*;

    fn header() -> Vec<u8> {
        let mut bytes = b"MATLAB 5.0 MAT-file".to_vec();
        bytes.resize(126, b' ');
        bytes.extend(b"IM");
        bytes
    }

    /// A 1 x 2 matrix of 16-bit integers of a class, laid out by hand.
    fn variable(class: u32) -> Vec<u8> {
        let words = [6, 8, class, 0, 5, 8, 1, 2, 1 << 16 | 1, u32::from(b'x'), 4 << 16 | 3];
        let mut body: Vec<u8> = words.iter().flat_map(|word: &u32| word.to_le_bytes()).collect();
        body.extend([(-7i16).to_le_bytes(), 300i16.to_le_bytes()].concat());
        [&14u32.to_le_bytes()[..], &(body.len() as u32).to_le_bytes(), &body].concat()
    }

    fn compressed(variable: &[u8]) -> Vec<u8> {
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
        encoder.write_all(variable).unwrap();
        let packed = encoder.finish().unwrap();
        [&15u32.to_le_bytes()[..], &(packed.len() as u32).to_le_bytes(), &packed].concat()
    }

    fn read(bytes: &[u8]) -> Result<Vec<f64>, FormatError> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.mat");
        std::fs::write(&path, bytes).unwrap();
        first_variable(&path)
    }

    const INT16: u32 = 10;
    const CHAR: u32 = 4;

    #[test]
    fn the_first_variable_of_numbers_is_read_plain_or_compressed_and_text_before_it_is_passed_over() {
        let plain = variable(INT16);
        for file in [
            [header(), plain.clone()],
            [header(), compressed(&plain)],
            [header(), [variable(CHAR), plain.clone()].concat()],
            [header(), [compressed(&variable(CHAR)), compressed(&plain)].concat()],
        ] {
            assert_eq!(read(&file.concat()).unwrap(), [-7.0, 300.0]);
        }
    }

    #[test]
    fn a_file_cut_anywhere_or_without_numbers_is_refused_in_one_sentence() {
        for sound in [[header(), variable(INT16)].concat(), [header(), compressed(&variable(INT16))].concat()]
        {
            for end in 0..sound.len() {
                let told = read(&sound[..end]).unwrap_err().to_string();
                assert!(told.starts_with("a.mat, ") && told.contains("expected"), "cut at {end}: {told}");
            }
        }
        let told = read(&[header(), variable(CHAR)].concat()).unwrap_err().to_string();
        assert_eq!(told, "a.mat, all variables: expected one of numbers, whole, found none");
    }

    /// A length of four thousand million, and zeros that pack a thousandfold: what is kept stays bounded.
    #[test]
    fn claims_and_packed_zeros_take_no_memory_beyond_the_limit() {
        let claim = [&14u32.to_le_bytes()[..], &u32::MAX.to_le_bytes(), &[0; 8]].concat();
        assert!(read(&[header(), claim].concat()).is_err());
        let zeros = compressed(&vec![0; 1 << 20]);
        assert!(read(&[header(), zeros.repeat(80), compressed(&variable(INT16))].concat()).is_err());
        assert_eq!(
            read(&[header(), zeros.repeat(8), compressed(&variable(INT16))].concat()).unwrap().len(),
            2
        );
    }
}
