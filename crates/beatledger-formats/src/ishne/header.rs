//! The fixed header of an ISHNE file: 522 bytes, little-endian, text cut at its first NUL.

use std::path::Path;

use beatledger_core::model::{Identity, LocalTime};

use crate::FormatError;
use crate::source::text_from_bytes;
use crate::time::{local_time_from_ymd_hms, local_time_without_date};
use crate::warn::Warnings;

/// Bytes of the fixed header.
pub(super) const FIXED_BYTES: usize = 522;
/// Longest block of free text behind it that is believed.
const MAX_BLOCK_BYTES: i32 = 1 << 24;
const MAX_LEADS: i16 = 12;

/// One lead as the header describes it.
#[derive(Debug, PartialEq)]
pub(super) struct LeadSpec {
    pub(super) name: String,
    /// Nanovolts of one unit; `None` when the file gives none above 0.
    pub(super) resolution_nv: Option<i16>,
}

/// What the header says.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) checksum: u16,
    /// Bytes of free text behind the fixed header.
    pub(super) block_bytes: usize,
    /// Samples, of each lead or of all together.
    pub(super) count: i32,
    /// Where the samples begin.
    pub(super) data_at: u64,
    pub(super) identity: Identity,
    pub(super) start: Option<LocalTime>,
    pub(super) leads: Vec<LeadSpec>,
    pub(super) rate_hz: i16,
}

/// Reads fields at fixed places; the bytes are all there.
struct Fields<'a>(&'a [u8]);

impl Fields<'_> {
    fn bytes<const N: usize>(&self, at: usize) -> [u8; N] {
        self.0.get(at..).and_then(|rest| rest.first_chunk()).copied().unwrap_or([0; N])
    }

    fn short(&self, at: usize) -> i16 {
        i16::from_le_bytes(self.bytes(at))
    }

    fn long(&self, at: usize) -> i32 {
        i32::from_le_bytes(self.bytes(at))
    }

    fn three(&self, at: usize) -> [i16; 3] {
        [0, 2, 4].map(|k| self.short(at + k))
    }

    fn text(&self, at: usize, len: usize) -> String {
        let bytes = self.0.get(at..at + len).unwrap_or_default();
        let (text, _) = text_from_bytes(bytes.split(|b| *b == 0).next().unwrap_or_default());
        text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>().trim().to_owned()
    }
}

/// Parses the fixed header of a file of `file_bytes` bytes.
pub(super) fn parse(
    path: &Path,
    bytes: &[u8; FIXED_BYTES],
    file_bytes: u64,
    warnings: &mut Warnings,
) -> Result<Header, FormatError> {
    let fields = Fields(bytes);
    let number = |place: &str, expected: &str, found: i64| {
        Err(FormatError::malformed(path, place, expected, found.to_string()))
    };
    let block = fields.long(10);
    if !(0..=MAX_BLOCK_BYTES).contains(&block) {
        return number("byte 10", "a text block of 0 to 16777216 bytes", block.into());
    }
    let data_at = fields.long(22);
    let usual = FIXED_BYTES as i32 + block;
    let within = FIXED_BYTES as i32..=FIXED_BYTES as i32 + MAX_BLOCK_BYTES;
    if !within.contains(&data_at) || data_at as u64 >= file_bytes {
        return number("byte 22", "the place of the samples within the file", data_at.into());
    }
    if data_at != usual {
        let text = format!("Expected the samples at byte {usual}, found byte {data_at}; that was taken.");
        warnings.add("data-place", "byte 22", text);
    }
    let count = fields.short(156);
    if !(1..=MAX_LEADS).contains(&count) {
        return number("byte 156", "1 to 12 leads", count.into());
    }
    let rate_hz = fields.short(272);
    if rate_hz <= 0 {
        return number("byte 272", "a sampling rate above 0 Hz", rate_hz.into());
    }
    let version = fields.short(26);
    if version != 1 {
        warnings.add("version", "byte 26", format!("Expected file version 1, found {version}."));
    }
    Ok(Header {
        checksum: fields.short(8) as u16,
        block_bytes: block as usize,
        count: fields.long(14),
        data_at: data_at as u64,
        identity: identity(&fields),
        start: start(&fields, warnings),
        leads: leads(&fields, count as usize, warnings),
        rate_hz,
    })
}

fn identity(fields: &Fields<'_>) -> Identity {
    let [day, month, year] = fields.three(132).map(i32::from);
    let born = local_time_from_ymd_hms((year, month as u32, day as u32), (0, 0, 0, 0));
    let pacemaker = match fields.short(230) {
        1 => "pacemaker of unknown type",
        2 => "pacemaker, single chamber, unipolar",
        3 => "pacemaker, dual chamber, unipolar",
        4 => "pacemaker, single chamber, bipolar",
        5 => "pacemaker, dual chamber, bipolar",
        _ => "",
    };
    let sex = match fields.short(128) {
        1 => "M",
        2 => "F",
        _ => "",
    };
    let join = |parts: &[String], by: &str| {
        parts.iter().filter(|p| !p.is_empty()).cloned().collect::<Vec<_>>().join(by)
    };
    Identity {
        name: join(&[fields.text(28, 40), fields.text(68, 40)], " "),
        code: fields.text(108, 20),
        born: born.map_or_else(String::new, |_| format!("{year:04}-{month:02}-{day:02}")),
        sex: sex.to_owned(),
        recorder: join(&[fields.text(232, 40), fields.text(274, 80), pacemaker.to_owned()], "; "),
        ..Identity::default()
    }
}

fn start(fields: &Fields<'_>, warnings: &mut Warnings) -> Option<LocalTime> {
    let ([day, month, year], clock) = (fields.three(138).map(i32::from), fields.three(150));
    // Numbers below 0 become so large that there is no such time.
    let [hour, minute, second] = clock.map(|n| i32::from(n) as u32);
    let Some(time) = local_time_without_date(hour, minute, second, 0) else {
        let text = format!("There is no time {}:{}:{}; the start is unknown.", clock[0], clock[1], clock[2]);
        warnings.add("start-unreadable", "byte 150", text);
        return None;
    };
    let dated = local_time_from_ymd_hms((year, month as u32, day as u32), (hour, minute, second, 0))
        .filter(|_| year > 0);
    if dated.is_none() {
        warnings.add("date-unknown", "byte 138", "The start date is unknown; only the time of day is known.");
    }
    // Midnight on an unknown date is how an unknown start is written.
    dated.or(Some(time).filter(|t| t.0 != 0))
}

/// Names by the code table of the standard.
pub(super) const LEAD_NAMES: [&str; 20] = [
    "", "", "X", "Y", "Z", "I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6", "ES",
    "AS", "AI",
];

fn leads(fields: &Fields<'_>, count: usize, warnings: &mut Warnings) -> Vec<LeadSpec> {
    let mut leads: Vec<LeadSpec> = Vec::with_capacity(count);
    for i in 0..count {
        let code = fields.short(158 + 2 * i);
        let known = usize::try_from(code).ok().and_then(|c| LEAD_NAMES.get(c)).copied().unwrap_or_default();
        let place = || format!("byte {}", 158 + 2 * i);
        if known.is_empty() && !(0..=1).contains(&code) {
            warnings.add("lead-code", place(), format!("Lead {} has the unknown code {code}.", i + 1));
        }
        let mut name = if known.is_empty() { format!("ECG {}", i + 1) } else { known.to_owned() };
        if leads.iter().any(|l| l.name == name) {
            warnings.add("lead-code", place(), format!("Two leads are called {name}."));
            name = format!("{name} ({})", i + 1);
        }
        let resolution_nv = Some(fields.short(206 + 2 * i)).filter(|r| *r > 0);
        if resolution_nv.is_none() {
            let text = format!(
                "{name} has no resolution; 200 units per mV are assumed, amplitudes are not calibrated."
            );
            warnings.add("uncalibrated", format!("byte {}", 206 + 2 * i), text);
        }
        leads.push(LeadSpec { name, resolution_nv });
    }
    leads
}
