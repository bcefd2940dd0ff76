/*! Raw exports as people have them: what cannot be read for certain is told, asked or refused. */

use crate::export::{Export, accounts, found};
use crate::tool::driftbook;

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
    export.run("dials.csv").well();
    assert_eq!(accounts(&export.path("report")), [5, 4, 0, 1]);
    let rejects = export.rows("rejects.csv");
    assert_eq!(rejects[0]["row"], "1");
    says!(rejects[0]["reason"], "a quotation mark is opened here");
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
    ])
    .ended(1);
    says!(done.stderr, "is never closed");
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
             J-3,TH-01,5 C,2024-06-03\n\
             J-4,TH-01,0 C,June\n",
        ),
        (
            "lab.toml",
            "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[jobs]\nfile = \"jobs.csv\"\n",
        ),
    ]);
    export.run("lab.toml").well();
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
    says!(told("J-2"), "the nearest name is \"TH-01\"");
    says!(told("J-3"), "no check at the point \"5 C\"");
    says!(told("J-4"), "\"June\" is not a date");
    let summary = std::fs::read_to_string(export.path("report/summary.md")).unwrap();
    says_not!(summary, "None of 4 jobs is in doubt");
    says!(
        summary,
        "cannot be said of 3 of 4 jobs",
        "2 of 3 rows match no history"
    );
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
    let done = driftbook(&["start", file.to_str().unwrap()]).well();
    says!(
        done.stdout,
        "3 used",
        "0 rejected",
        "\"U (k=2)\" speaks of an uncertainty and is not read"
    );
    assert_eq!(export.run("pruefung.toml").status, 0);
    assert_eq!(found(&export.path("pruefung.toml")), [1.5, 1002.25, 998.5]);
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
    let done = export.run("lab.toml").ended(1);
    says!(done.stderr, "nominal values 0 and 100 on 2021-03-01");
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

/// Errors and limits in per cent of the span beside nominal values in a unit of their own.
#[test]
fn errors_in_parts_of_a_span_keep_their_limits() {
    let text = "Tag,Date,Applied (bar),Error (% span),Left (% span),Max allowed (%FS)\n\
                P,2025-03-01,0,0.1,0.1,0.3\nP,2025-03-01,5,0.4,0.02,0.3\n\
                P,2026-03-01,0,0.2,0.2,0.3\nP,2026-03-01,5,-0.1,-0.1,0.3\n";
    let export = Export::new(&[("loop.csv", text)]);
    let started = driftbook(&["start", export.path("loop.csv").to_str().unwrap()]);
    says!(
        started.stdout,
        "4 used in 2",
        "stated for 2 of 2",
        "1 by the value left alone",
        "0 bar and 5 bar on 2025-03-01"
    );
    assert_eq!(export.run("loop.toml").status, 0);
    let failed = export.rows("decisions.csv");
    let actions: Vec<&str> = failed.iter().map(|row| row["action"].as_str()).collect();
    assert_eq!(actions.len(), 2);
}

/// What a reference read differs from day to day: the point is the set point that it was near.
#[test]
fn readings_near_set_points_are_at_these() {
    let mut text = "Item,Date,Nominal [°C],Reading [°C],Tol [K],Result\n".to_string();
    for (year, off) in [(2021, -0.31), (2022, 0.42), (2023, 0.18), (2024, -0.07)] {
        for (point, error) in [(0.0, 0.05), (100.0, 0.1), (400.0, 0.2)] {
            let nominal = point + off;
            text += &format!(
                "T,{year}-03-01,{nominal:.2},{:.2},1,pass\n",
                nominal + error
            );
        }
    }
    let export = Export::new(&[("checks.csv", &text)]);
    let started = driftbook(&["start", export.path("checks.csv").to_str().unwrap()]);
    let pipeline = std::fs::read_to_string(export.path("checks.toml")).unwrap();
    for part in [
        "point_from = [\"Nominal [°C]\"]",
        "set_points = [0, 100, 400]",
    ] {
        assert!(pipeline.contains(part), "{pipeline}{}", started.stdout);
    }
    let export = Export::new(&[("checks.csv", &text), ("checks.toml", &pipeline)]);
    assert_eq!(export.run("checks.toml").status, 0);
    let points: Vec<String> = export
        .rows("decisions.csv")
        .into_iter()
        .map(|row| row["point"].clone())
        .collect();
    assert_eq!(points, ["0 °C", "100 °C", "400 °C"]);
    // A failure near none of them is at no point, and stops the run.
    let far = text + "T,2025-03-01,232.10,234.40,1,fail\n";
    let export = Export::new(&[("checks.csv", &far), ("checks.toml", &pipeline)]);
    let done = export.run("checks.toml").ended(2);
    says!(
        done.stderr,
        "row 14",
        "232.1 °C",
        "near none of the set points"
    );
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
    says!(done.stdout, "The sign is turned", "my file.toml'");
    assert_eq!(found(&export.path("my file.toml")), [1.5, -2.0]);
    let pipeline = std::fs::read_to_string(export.path("my file.toml")).unwrap();
    says!(pipeline, "tolerance = \"Tol\"");
    says!(start("points.csv").stdout, "4 used in 2");
    let pipeline = std::fs::read_to_string(export.path("points.toml")).unwrap();
    says!(pipeline, "point_from = [\"Nominal [V]\"]");
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
    let refused = run("second.toml", &[]).ended(1);
    says!(refused.stderr, "was made by first.toml");
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
    let refused = verdict(&[]).ended(2);
    says!(refused.stderr, "is still to come");
    assert_ne!(verdict(&["--allow-future"]).status, 2);
}
