/*! Drift over use: what is forecast for a date is the error at the use that the item will have by
then, and what is said of a year is of a year. */

use super::tool::{driftbook, read_csv};
use std::path::{Path, PathBuf};

/// Twelve yearly checks of items whose error is 0.01 × use: 1,000 a year, evenly or not.
fn records(unevenness: [f64; 4]) -> String {
    let mut rows = "instrument,date,as_found,u,lower,upper,usage,unit\n".to_string();
    for (item, offset) in [("A", 0.0), ("B", 350.0), ("C", 600.0), ("D", 820.0)] {
        let mut count = offset;
        for (place, year) in (2012..2024).enumerate() {
            let error = 0.01 * count;
            // Readings off the line by turns, well inside their u.
            let off = [0.03, -0.03, -0.03, 0.03][place % 4];
            rows += &format!(
                "{item},{year}-03-01,{},0.05,-200,200,{count},mm\n",
                error + off
            );
            count += 1000.0 + unevenness[place % 4];
        }
    }
    rows
}

fn report(folder: &Path, records: &str, model: &str) -> PathBuf {
    std::fs::write(folder.join("checks.csv"), records).unwrap();
    let pipeline = folder.join("run.toml");
    let text = format!(
        "as_of = \"2023-03-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[drift]\naxis = \"usage\"\nmodel = \"{model}\"\n"
    );
    std::fs::write(&pipeline, text).unwrap();
    let out = folder.join("report");
    let (pipeline, shown) = (pipeline.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &pipeline, "--out", &shown, "--quiet"]).well();
    out
}

#[test]
fn forecasts_by_date_are_those_of_the_use_by_then() {
    for model in ["state", "line", "quadratic", "polynomial", "wander", "auto"] {
        let folder = tempfile::tempdir().unwrap();
        let out = report(folder.path(), &records([0.0; 4]), model);
        let forecast = read_csv(&out.join("forecast.csv")).rows;
        let of_a = forecast.iter().filter(|row| row["instrument"] == "A");
        for (quarter, row) in of_a.enumerate() {
            // The counter stands at 11,000 on the as-of date.
            let expected = 110.0 + 2.5 * quarter as f64;
            let found: f64 = row["expected"].parse().unwrap();
            near!(found, expected, 0.6, "{model} {row:?} {expected}");
            let inside: f64 = row["probability_in_tolerance"].parse().unwrap();
            assert!(inside > 0.9, "{model} {row:?}");
        }
        let decision = &read_csv(&out.join("decisions.csv")).rows[0];
        let drift: f64 = decision["drift_per_year"].parse().unwrap();
        near!(drift, 10.0, 0.3, "{model} {decision:?}");
        let page = std::fs::read_to_string(out.join("instruments/A.html")).unwrap();
        let predicted = &page[page.find("Predicted values").unwrap()..];
        assert!(predicted.contains("110."), "{model}: {predicted}");
    }
}

/// Where the rate of use varies, a forecast by date is as much less sure.
#[test]
fn uneven_use_widens_forecasts_by_date() {
    let u_after_two_years = |unevenness| {
        let folder = tempfile::tempdir().unwrap();
        let out = report(folder.path(), &records(unevenness), "line");
        let forecast = read_csv(&out.join("forecast.csv")).rows;
        let last = forecast.iter().rfind(|row| row["instrument"] == "A");
        last.unwrap()["u_error"].parse::<f64>().unwrap()
    };
    let (even, uneven) = (
        u_after_two_years([0.0; 4]),
        u_after_two_years([400.0, -100.0, -300.0, 0.0]),
    );
    // Deviations of the yearly use of about 250, two years of them: 0.01 × 250 × √2 and more.
    assert!(
        even < 0.3 && uneven > 3.0 && uneven < 6.0,
        "{even} {uneven}"
    );
}
