//! The invariants of DEVELOPERS.md that a test can hold. Each reads parsed syntax, and each is shown a planted breach
//! that it must catch.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeSet;
use std::path::Path;

use beatledger_testkit::{files, root};
use beatledger_tests::syntax::{Crate, SourceFile, circles};

/// Stages of core in the order of the data. A stage names only earlier ones and the shared words.
const STAGES: [&str; 12] = [
    "condition",
    "detect",
    "contact",
    "ventricular_waves",
    "delineate",
    "classify",
    "repolarisation",
    "group",
    "conduction",
    "rhythm",
    "measure",
    "summarise",
];

/// What comes after the stages in core.
const AFTER_STAGES: [&str; 3] = ["pipeline", "review", "session"];

/// Rooms and the rooms below that they may know.
const ROOMS: [(&str, &[&str]); 8] = [
    ("core", &[]),
    ("files", &[]),
    ("formats", &["core", "files"]),
    ("ledger", &["core", "files"]),
    ("report", &["core"]),
    ("score", &["core"]),
    ("synth", &["core", "formats"]),
    ("evaluate", &["core", "formats", "score"]),
];

fn room(name: &str) -> Crate {
    Crate::read(&root().join(format!("crates/beatledger-{name}/src")))
}

/// Names of the dependencies of a manifest, those for tests left out.
fn dependencies(manifest: &str) -> Vec<String> {
    let parsed: toml::Table = manifest.parse().unwrap();
    let table = parsed.get("dependencies").and_then(|d| d.as_table()).cloned().unwrap_or_default();
    table.keys().cloned().collect()
}

fn manifest(room: &str) -> String {
    std::fs::read_to_string(root().join(format!("crates/beatledger-{room}/Cargo.toml"))).unwrap()
}

/// Files of core that name a window, a file, a clock or the network.
fn names_the_outside(core: &Crate) -> Vec<String> {
    let outside = |path: &[String]| {
        let [first, second, ..] = path else { return false };
        let is_std = first == "std" && ["fs", "net", "time", "env", "process", "io"].contains(&&**second);
        is_std || ["egui", "eframe", "chrono"].contains(&&**first)
    };
    core.product().filter(|f| f.paths().iter().any(|p| outside(p))).map(|f| f.name.clone()).collect()
}

#[test]
fn core_names_no_window_file_clock_or_network() {
    let allowed = ["rayon", "rustfft", "serde"];
    for name in dependencies(&manifest("core")) {
        assert!(allowed.contains(&name.as_str()), "core must not depend on {name}");
    }
    assert_eq!(names_the_outside(&room("core")), [""; 0]);
}

#[test]
fn a_file_named_in_core_in_any_way_is_caught() {
    for breach in [
        "use std::{collections::BTreeMap, fs};",
        "fn now() -> std::time::Instant { std::time::Instant::now() }",
        "fn say() { let words = format!(\"{:?}\", std::env::args()); }",
    ] {
        let core = Crate::parse(&[("lib.rs", "mod a;"), ("a.rs", breach)]);
        assert_eq!(names_the_outside(&core), ["a.rs"], "{breach}");
    }
    let tested = "#[cfg(test)] mod tests { use std::fs; }";
    assert!(names_the_outside(&Crate::parse(&[("lib.rs", tested)])).is_empty(), "a test may use files");
}

/// Which file of a stage names a later stage, or what comes after the stages.
fn names_what_is_later(core: &Crate, stages: &[&str], after: &[&str]) -> Vec<String> {
    let mut breaches = Vec::new();
    for (index, file) in core.files.iter().enumerate().filter(|(_, f)| !f.is_test) {
        let rank = |module: &[String]| {
            let first = module.first()?;
            let in_stages = stages.iter().position(|s| s == first);
            in_stages.or(after.iter().any(|a| a == first).then_some(stages.len()))
        };
        let Some(own) = rank(&file.module).filter(|r| *r < stages.len()) else { continue };
        for named in core.named_by(index) {
            let other = &core.files[named];
            if rank(&other.module).is_some_and(|r| r > own) {
                breaches.push(format!("{} names {}", file.name, other.name));
            }
        }
    }
    breaches
}

#[test]
fn a_stage_names_only_earlier_stages() {
    let core = room("core");
    for stage in STAGES {
        assert!(core.file_of(&[stage.to_owned()]).is_some(), "there is no stage {stage}");
    }
    assert_eq!(names_what_is_later(&core, &STAGES, &AFTER_STAGES), [""; 0]);
}

#[test]
fn a_later_stage_named_in_any_way_is_caught() {
    let found = |text: &str| {
        let files = [
            ("lib.rs", "mod early; mod late; mod session;"),
            ("early.rs", text),
            ("late.rs", "pub fn f() {}"),
        ];
        let core = Crate::parse(&[&files[..], &[("session.rs", "pub struct Session;")]].concat());
        names_what_is_later(&core, &["early", "late"], &["session"])
    };
    assert!(found("use crate::early;").is_empty());
    assert_eq!(found("use crate::{late::f, early};"), ["early.rs names late.rs"]);
    assert_eq!(found("fn g() { crate::late::f() }"), ["early.rs names late.rs"]);
    assert_eq!(found("fn g() { super::late::f() }"), ["early.rs names late.rs"]);
    assert_eq!(found("fn g() { assert!(crate::late::f() == ()) }"), ["early.rs names late.rs"]);
    assert_eq!(found("use crate::session::Session;"), ["early.rs names session.rs"]);
    assert_eq!(
        found("#[cfg(test)] mod tests { use crate::late; } use crate::late::f;"),
        ["early.rs names late.rs"],
        "what stands after the tests is looked at too"
    );
}

/// Files that name a stage of core other than the first, or its pipeline.
fn names_an_analysis(report: &Crate) -> Vec<String> {
    let is_analysis = |path: &[String]| {
        let [first, second, ..] = path else { return false };
        first == "beatledger_core" && (STAGES[1..].contains(&&**second) || second == "pipeline")
    };
    report.product().filter(|f| f.paths().iter().any(|p| is_analysis(p))).map(|f| f.name.clone()).collect()
}

#[test]
fn the_report_draws_tracing_and_does_no_analysis() {
    assert_eq!(names_an_analysis(&room("report")), [""; 0]);
    let breach = Crate::parse(&[("lib.rs", "use beatledger_core::{model::Beat, detect::detect};")]);
    assert_eq!(names_an_analysis(&breach), ["lib.rs"]);
}

/// Rooms of ours in a manifest that are not among those `below`.
fn rooms_not_below(manifest: &str, below: &[&str]) -> Vec<String> {
    let ours = |name: String| name.strip_prefix("beatledger-").map(str::to_owned);
    dependencies(manifest).into_iter().filter_map(ours).filter(|r| !below.contains(&r.as_str())).collect()
}

#[test]
fn rooms_know_only_the_rooms_below_them() {
    for (room, below) in ROOMS {
        assert_eq!(rooms_not_below(&manifest(room), below), [""; 0], "{room}");
    }
    let breach = "[dependencies]\nserde = \"1\"\nbeatledger-desk.workspace = true\n[dev-dependencies]\nbeatledger-report = \"1\"";
    assert_eq!(rooms_not_below(breach, &["core"]), ["desk"]);
}

/// Whether a method takes `&mut self`.
fn is_changing(receiver: &syn::Receiver) -> bool {
    matches!(&receiver.kind, syn::ReceiverKind::Reference(_, _, Some(_)))
}

/// Methods that change a session: those of `impl Session` that take `&mut self`.
fn changing_methods(session: &SourceFile) -> Vec<String> {
    let mut names = Vec::new();
    for item in &session.syntax.items {
        let syn::Item::Impl(block) = item else { continue };
        for item in &block.items {
            if let syn::ImplItem::Fn(method) = item
                && method.sig.receiver().is_some_and(is_changing)
            {
                names.push(method.sig.ident.to_string());
            }
        }
    }
    names
}

/// Files that call one of `methods` on something called a session, or name it as `Session::method`.
fn callers_on_a_session(krate: &Crate, methods: &[String]) -> Vec<String> {
    struct Finder<'m> {
        methods: &'m [String],
        found: bool,
    }
    impl<'a> syn::visit::Visit<'a> for Finder<'_> {
        fn visit_expr_method_call(&mut self, call: &'a syn::ExprMethodCall) {
            let on = match &*call.receiver {
                syn::Expr::Path(path) => path.path.segments.last().map(|s| s.ident.to_string()),
                syn::Expr::Field(field) => match &field.member {
                    syn::Member::Named(name) => Some(name.to_string()),
                    syn::Member::Unnamed(_) => None,
                },
                syn::Expr::MethodCall(inner) => Some(inner.method.to_string()),
                _ => None,
            };
            let is_session = on.is_some_and(|name| name.contains("session"));
            self.found |= is_session && self.methods.contains(&call.method.to_string());
            syn::visit::visit_expr_method_call(self, call);
        }

        fn visit_path(&mut self, path: &'a syn::Path) {
            let names: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
            self.found |= names.windows(2).any(|w| w[0] == "Session" && self.methods.contains(&w[1]));
            syn::visit::visit_path(self, path);
        }
    }
    let calls = |file: &&SourceFile| {
        let mut finder = Finder { methods, found: false };
        syn::visit::Visit::visit_file(&mut finder, &file.syntax);
        finder.found
    };
    krate.product().filter(calls).map(|f| f.name.clone()).collect()
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
    let core = room("core");
    let session = core.files.iter().find(|f| f.module.last().is_some_and(|m| m == "session")).unwrap();
    let methods = changing_methods(session);
    assert!(methods.len() >= 2, "the session is changed by {methods:?}");
    let callers = callers_on_a_session(&room("desk"), &methods);
    assert_eq!(callers.len(), 1, "entries are taken in by {callers:?}; one funnel must do it");
}

#[test]
fn a_second_place_that_takes_entries_is_caught() {
    let methods = ["push_first".to_owned()];
    for breach in [
        "fn f(doc: Doc) { doc.session.push_first(1); }",
        "fn f(doc: Doc) { doc.session_mut().push_first(1); }",
        "fn f(session: &mut Session) { Session::push_first(session, 1); }",
    ] {
        let desk = Crate::parse(&[("lib.rs", breach)]);
        assert_eq!(callers_on_a_session(&desk, &methods), ["lib.rs"], "{breach}");
    }
    let list = Crate::parse(&[("lib.rs", "fn f(list: Vec<u8>) { list.push_first(1); }")]);
    assert!(callers_on_a_session(&list, &methods).is_empty());
}

/// Stages whose tuned numbers stand in a `calibration.rs`, each with its name, unit and source.
const CALIBRATED: [&str; 9] = [
    "condition",
    "detect",
    "contact",
    "conduction",
    "classify",
    "rhythm",
    "delineate",
    "ventricular_waves",
    "repolarisation",
];

/// Decimals that are no tuned number: nothing, one, two, a half, and a hundred as percent.
const PLAIN: [f64; 5] = [0.0, 1.0, 2.0, 0.5, 100.0];

/// Decimals without a name in the files of these stages.
fn numbers_without_a_name(core: &Crate, stages: &[&str]) -> Vec<String> {
    let is_watched = |f: &&SourceFile| {
        f.module.first().is_some_and(|first| stages.contains(&first.as_str()))
            && f.module.last().unwrap() != "calibration"
    };
    core.product()
        .filter(is_watched)
        .flat_map(|f| f.decimals().into_iter().map(move |n| (f, n)))
        .filter(|(_, n)| !PLAIN.contains(&n.value))
        .map(|(f, n)| format!("{} line {}: {}", f.name, n.line, n.value))
        .collect()
}

#[test]
fn every_tuned_number_has_a_name_in_a_calibration() {
    let found = numbers_without_a_name(&room("core"), &CALIBRATED);
    assert!(found.is_empty(), "numbers without a name: {found:#?}");
}

#[test]
fn a_number_without_a_name_is_caught_wherever_it_stands() {
    let found = |text: &str| {
        let files = [
            ("lib.rs", "mod stage;"),
            ("stage/mod.rs", text),
            ("stage/calibration.rs", "pub const A: f32 = 0.7;"),
        ];
        numbers_without_a_name(&Crate::parse(&files), &["stage"])
    };
    for breach in [
        "mod calibration; const A: f32 = 0.7;",
        "mod calibration; fn f(x: f32) -> bool { x > 0.7 }",
        "mod calibration; fn f(x: f32) -> bool { matches!(x, 0.7) }",
        "mod calibration; #[cfg(test)] mod tests {} fn f() -> [f32; 2] { [0.0, 7e-1] }",
    ] {
        assert_eq!(found(breach), ["stage/mod.rs line 1: 0.7"], "{breach}");
    }
    let fine = "mod calibration; fn f(x: f32) -> f32 { 100.0 * x / 2.0 } #[cfg(test)] mod tests { const A: f32 = 0.7; }";
    assert!(found(fine).is_empty());
}

#[test]
fn no_files_name_one_another_in_a_circle() {
    let found = circles(&room("core"));
    assert!(found.is_empty(), "circles in core: {found:#?}");
    for other in ["formats", "ledger", "report", "score", "synth", "evaluate", "desk"] {
        let large: Vec<_> = circles(&room(other)).into_iter().filter(|c| c.len() > 2).collect();
        assert!(large.is_empty(), "circles of more than two files in {other}: {large:#?}");
    }
}

#[test]
fn a_circle_is_caught_and_passing_names_on_is_none() {
    let a = |text| ("a/mod.rs", text);
    let lib = ("lib.rs", "mod a;");
    let b = ("a/b.rs", "use super::c::C; pub struct B;");
    let circle = Crate::parse(&[lib, a("mod b; mod c;"), b, ("a/c.rs", "use crate::a::b::B; pub struct C;")]);
    assert_eq!(circles(&circle), [["a/b.rs", "a/c.rs"]]);
    let up = Crate::parse(&[
        lib,
        a("mod b; pub struct C; fn f() { b::g() }"),
        ("a/b.rs", "use super::C; pub fn g() {}"),
    ]);
    assert_eq!(circles(&up), [["a/mod.rs", "a/b.rs"]]);
    let passed_on = [lib, a("mod b; mod c; pub use b::B; pub use c::C;"), ("a/b.rs", "pub struct B;")];
    let passed_on = Crate::parse(&[&passed_on[..], &[("a/c.rs", "use super::B; pub struct C;")]].concat());
    assert!(circles(&passed_on).is_empty());
}

/// Name and text of every source file below `folder`.
fn texts(folder: &str) -> Vec<(String, String)> {
    let read = |path: std::path::PathBuf| {
        let name = path.strip_prefix(root()).unwrap_or(&path).display().to_string();
        (name, std::fs::read_to_string(&path).unwrap())
    };
    files(&root().join(folder), "rs").into_iter().map(read).collect()
}

#[test]
fn every_source_file_says_what_it_is_and_none_is_switched_off() {
    for (name, text) in ["crates", "tests/tests", "tests/src", "tests/kit"].into_iter().flat_map(texts) {
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
