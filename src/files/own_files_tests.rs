use super::*;

/// A report with a page, its list made but not written.
fn report() -> (tempfile::TempDir, OwnFiles) {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir_all(place.path().join("charts")).unwrap();
    fs::write(place.path().join("decisions.csv"), "a,b\n").unwrap();
    fs::write(place.path().join("charts/a.svg"), "<svg/>").unwrap();
    let own = OwnFiles::of(place.path(), &[RECORD]).unwrap();
    fs::write(place.path().join(RECORD), "{}").unwrap();
    (place, own)
}

#[test]
fn every_file_is_accounted_for_by_name_and_kind() {
    let (place, own) = report();
    let folder = place.path();
    let foreign = || own.foreign(folder).unwrap();
    assert_eq!(foreign(), None);
    for name in ["thesis.doc", "charts/photo.jpg", "charts/a folder/x"] {
        let path = folder.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, "dear").unwrap();
        let refusal = foreign().unwrap();
        assert!(name.starts_with(&refusal), "{refusal}");
        fs::remove_file(&path).unwrap();
    }
    fs::remove_dir(folder.join("charts/a folder")).unwrap();
    fs::remove_file(folder.join("decisions.csv")).unwrap();
    fs::create_dir(folder.join("decisions.csv")).unwrap();
    assert_eq!(
        foreign().as_deref(),
        Some("decisions.csv"),
        "a folder of that name"
    );
}

#[test]
fn what_is_not_listed_survives_a_removal() {
    let (place, own) = report();
    let folder = place.path().join("gone");
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("decisions.csv"), "a").unwrap();
    fs::write(folder.join("thesis.doc"), "dear").unwrap();
    own.remove(&folder, &[]).unwrap_err();
    assert!(!folder.join("decisions.csv").exists());
    assert_eq!(
        fs::read_to_string(folder.join("thesis.doc")).unwrap(),
        "dear"
    );
    // A list that was edited to point elsewhere removes nothing there.
    let text = r#"{"..": {"decisions.csv": 4}, ".": {"../decisions.csv": 4}}"#;
    let edited: OwnFiles = serde_json::from_str(text).unwrap();
    edited.remove(&folder, &[]).unwrap_err();
    assert!(place.path().join("decisions.csv").exists());
}

#[test]
fn a_file_that_was_cut_does_not_stand() {
    let (place, own) = report();
    assert!(own.stand(place.path()));
    fs::write(place.path().join("decisions.csv"), "").unwrap();
    assert!(!own.stand(place.path()));
}
