//! The invariants of DEVELOPERS.md that a test can hold.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeSet;
use std::path::Path;

use beatledger_testkit::{files, root};

/// Stages of core in the order of the data. A stage names only earlier ones and the shared words.
const STAGES: [&str; 10] = [
    "condition",
    "detect",
    "oscillate",
    "delineate",
    "classify",
    "levels",
    "group",
    "rhythm",
    "measure",
    "summarise",
];

fn sources(folder: &str) -> Vec<(String, String)> {
    files(&root().join(folder), "rs")
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(root()).unwrap_or(&path).display().to_string();
            (name, std::fs::read_to_string(&path).unwrap())
        })
        .collect()
}

/// Code without comments and without what stands behind `#[cfg(test)]`.
fn code(text: &str) -> String {
    let tested = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    tested.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

fn dependencies(manifest: &str) -> Vec<String> {
    let text = std::fs::read_to_string(root().join(manifest)).unwrap();
    let section =
        text.split("[dependencies]").nth(1).unwrap_or("").split("\n[").next().unwrap_or("").to_owned();
    section
        .lines()
        .filter_map(|l| l.split(['=', '.']).next())
        .map(|n| n.trim().to_owned())
        .filter(|n| !n.is_empty())
        .collect()
}

#[test]
fn core_names_no_window_file_clock_or_network() {
    let allowed = ["rayon", "rustfft", "serde"];
    for name in dependencies("crates/beatledger-core/Cargo.toml") {
        assert!(allowed.contains(&name.as_str()), "core must not depend on {name}");
    }
    for (name, text) in sources("crates/beatledger-core/src") {
        for word in ["std::fs", "std::net", "std::time", "std::env", "std::process", "println!", "egui"] {
            assert!(!code(&text).contains(word), "{name} names {word}");
        }
    }
}

#[test]
fn a_stage_names_only_earlier_stages() {
    for (at, stage) in STAGES.iter().enumerate() {
        for (name, text) in sources(&format!("crates/beatledger-core/src/{stage}")) {
            for later in STAGES[at + 1..].iter().chain(&["pipeline::find", "session", "review"]) {
                assert!(!code(&text).contains(&format!("crate::{later}")), "{name} names the later {later}");
            }
        }
    }
}

#[test]
fn the_report_draws_tracing_and_does_no_analysis() {
    for (name, text) in sources("crates/beatledger-report/src") {
        for stage in &STAGES[1..] {
            assert!(!code(&text).contains(&format!("beatledger_core::{stage}")), "{name} names {stage}");
        }
        assert!(!code(&text).contains("pipeline"), "{name} names the pipeline");
    }
}

#[test]
fn rooms_know_only_the_rooms_below_them() {
    let ours = |manifest: &str| {
        dependencies(manifest).into_iter().filter(|d| d.starts_with("beatledger-")).collect::<Vec<_>>()
    };
    for (room, below) in [
        ("core", vec![]),
        ("formats", vec!["beatledger-core"]),
        ("ledger", vec!["beatledger-core"]),
        ("report", vec!["beatledger-core"]),
        ("score", vec!["beatledger-core"]),
        ("synth", vec!["beatledger-core", "beatledger-formats"]),
        ("evaluate", vec!["beatledger-core", "beatledger-formats", "beatledger-score"]),
    ] {
        for dependency in ours(&format!("crates/beatledger-{room}/Cargo.toml")) {
            assert!(below.contains(&dependency.as_str()), "{room} must not know {dependency}");
        }
    }
}

/// Names of the packages that a package is built from, tests included, as the lock file has them.
fn built_from(package: &str) -> BTreeSet<String> {
    let lock = std::fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let needs = |name: &str| -> Vec<String> {
        let own = lock.split("[[package]]").filter(|p| p.contains(&format!("name = \"{name}\"\n")));
        let lists = own.filter_map(|p| p.split("dependencies = [").nth(1)?.split(']').next());
        let quoted = lists.flat_map(|list| list.split('"').skip(1).step_by(2));
        quoted.filter_map(|q| q.split(' ').next()).map(str::to_owned).collect()
    };
    let (mut seen, mut open) = (BTreeSet::new(), vec![package.to_owned()]);
    while let Some(name) = open.pop() {
        if seen.insert(name.clone()) {
            open.extend(needs(&name));
        }
    }
    seen
}

#[test]
fn evaluation_and_its_accuracy_tests_build_no_window() {
    let built = built_from("beatledger-evaluate");
    assert!(
        built.contains("rustfft") && built.contains("beatledger-synth"),
        "the lock file is read: {built:?}"
    );
    for name in ["egui", "eframe", "winit", "clap"] {
        assert!(!built.contains(name), "beatledger-evaluate is built from {name}");
        assert!(
            built_from("beatledger-desk").contains(name),
            "{name} is looked for under a name it does not have"
        );
    }
}

#[test]
fn one_place_takes_entries_into_the_session() {
    let takers: Vec<String> = sources("crates/beatledger-desk/src")
        .into_iter()
        .filter(|(_, text)| code(text).contains("session.push("))
        .map(|(name, _)| name)
        .collect();
    assert!(takers.len() <= 1, "entries are taken in by {takers:?}; one funnel must do it");
}

#[test]
fn every_source_file_says_what_it_is_and_none_is_switched_off() {
    for (name, text) in ["crates", "tests/tests", "tests/src", "tests/kit"].into_iter().flat_map(sources) {
        assert!(text.starts_with("//!"), "{name} does not begin with what it is");
        for word in ["todo!(", "unimplemented!(", concat!("#[ig", "nore"), concat!("FIX", "ME")] {
            let own = name.ends_with("arch.rs");
            assert!(own || !text.contains(word), "{name} holds {word}");
        }
        assert!(text.lines().count() <= 800, "{name} is longer than 800 lines");
    }
}

#[test]
fn nothing_else_stands_at_the_top() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "crates",
        "assets",
        "tests",
        "demo-data",
    ];
    let made = ["target", "beatledger-out"];
    for entry in std::fs::read_dir(root()).unwrap().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let fine = name.starts_with('.') || allowed.contains(&name.as_str()) || made.contains(&name.as_str());
        assert!(fine, "{name} stands at the top of the repository");
    }
}

#[test]
fn every_setting_is_a_row_with_unit_range_and_source() {
    for row in beatledger_core::settings::TABLE {
        assert!(row.min <= row.default && row.default <= row.max, "{} is out of its own range", row.key);
        assert!(row.source.len() > 4 && row.help.ends_with('.'), "{} lacks source or help", row.key);
    }
}

#[test]
fn local_links_of_the_readme_lead_somewhere() {
    for page in ["README.md", "DEVELOPERS.md"] {
        let text = std::fs::read_to_string(root().join(page)).unwrap();
        for link in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let path = link.split('#').next().unwrap_or("");
            let local = !path.is_empty() && !path.contains("://");
            assert!(
                !local || Path::new(&root()).join(path).exists(),
                "{page} links to {path}, which is not there"
            );
        }
    }
}
