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
