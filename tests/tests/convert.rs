//! What `beatledger convert` writes is read back: raw integers, gains and start, from each format to each. What a
//! format cannot hold is refused in a sentence. Print the table with `-- --nocapture`.
//!
//! The formats' own limits are those of their published descriptions (EDF+, ISHNE 1998, WFDB `signal(5)`); that other
//! software reads the files is checked by tests/reference/check_written.py.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use beatledger_core::model::{
    DiaryEntry, DiaryKind, Identity, Lead, LocalTime, Rate, Recording, SampleSource, Span, Unit,
};
use beatledger_formats::time::local_time_from_ymd_hms;
use beatledger_formats::wfdb::Packing;
use beatledger_formats::{edf, ishne, open, rr, wfdb};

fn beatledger(words: &[&str], paths: &[&Path]) -> ExitCode {
    let mut line: Vec<OsString> = vec!["beatledger".into()];
    line.extend(words.iter().map(Into::into));
    line.extend(paths.iter().map(|p| p.as_os_str().to_owned()));
    beatledger_desk::cli::run(line)
}

fn ended(code: ExitCode) -> u8 {
    (0..=255).find(|n| format!("{code:?}") == format!("{:?}", ExitCode::from(*n))).unwrap()
}

fn start() -> Option<LocalTime> {
    local_time_from_ymd_hms((2024, 3, 9), (22, 30, 15, 0))
}

fn lead(name: &str, samples: Arc<dyn SampleSource>) -> Lead {
    Lead {
        name: name.into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples,
    }
}

/// Two leads of numbers between -`half` and `half`, no multiple of a second long.
fn made(half: i32) -> Recording {
    let wave = |by: i32| (0..12_345).map(|i| (i * 7919 * by).rem_euclid(2 * half + 1) - half).collect();
    let [a, b]: [Vec<i32>; 2] = [wave(1), wave(3)];
    Recording {
        name: "made".into(),
        format: String::new(),
        sha256: String::new(),
        identity: Identity::default(),
        start: start(),
        rate: Rate::whole_hz(250),
        samples: 12_345,
        segments: vec![Span::new(0, 12_345)],
        leads: vec![lead("V1", Arc::new(a)), lead("V5", Arc::new(b))],
        others: vec![],
        diary: vec![],
        warnings: vec![],
    }
}

/// A BDF file of one lead (BioSemi's 24-bit variant of EDF) with values beyond 16 bits, byte by byte.
fn write_bdf(path: &Path) {
    let mut bytes = b"\xffBIOSEMI".to_vec();
    let mut text = |value: &str, len: usize| bytes.extend(format!("{value:<len$}").bytes().take(len));
    text("X X X X", 80);
    text("Startdate 09-MAR-2024 X X X", 80);
    for (value, len) in
        [("09.03.24", 8), ("22.30.15", 8), ("512", 8), ("24BIT", 44), ("4", 8), ("1", 8), ("1", 4)]
    {
        text(value, len);
    }
    let fields = [
        ("ECG V1", 16),
        ("", 80),
        ("mV", 8),
        ("-8388608", 8),
        ("8388607", 8),
        ("-8388608", 8),
        ("8388607", 8),
        ("", 80),
        ("250", 8),
        ("", 32),
    ];
    fields.iter().for_each(|(value, len)| text(value, *len));
    for i in 0..1000i32 {
        bytes.extend(&((i * 7919) % 8_000_000 - 4_000_000).to_le_bytes()[..3]);
    }
    std::fs::write(path, bytes).unwrap();
}

/// One file of every format that is read, by name.
fn sources(folder: &Path) -> Vec<(&'static str, PathBuf)> {
    let path = |name: &str| folder.join(name);
    edf::write(&made(32_000), path("wide.edf")).unwrap();
    let mut gaps = made(2000);
    gaps.segments = vec![Span::new(0, 1100), Span::new(3003, 3503), Span::new(9000, 12_345)];
    edf::write(&gaps, path("gaps.edf")).unwrap();
    ishne::write(&made(32_000), path("day.ecg")).unwrap();
    let mut zero = made(1000);
    zero.leads.iter_mut().for_each(|l| l.adc_zero = 24.0);
    wfdb::write_record(&zero, path("r212.hea"), Packing::Bits12).unwrap();
    wfdb::write_record(&made(32_000), path("r16.hea"), Packing::Bits16).unwrap();
    write_bdf(&path("wide.bdf"));
    let rows: String = (0..2000).map(|i| format!("{}\n", f64::from(i % 17 - 8) / 100.0)).collect();
    std::fs::write(path("table.csv"), format!("# rate_hz=250\n# unit=mV\nV1\n{rows}")).unwrap();
    let mut list = vec![
        ("EDF+C", path("wide.edf")),
        ("EDF+D", path("gaps.edf")),
        ("BDF", path("wide.bdf")),
        ("ISHNE", path("day.ecg")),
        ("WFDB 212", path("r212.hea")),
        ("WFDB 16", path("r16.hea")),
        ("CSV", path("table.csv")),
    ];
    if let Some(data) = beatledger_testkit::data("conversion of open recordings") {
        let open = [
            ("DICOM (open)", "formats/dicom/waveform_ecg.dcm"),
            ("ISHNE (open)", "formats/ishne/ECG_P28.01.ecg"),
            ("EDF+ (open)", "formats/edf/adfecgdb/r01.edf"),
            ("WFDB multi-segment (open)", "formats/wfdb_multisegment/041s/041s.hea"),
            ("WFDB 212 (open)", "mitdb/101.hea"),
        ];
        list.extend(open.map(|(name, at)| (name, data.join(at))));
    }
    list
}

/// Samples with `None` where there is none.
fn raw(lead: &Lead) -> Vec<Option<i32>> {
    let mut out = vec![0; lead.samples.len()];
    lead.samples.read(0, &mut out);
    out.into_iter().map(|v| Some(v).filter(|v| Some(*v) != lead.missing)).collect()
}

/// What came back, in words: `same`, or what is different. Samples may all have moved by a zero that the target
/// cannot hold.
fn compared(was: &Recording, is: &Recording, zero_moves: bool) -> String {
    // ISHNE holds whole seconds.
    let step_ms = if zero_moves { 1000 } else { 1 };
    let start = |r: &Recording| r.start.map(|s| s.0.div_euclid(step_ms));
    if (start(was), was.samples, was.leads.len()) != (start(is), is.samples, is.leads.len()) {
        return format!(
            "start, length or leads differ: {:?} {} {:?} {}",
            was.start, was.samples, is.start, is.samples
        );
    }
    let mut word = "same";
    for (a, b) in was.leads.iter().zip(&is.leads) {
        let moved = if zero_moves { a.adc_zero.round() as i32 } else { 0 };
        let expected: Vec<_> = raw(a).into_iter().map(|v| v.map(|v| v - moved)).collect();
        let found = raw(b);
        if expected != found {
            let at = expected.iter().zip(&found).position(|(a, b)| a != b);
            return format!("samples of {} differ from {at:?} on", a.name);
        }
        let gains = if a.unit == Unit::Millivolt { (b.adc_per_mv / a.adc_per_mv - 1.0).abs() } else { 0.0 };
        let zeros = (b.adc_zero - a.adc_zero + f64::from(moved)).abs();
        // Eight characters of EDF+ hold a range to about one part in ten million; ISHNE holds whole nanovolts.
        let allowed = if zero_moves { 0.5 * a.adc_per_mv.abs() / 1e6 + 1e-9 } else { 1e-6 };
        if gains > allowed || zeros > 0.51 {
            return format!(
                "gain of {} is {} for {}, zero {} for {}",
                a.name, b.adc_per_mv, a.adc_per_mv, b.adc_zero, a.adc_zero
            );
        }
        word = if moved == 0 { word } else { "same, zero taken off" };
    }
    word.to_owned()
}

/// Why a target cannot hold a recording, worked out from the limits of the formats alone; `None` when it can.
fn limit(recording: &Recording, kind: &str) -> Option<&'static str> {
    let values = || recording.leads.iter().flat_map(raw).flatten();
    let (low, high) = (values().min().unwrap(), values().max().unwrap());
    let missing = recording.leads.iter().any(|l| raw(l).contains(&None));
    let within = |a: i32, b: i32| a <= low && high <= b;
    match kind {
        "edf" if missing && low <= -32_768 => Some("needed to mark"),
        "edf" if !within(-32_768, 32_767) => Some("EDF+ holds"),
        "wfdb16" if !within(-32_767, 32_767) => Some("format 16 holds"),
        "wfdb212" if !within(-2047, 2047) => Some("format 212 holds"),
        "ishne" if recording.segments.len() > 1 => Some("gaps"),
        "ishne" if missing => Some("missing samples"),
        "ishne" if !within(-32_768, 32_767) => Some("ISHNE holds"),
        _ => None,
    }
}

#[test]
fn from_each_format_to_each_and_back_the_samples_are_the_same_or_a_sentence_says_why_not() {
    let folder = tempfile::tempdir().unwrap();
    let targets = [("edf", "edf"), ("wfdb16", "hea"), ("wfdb212", "hea"), ("ishne", "ecg")];
    let mut wrong = Vec::new();
    println!("| from | {} |", targets.map(|t| t.0).join(" | "));
    println!("|---|---|---|---|---|");
    for (number, (name, path)) in sources(folder.path()).into_iter().enumerate() {
        let was = open(&path).unwrap();
        let mut cells = Vec::new();
        for (kind, ending) in targets {
            let out = folder.path().join(format!("out-{number}-{kind}.{ending}"));
            let code = ended(beatledger(&["convert", "--as", kind], &[&path, &out]));
            let limit = limit(&was, kind);
            let cell = match (code, limit) {
                (0, None) => compared(&was, &open(&out).unwrap(), kind == "ishne"),
                (2, Some(limit)) => format!("refused: {limit}"),
                (code, limit) => format!("status {code} with limit {limit:?}"),
            };
            if code == 2 && out.exists() {
                wrong.push(format!("{name} to {kind}: refused, but a file was left"));
            }
            if !cell.starts_with("same") && !cell.starts_with("refused") {
                wrong.push(format!("{name} to {kind}: {cell}"));
            }
            cells.push(cell);
        }
        println!("| {name} | {} |", cells.join(" | "));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A recording in which every field and remark holds a planted word.
fn planted() -> Recording {
    let mut recording = made(1000);
    recording.identity = Identity {
        name: "Plantedname Plantedsurname".into(),
        code: "PLANTEDCODE77".into(),
        born: "1931-07-19".into(),
        sex: "F".into(),
        recorder: "Plantedrecorder SN PLANTED4711 Plantedtechnician".into(),
        remarks: String::new(),
    };
    recording.leads[0].name = "ECG Plantedlead".into();
    recording.leads[1].prefilter = "HP:0.05Hz Plantedfilter".into();
    let at = |start, text: &str| DiaryEntry {
        span: Span::new(start, start),
        kind: DiaryKind::Symptom,
        text: text.into(),
    };
    recording.diary = vec![at(500, "Planteddiary walk with Plantedperson"), at(900, "dizzy")];
    recording
}

/// Words of [`planted`] in the spellings of the formats, lower case.
const WORDS: [&str; 9] =
    ["planted", "dizzy", "4711", "jul-1931", "1931-07", "mar-2024", "09.03.24", "2024-03", "03/2024"];

#[test]
fn a_file_without_identity_holds_none_of_the_words_that_stood_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let input = folder.path().join("plantedfile.edf");
    edf::write(&planted(), &input).unwrap();
    let holds = |path: &Path, word: &str| {
        let bytes = std::fs::read(path).unwrap().to_ascii_lowercase();
        bytes.windows(word.len()).any(|w| w == word.as_bytes())
    };
    assert!(holds(&input, "planted") && holds(&input, "1931") && holds(&input, "2024"));
    let names = [
        "a.edf",
        "a.hea",
        "a.ecg",
        "b.atr",
        "b.ann",
        "b.csv",
        "b.events.csv",
        "b.parquet",
        "b.events.parquet",
        "b.rr.txt",
        "b.fhir.json",
    ];
    for name in names {
        let out = folder.path().join(name);
        assert_eq!(ended(beatledger(&["convert", "--deidentify"], &[&input, &out])), 0, "{name}");
        let mut files = vec![out.clone()];
        files.extend(Some(out.with_extension("dat")).filter(|_| name == "a.hea"));
        for file in files {
            for word in WORDS {
                // Rows of numbers may spell a short number by chance.
                let by_chance = word == "4711" && !file.extension().is_some_and(|e| e == "edf" || e == "hea");
                assert!(by_chance || !holds(&file, word), "{} holds '{word}'", file.display());
            }
        }
    }
    let out = open(folder.path().join("a.edf")).unwrap();
    assert_eq!(out.start, local_time_from_ymd_hms((2000, 1, 1), (22, 30, 15, 0)));
    let identity = Identity { sex: "F".into(), ..Identity::default() };
    assert_eq!((out.identity.clone(), out.leads[0].name.as_str()), (identity, "ECG 1"));
    let kinds: Vec<_> = out.diary.iter().map(|e| (e.span.start, e.kind, e.text.as_str())).collect();
    assert_eq!(kinds, [(500, DiaryKind::Symptom, ""), (900, DiaryKind::Symptom, "")]);
    assert_eq!(raw(&out.leads[0]), raw(&planted().leads[0]));
}

#[test]
fn nothing_is_written_over_without_being_told_to_and_never_the_recording_itself() {
    let folder = tempfile::tempdir().unwrap();
    let (input, out) = (folder.path().join("r.hea"), folder.path().join("out.edf"));
    wfdb::write_record(&made(1000), &input, Packing::Bits12).unwrap();
    let before = std::fs::read(folder.path().join("r.dat")).unwrap();
    assert_eq!(ended(beatledger(&["convert"], &[&input, &out])), 0);
    std::fs::write(&out, "mine").unwrap();
    assert_eq!(ended(beatledger(&["convert"], &[&input, &out])), 2);
    assert_eq!(std::fs::read(&out).unwrap(), b"mine");
    assert_eq!(ended(beatledger(&["convert", "--force"], &[&input, &out])), 0);
    assert!(open(&out).is_ok());
    let data = folder.path().join("r.dat");
    for (from, to) in [(&input, &input), (&data, &input)] {
        assert_eq!(ended(beatledger(&["convert", "--force", "--as", "wfdb16"], &[from, to])), 2);
    }
    assert_eq!(std::fs::read(&data).unwrap(), before, "the recording is as it was");
    assert_eq!(ended(beatledger(&["convert"], &[&input, &folder.path().join("out.xyz")])), 2);
}

#[test]
fn a_part_is_told_by_time_of_day_or_by_seconds() {
    let folder = tempfile::tempdir().unwrap();
    let input = folder.path().join("r.edf");
    let whole = made(1000);
    edf::write(&whole, &input).unwrap();
    let part = |from: &str, to: &str, name: &str| {
        let out = folder.path().join(name);
        let code = ended(beatledger(&["convert", "--from", from, "--to", to], &[&input, &out]));
        (code == 0).then(|| open(out).unwrap())
    };
    for (from, to, name) in [("22:30:25", "22:30:35", "a.edf"), ("10", "20", "b.edf")] {
        let found = part(from, to, name).unwrap();
        assert_eq!((found.samples, found.start.unwrap().clock().as_str()), (2500, "22:30:25"), "{from} {to}");
        assert_eq!(raw(&found.leads[1]), raw(&whole.leads[1])[2500..5000]);
    }
    assert!(part("20", "10", "c.edf").is_none(), "the end lies before the start");
    assert!(part("25:00", "26:00", "d.edf").is_none() && part("NaN", "1", "e.edf").is_none());
    assert!(part("21:00", "21:01", "f.edf").is_none(), "that time of day is not in the recording");
}

#[test]
fn beats_leave_in_every_form_with_the_same_places() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(ended(beatledger(&["demo", "--hours", "0.2"], &[folder.path()])), 0);
    let input = folder.path().join("working-day.edf");
    let out = |name: &str| folder.path().join(name);
    for name in
        ["b.csv", "b.atr", "b.ann", "b.rr.txt", "b.parquet", "b.events.parquet", "b.events.csv", "b.nn.txt"]
    {
        assert_eq!(ended(beatledger(&["convert"], &[&input, &out(name)])), 0, "{name}");
    }
    assert_eq!(ended(beatledger(&["convert", "--marks"], &[&input, &out("b.edf")])), 0);
    let table = std::fs::read_to_string(out("b.csv")).unwrap();
    let rows: Vec<Vec<&str>> = table.lines().skip(1).map(|l| l.split(',').collect()).collect();
    let places: Vec<i64> = rows.iter().map(|r| r[0].parse().unwrap()).collect();
    assert!(places.len() > 500, "twelve minutes hold more than 500 beats, found {}", places.len());
    let rate = Some(Rate::whole_hz(250));
    let is_beat = |s: &str| matches!(s, "N" | "S" | "V" | "F" | "Q");
    for name in ["b.atr", "b.ann"] {
        let read = wfdb::read_annotation_file(out(name), rate).unwrap();
        let found: Vec<i64> =
            read.annotations.iter().filter(|a| is_beat(&a.symbol)).map(|a| a.sample).collect();
        assert_eq!(found, places, "{name}");
    }
    let marks = edf::read_marks(out("b.edf")).unwrap();
    let beats = marks.iter().filter(|(_, m)| matches!(m, edf::Mark::Beat { .. })).map(|(s, _)| s.start);
    assert_eq!(beats.collect::<Vec<_>>(), places);
    assert_eq!(open(out("b.edf")).unwrap().diary, open(&input).unwrap().diary);
    let list = rr::read(out("b.rr.txt")).unwrap();
    assert_eq!(list.beats_ms.len(), places.len());
    let length_ms = (places[places.len() - 1] - places[0]) as f64 * 4.0;
    assert!((list.beats_ms[places.len() - 1] - length_ms).abs() < 0.001);
}

#[test]
fn a_list_of_intervals_gives_figures_and_cannot_be_opened_as_a_recording() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("list.txt");
    // Ten intervals in seconds; SDNN 42.0846 ms and RMSSD 73.1437 ms by the definitions of the Task Force 1996.
    std::fs::write(&path, "0.800\n0.810\n0.790\n0.860\n0.750\n0.820\n0.805\n0.795\n0.900\n0.780\n").unwrap();
    assert_eq!(ended(beatledger(&["read"], &[&path])), 0);
    assert_eq!(ended(beatledger(&["read", "--json"], &[&path])), 0);
    assert_eq!(ended(beatledger(&["read"], &[&path, Path::new("--out"), &folder.path().join("out")])), 0);
    let said = open(&path).unwrap_err().to_string();
    assert_eq!(
        said,
        "list.txt: its content is a list of RR intervals, which has no tracing to show; `beatledger read` prints its figures"
    );
}
