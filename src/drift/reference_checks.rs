/*! Checks of fits against published and independently computed results.

Files and their sources: tests/reference/README.md.
*/

use super::influence::{consistency, influence, lack_of_fit};
use super::least_squares::Noise;
use super::line;
use super::polynomial::{PolynomialFit, fit_polynomial};
use super::reference::{agrees, column, days_and_errors, digits, json, number, numbers, text};
use super::{Reading, Status};
use serde_json::Value;

fn readings(x: &[f64], y: &[f64], u: &[f64]) -> Vec<Reading> {
    (0..x.len())
        .map(|i| Reading {
            x: x[i],
            value: y[i],
            u: u[i],
            segment: 0,
            drift_segment: 0,
            check: i as u32,
            as_left: false,
        })
        .collect()
}

/// NIST StRD linear regression: certified to 15 digits, exact values to 25.
#[test]
fn strd_sets_to_thirteen_digits() {
    for set in [
        "norris", "pontius", "noint1", "noint2", "wampler1", "wampler2", "wampler4",
    ] {
        let certified = json(&format!("strd/{set}.json"));
        let file = format!("strd/{set}.csv");
        let (x, y) = (column(&file, "x"), column(&file, "y"));
        let powers = numbers(&certified["powers_of_x"]);
        let intercept = certified["intercept"].as_bool().unwrap();
        let degree = powers[powers.len() - 1] as u32;
        let fit = fit_polynomial(&x, &y, degree, intercept, Noise::Unknown).unwrap();
        let exact = &certified["exact"];
        let mut worst = f64::INFINITY;
        let mut check = |what: &str, found: f64, certified: f64| {
            // Perfect fits: certified zeros are reached to 1e-13 absolutely.
            let reached = digits(found, certified);
            worst = worst.min(reached);
            assert!(
                reached >= 13.0,
                "{set} {what}: {found:e} {certified:e} {reached:.2}"
            );
        };
        for (found, value) in fit.coefficients.iter().zip(numbers(&exact["coefficients"])) {
            check("coefficient", *found, value);
        }
        for (found, value) in fit
            .standard_errors()
            .iter()
            .zip(numbers(&exact["standard_errors"]))
        {
            check("standard error", *found, value);
        }
        check(
            "residual deviation",
            fit.residual_deviation,
            number(&exact["residual_deviation"]),
        );
        check("R²", fit.r_squared, number(&exact["r_squared"]));
        if certified["certified"]["residual_deviation"].as_f64() != Some(0.0) {
            check("F", fit.analysis_of_variance.f, number(&exact["f"]));
        }
        println!("{set}: {worst:.2}");
    }
}

/// JCGM 100:2008 (GUM), H.3, as printed: intercept at 20 °C, slope, correlation, s, b(30 °C).
#[test]
fn gum_thermometer() {
    let reference = json("gum/h3.json");
    let x: Vec<f64> = column("gum/h3.csv", "reading_c")
        .iter()
        .map(|t| t - 20.0)
        .collect();
    let y = column("gum/h3.csv", "correction_c");
    let fit = fit_polynomial(&x, &y, 1, true, Noise::Unknown).unwrap();
    let se = fit.standard_errors();
    let (b30, u30) = fit.at(10.0);
    let printed = [
        ("y1", fit.coefficients[0], 4),
        ("u_y1", se[0], 4),
        ("y2", fit.coefficients[1], 5),
        ("u_y2", se[1], 5),
        ("r", fit.covariance[1] / (se[0] * se[1]), 3),
        ("s", fit.residual_deviation, 4),
        ("b_30", b30, 4),
        ("u_b_30", u30, 4),
    ];
    for (name, value, decimals) in printed {
        let published = reference["published_text"][name].as_str().unwrap();
        assert_eq!(format!("{value:.decimals$}"), published, "{name}");
        agrees(name, value, number(&reference["computed"][name]), 12.0);
    }
}

/// e-Handbook 1.4.2.7: standard resistor against run number, 1000 readings.
#[test]
fn handbook_resistor() {
    let reference = json("handbook/standard_resistor.json");
    let y = column("handbook/standard_resistor_checks.csv", "as_found");
    let run: Vec<f64> = (1..=y.len()).map(|i| i as f64).collect();
    let fit = fit_polynomial(&run, &y, 1, true, Noise::Unknown).unwrap();
    let exact = &reference["exact_fit_against_run"];
    let (coefficients, errors) = (
        numbers(&exact["coefficients"]),
        numbers(&exact["standard_errors"]),
    );
    for k in 0..2 {
        agrees("coefficient", fit.coefficients[k], coefficients[k], 13.0);
        agrees("standard error", fit.standard_errors()[k], errors[k], 13.0);
    }
    agrees(
        "deviation",
        fit.residual_deviation,
        number(&exact["residual_deviation"]),
        13.0,
    );
}

/// e-Handbook 4.6.1: load cell, straight line rejected and quadratic accepted.
#[test]
fn handbook_load_cell() {
    let reference = json("handbook/load_cell_lack_of_fit.json");
    let file = "handbook/load_cell_lack_of_fit.csv";
    let header = text(file).lines().next().unwrap().to_string();
    let names: Vec<&str> = header.split(',').collect();
    let load = names
        .iter()
        .find(|n| n.contains("load"))
        .copied()
        .unwrap_or(names[1]);
    let response = names.iter().find(|n| **n != load).unwrap();
    let (x, y) = (column(file, load), column(file, response));
    for (degree, name) in [(1, "straight_line"), (2, "quadratic")] {
        let fit = fit_polynomial(&x, &y, degree, true, Noise::Unknown).unwrap();
        let exact = &reference["exact"][name];
        for (found, value) in fit.coefficients.iter().zip(numbers(&exact["coefficients"])) {
            agrees(name, *found, value, 13.0);
        }
        let test = lack_of_fit(&x, &y, &fit).unwrap();
        let computed = &reference["computed"][name];
        agrees("F", test.statistic, number(&computed["lack_of_fit_f"]), 9.0);
        agrees("p", test.p, number(&computed["p"]), 9.0);
    }
}

/// Fits of four histories against R and statsmodels: ordinary, quadratic, weighted,
/// generalised, influence, bands.
#[test]
fn fits_of_histories() {
    for name in ["h0003", "h0012", "h0400"] {
        let file = format!("fits/{name}.csv");
        let (x, y) = days_and_errors(&file);
        let (u, common) = (column(&file, "u"), column(&file, "u_common")[0]);
        let python = &json(&format!("fits/{name}_py.json"))["results"];
        let r = &json(&format!("fits/{name}_r.json"))["results"];
        let ols = fit_polynomial(&x, &y, 1, true, Noise::Unknown).unwrap();
        same_line(&ols, &python["ols"], 13.0);
        same_influence(&ols, &r["ols"]);
        if name != "h0003" {
            let quadratic = fit_polynomial(&x, &y, 2, true, Noise::Unknown).unwrap();
            for (found, value) in quadratic
                .coefficients
                .iter()
                .zip(numbers(&r["quadratic"]["coefficients"]))
            {
                agrees("quadratic", *found, value, 9.0);
            }
            same_influence(&quadratic, &r["quadratic"]);
        }
        let rescaled = fit_polynomial(&x, &y, 1, true, Noise::Relative(&u)).unwrap();
        for (found, value) in rescaled
            .standard_errors()
            .iter()
            .zip(numbers(&r["wls_rescaled"]["standard_errors"]))
        {
            agrees("rescaled", *found, value, 11.0);
        }
        agrees(
            "R²",
            rescaled.r_squared,
            number(&r["wls_rescaled"]["r_squared"]),
            11.0,
        );
        same_influence(&rescaled, &r["wls_rescaled"]);
        let known = fit_polynomial(&x, &y, 1, true, Noise::Known(&u)).unwrap();
        same_line(&known, &python["wls_known"], 13.0);
        agrees(
            "χ²",
            consistency(&known).unwrap().statistic,
            number(&python["wls_known"]["chi_squared"]),
            11.0,
        );
        let n = x.len();
        let covariance: Vec<f64> = (0..n * n)
            .map(|k| {
                common * common
                    + if k / n == k % n {
                        u[k / n] * u[k / n]
                    } else {
                        0.0
                    }
            })
            .collect();
        if n < 100 {
            let general = fit_polynomial(&x, &y, 1, true, Noise::Covariance(&covariance)).unwrap();
            same_line(&general, &python["gls_common"], 12.5);
        }
        fleet_line(&x, &y, &u, common, python);
    }
}

/// The fleet's line against the same reference: known u with its common part, and unknown u.
fn fleet_line(x: &[f64], y: &[f64], u: &[f64], common: f64, python: &Value) {
    let unknown = line::fit(&readings(x, y, &vec![f64::NAN; x.len()]));
    let reference = &python["ols"];
    agrees(
        "slope",
        unknown.slope,
        numbers(&reference["exact_coefficients"])[1],
        12.5,
    );
    agrees(
        "u",
        unknown.u_slope,
        numbers(&reference["exact_standard_errors"])[1],
        12.5,
    );
    let mut bare = line::fit(&readings(x, y, u));
    let reference = &python["gls_common"];
    agrees(
        "slope",
        bare.slope,
        numbers(&reference["exact_coefficients"])[1],
        if bare.excess_u > 0.0 { 0.0 } else { 12.5 },
    );
    if bare.excess_u > 0.0 {
        return;
    }
    bare.u_common = common;
    let band = &reference["band"];
    for (i, day) in numbers(&band["day"]).iter().enumerate() {
        let forecast = bare.at(*day).unwrap();
        agrees("fit", forecast.expected, numbers(&band["fit"])[i], 11.0);
        agrees(
            "u",
            forecast.u_error,
            numbers(&band["u_true_error"])[i],
            11.0,
        );
        agrees(
            "u",
            forecast.u_reading,
            numbers(&band["u_next_reading"])[i],
            11.0,
        );
        let (lower, upper) = forecast.confidence(0.95);
        agrees("lower", lower, numbers(&band["confidence_lower"])[i], 9.0);
        agrees("upper", upper, numbers(&band["confidence_upper"])[i], 9.0);
        let (lower, upper) = forecast.reading(0.95);
        agrees("lower", lower, numbers(&band["prediction_lower"])[i], 9.0);
        agrees("upper", upper, numbers(&band["prediction_upper"])[i], 9.0);
    }
}

#[track_caller]
fn same_line(fit: &PolynomialFit, reference: &Value, wanted: f64) {
    for (found, value) in fit
        .coefficients
        .iter()
        .zip(numbers(&reference["exact_coefficients"]))
    {
        agrees("coefficient", *found, value, wanted);
    }
    for (found, value) in fit
        .standard_errors()
        .iter()
        .zip(numbers(&reference["exact_standard_errors"]))
    {
        agrees("standard error", *found, value, wanted);
    }
}

#[track_caller]
fn same_influence(fit: &PolynomialFit, reference: &Value) {
    let found = influence(fit);
    if reference["leverage"].is_null() {
        return;
    }
    let leverage = numbers(&reference["leverage"]);
    for (found, value) in found.iter().zip(&leverage) {
        agrees("leverage", found.leverage, *value, 9.0);
    }
    if fit.degrees_of_freedom <= 1.0 {
        return;
    }
    let internal = numbers(&reference["studentized_residuals_internal"]);
    let external = numbers(&reference["studentized_residuals_external"]);
    let cook = numbers(&reference["cooks_distance"]);
    for i in 0..found.len() {
        agrees("standardised", found[i].standardised, internal[i], 9.0);
        agrees("deleted", found[i].deleted, external[i], 9.0);
        agrees("Cook", found[i].cook, cook[i], 9.0);
    }
}

/// Two readings: exact line with known u; no drift without.
#[test]
fn two_readings() {
    let (x, y) = days_and_errors("fits/h0002.csv");
    let u = column("fits/h0002.csv", "u");
    let python = &json("fits/h0002_py.json")["results"];
    let known = line::fit(&readings(&x, &y, &u));
    assert_eq!(known.status, Status::Estimated);
    agrees(
        "slope",
        known.slope,
        numbers(&python["wls_known"]["exact_coefficients"])[1],
        13.0,
    );
    agrees(
        "u",
        known.u_slope,
        numbers(&python["wls_known"]["exact_standard_errors"])[1],
        13.0,
    );
    let unknown = line::fit(&readings(&x, &y, &[f64::NAN; 2]));
    assert_eq!(unknown.status, Status::LevelOnly);
    assert!(unknown.at(0.0).is_none());
}

/// The two real histories against date.
#[test]
fn real_histories() {
    for name in ["standard_resistor_checks", "mass_checks"] {
        let (x, y) = days_and_errors(&format!("handbook/{name}.csv"));
        let python = &json(&format!("fits/{name}_py.json"))["results"];
        let fit = fit_polynomial(&x, &y, 1, true, Noise::Unknown).unwrap();
        same_line(&fit, &python["ols"], 12.5);
        let line = line::fit(&readings(&x, &y, &vec![f64::NAN; x.len()]));
        agrees(
            "slope",
            line.slope,
            numbers(&python["ols"]["exact_coefficients"])[1],
            11.0,
        );
        agrees(
            "u",
            line.u_slope,
            numbers(&python["ols"]["exact_standard_errors"])[1],
            11.0,
        );
        if let Some(test) = lack_of_fit(&x, &y, &fit) {
            let trend = &json(&format!("trend/{name}_py.json"))["results"]["ols"]["lack_of_fit"];
            agrees("F", test.statistic, number(&trend["f"]), 9.0);
            agrees("p", test.p, number(&trend["p"]), 9.0);
        }
    }
}
