/*! An instrument is one thing: one decision, one due date, one entry of the calendar. */

use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// A report on a gauge with two points that move together, one of three points of which the last
/// is out, and one of a single point.
fn report(folder: &Path) -> PathBuf {
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit\n");
    let noise = [
        0.04, -0.03, 0.02, -0.05, 0.05, -0.02, 0.03, -0.04, 0.01, 0.03, -0.01, 0.02,
    ];
    let mut common = 0.0;
    for (i, noise) in noise.iter().enumerate() {
        let day = format!("{}-{}-10", 2019 + i / 2, ["03", "09"][i % 2]);
        common += noise;
        for (point, factor) in [("low", 1.0), ("high", 1.1)] {
            let own = 0.001 * ((7 * i + point.len()) % 5) as f64;
            let value = 0.5 + factor * common + own;
            text += &format!("TOGETHER,{point},{day},{value},0.005,-1,1,mm\n");
        }
        let last = i == 11;
        for (point, value) in [
            ("0", 0.1),
            ("50", 0.2),
            ("100", if last { 1.4 } else { 0.2 }),
        ] {
            text += &format!("THREE,{point},{day},{},0.05,-1,1,mm\n", value + noise);
        }
        text += &format!("ALONE,,{day},{},0.05,-1,1,mm\n", 0.1 + noise);
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings = "as_of = \"2024-10-01\"\n[checks]\nfiles = [\"checks.csv\"]\n";
    fs::write(&pipeline, settings).unwrap();
    let out = folder.join("report");
    let (pipeline, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
    driftbook(&["run", pipeline, "--quiet", "--out", to]).well();
    out
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap()
}

#[test]
fn one_failed_point_withdraws_the_instrument() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path());
    let instruments = read_csv(&out.join("instruments.csv")).rows;
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let names: Vec<&str> = instruments
        .iter()
        .map(|r| r["instrument"].as_str())
        .collect();
    assert_eq!(names, ["ALONE", "THREE", "TOGETHER"]);
    let three = &instruments[1];
    assert_eq!(
        (three["points"].as_str(), three["action"].as_str()),
        ("3", "withdraw")
    );
    let reason = "Withdraw the instrument: 1 of its 3 points must not be used (100)";
    assert!(three["reason"].starts_with(reason), "{}", three["reason"]);
    // No date permits the use of what is withdrawn, at whichever point.
    assert_eq!(three["in_force_due"], "");
    for own in decisions.iter().filter(|d| d["action"] == "withdraw") {
        let column = |name: &str| own[name].as_str();
        let empty = [
            "interval_days",
            "in_force_due",
            "interval_99_days",
            "method",
        ];
        assert!(empty.iter().all(|name| column(name).is_empty()), "{own:?}");
        assert_eq!(column("approval"), "none");
        assert_eq!(column("due_date"), column("as_of"));
        assert_eq!(column("assigned_date"), column("as_of"));
        assert_eq!(
            column("probability_in_tolerance"),
            column("probability_now")
        );
    }
    for own in &instruments {
        let due = decisions
            .iter()
            .filter(|d| d["instrument"] == own["instrument"]);
        let earliest = due.map(|d| d["due_date"].clone()).min().unwrap();
        assert_eq!(own["due_date"], earliest);
    }
    let calendar = fs::read_to_string(out.join("calendar.ics"))
        .unwrap()
        .replace("\r\n ", "");
    assert_eq!(calendar.matches("BEGIN:VEVENT").count(), 3);
    says!(
        calendar,
        "SUMMARY:withdraw: THREE (3 points) must not be used"
    );
    // What is withdrawn is due at once, not in years.
    let event = calendar
        .split("BEGIN:VEVENT")
        .find(|e| e.contains("THREE"))
        .unwrap();
    says!(event, "DTSTART;VALUE=DATE:20241001");
    // A longer interval moves no date before a person approves it.
    for own in instruments.iter().filter(|i| i["action"] == "extend") {
        let entry = calendar
            .split("BEGIN:VEVENT")
            .find(|e| e.contains(&own["instrument"]));
        let earliest = own["in_force_due"].clone().min(own["due_date"].clone());
        let start = format!("DTSTART;VALUE=DATE:{}", earliest.replace('-', ""));
        assert!(entry.unwrap().contains(&start), "{entry:?}");
    }
    let index = fs::read_to_string(out.join("index.html")).unwrap();
    says!(index, "Instruments with several points");
    // Nor is it told beside the withdrawal that it is due in years.
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    says!(summary, "| THREE | 100 | withdraw | now |");
    let failed = fs::read_dir(out.join("instruments"))
        .unwrap()
        .map(|page| fs::read_to_string(page.unwrap().path()).unwrap())
        .find(|page| page.contains("take it out of use now"))
        .unwrap_or_default();
    says!(failed, "take it out of use now");
    says_not!(failed, "The rules alone would give");
    let pages = fs::read_dir(out.join("instruments")).unwrap();
    let told = |page: &str| page.contains("The instrument as one thing: Withdraw the instrument");
    let pages = pages.map(|page| fs::read_to_string(page.unwrap().path()).unwrap());
    assert_eq!(pages.filter(|page| told(page)).count(), 3);
}

#[test]
fn the_joint_probability_says_what_it_rests_on() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path());
    let instruments = read_csv(&out.join("instruments.csv")).rows;
    let dependence: Vec<&str> = instruments
        .iter()
        .map(|r| r["dependence"].as_str())
        .collect();
    assert_eq!(dependence, ["one_point", "bound", "data"]);
    let together = &instruments[2];
    let words = "both points are then in tolerance with probability";
    says!(together["reason"], words);
    says!(together["reason"], "by 11 common changes");
    let joint = number(together, "probability_in_tolerance");
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let due = together["due_date"].as_str();
    let first = decisions
        .iter()
        .find(|d| d["instrument"] == "TOGETHER" && d["due_date"] == due)
        .unwrap();
    let alone = number(first, "probability_in_tolerance");
    assert!(
        joint <= alone && joint > 2.0 * alone - 1.0 - 1e-9,
        "{joint} {alone}"
    );
}

/// The table of several points on the front page and in the summary tells one date of each, as the
/// calendar does: what is in force, with the proposal beside it.
#[test]
fn the_table_of_several_points_tells_the_date_in_force_first() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path());
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    let rows: Vec<Vec<&str>> = summary
        .lines()
        .skip_while(|line| *line != "## Instruments with several points")
        .filter(|line| line.starts_with("| T"))
        .take(2)
        .map(|line| line.split(" | ").collect())
        .collect();
    assert_eq!(rows[0][..4], ["| THREE", "3", "withdraw", "now"]);
    assert_eq!(rows[1][..3], ["| TOGETHER", "2", "extend"]);
    let instruments = read_csv(&out.join("instruments.csv")).rows;
    let together = &instruments[2];
    let due = format!(
        "{} (proposed {}, not approved)",
        together["in_force_due"], together["due_date"]
    );
    assert_eq!(rows[1][3], due);
    let index = fs::read_to_string(out.join("index.html")).unwrap();
    assert!(index.contains(&format!("<td>{due}</td>")), "{due}");
}

/// The table `values` goes to the later of the dates in force and proposed; one mean correction
/// serves until the one in force.
#[test]
fn values_are_told_until_the_later_date_and_serve_until_the_one_in_force() {
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path());
    let values = read_csv(&out.join("values.csv")).rows;
    for decided in &read_csv(&out.join("decisions.csv")).rows {
        let own: Vec<_> = values
            .iter()
            .filter(|v| ["instrument", "point"].iter().all(|k| v[*k] == decided[*k]))
            .collect();
        assert_eq!(own[0]["date"], "2024-10-01");
        if decided["action"] == "withdraw" {
            assert!(own.len() == 1 && own[0]["missing"].contains("withdrawn"));
            continue;
        }
        let force = decided["in_force_due"].as_str();
        // No interval of an instrument grows while one of its points has failed.
        match decided["instrument"].as_str() {
            "THREE" => assert_eq!(force, decided["due_date"], "{decided:?}"),
            _ => assert!(force < decided["due_date"].as_str(), "{decided:?}"),
        }
        assert_eq!(own[own.len() - 1]["date"], decided["due_date"]);
        for value in own {
            let serves = if value["date"].as_str() <= force {
                force
            } else {
                ""
            };
            assert_eq!(value["mean_until"], serves, "{}", value["date"]);
        }
    }
}

/// What is lost until a day stood in the calendar as to be calibrated on that day, though nothing is decided for it;
/// and a point that is retired gave its standing to an instrument that serves at another.
#[test]
fn what_is_gone_for_a_time_stands_in_no_calendar_and_does_not_stand_for_the_whole() {
    let desk = crate::desk::Desk::new();
    let mut checks = String::from("instrument,point,date,as_found,u,unit\n");
    for year in 2021..2026 {
        for name in ["GONE,", "PART,0 bar", "PART,5 bar"] {
            checks += &format!("{name},{year}-03-01,0.{},0.1,bar\n", year - 2020);
        }
    }
    desk.file("checks.csv", &checks);
    desk.file(
        "register.csv",
        "instrument,point,lower,upper,interval_days,status,until\n\
         GONE,,-5,5,365,lost,2026-12-31\nPART,0 bar,-5,5,365,retired,2027-01-31\nPART,5 bar,-5,5,365,,\n",
    );
    let pipeline = desk.file(
        "lab.toml",
        "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n",
    );
    let done = desk.run(&pipeline);
    assert_eq!(done.status, 0, "{}", done.stderr);
    let calendar = fs::read_to_string(desk.path("report/calendar.ics")).unwrap();
    assert_eq!(calendar.matches("BEGIN:VEVENT").count(), 1, "{calendar}");
    says!(calendar, "calibrate PART", "DTSTART;VALUE=DATE:20260301");
    let rows = read_csv(&desk.path("report/instruments.csv")).rows;
    let status: Vec<&str> = rows.iter().map(|row| row["status"].as_str()).collect();
    assert_eq!(status, ["lost", "in_use"]);
}
