//! How signal files store samples: one function a format.

/// A storage format: how bytes become samples.
pub(super) struct Coding {
    /// Number in the header.
    pub(super) number: u16,
    /// Value that means 'no sample here'.
    pub(super) missing: i16,
    /// Bytes and samples of the smallest unit that can be decoded alone.
    pub(super) pack_bytes: usize,
    pub(super) pack_samples: usize,
    /// Samples in a last, incomplete unit of so many bytes.
    pub(super) samples_in_tail: fn(usize) -> usize,
    /// Appends the samples of whole units, and of an incomplete last one, to the list.
    pub(super) decode: fn(&[u8], &mut Vec<i16>),
}

const CODINGS: [Coding; 2] = [
    Coding {
        number: 16,
        missing: i16::MIN,
        pack_bytes: 2,
        pack_samples: 1,
        samples_in_tail: |_| 0,
        decode: decode_16,
    },
    Coding {
        number: 212,
        missing: -2048,
        pack_bytes: 3,
        pack_samples: 2,
        samples_in_tail: |bytes| bytes / 2,
        decode: decode_212,
    },
];

/// Formats that are read, in words.
pub(super) const READ_IN_WORDS: &str = "16 and 212 are";

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

/// 16-bit two's complement, little-endian.
fn decode_16(bytes: &[u8], out: &mut Vec<i16>) {
    out.extend(bytes.as_chunks::<2>().0.iter().map(|b| i16::from_le_bytes(*b)));
}

/// Two 12-bit two's complement samples in three bytes.
fn decode_212(bytes: &[u8], out: &mut Vec<i16>) {
    let low = |b0: u8, b1: u8| i16::from_le_bytes([b0, b1 << 4 >> 4]) << 4 >> 4;
    let (packs, tail) = bytes.as_chunks::<3>();
    for [b0, b1, b2] in packs {
        out.extend([low(*b0, *b1), low(*b2, *b1 >> 4)]);
    }
    if let [b0, b1] = tail {
        out.push(low(*b0, *b1));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAMES: [i16; 10] = [0, 1, 2047, -2048, -1, 5, 100, -100, 1024, -1024];

    fn decoded(number: u16, bytes: &[u8]) -> Vec<i16> {
        let mut out = Vec::new();
        (Coding::of(number).unwrap().decode)(bytes, &mut out);
        out
    }

    // Bytes as written by the Python package `wfdb` 4.3.1.
    const BYTES_212: [u8; 15] = [0, 0, 1, 0xff, 0x87, 0, 0xff, 0x0f, 5, 0x64, 0xf0, 0x9c, 0, 0xc4, 0];

    #[test]
    fn format_212_unpacks_the_published_vector() {
        assert_eq!(decoded(212, &BYTES_212), FRAMES);
    }

    #[test]
    fn format_212_with_an_odd_number_of_samples_ends_in_two_bytes() {
        assert_eq!(decoded(212, &BYTES_212[..5]), [0, 1, 2047]);
        let coding = Coding::of(212).unwrap();
        assert_eq!([3, 4, 5, 6].map(|bytes| coding.samples_in(bytes)), [2, 2, 3, 4]);
    }

    #[test]
    fn format_16_is_little_endian() {
        let bytes = [0, 0, 1, 0, 0xff, 7, 0, 0xf8, 0xff, 0xff, 5, 0, 0x64, 0, 0x9c, 0xff, 0, 4, 0, 0xfc];
        assert_eq!(decoded(16, &bytes), FRAMES);
        assert!(Coding::of(310).is_none());
    }
}
