/*! Nothing takes effect before a person approved it, and what a person decided is not forgotten. */

#[path = "approvals/growth.rs"]
mod growth;
#[path = "approvals/lines.rs"]
mod lines;
#[path = "approvals/points.rs"]
mod points;

use crate::tool::{Done, driftbook, read_csv};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Six gauges that hardly move, checked each year from 2015 to 2024.
fn laboratory(folder: &Path, register: &str) -> PathBuf {
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit\n");
    let wiggle = [0.02, -0.01, 0.03, -0.02, 0.01, 0.02, -0.03, 0.01, 0.0, 0.01];
    for name in ["A", "B", "C", "D", "E", "OLD"] {
        for (i, value) in wiggle.iter().enumerate() {
            text += &format!("{name},,{}-03-01,{value},0.01,-1,1,mm\n", 2015 + i);
        }
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    fs::write(folder.join("register.csv"), register).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings = "as_of = \"2024-06-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[jobs]\nfile = \"jobs.csv\"\n";
    fs::write(&pipeline, settings).unwrap();
    fs::write(
        folder.join("jobs.csv"),
        "job,instrument,date\nJ1,OLD,2023-05-01\n",
    )
    .unwrap();
    pipeline
}

const REGISTER: &str = "instrument,group,interval_days,cap_days\nA,g,365,1000\nB,g,365,1000\nC,g,365,1000\nD,g,365,1000\nE,g,365,1000\nOLD,g,365,1000\n";

type Rows = BTreeMap<String, BTreeMap<String, String>>;

/// Decisions by instrument, and the warnings.
fn run(pipeline: &Path) -> (Rows, Vec<String>) {
    let out = pipeline.with_file_name("report");
    let (file, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
    driftbook(&["run", file, "--quiet", "--out", to]).well();
    let rows = read_csv(&out.join("decisions.csv")).rows;
    let warnings = read_csv(&out.join("warnings.csv")).rows;
    let told = warnings
        .iter()
        .map(|w| format!("{}: {}", w["source"], w["warning"]));
    let named = rows.into_iter().map(|row| (row["instrument"].clone(), row));
    (named.collect(), told.collect())
}

fn approve(pipeline: &Path, arguments: &[&str]) -> Done {
    let mut all = vec!["approve"];
    all.extend(arguments);
    all.extend([
        "--on",
        "2024-05-01",
        "--records",
        pipeline.to_str().unwrap(),
    ]);
    driftbook(&all)
}

fn told(row: &BTreeMap<String, String>) -> [&str; 4] {
    ["action", "approval", "in_force_days", "in_force_due"].map(|name| row[name].as_str())
}

#[test]
fn a_proposal_takes_effect_when_a_person_approves_it() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    let (before, _) = run(&pipeline);
    assert_eq!(
        told(&before["A"]),
        ["extend", "pending", "365.0", "2025-03-01"]
    );
    assert_eq!(before["A"]["pending_since"], "2024-03-01");
    for arguments in [
        &["A", "--by", "Head"][..],
        &[
            "B",
            "--interval",
            "500",
            "--by",
            "Head",
            "--reason",
            "a loan",
        ],
        &["C", "--reject", "--by", "Head", "--reason", "too early"],
    ] {
        approve(&pipeline, arguments).well();
    }
    let (after, warnings) = run(&pipeline);
    assert_eq!(
        told(&after["A"]),
        ["keep", "approved", "730.0", "2026-03-01"]
    );
    assert_eq!(
        told(&after["B"]),
        ["keep", "approved", "500.0", "2025-07-14"]
    );
    assert_eq!(
        told(&after["C"]),
        ["keep", "rejected", "365.0", "2025-03-01"]
    );
    assert_eq!(
        told(&after["D"]),
        ["extend", "pending", "365.0", "2025-03-01"]
    );
    assert!(
        warnings.iter().all(|w| !w.contains("approvals.csv")),
        "{warnings:?}"
    );
    let explained = driftbook(&["explain", "C", "--records", pipeline.to_str().unwrap()]);
    says!(
        explained.stdout,
        "rejected 730 d (too early), and the item has no check since"
    );
    // A new check of an item opens the question again; of an interval that was signed days before it says nothing yet.
    let checks = folder.path().join("checks.csv");
    let more = "A,,2024-05-20,0.01,0.01,-1,1,mm\nC,,2024-05-20,0.01,0.01,-1,1,mm\n";
    let text = fs::read_to_string(&checks).unwrap() + more;
    fs::write(&checks, text).unwrap();
    let (again, _) = run(&pipeline);
    assert_eq!(told(&again["A"])[..2], ["keep", "approved"]);
    assert_eq!(told(&again["C"])[..2], ["extend", "pending"]);
    let words = "Head rejected 730 d on 2024-05-01, proposed again since the check of 2024-05-20";
    says!(again["C"]["reason"], words);
}

#[test]
fn what_nobody_may_approve_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let register = REGISTER
        .replace("cap_days\n", "cap_days,status\n")
        .replace("E,g,365,1000", "E,g,365,1000,retired");
    let register: String = register
        .lines()
        .map(|line| match line.split(',').count() {
            4 => format!("{line},\n"),
            _ => format!("{line}\n"),
        })
        .collect();
    let pipeline = laboratory(folder.path(), &register);
    let by = ["--by", "Head", "--reason", "why"];
    for (arguments, words) in [
        (
            vec!["A", "--interval", "1200"],
            "1200 d lie above the cap of 1000 d",
        ),
        (vec!["A", "--interval", "0"], "expected days above 0"),
        (
            vec!["E", "--interval", "100"],
            "nothing is decided for it: retired",
        ),
        (vec!["Z"], "no history of instrument Z"),
        (
            vec!["A", "--valid-until", "2024-01-01"],
            "it would run out before the day of the decision",
        ),
        (vec!["--group", "none"], "no proposal of these waits"),
    ] {
        let done = approve(&pipeline, &[&arguments[..], &by].concat()).ended(2);
        says!(done.stderr, words);
    }
    assert!(!folder.path().join("approvals.csv").exists());
    assert_eq!(approve(&pipeline, &["A", "--by", "Head"]).status, 0);
    for (arguments, words) in [
        (
            ["A", "--by", "Head"].as_slice(),
            "no proposal waits: 730 d are in force",
        ),
        (
            &["A", "--interval", "400", "--by", "Other", "--reason", "x"],
            "Head decided on the same day",
        ),
    ] {
        let done = approve(&pipeline, arguments).ended(2);
        says!(done.stderr, words);
    }
    let done = driftbook(&[
        "approve",
        "B",
        "--by",
        "Head",
        "--on",
        "2999-01-01",
        "--records",
        pipeline.to_str().unwrap(),
    ]);
    says!(done.stderr, "lies in the future");
    // A pattern for the checks takes no book for records.
    let settings = fs::read_to_string(&pipeline).unwrap();
    let settings = settings.replace("[\"checks.csv\"]", "[\"*s.csv\"]");
    let settings = settings.replace("[jobs]\nfile = \"jobs.csv\"\n", "");
    fs::remove_file(folder.path().join("jobs.csv")).unwrap();
    fs::write(&pipeline, settings).unwrap();
    assert_eq!(run(&pipeline).0.len(), 6);
}

#[test]
fn a_set_or_a_filled_in_copy_is_approved_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    run(&pipeline);
    let decisions = fs::read_to_string(folder.path().join("report/decisions.csv")).unwrap();
    let filled: Vec<String> = decisions
        .lines()
        .map(|line| {
            let word = match line.split(',').next() {
                Some("instrument") => return format!("{line},approved_days,by,approval_reason"),
                Some("A") => "approved,2024",
                Some("B") => "rejected,2024",
                Some("C") => "other,2024",
                _ => "pending,2024",
            };
            let days = if word.starts_with("other") { "400" } else { "" };
            let line = line.replace("pending,2024", word);
            format!("{line},{days},Head,seen")
        })
        .collect();
    let copy = folder.path().join("filled.csv");
    // No setting would tell the decimal sign of such a copy.
    let comma = filled.join("\n").replace(",400,Head", ",\"400,5\",Head");
    fs::write(&copy, comma).unwrap();
    let done = approve(&pipeline, &["--from", copy.to_str().unwrap()]).ended(2);
    let mend = "not a number of days: write 500, or 500.5";
    assert!(done.stderr.contains(mend), "{}", done.stderr);
    fs::write(&copy, filled.join("\n")).unwrap();
    let done = approve(&pipeline, &["--from", copy.to_str().unwrap()]).well();
    says!(done.stdout, "3 lines written");
    let (rows, _) = run(&pipeline);
    assert_eq!(told(&rows["A"])[1..3], ["approved", "730.0"]);
    assert_eq!(told(&rows["B"])[1..3], ["rejected", "365.0"]);
    assert_eq!(told(&rows["C"])[1..3], ["approved", "400.0"]);
    // The same copy again: its proposals are no longer those of the records.
    let again = approve(&pipeline, &["--from", copy.to_str().unwrap()]).ended(2);
    says!(
        again.stderr,
        "row 4: the row says 730 d, the records now propose 400 d"
    );
    let set = approve(&pipeline, &["--action", "extend", "--by", "Head"]).well();
    says!(set.stdout, "3 lines written");
    let (rows, _) = run(&pipeline);
    assert!(rows.values().all(|row| row["approval"] != "pending"));
}

#[test]
fn a_renamed_item_keeps_its_history_and_a_retired_one_is_not_decided() {
    let folder = tempfile::tempdir().unwrap();
    let register = "instrument,group,interval_days,status,until,formerly,owner\n\
        NEW,g,365,,,OLD,somebody\nA,g,300,lent,2024-12-31,,\nB,g,365,retired,,,\nC,g,365,lost,2024-05-01,,\nD,g,365,borrowed?,,,\nE,g,365,,,,\n";
    let pipeline = laboratory(folder.path(), register);
    fs::write(folder.path().join("approvals.csv"), "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason,previous_sha256\nOLD,,500,500,approved,Head,2024-04-01,,,\n").unwrap();
    let checks = folder.path().join("checks.csv");
    let text = fs::read_to_string(&checks).unwrap() + "NEW,,2024-03-10,0.01,0.01,-1,1,mm\n";
    fs::write(&checks, text).unwrap();
    let settings = fs::read_to_string(&pipeline)
        .unwrap()
        .replace("2024-06-01", "2024-12-31");
    fs::write(&pipeline, settings).unwrap();
    let (rows, warnings) = run(&pipeline);
    assert!(!rows.contains_key("OLD"));
    assert_eq!(
        (
            rows["NEW"]["checks"].as_str(),
            rows["NEW"]["in_force_days"].as_str()
        ),
        ("11", "500.0")
    );
    assert_eq!(
        (rows["B"]["action"].as_str(), rows["B"]["due_date"].as_str()),
        ("none", "")
    );
    // Nor is any other interval of it stated.
    let column = ["due_date", "in_force_due", "interval_99_days", "method"];
    for (name, row) in rows.iter().filter(|(_, row)| row["action"] == "none") {
        assert!(column.iter().all(|c| row[*c].is_empty()), "{name}: {row:?}");
    }
    // What the tables state of one day is of that whole day.
    let days = |table: &str| read_csv(&folder.path().join(table)).rows;
    let forecast = days("report/forecast.csv");
    for value in days("report/values.csv") {
        let same = |r: &&BTreeMap<String, String>| {
            ["instrument", "point", "date"]
                .iter()
                .all(|c| r[*c] == value[*c])
        };
        let Some(other) = forecast.iter().find(same) else {
            continue;
        };
        let number = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
        let (a, b) = (number(&other["expected"]), number(&value["expected_error"]));
        assert!(
            a.is_nan() || b.is_nan() || (a - b).abs() < 1e-9,
            "{value:?}"
        );
    }
    says!(
        rows["A"]["reason"],
        "It is lent until 2024-12-31, and to be calibrated before it serves again"
    );
    says_not!(rows["A"]["reason"], "Overdue");
    // Its time as a lost one is over.
    assert_ne!(rows["C"]["action"], "none");
    for words in [
        "column \"owner\" is not read",
        "row 6: status \"borrowed?\" is left out",
    ] {
        assert_eq!(
            warnings.iter().filter(|w| w.contains(words)).count(),
            1,
            "{warnings:#?}"
        );
    }
    let doubts = fs::read_to_string(folder.path().join("report/doubts.csv")).unwrap();
    says_not!(doubts, "cannot_be_assessed");
    driftbook(&["explain", "OLD", "--records", pipeline.to_str().unwrap()]).well();
    fs::write(
        folder.path().join("register.csv"),
        "instrument,formerly\nNEW,OLD\nE,OLD\n",
    )
    .unwrap();
    let refused = driftbook(&["run", pipeline.to_str().unwrap()]).ended(2);
    says!(
        refused.stderr,
        "row 3, column \"formerly\": \"OLD\" is named as a former name of two items"
    );
}

/// Who sets an interval that the forecast does not bear is told so on the spot.
#[test]
fn an_interval_of_ones_own_below_the_target_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let register = REGISTER.replace("1000", "1826");
    let pipeline = laboratory(folder.path(), &register);
    let own = |days: &'static str| {
        let asked = ["B", "--interval", days, "--by", "Head", "--reason", "loan"];
        let done = approve(&pipeline, &asked).well();
        fs::remove_file(folder.path().join("approvals.csv")).unwrap();
        done.stdout
    };
    says_not!(own("400"), "By the forecast");
    let told = own("1800");
    let words = "By the forecast the item is then in tolerance with probability ";
    says!(told, words, ", below the target of 95 %.");
}

/// What is in force, and where an item is, is that of the day of the reading: an approval that holds until a later
/// day counts in a verdict as in a run, as does a status of the register.
#[test]
fn a_verdict_takes_what_is_in_force_on_the_day_of_its_reading() {
    let folder = tempfile::tempdir().unwrap();
    let register = "instrument,group,interval_days,cap_days,status,until\nA,g,365,1000,,\nB,g,365,1000,stored,2025-06-30\nC,g,365,1000,,\nD,g,365,1000,,\nE,g,365,1000,,\nOLD,g,365,1000,,\n";
    let pipeline = laboratory(folder.path(), register);
    let asked = [
        "A",
        "--interval",
        "200",
        "--reason",
        "own",
        "--by",
        "A. Person",
        "--valid-until",
        "2025-06-30",
    ];
    assert_eq!(approve(&pipeline, &asked).status, 0);
    let verdict = |name: &str, day: &str| {
        let records = pipeline.to_str().unwrap();
        let asked = [
            "verdict",
            name,
            "0.01",
            "--u",
            "0.01",
            "--date",
            day,
            "--records",
            records,
        ];
        driftbook(&asked).stdout
    };
    let (held, over) = (verdict("A", "2025-06-20"), verdict("A", "2025-07-20"));
    says!(held, "from 200 d");
    says!(over, "from 365 d");
    let file = folder.path().join("new.csv");
    let rows =
        "instrument,date,as_found,u,unit\nC,2025-06-10,0.01,0.01,mm\nA,2025-06-20,0.01,0.01,mm\n";
    fs::write(&file, rows).unwrap();
    let (file, records) = (file.to_str().unwrap(), pipeline.to_str().unwrap());
    let both = driftbook(&["verdict", "--file", file, "--records", records]).stdout;
    let place = |words: &str| {
        both.find(words)
            .unwrap_or_else(|| panic!("{words}: {both}"))
    };
    assert!(place("from 200 d") < place("from 365 d"), "{both}");
}
