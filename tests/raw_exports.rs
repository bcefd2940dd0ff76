/*! Raw exports as people have them: what cannot be read for certain is told, asked or refused. */

use crate::tool::{Done, driftbook, read_csv};
use driftbook::settings::{PlanRequest, plan};
use std::path::{Path, PathBuf};

/// A folder with files, and the run of one of them.
struct Export {
    folder: tempfile::TempDir,
}

impl Export {
    fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        for (name, text) in files {
            std::fs::write(folder.path().join(name), text).unwrap();
        }
        Self { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn run(&self, name: &str) -> Done {
        let (path, out) = (self.path(name), self.path("report"));
        driftbook(&[
            "run",
            path.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
            "--as-of",
            "2026-06-30",
        ])
    }

    fn rows(&self, table: &str) -> Vec<std::collections::BTreeMap<String, String>> {
        read_csv(&self.path("report").join(table)).rows
    }
}

/// The accounts of a run.
fn accounts(report: &Path) -> [u64; 4] {
    let text = std::fs::read_to_string(report.join("run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&text).unwrap();
    ["read", "used", "merged", "rejected"].map(|key| record["rows"][key].as_u64().unwrap())
}

#[test]
fn a_stray_quotation_mark_swallows_no_row() {
    let export = Export::new(&[(
        "dials.csv",
        "instrument,date,as_found,u,lower,upper,unit,note\n\
         D-1,2021-03-01,0.1,0.1,-5,5,um,\"5 dial\n\
         D-1,2022-03-01,9.0,0.1,-5,5,um,fails\n\
         D-1,2023-03-01,0.3,0.1,-5,5,um,\n\
         D-1,2024-03-01,0.4,0.1,-5,5,um,\"5 dial\"\n\
         D-1,2025-03-01,0.5,0.1,-5,5,um,\n",
    )]);
    let done = export.run("dials.csv");
    assert_eq!(done.status, 0, "{}", done.stderr);
    assert_eq!(accounts(&export.path("report")), [5, 4, 0, 1]);
    let rejects = export.rows("rejects.csv");
    assert_eq!(rejects[0]["row"], "1");
    assert!(rejects[0]["reason"].contains("a quotation mark is opened here"));
}

#[test]
fn a_check_is_never_recorded_into_an_open_field() {
    let text = "instrument,date,as_found,u,lower,upper,unit\n\
                D-1,2021-03-01,0.1,0.1,-5,5,um\n\
                D-1,2022-03-01,0.2,0.1,-5,5,\"um\n";
    let export = Export::new(&[("dials.csv", text)]);
    let file = export.path("dials.csv");
    let file = file.to_str().unwrap();
    let done = driftbook(&[
        "verdict",
        "D-1",
        "0.3",
        "--u",
        "0.1",
        "--date",
        "2023-03-01",
        "--records",
        file,
        "--record",
        file,
    ]);
    assert_eq!(done.status, 1, "{}", done.stdout);
    assert!(done.stderr.contains("is never closed"), "{}", done.stderr);
    assert_eq!(std::fs::read_to_string(file).unwrap(), text);
}

#[test]
fn a_job_or_register_row_that_matches_no_history_is_named_and_counted() {
    let export = Export::new(&[
        (
            "checks.csv",
            "instrument,point,date,as_found,u,unit\n\
             TH-01,0 C,2023-03-01,0.1,0.1,mK\n\
             TH-01,0 C,2024-03-01,0.2,0.1,mK\n\
             TH-01,0 C,2025-03-01,0.3,0.1,mK\n",
        ),
        (
            "register.csv",
            "instrument,point,lower,upper\nTH-01,,-5,5\nth-01,,-5,5\nTH-09,,-5,5\n",
        ),
        (
            "jobs.csv",
            "job,instrument,point,date\n\
             J-1,TH-01,0 C,2024-06-01\n\
             J-2,TH-O1,0 C,2024-06-02\n\
             J-3,TH-01,0C,2024-06-03\n\
             J-4,TH-01,0 C,June\n",
        ),
        (
            "lab.toml",
            "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[jobs]\nfile = \"jobs.csv\"\n",
        ),
    ]);
    let done = export.run("lab.toml");
    assert_eq!(done.status, 0, "{}", done.stderr);
    let record = std::fs::read_to_string(export.path("report/run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    assert_eq!(record["jobs"]["cannot_be_assessed"], 3);
    assert_eq!(record["jobs"]["assessed"], 1);
    assert_eq!(record["register"]["unmatched"], 2);
    let doubts = export.rows("doubts.csv");
    let told = |job: &str| {
        let row = doubts.iter().find(|row| row["job"] == job).unwrap();
        assert_eq!(row["effect"], "cannot_be_assessed");
        row["reason"].clone()
    };
    assert!(told("J-2").contains("the nearest name is \"TH-01\""));
    assert!(told("J-3").contains("no check at the point \"0C\""));
    assert!(told("J-4").contains("\"June\" is not a date"));
    let summary = std::fs::read_to_string(export.path("report/summary.md")).unwrap();
    assert!(!summary.contains("None of 4 jobs is in doubt"), "{summary}");
    assert!(
        summary.contains("cannot be said of 3 of 4 jobs"),
        "{summary}"
    );
    assert!(
        summary.contains("2 of 3 rows match no history"),
        "{summary}"
    );
}

const FAILURES: &str = "instrument,date,as_found,u,lower,upper,unit,in_tolerance\n\
    P-1,2021-03-01,0.1,0.1,-5,5,kPa,pass\n\
    P-1,2022-03-01,0.2,0.1,-5,5,kPa,pass\n\
    P-1,2023-03-01,6.2,0.1,-5,5,kPa,FAIL - adjusted\n\
    P-1,2024-03-01,over range,0.1,-5,5,kPa,FAIL\n\
    P-2,2024-03-01,?,0.1,-5,5,kPa,\n\
    P-3,2024-03-01,?,0.1,-5,5,kPa,pass\n";

#[test]
fn a_failure_among_the_rejected_rows_stops_the_run() {
    let export = Export::new(&[("checks.csv", FAILURES)]);
    let done = export.run("checks.csv");
    assert_eq!(done.status, 2, "{}", done.stdout);
    for part in [
        "1 of the rejected rows",
        "row 5",
        "over range",
        "allow_rejected_failures",
    ] {
        assert!(done.stderr.contains(part), "{part}\n{}", done.stderr);
    }
    assert!(!export.path("report/run.json").exists());
}

/// A verdict and an explanation rest on the records that a run would refuse.
#[test]
fn a_failure_among_the_rejected_rows_stops_verdict_and_explanation() {
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", FAILURES), ("lab.toml", allowed)]);
    let asked = |records: &str, question: &[&str]| {
        let records = export.path(records).to_string_lossy().into_owned();
        driftbook(&[question, &["--records", &records]].concat())
    };
    let verdict = [
        "verdict",
        "P-1",
        "0.4",
        "--u",
        "0.1",
        "--date",
        "2025-03-01",
    ];
    for question in [&verdict[..], &["explain", "P-1"]] {
        let done = asked("checks.csv", question);
        assert_eq!(done.status, 2, "{}", done.stdout);
        assert!(done.stdout.is_empty(), "{}", done.stdout);
        for part in ["row 5", "over range", "allow_rejected_failures"] {
            assert!(done.stderr.contains(part), "{part}\n{}", done.stderr);
        }
        let done = asked("lab.toml", question);
        assert!(!done.stdout.is_empty(), "{}", done.stderr);
    }
}

#[test]
fn an_allowed_failure_counts_without_its_value_and_lost_items_are_named() {
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", FAILURES), ("lab.toml", allowed)]);
    let done = export.run("lab.toml");
    assert_eq!(done.status, 0, "{}", done.stderr);
    assert_eq!(accounts(&export.path("report")), [6, 5, 0, 1]);
    let decisions = export.rows("decisions.csv");
    assert_eq!((decisions.len(), decisions[0]["checks"].as_str()), (2, "4"));
    assert_eq!(decisions[0]["action"], "withdraw");
    let warnings = export.rows("warnings.csv");
    assert!(
        warnings[0]["warning"].contains("its only row was rejected"),
        "{:?}",
        warnings[0]
    );
    assert!(
        warnings
            .iter()
            .any(|w| w["warning"].contains("counts without its values"))
    );
}

/// What was done, said beside the outcome, counts like a column of events, which this file lacks.
#[test]
fn an_adjustment_told_beside_the_outcome_is_an_event() {
    let spoken = FAILURES
        .replace("over range", "0.3")
        .replace(",FAIL\n", ",pass\n");
    let written = FAILURES
        .replace("in_tolerance", "in_tolerance,event")
        .replace("over range", "0.3")
        .replace(",FAIL\n", ",pass\n")
        .replace("FAIL - adjusted", "FAIL,adjusted")
        .replace("pass\n", "pass,\n");
    let decided = |checks: &str| {
        let allowed = "[checks]\nfiles = [\"checks.csv\"]\n";
        let export = Export::new(&[("checks.csv", checks), ("lab.toml", allowed)]);
        let done = export.run("lab.toml");
        assert_eq!(done.status, 0, "{}", done.stderr);
        (export.rows("decisions.csv"), done.stderr)
    };
    let (by_word, told) = decided(&spoken);
    assert!(
        told.contains("adjusted at the check of 2023-03-01"),
        "{told}"
    );
    assert_eq!(by_word, decided(&written).0);
}

#[test]
fn rejected_failures_stand_first() {
    let rows = "instrument,date,as_found,u,lower,upper,unit\n\
        P-1,2021-03-01,0.1,0.1,-5,5,kPa\n\
        P-1,2022-03-01,x,0.1,-5,5,kPa\n\
        P-1,no date,9.9,0.1,-5,5,kPa\n";
    let allowed = "[checks]\nfiles = [\"checks.csv\"]\nallow_rejected_failures = true\n";
    let export = Export::new(&[("checks.csv", rows), ("lab.toml", allowed)]);
    assert_eq!(export.run("lab.toml").status, 0);
    let rejects = export.rows("rejects.csv");
    assert_eq!(
        (rejects[0]["row"].as_str(), rejects[0]["carries"].as_str()),
        ("3", "failure")
    );
    assert_eq!(
        (rejects[1]["row"].as_str(), rejects[1]["carries"].as_str()),
        ("2", "")
    );
}

/// Checks of a gauge with a nominal value, with `found` as what was found each year.
fn with_nominal(header: &str, nominal: &str, found: [&str; 4], limit: &str) -> String {
    let mut text = format!("instrument,date,{header},nominal,u,lower,upper,unit\n");
    for (year, value) in (2021..).zip(found) {
        text += &format!("G-1,{year}-03-01,{value},{nominal},0.5,-{limit},{limit},kPa\n");
    }
    text
}

#[test]
fn a_nominal_value_is_never_subtracted_from_an_error() {
    let errors = ["0.02", "0.13", "0.31", "0.42"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "100", errors, "5"))]);
    let done = export.run("checks.csv");
    assert_eq!(done.status, 1);
    assert!(done.stderr.contains("nominal = false"), "{}", done.stderr);
    // The same with the column switched off, and by what start makes of it.
    let records = export.path("checks.csv");
    let started = driftbook(&["start", records.to_str().unwrap()]);
    assert_eq!(started.status, 0, "{}", started.stderr);
    assert!(
        started.stdout.contains("nominal = false"),
        "{}",
        started.stdout
    );
    let done = export.run("checks.toml");
    assert_eq!(done.status, 0, "{}", done.stderr);
    assert_eq!(export.rows("decisions.csv")[0]["action"], "extend");
}

#[test]
fn values_and_errors_that_both_fit_are_asked() {
    let found = ["0.4", "0.9", "1.3", "1.8"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "1", found, "5"))]);
    let done = export.run("checks.csv");
    assert_eq!(done.status, 1);
    for part in [
        "both readings fit",
        "nominal = false",
        "as_found_is = \"value\"",
    ] {
        assert!(done.stderr.contains(part), "{part}\n{}", done.stderr);
    }
    let records = export.path("checks.csv");
    let started = driftbook(&["start", records.to_str().unwrap()]);
    assert!(
        started.stdout.contains("Not read yet"),
        "{}",
        started.stdout
    );
    assert_eq!(export.run("checks.toml").status, 2);
    let file = export.path("checks.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let stated = text.replace(
        "# as_found_is = \"value\" or \"error\": state it",
        "as_found_is = \"error\"",
    );
    std::fs::write(&file, stated).unwrap();
    assert_eq!(export.run("checks.toml").status, 0);
}

#[test]
fn values_near_their_nominal_are_still_values() {
    let found = ["100.1", "100.4", "100.7", "101.1"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "100", found, "5"))]);
    let done = export.run("checks.csv");
    assert_eq!(done.status, 0, "{}", done.stderr);
}

#[test]
fn thousands_and_decimals_are_never_a_factor_of_a_thousand_apart() {
    let cases: [(&str, &str, &str, [f64; 2]); 6] = [
        // German: decimal comma, points between thousands.
        (
            "decimal_comma = true",
            "998,5;U;1.500\n1.002,25;U;1.500",
            ";",
            [998.5, 1002.25],
        ),
        // Nothing tells what the point is.
        ("", "1.234;U;\n1.250;U;", ";", [f64::NAN, f64::NAN]),
        (
            "decimal_comma = false",
            "1.234;U;\n1.250;U;",
            ";",
            [1.234, 1.25],
        ),
        // German decimals under the default sign: not even the cells that would read.
        ("", "0,5;U;\n1.234;U;", ";", [f64::NAN, f64::NAN]),
        // US: commas between thousands.
        ("", "\"1,234\",U,\n\"1,234.5\",U,", ",", [1234.0, 1234.5]),
        (
            "thousands = \",\"",
            "\"1,234\",U,\n\"2,500\",U,",
            ",",
            [1234.0, 2500.0],
        ),
    ];
    for (setting, cells, delimiter, expected) in cases {
        let mut text = ["instrument", "date", "as_found", "unit", "upper"].join(delimiter) + "\n";
        for (year, cells) in (2021..).zip(cells.lines()) {
            text += &format!("G{delimiter}{year}-03-01{delimiter}{cells}\n");
        }
        let lab = format!("[checks]\nfiles = [\"checks.csv\"]\n{setting}\n");
        let export = Export::new(&[("checks.csv", &text), ("lab.toml", &lab)]);
        let done = export.run("lab.toml");
        if expected[0].is_nan() {
            assert_eq!(done.status, 1, "{text}");
            assert!(done.stderr.contains("decimal_comma"), "{}", done.stderr);
            continue;
        }
        assert_eq!(done.status, 0, "{text}{}", done.stderr);
        assert_eq!(accounts(&export.path("report")), [2, 2, 0, 0], "{text}");
        assert_eq!(found(&export.path("lab.toml")), expected, "{text}");
    }
}

/// What was found at the checks that a pipeline reads.
fn found(pipeline: &Path) -> Vec<f64> {
    loaded(pipeline).histories.columns.as_found
}

fn loaded(pipeline: &Path) -> driftbook::records::Loaded {
    let plan = plan(&PlanRequest {
        path: Some(pipeline.to_path_buf()),
        out: None,
        as_of: Some("2026-06-30".into()),
        charts: None,
        today: chrono::NaiveDate::from_ymd_opt(2026, 7, 1).unwrap(),
    });
    driftbook::records::load(&plan.unwrap().request()).unwrap()
}

#[test]
fn a_register_with_points_before_three_digits_is_asked() {
    let checks = "instrument,date,as_found,unit\nG,2021-03-01,0.5,kPa\nG,2022-03-01,0.6,kPa\n";
    let lab = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    let register = "instrument;lower;upper\nG;-1.500;1.500\n";
    let files = [
        ("checks.csv", checks),
        ("register.csv", register),
        ("lab.toml", lab),
    ];
    let export = Export::new(&files);
    let done = export.run("lab.toml");
    assert_eq!(done.status, 1);
    for part in ["register.csv", "\"-1.500\" in row 2", "under [register]"] {
        assert!(done.stderr.contains(part), "{part}\n{}", done.stderr);
    }
    let stated = lab.to_string() + "decimal_comma = true\nthousands = \".\"\n";
    std::fs::write(export.path("lab.toml"), stated).unwrap();
    assert_eq!(export.run("lab.toml").status, 0);
}

#[test]
fn start_reads_a_german_export_and_names_what_it_leaves() {
    let export = Export::new(&[(
        "pruefung.csv",
        "Prüfmittel;Prüfdatum;Abweichung;u;U (k=2);Untere Grenze;Obere Grenze;Einheit\n\
         D-1;03.05.2021;1,5;0,2;0,4;-1.500;1.500;mK\n\
         D-1;14.05.2022;1.002,25;0,2;0,4;-1.500;1.500;mK\n\
         D-1;20.05.2023;998,5;0,2;0,4;-1.500;1.500;mK\n",
    )]);
    let file = export.path("pruefung.csv");
    let done = driftbook(&["start", file.to_str().unwrap()]);
    assert_eq!(done.status, 0, "{}", done.stderr);
    for part in [
        "3 used",
        "0 rejected",
        "\"U (k=2)\" speaks of an uncertainty and is not read",
    ] {
        assert!(done.stdout.contains(part), "{part}\n{}", done.stdout);
    }
    assert_eq!(export.run("pruefung.toml").status, 0);
    assert_eq!(found(&export.path("pruefung.toml")), [1.5, 1002.25, 998.5]);
}

/// What a person wrote beside a value counts where the value does not: nothing is taken along.
#[test]
fn a_pass_beside_an_unreadable_value_is_still_a_pass() {
    let export = Export::new(&[("checks.csv", &FAILURES.replace("over range", "0.3"))]);
    assert_eq!(export.run("checks.csv").status, 0);
    assert_eq!(accounts(&export.path("report")), [6, 5, 0, 1]);
    let told = |words: &str| {
        export
            .rows("warnings.csv")
            .iter()
            .any(|w| w["warning"].contains(words))
    };
    assert!(told("the pass of this row counts without its values"));
}

fn actions(export: &Export) -> Vec<(String, String)> {
    let rows = export.rows("decisions.csv").into_iter();
    rows.map(|row| (row["action"].clone(), row["reason"].clone()))
        .collect()
}

#[test]
fn a_fail_without_limits_is_a_failure_and_a_contradiction_asks_for_a_person() {
    let years = |item: &str, last: &str| {
        let rows =
            ["2022", "2023", "2024"].map(|y| format!("{item},{y}-01-01,0.1,0.1,,,mK,pass\n"));
        rows.concat() + last
    };
    let text = "instrument,date,as_found,u,lower,upper,unit,in_tolerance\n".to_string()
        + &years("A", "A,2025-01-01,5,0.1,,,mK,FAIL\n")
        + &years(
            "B",
            "B,2025-01-01,0.1,0.1,,,mK,fail\nB,2025-01-01,0.1,0.1,,,mK,pass\n",
        )
        + &years("C", "C,2025-01-01,0.1,0.1,-1,1,mK,n.i.O.\n");
    let export = Export::new(&[("checks.csv", &text)]);
    assert_eq!(export.run("checks.csv").status, 0);
    let actions = actions(&export);
    assert_eq!(actions[0].0, "withdraw", "{actions:?}");
    assert_eq!(
        (actions[1].0.as_str(), actions[2].0.as_str()),
        ("review", "review"),
        "{actions:?}"
    );
    assert!(
        actions[1]
            .1
            .contains("both out of tolerance and in tolerance")
    );
    assert!(
        actions[2]
            .1
            .contains("says out of tolerance, its numbers say in tolerance")
    );
    assert_eq!(export.rows("decisions.csv")[1]["checks"], "5");
}

#[test]
fn readings_of_several_points_are_never_one_history() {
    let mut text = "instrument,date,Set point [°C],as_found,unit\n".to_string();
    for year in 2021..2025 {
        for point in ["0", "100.0"] {
            text += &format!("T,{year}-03-01,{point},0.{year},mK\n");
        }
    }
    let lab = "[checks]\nfiles = [\"checks.csv\"]\nas_found_is = \"error\"\n";
    let columns = "[checks.columns]\nnominal = \"Set point [°C]\"\n";
    let export = Export::new(&[
        ("checks.csv", &text),
        ("lab.toml", &(lab.to_string() + columns)),
    ]);
    let done = export.run("lab.toml");
    assert_eq!(done.status, 1, "{}", done.stdout);
    assert!(
        done.stderr
            .contains("nominal values 0 and 100 on 2021-03-01"),
        "{}",
        done.stderr
    );
    let named = lab.to_string() + "point_from = [\"set point [°c]\"]\n" + columns;
    std::fs::write(export.path("lab.toml"), named).unwrap();
    assert_eq!(export.run("lab.toml").status, 0);
    let points: Vec<String> = export
        .rows("decisions.csv")
        .into_iter()
        .map(|row| row["point"].clone())
        .collect();
    assert_eq!(points, ["0 °C", "100 °C"]);
}

#[test]
fn start_turns_corrections_and_builds_points() {
    let export = Export::new(&[
        (
            "my file.csv",
            "Item;Datum;Korrektur [mK];U (k=2);Tol\nT 1;03.05.2021;-1,5 mK;0,2;±5\nT 1;14.05.2022;2;0,2;±5\n",
        ),
        (
            "points.csv",
            "Item,Date,Nominal [V],Reading [V],Unit\nM,2021-01-01,1,1.01,V\nM,2021-01-01,10,10.02,V\nM,2022-01-01,1,1.02,V\nM,2022-01-01,10,10.025,V\n",
        ),
    ]);
    let start = |name: &str| driftbook(&["start", export.path(name).to_str().unwrap()]);
    let done = start("my file.csv");
    assert!(
        done.stdout.contains("The sign is turned"),
        "{}",
        done.stdout
    );
    assert!(done.stdout.contains("my file.toml'"), "{}", done.stdout);
    assert_eq!(found(&export.path("my file.toml")), [1.5, -2.0]);
    let pipeline = std::fs::read_to_string(export.path("my file.toml")).unwrap();
    assert!(pipeline.contains("tolerance = \"Tol\""), "{pipeline}");
    assert!(start("points.csv").stdout.contains("4 used in 2"));
    let pipeline = std::fs::read_to_string(export.path("points.toml")).unwrap();
    assert!(
        pipeline.contains("point_from = [\"Nominal [V]\"]"),
        "{pipeline}"
    );
}

#[test]
fn the_register_reads_limits_as_the_records_do_and_tells_where_they_differ() {
    let checks = "instrument,date,as_found,lower,upper,unit\n\
        A,2024-01-01,0.1,-5,5,mK\nB,2024-01-01,0.1,-5,5,mK\nC,2024-01-01,0.1,,,mK\nD,2024-01-01,0.1,,,mK\n";
    let register = "instrument,lower,upper,tolerance,unit\n\
        A,,±3,,mK\nB,-5 mK,0.005 K,,mK\nC,,,± 4000 µK,mK\nD,,,2 % of range,mK\n";
    let export = Export::new(&[
        ("checks.csv", checks),
        ("register.csv", register),
        (
            "lab.toml",
            "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n",
        ),
    ]);
    let done = export.run("lab.toml");
    assert_eq!(done.status, 0, "{}", done.stderr);
    let items = loaded(&export.path("lab.toml")).histories.items;
    let limits: Vec<_> = items
        .iter()
        .map(|item| item.tolerance.map(|t| (t.lower(), t.upper())))
        .collect();
    let within = |half: f64| Some((-half, half));
    assert_eq!(limits, [within(3.0), within(5.0), within(4.0), None]);
    let warnings = export.rows("warnings.csv");
    let told = |words: &str| {
        warnings
            .iter()
            .filter(|w| w["warning"].contains(words))
            .count()
    };
    assert_eq!(told("the register says -3 … 3, the check"), 1);
    assert_eq!(told("the register says -5"), 0);
    assert_eq!(told("tolerance \"2 % of range\" is left out"), 1);
}

#[test]
fn a_nominal_value_that_is_not_subtracted_still_tells_points_apart() {
    let mut checks = "item,date,error,Nominal [V],unit\n".to_string();
    for year in 2020..2024 {
        checks += &format!("G,{year}-03-01,0.4,10,V\nG,{year}-03-01,0.9,100,V\n");
    }
    let pipeline = |more: &str| {
        format!(
            "[checks]\nfiles = [\"checks.csv\"]\n{more}[checks.columns]\ninstrument = \"item\"\nas_found = \"error\"\nnominal = false\n"
        )
    };
    let export = Export::new(&[
        ("checks.csv", &checks),
        ("mixed.toml", &pipeline("")),
        ("points.toml", &pipeline("point_from = [\"Nominal [V]\"]\n")),
    ]);
    let done = export.run("mixed.toml");
    assert_eq!(done.status, 1, "{}", done.stdout);
    assert!(
        done.stderr.contains("nominal values 10 and 100"),
        "{}",
        done.stderr
    );
    let points = [[0.4; 4], [0.9; 4]].concat();
    assert_eq!(found(&export.path("points.toml")), points);
}

#[test]
fn a_reading_a_power_of_ten_away_is_asked_about() {
    let export = Export::new(&[(
        "checks.csv",
        "instrument,date,as_found,u,unit\nR,2021-03-02,0.41,0.2,mK\nR,2022-03-01,0.43,0.2,mK\n\
         R,2023-03-07,4.3,0.2,mK\nR,2024-03-05,0.42,0.2,mK\nR,2025-03-04,0.44,0.2,mK\n",
    )]);
    assert_eq!(export.run("checks.csv").status, 0);
    let warnings = export.rows("warnings.csv");
    let told = |w: &std::collections::BTreeMap<String, String>| {
        w["warning"].contains("4.3 mK") && w["warning"].contains("10^1 times its neighbours")
    };
    assert!(warnings.iter().any(told), "{warnings:?}");
}

#[test]
fn two_pipelines_share_no_report_unawares() {
    let checks = "instrument,date,as_found\nR,2021-03-02,0.41\n";
    let pipeline = "[checks]\nfiles = [\"checks.csv\"]\n[output]\nfolder = \"report\"\n";
    let export = Export::new(&[
        ("checks.csv", checks),
        ("first.toml", pipeline),
        ("second.toml", pipeline),
    ]);
    let run = |name: &str, more: &[&str]| {
        let path = export.path(name);
        let own = ["run", path.to_str().unwrap(), "--as-of", "2026-06-30"];
        driftbook(&[&own, more].concat())
    };
    assert_eq!(run("first.toml", &[]).status, 0);
    let refused = run("second.toml", &[]);
    assert_eq!(refused.status, 1, "{}", refused.stdout);
    assert!(
        refused.stderr.contains("was made by first.toml"),
        "{}",
        refused.stderr
    );
    assert_eq!(run("first.toml", &[]).status, 0);
    assert_eq!(run("second.toml", &["--force"]).status, 0);
    std::fs::rename(export.path("second.toml"), export.path("third.toml")).unwrap();
    assert_eq!(run("third.toml", &[]).status, 0);
}

#[test]
fn a_reading_of_a_day_to_come_is_refused_unless_it_is_meant() {
    let export = Export::new(&[(
        "checks.csv",
        "instrument,date,as_found\nR,2021-03-02,0.41\n",
    )]);
    let path = export.path("checks.csv");
    let verdict = |more: &[&str]| {
        let own = [
            "verdict",
            "R",
            "0.5",
            "--date",
            "2999-01-01",
            "--records",
            path.to_str().unwrap(),
        ];
        driftbook(&[&own, more].concat())
    };
    let refused = verdict(&[]);
    assert_eq!(refused.status, 2, "{}", refused.stdout);
    assert!(
        refused.stderr.contains("is still to come"),
        "{}",
        refused.stderr
    );
    assert_ne!(verdict(&["--allow-future"]).status, 2);
}
