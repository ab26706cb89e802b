//! Writes a made day: `make_day SCENARIO FOLDER [HOURS] [SEED]`.

use std::path::Path;
use std::process::ExitCode;

use beatledger_synth::{Request, Scenario, make, write};

fn run(words: &[String]) -> Result<(), String> {
    let [scenario, folder, rest @ ..] = words else {
        return Err("expected: make_day SCENARIO FOLDER [HOURS] [SEED]".to_owned());
    };
    let scenario = Scenario::from_name(scenario).ok_or_else(|| {
        let names: Vec<&str> = Scenario::all().into_iter().map(Scenario::name).collect();
        format!("there is no scenario '{scenario}'; there are {}", names.join(", "))
    })?;
    let usual = Request::usual(scenario);
    let hours = rest
        .first()
        .map_or(Ok(usual.hours), |w| w.parse().map_err(|_| format!("'{w}' is no number of hours")))?;
    let seed = rest.get(1).map_or(Ok(usual.seed), |w| w.parse().map_err(|_| format!("'{w}' is no seed")))?;
    let request =
        Request::new(scenario, hours, seed, usual.leads, usual.rate_hz).map_err(|e| e.to_string())?;
    let written = write(&make(&request), Path::new(folder)).map_err(|e| e.to_string())?;
    for path in [written.edf, written.atr, written.diary, written.truth] {
        println!("{}", path.display());
    }
    Ok(())
}

fn main() -> ExitCode {
    match run(&std::env::args().skip(1).collect::<Vec<_>>()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(text) => {
            eprintln!("{text}");
            ExitCode::FAILURE
        }
    }
}
