//! Analysis is a pure function: the same input gives the same result, on one thread or many.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use beatledger_core::model::{Found, Progress, Recording};
use beatledger_core::pipeline::find;
use beatledger_core::settings::Settings;
use beatledger_synth::{Request, Scenario, make};

fn found_on(threads: usize, recording: &Recording) -> Found {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    pool.install(|| find(recording, &Settings::default(), &Progress::default()).unwrap())
}

/// Every number as it prints; missing samples of a mean are NaN, which equals nothing, but prints the same.
fn printed(found: &Found) -> String {
    format!("{found:?}")
}

#[test]
fn one_thread_and_three_find_the_same_to_the_last_digit() {
    let request = Request { hours: 0.7, ..Request::usual(Scenario::WorkingDay) };
    let recording = make(&request).recording;
    let alone = found_on(1, &recording);
    assert!(alone.beats.len() > 1000, "{} beats in 42 minutes", alone.beats.len());
    assert!(printed(&alone) == printed(&found_on(3, &recording)), "threads change the result");
}

#[test]
fn a_cancelled_search_gives_nothing_rather_than_half() {
    let recording = make(&Request { hours: 0.1, ..Request::usual(Scenario::Quiet) }).recording;
    let progress = Progress::default();
    progress.cancel();
    assert!(find(&recording, &Settings::default(), &progress).is_none());
}
