//! Books of approvals, right and wrong.

use super::*;

const HEADER: &str = "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason,previous_sha256\n";

fn read(lines: &str) -> (Vec<Item>, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("approvals.csv");
    std::fs::write(&path, format!("{HEADER}{lines}")).unwrap();
    let former = FormerNames::default();
    let as_of = date::parse_iso(b"2026-06-30").unwrap();
    let mut book = ApprovalBook::read(&path, "approvals.csv", &former, as_of).unwrap();
    let item = |instrument: &str, point: &str| Item {
        instrument: instrument.into(),
        point: point.into(),
        interval_days: Some(365.0),
        cap_days: Some(1000.0),
        ..Item::default()
    };
    let mut items = vec![item("A", ""), item("B", "low"), item("B", "high")];
    book.join(&mut items, as_of);
    let warnings = book
        .warnings
        .iter()
        .filter(|w| !w.words.contains("by hand"));
    (items, warnings.map(ToString::to_string).collect())
}

#[test]
fn the_latest_valid_line_is_in_force() {
    let (items, warnings) = read(
        "A,,500,500,approved,P,2025-01-01,,,\n\
         A,,700,700,approved,P,2026-01-01,2026-03-01,trial,\n\
         A,,900,,rejected,Q,2026-05-01,,too long,\n\
         B,low,730,400,other,P,2026-06-30,,,\n",
    );
    assert_eq!(items[0].interval_days, Some(500.0));
    let signed = items[0].signed.as_ref().unwrap();
    assert_eq!(signed.last.verdict, ApprovalVerdict::Rejected);
    assert_eq!(
        signed.in_force.as_ref().unwrap().on,
        date::parse_iso(b"2025-01-01").unwrap()
    );
    assert_eq!(items[1].interval_days, Some(400.0));
    assert_eq!(items[2].signed, None);
    assert_eq!(
        warnings,
        ["approvals.csv, line 3: the approval of 700 d for A ran out on 2026-03-01"]
    );
}

#[test]
fn what_held_before_is_told_one_after_the_other() {
    let (items, _) = read(
        "A,,500,500,approved,P,2025-01-01,,,\n\
         A,,900,,rejected,Q,2025-05-01,,too long,\n\
         A,,300,300,approved,P,2026-01-01,,,\n",
    );
    let earlier = &items[0].signed.as_ref().unwrap().earlier;
    let told: Vec<_> = earlier.iter().map(|held| (held.since, held.days)).collect();
    let signed = date::parse_iso(b"2025-01-01");
    assert_eq!(told, [(None, 365.0), (signed, 500.0)]);
}

#[test]
fn persons_who_contradict_each_other_put_nothing_in_force() {
    let (items, warnings) =
        read("A,,500,500,approved,P,2026-01-01,,,\nA,,500,400,other,Q,2026-01-01,,,\n");
    assert_eq!(items[0].interval_days, Some(365.0));
    assert_eq!(warnings.len(), 1);
    assert!(warnings[0].starts_with("approvals.csv, line 3: contradicts approvals.csv, line 2: P and Q decided differently of A on 2026-01-01"), "{warnings:?}");
    let (items, warnings) =
        read("A,,500,500,approved,P,2026-01-01,,,\nA,,500,400,other,P,2026-01-01,,,\n");
    assert_eq!(items[0].interval_days, Some(400.0));
    assert_eq!(
        warnings,
        ["approvals.csv, line 2: replaced by approvals.csv, line 3 of the same day and person"]
    );
    let (items, warnings) =
        read("A,,500,500,approved,P,2026-01-01,,,\nA,,500,500,approved,Q,2026-01-01,,,\n");
    assert_eq!((items[0].interval_days, warnings.len()), (Some(500.0), 0));
}

#[test]
fn every_line_that_does_not_count_is_told() {
    for (line, words) in [
        (
            "A,,500,500,approved,P,2026-07-01,,,",
            "on 2026-07-01 lies after the as-of date 2026-06-30",
        ),
        (
            "A,,500,600,approved,P,2026-01-01,,,",
            "approved_days 600 is not the proposed 500",
        ),
        (
            "A,,500,600,rejected,P,2026-01-01,,,",
            "a rejected line has approved_days",
        ),
        (
            "A,,,,approved,P,2026-01-01,,,",
            "expected the interval that is in force",
        ),
        (
            "A,,500,500,yes,P,2026-01-01,,,",
            "decision \"yes\": expected approved, rejected or other",
        ),
        ("A,,500,500,approved,,2026-01-01,,,", "expected who decided"),
        (
            "A,,500,500,approved,P,,,,",
            "expected the day of the decision",
        ),
        (
            "A,,500,500,approved,P,01.02.2026,,,",
            "on \"01.02.2026\" is not a date",
        ),
        (
            "A,,-5,500,other,P,2026-01-01,,,",
            "proposed_days \"-5\": expected days above 0",
        ),
        (
            "A,,500,500,approved,P,2026-01-02,2026-01-01,,",
            "valid_until lies before",
        ),
        (
            "C,,500,500,approved,P,2026-01-01,,,",
            "puts nothing in force: no history is named C",
        ),
        (
            "B,mid,500,500,approved,P,2026-01-01,,,",
            "B has no point \"mid\"; it has \"low\", \"high\"",
        ),
        (
            "A,,500,500,approved,P,2026-01-01,,,0123",
            "the chain is broken",
        ),
    ] {
        let (items, warnings) = read(&format!("{line}\n"));
        assert!(
            items.iter().all(|item| item.interval_days == Some(365.0)),
            "{line}"
        );
        assert!(
            warnings.len() == 1 && warnings[0].contains(words),
            "{line}: {warnings:?}"
        );
        assert!(
            warnings[0].starts_with("approvals.csv, line 2"),
            "{warnings:?}"
        );
    }
    let (items, warnings) = read("A,,1200,1200,approved,P,2026-01-01,,,\n");
    assert_eq!(items[0].interval_days, Some(1200.0));
    says!(warnings[0], "above the register's cap of 1000 d");
}
