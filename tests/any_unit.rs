/*! The unit changes nothing: the same records in a unit 10³⁰ times smaller or larger give the
same decisions and words, and figures that differ by that factor alone. */

use super::tool::{Csv, driftbook, read_csv};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

const MODELS: [&str; 7] = [
    "state",
    "line",
    "constant",
    "quadratic",
    "wander",
    "season",
    "auto",
];

/// One item's readings in its unit, with u and limit where it states them.
struct Item {
    name: String,
    group: &'static str,
    values: Vec<f64>,
    u: Option<f64>,
    limit: Option<f64>,
    adjusted: Option<usize>,
}

/// Scatter without a pattern, the same in every run.
fn scatter(i: usize) -> f64 {
    ((i * 7919 + 13) % 101) as f64 / 50.0 - 1.0
}

fn items() -> Vec<Item> {
    let line = |number: usize, slope: f64| -> Vec<f64> {
        let value = |i: usize| slope * i as f64 + 0.06 * scatter(number * 31 + i);
        (0..10).map(value).collect()
    };
    let alone = |name: &str, values: Vec<f64>, u: f64, limit: f64| Item {
        name: name.into(),
        group: "",
        values,
        u: (u > 0.0).then_some(u),
        limit: (limit > 0.0).then_some(limit),
        adjusted: None,
    };
    let member = |number: usize| Item {
        group: "class",
        ..alone(
            &format!("m{number}"),
            line(number, 0.02 * number as f64),
            0.05,
            1.5,
        )
    };
    let wild = vec![0.1, 0.2, 0.15, 30.0, 0.2, 0.1, 0.25, 0.2];
    let mut all: Vec<Item> = (1..7).map(member).collect();
    all.extend([
        alone("own", line(7, 0.1), 0.05, 1.5),
        alone("open", line(8, 0.1), 0.05, 0.0),
        alone("bare", line(9, 0.1), 0.0, 0.0),
        alone("mute", line(10, 0.1), 0.0, 2.0),
        alone("flat", vec![0.25; 6], 0.05, 0.0),
        alone("zero", vec![0.0; 6], 0.0, 0.0),
        alone("wild", wild, 0.05, 2.0),
        alone("out", vec![0.1, 0.5, 1.1, 1.6, 2.1], 0.05, 2.0),
        alone("two", vec![0.1, 0.5], 0.05, 2.0),
        Item {
            adjusted: Some(5),
            ..alone("set", line(11, 0.15), 0.05, 2.0)
        },
    ]);
    all
}

/// The records in a unit `1/factor` times as large, use counted `of_use` times as fine.
fn checks(factor: f64, of_use: f64) -> String {
    let mut text =
        String::from("instrument,date,as_found,as_left,event,u,lower,upper,unit,usage\n");
    for (number, item) in items().iter().enumerate() {
        // A unit of its own each, so that only the group's members form a class.
        let unit = match item.group {
            "" => format!("v{number}"),
            group => group.into(),
        };
        let cell =
            |value: Option<f64>| value.map_or(String::new(), |v| format!("{:e}", v * factor));
        for (i, value) in item.values.iter().enumerate() {
            let set = item.adjusted == Some(i);
            let _ = writeln!(
                text,
                "{},{}-{:02}-{:02},{},{},{},{},{},{},{unit},{:e}",
                item.name,
                2012 + i,
                1 + (i * 5) % 12,
                1 + (i * 7) % 28,
                cell(Some(*value)),
                cell(set.then_some(0.01)),
                if set { "adjusted" } else { "" },
                cell(item.u),
                cell(item.limit.map(|limit| -limit)),
                cell(item.limit),
                of_use * (1000.0 * i as f64 + 130.0 * (i % 3) as f64),
            );
        }
    }
    text
}

fn run(folder: &Path, model: &str, axis: &str, (factor, of_use): (f64, f64)) -> PathBuf {
    let register: String = items()
        .iter()
        .map(|item| format!("{},{},100,1000\n", item.name, item.group))
        .collect();
    let register = format!("instrument,group,cost,cost_out_of_tolerance\n{register}");
    let pipeline = format!(
        "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[drift]\nmodel = \"{model}\"\naxis = \"{axis}\"\n[intervals]\nmethods = [\"drift_crossing\", \"uncertainty_growth\", \"staircase\", \"control_chart\", \"simple_response\", \"group_regression\", \"least_cost\"]\n[output]\nreplay = \"never\"\n"
    );
    let here = folder.join(format!("{model}-{axis}-{factor:e}-{of_use:e}"));
    std::fs::create_dir_all(&here).unwrap();
    for (name, text) in [
        ("checks.csv", checks(factor, of_use)),
        ("register.csv", register),
        ("pipeline.toml", pipeline),
    ] {
        std::fs::write(here.join(name), text).unwrap();
    }
    let (pipeline, out) = (here.join("pipeline.toml"), here.join("out"));
    let done = driftbook(&[
        "run",
        pipeline.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--as-of",
        "2024-01-01",
        "--charts",
        "all",
    ]);
    assert!(done.status == 0, "{model} {factor:e}: {}", done.stderr);
    out
}

/// A sentence without its numbers.
fn words(text: &str) -> String {
    let number = |word: &str| {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric() && !"+-.'".contains(c));
        bare.trim_start_matches('\'').parse::<f64>().is_ok()
    };
    let kept = text.split(|c: char| c.is_whitespace() || c == '(');
    kept.filter(|word| !number(word))
        .collect::<Vec<_>>()
        .join(" ")
}

/// Differences of two tables that the factor does not explain. Every column scales with the
/// unit, or with its square, or not at all, and does so in every row.
fn differences(one: &Csv, other: &Csv, factor: f64) -> Vec<String> {
    const ROUNDING: f64 = 1e-9;
    let near = |ratio: f64, power: i32| (ratio / factor.powi(power) - 1.0).abs() < ROUNDING;
    let mut found = Vec::new();
    let mut powers: BTreeMap<&str, i32> = BTreeMap::new();
    assert_eq!(one.rows.len(), other.rows.len());
    for (a, b) in one.rows.iter().zip(&other.rows) {
        for name in one.header.iter().map(String::as_str) {
            let (here, there) = (&a[name], &b[name]);
            let told = || format!("{} {name}: {here} and {there}", a["instrument"]);
            let (Ok(p), Ok(q)) = (here.parse::<f64>(), there.parse::<f64>()) else {
                if words(here) != words(there) {
                    found.push(told());
                }
                continue;
            };
            // Nothing but the rounding of larger numbers.
            if p == 0.0 && q == 0.0 || p.abs() < 1e-12 && q.abs() < 1e-12 * factor.max(1.0) {
                continue;
            }
            let Some(power) = (0..3).find(|power| near(q / p, *power)) else {
                found.push(told());
                continue;
            };
            if *powers.entry(name).or_insert(power) != power {
                found.push(told());
            }
        }
    }
    found
}

#[test]
fn no_unit_changes_a_decision_a_word_or_a_figure() {
    let folder = tempfile::tempdir().unwrap();
    for model in MODELS {
        let one = run(folder.path(), model, "time", (1.0, 1.0));
        for power in [-100, -33, 100] {
            let factor = 2f64.powi(power);
            let other = run(folder.path(), model, "time", (factor, 1.0));
            for table in [
                "decisions",
                "proposals",
                "fits",
                "coefficients",
                "forecast",
                "diagnostics",
                "adoption",
            ] {
                let read = |out: &Path| read_csv(&out.join(format!("{table}.csv")));
                let found = differences(&read(&one), &read(&other), factor);
                assert!(found.is_empty(), "{model} 2^{power} {table}: {found:#?}");
            }
        }
    }
}

#[test]
fn no_unit_of_use_changes_a_decision() {
    let folder = tempfile::tempdir().unwrap();
    for model in ["state", "line", "wander"] {
        let read = |of_use: f64| {
            let out = run(folder.path(), model, "usage", (1.0, of_use));
            read_csv(&out.join("decisions.csv"))
        };
        let one = read(1.0);
        for of_use in [2f64.powi(-40), 2f64.powi(40)] {
            let found = differences(&one, &read(of_use), 1.0);
            assert!(found.is_empty(), "{model} {of_use:e}: {found:#?}");
        }
    }
}

/// The numbers of a drawing, its words left out, in quarter pixels.
fn drawing(svg: &str) -> Vec<f64> {
    let shapes = svg.lines().filter(|line| {
        ["<rect", "<circle", "<poly", "<line", "<path"]
            .iter()
            .any(|shape| line.trim_start().starts_with(shape))
    });
    shapes
        .flat_map(|line| line.split(['"', ',', ' ']))
        .filter_map(|part| part.parse().ok())
        .collect()
}

/// In powers of ten the marks of the axes stay where they are, and so does the whole picture.
#[test]
fn no_unit_changes_a_chart() {
    const ROUNDED_APART: f64 = 1.0;
    let folder = tempfile::tempdir().unwrap();
    for model in ["state", "wander", "line"] {
        let one = run(folder.path(), model, "time", (1.0, 1.0));
        for factor in [1e-30, 1e-9, 1e30] {
            let other = run(folder.path(), model, "time", (factor, 1.0));
            for item in items() {
                let chart = format!("charts/{}.svg", item.name);
                let read = |out: &Path| std::fs::read_to_string(out.join(&chart)).unwrap();
                let (a, b) = (drawing(&read(&one)), drawing(&read(&other)));
                let near = |(a, b): (&f64, &f64)| (a - b).abs() <= ROUNDED_APART;
                let alike = a.len() == b.len() && a.iter().zip(&b).all(near);
                assert!(alike, "{model} {factor:e} {chart}");
            }
        }
    }
}
