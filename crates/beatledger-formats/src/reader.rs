//! The one way in: finds the format of a file from its content and reads it with the reader of that format.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use beatledger_core::model::{DiaryEntry, Recording, Warning};

use crate::known::{self, READ_IN_WORDS};
use crate::{FormatError, diary, dicom, edf, ishne, rr, table, time, wfdb};

/// This many bytes from the start of a file decide on its format.
pub(crate) const HEAD_BYTES: u64 = 4096;

/// A format that can be told from its first bytes. A new format is one more row in [`readers`].
pub trait Reader: Sync {
    /// The format in words, such as `EDF`.
    fn name(&self) -> &'static str;

    /// True when `head`, the first bytes of the file (up to 4096), can only be this format.
    fn recognises(&self, head: &[u8]) -> bool;

    /// Reads the recording.
    ///
    /// # Errors
    /// One sentence that names the file, the place, what was expected and what was found.
    fn read(&self, path: &Path) -> Result<Recording, FormatError>;

    /// Reads as much as the first tracing needs; see [`glance`].
    fn glance(&self, _path: &Path) -> Option<Recording> {
        None
    }
}

/// All formats in the order in which they are tried.
pub fn readers() -> &'static [&'static dyn Reader] {
    const ALL: &[&dyn Reader] = &[
        &edf::EdfReader,
        &edf::BdfReader,
        &ishne::IshneReader,
        &known::ISHNE_ANNOTATION,
        &dicom::DicomReader,
        &known::SCP,
        &known::MATLAB,
        &known::AECG,
        &known::XML,
        &rr::RrReader,
        &table::TableReader,
        &wfdb::WfdbReader,
    ];
    ALL
}

/// Opens a recording: an EDF, BDF, ISHNE or DICOM ECG file, a table of samples, a WFDB header, a signal file beside its
/// header, or a folder that holds one WFDB record. A diary `<stem>.diary.csv` beside it is read too, and a warning `diary-found` says so.
///
/// # Errors
/// One sentence that names the file, the place, what was expected and what was found.
pub fn open(path: impl AsRef<Path>) -> Result<Recording, FormatError> {
    let path = path.as_ref();
    let mut recording = read_any(path)?;
    believable(path, &recording)?;
    add_diary(&mut recording, path);
    note_clock_change(&mut recording);
    // The same line may stand in the file and in the diary beside it: it was lived once.
    recording.diary.sort_by_key(|entry| entry.span);
    let mut seen: Vec<DiaryEntry> = Vec::with_capacity(recording.diary.len());
    for entry in recording.diary.drain(..) {
        let twin =
            seen.iter().rev().take_while(|other| other.span == entry.span).any(|other| *other == entry);
        if !twin {
            seen.push(entry);
        }
    }
    recording.diary = seen;
    Ok(recording)
}

/// Fewer samples a second than this are no ECG: a file that claims them would last for years, and what is worked out second by
/// second would fill the memory (design choice).
const LEAST_HZ: f64 = 1.0;

fn believable(path: &Path, recording: &Recording) -> Result<(), FormatError> {
    let hz = recording.rate.hz();
    if hz >= LEAST_HZ {
        return Ok(());
    }
    Err(FormatError::malformed(
        path,
        "header",
        "an ECG of one sample a second or more",
        format!("{hz} a second"),
    ))
}

/// A first look at a recording, so that its tracing can be drawn while [`open`] still reads: leads, length, start.
/// There is no hash and no diary yet, a continuous EDF file is believed to be so, and warnings that need the
/// whole file are not there. Never analyse, edit or report what this gives.
///
/// `None` where the format has no look quicker than reading it all, and where the file cannot be read: [`open`]
/// tells why.
pub fn glance(path: impl AsRef<Path>) -> Option<Recording> {
    let path = path.as_ref();
    let head = head_of(path).ok()?;
    readers().iter().find(|r| r.recognises(&head))?.glance(path)
}

/// Says when the recording holds a night in which clocks may have changed: no format here tells the zone.
fn note_clock_change(recording: &mut Recording) {
    let ends = recording.start.zip(recording.local_time(recording.samples));
    let Some((year, month, day)) = ends.and_then(|(start, end)| time::usual_clock_change(start, end)) else {
        return;
    };
    let text = format!(
        "The night to Sunday {year:04}-{month:02}-{day:02}, in which clocks change in many places, lies in the recording. The file does not tell where it was worn; all times are those of the recorder's own clock."
    );
    recording.warnings.push(Warning::new("clock-change", "", text));
}

fn read_any(path: &Path) -> Result<Recording, FormatError> {
    if path.is_dir() {
        return wfdb::WfdbReader.read(&only_header_in(path)?);
    }
    let head = head_of(path)?;
    if let Some(reader) = readers().iter().find(|r| r.recognises(&head)) {
        return reader.read(path);
    }
    if let Some(header) = header_that_names(path) {
        return wfdb::WfdbReader.read(&header);
    }
    let what = if head.is_empty() {
        format!("the file is empty; a recording ({READ_IN_WORDS}) was expected")
    } else {
        format!(
            "its content is no recording that is known ({READ_IN_WORDS}), and no .hea file beside it names it as its signal file"
        )
    };
    Err(FormatError::unsupported(path, what))
}

fn head_of(path: &Path) -> Result<Vec<u8>, FormatError> {
    let file = File::open(path).map_err(|e| FormatError::io(path, "opening", e))?;
    if !file.metadata().map_err(|e| FormatError::io(path, "opening", e))?.is_file() {
        return Err(FormatError::unsupported(path, "this is no regular file; a recording file is needed"));
    }
    let mut head = Vec::new();
    file.take(HEAD_BYTES).read_to_end(&mut head).map_err(|e| FormatError::io(path, "reading", e))?;
    Ok(head)
}

/// The `.hea` files of a folder, sorted by name.
fn headers_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let paths = entries.filter_map(|e| Some(e.ok()?.path()));
    let mut list: Vec<_> = paths.filter(|p| p.extension().is_some_and(|e| e == "hea")).collect();
    list.sort();
    list
}

/// The header of the one record in a folder; beside segments it is the header that joins them.
fn only_header_in(folder: &Path) -> Result<PathBuf, FormatError> {
    const MAX_TRIED: usize = 1000;
    let headers = headers_in(folder);
    if let [only] = headers.as_slice() {
        return Ok(only.clone());
    }
    let joins = |h: &&PathBuf| wfdb::read_header(h).is_ok_and(|h| h.segments.is_some());
    let mut joining = headers.iter().take(MAX_TRIED).filter(joins);
    match (joining.next(), joining.next()) {
        (Some(only), None) => Ok(only.clone()),
        _ => {
            let expected = "exactly one WFDB header (.hea), or one that joins the others";
            Err(FormatError::malformed(folder, "folder", expected, format!("{}", headers.len())))
        }
    }
}

/// The header beside a signal file that names it: `<stem>.hea` first, then any other in the folder.
fn header_that_names(path: &Path) -> Option<PathBuf> {
    const MAX_TRIED: usize = 1000;
    let name = path.file_name()?.to_str()?;
    let names_it =
        |header: &PathBuf| wfdb::read_header(header).is_ok_and(|h| h.signals.iter().any(|s| s.file == name));
    let beside = path.with_extension("hea");
    if beside.is_file() && names_it(&beside) {
        return Some(beside);
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    headers_in(folder).into_iter().take(MAX_TRIED).find(names_it)
}

/// Reads `<stem>.diary.csv` beside the recording, if there is one, into the recording's diary.
fn add_diary(recording: &mut Recording, path: &Path) {
    let folder = if path.is_dir() { path } else { path.parent().unwrap_or(Path::new("")) };
    let file = folder.join(format!("{}.diary.csv", recording.name));
    if !file.is_file() {
        return;
    }
    let shown = crate::error::file_name(&file);
    match diary::read(&file, recording.start, recording.rate) {
        Ok(found) => {
            let text =
                format!("{} diary entries were read from {shown} beside the recording.", found.entries.len());
            recording.warnings.push(Warning::new("diary-found", "", text));
            recording.warnings.extend(found.warnings);
            recording.diary.extend(found.entries);
            recording.diary.sort_by_key(|e| e.span);
        }
        Err(error) => {
            let text = format!("{error}. The recording was opened without this diary.");
            recording.warnings.push(Warning::new("diary-unreadable", "", text));
        }
    }
}
