//! Lists as open databases and programs write them, and texts that are none.

use super::*;

fn list(text: &str) -> RrList {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.txt");
    std::fs::write(&path, text).unwrap();
    read(&path).unwrap()
}

fn codes(list: &RrList) -> Vec<&str> {
    list.warnings.iter().map(|w| w.code.as_str()).collect()
}

// The first lines of record nsr001 of the PhysioNet database nsr2db.
#[test]
fn the_start_of_an_open_record_in_seconds_is_read() {
    let text = "225.79687500\n0.69531250\n0.71093750\n0.71093750\n0.70312500\n";
    assert!(is_list(text.as_bytes()));
    let read = list(text);
    assert_eq!(read.beats_ms[..3], [225_796.875, 226_492.187_5, 227_203.125]);
    assert_eq!((read.beats_ms.len(), codes(&read)), (5, vec!["rr-unit", "rr-first"]));
    assert!(read.warnings[0].text.contains("in seconds"));
}

#[test]
fn a_list_in_ms_starts_at_its_first_beat() {
    let read = list("800\n810\n790\n");
    assert_eq!((read.beats_ms.as_slice(), read.gaps_ms.len()), ([0.0, 800.0, 1610.0, 2400.0].as_slice(), 0));
    assert!(read.warnings[0].text.contains("in ms"));
}

#[test]
fn what_is_no_interval_becomes_a_gap_and_is_counted() {
    let read = list("800\n810\n-5\n800\nx\n800\n90000\n3500\n800\n");
    assert_eq!(read.gaps_ms, [(1610.0, 2410.0), (3210.0, 4010.0), (4810.0, 94_810.0)]);
    let expected = ["rr-unit", "rr-implausible", "rr-unreadable", "rr-implausible", "rr-long"];
    assert_eq!(codes(&read), expected);
}

// Found by the fuzz target `rr`: an interval of 1e100 ms left no room for the beats behind it.
#[test]
fn numbers_beyond_any_recording_leave_the_beats_in_rising_order() {
    let endless = "1".repeat(100);
    let far = "# gap 5000000000\n800\n".repeat(30);
    for text in [
        format!("800\n810\n{endless}\n790\n800\n"),
        format!("{endless}\n800\n810\n790\n"),
        format!("800\n810\n1e-300\n790\n# gap {endless}\n800\n# gap 1e-300\n800\n"),
        format!("{endless},800\n10,800\n10.8,800\n11.6,800\n"),
        format!("10,800\n10.8,800\n{endless},800\nx\n11.6,800\n"),
        format!("800\n800\n{far}"),
    ] {
        let read = list(&text);
        assert!(read.beats_ms.windows(2).all(|pair| pair[0] < pair[1]), "{text}: {:?}", read.beats_ms);
        assert!(read.beats_ms.iter().all(|ms| ms.is_finite()));
    }
    assert!(codes(&list(&format!("800\n800\n{far}"))).contains(&"rr-limit"));
}

#[test]
fn a_time_column_shows_where_beats_are_missing() {
    let read = list("time_s,rr_ms\n10.0,800\n10.8,800\n11.6,800\n20.0,790\n20.8,800\n");
    assert_eq!(read.beats_ms, [10_000.0, 10_800.0, 11_600.0, 20_000.0, 20_800.0]);
    assert_eq!(
        (read.gaps_ms.as_slice(), codes(&read)),
        ([(11_600.0, 20_000.0)].as_slice(), vec!["rr-unit", "rr-time"])
    );
}

#[test]
fn other_texts_are_no_lists() {
    for text in [
        "",
        "a\nb\nc\n",
        "1,2,3\n4,5,6\n7,8,9\n",
        "-3\n5\n7\n800\n",
        "0 800\n1 -800\n2 3\n",
        "55000\n56000\n55001\n",
        "time,ECG\n0.000,1020\n0.004,1024\n0.008,1030\n",
        "# rate_hz=250\n900\n910\n920\n",
    ] {
        assert!(!is_list(text.as_bytes()), "{text:?}");
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.txt");
    std::fs::write(&path, "no number\nat all\n").unwrap();
    let said = read(&path).unwrap_err().to_string();
    assert!(said.ends_with("with a median of 150 to 4000 ms, found no number above 0"), "{said}");
}
