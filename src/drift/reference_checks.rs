/*! Checks of fits against published and independently computed results.

Files and their sources: tests/reference/README.md.
*/

use super::diagnostics::outliers::screen;
use super::fit::{Curve, Fit};
use super::reference::{agrees, column, days_and_errors, json, number, numbers, text};
use super::regression::fit::Regression;
use super::regression::line;
use super::regression::straight_line::fit_readings;
use super::series::readings::{Axis, Reading};
use super::{DriftSettings, ModelName, Status};
use crate::stats::median;
use serde_json::Value;

fn readings(x: &[f64], y: &[f64], u: &[f64]) -> Vec<Reading> {
    (0..x.len())
        .map(|i| Reading {
            x: x[i],
            value: y[i],
            u: u[i],
            check: i as u32,
            ..Reading::default()
        })
        .collect()
}

/// The polynomial of a pipeline: coefficients in powers of x itself.
fn polynomial(x: &[f64], y: &[f64], u: Option<&[f64]>, degree: u32) -> Fit {
    let settings = DriftSettings {
        model: ModelName::Polynomial,
        axis: Axis::Usage,
        degree,
        ..DriftSettings::default()
    };
    let unstated = vec![f64::NAN; x.len()];
    let readings = readings(x, y, u.unwrap_or(&unstated));
    fit_readings(&readings, 0.0, &settings, settings.model)
}

fn curve(fit: &Fit) -> &Regression {
    match fit.curve() {
        Curve::Regression(curve) => curve,
        other => panic!("{other:?}"),
    }
}

/// JCGM 100:2008 (GUM), H.3, as printed: intercept at 20 °C, slope, s, b(30 °C).
#[test]
fn gum_thermometer() {
    let reference = json("gum/h3.json");
    let x: Vec<f64> = column("gum/h3.csv", "reading_c")
        .iter()
        .map(|t| t - 20.0)
        .collect();
    let y = column("gum/h3.csv", "correction_c");
    let fit = polynomial(&x, &y, None, 1);
    let [y1, y2] = fit.coefficients[..] else {
        panic!("{fit:?}");
    };
    let at_30 = fit.at(10.0).unwrap();
    let printed = [
        ("y1", y1.estimate, 4),
        ("u_y1", y1.standard_error, 4),
        ("y2", y2.estimate, 5),
        ("u_y2", y2.standard_error, 5),
        ("s", fit.residual_deviation, 4),
        ("b_30", at_30.expected, 4),
        ("u_b_30", at_30.u_error, 4),
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
    let fit = polynomial(&run, &y, None, 1);
    let exact = &reference["exact_fit_against_run"];
    same_coefficients(
        &fit,
        &exact["coefficients"],
        &exact["standard_errors"],
        13.0,
    );
    agrees(
        "deviation",
        fit.residual_deviation,
        number(&exact["residual_deviation"]),
        13.0,
    );
}

/// e-Handbook 4.6.1: load cell, straight line and quadratic.
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
        let fit = polynomial(&x, &y, None, degree);
        let exact = numbers(&reference["exact"][name]["coefficients"]);
        for (found, value) in fit.coefficients.iter().zip(exact) {
            agrees(name, found.estimate, value, 13.0);
        }
    }
}

/// Fits of four histories against R and statsmodels: ordinary, quadratic, weighted,
/// influence, bands.
#[test]
fn fits_of_histories() {
    for name in ["h0003", "h0012", "h0400"] {
        let file = format!("fits/{name}.csv");
        let (x, y) = days_and_errors(&file);
        let (u, common) = (column(&file, "u"), column(&file, "u_common")[0]);
        let python = &json(&format!("fits/{name}_py.json"))["results"];
        let r = &json(&format!("fits/{name}_r.json"))["results"];
        let ols = polynomial(&x, &y, None, 1);
        same_line(&ols, &python["ols"], 13.0);
        same_influence(&ols, &r["ols"]);
        if name != "h0003" {
            let quadratic = polynomial(&x, &y, None, 2);
            let reference = numbers(&r["quadratic"]["coefficients"]);
            for (found, value) in quadratic.coefficients.iter().zip(reference) {
                agrees("quadratic", found.estimate, value, 9.0);
            }
            same_influence(&quadratic, &r["quadratic"]);
        }
        let known = polynomial(&x, &y, Some(&u), 1);
        let reference = &python["wls_known"];
        agrees(
            "χ²",
            known.chi_squared,
            number(&reference["chi_squared"]),
            11.0,
        );
        // Where u does not explain the scatter, the program adds what is missing.
        if known.excess_u == 0.0 {
            same_line(&known, reference, 13.0);
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
    // The reference gives the next reading the median u.
    bare.u_next = median(u);
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
fn same_line(fit: &Fit, reference: &Value, wanted: f64) {
    let (exact, errors) = (
        &reference["exact_coefficients"],
        &reference["exact_standard_errors"],
    );
    same_coefficients(fit, exact, errors, wanted);
}

#[track_caller]
fn same_coefficients(fit: &Fit, estimates: &Value, errors: &Value, wanted: f64) {
    let exact = numbers(estimates).into_iter().zip(numbers(errors));
    for (found, (estimate, error)) in fit.coefficients.iter().zip(exact) {
        agrees(found.term, found.estimate, estimate, wanted);
        agrees(found.term, found.standard_error, error, wanted);
    }
}

/// Leverages and deleted residuals, which the screen for outliers rests on.
#[track_caller]
fn same_influence(fit: &Fit, reference: &Value) {
    if reference["leverage"].is_null() {
        return;
    }
    let curve = curve(fit);
    let leverage = numbers(&reference["leverage"]);
    for (found, value) in curve.leverage.iter().zip(&leverage) {
        agrees("leverage", *found, *value, 9.0);
    }
    if curve.residual_freedom <= 1.0 {
        return;
    }
    let external = numbers(&reference["studentized_residuals_external"]);
    let (left, weight) = (&curve.residuals, vec![1.0; leverage.len()]);
    let found = screen(
        left,
        &weight,
        &curve.leverage,
        curve.residual_freedom,
        false,
    );
    assert_eq!(found.len(), external.len());
    for outlier in found {
        agrees("deleted", outlier.deleted, external[outlier.index], 9.0);
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
        let fit = polynomial(&x, &y, None, 1);
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
    }
}
