//! What checks, register and approvals state of an item, in every order.

use crate::records::{ChecksSettings, FormerNames, Loaded, RegisterSettings, Request, load};

const HEADER: &str = "instrument,date,as_found,kind,group,interval_days,next_due\n";

/// The checks below [`HEADER`], with a register where it is not empty, as of 2026-06-30.
fn loaded(rows: &str, register: &str) -> Loaded {
    loaded_with_book(rows, register, "")
}

fn loaded_with_book(rows: &str, register: &str, book: &str) -> Loaded {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    std::fs::write(path("c.csv"), format!("{HEADER}{rows}")).unwrap();
    std::fs::write(path("r.csv"), register).unwrap();
    std::fs::write(path("a.csv"), book).unwrap();
    let register = (!register.is_empty()).then(|| path("r.csv"));
    let book = (!book.is_empty()).then(|| path("a.csv"));
    load(&Request {
        checks: &[path("c.csv")],
        register: register.as_deref(),
        base: folder.path(),
        checks_settings: &ChecksSettings::default(),
        forms: &[],
        register_settings: &RegisterSettings::default(),
        approvals: book.as_deref(),
        former: &FormerNames::default(),
        as_of: 20_634.0,
        books_as_of: 20_634.0,
    })
    .unwrap()
}

fn interval(rows: &str) -> Option<f64> {
    loaded(rows, "").histories.items[0].interval_days
}

fn told(loaded: &Loaded, words: &str) -> bool {
    let mut warnings = loaded.warnings.iter();
    warnings.any(|warning| warning.to_string().contains(words))
}

#[test]
fn the_newest_row_that_states_an_interval_counts() {
    let rows = "A,2023-01-01,0,,,365,\nA,2024-01-01,0,,,730,\nA,2026-01-01,0,,,,\n";
    assert_eq!(interval(rows), Some(730.0));
    assert_eq!(interval("A,2023-01-01,0,,,2 years,\n"), Some(731.0));
    assert_eq!(interval("A,2023-01-01,0,,,,\n"), None);
}

#[test]
fn a_next_due_date_counts_from_the_calibration_before_it() {
    let rows = "A,2025-01-10,0,calibration,,,2027-01-10\nA,2025-07-10,0,check,,,2027-01-10\n";
    assert_eq!(interval(rows), Some(730.0));
    assert_eq!(interval("A,2025-01-10,0,,,,2026-01-10\n"), Some(365.0));
    // The date of a year that has a leap day, not the rounded length of twelve months.
    assert_eq!(interval("A,2023-03-01,0,,,365,2024-03-01\n"), Some(366.0));
}

#[test]
fn an_interval_and_a_date_that_contradict_it_are_told() {
    let loaded = loaded("A,2025-01-10,0,,,730,2026-01-10\n", "");
    assert_eq!(loaded.histories.items[0].interval_days, Some(730.0));
    assert!(
        told(&loaded, "A: 730 d, due after 365 d"),
        "{:?}",
        loaded.warnings
    );
}

#[test]
fn a_due_date_before_its_check_is_told_and_tells_no_interval() {
    let loaded = loaded("A,2025-01-10,0,,,,2025-01-05\n", "");
    assert_eq!(loaded.histories.items[0].interval_days, None);
    assert!(told(&loaded, "A: 1 row"), "{:?}", loaded.warnings);
    // What stands for no date at all.
    assert_eq!(interval("A,2025-01-10,0,,,,9999-12-31\n"), None);
}

#[test]
fn what_cannot_be_read_as_an_interval_is_told_and_the_check_stays() {
    let loaded = loaded("A,2025-01-10,0,,,yearly,\nB,2025-01-10,0,,,,soon\n", "");
    assert_eq!(loaded.rows.used, 2);
    assert!(told(&loaded, "unknown interval_days \"yearly\""));
    assert!(told(&loaded, "unknown next_due \"soon\""));
}

#[test]
fn the_register_goes_before_the_checks_and_what_differs_is_told() {
    let checks = "A,2025-01-10,0,,g1,365,\nB,2025-01-10,0,,g1,365,\n";
    let loaded = loaded(checks, "instrument,group,interval_days\nA,g2,180\n");
    let items = &loaded.histories.items;
    let facts = |i: usize| (items[i].group.as_str(), items[i].interval_days);
    assert_eq!(facts(0), ("g2", Some(180.0)));
    assert_eq!(facts(1), ("g1", Some(365.0)));
    assert!(told(&loaded, "A: g2 in the register, g1 in its checks"));
    assert!(told(
        &loaded,
        "A: 180 d in the register, 365 d in its checks"
    ));
}

#[test]
fn a_check_after_an_approval_that_states_another_interval_is_told() {
    let checks = "A,2025-01-10,0,,,,2026-01-10\nB,2025-01-10,0,,,,2027-01-10\n";
    let approved = |on: &str| {
        format!(
            "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason,previous_sha256\nA,,730,730,approved,P,{on},,,\nB,,730,730,approved,P,{on},,,\n"
        )
    };
    let words = "A: 730 d approved on 2024-06-01, 365 d in its check of 2025-01-10. If the checks";
    let before = loaded_with_book(checks, "", &approved("2024-06-01"));
    assert_eq!(before.histories.items[0].interval_days, Some(730.0));
    assert!(told(&before, words), "{:?}", before.warnings);
    // A person who decides after the check has seen what it states.
    let after = loaded_with_book(checks, "", &approved("2025-06-01"));
    assert!(!told(&after, "made after an approval"));
}

#[test]
fn a_next_due_date_of_the_register_is_its_interval() {
    let checks =
        "A,2025-01-10,0,,,,\nB,2025-01-10,0,,,365,\nC,2025-01-10,0,,,,\nD,2025-01-10,0,,,,\n";
    let register = "instrument,last_calibration,interval_days,next_due\nA,2025-02-01,,2026-02-01\nB,,,2027-01-10\nC,,200,2026-01-10\nD,,,2024-01-10\n";
    let loaded = loaded(checks, register);
    let intervals: Vec<Option<f64>> = loaded
        .histories
        .items
        .iter()
        .map(|item| item.interval_days)
        .collect();
    assert_eq!(intervals, [Some(365.0), Some(730.0), Some(200.0), None]);
    assert!(told(
        &loaded,
        "B: 730 d in the register, 365 d in its checks"
    ));
    assert!(told(&loaded, "C: 200 d, due after 365 d"));
    assert!(told(&loaded, "tells no interval: D: due on 2024-01-10"));
    assert!(told(
        &loaded,
        "which may have been none: B: 730 d from 2025-01-10."
    ));
}

#[test]
fn of_several_groups_the_newest_counts_and_all_are_told() {
    let loaded = loaded("A,2024-01-10,0,,old,,\nA,2025-01-10,0,,new,,\n", "");
    assert_eq!(loaded.histories.items[0].group, "new");
    assert!(told(&loaded, "A: new, old"), "{:?}", loaded.warnings);
}
