/*! The fits that a run writes are those that are published, to thirteen digits: certified data sets
as records, use in the place of the certified x, and the tables of the run against the results.

Data and their sources: tests/reference/strd and tests/reference/gum. Longley is no polynomial of
one quantity, so that no pipeline can state it. */

use super::tool::{driftbook, read_csv};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

fn reference(path: &str) -> String {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/");
    std::fs::read_to_string(format!("{root}{path}")).unwrap()
}

/// Number in a reference, whether written as number or as text of more digits.
fn number(value: &Value) -> f64 {
    let text = || value.as_str().and_then(|text| text.parse().ok());
    value.as_f64().or_else(text).unwrap()
}

/// Digits that agree: log relative error, 15.95 where equal, as the StRD count them; certified
/// zeros absolutely.
fn digits(found: f64, certified: f64) -> f64 {
    let size = if certified == 0.0 {
        1.0
    } else {
        certified.abs()
    };
    (-((found - certified).abs() / size).log10()).min(15.95)
}

/// Rows of (use, error), as text, fitted by a run under `[drift]` as given: its coefficients by
/// term, with their standard errors, and the residual deviation.
fn fitted(
    folder: &Path,
    rows: &[(String, String)],
    drift: &str,
) -> (BTreeMap<String, (f64, f64)>, f64) {
    let mut rows = rows.to_vec();
    rows.sort_by(|a, b| {
        let use_of = |row: &(String, String)| row.0.parse::<f64>().unwrap();
        use_of(a).total_cmp(&use_of(b))
    });
    let mut records = "instrument,date,as_found,usage\n".to_string();
    for (day, (x, y)) in rows.iter().enumerate() {
        let (year, month) = (2010 + day / 12, 1 + day % 12);
        records += &format!("A,{year}-{month:02}-01,{y},{x}\n");
    }
    std::fs::write(folder.join("checks.csv"), records).unwrap();
    let pipeline = folder.join("run.toml");
    let text = format!(
        "as_of = \"2024-01-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[drift]\naxis = \"usage\"\n{drift}\n"
    );
    std::fs::write(&pipeline, text).unwrap();
    let out = folder.join("report");
    let (pipeline, shown) = (pipeline.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &pipeline, "--out", &shown, "--charts", "none"]).well();
    let coefficients = read_csv(&out.join("coefficients.csv")).rows;
    let figures = |row: &BTreeMap<String, String>| {
        assert_eq!(row["origin"].parse(), Ok(0.0), "powers of use itself");
        (
            row["estimate"].parse().unwrap(),
            row["standard_error"].parse().unwrap(),
        )
    };
    let named = coefficients
        .iter()
        .map(|row| (row["term"].clone(), figures(row)));
    let fits = read_csv(&out.join("fits.csv")).rows;
    (
        named.collect(),
        fits[0]["residual_deviation"].parse().unwrap(),
    )
}

fn pairs(file: &str) -> Vec<(String, String)> {
    let text = reference(file);
    let cells = text.lines().skip(1).filter_map(|line| line.split_once(','));
    cells.map(|(y, x)| (x.to_string(), y.to_string())).collect()
}

/// The set's worst digits over coefficients, standard errors and residual deviation.
fn worst(set: &str, drift: &str) -> f64 {
    let folder = tempfile::tempdir().unwrap();
    let certified: Value = serde_json::from_str(&reference(&format!("strd/{set}.json"))).unwrap();
    let (found, deviation) = fitted(folder.path(), &pairs(&format!("strd/{set}.csv")), drift);
    let exact = &certified["exact"];
    let powers = certified["powers_of_x"].as_array().unwrap();
    assert_eq!(found.len(), powers.len(), "{set}: {found:?}");
    let mut worst = digits(deviation, number(&exact["residual_deviation"]));
    for (place, power) in powers.iter().enumerate() {
        let term = match power.as_u64().unwrap() {
            0 => "intercept".to_string(),
            1 => "slope".to_string(),
            power => format!("power_{power}"),
        };
        let (estimate, error) = found[&term];
        let digits = [
            digits(estimate, number(&exact["coefficients"][place])),
            digits(error, number(&exact["standard_errors"][place])),
        ];
        println!("{set} {term}: {digits:.2?}");
        worst = worst.min(digits[0]).min(digits[1]);
    }
    println!("{set} ({drift}): {worst:.2}");
    worst
}

/// NIST StRD, linear regression: certified to 15 digits, exact values to 25.
#[test]
fn certified_polynomials_to_thirteen_digits() {
    let of_degree = |degree: u32| format!("model = \"polynomial\"\ndegree = {degree}");
    let sets = [
        ("norris", of_degree(1)),
        ("norris", "model = \"line\"".into()),
        ("pontius", of_degree(2)),
        ("pontius", "model = \"quadratic\"".into()),
        ("noint1", "model = \"line\"\nintercept = false".into()),
        ("noint2", of_degree(1) + "\nintercept = false"),
        ("wampler1", of_degree(5)),
        ("wampler2", of_degree(5)),
        ("wampler3", of_degree(5)),
        ("wampler4", of_degree(5)),
        ("wampler5", of_degree(5)),
        ("filip", of_degree(10)),
    ];
    let reached = sets.map(|(set, drift)| (set, worst(set, &drift)));
    for (set, digits) in reached {
        assert!(digits >= 13.0, "{set}: {digits:.2}");
    }
}

/// JCGM 100:2008 (GUM), H.3: the line through the corrections of a thermometer against its reading
/// less 20 °C, as printed and as computed from the printed data.
#[test]
fn the_thermometer_of_the_guide() {
    let published: Value = serde_json::from_str(&reference("gum/h3.json")).unwrap();
    let text = reference("gum/h3.csv");
    let cells = text.lines().skip(1).filter_map(|line| line.split_once(','));
    let less_20 = |reading: &str| {
        let thousandths = reading.replace('.', "").parse::<i64>().unwrap() - 20_000;
        format!("{}.{:03}", thousandths / 1000, thousandths % 1000)
    };
    let rows: Vec<_> = cells
        .map(|(reading, correction)| (less_20(reading), correction.to_string()))
        .collect();
    for drift in ["model = \"line\"", "model = \"polynomial\"\ndegree = 1"] {
        let folder = tempfile::tempdir().unwrap();
        let (found, deviation) = fitted(folder.path(), &rows, drift);
        let ((y1, u_y1), (y2, u_y2)) = (found["intercept"], found["slope"]);
        let printed = [
            ("y1", y1, 4),
            ("u_y1", u_y1, 4),
            ("y2", y2, 5),
            ("u_y2", u_y2, 5),
            ("s", deviation, 4),
        ];
        for (name, value, decimals) in printed {
            let text = published["published_text"][name].as_str().unwrap();
            assert_eq!(format!("{value:.decimals$}"), text, "{name}");
            let computed = number(&published["computed"][name]);
            assert!(
                digits(value, computed) >= 12.0,
                "{name}: {value:e} {computed:e}"
            );
        }
    }
}

/// A curve through zero is refused where nothing says what zero is, or where the model has none.
#[test]
fn a_curve_through_zero_needs_use_and_a_curve() {
    let folder = tempfile::tempdir().unwrap();
    let records = "instrument,date,as_found,usage\nA,2020-01-01,1,10\nA,2021-01-01,2,20\n";
    std::fs::write(folder.path().join("checks.csv"), records).unwrap();
    for (drift, said) in [
        ("model = \"line\"", "no date is the zero of time"),
        ("axis = \"usage\"\nmodel = \"state\"", "not \"state\""),
        (
            "axis = \"usage\"\nmodel = \"polynomial\"\ndegree = 0",
            "leaves nothing",
        ),
    ] {
        let pipeline = folder.path().join("run.toml");
        let text =
            format!("[checks]\nfiles = [\"checks.csv\"]\n[drift]\n{drift}\nintercept = false\n");
        std::fs::write(&pipeline, text).unwrap();
        let done = driftbook(&["run", &pipeline.to_string_lossy()]).ended(2);
        says!(done.stderr, said);
    }
}
