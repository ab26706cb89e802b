//! The fixed header of an ISHNE file that is written; the block of free text is left empty.

use beatledger_core::model::{LocalTime, Recording};

use super::checksum::crc16;
use super::header::FIXED_BYTES;
use crate::error::shown;
use crate::time::{date_is_known, ymd_from_iso, ymd_from_local_time};
use crate::warn::Warnings;

/// A field that says 'not there'.
const ABSENT: i16 = -9;
/// Number of places for leads in the header.
const PLACES: usize = 12;

/// What the header says of a lead, and what is taken off its samples.
pub(super) struct LeadFields {
    pub(super) code: i16,
    /// Nanovolts of one unit; 0 when not calibrated.
    pub(super) resolution_nv: i16,
    pub(super) zero: i32,
    pub(super) negative: bool,
}

/// The 522 bytes, with a right checksum. Fails with a sentence for a rate or a length that the fields cannot hold.
pub(super) fn header(
    recording: &Recording,
    leads: &[LeadFields],
    magic: &[u8; 8],
    warnings: &mut Warnings,
) -> Result<Vec<u8>, String> {
    let (samples, seconds) = recording.rate.parts();
    let rate = i16::try_from(samples / seconds).ok().filter(|hz| *hz > 0 && samples % seconds == 0);
    let rate = rate.ok_or_else(|| {
        let hz = recording.rate.hz();
        format!("ISHNE holds a whole number of samples per second up to 32767, the recording has {hz}")
    })?;
    let count = i32::try_from(recording.samples).map_err(|_| {
        format!("ISHNE holds at most 2147483647 samples, the recording has {}", recording.samples)
    })?;
    let mut head = Head { bytes: vec![0; FIXED_BYTES], warnings };
    head.put(0, magic);
    head.long(14, count);
    head.long(18, FIXED_BYTES as i32);
    head.long(22, FIXED_BYTES as i32);
    head.short(26, 1);
    head.identity(recording);
    head.start(recording.start);
    head.short(156, leads.len() as i16);
    for place in 0..PLACES {
        let lead = leads.get(place);
        head.short(158 + 2 * place, lead.map_or(ABSENT, |l| l.code));
        head.short(182 + 2 * place, lead.map_or(ABSENT, |_| 0));
        head.short(206 + 2 * place, lead.map_or(ABSENT, |l| l.resolution_nv));
    }
    head.short(272, rate);
    let crc = crc16(&head.bytes[10..]);
    head.put(8, &crc.to_le_bytes());
    Ok(head.bytes)
}

/// The header as its fields are put in place; all places lie within it.
struct Head<'a> {
    bytes: Vec<u8>,
    warnings: &'a mut Warnings,
}

impl Head<'_> {
    fn put(&mut self, at: usize, bytes: &[u8]) {
        for (to, from) in self.bytes[at..].iter_mut().zip(bytes) {
            *to = *from;
        }
    }

    fn short(&mut self, at: usize, value: i16) {
        self.put(at, &value.to_le_bytes());
    }

    fn long(&mut self, at: usize, value: i32) {
        self.put(at, &value.to_le_bytes());
    }

    fn text(&mut self, at: usize, len: usize, text: &str) {
        let text = text.trim();
        let cut = (0..=len).rev().find(|n| text.is_char_boundary(*n)).unwrap_or(0);
        if cut < text.len() {
            let said = format!("{} was cut to {len} bytes.", shown(text));
            self.warnings.add("text-cut", format!("byte {at}"), said);
        }
        self.put(at, &text.as_bytes()[..cut.min(text.len())]);
    }

    fn date(&mut self, at: usize, date: Option<(i32, u32, u32)>) {
        let whole = date.filter(|(y, _, _)| (1..=9999).contains(y));
        let (y, m, d) = whole.map_or((0, 0, 0), |(y, m, d)| (y as i16, m as i16, d as i16));
        for (k, value) in [d, m, y].into_iter().enumerate() {
            self.short(at + 2 * k, value);
        }
    }

    fn identity(&mut self, recording: &Recording) {
        let who = &recording.identity;
        let (first, last) = who.name.trim().rsplit_once(' ').unwrap_or(("", who.name.trim()));
        self.text(28, 40, first);
        self.text(68, 40, last);
        self.text(108, 20, &who.code);
        let sex = match who.sex.trim().chars().next().map(|c| c.to_ascii_uppercase()) {
            Some('M') => 1,
            Some('F' | 'W') => 2,
            _ => 0,
        };
        self.short(128, sex);
        self.date(132, ymd_from_iso(&who.born));
        let place = if who.recorder.len() > 40 { (274, 80) } else { (232, 40) };
        self.text(place.0, place.1, &who.recorder);
    }

    /// Start date and time of day; the date of making is not told, so that the same input gives the same bytes.
    fn start(&mut self, start: Option<LocalTime>) {
        let date = start.filter(|s| date_is_known(*s)).and_then(ymd_from_local_time);
        self.date(138, date);
        let ms = start.map_or(0, LocalTime::ms_of_day);
        if ms % 1000 != 0 {
            let text = format!("ISHNE holds whole seconds: {} ms of the start were left out.", ms % 1000);
            self.warnings.add("start-rounded", "byte 150", text);
        }
        let s = ms / 1000;
        for (k, value) in [s / 3600, s / 60 % 60, s % 60].into_iter().enumerate() {
            // At most 59, or 23 for the hour.
            self.short(150 + 2 * k, value as i16);
        }
    }
}
