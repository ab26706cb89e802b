//! The beats and events of an EDF+ file that was written with them.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use beatledger_core::model::Span;
use sha2::Sha256;

use super::fields::BLOCK;
use super::mark::Mark;
use super::plan::Plan;
use super::read::read_header;
use super::tal;
use crate::FormatError;
use crate::source::Source;
use crate::warn::Warnings;

/// Beats and events of an EDF+ file that was written with them, sorted by start; empty when it holds none. The
/// places are samples at the rate of the leads.
///
/// # Errors
/// One sentence when the file is no EDF+ file that can be read.
pub fn read_marks(path: impl AsRef<Path>) -> Result<Vec<(Span, Mark)>, FormatError> {
    let path = path.as_ref();
    let (mut hash, mut warnings) = (Sha256::default(), Warnings::default());
    let mut source = Source::open(path)?;
    let header = read_header(path, &mut source, &mut hash, &mut warnings)?;
    let plan = Plan::of(path, &header, &mut warnings)?;
    let failed = |e| FormatError::io(path, "reading", e);
    let mut file = BufReader::with_capacity(1 << 20, File::open(path).map_err(failed)?);
    let data_at = (BLOCK * (header.signals.len() + 1)) as u64;
    std::io::copy(&mut (&mut file).take(data_at), &mut std::io::sink()).map_err(failed)?;
    // A record is no longer than its header says, and no memory is taken before its bytes are there.
    let (mut record, mut first_s, mut out) = (Vec::new(), None, Vec::new());
    loop {
        record.clear();
        (&mut file).take(header.shape.bytes).read_to_end(&mut record).map_err(failed)?;
        if (record.len() as u64) < header.shape.bytes {
            break;
        }
        for i in &plan.annotations {
            let (at, len) = header.shape.parts[*i];
            for entry in tal::parse(&record[at as usize..(at + len) as usize]).flatten() {
                let first_s = *first_s.get_or_insert(entry.onset_s);
                let start = plan.rate.samples_from_seconds(entry.onset_s - first_s);
                let end = start.saturating_add(plan.rate.samples_from_seconds(entry.duration_s));
                let marks = entry.texts.iter().filter_map(|t| Mark::from_text(t));
                out.extend(marks.map(|m| (Span::new(start, end), m)));
            }
        }
    }
    out.sort_by_key(|(span, _)| *span);
    Ok(out)
}
