//! Numbers, times and key figures in print, at the places where rounding and carrying go wrong.

use beatledger_core::model::{
    BeatClass, Doubt, Event, EventKind, EventState, Figure, FigureId, FigureValue, Proof, Span, Summary,
};
use beatledger_core::session::Snapshot;

use crate::document::{ReportContext, build};
use crate::made;
use crate::values::{
    Reason, class_rgb, duration_text, escape_xml, figure_text, figure_words, grouped, rr_before_ms,
    short_number,
};

fn with(change: impl FnOnce(&mut Summary)) -> Snapshot {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    change(&mut summary);
    snapshot.summary = summary.into();
    snapshot
}

fn figure<'a>(summary: &'a mut Summary, key: &str) -> &'a mut Figure {
    summary.figures.iter_mut().find(|f| f.key() == key).unwrap()
}

fn text(snapshot: &Snapshot) -> String {
    build(snapshot, &ReportContext::default()).to_text().replace('\u{a0}', " ")
}

#[test]
fn whole_numbers_of_five_digits_and_more_are_grouped_in_threes() {
    let printed = |n| grouped(n).replace('\u{a0}', "_");
    for (n, expected) in [
        (0, "0"),
        (999, "999"),
        (9_999, "9999"),
        (10_000, "10_000"),
        (104_233, "104_233"),
        (12_345_678, "12_345_678"),
    ] {
        assert_eq!(printed(n), expected);
    }
}

#[test]
fn a_duration_carries_into_minutes_and_hours_and_never_says_60() {
    for (seconds, expected) in [
        (0.0, "0.0 s"),
        (0.04, "0.0 s"),
        (59.44, "59.4 s"),
        (59.5, "1 min 00 s"),
        (60.4, "1 min 00 s"),
        (119.6, "2 min 00 s"),
        (125.0, "2 min 05 s"),
        (3_599.4, "59 min 59 s"),
        (3_599.5, "1 h 00 min"),
        (5_430.0, "1 h 31 min"),
        (86_370.0, "24 h 00 min"),
        (-1.0, "unknown"),
        (f64::INFINITY, "unknown"),
    ] {
        assert_eq!(duration_text(seconds), expected, "{seconds}");
    }
}

#[test]
fn a_setting_prints_with_as_few_decimals_as_it_needs() {
    for (x, expected) in
        [(2_000.0, "2000"), (0.05, "0.05"), (7.8125, "7.8125"), (128.5, "128.5"), (0.0, "0"), (-0.1, "-0.1")]
    {
        assert_eq!(short_number(x), expected);
    }
}

#[test]
fn minutes_and_hours_read_as_durations_and_all_else_keeps_its_unit() {
    let pattern = made::snapshot(&[]).summary.figures[0].clone();
    let recording = made::recording();
    let printed = |id, value| {
        let figure = beatledger_core::model::Figure { id, value, ..pattern.clone() };
        figure_text(&figure, &recording).replace('\u{a0}', "_")
    };
    assert_eq!(printed(FigureId::AfMin, FigureValue::Number(0.94)), "0.9_min");
    assert_eq!(printed(FigureId::AfMin, FigureValue::Number(1.0)), "1 min 00 s");
    assert_eq!(printed(FigureId::AfMin, FigureValue::Number(754.25)), "12 h 34 min");
    assert_eq!(printed(FigureId::WornH, FigureValue::Number(0.5)), "30 min 00 s");
    assert_eq!(printed(FigureId::StLargestMv, FigureValue::Number(-0.156)), "-0.16_mV");
    assert_eq!(printed(FigureId::TwaUv, FigureValue::Number(47.4)), "47_µV");
    assert_eq!(printed(FigureId::VPercent, FigureValue::Number(3.666)), "3.67_%");
    assert_eq!(printed(FigureId::WindowLfHfRatio, FigureValue::Number(1.625)), "1.62");
    assert_eq!(printed(FigureId::VLongestRunBeats, FigureValue::Count(12)), "12_beats");
    let infinite = FigureValue::Number(f64::INFINITY);
    assert_eq!(printed(FigureId::QtMs, infinite.clone()), "not computable: no finite value");
    let none = FigureValue::NotComputable("no beats".into());
    assert_eq!(printed(FigureId::QtMs, none.clone()), "not computable: no beats");
    let short = |value| {
        let figure = beatledger_core::model::Figure { value, ..pattern.clone() };
        figure_words(&figure, &recording, Reason::Short)
    };
    assert_eq!([short(none), short(infinite)], ["not computable", "not computable"]);
    assert_eq!(short(FigureValue::NotComputable(FigureValue::AWAITED.into())), "…");
}

#[test]
fn the_main_figures_stand_in_plain_units_with_place_and_reason() {
    let late = Span::new(30_000, 31_250);
    let snapshot = with(|s| {
        let mut put = |key: &str, value, place| {
            let figure = figure(s, key);
            (figure.value, figure.place, figure.proof) = (value, place, Proof::Whole);
            let doubt = Doubt { doubtful: 3, range: Some((30.0, 44.0)), reason: String::new() };
            figure.doubt = (key == "v_beats").then_some(doubt);
        };
        put("readable_h", FigureValue::Number(23.4), None);
        put("beats_total", FigureValue::Count(104_233), Some(late));
        put("mean_bpm", FigureValue::Number(72.5001), Some(late));
        put("min_bpm", FigureValue::Number(41.2), Some(late));
        put("max_bpm", FigureValue::Number(139.7), Some(Span::new(7_500, 9_000)));
        put("longest_rr_ms", FigureValue::Number(3_416.0), Some(late));
        put("v_beats", FigureValue::Count(38), Some(late));
        put("v_percent", FigureValue::Number(0.036), None);
        put("s_beats", FigureValue::NotComputable("no P wave can be seen".into()), None);
        put("vt_runs", FigureValue::Count(2), None);
        put("af_percent", FigureValue::Number(4.44), Some(late));
        put("pauses", FigureValue::Count(0), None);
    });
    let text = text(&snapshot);
    let expected = "\nReadable time: 23 h 24 min (computed)\nBeats: 104 233 (computed)\nMean rate: 73 bpm (computed)\n\
                    Slowest rate: 41 bpm (at 00:00:30, computed)\nFastest rate: 140 bpm (at 23:59:00, computed)\n\
                    Longest RR interval: 3.42 s (at 00:00:30, computed)\nVentricular beats (V): 38 (of them 3 doubtful, 30 to 44; computed)\n\
                    Ventricular burden: 0.04 % (computed)\n\
                    Supraventricular beats (S): – (not computable: no P wave can be seen)\n\
                    Ventricular tachycardia: 2 (computed)\nAtrial fibrillation: 4.4 % (computed)\nPauses: 0 (computed)\n";
    assert!(text.contains(expected), "{text}");
    assert!(
        text.contains("\nSupraventricular ectopic beats | not computable: no P wave can be seen |  | "),
        "{text}"
    );
}

/// Who is behind the figure `pauses` when its events have these states.
fn behind_pauses(states: &[EventState]) -> String {
    let mut snapshot = with(|s| figure(s, "pauses").proof = Proof::Kind(EventKind::Pause));
    let event = |state| Event { kind: EventKind::Pause, state, ..snapshot.events[0].clone() };
    snapshot.events = states.iter().map(|s| event(*s)).collect::<Vec<_>>().into();
    let text = text(&snapshot);
    let line = text.lines().find(|l| l.starts_with("Pauses: ")).unwrap();
    line.split_once('(').unwrap().1.trim_end_matches(')').to_owned()
}

#[test]
fn a_count_of_events_says_how_many_a_reader_stands_behind() {
    use EventState::{Changed, Dropped, Kept, Unread};
    for (states, expected) in [
        (&[][..], "none found"),
        (&[Dropped], "none found"),
        (&[Unread], "not confirmed"),
        (&[Unread, Dropped], "not confirmed"),
        (&[Unread, Unread, Unread], "none of 3 confirmed"),
        (&[Kept], "confirmed by reader"),
        (&[Kept, Changed, Dropped], "confirmed by reader"),
        (&[Unread, Kept, Unread, Changed, Unread], "2 of 5 confirmed"),
    ] {
        assert_eq!(behind_pauses(states), expected, "{states:?}");
    }
}

#[test]
fn a_count_of_beats_says_how_many_a_reader_changed_into_or_out_of_the_class() {
    use beatledger_core::review::Edit;
    let behind = |edits: &[Edit], name: &str| {
        let text = text(&made::snapshot(edits));
        let line = text.lines().find(|l| l.starts_with(name)).unwrap().to_owned();
        line.split_once('(').unwrap().1.to_owned()
    };
    let relabel = |beats: &[i64], class| Edit::Relabel { beats: beats.to_vec(), class };
    assert!(behind(&[], "Supraventricular beats (S): ").ends_with("found by program)"));
    let into = relabel(&[300, 500, 700], BeatClass::S);
    assert!(
        behind(std::slice::from_ref(&into), "Supraventricular beats (S): ")
            .ends_with("3 beats changed by reader)")
    );
    assert!(behind(&[into], "Ventricular beats (V): ").ends_with("found by program)"));
    let out_of = relabel(&[made::V_AT], BeatClass::N);
    assert!(behind(&[out_of], "Ventricular beats (V): ").ends_with("1 beat changed by reader)"));
}

#[test]
fn an_interval_is_measured_up_to_unreadable_time_and_not_across_it() {
    let snapshot = made::snapshot(&[]);
    let at = |sample: i64| snapshot.beats.iter().position(|b| b.sample == sample).unwrap();
    assert_eq!(rr_before_ms(&snapshot, 0), None);
    // 400 ms before the early beat, 1200 ms after it.
    assert_eq!(rr_before_ms(&snapshot, at(made::V_AT)), Some(400.0));
    assert_eq!(rr_before_ms(&snapshot, at(made::V_AT) + 1), Some(1200.0));
    // 24 900 is the last beat before the hole of 25 000 to 27 500, which the beat at 27 500 ends.
    assert_eq!(rr_before_ms(&snapshot, at(24_900)), Some(800.0));
    assert_eq!(rr_before_ms(&snapshot, at(27_500)), None);
    assert_eq!(rr_before_ms(&snapshot, at(27_700)), Some(800.0));
    assert_eq!(rr_before_ms(&snapshot, snapshot.beats.len()), None);
}

#[test]
fn classes_have_the_colours_of_the_okabe_ito_set_and_texts_are_safe_in_xml() {
    // Okabe and Ito 2008: blue, vermillion, bluish green, reddish purple.
    let colours = [BeatClass::S, BeatClass::V, BeatClass::F, BeatClass::Q].map(class_rgb);
    assert_eq!(colours, [(0, 114, 178), (213, 94, 0), (0, 158, 115), (204, 121, 167)]);
    assert_eq!(escape_xml("a<b>&\"c\"\u{7}"), "a&lt;b&gt;&amp;&quot;c&quot;");
}
