/*! `driftbook value`: what an item contributes to an uncertainty budget, and when nothing is stated. */

use crate::tool::driftbook;
use serde_json::Value;

fn asked(arguments: &[&str]) -> (i32, Vec<Value>) {
    let done = driftbook(&[&["value"], arguments, &["--json"]].concat());
    assert!(!done.stdout.is_empty(), "{}", done.stderr);
    let told = serde_json::from_str(&done.stdout).unwrap();
    (done.status, told)
}

#[test]
fn the_parts_add_up_and_grow_with_time() {
    let on = |day| asked(&["TH-002", "--date", day, "--demo"]);
    let (status, soon) = on("2026-07-15");
    assert_eq!((status, soon.len()), (0, 1));
    let (_, late) = on("2027-03-01");
    let number = |value: &Value, name: &str| value[name].as_f64().unwrap();
    for value in [&soon[0], &late[0]] {
        let parts = ["u_calibration", "u_drift", "u_wander", "u_step", "u_common"];
        let squares: f64 = parts.iter().map(|part| number(value, part).powi(2)).sum();
        let u = number(value, "u_corrected");
        near!(squares.sqrt() / u, 1.0, 1e-12);
        let left = number(value, "expected_error").hypot(u);
        assert!((number(value, "u_uncorrected") / left - 1.0).abs() < 1e-12);
        assert_eq!(
            number(value, "correction"),
            -number(value, "expected_error")
        );
    }
    assert!(number(&late[0], "u_corrected") > number(&soon[0], "u_corrected"));
    assert_eq!(soon[0]["unit"], "mK");
}

/// 182 d are in force until 2026-08-05; a longer interval waits for a person.
#[test]
fn a_value_has_to_serve_until_the_date_in_force() {
    let on = |day| asked(&["PG-002", "100 kPa", "--date", day, "--demo"]).1;
    let (before, after) = (on("2026-07-15"), on("2026-09-01"));
    assert_eq!(before[0]["mean_until"], "2026-08-05");
    assert!(after[0]["mean_until"].is_null());
    let told = "Its calibration is due on 2026-08-05, before that day.";
    let cautions = |value: &Value| value["cautions"].to_string();
    says_not!(cautions(&before[0]), "is due on");
    assert!(cautions(&after[0]).contains(told), "{:#}", after[0]);
    // A day, also of what was calibrated at a time of day.
    let timed = asked(&["TH-102", "--date", "2026-07-01", "--demo"]).1;
    assert_eq!(timed[0]["mean_until"], "2027-04-01");
}

#[test]
fn nothing_is_stated_where_it_would_mislead() {
    let (status, early) = asked(&["TH-002", "--date", "2020-01-01", "--demo"]);
    assert_eq!(status, 3);
    let why = early[0]["missing"].as_str().unwrap();
    says!(why, "before the last check");
    driftbook(&["value", "TH-999", "--demo"]).ended(2);
    let no_date = driftbook(&["value", "TH-002", "--date", "soon", "--demo"]);
    assert!(no_date.status == 2 && no_date.stderr.contains("YYYY-MM-DD"));
}

/// A steady item whose last reading jumps by twenty deviations.
#[test]
fn no_value_while_its_last_reading_is_unconfirmed() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("checks.csv");
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    for year in 2014..2025 {
        let value = if year == 2024 {
            4.0
        } else {
            0.1 * f64::from(year % 3)
        };
        text += &format!("R-1,{year}-03-05,{value},0.2,-50,50,mK\n");
    }
    std::fs::write(&file, text).unwrap();
    let records = file.to_string_lossy();
    let (status, told) = asked(&["R-1", "--date", "2027-01-01", "--records", &records]);
    assert_eq!(status, 3);
    let why = told[0]["missing"].as_str().unwrap();
    says!(why, "nothing confirms it");
    assert!(told[0].get("u_corrected").is_none());
}

/// A certificate's value with its date and u is where the forecast starts, and is named.
#[test]
fn a_certificates_value_is_started_from_and_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("checks.csv");
    let told = |last: &str| {
        let mut text = String::from(
            "instrument,date,as_found,u,lower,upper,unit,source,assigned,u_assigned\n",
        );
        for year in 2016..2024 {
            let value = 0.1 + 0.01 * f64::from(year % 3);
            text += &format!("R-1,{year}-03-05,{value},0.05,-5,5,mK,,,\n");
        }
        std::fs::write(&file, text + last).unwrap();
        let records = file.to_string_lossy();
        let words = driftbook(&[
            "value",
            "R-1",
            "--date",
            "2024-06-01",
            "--records",
            &records,
        ]);
        let (_, told) = asked(&["R-1", "--date", "2024-06-01", "--records", &records]);
        (words.stdout.replace('\u{a0}', " "), told[0].clone())
    };
    let (words, json) = told("R-1,2024-03-05,,,-5,5,mK,,0.15,0.01\n");
    says!(
        words,
        "Started from the certificate of 2024-03-05: 0.150 mK, u = 0.010 mK; no reading has been made since."
    );
    let assigned = &json["assigned"];
    assert_eq!(
        (
            assigned["value"].as_f64(),
            assigned["u"].as_f64(),
            assigned["started_from"].as_bool()
        ),
        (Some(0.15), Some(0.01), Some(true))
    );
    // Five times surer than a reading, it weighs more than the eight before it.
    let near = (json["expected_error"].as_f64().unwrap() - 0.15).abs();
    assert!(near < 0.02, "{json}");
    let (words, json) = told("R-1,2024-03-05,0.11,0.05,-5,5,mK,,0.15,0.01\n");
    says!(words, "Started from the readings, not from the certificate");
    assert_eq!(json["assigned"]["started_from"].as_bool(), Some(false));
}

/// A calibration by another laboratory, brought to the level of the owner's readings: the chain stands
/// beside the value, beside the verdict and on the page.
#[test]
fn the_calibration_a_value_rests_on_is_named_wherever_it_is_stated() {
    let folder = tempfile::tempdir().unwrap();
    let checks = folder.path().join("checks.csv");
    let header = "instrument,date,as_found,u,lower,upper,unit,kind,source\n";
    let rows = "R-1,2019-03-05,0.10,0.02,-5,5,mK,calibration,NL-1\n\
                R-1,2020-03-05,0.12,0.1,-5,5,mK,check,NL-1\n\
                R-1,2022-03-05,0.14,0.02,-5,5,mK,calibration,NL-1\n\
                R-1,2023-03-05,0.15,0.1,-5,5,mK,check,NL-1\n";
    std::fs::write(&checks, format!("{header}{rows}")).unwrap();
    let (records, out) = (checks.to_string_lossy(), folder.path().join("report"));
    let chain = "calibration of 2022-03-05 by NL-1: 0.140 mK, u = 0.020 mK";
    let told = |arguments: &[&str]| {
        let done = driftbook(&[arguments, &["--records", &records]].concat());
        done.stdout.replace('\u{a0}', " ")
    };
    let value = told(&["value", "R-1", "--date", "2023-06-01"]);
    let rests = format!("Rests on its readings, the last {chain}; 1 reading since weigh");
    assert!(value.contains(&rests), "{value}");
    let verdict = told(&[
        "verdict",
        "R-1",
        "0.16",
        "--u",
        "0.1",
        "--date",
        "2023-06-01",
    ]);
    let assigned = format!("Value: assigned by the {chain};");
    assert!(verdict.contains(&assigned), "{verdict}");
    driftbook(&[
        "run",
        &records,
        "--as-of",
        "2023-06-01",
        "--quiet",
        "--charts",
        "all",
        "--out",
        &out.to_string_lossy(),
    ])
    .well();
    let page = std::fs::read_to_string(out.join("instruments/R-1.html")).unwrap();
    let page = page.replace('\u{a0}', " ");
    assert!(page.contains(chain), "{page}");
    // Where nothing marks a calibration the last check is named as such.
    std::fs::write(
        &checks,
        format!("{header}{}", rows.replace("calibration", "check")),
    )
    .unwrap();
    let verdict = told(&[
        "verdict",
        "R-1",
        "0.16",
        "--u",
        "0.1",
        "--date",
        "2023-06-01",
    ]);
    says!(verdict, "no row is marked as its calibration");
}
