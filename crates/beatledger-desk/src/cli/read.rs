//! `beatledger read`: a day read without a window.

use std::path::PathBuf;

use super::ending::{Ending, print, say};
use super::intervals;
use crate::outside::export;
use crate::outside::read_day::{self, ReadDay};

/// Arguments of `read`.
#[derive(clap::Args)]
pub struct Args {
    /// Recording: a file, a WFDB header, or a folder with one record; or a text file of RR intervals.
    file: PathBuf,
    /// Ledger with a reader's edits; the one beside the recording when left out.
    #[arg(long)]
    ledger: Option<PathBuf>,
    /// Folder for report.pdf, summary.json, bundle.fhir.json (FHIR R4) and beats, events, HRV, ST and conduction as CSV;
    /// made when it is not there.
    #[arg(long)]
    out: Option<PathBuf>,
    /// Settings file (TOML) with values that differ from the defaults; `beatledger settings` prints all of them.
    #[arg(long)]
    settings: Option<PathBuf>,
    /// Zone of the recorder's clock, such as +01:00; without it the FHIR bundle holds dates and no times of day.
    #[arg(long, value_parser = utc_offset_min, allow_hyphen_values = true)]
    utc_offset: Option<i32>,
    /// Print the summary as JSON instead of a table.
    #[arg(long)]
    json: bool,
}

/// Reads the day, prints its figures and writes the files asked for.
pub fn run(args: &Args) -> anyhow::Result<Ending> {
    let settings = read_day::settings_from(args.settings.as_deref())?;
    if intervals::is_list(&args.file) {
        return intervals::run(&args.file, &settings, args.out.as_deref(), args.json);
    }
    let day = read_day::read(&args.file, args.ledger.as_deref(), &settings)?;
    for warning in &day.snapshot.recording.warnings {
        say(&format!("{}: {}", warning.code, warning.text));
    }
    if let Some(out) = &args.out {
        let mut context = export::context(&day.head, day.entries.len(), day.sign_state());
        context.recorder_utc_offset_min = args.utc_offset;
        export::write_all(out, &day.snapshot, &context)?;
    }
    if args.json {
        print(&beatledger_report::json::summary_text(&day.snapshot)?);
    } else {
        print(&beatledger_report::text::table(&day.snapshot));
    }
    Ok(report_open_points(&day))
}

/// Minutes east of UTC of `+01:00`, `-0330` or `Z`.
fn utc_offset_min(text: &str) -> Result<i32, String> {
    if text == "Z" {
        return Ok(0);
    }
    let refused = || format!("'{text}' is no offset from UTC; one looks like +01:00");
    let (sign, digits) = match (text.strip_prefix('+'), text.strip_prefix('-')) {
        (Some(rest), _) => (1, rest.replace(':', "")),
        (_, Some(rest)) => (-1, rest.replace(':', "")),
        _ => return Err(refused()),
    };
    let number: i32 = digits.parse().map_err(|_| refused())?;
    let (hours, minutes) = (number / 100, number % 100);
    // FHIR and XML Schema: an offset lies within 14 hours.
    let within =
        digits.len() == 4 && digits.bytes().all(|b| b.is_ascii_digit()) && minutes < 60 && hours <= 14;
    if within { Ok(sign * (60 * hours + minutes)) } else { Err(refused()) }
}

/// Says in one line each what still needs a person.
pub fn report_open_points(day: &ReadDay) -> Ending {
    let unread = day.snapshot.unread_critical().len();
    let orphans = day.snapshot.orphans.len();
    if unread > 0 {
        say(&format!("{unread} critical events wait for a reader (pause, VT or AF)"));
    }
    if orphans > 0 {
        say(&format!("{orphans} edits of the ledger are without a target"));
    }
    if let Some(torn) = &day.recovered {
        say(&torn.to_string());
    }
    if unread + orphans > 0 || day.recovered.is_some() { Ending::NeedsPerson } else { Ending::Done }
}

#[cfg(test)]
mod tests {
    use super::utc_offset_min;

    #[test]
    fn offsets_are_read_in_the_usual_writings_and_others_are_refused() {
        let good = [("+01:00", 60), ("-0330", -210), ("+00:00", 0), ("Z", 0), ("+14:00", 840)];
        assert!(good.iter().all(|(text, minutes)| utc_offset_min(text) == Ok(*minutes)));
        for bad in ["", "1", "01:00", "+1", "+15:00", "+01:60", "+-100", "UTC"] {
            assert!(utc_offset_min(bad).is_err(), "{bad}");
        }
    }
}
