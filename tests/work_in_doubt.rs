/*! Work done with an instrument that failed stays in doubt, whatever was checked later. */

use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::path::Path;

const LAB: &str = "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\n[jobs]\nfile = \"jobs.csv\"\n[output]\nfolder = \"report\"\n";

/// Rows of `doubts.csv` by job, and the summary, of a run on these records and jobs.
fn run(
    folder: &Path,
    checks: &str,
    jobs: &str,
) -> (BTreeMap<String, BTreeMap<String, String>>, String) {
    for (name, text) in [
        ("checks.csv", checks),
        ("jobs.csv", jobs),
        ("lab.toml", LAB),
    ] {
        std::fs::write(folder.join(name), text).unwrap();
    }
    let pipeline = folder.join("lab.toml");
    driftbook(&["run", "--quiet", &pipeline.to_string_lossy()]).well();
    let table = read_csv(&folder.join("report/doubts.csv"));
    let rows = table.rows.into_iter().map(|row| (row["job"].clone(), row));
    let summary = std::fs::read_to_string(folder.join("report/summary.md")).unwrap();
    (rows.collect(), summary)
}

/// A standard that passed, was found out, and passed again without anything done to it.
const CHECKS: &str = "instrument,point,date,as_found,u,lower,upper,unit\n\
    MA-1,\"1,5 kg\",2021-01-10,0,5,-500,500,ug\n\
    MA-1,\"1,5 kg\",2022-01-10,10,5,-500,500,ug\n\
    MA-1,\"1,5 kg\",2023-01-10,-655,5,-500,500,ug\n\
    MA-1,\"1,5 kg\",2024-01-10,15,5,-500,500,ug\n\
    MA-2,\"1,5 kg\",2023-01-10,0,5,-500,500,ug\n";

#[test]
fn a_good_check_after_the_failed_one_clears_no_work() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, summary) = run(
        folder.path(),
        CHECKS,
        "job,instrument,point,date,lower,upper,measured_error,sensitivity,u,unit,calibrates\n\
         OUT,MA-1,\"1,5 kg\",2023-01-10,-1500,1500,-1100,-1,10,,\n\
         BOTH,MA-1,\"1,5 kg\",2023-01-10,-1500,1500,-1100,,,,\n\
         READ,MA-1,\"1,5 kg\",2023-01-10,-1500,1500,-1100,1,,,\n\
         NEAR,ma-1 ,1.5  kg,2023-01-20,-1500,1500,-1100,-1,,,MA-2\n\
         NEXT,MA-2,,2023-06-01,,,,,,,\n\
         LATE,MA-1,,2024-06-01,-1500,1500,-1100,-1,,,\n",
    );
    assert_eq!(rows["OUT"]["effect"], "recall");
    assert_eq!(rows["OUT"]["corrected_error"], "-1755.0");
    assert_eq!(rows["BOTH"]["effect"], "recall");
    assert_eq!(rows["BOTH"]["sensitivity"], "-1.0");
    let reason = &rows["BOTH"]["reason"];
    says!(reason, "the worse of");
    assert_eq!(rows["READ"]["effect"], "doubtful");
    assert_eq!(rows["NEAR"]["effect"], "recall");
    assert_eq!(rows["NEXT"]["effect"], "doubtful");
    let reason = &rows["NEXT"]["reason"];
    says!(reason, "ma-1 → MA-2");
    assert!(!rows.contains_key("LATE"));
    assert!(rows["OUT"]["left_tolerance_from"].as_str() >= "2022-01-10");
    assert!(rows["OUT"]["left_tolerance_to"].as_str() <= "2023-01-10");
    assert!(!rows["OUT"]["mechanism"].is_empty());
    says!(summary, "5 of 6 jobs");
    let digest = std::fs::read_to_string(folder.path().join("report/digest.md")).unwrap();
    says!(
        digest,
        "5 of 6 jobs were done with an item that failed its check"
    );
    says!(summary, "taken as theirs: job NEAR");
}

#[test]
fn what_cannot_be_a_job_is_listed_with_its_mend() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, summary) = run(
        folder.path(),
        CHECKS,
        "job,instrument,point,date,lower,upper,measured_error,sensitivity,u,unit\n\
         ZERO,MA-1,,2023-01-10,-1,1,0,0,,\n\
         LESS,MA-1,,2023-01-10,-1,1,0,1,-2,\n\
         MORROW,MA-1,,2027-01-10,-1,1,0,1,,\n\
         UNIT,MA-1,,2023-01-10,-1,1,0,1,,K\n\
         PER,MA-1,,2023-01-10,-1,1,0,1000,,mg\n\
         SWAP,MA-1,,2023-01-10,1,-1,0,1,,\n\
         BOTH,MA-1 / ma-2,,2023-01-10,-1,1,0,1,,\n",
    );
    let told = |job: &str, words: &str| {
        assert_eq!(rows[job]["effect"], "cannot_be_assessed");
        let reason = &rows[job]["reason"];
        says!(reason, words);
    };
    told("ZERO", "sensitivity 0");
    told("LESS", "below 0 is impossible");
    told("MORROW", "lies after the as-of date");
    told("UNIT", "its error is in K");
    told("PER", "a sensitivity of 1000 may be for one mg or one ug");
    told("SWAP", "is not below upper");
    told("BOTH", "several instruments at once (\"MA-1\", \"ma-2\")");
    says_not!(summary, "None of 7 jobs is in doubt");
    let digest = std::fs::read_to_string(folder.path().join("report/digest.md")).unwrap();
    says!(digest, "cannot be said of any of 7 jobs");
}

#[test]
fn the_limits_of_a_job_may_stand_in_one_column() {
    let folder = tempfile::tempdir().unwrap();
    let (rows, _) = run(
        folder.path(),
        CHECKS,
        "job,instrument,point,date,tolerance,unit,measured_error,sensitivity\n\
         OUT,MA-1,\"1,5 kg\",2023-01-10,±1500,,-1100,-1\n\
         UNIT,MA-1,\"1,5 kg\",2023-01-10,±1.5 mg,ug,-1100,-1\n\
         BARE,MA-1,\"1,5 kg\",2023-01-10,±1.5 mg,,-1100,-1\n\
         SHARE,MA-1,\"1,5 kg\",2023-01-10,2 %,,-1100,-1\n",
    );
    for job in ["OUT", "UNIT"] {
        assert_eq!(rows[job]["effect"], "recall", "{job}");
        assert_eq!(rows[job]["corrected_error"], "-1755.0", "{job}");
    }
    for (job, words) in [("BARE", "mg"), ("SHARE", "a per cent of what?")] {
        assert_eq!(rows[job]["effect"], "cannot_be_assessed", "{job}");
        says!(rows[job]["reason"], words);
    }
}

/// Read in the unit of the checks before, whatever the header said: a recall by a factor of 1000 "would hold".
#[test]
fn the_error_of_a_job_is_in_the_unit_that_its_header_column_or_cell_states() {
    let recalled = |jobs: &str| {
        let folder = tempfile::tempdir().unwrap();
        let (rows, summary) = run(folder.path(), CHECKS, jobs);
        assert_eq!(rows["J"]["effect"], "recall", "{jobs}");
        assert_eq!(rows["J"]["corrected_error"], "-1755.0", "{jobs}");
        says!(summary, "1 job is in another unit");
    };
    let head = "job,instrument,point,date,sensitivity";
    let row = "J,MA-1,\"1,5 kg\",2023-01-10,-1";
    recalled(&format!(
        "{head},lower,upper,measured_error,u,unit\n{row},-1.5,1.5,-1.1,0.01,mg\n"
    ));
    recalled(&format!(
        "{head},lower,upper,measured_error\n{row},-1.5 mg,1.5 mg,-1.1 mg\n"
    ));
    recalled(&format!(
        "{head},tolerance,measured_error\n{row},±1.5 mg,-0.0011 g\n"
    ));
    let folder = tempfile::tempdir().unwrap();
    let jobs = format!("{head},Lower (mg),Upper (mg),Error (mg)\n{row},-1.5,1.5,-1.1\n");
    let columns = "[jobs.columns]\nlower = \"Lower (mg)\"\nupper = \"Upper (mg)\"\nmeasured_error = \"Error (mg)\"\n";

    run(folder.path(), CHECKS, &format!("{head}\n{row}\n"));
    std::fs::write(folder.path().join("jobs.csv"), jobs).unwrap();
    let by = folder.path().join("lab.toml");
    std::fs::write(&by, format!("{LAB}{columns}")).unwrap();
    driftbook(&["run", "--quiet", &by.to_string_lossy()]).well();
    let table = read_csv(&folder.path().join("report/doubts.csv"));
    assert_eq!(table.rows[0]["corrected_error"], "-1755.0");
}

/// A row pasted twice counted twice without a word.
#[test]
fn a_job_that_stands_twice_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let head = "job,instrument,point,date,measured_error";
    let row = |job: &str| format!("{job},MA-1,\"1,5 kg\",2023-01-05,-1100\n");
    let rows = [row("J-1"), row("J-2"), row("J-1")].concat();
    let (_, summary) = run(folder.path(), CHECKS, &format!("{head}\n{rows}"));
    says!(
        summary,
        "3 of 3 jobs",
        "A job stands in the table of jobs more than once",
        "each row counts: J-1."
    );
    let two_points = "J-1,MA-1,,2023-01-05,\nJ-1,MA-2,,2023-01-05,\n";
    let (_, summary) = run(folder.path(), CHECKS, &format!("{head}\n{two_points}"));
    says_not!(summary, "more than once");
    let unnamed = row("").repeat(2);
    let (_, summary) = run(folder.path(), CHECKS, &format!("{head}\n{unnamed}"));
    says_not!(summary, "more than once");
}

/// Of a point's number without its unit the point is named, and one closed up is found.
#[test]
fn a_point_of_a_job_without_its_blank_is_found_and_without_its_unit_named() {
    let folder = tempfile::tempdir().unwrap();
    let jobs =
        "job,instrument,point,date\nCLOSED,MA-1,1.5kg,2023-01-05\nBARE,MA-1,1.5,2023-01-05\n";
    let (rows, _) = run(folder.path(), CHECKS, jobs);
    assert_ne!(rows["CLOSED"]["effect"], "cannot_be_assessed");
    assert_eq!(rows["BARE"]["effect"], "cannot_be_assessed");
    says!(rows["BARE"]["reason"], "there is \"1,5 kg\"");
}

#[test]
fn what_is_said_of_the_table_of_jobs_is_among_the_warnings() {
    let folder = tempfile::tempdir().unwrap();
    let (_, summary) = run(
        folder.path(),
        CHECKS,
        "job,instrument,point,date,lower,upper,measured_error,sensitivity,u,unit,room\n\
         READ,MA-1,\"1,5 kg\",2023-01-10,-1500,1500,-1100,1,,,7\n",
    );
    let words = "\"room\"";
    says!(summary, words);
    let table = read_csv(&folder.path().join("report/warnings.csv"));
    let of_jobs = |row: &&BTreeMap<String, String>| row["source"] == "jobs.csv";
    let told = table.rows.iter().find(of_jobs).unwrap();
    says!(told["warning"], words);
    let record = std::fs::read_to_string(folder.path().join("report/run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    assert_eq!(record["warnings"], table.rows.len());
}
