//! summary.json keeps its schema, assets/summary.schema.json. The schema is JSON Schema 2020-12; the validator of
//! tests/reference/check_schema.py checks it as such. Here the part of the vocabulary that it uses is checked with
//! no Python: a word that this check does not know fails the test.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::sync::LazyLock;

use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Stamp};
use beatledger_core::settings::Settings;
use beatledger_synth::Request;
use beatledger_testkit::root;
use beatledger_tests::made;
use serde_json::{Map, Value};

fn schema() -> Value {
    let text = std::fs::read_to_string(root().join("assets/summary.schema.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Where and how `value` breaks `rule`, one sentence each.
fn broken(schema: &Value, rule: &Value, value: &Value, at: &str, out: &mut Vec<String>) {
    for (word, wanted) in rule.as_object().unwrap() {
        let holds = match word.as_str() {
            "$ref" => {
                let path = wanted.as_str().unwrap().strip_prefix('#').unwrap();
                broken(schema, schema.pointer(path).unwrap(), value, at, out);
                true
            }
            "type" => match wanted {
                Value::Array(kinds) => kinds.iter().any(|k| is(value, k.as_str().unwrap())),
                kind => is(value, kind.as_str().unwrap()),
            },
            "const" => value == wanted,
            "enum" => wanted.as_array().unwrap().contains(value),
            "anyOf" => wanted.as_array().unwrap().iter().any(|one| {
                let mut wrong = Vec::new();
                broken(schema, one, value, at, &mut wrong);
                wrong.is_empty()
            }),
            "minimum" => value.as_f64().is_none_or(|x| x >= wanted.as_f64().unwrap()),
            "maximum" => value.as_f64().is_none_or(|x| x <= wanted.as_f64().unwrap()),
            "minLength" => {
                value.as_str().is_none_or(|t| t.chars().count() as u64 >= wanted.as_u64().unwrap())
            }
            "minItems" => value.as_array().is_none_or(|l| l.len() as u64 >= wanted.as_u64().unwrap()),
            "maxItems" => value.as_array().is_none_or(|l| l.len() as u64 <= wanted.as_u64().unwrap()),
            "required" => value.as_object().is_none_or(|map| {
                wanted.as_array().unwrap().iter().all(|key| map.contains_key(key.as_str().unwrap()))
            }),
            "items" => {
                for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                    broken(schema, wanted, item, &format!("{at}[{i}]"), out);
                }
                true
            }
            "properties" => {
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if let Some(rule) = wanted.get(key) {
                        broken(schema, rule, inner, &format!("{at}.{key}"), out);
                    }
                }
                true
            }
            "additionalProperties" => others(schema, rule, wanted, value, at, out),
            // Patterns are left to the validator of the reference script; the rest says something and asks nothing.
            "pattern" | "description" | "title" | "$schema" | "$id" | "$defs" => true,
            other => panic!("the schema uses '{other}', which this test does not know"),
        };
        if !holds {
            let shown: String = value.to_string().chars().take(80).collect();
            out.push(format!("{at}: {word} {wanted} does not hold for {shown}"));
        }
    }
}

fn others(
    schema: &Value,
    rule: &Value,
    wanted: &Value,
    value: &Value,
    at: &str,
    out: &mut Vec<String>,
) -> bool {
    let none = Map::new();
    let known = rule.get("properties").and_then(Value::as_object).unwrap_or(&none);
    for (key, inner) in value.as_object().into_iter().flatten().filter(|(k, _)| !known.contains_key(*k)) {
        match wanted {
            Value::Bool(false) => out.push(format!("{at}.{key} is not in the schema")),
            rule => broken(schema, rule, inner, &format!("{at}.{key}"), out),
        }
    }
    true
}

fn is(value: &Value, kind: &str) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        other => panic!("the schema uses the type '{other}'"),
    }
}

fn check(summary: &Value) -> Vec<String> {
    let schema = schema();
    let mut out = Vec::new();
    broken(&schema, &schema, summary, "summary", &mut out);
    out
}

/// The demo day, read once for all tests here.
static DEMO: LazyLock<Value> = LazyLock::new(|| {
    let (recording, found) = made::found(&beatledger_synth::make(&Request::default()));
    let mut session = Session::new(recording, Settings::default(), found, &[]);
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    let edit = Edit::Conclude { text: "Sinus rhythm.".into() };
    let snapshot = session.push(&session.entry(Action::Do(edit), &stamp));
    beatledger_report::json::summary(&snapshot).unwrap()
});

#[test]
fn the_summary_of_the_demo_day_keeps_its_schema() {
    let summary = &*DEMO;
    assert_eq!(check(summary), Vec::<String>::new());
    assert!(summary["figures"].as_array().unwrap().len() > 80);
    for table in ["pause_tiers", "hrv_windows", "hrv_hours", "st", "conduction", "symptoms", "enough"] {
        assert!(!summary["tables"][table]["rows"].as_array().unwrap().is_empty(), "{table} is empty");
    }
}

#[test]
fn a_summary_that_lacks_a_unit_or_says_more_than_the_schema_breaks_it() {
    let with = |change: &dyn Fn(&mut Value)| {
        let mut summary = DEMO.clone();
        change(&mut summary);
        check(&summary).len()
    };
    assert_eq!(with(&|_| ()), 0);
    assert!(with(&|s| drop(s["figures"][0].as_object_mut().unwrap().remove("unit"))) > 0);
    assert!(with(&|s| s["figures"][0]["new"] = 1.into()) > 0);
    assert!(with(&|s| s["day"]["beats"] = (-1).into()) > 0);
    assert!(with(&|s| s["events"][0]["state"] = "lost".into()) > 0);
    assert!(with(&|s| s["version"] = 2.into()) > 0);
}

#[test]
fn every_value_of_a_figure_carries_unit_definition_settings_and_share() {
    let summary = &*DEMO;
    for figure in summary["figures"].as_array().unwrap() {
        let key = figure["key"].as_str().unwrap();
        assert!(figure["value"].is_number() != figure["reason"].is_string(), "{key}: a value or a reason");
        assert!(figure["unit"].is_string() && !figure["definition"].as_str().unwrap().is_empty(), "{key}");
        assert!(!figure["basis_of"].as_str().unwrap().is_empty(), "{key} does not say what it rests on");
        for setting in figure["settings"].as_array().unwrap() {
            assert!(summary["settings"][setting.as_str().unwrap()].is_number(), "{key}: {setting}");
        }
    }
}
