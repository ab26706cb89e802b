//! The history in words: who, when, what and where, for every kind of entry.

use beatledger_core::model::{BeatClass, DiaryEntry, DiaryKind, EventKind, Span};
use beatledger_core::review::{Action, Edit};

use super::{DAY, entry, every_kind};
use crate::{history, iso_time, words};

#[test]
fn every_kind_of_entry_says_what_was_done_and_where() {
    let said = [
        "3 beats labelled V at samples 1, -2, 9223372036854775807",
        "beat S inserted at sample 512",
        "0 beats removed at no sample",
        "beat moved from sample 10 to sample 12",
        "stretch marked unreadable, samples 100 to 900",
        "stretch marked readable, samples 100 to 900",
        "Pause kept, samples 100 to 900",
        "Pause dropped, samples 100 to 900",
        "Pause changed to Atrial fibrillation, samples 100 to 900 changed to samples 100 to 1200",
        "Pause added, samples 100 to 900",
        "lead 3 drawn inverted",
        "diary entry 'palpitations – again' added, samples 100 to 900",
        "setting pause-ms set to 2500",
        "conclusion written: No pause above 3 s.",
        "stretch marked as read, samples 100 to 900",
        "took entry 15 back (stretch marked as read, samples 100 to 900)",
        "made entry 15 again (stretch marked as read, samples 100 to 900)",
        &format!("signed by A. Reader, cardiologist: reviewed and approved; manifest {DAY}"),
    ];
    // 1 600 000 000 s is 2020-09-13 12:26:40 UTC; the entries are a millisecond apart, two hours east.
    for ((line, said), seq) in history(&every_kind()).iter().zip(said).zip(1..) {
        assert_eq!(line, &format!("{seq} | 2020-09-13T14:26:40.{seq:03}+02:00 | A. Reader | {said}"));
    }
}

#[test]
fn an_undo_of_an_edit_that_is_not_there_names_its_number_alone_and_nobody_is_no_name() {
    let mut undo = entry(9, Action::Undo { seq: 4 });
    undo.reader = String::new();
    assert_eq!(words(&undo), "9 | 2020-09-13T14:26:40.009+02:00 | no name | took entry 4 back");
    assert_eq!(history(&[undo.clone()]), [words(&undo)]);
}

#[test]
fn an_undo_names_the_edit_of_its_own_number() {
    let relabel = |beats| Action::Do(Edit::Relabel { beats, class: BeatClass::V });
    let entries = [
        entry(1, relabel(vec![10])),
        entry(2, relabel(vec![20, 30])),
        entry(3, relabel(vec![40, 50, 60, 70])),
        entry(4, Action::Undo { seq: 2 }),
        entry(5, Action::Redo { seq: 2 }),
    ];
    let what: Vec<String> =
        history(&entries).iter().map(|l| l.rsplit(" | ").next().unwrap().to_owned()).collect();
    assert_eq!(
        what,
        [
            "1 beat labelled V at sample 10",
            "2 beats labelled V at samples 20, 30",
            "4 beats labelled V at samples 40, 50, 60 and 1 more",
            "took entry 2 back (2 beats labelled V at samples 20, 30)",
            "made entry 2 again (2 beats labelled V at samples 20, 30)",
        ]
    );
}

#[test]
fn an_entry_of_the_diary_and_an_event_say_where_they_stand() {
    let (span, kind) = (Span::new(5, 70), EventKind::VentricularTachycardia);
    let diary = DiaryEntry { span, kind: DiaryKind::Note, text: "fell".into() };
    let line = |edit| words(&entry(2, Action::Do(edit)));
    assert!(line(Edit::AddDiary { entry: diary }).ends_with(" | diary entry 'fell' added, samples 5 to 70"));
    assert!(
        line(Edit::KeepEvent { kind, span }).ends_with(" | Ventricular tachycardia kept, samples 5 to 70")
    );
    assert!(line(Edit::InvertLead { lead: 0, inverted: false }).ends_with(" | lead 1 drawn as recorded"));
}

#[test]
fn times_carry_date_and_offset_across_midnight_years_and_leap_days() {
    // The seconds are those of `date -u`.
    assert_eq!(iso_time(1_709_251_199_999, 0), "2024-02-29T23:59:59.999+00:00");
    assert_eq!(iso_time(1_709_251_199_999, 1), "2024-03-01T00:00:59.999+00:01");
    assert_eq!(iso_time(1_709_251_200_000, -210), "2024-02-29T20:30:00.000-03:30");
    assert_eq!(iso_time(1_735_689_600_000, -60), "2024-12-31T23:00:00.000-01:00");
    assert_eq!(iso_time(4_107_542_400_000, 0), "2100-03-01T00:00:00.000+00:00", "2100 has no leap day");
    assert_eq!(iso_time(1_704_067_200_001, 345), "2024-01-01T05:45:00.001+05:45");
}
