//! The compact protocol of Apache Thrift, as far as the footer of a Parquet file needs it
//! (`thrift-compact-protocol.md` of Apache Thrift): fields by difference of their number, whole numbers zigzag.

/// Types of fields and list elements.
const TRUE: u8 = 1;
const FALSE: u8 = 2;
const I32: u8 = 5;
const I64: u8 = 6;
const BINARY: u8 = 8;
const LIST: u8 = 9;
const STRUCT: u8 = 12;

/// One struct as it grows. Fields are put in rising order of their number, each less than 16 above the one before.
#[derive(Default)]
pub(super) struct Fields {
    bytes: Vec<u8>,
    last: u8,
}

impl Fields {
    fn field(&mut self, number: u8, kind: u8) {
        self.bytes.push((number - self.last) << 4 | kind);
        self.last = number;
    }

    pub(super) fn bool(mut self, number: u8, value: bool) -> Self {
        self.field(number, if value { TRUE } else { FALSE });
        self
    }

    pub(super) fn i32(mut self, number: u8, value: i32) -> Self {
        self.field(number, I32);
        varint(&mut self.bytes, zigzag(value.into()));
        self
    }

    pub(super) fn i64(mut self, number: u8, value: i64) -> Self {
        self.field(number, I64);
        varint(&mut self.bytes, zigzag(value));
        self
    }

    pub(super) fn text(mut self, number: u8, value: &str) -> Self {
        self.field(number, BINARY);
        binary(&mut self.bytes, value);
        self
    }

    pub(super) fn inner(mut self, number: u8, value: Fields) -> Self {
        self.field(number, STRUCT);
        self.bytes.extend(value.finish());
        self
    }

    pub(super) fn structs(mut self, number: u8, list: Vec<Fields>) -> Self {
        self.list(number, list.len(), STRUCT);
        list.into_iter().for_each(|s| self.bytes.extend(s.finish()));
        self
    }

    pub(super) fn texts(mut self, number: u8, list: &[&str]) -> Self {
        self.list(number, list.len(), BINARY);
        list.iter().for_each(|t| binary(&mut self.bytes, t));
        self
    }

    pub(super) fn i32s(mut self, number: u8, list: &[i32]) -> Self {
        self.list(number, list.len(), I32);
        list.iter().for_each(|n| varint(&mut self.bytes, zigzag((*n).into())));
        self
    }

    fn list(&mut self, number: u8, len: usize, kind: u8) {
        self.field(number, LIST);
        match u8::try_from(len) {
            Ok(short) if short < 15 => self.bytes.push(short << 4 | kind),
            _ => {
                self.bytes.push(0xf0 | kind);
                varint(&mut self.bytes, len as u64);
            }
        }
    }

    /// The bytes with the end mark.
    pub(super) fn finish(mut self) -> Vec<u8> {
        self.bytes.push(0);
        self.bytes
    }
}

fn binary(out: &mut Vec<u8>, text: &str) {
    varint(out, text.len() as u64);
    out.extend(text.bytes());
}

fn zigzag(n: i64) -> u64 {
    (n << 1 ^ n >> 63) as u64
}

/// Seven bits a byte, the lowest first.
pub(super) fn varint(out: &mut Vec<u8>, mut n: u64) {
    while n >= 0x80 {
        out.push(n as u8 | 0x80);
        n >>= 7;
    }
    out.push(n as u8);
}

#[cfg(test)]
mod tests {
    use super::*;

    // The examples of the protocol's own page: 50399 as a variable-length number, -1 and 1 in zigzag.
    #[test]
    fn numbers_are_the_bytes_of_the_published_examples() {
        let mut out = Vec::new();
        varint(&mut out, 50_399);
        assert_eq!(out, [0xdf, 0x89, 0x03]);
        assert_eq!([0, -1, 1, -2, 2].map(zigzag), [0, 1, 2, 3, 4]);
        let made = Fields::default().i32(1, 1).bool(3, true).texts(4, &["ab"]).inner(8, Fields::default());
        assert_eq!(made.finish(), [0x15, 2, 0x21, 0x19, 0x18, 2, b'a', b'b', 0x4c, 0, 0]);
    }
}
