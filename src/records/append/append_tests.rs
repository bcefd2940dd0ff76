use super::*;
use crate::records::{CheckKind, Event};
use std::path::PathBuf;

fn check() -> NewCheck {
    NewCheck {
        instrument: "TH-002".into(),
        point: "triple point of water".into(),
        date: 20_635.0,
        as_found: 1.62,
        as_left: f64::NAN,
        nominal: f64::NAN,
        u: 0.35,
        u_common: f64::NAN,
        usage: f64::NAN,
        event: Event::None,
        kind: CheckKind::Check,
        unit: "mK".into(),
    }
}

fn append(path: &Path, checks: &[NewCheck], settings: &ChecksSettings) -> Result<(), AppendError> {
    append_with(path, |old, file| rows_of(old, checks, settings, file))
}

fn file(text: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("records.csv");
    std::fs::write(&path, text).unwrap();
    (folder, path)
}

#[test]
fn the_persons_columns_and_line_ends_stay() {
    let before = "who,instrument,date,as_found,unit,point,u\r\nA,TH-002,2026-06-01,1.5,mK,triple point of water,0.3";
    let (folder, path) = file(before);
    append(&path, &[check()], &ChecksSettings::default()).unwrap();
    let after = std::fs::read_to_string(&path).unwrap();
    let expected = format!("{before}\r\n,TH-002,2026-07-01,1.62,mK,triple point of water,0.35\r\n");
    assert_eq!(after, expected);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn semicolons_commas_and_own_dates() {
    let (_folder, path) =
        file("Gerät;Datum;Wert;u;Punkt;unit\nTH-002;01.06.2026;1,5;0,6;triple point of water;mK\n");
    let mut settings = ChecksSettings {
        decimal_comma: Some(true),
        date_format: "%d.%m.%Y".into(),
        coverage_factor: 2.0,
        ..Default::default()
    };
    settings.columns.instrument = "Gerät".into();
    settings.columns.date = "Datum".into();
    settings.columns.as_found = "Wert".into();
    settings.columns.point = "Punkt".into();
    append(&path, &[check()], &settings).unwrap();
    let after = std::fs::read_to_string(&path).unwrap();
    assert!(
        after.ends_with("\nTH-002;01.07.2026;1,62;0,7;triple point of water;mK\n"),
        "{after}"
    );
}

#[test]
fn a_duplicate_changes_nothing() {
    let text = "instrument,point,date,as_found,u,unit\nTH-002,triple point of water,2026-07-01,1.6,0.3,mK\n";
    let (_folder, path) = file(text);
    let error = append(&path, &[check()], &ChecksSettings::default()).unwrap_err();
    assert!(matches!(error, AppendError::Duplicate { row: 2, .. }));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_file_that_cannot_hold_the_check_is_refused() {
    let (_folder, path) = file("instrument,date,as_found\n");
    let error = append(&path, &[check()], &ChecksSettings::default()).unwrap_err();
    says!(error.to_string(), "point");
    let (_folder, path) = file("a,b\n1,2\n");
    assert!(append(&path, &[check()], &ChecksSettings::default()).is_err());
}

#[test]
fn a_row_is_never_put_behind_an_open_quotation_mark() {
    let text = "instrument,point,date,as_found,u,unit\nTH-001,a,2026-06-01,1.5,0.3,\"mK\nTH-001,a,2026-06-02,1.5,0.3,mK\n";
    let (_folder, path) = file(text);
    let error = append(&path, &[check()], &ChecksSettings::default()).unwrap_err();
    let words = error.to_string();
    assert!(
        words.contains("opened in row 2 is never closed") && words.contains("nothing was added"),
        "{words}"
    );
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

#[test]
fn a_new_file_gets_a_header() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.csv");
    append(&path, &[check()], &ChecksSettings::default()).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.starts_with("instrument,point,date,as_found"), "{text}");
    assert_eq!(text.lines().count(), 2);
}

#[test]
fn headers_are_found_as_the_reader_of_records_finds_them() {
    let (_folder, path) = file("\u{feff}Instrument,\"Date\",As_Found , Point ,u\n");
    append(&path, &[check()], &ChecksSettings::default()).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let row = "TH-002,2026-07-01,1.62,triple point of water,0.35\n";
    assert!(
        text.starts_with('\u{feff}') && text.ends_with(row),
        "{text}"
    );
}

#[test]
fn several_checks_are_added_all_or_none() {
    let before = "instrument,point,date,as_found,u\n";
    let (_folder, path) = file(before);
    let other = NewCheck {
        date: 20_636.0,
        ..check()
    };
    let twice = [check(), other.clone(), check()];
    assert!(append(&path, &twice, &ChecksSettings::default()).is_err());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    append(&path, &[check(), other], &ChecksSettings::default()).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap().lines().count(), 3);
}

#[test]
fn a_time_of_a_day_that_is_recorded_without_one_is_a_duplicate() {
    let (_folder, path) = file("instrument,point,date,as_found,u\n");
    let at = |date: f64| {
        let check = NewCheck { date, ..check() };
        append(&path, &[check], &ChecksSettings::default())
    };
    at(20_635.0).unwrap();
    assert!(at(20_635.4).is_err());
    at(20_636.25).unwrap();
    at(20_636.75).unwrap();
    assert!(at(20_636.0).is_err());
}

#[test]
fn a_write_protected_file_is_left_alone() {
    let before = "instrument,point,date,as_found,u\n";
    let (_folder, path) = file(before);
    let mut rights = std::fs::metadata(&path).unwrap().permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&path, rights).unwrap();
    let error = append(&path, &[check()], &ChecksSettings::default()).unwrap_err();
    says!(error.to_string(), "write-protected");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
}

/// Eight writers of a file that none of them finds: each check is there, under one header.
#[test]
fn writers_of_a_new_file_wait_for_each_other() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.csv");
    std::thread::scope(|scope| {
        for day in 0..8 {
            let path = &path;
            scope.spawn(move || {
                let check = NewCheck {
                    date: 20_635.0 + f64::from(day),
                    ..check()
                };
                append(path, &[check], &ChecksSettings::default()).unwrap();
            });
        }
    });
    let text = std::fs::read_to_string(&path).unwrap();
    assert_eq!(text.lines().count(), 9, "{text}");
    assert_eq!(text.matches("instrument").count(), 1);
}
