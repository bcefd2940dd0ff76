/*! What an assessor recomputes: published figures of charts and statements of conformity, each through
the built program, and words where the data carry no number. */

use crate::tool::{driftbook, read_csv, root};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

type Row = BTreeMap<String, String>;

/// Runs `checks` with a register and settings; the report's folder.
fn report(folder: &Path, checks: &str, register: &str, settings: &str) -> PathBuf {
    fs::write(folder.join("checks.csv"), checks).unwrap();
    fs::write(folder.join("register.csv"), register).unwrap();
    let text = format!(
        "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\nas_found_is = \"error\"\n[register]\nfile = \"register.csv\"\n{settings}"
    );
    let (pipeline, out) = (folder.join("lab.toml"), folder.join("report"));
    fs::write(&pipeline, text).unwrap();
    let (pipeline, to) = (pipeline.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &pipeline, "--quiet", "--charts", "all", "--out", &to]).well();
    out
}

fn number(row: &Row, column: &str) -> f64 {
    let value = row[column].parse();
    assert!(value.is_ok(), "{column}: {row:?}");
    value.unwrap()
}

const STANDARD: &str = "instrument,role,control_chart\nCS-1,check standard,constant\n";

/// Monthly checks of one stable check standard.
fn monthly(values: &[f64]) -> String {
    let mut checks = String::from("instrument,date,as_found,u,unit,kind\n");
    for (i, value) in values.iter().enumerate() {
        let (year, month) = (2022 + i / 12, 1 + i % 12);
        let _ = writeln!(checks, "CS-1,{year}-{month:02}-05,{value},0.5,mK,check");
    }
    checks
}

/// e-Handbook 6.3.2.4 (from memory, recomputed in tests/reference/control): λ = 0.3, L = 3, s = 2.0539
/// about 50 give 52.5884 and 47.4116 (the handbook rounds to 47.4115) at the twentieth value.
#[test]
fn the_handbooks_ewma_limits_stand_in_the_control_table() {
    let folder = tempfile::tempdir().unwrap();
    let values = fs::read_to_string(root().join("tests/reference/control/handbook_ewma.csv"));
    let values: Vec<f64> = (values.unwrap().lines().skip(1))
        .map(|line| line.split(',').nth(1).unwrap().parse().unwrap())
        .collect();
    let out = report(
        folder.path(),
        &monthly(&values),
        STANDARD,
        "[control]\newma_weight = 0.3\nbaseline = 0\n",
    );
    let rows = read_csv(&out.join("control.csv")).rows;
    assert_eq!(rows.len(), 20);
    // The chart takes s from the data; the handbook's is known beforehand.
    let half = number(&rows[19], "ewma_half_width") / number(&rows[19], "deviation") * 2.0539;
    assert!((50.0 + half - 52.5884).abs() < 5e-5 && (50.0 - half - 47.4116).abs() < 5e-5);
    // Weighted from the centre on: 0.3·(52 − centre) after the first value.
    let centre = number(&rows[0], "expected");
    let first = number(&rows[0], "ewma") - centre;
    near!(first, 0.3 * (52.0 - centre), 1e-9);
}

/// Run lengths stated on the page: 370.4 and 43.9 for single values (normal tail), about 465 and 10.4 for
/// CUSUM 0.5/5 (e-Handbook 6.3.2.3, from memory).
#[test]
fn the_pages_state_the_published_run_lengths() {
    let folder = tempfile::tempdir().unwrap();
    let values: Vec<f64> = (0..30).map(|i| f64::from(i * 7 % 5) * 0.5).collect();
    for (signals, told) in [
        ("\"shewhart\"", ["370 checks", "43.9"]),
        ("\"cusum\"", ["465 checks", "10.4"]),
        // Integral equations solved apart (numpy): λ = 0.2, L = 3, single values at three: 242.16, 9.605.
        ("\"shewhart\", \"ewma\"", ["242 checks", "9.6"]),
    ] {
        let settings = format!("[control]\nsignals = [{signals}]\n");
        let out = report(folder.path(), &monthly(&values), STANDARD, &settings);
        let page = fs::read_to_string(out.join("control.html")).unwrap();
        let page = page.replace('\u{a0}', " ");
        for words in told {
            assert!(page.contains(words), "{words} in {page}");
        }
    }
}

/// 4.9 ± 0.35 against 5: Φ(0.1/0.35) = 0.61245.
#[test]
fn a_reading_at_its_limit_is_in_tolerance_with_the_stated_probability() {
    let folder = tempfile::tempdir().unwrap();
    let checks = "instrument,date,as_found,u,lower,upper,unit\nA,2026-03-05,4.9,0.35,-5,5,mK\n";
    let out = report(folder.path(), checks, "instrument,group\nA,\n", "");
    let rows = read_csv(&out.join("conformity.csv")).rows;
    assert!((number(&rows[0], "probability_as_found") - 0.612_45).abs() < 6e-6);
    assert_eq!(rows[0]["conformity_as_found"], "indeterminate");
}

/// Global risks of tests/reference/conformity (mpmath, 30 digits) from a class whose readings have just
/// the mean and the spread of each case.
#[test]
fn global_risks_are_those_of_the_independent_integration() {
    let path = root().join("tests/reference/conformity/cases_py.json");
    let file: serde_json::Value = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    for case in file["cases"].as_array().unwrap() {
        let folder = tempfile::tempdir().unwrap();
        let input = |key: &str| case["inputs"][key].as_f64();
        let (um, guard) = (input("um").unwrap(), input("guard").unwrap());
        let seen = input("prior_sd").unwrap().powi(2) + um * um;
        // Even steps about the middle: the squares of -9.5 to 9.5 sum to 665, over 19.
        let step = (seen / 35.0).sqrt();
        let limit = |key: &str| input(key).map_or(String::new(), |limit| limit.to_string());
        let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
        let mut register = String::from("instrument,group\n");
        for item in 0..20 {
            let value = input("prior_mean").unwrap() + step * (f64::from(item) - 9.5);
            let _ = writeln!(
                checks,
                "R-{item:02},2026-03-01,{value},{um},{},{},ohm",
                limit("lower"),
                limit("upper")
            );
            let _ = writeln!(register, "R-{item:02},resistors");
        }
        let rule = if guard < 0.0 { "relaxed" } else { "guarded" };
        let rule = format!(
            "[conformity]\nrule = \"{rule}\"\nguard_factor = {:?}\n",
            guard.abs() / (2.0 * um)
        );
        let out = report(folder.path(), &checks, &register, &rule);
        let row = &read_csv(&out.join("conformity.csv")).rows[0];
        for (column, key) in [
            ("consumer_risk", "global_consumer_risk_30_digits"),
            ("producer_risk", "global_producer_risk_30_digits"),
        ] {
            let text = |v: &serde_json::Value| v.as_str().and_then(|s| s.parse().ok());
            let known: f64 = case[key].as_f64().or_else(|| text(&case[key])).unwrap();
            let found = number(row, column);
            near!(found, known, 1e-9, "{column}: {found} {known}");
        }
    }
}

#[test]
fn what_the_data_do_not_carry_is_words_and_no_number() {
    let folder = tempfile::tempdir().unwrap();
    for values in [&[0.5, 0.1, 0.4][..], &[0.25; 30]] {
        let out = report(folder.path(), &monthly(values), STANDARD, "");
        assert!(read_csv(&out.join("control.csv")).rows.is_empty());
        let page = fs::read_to_string(out.join("control.html")).unwrap();
        let why = match values.len() {
            3 => "set no limits",
            _ => "do not differ",
        };
        says!(page.replace('\u{a0}', " "), why);
    }
    // A class that scatters by thousands of tolerance widths is no prior.
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let mut register = String::from("instrument,group\n");
    for item in 0..20 {
        let value = 1000.0 * (f64::from(item) - 9.5);
        let _ = writeln!(checks, "R-{item:02},2026-03-01,{value},0.1,-0.5,0.5,mK");
        let _ = writeln!(register, "R-{item:02},wide");
    }
    let out = report(folder.path(), &checks, &register, "");
    for row in read_csv(&out.join("conformity.csv")).rows {
        assert_eq!(
            (row["consumer_risk"].as_str(), row["producer_risk"].as_str()),
            ("", "")
        );
        says!(row["missing"], "no prior for it");
    }
    // Sources that no item saw both of often enough, one reading of each of one item: their offset cannot be told from drift.
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit,source\n");
    let mut register = String::from("instrument,group\n");
    for item in 0..6 {
        let first = if item == 0 { 2024 } else { 2019 };
        for year in first..2026 {
            let second = item >= 3 || item == 0 && year == 2025;
            let source = if second { "REF-B" } else { "REF-A" };
            let value = 0.01 * f64::from((item * 7 + year * 3) % 5);
            let _ = writeln!(checks, "S-{item},{year}-03-01,{value},0.1,-5,5,mK,{source}");
        }
        let _ = writeln!(register, "S-{item},gauges");
    }
    let out = report(folder.path(), &checks, &register, "");
    for row in read_csv(&out.join("sources.csv")).rows {
        assert_eq!(
            (row["offset"].as_str(), row["readings_moved"].as_str()),
            ("", "0")
        );
    }
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let reason = &decisions[0]["reason"];
    says!(
        reason,
        "no item saw both often enough to tell their difference from drift"
    );
}

/// What is charted on a day is what was known on it: later rows change no line of the table.
#[test]
fn charts_look_at_nothing_after_the_day_they_are_made_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut register = String::from("instrument,group,role\n");
    let header = "instrument,date,as_found,u,lower,upper,unit,kind\n";
    let (mut known, mut later) = (header.to_string(), String::new());
    for item in 0..6 {
        let _ = writeln!(register, "G-{item},gauges,reference");
        for check in 0..40 {
            let (year, month) = (2023 + check / 12, 1 + check % 12);
            // After the middle of 2025 all items jump and scatter.
            let late = year > 2025 || year == 2025 && month > 6;
            let noise = f64::from((item * 13 + check * 7) % 11 - 5) * 0.02;
            let value =
                0.01 * f64::from(check) + noise + if late { 3.0 + 9.0 * noise } else { 0.0 };
            let rows = if late { &mut later } else { &mut known };
            let _ = writeln!(
                rows,
                "G-{item},{year}-{month:02}-05,{value},0.1,-9,9,mK,check"
            );
        }
    }
    let tables = |checks: &str| {
        fs::write(folder.path().join("checks.csv"), checks).unwrap();
        fs::write(folder.path().join("register.csv"), &register).unwrap();
        let pipeline = folder.path().join("lab.toml");
        let text = "as_of = \"2025-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
        fs::write(&pipeline, text).unwrap();
        let out = folder.path().join("report");
        let (pipeline, to) = (pipeline.to_string_lossy(), out.to_string_lossy());
        driftbook(&["run", &pipeline, "--quiet", "--charts", "all", "--out", &to]).well();
        ["control.csv", "conformity.csv", "values.csv"]
            .map(|name| fs::read_to_string(out.join(name)).unwrap())
    };
    assert_eq!(tables(&known), tables(&format!("{known}{later}")));
}

/// d₂ of two to ten (ISO 7870-2, from memory; recomputed in `control::constants`): readings of one day with
/// the same range set the deviation of the daily means through it, in the table of a run.
#[test]
fn the_range_constants_set_the_limits_of_repeated_readings() {
    for (size, d2) in [
        (2, std::f64::consts::FRAC_2_SQRT_PI),
        (3, 1.692_569),
        (4, 2.058_751),
        (5, 2.325_929),
        (6, 2.534_413),
        (7, 2.704_357),
        (8, 2.847_201),
        (9, 2.970_026),
        (10, 3.077_505),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let mut checks = String::from("instrument,date,as_found,u,unit,kind\n");
        for day in 0..30 {
            let (year, month) = (2022 + day / 12, 1 + day % 12);
            for reading in 0..size {
                let value =
                    2.0 * f64::from(reading) / f64::from(size - 1) + f64::from(day * 7 % 5) * 0.2;
                let _ = writeln!(checks, "CS-1,{year}-{month:02}-05,{value:.12},0.5,mK,check");
            }
        }
        let settings = "[control]\ndeviation = \"range\"\n";
        let out = report(folder.path(), &checks, STANDARD, settings);
        let rows = read_csv(&out.join("control.csv")).rows;
        assert_eq!(rows.len(), 30);
        let deviation = number(&rows[0], "deviation");
        let found = 2.0 / (deviation * f64::from(size).sqrt());
        near!(found, d2, 6e-7, "d2({size}): {found}");
    }
}

/// D₄(2) = 1 + 3·d₃/d₂ = 3.2665 (e-Handbook 6.3.2.2 prints 3.267; d₃(2) = 0.852502): the limit of a moving
/// range over the mean one of the base period, in the table of a run.
#[test]
fn the_limit_of_a_moving_range_is_the_published_one() {
    let folder = tempfile::tempdir().unwrap();
    let values: Vec<f64> = (0..30).map(|i| f64::from(i * 7 % 11) * 0.5).collect();
    let out = report(
        folder.path(),
        &monthly(&values),
        STANDARD,
        "[control]\nbaseline = 30\n",
    );
    let rows = read_csv(&out.join("control.csv")).rows;
    let base = values.windows(2).map(|pair| (pair[1] - pair[0]).abs());
    let mean = base.sum::<f64>() / 29.0;
    let limit = number(&rows[5], "moving_range_limit");
    let known = 1.0 + 3.0 * 0.852_502 / std::f64::consts::FRAC_2_SQRT_PI;
    near!(limit / mean, known, 5e-6);
}

/// Items that drift as their model has it: single residuals beyond three are one in 370.4 (normal tail)
/// within three standard errors of so many checks, in the table of a run.
#[test]
fn the_residual_chart_gives_false_alarms_as_often_as_it_states() {
    use rand::{RngExt, SeedableRng};
    let mut stream = rand_pcg::Pcg64::seed_from_u64(22);
    let mut normal = move || -> f64 { stream.sample(rand_distr::StandardNormal) };
    let folder = tempfile::tempdir().unwrap();
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let mut register = String::from("instrument,group\n");
    for item in 0..60 {
        let (drift, mut error) = (0.2 + 0.15 * normal(), 0.2 * normal());
        for check in 0..48 {
            let (year, month) = (2014 + check / 4, 1 + check % 4 * 3);
            let value = error + 0.1 * normal();
            let _ = writeln!(
                checks,
                "D-{item:02},{year}-{month:02}-05,{value:.5},0.1,-9,9,mK"
            );
            error += 0.25 * drift + 0.025 * normal();
        }
        let _ = writeln!(register, "D-{item:02},drifting");
    }
    let out = report(
        folder.path(),
        &checks,
        &register,
        "[control]\ncharted = \"all\"\n",
    );
    let rows = read_csv(&out.join("control.csv")).rows;
    let (total, stated) = (rows.len() as f64, 1.0 / 370.4);
    assert!(total > 2500.0, "{total}");
    let beyond = rows
        .iter()
        .filter(|row| number(row, "z").abs() > 3.0)
        .count() as f64;
    let error = (stated * (1.0_f64 - stated) / total).sqrt();
    near!(beyond / total, stated, 3.0 * error);
}

/// A class of four items carries no risk over the class; one of twenty says within which limits it does.
#[test]
fn a_small_class_says_that_it_carries_no_risk_or_how_uncertain_it_is() {
    let table = |items: usize| {
        let folder = tempfile::tempdir().unwrap();
        let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
        let mut register = String::from("instrument,group\n");
        for item in 0..items {
            for year in 2022..2026 {
                let value = 0.1 * ((item * 7 + year * 3) % 9) as f64 - 0.4;
                let _ = writeln!(checks, "R-{item:02},{year}-03-01,{value},0.1,-0.5,0.5,mK");
            }
            let _ = writeln!(register, "R-{item:02},few");
        }
        let out = report(folder.path(), &checks, &register, "");
        read_csv(&out.join("conformity.csv")).rows
    };
    for row in table(4) {
        let missing = row["missing"].replace('\u{a0}', " ");
        assert!(
            missing.starts_with("the class of 4 items cannot carry"),
            "{missing}"
        );
        assert_eq!(
            (
                row["consumer_risk"].as_str(),
                row["consumer_risk_upper"].as_str()
            ),
            ("", "")
        );
    }
    for row in table(20) {
        assert_eq!(row["prior_items"], "20");
        for risk in ["consumer_risk", "producer_risk"] {
            let [low, own, high] =
                ["_lower", "", "_upper"].map(|end| number(&row, &format!("{risk}{end}")));
            assert!(low < own && own < high, "{row:?}");
        }
    }
}
