//! Diaries as people and programs write them.

use super::*;
use crate::time::local_time_from_ymd_hms;

const RATE: Rate = Rate::whole_hz(200);

fn start() -> Option<LocalTime> {
    local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 0))
}

fn read_text(text: &[u8]) -> Result<Diary, FormatError> {
    parse(Path::new("made.diary.csv"), text, start(), RATE)
}

fn seconds(diary: &Diary) -> Vec<f64> {
    diary.entries.iter().map(|e| RATE.seconds_from_samples(e.span.start)).collect()
}

#[test]
fn a_full_diary_reads_with_quotes_durations_and_kinds() {
    let diary = read_text(
        b"time,elapsed_s,duration_s,kind,text,source\n\
          2020-10-24T14:05:00.000+02:00,16485.000,,symptom,\"dizzy, climbing stairs\",patient\n\
          2020-10-24T22:30:00.000+02:00,46785.000,28800,sleep,,patient\n",
    )
    .unwrap();
    assert_eq!(diary.entries[0].text, "dizzy, climbing stairs");
    assert_eq!(
        (diary.entries[0].kind, diary.entries[0].span),
        (DiaryKind::Symptom, Span::new(3_297_000, 3_297_000))
    );
    assert_eq!((diary.entries[1].kind, diary.entries[1].span.len()), (DiaryKind::Sleep, 5_760_000));
    assert!(diary.warnings.is_empty());
}

#[test]
fn a_clock_time_alone_gives_the_same_place_as_elapsed_seconds() {
    let diary =
        read_text(b"time,text\r\n2020-10-24T14:05:00,a\r\n24.10.2020 14:05,b\r\n14:05:00,c\r\n").unwrap();
    assert_eq!(seconds(&diary), [16_485.0; 3]);
}

#[test]
fn times_of_day_run_on_past_midnight() {
    let diary = read_text(b"time;text\n10:00;a\n23:00;b\n07:00;c\n").unwrap();
    let hours: Vec<f64> =
        seconds(&diary).iter().map(|s| ((s + 9.0 * 3600.0 + 30.0 * 60.0 + 15.0) / 3600.0).round()).collect();
    assert_eq!(hours, [10.0, 23.0, 31.0]);
}

#[test]
fn semicolons_decimal_commas_a_byte_order_mark_and_windows_text_are_read() {
    let diary = read_text(b"\xef\xbb\xbfelapsed_s;duration_s;kind;text\n1,5;0,25;note;a\n").unwrap();
    assert_eq!(diary.entries[0].span, Span::new(300, 350));
    let diary = read_text(b"elapsed_s\tkind\ttext\n2\tnote\tcaf\xe9 \x80\n").unwrap();
    assert_eq!(
        (diary.entries[0].text.as_str(), diary.warnings[0].code.as_str()),
        ("café €", "text-encoding")
    );
}

#[test]
fn a_wrong_row_is_reported_with_its_line_and_the_rest_is_read() {
    let diary =
        read_text(b"time,kind,text\n25:00,note,a\n\n03/04/2020 10:00,note,b\n10:00,dancing,c\n").unwrap();
    assert_eq!(diary.entries.len(), 1);
    let told: Vec<_> = diary.warnings.iter().map(|w| (w.code.as_str(), w.place.as_str())).collect();
    assert_eq!(told, [("diary-row", "line 2"), ("diary-row", "line 4"), ("diary-kind", "line 5")]);
}

#[test]
fn a_file_that_is_no_diary_is_told_in_one_sentence() {
    let told = |bytes: &[u8]| read_text(bytes).unwrap_err().to_string();
    assert_eq!(told(b""), "made.diary.csv, line 1: expected a header row, found nothing");
    assert_eq!(
        told(b"a,b\n"),
        "made.diary.csv, line 1: expected a column 'time' or 'elapsed_s', found 'a,b'"
    );
    assert_eq!(told(b"time\0"), "made.diary.csv, byte 4: expected text, found a NUL byte");
}

#[test]
fn what_is_written_is_read_back_with_and_without_a_clock() {
    let entries =
        read_text(b"elapsed_s,duration_s,kind,text\n1.005,,button,\n2,60,medication,\"a \"\"b\"\", c\"\n")
            .unwrap()
            .entries;
    for start in [start(), None] {
        let text = text_of(&entries, start, RATE).unwrap();
        assert_eq!(parse(Path::new("made"), &text, start, RATE).unwrap().entries, entries);
    }
}

#[test]
fn a_diary_beside_a_recording_is_picked_up_and_said() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    file("made.hea", b"made 1 200 2\nmade.dat 16 200 0 0 0 0 0 II");
    file("made.dat", &[1, 0, 2, 0]);
    file("made.diary.csv", b"elapsed_s,kind,text\n0.005,symptom,dizzy\n0.005,symptom,dizzy\n");
    for name in ["made.hea", "made.dat", ""] {
        let recording = crate::open(folder.path().join(name)).unwrap();
        assert_eq!(
            recording.diary,
            [DiaryEntry { span: Span::new(1, 1), kind: DiaryKind::Symptom, text: "dizzy".into() }]
        );
        assert_eq!(recording.warnings[0].code, "diary-found");
    }
    file("made.diary.csv", b"no,diary\n");
    assert_eq!(crate::open(folder.path()).unwrap().warnings[0].code, "diary-unreadable");
}

/// Seconds from a start at 14:00:00 of the entries that these times of day give.
fn seconds_from_14(times: &str) -> Vec<f64> {
    let start = local_time_from_ymd_hms((2024, 3, 4), (14, 0, 0, 0));
    seconds(&parse(Path::new("made"), format!("time\n{times}").as_bytes(), start, RATE).unwrap())
}

#[test]
fn the_first_time_after_midnight_belongs_to_the_next_day() {
    // 00:05 is 10 h 5 min after 14:00, as the first entry and after one of the evening.
    assert_eq!(seconds_from_14("00:05\n"), [36_300.0]);
    assert_eq!(seconds_from_14("23:50\n00:05\n"), [35_400.0, 36_300.0]);
    assert_eq!(seconds_from_14("00:05\n00:30:30\n"), [36_300.0, 37_830.0]);
    assert_eq!(seconds_from_14("14:00\n00:00\n13:59:59\n"), [0.0, 36_000.0, 86_399.0]);
    // A second midnight: 00:05 of the day after next.
    assert_eq!(seconds_from_14("00:05\n23:00\n00:05\n"), [36_300.0, 118_800.0, 122_700.0]);
    // Two entries of one minute are no day apart.
    assert_eq!(seconds_from_14("22:00\n22:00\n"), [28_800.0, 28_800.0]);
    // A note shortly before the start stays there.
    assert_eq!(seconds_from_14("13:50\n"), [-600.0]);
}

#[test]
fn a_time_after_midnight_is_written_with_its_own_date() {
    let start = local_time_from_ymd_hms((2024, 3, 4), (14, 0, 0, 0));
    let entry = |second: i64, length: i64, kind, text: &str| DiaryEntry {
        span: Span::new(second * 200, (second + length) * 200),
        kind,
        text: text.into(),
    };
    let entries = [
        entry(35_400, 0, DiaryKind::Activity, "to bed"),
        entry(36_300, 0, DiaryKind::Symptom, "woke up, heart races"),
        entry(36_600, 5_400, DiaryKind::Sleep, ""),
        entry(42_000, 0, DiaryKind::Button, ""),
        entry(42_060, 0, DiaryKind::Medication, "tablet"),
        entry(42_120, 0, DiaryKind::Note, "milk"),
    ];
    let text = String::from_utf8(text_of(&entries, start, RATE).unwrap()).unwrap();
    assert_eq!(
        text.lines().collect::<Vec<_>>(),
        [
            "time,elapsed_s,duration_s,kind,text,source",
            "2024-03-04T23:50:00.000,35400.000000,,activity,to bed,patient",
            "2024-03-05T00:05:00.000,36300.000000,,symptom,\"woke up, heart races\",patient",
            "2024-03-05T00:10:00.000,36600.000000,5400.000000,sleep,,patient",
            "2024-03-05T01:40:00.000,42000.000000,,button,,device",
            "2024-03-05T01:41:00.000,42060.000000,,medication,tablet,patient",
            "2024-03-05T01:42:00.000,42120.000000,,note,milk,patient",
        ]
    );
    // A date in the file is that of the entry, whatever stands before it.
    let dated = b"time\n2024-03-05T00:05:00\n2024-03-04T23:50:00\n05.03.2024 00:06\n";
    assert_eq!(
        seconds(&parse(Path::new("made"), dated, start, RATE).unwrap()),
        [35_400.0, 36_300.0, 36_360.0]
    );
}
