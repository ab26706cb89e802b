//! The tables of figures, the strips and the diary: what stands beside each value, and what is said of a part left out.

use beatledger_core::model::{
    Basis, BeatClass, DiaryEntry, DiaryKind, Event, EventKind, EventState, FigureId, FigureValue, Proof,
    Span, Strip, StripReason,
};
use beatledger_core::review::Edit;

use super::table_tests::{EARLY, LATE, check, of, with};
use super::{Block, Report, ReportContext, Style, build};
use crate::made;

#[test]
fn a_figure_says_who_is_behind_it_its_own_settings_and_what_it_rests_on() {
    let edits = [Edit::Relabel { beats: vec![300, 500], class: BeatClass::S }];
    let mut snapshot = made::snapshot(&edits);
    let mut summary = (*snapshot.summary).clone();
    let mut first = summary.figures[0].clone();
    (first.id, first.name) = (FigureId::VFastestRunBpm, "Fastest run");
    (first.value, first.place, first.proof) = (FigureValue::Number(152.6), Some(LATE), Proof::Whole);
    first.basis = Basis { percent: Some(94.36), of: "of recorded time readable" };
    let mut second = first.clone();
    (second.id, second.name) = (FigureId::VCouplingMs, "Coupling");
    (second.place, second.proof) = (None, Proof::AllBeats);
    second.value = FigureValue::NotComputable("no interval".into());
    second.basis = Basis { percent: Some(50.04), of: "of intervals" };
    summary.figures = vec![first, second];
    snapshot.summary = summary.into();
    let report = build(&snapshot, &ReportContext::default());
    let blocks = &report.sections.iter().find(|s| s.heading == "All figures").unwrap().blocks;
    let [Block::Subheading(family), Block::Table(table), note] = &blocks[..] else { panic!("{blocks:?}") };
    assert_eq!(family, "Ectopy");
    check(
        table,
        "Figure | Value | At | Said by | Definition",
        &[
            "Fastest run | 153 bpm | 00:00:30 | computed | Highest mean rate of a ventricular run, over the RR intervals \
             inside it (common practice). Settings: run_beats 3 beats.",
            "Coupling | not computable: no interval |  | 2 beats changed by reader | Mean interval from an N beat to the \
             V beat after it, outside atrial fibrillation (common practice). Settings: af_min_s 30 s. Rests on 50.0 % of \
             intervals.",
        ],
    );
    let common =
        "Settings: prematurity_percent 20 %, wide_qrs_ms 120 ms. Rests on 94.4 % of recorded time readable unless said otherwise."
            .to_owned();
    assert_eq!(note, &Block::Paragraph(Style::Note, common));
}

fn strips(report: &Report) -> Vec<(String, String, Vec<String>)> {
    let blocks = report.sections.iter().flat_map(|s| &s.blocks);
    let strips = blocks.filter_map(|b| if let Block::Strip(s) = b { Some(s.as_ref()) } else { None });
    let words = |s: &super::StripBlock| {
        let lines = s.lines.iter().map(|l| l.caption.chars().take(20).collect()).collect();
        (s.title.clone(), s.note.clone(), lines)
    };
    strips.map(words).collect()
}

#[test]
fn a_strip_is_cut_into_lines_of_seven_seconds_and_says_who_found_it_and_what_is_left_out() {
    let strip = |seconds: i64, caption: &str, reason| Strip {
        span: Span::new(7_500, 7_500 + seconds * made::HZ),
        caption: caption.to_owned(),
        reason,
    };
    let mut snapshot = with(|s| {
        s.strips = vec![
            strip(7, "Short", StripReason::Event(0)),
            strip(20, "Longer", StripReason::Diary(0)),
            strip(30, "Longest", StripReason::Event(1)),
        ];
    });
    let event = |state| Event { kind: EventKind::Pause, state, ..snapshot.events[0].clone() };
    snapshot.events = vec![event(EventState::Kept), event(EventState::Unread)].into();
    let report = build(&snapshot, &ReportContext::default());
    // 7.2 s are 180 mm at 25 mm/s.
    let lines = ["23:59:00 to 23:59:07", "23:59:07 to 23:59:14", "23:59:14 to 23:59:20"].map(str::to_owned);
    let found = strips(&report);
    let kept = "found by program, confirmed by reader · 2024-03-04".to_owned();
    assert_eq!(found[0], ("Short".to_owned(), kept, lines[..1].to_vec()));
    let diary = "diary entry at 23:59:02 · 2024-03-04".to_owned();
    assert_eq!(found[1], ("Longer".to_owned(), diary, lines.to_vec()));
    assert_eq!(found[2].1, "found by program, not confirmed · 2024-03-04 · only the beginning is shown");
    assert_eq!(found[2].2.len(), 3);
}

#[test]
fn what_stands_beside_a_diary_entry_is_confirmed_where_all_of_it_is() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    let row = summary.symptoms.rows[0].clone();
    let findings = [&[0u32, 1, 2][..], &[2], &[3, 4], &[]];
    summary.symptoms.rows = findings
        .iter()
        .zip(0..)
        .map(|(list, diary)| beatledger_core::model::SymptomRow {
            findings: (*list).into(),
            diary,
            ..row.clone()
        })
        .collect();
    snapshot.summary = summary.into();
    let event = |kind, state| Event { kind, state, span: LATE, ..snapshot.events[0].clone() };
    snapshot.events = vec![
        event(EventKind::VentricularCouplet, EventState::Kept),
        event(EventKind::VentricularCouplet, EventState::Unread),
        event(EventKind::VentricularCouplet, EventState::Kept),
        event(EventKind::FastestRate, EventState::Unread),
        event(EventKind::Pause, EventState::Changed),
    ]
    .into();
    let entry = |kind, text: &str| DiaryEntry { span: EARLY, kind, text: text.to_owned() };
    snapshot.diary = vec![
        entry(DiaryKind::Button, ""),
        entry(DiaryKind::Medication, " tablet "),
        entry(DiaryKind::Sleep, ""),
        entry(DiaryKind::Activity, "stairs"),
    ]
    .into();
    let table = of(&snapshot, "symptoms").unwrap().table.unwrap();
    let rows: Vec<[&str; 4]> =
        table.rows.iter().map(|r| [&*r.cells[0], &*r.cells[1], &*r.cells[2], &*r.cells[8]]).collect();
    assert_eq!(
        rows,
        [
            ["1", "23:59:00", "button pressed", "Ventricular couplet ×3 (not confirmed)"],
            ["2", "23:59:00", "tablet (medication)", "Ventricular couplet (confirmed)"],
            ["3", "23:59:00", "sleep", "Pause (confirmed), Fastest rate"],
            ["4", "23:59:00", "stairs (activity)", "none"],
        ]
    );
}
