//! Waveform objects made by hand from the layout of PS3.5.

use beatledger_testkit::Random;

use super::*;

fn element(tag: u32, kind: &str, value: &[u8]) -> Vec<u8> {
    let mut out = [(tag >> 16) as u16, tag as u16].iter().flat_map(|w| w.to_le_bytes()).collect::<Vec<u8>>();
    out.extend(kind.bytes());
    let value: Vec<u8> = value.iter().copied().chain((value.len() % 2 == 1).then_some(b' ')).collect();
    match kind {
        "SQ" | "OW" => {
            out.extend([0, 0]);
            out.extend((value.len() as u32).to_le_bytes());
        }
        _ => out.extend((value.len() as u16).to_le_bytes()),
    }
    out.extend(value);
    out
}

fn item(parts: &[Vec<u8>]) -> Vec<u8> {
    let value = parts.concat();
    [&b"\xfe\xff\x00\xe0"[..], &(value.len() as u32).to_le_bytes(), &value].concat()
}

fn channel(code: &str, unit: &str) -> Vec<u8> {
    item(&[
        element(
            0x003a_0208,
            "SQ",
            &item(&[element(0x0008_0100, "SH", code.as_bytes()), element(0x0008_0102, "SH", b"MDC")]),
        ),
        element(0x003a_0210, "DS", b"2.5"),
        element(0x003a_0211, "SQ", &item(&[element(0x0008_0100, "SH", unit.as_bytes())])),
        element(0x003a_0213, "DS", b"5"),
    ])
}

fn group(origin: &str, rate: &str, samples: &[i16]) -> Vec<u8> {
    let data: Vec<u8> = samples.iter().flat_map(|s| s.to_le_bytes()).collect();
    item(&[
        element(0x003a_0004, "CS", origin.as_bytes()),
        element(0x003a_0005, "US", &[2, 0]),
        element(0x003a_0010, "UL", &(samples.len() as u32 / 2).to_le_bytes()),
        element(0x003a_001a, "DS", rate.as_bytes()),
        element(0x003a_0200, "SQ", &[channel("2:2", "uV"), channel("2:0", "mm[Hg]")].concat()),
        element(0x5400_1004, "US", &[16, 0]),
        element(0x5400_1006, "CS", b"SS"),
        element(0x5400_100a, "OW", &(-99i16).to_le_bytes()),
        element(0x5400_1010, "OW", &data),
    ])
}

fn object(class: &str, syntax: &str) -> Vec<u8> {
    let syntax = element(TRANSFER_SYNTAX, "UI", syntax.as_bytes());
    let mut out = [&[0; 128][..], b"DICM"].concat();
    out.extend(element(0x0002_0000, "UL", &(syntax.len() as u32).to_le_bytes()));
    out.extend(syntax);
    out.extend(element(CLASS, "UI", class.as_bytes()));
    out.extend(element(ACQUIRED, "DT", b"20201024093015.500000+0200"));
    out.extend(element(NAME, "PN", b"Doe^Jane"));
    out.extend(element(BORN, "DA", b"19600131"));
    let groups = [group("DERIVED", "500", &[0; 40]), group("ORIGINAL", "200", &[-85, 1, -99, 2, 300, 3])];
    out.extend(element(WAVEFORMS, "SQ", &groups.concat()));
    out
}

const AMBULATORY: &str = "1.2.840.10008.5.1.4.1.1.9.1.3";
const EXPLICIT: &str = "1.2.840.10008.1.2.1";
const DEFLATED: &str = "1.2.840.10008.1.2.1.99";

/// The object with its data set compressed as PS3.5 A.5 says.
fn deflated(object: &[u8], change: impl Fn(&mut Vec<u8>)) -> Vec<u8> {
    use std::io::Write;
    // The class is the first element of the data set.
    let at = object.windows(4).position(|w| w == [8, 0, 0x16, 0]).unwrap();
    let mut encoder = flate2::write::DeflateEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(&object[at..]).unwrap();
    let mut packed = encoder.finish().unwrap();
    change(&mut packed);
    [&object[..at], &packed].concat()
}

#[test]
fn a_deflated_object_reads_as_the_plain_one() {
    let packed = deflated(&object(AMBULATORY, DEFLATED), |_| {});
    let (plain, packed) = (open(&object(AMBULATORY, EXPLICIT)).unwrap(), open(&packed).unwrap());
    let raw = |r: &Recording| {
        let mut out = vec![0; 3];
        r.leads[0].samples.read(0, &mut out);
        out
    };
    assert_eq!((raw(&packed), packed.start), (raw(&plain), plain.start));
    assert_eq!(packed.identity, plain.identity);
}

fn open(bytes: &[u8]) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("made.dcm"), bytes).unwrap();
    crate::open(folder.path().join("made.dcm"))
}

#[test]
fn the_recorded_group_is_read_with_sign_scale_and_missing_samples() {
    let recording = open(&object(AMBULATORY, EXPLICIT)).unwrap();
    let lead = &recording.leads[0];
    let mut raw = vec![0; 3];
    lead.samples.read(0, &mut raw);
    assert_eq!((lead.name.as_str(), raw), ("II", vec![-85, -99, 300]));
    // 2.5 uV a step and 5 uV at 0: -85 is -207.5 uV.
    assert!((lead.mv_from_adc(-85) + 0.2075).abs() < 1e-6);
    assert_eq!((lead.missing, recording.rate.hz(), recording.samples), (Some(-99), 200.0, 3));
    assert_eq!(recording.start, local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 500)));
    assert_eq!(
        (recording.identity.name.as_str(), recording.identity.born.as_str()),
        ("Doe Jane", "1960-01-31")
    );
    let others: Vec<_> = recording.others.iter().map(|o| o.reason.as_str()).collect();
    assert_eq!(others, ["it is derived from the recording", "its unit 'mm[Hg]' is no voltage"]);
}

#[test]
fn what_cannot_be_read_is_told_in_one_sentence() {
    let told = |bytes: &[u8]| open(bytes).unwrap_err().to_string();
    assert_eq!(
        told(&object("1.2.840.10008.5.1.4.1.1.104.1", EXPLICIT)),
        "made.dcm: it is a DICOM object of class '1.2.840.10008.5.1.4.1.1.104.1', not an ECG waveform"
    );
    assert_eq!(
        told(&object(AMBULATORY, "1.2.840.10008.1.2.2")),
        "made.dcm: its transfer syntax '1.2.840.10008.1.2.2' (big-endian, retired) is not read; the little-endian ones are, plain or deflated"
    );
    let broken = deflated(&object(AMBULATORY, DEFLATED), |packed| packed[3] ^= 0xff);
    assert!(told(&broken).contains("expected a data set that can be inflated"), "{}", told(&broken));
    let sound = object(AMBULATORY, EXPLICIT);
    assert!(told(&sound[..sound.len() / 2]).contains("found that a value reaches beyond its end"));
}

#[test]
fn of_a_cut_object_the_samples_that_it_holds_are_read_and_what_lacks_is_told() {
    let sound = object(AMBULATORY, EXPLICIT);
    let codes = |bytes: &[u8]| {
        let recording = open(bytes).unwrap();
        let codes: Vec<_> = recording.warnings.iter().map(|w| w.code.clone()).collect();
        (recording.samples, codes)
    };
    let data = sound.windows(4).rposition(|tag| tag == [0x00, 0x54, 0x10, 0x10]).unwrap();
    let whole = codes(&sound).1;
    // Tag, type and length take 12 bytes; a sample of both channels takes 4.
    let (samples, told) = codes(&sound[..data + 12 + 9]);
    assert_eq!(samples, 2);
    assert_eq!(told[0], "file-cut");
    assert!(told.contains(&"signal-short".to_owned()) && !whole.contains(&"file-cut".to_owned()), "{told:?}");
}

#[test]
fn an_object_cut_or_struck_anywhere_is_read_or_refused() {
    let sound = object(AMBULATORY, EXPLICIT);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.dcm");
    let mut random = Random::new(77);
    for round in 0..3000u32 {
        let mut bytes = sound.clone();
        let mut next = || random.bits() as usize;
        match round as usize {
            len if len < sound.len() => bytes.truncate(len),
            _ => (0..2).for_each(|_| {
                let at = 128 + next() % (sound.len() - 128);
                bytes[at] = [0, 1, 0xff, 0x7f, next() as u8][next() % 5];
            }),
        }
        std::fs::remove_file(&path).ok();
        std::fs::write(&path, &bytes).unwrap();
        if let Ok(recording) = DicomReader.read(&path) {
            let held: usize = recording.leads.iter().map(|l| l.samples.bytes()).sum();
            assert!(held <= 4 * bytes.len() && recording.samples > 0);
        }
    }
}
