//! Data elements: tag, length and value, with nested sequences of items.

/// Deeper nesting than this is refused.
const MAX_DEPTH: u32 = 16;
const UNDEFINED: u32 = u32::MAX;
const ITEM: u32 = 0xfffe_e000;
const ITEM_END: u32 = 0xfffe_e00d;
const SEQUENCE_END: u32 = 0xfffe_e0dd;

/// Why a data set whose file was cut cannot be read in full.
pub(super) const BEYOND: &str = "a value reaches beyond its end";

/// Why a data set cannot be read: the byte at which, and the reason.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Broken {
    pub(super) at: usize,
    pub(super) why: &'static str,
}

/// The elements of one data set that were asked for; the first of each tag counts.
#[derive(Debug)]
pub(super) struct Set<'a> {
    found: Vec<(u32, Part<'a>)>,
}

/// A stretch of the file and where it starts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part<'a> {
    pub(super) bytes: &'a [u8],
    pub(super) at: usize,
    /// The file was cut: a value or sequence that reaches beyond the end is taken as far as it goes.
    pub(super) cut: bool,
}

impl<'a> Set<'a> {
    /// Reads a data set and keeps the elements with these tags. `explicit`: the type of a value stands with it.
    pub(super) fn read(part: Part<'a>, explicit: bool, tags: &[u32]) -> Result<Self, Broken> {
        let mut cursor = Cursor { part, next: 0, explicit };
        let mut found: Vec<(u32, Part<'a>)> = Vec::new();
        while cursor.next < part.bytes.len() {
            let (tag, value) = match cursor.element(0) {
                Err(_) if part.cut => break,
                element => element?,
            };
            if tags.contains(&tag) && !found.iter().any(|(t, _)| *t == tag) {
                found.push((tag, value));
            }
        }
        Ok(Self { found })
    }

    /// The value of an element.
    pub(super) fn get(&self, tag: u32) -> Option<Part<'a>> {
        self.found.iter().find(|(t, _)| *t == tag).map(|(_, value)| *value)
    }

    /// A value as text without padding; of several values the first.
    pub(super) fn text(&self, tag: u32) -> String {
        let bytes = self.get(tag).map_or(&[][..], |p| p.bytes);
        let (text, _) = crate::source::text_from_bytes(bytes);
        let first = text.split(['\\', '\0']).next().unwrap_or_default();
        first.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>().trim().to_owned()
    }

    /// A decimal string.
    pub(super) fn decimal(&self, tag: u32) -> Option<f64> {
        self.text(tag).parse().ok().filter(|v: &f64| v.is_finite())
    }

    /// A whole number of two or four bytes.
    pub(super) fn whole(&self, tag: u32) -> Option<u32> {
        match *self.get(tag)?.bytes {
            [a, b] => Some(u32::from(u16::from_le_bytes([a, b]))),
            [a, b, c, d] => Some(u32::from_le_bytes([a, b, c, d])),
            _ => None,
        }
    }
}

/// The items of a sequence, at most so many.
pub(super) fn items(part: Part<'_>, explicit: bool, most: usize) -> Result<Vec<Part<'_>>, Broken> {
    let mut cursor = Cursor { part, next: 0, explicit };
    let mut list = Vec::new();
    while cursor.next < part.bytes.len() && list.len() < most {
        match cursor.item(0) {
            Ok(Some(item)) => list.push(item),
            Ok(None) => break,
            Err(_) if part.cut => break,
            Err(broken) => return Err(broken),
        }
    }
    Ok(list)
}

struct Cursor<'a> {
    part: Part<'a>,
    next: usize,
    explicit: bool,
}

impl<'a> Cursor<'a> {
    fn broken<T>(&self, why: &'static str) -> Result<T, Broken> {
        Err(Broken { at: self.part.at + self.next, why })
    }

    fn take(&mut self, len: usize) -> Result<Part<'a>, Broken> {
        let end = self.next.checked_add(len).filter(|end| *end <= self.part.bytes.len());
        let Some(end) = end.or(self.part.cut.then_some(self.part.bytes.len())) else {
            return self.broken(BEYOND);
        };
        let part = self.between(self.next, end);
        self.next = end;
        Ok(part)
    }

    fn between(&self, start: usize, end: usize) -> Part<'a> {
        Part { bytes: &self.part.bytes[start..end], at: self.part.at + start, cut: self.part.cut }
    }

    /// The value from `start` to the end, where the file was cut inside it.
    fn rest(&mut self, start: usize, broken: Broken) -> Result<Part<'a>, Broken> {
        if !self.part.cut {
            return Err(broken);
        }
        self.next = self.part.bytes.len();
        Ok(self.between(start, self.next))
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], Broken> {
        match self.take(N)?.bytes.first_chunk() {
            Some(bytes) => Ok(*bytes),
            None => self.broken(BEYOND),
        }
    }

    fn long(&mut self) -> Result<u32, Broken> {
        Ok(u32::from_le_bytes(self.array()?))
    }

    fn tag(&mut self) -> Result<u32, Broken> {
        let [a, b, c, d] = self.array()?;
        Ok(u32::from_le_bytes([c, d, a, b]))
    }

    /// The next element, its value without the marks that end it.
    fn element(&mut self, depth: u32) -> Result<(u32, Part<'a>), Broken> {
        if depth > MAX_DEPTH {
            return self.broken("sequences are nested too deep");
        }
        let tag = self.tag()?;
        if tag >> 16 == ITEM >> 16 {
            return self.broken("an item stands outside a sequence");
        }
        let length = if self.explicit {
            let kind: [u8; 2] = self.array()?;
            const LONG: [&[u8; 2]; 13] =
                [b"OB", b"OD", b"OF", b"OL", b"OV", b"OW", b"SQ", b"SV", b"UC", b"UN", b"UR", b"UT", b"UV"];
            if LONG.contains(&&kind) {
                let _reserved: [u8; 2] = self.array()?;
                self.long()?
            } else {
                u32::from(u16::from_le_bytes(self.array()?))
            }
        } else {
            self.long()?
        };
        if length != UNDEFINED {
            return Ok((tag, self.take(length as usize)?));
        }
        let start = self.next;
        loop {
            let end = self.next;
            match self.item(depth + 1) {
                Ok(Some(_)) => {}
                Ok(None) => return Ok((tag, self.between(start, end))),
                Err(broken) => return Ok((tag, self.rest(start, broken)?)),
            }
        }
    }

    /// The next item of a sequence, or `None` at the mark that ends the sequence.
    fn item(&mut self, depth: u32) -> Result<Option<Part<'a>>, Broken> {
        let tag = self.tag()?;
        let length = self.long()?;
        match (tag, length) {
            (SEQUENCE_END, _) => Ok(None),
            (ITEM, UNDEFINED) => {
                let start = self.next;
                loop {
                    let end = self.next;
                    let (mark, next) = (self.tag(), std::mem::replace(&mut self.next, end));
                    if mark == Ok(ITEM_END) {
                        self.next = next;
                        self.long()?;
                        return Ok(Some(self.between(start, end)));
                    }
                    if let Err(broken) = self.element(depth + 1) {
                        return self.rest(start, broken).map(Some);
                    }
                }
            }
            (ITEM, _) => self.take(length as usize).map(Some),
            _ => self.broken("a sequence holds something that is no item"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(bytes: &[u8]) -> Part<'_> {
        Part { bytes, at: 0, cut: false }
    }

    #[test]
    fn a_sequence_of_undefined_length_is_read_as_one_of_stated_length() {
        let inner = b"\x3a\x00\x03\x02SH\x02\x00II";
        let stated = [&b"\x00\x54\x00\x01SQ\0\0\x12\0\0\0\xfe\xff\x00\xe0\x0a\0\0\0"[..], inner].concat();
        let open = [
            &b"\x00\x54\x00\x01SQ\0\0\xff\xff\xff\xff\xfe\xff\x00\xe0\xff\xff\xff\xff"[..],
            inner,
            b"\xfe\xff\x0d\xe0\0\0\0\0\xfe\xff\xdd\xe0\0\0\0\0",
        ]
        .concat();
        for bytes in [stated, open] {
            let set = Set::read(whole(&bytes), true, &[0x5400_0100]).unwrap();
            let list = items(set.get(0x5400_0100).unwrap(), true, 9).unwrap();
            assert_eq!(Set::read(list[0], true, &[0x003a_0203]).unwrap().text(0x003a_0203), "II");
        }
    }

    #[test]
    fn nesting_without_end_is_refused() {
        let level = b"\x00\x54\x00\x01SQ\0\0\xff\xff\xff\xff\xfe\xff\x00\xe0\xff\xff\xff\xff";
        let error = Set::read(whole(&level.repeat(100_000)), true, &[]).unwrap_err();
        assert_eq!(error.why, "sequences are nested too deep");
        let error = Set::read(whole(b"\x00\x54\x10\x10OW\0\0\xf0\xff\xff\xff"), true, &[]).unwrap_err();
        assert_eq!((error.at, error.why), (12, "a value reaches beyond its end"));
    }
}
