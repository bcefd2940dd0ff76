use super::*;
use crate::reliability::reference::{file, json};

fn five_groups() -> Vec<RateCell> {
    let cell = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        RateCell {
            levels: vec![cells[0].into()],
            exposure_years: cells[1].parse().unwrap(),
            failures: cells[2].parse().unwrap(),
        }
    };
    file("group_counts.csv").lines().skip(1).map(cell).collect()
}

/// R 4.2.2 `glm(poisson, offset = log(exposure))`.
#[test]
fn poisson_model_agrees() {
    let model = fit_rates(&["group"], &five_groups()).unwrap();
    let expected = json("outcomes300_r.json")["results"]["poisson"].clone();
    let number = |key: &str| expected[key].as_f64().unwrap();
    let coefficients = expected["coefficients"].as_object().unwrap();
    assert_eq!(coefficients.len(), model.terms.len());
    for (term, (name, value)) in model.terms.iter().zip(coefficients) {
        assert!(term.factor.is_empty() || format!("group{}", term.level) == *name);
        // R stops its iteration at about 1e-8 of the deviance.
        near!(term.estimate, value.as_f64().unwrap(), 1e-7, "{name}");
    }
    for (term, value) in model
        .terms
        .iter()
        .zip(expected["standard_errors"].as_array().unwrap())
    {
        near!(term.standard_error, value.as_f64().unwrap(), 1e-8);
    }
    assert!((model.deviance_common - number("deviance_common")).abs() < 1e-10);
    assert!(model.deviance.abs() < 1e-10);
    assert!((model.p_value - number("p")).abs() < 1e-12);
    assert_eq!(model.dispersion, None);
    let common = fit_rates(&[], &five_groups()).unwrap();
    assert!((common.terms[0].estimate.exp() - number("common_rate_per_year")).abs() < 1e-14);
    let error = number("common_log_rate_standard_error");
    let scatter = common.dispersion.unwrap().sqrt();
    near!(common.terms[0].standard_error / scatter, error, 1e-9);
}

#[test]
fn levels_without_failure_are_bounded_not_fitted() {
    let mut cells = five_groups();
    cells[0].failures = 0;
    let model = fit_rates(&["group"], &cells).unwrap();
    assert_eq!(model.terms.len(), 4);
    assert!(model.notes[0].starts_with("group G1: no failure in 42.5 years"));
    for cell in &mut cells {
        cell.failures = 0;
    }
    assert!(fit_rates(&["group"], &cells).is_err());
    assert!(fit_rates(&["group"], &[]).is_err());
}

/// A level that leaves the fit after another one is told with all its years, as in the table of rates.
#[test]
fn a_level_without_failure_is_told_with_all_its_years() {
    let cell = |group: &str, age: &str, exposure_years, failures| RateCell {
        levels: vec![group.into(), age.into()],
        exposure_years,
        failures,
    };
    let cells = [
        cell("calm", "young", 18.0, 0),
        cell("calm", "old", 30.0, 0),
        cell("rough", "young", 7.0, 0),
        cell("rough", "old", 9.0, 2),
    ];
    let factors = ["group", "age"];
    let model = fit_rates(&factors, &cells).unwrap();
    let rates = level_rates(&factors, &cells, 0.95);
    let young = rates.iter().find(|rate| rate.level == "young").unwrap();
    let words = format!(
        "age young: no failure in 25.0 years, rate at most {:.4} per year",
        young.limits.1
    );
    assert!(model.notes[1].starts_with(&words), "{:?}", model.notes);
}

/// The likelihood knows only the sums of cells of the same levels.
#[test]
fn a_cell_in_two_parts_changes_no_effect() {
    let whole = five_groups();
    let part = |cell: &RateCell, failures| RateCell {
        exposure_years: 0.5 * cell.exposure_years,
        failures,
        ..cell.clone()
    };
    let halves = |cell: &RateCell| {
        let first = cell.failures / 2;
        [part(cell, first), part(cell, cell.failures - first)]
    };
    let parts: Vec<RateCell> = whole.iter().flat_map(halves).collect();
    let (a, b) = (
        fit_rates(&["group"], &whole).unwrap(),
        fit_rates(&["group"], &parts).unwrap(),
    );
    for (one, other) in a.terms.iter().zip(&b.terms) {
        near!(one.estimate, other.estimate, 1e-12);
        near!(one.standard_error, other.standard_error, 1e-12);
    }
    // What the parts add to the deviances is the same for both models.
    let gained = |model: &RateModel| model.deviance_common - model.deviance;
    near!(gained(&a), gained(&b), 1e-10);
    assert!(a.dispersion.is_none() && b.dispersion.is_some());
}

#[test]
fn two_factors_separate() {
    let mut cells = Vec::new();
    for (kind, a) in [("k1", 1.0), ("k2", 2.0)] {
        for (age, b) in [("0", 1.0), ("1", 3.0), ("2", 0.5)] {
            cells.push(RateCell {
                levels: vec![kind.into(), age.into()],
                exposure_years: 200.0 / (a * b),
                failures: 20,
            });
        }
    }
    let model = fit_rates(&["kind", "age"], &cells).unwrap();
    let ln = |i: usize| model.terms[i].estimate.exp();
    assert!((ln(0) - 0.1).abs() < 1e-12 && (ln(1) - 2.0).abs() < 1e-11);
    assert!((ln(2) - 3.0).abs() < 1e-11 && (ln(3) - 0.5).abs() < 1e-11);
}

#[test]
fn factors_that_change_together_are_refused() {
    let cell = |level: &str, failures| RateCell {
        levels: vec![level.into(), level.into()],
        exposure_years: 10.0,
        failures,
    };
    let result = fit_rates(&["kind", "site"], &[cell("a", 3), cell("b", 5)]);
    says!(result.unwrap_err().to_string(), "cannot be told apart");
}

#[test]
fn scatter_enlarges_the_errors() {
    let cell = |failures| RateCell {
        levels: Vec::new(),
        exposure_years: 10.0,
        failures,
    };
    let even: Vec<RateCell> = (0..20).map(|_| cell(5)).collect();
    let uneven: Vec<RateCell> = (0..20)
        .map(|i| cell(if i % 2 == 0 { 0 } else { 10 }))
        .collect();
    let (a, b) = (
        fit_rates(&[], &even).unwrap(),
        fit_rates(&[], &uneven).unwrap(),
    );
    assert!(b.terms[0].standard_error > 2.0 * a.terms[0].standard_error);
    says!(b.notes[0], "scatter");
}
