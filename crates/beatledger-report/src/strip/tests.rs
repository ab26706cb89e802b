//! Strips keep their scale, say what they show, and hide nothing.

use beatledger_core::condition;
use beatledger_core::model::{BeatClass, Span};
use beatledger_core::review::Edit;

use super::{StripOptions, build, to_svg};
use crate::made::{self, HOLE, HZ, V_AT};

/// Ten seconds from 28 s on, around the V beat at 32 s.
fn around_v() -> Span {
    Span::new(28 * HZ, 38 * HZ)
}

#[test]
fn one_second_is_25_mm_and_one_millivolt_10_mm() {
    // 25 mm/s and 10 mm/mV: common practice.
    let snapshot = made::snapshot(&[]);
    let geom = build(&snapshot, around_v(), &StripOptions::default());
    assert_eq!((geom.width_mm, geom.x0_mm), (260.0, 10.0));
    let x =
        |sample| geom.marks.iter().find(|m| snapshot.beats[m.beat as usize].sample == sample).unwrap().x_mm;
    assert!((x(V_AT) - x(V_AT - 100) - 10.0).abs() < 1e-3, "400 ms are 10 mm");
    let mut mv = Vec::new();
    condition::display_mv(&snapshot.recording, 0, Span::new(V_AT, V_AT + 1), &snapshot.settings, &mut mv);
    let lead = &geom.leads[0];
    let peak = lead.polylines[0].iter().find(|p| (p[0] - x(V_AT)).abs() < 1e-3).unwrap();
    assert!((lead.baseline_mm - peak[1] - 10.0 * mv[0]).abs() < 1e-3);
    assert!(mv[0] > 0.5, "the beat is a deflection of about 1 mV");
}

#[test]
fn the_pulse_is_1_mv_and_200_ms_on_the_same_scale() {
    let geom = build(&made::snapshot(&[]), around_v(), &StripOptions::default());
    for lead in &geom.leads {
        let high = lead.pulse.iter().map(|p| p[1]).fold(f32::MAX, f32::min);
        let top: Vec<f32> = lead.pulse.iter().filter(|p| p[1] == high).map(|p| p[0]).collect();
        assert!((lead.baseline_mm - high - 10.0).abs() < 1e-4);
        assert!((top[1] - top[0] - 5.0).abs() < 1e-4);
        assert!(high > lead.top_mm && lead.baseline_mm % 5.0 == 0.0);
    }
}

#[test]
fn an_inverted_lead_is_drawn_upside_down_and_says_so() {
    let upright = |edits: &[Edit]| {
        let geom = build(&made::snapshot(edits), around_v(), &StripOptions::default());
        let lead = geom.leads[1].clone();
        let high = lead.polylines[0].iter().map(|p| lead.baseline_mm - p[1]).fold(f32::MIN, f32::max);
        (lead.name, high > 5.0, geom.caption.contains("ECG <V5> (inverted)"))
    };
    assert_eq!(upright(&[]), ("ECG <V5> (inverted)".to_owned(), true, true));
    let as_recorded = Edit::InvertLead { lead: 1, inverted: false };
    assert_eq!(upright(&[as_recorded]), ("ECG <V5>".to_owned(), false, false));
}

#[test]
fn the_caption_states_time_leads_speed_gain_and_filters() {
    let geom =
        build(&made::snapshot(&[]), around_v(), &StripOptions { leads: vec![0], ..Default::default() });
    assert_eq!(
        geom.caption,
        "23:58:58 to 23:59:08 · ECG II · 25 mm/s · 10 mm/mV · 0.5 to 40 Hz, 50 Hz mains removed"
    );
}

#[test]
fn unreadable_time_is_marked_and_no_rr_spans_it() {
    let span = Span::new(95 * HZ, 115 * HZ);
    let geom = build(&made::snapshot(&[]), span, &StripOptions::default());
    let x = |sample| geom.x_from_sample(HZ as f64, sample);
    assert_eq!(geom.unreadable, [(x(HOLE.start), x(HOLE.end))]);
    assert_eq!(geom.rr.len(), geom.marks.len() - 2, "one interval less on each side of the hole");
    assert!(geom.rr.iter().all(|rr| (rr.rr_ms - 800.0).abs() < 1e-9));
}

#[test]
fn a_relabelled_beat_shows_its_new_letter_and_that_a_reader_set_it() {
    let edit = Edit::Relabel { beats: vec![V_AT], class: BeatClass::S };
    let geom = build(&made::snapshot(&[edit]), around_v(), &StripOptions::default());
    let changed: Vec<char> = geom.marks.iter().filter(|m| m.changed).map(|m| m.letter).collect();
    assert_eq!(changed, ['S']);
}

#[test]
fn the_svg_has_the_size_of_the_paper_and_escapes_names() {
    let svg = to_svg(&build(&made::snapshot(&[]), around_v(), &StripOptions::default()));
    assert!(
        svg.starts_with("<svg")
            && svg.contains(r#"width="260.00mm""#)
            && svg.contains(r#"viewBox="0 0 260.00 "#)
    );
    assert!(svg.contains("ECG &lt;V5&gt; (inverted)") && !svg.contains("<V5>"));
}

#[test]
fn a_span_outside_the_recording_and_impossible_options_give_an_empty_strip() {
    let options = StripOptions {
        mm_per_s: f32::NAN,
        mm_per_mv: -1.0,
        thin_below_mm: 0.0,
        leads: vec![9],
        lead_height_mm: Some(f32::INFINITY),
        ..Default::default()
    };
    let geom = build(&made::snapshot(&[]), Span::new(-500, -100), &options);
    assert!(geom.leads.is_empty() && geom.marks.is_empty() && geom.width_mm == 10.0);
    let _ = to_svg(&build(&made::empty(), Span::new(0, 100), &options));
}
