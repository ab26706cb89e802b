//! How right the beats and rhythms are, on open data, with the floors that must not be fallen through.
//!
//! Scored by ANSI/AAMI EC57 with the command's own comparison (`beatledger score`), whole records, classes as
//! papers group them (escapes count as N), default settings everywhere. What needs the open data says in one
//! line what it could not check where they are not; [`everywhere`] and the made part of [`pairing`] need none.
//! Floors stand in `floors.json`; `RAISE_FLOORS=1` raises those that were passed and lowers none.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod beats;
mod everywhere;
mod floors;
mod noise;
mod pairing;
mod rates;
mod reliability;
mod rhythms;

use std::path::Path;

use beatledger_evaluate::{Case, Database, Wanted, open};
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Rules, Score};

/// The records of a folder, read and ready to be compared.
fn cases(folder: &Path, wanted: &Wanted) -> Vec<Case> {
    match open(folder, wanted, &mut |note| println!("{note}")).unwrap() {
        Database::Cases { cases, unread } => {
            assert!(unread.is_empty(), "{unread:?}");
            cases
        }
        Database::Short(_) => panic!("{} holds recordings with one label each", folder.display()),
    }
}

/// Whole records with classes as in the literature.
fn scores(cases: &[Case]) -> Vec<Score> {
    cases.iter().map(|c| c.score(Mapping::Literature, &Rules::WHOLE)).collect()
}

/// One figure of a score by its name.
fn figure(score: &Score, name: &str) -> Option<f64> {
    let figures = score.figures();
    figures.iter().find(|f| f.0 == name).unwrap_or_else(|| panic!("no figure {name}")).1
}
