//! What lines mean.

use super::*;

fn query(line: &str) -> Query {
    parse(line).unwrap()
}

#[test]
fn classes_and_conditions_add_up() {
    let q = query("V coupling < 400 ms at night");
    assert_eq!(q.classes, [BeatClass::V]);
    assert_eq!(q.compares, [Compare { field: Field::Coupling, above: false, or_equal: false, value: 400.0 }]);
    assert_eq!(q.night, Some(true));
    assert_eq!(query("s v").classes, [BeatClass::S, BeatClass::V]);
    assert_eq!(query("ventricular beats").classes, [BeatClass::V]);
}

#[test]
fn seconds_become_ms_and_spaces_do_not_matter() {
    let two_seconds = [Compare { field: Field::Rr, above: true, or_equal: false, value: 2000.0 }];
    assert_eq!(query("RR > 2 s").compares, two_seconds);
    assert_eq!(query("rr>2s").compares, two_seconds);
    assert_eq!(query("rr above 2000").compares, two_seconds);
    assert!(query("rr ≥ 2 s").compares[0].or_equal);
    assert_eq!(query("confidence < 0.8").compares[0].value, 0.8);
}

#[test]
fn the_number_counts_only_when_asked() {
    assert!(!query("rr > 2 s").compares[0].holds(2000.0));
    assert!(query("rr >= 2 s").compares[0].holds(2000.0));
    assert!(query("rr < 2 s").compares[0].holds(1999.0));
}

#[test]
fn events_are_named_in_trade_words() {
    let runs = query("unread runs");
    assert_eq!(runs.state, Some(EventState::Unread));
    assert!(matches!(&runs.events, Some(EventWord::Kinds(k)) if k.len() == 3));
    assert_eq!(query("pauses").events, Some(EventWord::Kinds(vec![EventKind::Pause])));
    assert_eq!(query("AF").events, Some(EventWord::Kinds(vec![EventKind::AtrialFibrillation])));
    assert_eq!(query("S runs").events, Some(EventWord::Kinds(vec![EventKind::SupraventricularRun])));
    assert!(query("critical").critical);
}

#[test]
fn clock_times_are_places_and_pairs_are_stretches() {
    assert_eq!(query("14:05").clock, Some(50_700_000));
    assert_eq!(query("14:05:30").clock, Some(50_730_000));
    assert_eq!(query("V between 02:00 and 04:00").between, Some((7_200_000, 14_400_000)));
    assert!(parse("25:00").is_err());
}

#[test]
fn what_is_not_understood_is_answered_with_what_can_be_said() {
    let error = parse("V wobble").unwrap_err();
    assert!(error.starts_with("'wobble' is not understood. One can say"), "{error}");
    assert!(parse("").unwrap_err().contains("coupling < 400 ms"));
    assert!(parse("rr").unwrap_err().contains("'rr > 2 s'"));
    assert!(parse("rr > much").unwrap_err().contains("number"));
    assert!(parse("between 2 and 4").unwrap_err().contains("between 02:00 and 04:00"));
    assert!(parse("pauses rr > 2 s").is_err());
    assert!(parse("14:05 V").is_err());
    assert!(parse("N couplets").is_err());
    assert!(parse("rr > inf").is_err());
}

#[test]
fn a_date_is_a_place_or_narrows_what_is_found() {
    let date = |year| Some(DateWord { year, month_day: (3, 5) });
    assert_eq!(query("2024-03-05").date, date(Some(2024)));
    assert_eq!((query("03-05 14:05").date, query("03-05 14:05").clock), (date(None), Some(50_700_000)));
    assert!(query("03-05").is_place() && !query("V on 03-05").is_place());
    assert!(parse("2024-13-05").is_err() && parse("02-30").is_err());
}
