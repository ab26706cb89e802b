//! Tests of sign-off: what a later reader must be told when an export was touched.

use std::path::Path;

use super::{FILE_NAME, FileState, ManifestError, Meta, verify, write};

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
    std::fs::write(folder.path().join("data/beats.csv"), b"sample,class\n").unwrap();
    write(folder.path(), &meta()).unwrap();
    folder
}

fn rewritten(folder: &Path, from: &str, to: &str) {
    let path = folder.join(FILE_NAME);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains(from));
    std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
}

#[test]
fn an_untouched_export_is_intact_and_its_manifest_is_named_by_its_own_hash() {
    let folder = export();
    let check = verify(folder.path()).unwrap();
    assert!(check.is_intact());
    let paths: Vec<&str> = check.files.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(paths, ["data/beats.csv", "report.pdf"]);
    // SHA-256 of "abc", FIPS 180-4.
    let published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(check.manifest.files[1].sha256, published);
    let text = check.to_string();
    assert!(text.starts_with("Intact: 2 of 2 listed files are as they were.\n"), "{text}");
    assert!(text.contains("signed by A. Reader, cardiologist: reviewed and approved."));
    assert_eq!(verify(&folder.path().join(FILE_NAME)).unwrap(), check);
}

#[test]
fn signing_again_names_the_manifest_before_and_drops_its_signature() {
    let folder = export();
    let old = verify(folder.path()).unwrap().manifest_sha256;
    std::fs::write(folder.path().join("manifest.sig"), [0; 64]).unwrap();
    assert!(verify(folder.path()).unwrap().signature_present);
    let info = write(folder.path(), &meta()).unwrap();
    let check = verify(folder.path()).unwrap();
    assert_eq!(check.manifest.supersedes, Some(old));
    assert_eq!((info.sha256, info.files), (check.manifest_sha256.clone(), 2));
    assert!(!check.signature_present);
}

#[test]
fn changed_missing_and_added_files_are_each_told() {
    let folder = export();
    std::fs::write(folder.path().join("report.pdf"), b"abd").unwrap();
    std::fs::remove_file(folder.path().join("data/beats.csv")).unwrap();
    std::fs::write(folder.path().join("data/extra.csv"), b"").unwrap();
    let check = verify(folder.path()).unwrap();
    assert_eq!(check.files[0].state, FileState::Missing);
    assert_eq!(check.files[1].state, FileState::Changed);
    assert_eq!(check.unlisted, ["data/extra.csv"]);
    assert!(!check.is_intact());
    let text = check.to_string();
    for line in
        ["report.pdf has changed.", "data/beats.csv is missing.", "data/extra.csv is here but not listed."]
    {
        assert!(text.contains(line), "{text}");
    }
}

#[test]
fn one_added_file_alone_is_not_intact() {
    let folder = export();
    std::fs::write(folder.path().join("second-report.pdf"), b"abc").unwrap();
    assert!(!verify(folder.path()).unwrap().is_intact());
}

#[test]
fn paths_that_leave_the_folder_are_refused() {
    for path in ["../report.pdf", "/etc/passwd", "data/../../x", "C:/x", "a\\\\b", "", "./report.pdf", "a//b"]
    {
        let folder = export();
        rewritten(folder.path(), "\"report.pdf\"", &format!("\"{path}\""));
        let result = verify(folder.path());
        assert!(matches!(result, Err(ManifestError::Path { .. })), "{path}: {result:?}");
    }
}

#[test]
fn a_path_or_a_key_that_stands_twice_is_refused() {
    let folder = export();
    rewritten(folder.path(), "\"data/beats.csv\"", "\"Report.PDF\"");
    assert!(verify(folder.path()).unwrap_err().to_string().contains("differs from another in case only"));
    let folder = export();
    rewritten(folder.path(), "\"statement\"", "\"note\": {\"a\": 1, \"a\": 2}, \"statement\"");
    assert!(verify(folder.path()).unwrap_err().to_string().contains("the key 'a' stands twice"));
}

#[test]
fn another_version_is_refused() {
    let folder = export();
    rewritten(folder.path(), "\"version\": 1", "\"version\": 2");
    assert!(verify(folder.path()).unwrap_err().to_string().contains("'export-manifest' version 2"));
}

#[cfg(unix)]
#[test]
fn a_link_is_neither_listed_nor_followed() {
    let folder = export();
    let report = folder.path().join("report.pdf");
    let outside = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(outside.path(), b"abc").unwrap();
    std::fs::remove_file(&report).unwrap();
    std::os::unix::fs::symlink(outside.path(), &report).unwrap();
    let check = verify(folder.path()).unwrap();
    assert_eq!(check.files[1].state, FileState::NotPlain);
    assert!(!check.is_intact());
    assert!(matches!(write(folder.path(), &meta()), Err(ManifestError::Unlistable { .. })));
}

#[test]
fn a_key_that_stands_twice_inside_the_list_of_files_is_refused_too() {
    let folder = export();
    rewritten(
        folder.path(),
        "\"path\": \"report.pdf\"",
        "\"note\": 1, \"path\": \"report.pdf\", \"note\": 2",
    );
    assert!(verify(folder.path()).unwrap_err().to_string().contains("the key 'note' stands twice"));
}

#[cfg(unix)]
#[test]
fn names_that_another_system_would_not_keep_apart_are_not_signed() {
    for (name, why) in [
        ("REPORT.pdf", "it is named twice, or differs from another in case only"),
        ("a:b", "it holds a character that some systems take for a separator"),
    ] {
        let folder = export();
        let before = std::fs::read(folder.path().join(FILE_NAME)).unwrap();
        std::fs::write(folder.path().join(name), b"abc").unwrap();
        let error = write(folder.path(), &meta()).unwrap_err().to_string();
        assert!(error.ends_with(&format!("which is refused because {why}")), "{error}");
        assert_eq!(std::fs::read(folder.path().join(FILE_NAME)).unwrap(), before, "the old manifest stays");
    }
}
