//! Writes what the readers read as plain numbers, so that scripts in other languages can compare it.
//!
//!     cargo run -p beatledger-formats --example raw -- OUT_DIR FILE...
//!
//! For the n-th file: `n.json` with rate, leads or annotations, or the refusal; `n-k.i32` with the raw integers of
//! lead k, four bytes each, little-endian.

use std::io;
use std::path::Path;

use beatledger_formats::wfdb::read_annotations;
use beatledger_formats::{FormatError, open};
use serde_json::{Value, json};

fn main() -> io::Result<()> {
    let mut given = std::env::args_os().skip(1);
    let Some(out) = given.next() else {
        return Err(io::Error::other("expected OUT_DIR FILE..."));
    };
    std::fs::create_dir_all(&out)?;
    for (n, file) in given.enumerate() {
        let found = match recording(Path::new(&out), n, Path::new(&file))? {
            Ok(found) => found,
            Err(refusal) => {
                annotations(Path::new(&file)).unwrap_or(json!({ "refused": refusal.to_string() }))
            }
        };
        std::fs::write(Path::new(&out).join(format!("{n}.json")), found.to_string())?;
    }
    Ok(())
}

fn recording(out: &Path, n: usize, file: &Path) -> io::Result<Result<Value, FormatError>> {
    let recording = match open(file) {
        Ok(recording) => recording,
        Err(refusal) => return Ok(Err(refusal)),
    };
    let mut leads = Vec::new();
    for (k, lead) in recording.leads.iter().enumerate() {
        let mut raw = vec![0; lead.samples.len()];
        lead.samples.read(0, &mut raw);
        let bytes: Vec<u8> = raw.iter().flat_map(|v: &i32| v.to_le_bytes()).collect();
        std::fs::write(out.join(format!("{n}-{k}.i32")), bytes)?;
        leads.push(json!({
            "name": lead.name,
            "missing": lead.missing,
            "adc_per_mv": lead.adc_per_mv,
            "adc_zero": lead.adc_zero,
        }));
    }
    let notes = recording.diary.len();
    Ok(Ok(json!({ "rate_hz": recording.rate.hz(), "leads": leads, "notes": notes })))
}

/// The annotations of a file that is no recording, where its ending is one of theirs.
fn annotations(file: &Path) -> Option<Value> {
    let ending = file.extension()?.to_str()?;
    if !matches!(ending, "atr" | "qrs" | "ari" | "ann") {
        return None;
    }
    let list = read_annotations(file).ok()?;
    let rows = list.iter().map(|a| json!([a.sample, a.symbol, a.subtype, a.chan, a.num, a.aux]));
    Some(json!({ "annotations": rows.collect::<Vec<_>>() }))
}
