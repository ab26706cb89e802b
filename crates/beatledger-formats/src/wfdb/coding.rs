//! How signal files store samples: one function a format.

use crate::samples::i32_from_24_bits;

/// A storage format: how bytes become samples.
pub(super) struct Coding {
    /// Number in the header.
    pub(super) number: u16,
    /// Value that means 'no sample here', where the format has one.
    pub(super) missing: Option<i32>,
    /// Samples may need more than 16 bits.
    pub(super) wide: bool,
    /// Samples are the steps from one to the next.
    pub(super) steps: bool,
    /// Bytes and samples of the smallest unit that can be decoded alone.
    pub(super) pack_bytes: usize,
    pub(super) pack_samples: usize,
    /// Samples in a last, incomplete unit of so many bytes.
    pub(super) samples_in_tail: fn(usize) -> usize,
    /// Appends the samples of whole units, and of an incomplete last one, to the list.
    pub(super) decode: fn(&[u8], &mut Vec<i32>),
}

/// A format of whole bytes a sample, `bits` wide.
const fn plain(number: u16, bits: u32, bytes: usize, decode: fn(&[u8], &mut Vec<i32>)) -> Coding {
    Coding {
        number,
        missing: Some(-1 << (bits - 1)),
        wide: bits > 16,
        steps: false,
        pack_bytes: bytes,
        pack_samples: 1,
        samples_in_tail: |_| 0,
        decode,
    }
}

const PACKED_12: Coding =
    Coding { pack_samples: 2, samples_in_tail: |bytes| bytes / 2, ..plain(212, 12, 3, decode_212) };
/// The first sample of a group of three needs two bytes, the second three (311) or four (310).
const PACKED_310: Coding =
    Coding { pack_samples: 3, samples_in_tail: |bytes| bytes / 2, ..plain(310, 10, 4, decode_310) };
const PACKED_311: Coding = Coding {
    pack_samples: 3,
    samples_in_tail: |bytes| bytes.saturating_sub(1),
    ..plain(311, 10, 4, decode_311)
};
const STEPS_8: Coding = Coding { missing: None, wide: true, steps: true, ..plain(8, 8, 1, decode_8) };

const CODINGS: [Coding; 10] = [
    STEPS_8,
    plain(16, 16, 2, |b, out| out.extend(b.as_chunks().0.iter().map(|b| i16::from_le_bytes(*b) as i32))),
    plain(24, 24, 3, |b, out| out.extend(b.as_chunks().0.iter().map(|b| i32_from_24_bits(*b)))),
    plain(32, 32, 4, |b, out| out.extend(b.as_chunks().0.iter().map(|b| i32::from_le_bytes(*b)))),
    plain(61, 16, 2, |b, out| out.extend(b.as_chunks().0.iter().map(|b| i16::from_be_bytes(*b) as i32))),
    plain(80, 8, 1, |b, out| out.extend(b.iter().map(|b| i32::from(*b) - 128))),
    plain(160, 16, 2, |b, out| {
        out.extend(b.as_chunks().0.iter().map(|b| u16::from_le_bytes(*b) as i32 - 32768))
    }),
    PACKED_12,
    PACKED_310,
    PACKED_311,
];

/// Formats that are read, in words.
pub(super) const READ_IN_WORDS: &str = "8, 16, 24, 32, 61, 80, 160, 212, 310 and 311 are";

impl Coding {
    /// The coding of a format number, when it is read.
    pub(super) fn of(number: u16) -> Option<&'static Coding> {
        CODINGS.iter().find(|c| c.number == number)
    }

    /// Samples in so many bytes.
    pub(super) fn samples_in(&self, bytes: u64) -> u64 {
        let tail = (self.samples_in_tail)((bytes % self.pack_bytes as u64) as usize);
        bytes / self.pack_bytes as u64 * self.pack_samples as u64 + tail as u64
    }
}

/// First differences of 8 bits each.
fn decode_8(bytes: &[u8], out: &mut Vec<i32>) {
    out.extend(bytes.iter().map(|b| i32::from(*b as i8)));
}

/// Two 12-bit two's complement samples in three bytes.
fn decode_212(bytes: &[u8], out: &mut Vec<i32>) {
    let low = |b0: u8, b1: u8| i32::from(i16::from_le_bytes([b0, b1 << 4 >> 4]) << 4 >> 4);
    let (packs, tail) = bytes.as_chunks::<3>();
    for [b0, b1, b2] in packs {
        out.extend([low(*b0, *b1), low(*b2, *b1 >> 4)]);
    }
    if let [b0, b1] = tail {
        out.push(low(*b0, *b1));
    }
}

/// The low ten bits as a two's complement number.
fn ten_bits(value: u32) -> i32 {
    (value << 22) as i32 >> 22
}

/// Three 10-bit samples in two 16-bit words: two in bits 1 to 10, the third spread over the top bits.
fn decode_310(bytes: &[u8], out: &mut Vec<i32>) {
    let word = |a: u8, b: u8| u32::from(u16::from_le_bytes([a, b]));
    let (packs, tail) = bytes.as_chunks::<4>();
    for [a, b, c, d] in packs {
        let (first, second) = (word(*a, *b), word(*c, *d));
        let third = first >> 11 | second >> 11 << 5;
        out.extend([first >> 1, second >> 1, third].map(ten_bits));
    }
    if let [a, b, ..] = tail {
        out.push(ten_bits(word(*a, *b) >> 1));
    }
}

/// Three 10-bit samples from the low bits of a 32-bit word.
fn decode_311(bytes: &[u8], out: &mut Vec<i32>) {
    let (packs, tail) = bytes.as_chunks::<4>();
    for pack in packs {
        let word = u32::from_le_bytes(*pack);
        out.extend([word, word >> 10, word >> 20].map(ten_bits));
    }
    let at = |i: usize| u32::from(tail.get(i).copied().unwrap_or(0)) << (8 * i);
    let word = at(0) | at(1) | at(2);
    let count = (PACKED_311.samples_in_tail)(tail.len());
    out.extend([word, word >> 10].into_iter().take(count).map(ten_bits));
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAMES: [i32; 10] = [0, 1, 2047, -2048, -1, 5, 100, -100, 1024, -1024];
    const SIX: [i32; 6] = [1, -2, 511, -512, 300, -300];

    fn bytes(hex: &str) -> Vec<u8> {
        let digits: Vec<u8> = hex.bytes().filter(|b| *b != b' ').collect();
        let byte = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap();
        digits.chunks(2).map(byte).collect()
    }

    fn decoded(number: u16, hex: &str) -> Vec<i32> {
        let mut out = Vec::new();
        (Coding::of(number).unwrap().decode)(&bytes(hex), &mut out);
        out
    }

    // Bytes of 16, 24 and 212 as written by the Python package `wfdb` 4.3.1.
    #[test]
    fn two_signals_read_from_the_bytes_that_the_reference_library_wrote() {
        assert_eq!(decoded(212, "000001 ff8700 ff0f05 64f09c 00c400"), FRAMES);
        assert_eq!(decoded(16, "0000 0100 ff07 00f8 ffff 0500 6400 9cff 0004 00fc"), FRAMES);
        let wide = "000000 010000 ff0700 00f8ff ffffff 050000 640000 9cffff 000400 00fcff";
        assert_eq!(decoded(24, wide), FRAMES);
    }

    // Bytes put together by the bit layouts of the manual page `signal(5)`, read back by the same package.
    #[test]
    fn ten_bit_big_endian_and_offset_formats_read_by_their_layout() {
        assert_eq!(decoded(310, "02f8fc7f 00a458b2"), SIX);
        assert_eq!(decoded(311, "01f8ff1f 00b2442d"), SIX);
        assert_eq!(decoded(311, "01f8ffdf 00b244ed"), SIX, "the two unused bits say nothing");
        assert_eq!(decoded(61, "0001 fffe 01ff fe00 012c fed4"), SIX);
        assert_eq!(decoded(160, "0180 fe7f ff81 007e 2c81 d47e"), SIX);
        assert_eq!(decoded(80, "00 80 ff"), [-128, 0, 127]);
        assert_eq!(decoded(32, "00000080 ffffff7f"), [i32::MIN, i32::MAX]);
        assert_eq!(decoded(8, "05 fd 7f 80 00 01"), [5, -3, 127, -128, 0, 1], "steps, not yet added up");
    }

    #[test]
    fn a_packed_file_may_end_within_a_pack() {
        assert_eq!(decoded(212, "000001 ff87"), [0, 1, 2047]);
        assert_eq!(decoded(310, "02f8fc7f 00a4"), [1, -2, 511, -512]);
        assert_eq!(decoded(311, "01f8ff1f 00b2"), [1, -2, 511, -512]);
        assert_eq!(decoded(311, "01f8ff1f 00b244"), [1, -2, 511, -512, 300]);
        let count = |number: u16| [3, 4, 5, 6, 7].map(|n| Coding::of(number).unwrap().samples_in(n));
        assert_eq!(count(212), [2, 2, 3, 4, 4]);
        assert_eq!(count(310), [1, 3, 3, 4, 4]);
        assert_eq!(count(311), [2, 3, 3, 4, 5]);
    }

    #[test]
    fn the_value_for_no_sample_is_the_lowest_of_each_format() {
        let missing = [16, 24, 32, 61, 80, 160, 212, 310, 311].map(|n| Coding::of(n).unwrap().missing);
        let lowest = [-32768, -8_388_608, i32::MIN, -32768, -128, -32768, -2048, -512, -512];
        assert_eq!(missing, lowest.map(Some));
        assert_eq!(Coding::of(8).unwrap().missing, None);
        assert!(Coding::of(516).is_none());
    }
}
