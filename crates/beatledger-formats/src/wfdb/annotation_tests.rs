//! Annotation files byte by byte. The hex vector was written by the Python package `wfdb` 4.3.1.

use super::super::annotation_bytes;
use super::*;

fn bytes_from_hex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> = text.bytes().filter(u8::is_ascii_hexdigit).collect();
    digits.chunks(2).map(|d| u8::from_str_radix(std::str::from_utf8(d).unwrap(), 16).unwrap()).collect()
}

fn reference_bytes() -> Vec<u8> {
    let mut bytes = bytes_from_hex("0058 17fc");
    bytes.extend(b"## time resolution: 360\0");
    bytes.extend(bytes_from_hex(
        "00ec ffffffff 0100 0570 02fc 284e 0d04 3b04 00ec 0000 8f05 0014 01f8 ff23 02f0 00f8
         00ec 0000 0004 0038 00f0 03f4 00ec 0c00 2527 0030 02fc 6869 0000",
    ));
    bytes
}

fn expected() -> Vec<Annotation> {
    let at = |sample, symbol| Annotation::new(sample, symbol).unwrap();
    vec![
        at(5, "+").with_aux("(N"),
        at(18, "N"),
        at(77, "N"),
        Annotation { chan: 1, ..at(1500, "V") },
        Annotation { num: 2, ..at(2523, "A") },
        Annotation { subtype: 3, ..at(3547, "~") },
        at(800_000, "/").with_aux("hi"),
    ]
}

fn parse(bytes: &[u8], rate: Option<Rate>) -> Result<AnnotationFile, FormatError> {
    let path = Path::new("made.atr");
    let mut parser = Parser { path, bytes, at: 0, time: 0, warnings: Warnings::default(), out: vec![] };
    parser.run()?;
    parser.finish(rate)
}

#[test]
fn the_reference_vector_reads_as_the_seven_annotations_it_was_made_from() {
    let file = parse(&reference_bytes(), Some(Rate::whole_hz(360))).unwrap();
    assert_eq!(file.annotations, expected());
    assert_eq!(file.ticks_hz, Some(360.0));
    assert!(file.warnings.is_empty());
}

#[test]
fn writing_gives_the_reference_bytes_but_for_its_detour_of_minus_one() {
    // The reference writer steps back by -1 and forward by 1 after the note: six bytes and a null word.
    let mut bytes = reference_bytes();
    bytes.drain(28..36);
    assert_eq!(annotation_bytes(&expected(), Some(Rate::whole_hz(360))).unwrap(), bytes);
}

#[test]
fn ticks_of_another_resolution_become_samples_of_the_record() {
    let file = parse(&reference_bytes(), Some(Rate::whole_hz(720))).unwrap();
    assert_eq!(file.annotations[1].sample, 36);
    assert_eq!(file.annotations[6].sample, 1_600_000);
}

#[test]
fn codes_that_the_file_defines_carry_their_mnemonic() {
    let note = |text: &str| Annotation::new(0, "\"").unwrap().with_aux(text);
    let own = Annotation { sample: 9, code: 42, symbol: "[42]".into(), ..Annotation::default() };
    let list = [
        note("## annotation type definitions"),
        note("42 pre before the event"),
        note("## end of definitions"),
        note("a plain remark"),
        own.clone(),
    ];
    let read = parse(&annotation_bytes(&list, None).unwrap(), None).unwrap().annotations;
    assert_eq!(read, [note("a plain remark"), Annotation { symbol: "pre".into(), ..own }]);
}

#[test]
fn a_file_without_its_final_word_is_read_with_a_warning() {
    let bytes = reference_bytes();
    let file = parse(&bytes[..bytes.len() - 2], None).unwrap();
    assert_eq!(file.annotations, expected());
    assert_eq!(file.warnings[0].code, "annotations-no-end");
}

#[test]
fn a_text_that_runs_past_the_end_is_an_error_with_its_byte() {
    let error = parse(&bytes_from_hex("0d04 08fc 4141"), None).unwrap_err().to_string();
    assert_eq!(error, "made.atr, byte 2: expected 8 bytes of text, found 2 before the end of the file");
}

#[test]
fn annotations_out_of_order_are_sorted_and_reported() {
    // N at 100, then SKIP -60 and N at 40.
    let file = parse(&bytes_from_hex("6404 00ec ffff c4ff 0004 0000"), None).unwrap();
    assert_eq!(file.annotations.iter().map(|a| a.sample).collect::<Vec<_>>(), [40, 100]);
    assert_eq!(file.warnings[0].code, "annotations-order");
}

#[test]
fn what_the_format_cannot_hold_is_refused_with_the_sample() {
    let long = Annotation::new(7, "N").unwrap().with_aux(&"x".repeat(256));
    assert!(annotation_bytes(&[long], None).unwrap_err().contains("sample 7"));
    let early = Annotation::new(-1, "N").unwrap();
    assert!(annotation_bytes(&[early], None).unwrap_err().contains("sample -1"));
}
