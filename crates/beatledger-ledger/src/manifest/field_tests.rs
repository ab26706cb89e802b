//! Every field of a manifest: written as the signer gave it, and noticed when it is missing or another.

use std::path::Path;

use serde_json::{Value, json};

use super::{FILE_NAME, FileState, Meta, verify, write};

/// SHA-256 of "abc", FIPS 180-4.
const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
/// SHA-256 of nothing, FIPS 180-4 test vector of length zero.
const NOTHING: &str = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";

fn meta() -> Meta {
    Meta {
        created: "2020-10-26T10:00:00.000+01:00".into(),
        signer_name: "A. Reader".into(),
        signer_role: "cardiologist".into(),
        statement: "reviewed and approved".into(),
        recording_sha256: "ab".repeat(32),
        ledger_head: "cd".repeat(32),
        program: "0.1.0".into(),
    }
}

fn export() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("report.pdf"), b"abc").unwrap();
    std::fs::create_dir(folder.path().join("data")).unwrap();
    std::fs::write(folder.path().join("data/empty.csv"), b"").unwrap();
    write(folder.path(), &meta()).unwrap();
    folder
}

fn manifest(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join(FILE_NAME)).unwrap()).unwrap()
}

fn put(folder: &Path, manifest: &Value) {
    std::fs::write(folder.join(FILE_NAME), serde_json::to_vec_pretty(manifest).unwrap()).unwrap();
}

#[test]
fn a_manifest_holds_what_the_signer_gave_and_what_lies_in_the_folder() {
    let folder = export();
    assert_eq!(
        manifest(folder.path()),
        json!({
            "format": "export-manifest",
            "version": 1,
            "created": "2020-10-26T10:00:00.000+01:00",
            "signer": {"name": "A. Reader", "role": "cardiologist"},
            "key": null,
            "statement": "reviewed and approved",
            "recording_sha256": "ab".repeat(32),
            "ledger_head": "cd".repeat(32),
            "program": "0.1.0",
            "supersedes": null,
            "files": [
                {"path": "data/empty.csv", "size": 0, "sha256": NOTHING},
                {"path": "report.pdf", "size": 3, "sha256": ABC}
            ]
        })
    );
    // The line end makes it a text file; the hash is that of every byte.
    let bytes = std::fs::read(folder.path().join(FILE_NAME)).unwrap();
    assert_eq!(bytes.last(), Some(&b'\n'));
    assert_eq!(verify(folder.path()).unwrap().manifest_sha256, crate::sha256_of_bytes(&bytes));
}

#[test]
fn a_manifest_without_one_of_its_fields_is_refused_and_the_field_is_named() {
    for field in [
        "format",
        "version",
        "created",
        "signer",
        "statement",
        "recording_sha256",
        "ledger_head",
        "program",
        "files",
    ] {
        let folder = export();
        let mut manifest = manifest(folder.path());
        assert!(manifest.as_object_mut().unwrap().remove(field).is_some());
        put(folder.path(), &manifest);
        let error = verify(folder.path()).unwrap_err().to_string();
        assert!(error.contains(&format!("missing field `{field}`")), "{field}: {error}");
    }
    for (part, field) in [("signer", "name"), ("signer", "role")] {
        let folder = export();
        let mut manifest = manifest(folder.path());
        manifest[part].as_object_mut().unwrap().remove(field);
        put(folder.path(), &manifest);
        assert!(verify(folder.path()).unwrap_err().to_string().contains(&format!("missing field `{field}`")));
    }
    for field in ["path", "size", "sha256"] {
        let folder = export();
        let mut manifest = manifest(folder.path());
        manifest["files"][1].as_object_mut().unwrap().remove(field);
        put(folder.path(), &manifest);
        assert!(verify(folder.path()).unwrap_err().to_string().contains(&format!("missing field `{field}`")));
    }
}

#[test]
fn another_value_in_any_field_gives_another_hash_than_the_one_that_was_signed() {
    let folder = export();
    let signed = verify(folder.path()).unwrap().manifest_sha256;
    let whole = manifest(folder.path());
    for (at, value) in [
        ("/created", json!("2020-10-26T10:00:00.001+01:00")),
        ("/signer/name", json!("B. Reader")),
        ("/signer/role", json!("technician")),
        ("/key", json!({"alg": "Ed25519", "public": "AA==", "sha256": "00"})),
        ("/statement", json!("not reviewed")),
        ("/recording_sha256", json!("ac".repeat(32))),
        ("/ledger_head", json!("")),
        ("/ledger_head", json!("ce".repeat(32))),
        ("/program", json!("0.1.1")),
        ("/supersedes", json!("00".repeat(32))),
    ] {
        let mut changed = whole.clone();
        *changed.pointer_mut(at).unwrap() = value;
        put(folder.path(), &changed);
        let check = verify(folder.path()).unwrap();
        assert_ne!(check.manifest_sha256, signed, "{at}");
        assert_eq!(serde_json::to_value(&check.manifest).unwrap(), changed, "{at} is read as it stands");
    }
}

#[test]
fn a_listed_size_or_hash_that_is_not_that_of_the_file_is_told() {
    for (at, value) in [("/files/1/size", json!(4)), ("/files/1/sha256", json!(NOTHING))] {
        let folder = export();
        let mut changed = manifest(folder.path());
        *changed.pointer_mut(at).unwrap() = value;
        put(folder.path(), &changed);
        let check = verify(folder.path()).unwrap();
        let states: Vec<FileState> = check.files.iter().map(|f| f.state).collect();
        assert_eq!(states, [FileState::Same, FileState::Changed], "{at}");
        assert_eq!(
            (check.count(FileState::Same), check.count(FileState::Missing), check.is_intact()),
            (1, 0, false)
        );
        let text = check.to_string();
        assert!(
            text.starts_with("Not intact: 1 of 2 listed files are as they were.\nreport.pdf has changed.\n"),
            "{text}"
        );
    }
}

#[test]
fn a_hash_that_is_none_another_format_and_an_older_version_are_refused() {
    for (at, value, why) in [
        (
            "/files/1/sha256",
            json!(ABC.to_uppercase()),
            "the hash of 'report.pdf' is not 64 lower-case hex digits",
        ),
        (
            "/files/0/sha256",
            json!(NOTHING[..63]),
            "the hash of 'data/empty.csv' is not 64 lower-case hex digits",
        ),
        ("/format", json!("manifest"), "it calls itself 'manifest' version 1"),
        ("/version", json!(0), "it calls itself 'export-manifest' version 0"),
    ] {
        let folder = export();
        let mut changed = manifest(folder.path());
        *changed.pointer_mut(at).unwrap() = value;
        put(folder.path(), &changed);
        let error = verify(folder.path()).unwrap_err().to_string();
        assert!(
            error.starts_with("this is no export manifest of version 1 (") && error.contains(why),
            "{error}"
        );
    }
}

#[test]
fn a_line_break_in_a_name_adds_no_line_to_the_answer() {
    let folder = tempfile::tempdir().unwrap();
    let forged = "A. Reader\nIntact: 14 of 14 listed files are as they were.";
    write(folder.path(), &Meta { signer_name: forged.into(), ..meta() }).unwrap();
    let text = verify(folder.path()).unwrap().to_string();
    assert_eq!(text.lines().filter(|line| line.starts_with("Intact")).count(), 1, "{text}");
}

#[test]
fn the_answer_in_words_names_signer_time_recording_ledger_and_manifest() {
    let folder = export();
    let check = verify(folder.path()).unwrap();
    let text = format!(
        "Intact: 2 of 2 listed files are as they were.\n\
         Says it was signed by A. Reader, cardiologist: reviewed and approved.\n\
         Says it was signed at 2020-10-26T10:00:00.000+01:00 by the computer's clock.\n\
         Recording abababababab..., ledger cdcdcdcdcdcd..., manifest {}.\n\
         No key signature: this shows that files are the same, not who signed.",
        check.manifest_sha256
    );
    assert_eq!(check.to_string(), text);
    std::fs::write(folder.path().join("manifest.sig"), [0; 64]).unwrap();
    let text = verify(folder.path()).unwrap().to_string();
    assert!(text.ends_with("\nA key signature lies beside it and was not checked."), "{text}");
}

#[test]
fn what_is_written_is_told_to_the_ledger_with_path_hash_and_number() {
    let folder = export();
    std::fs::write(folder.path().join("summary.json"), b"{}").unwrap();
    let info = write(folder.path(), &meta()).unwrap();
    assert_eq!(info.path, folder.path().join("manifest.json"));
    assert_eq!((info.files, info.sha256), (3, verify(folder.path()).unwrap().manifest_sha256));
}

#[test]
fn a_path_that_two_systems_would_understand_differently_says_why_it_is_refused() {
    for (path, why) in [
        ("", "it is empty"),
        ("a\\b", "it holds a character that some systems take for a separator"),
        ("a\u{0}b", "it holds a character that some systems take for a separator"),
        ("c:x", "it holds a character that some systems take for a separator"),
        ("/etc/passwd", "it is absolute"),
        ("data/../../x", "it leaves the folder"),
        ("a//b", "it has an empty part"),
        ("a/./b", "it has an empty part"),
        ("Manifest.JSON", "a manifest cannot list itself or its signature"),
        ("manifest.sig", "a manifest cannot list itself or its signature"),
    ] {
        let folder = export();
        let mut changed = manifest(folder.path());
        changed["files"][1]["path"] = json!(path);
        put(folder.path(), &changed);
        let error = verify(folder.path()).unwrap_err().to_string();
        assert_eq!(error, format!("the manifest names '{path}', which is refused because {why}"));
    }
}

#[test]
fn a_manifest_of_more_than_16_mib_is_not_read() {
    let folder = export();
    let file = std::fs::OpenOptions::new().write(true).open(folder.path().join(FILE_NAME)).unwrap();
    file.set_len((16 << 20) + 1).unwrap();
    let error = verify(folder.path()).unwrap_err().to_string();
    assert!(error.contains("it has 16777217 bytes and at most 16777216 are read"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_folder_that_is_a_link_is_not_followed_to_the_file_behind_it() {
    let folder = export();
    let outside = tempfile::tempdir().unwrap();
    std::fs::write(outside.path().join("empty.csv"), b"").unwrap();
    std::fs::remove_dir_all(folder.path().join("data")).unwrap();
    std::os::unix::fs::symlink(outside.path(), folder.path().join("data")).unwrap();
    let check = verify(folder.path()).unwrap();
    assert_eq!(check.files[0].state, FileState::NotPlain);
    assert_eq!(check.unlisted, ["data"]);
    assert!(check.to_string().contains("data/empty.csv is a link or no plain file and was not followed.\n"));
}
