/*! What the numbers and words of one file put in doubt. */

use super::*;
use crate::records::guess::doubt::EVENTS_IN_REMARKS;

/// What `start` asks of a table, and what stays open where nobody answers.
fn asked_of(table: &str) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("due.csv");
    std::fs::write(&records, table).unwrap();
    let mut heard = Heard::default();
    let started = start(std::slice::from_ref(&records), today(), &mut heard).unwrap();
    assert_eq!(started.open, heard.asked);
    heard.asked
}

/// A column that tells the interval in use and that no list reads: the default is not it.
#[test]
fn an_interval_that_stands_in_a_column_not_read_is_asked_about() {
    let table = "Asset,Cal date,Interval,Error (mV),Tol ±\nV-1,2023-02-11,biennial,0.4,2\nV-1,2025-02-10,biennial,0.5,2\n";
    assert_eq!(asked_of(table), ["interval_not_read"]);
    assert!(asked_of(&table.replace("Interval", "Purchased")).is_empty());
}

/// The next due date tells the interval; the date on which a check was due tells none.
#[test]
fn due_dates_that_follow_their_checks_at_once_are_asked_about() {
    let table = "Asset,Cal date,Due,Error (mV),Tol ±\nV-1,2021-02-10,2023-02-12,0.4,2\nV-1,2023-02-11,2025-02-12,0.4,2\nV-1,2025-02-10,2027-02-12,0.5,2\n";
    assert!(asked_of(table).is_empty());
    let own = table.replace("2023-02-12", "2021-02-12");
    let own = own.replace("2025-02-12", "2023-02-12");
    assert_eq!(
        asked_of(&own.replace("2027-02-12", "2025-02-12")),
        ["next_due"]
    );
}

/// "12" is a year or twelve days: the header says which, or a person.
#[test]
fn an_interval_without_a_unit_is_asked_about() {
    let table = "Asset,Cal date,Interval,Error (mV),Tol ±\nV-1,2023-02-11,12,0.4,2\nV-1,2024-02-10,12,0.5,2\n";
    assert_eq!(asked_of(table), ["checks_interval"]);
    assert!(asked_of(&table.replace("Interval", "Interval (months)")).is_empty());
    assert!(asked_of(&table.replace(",12,", ",12 months,")).is_empty());
}

/// Limits in another unit than the readings: every check that passed lies far outside.
#[test]
fn outcomes_that_contradict_the_numbers_are_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("checks.csv");
    let rows = ["2023-03-01,12.1", "2024-03-01,12.4", "2025-03-01,12.2"];
    let rows = rows.map(|row| format!("G-1,{row},0.05,pass\nG-2,{row},0.05,pass\n"));
    let header = "Item,Date,Error,Tolerance,Result\n";
    std::fs::write(&records, header.to_string() + &rows.concat()).unwrap();
    let mut heard = Heard::default();
    let started = start(&[records], today(), &mut heard).unwrap();
    assert!(
        started.open.contains(&"outcomes_contradict".to_string()),
        "{}",
        heard.text
    );
}

#[test]
fn a_spread_that_is_read_as_the_point_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("r.csv");
    let rows = ["62.1,0.2", "62.3,0.5", "62.6,0.3", "62.2,0.1"];
    let years = (2018..)
        .zip(rows)
        .map(|(year, row)| format!("HB-1,{year}-03-19,{row}\n"));
    let header = "Item,Date,Reading,Range\n".to_string();
    std::fs::write(&records, header + &years.collect::<String>()).unwrap();
    let started = start(&[records], today(), &mut Heard::default()).unwrap();
    let asked = started
        .open
        .iter()
        .any(|name| name == "points_of_one_check");
    assert!(asked, "{:?}", started.open);
}

/// Whether what such a text speaks of was done only a person can tell; the next file's texts stand beside the first's.
#[test]
fn texts_that_speak_of_events_in_words_of_their_own_are_drafted_and_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let text = |year: i32, remark: &str| {
        format!(
            "instrument,date,as_found,lower,upper,unit,Remarks\nA,{year}-03-05,0.1,-1,1,mK,\nB,{year}-03-06,0.2,-1,1,mK,{remark}\n"
        )
    };
    let first = text(2021, "justiert auf 0.1 mK");
    let second = text(2022, "repaired by Meyer");
    let files = [("a.csv", first.as_str()), ("b.csv", second.as_str())];
    let (heard, open) = started(folder.path(), &files, &[]);
    assert_eq!(open.open, [EVENTS_IN_REMARKS], "{}", heard.text);
    let draft = std::fs::read_to_string(&open.file).unwrap();
    let events =
        "events = { \"justiert auf 0.1 mK\" = \"adjusted\", \"repaired by Meyer\" = \"repaired\" }";
    assert!(draft.contains(events), "{draft}");
    says!(
        draft,
        "\"justiert auf 0.1 mK\" (adjusted)",
        "b.csv: \"repaired by Meyer\" (repaired)"
    );
    let (_, again) = started(folder.path(), &files, &[]);
    assert!(again.unchanged);
    let own = draft.replace(events, "") + "\n[checks.events]\n\"repaired by Meyer\" = \"none\"\n";
    std::fs::write(&open.file, &own).unwrap();
    let (heard, kept) = started(folder.path(), &files, &[]);
    assert!(kept.not_read.is_none(), "{}", heard.text);
    assert_eq!(std::fs::read_to_string(&open.file).unwrap(), own);
    std::fs::remove_file(&open.file).unwrap();
    let (heard, closed) = started(folder.path(), &files, &[0, 0]);
    assert!(closed.open.is_empty(), "{:?}", closed.open);
    says!(heard.text, "1 adjusted, 1 repaired");
}
