use super::*;
use crate::drift::reference::{agrees, days_and_errors, json, number};
use crate::drift::regression::design::Shape;
use crate::drift::regression::fit as regression;
use crate::drift::series::readings::Reading;
use crate::stats::shapiro_wilk;

#[test]
fn tests_of_five_histories() {
    for (name, folder) in [
        ("outliers15", "trend"),
        ("ties40", "trend"),
        ("autocorrelated60", "trend"),
        ("standard_resistor_checks", "handbook"),
        ("mass_checks", "handbook"),
    ] {
        let (x, y) = days_and_errors(&format!("{folder}/{name}.csv"));
        let results = &json(&format!("trend/{name}_py.json"))["results"];
        let found = mann_kendall(&x, &y).unwrap();
        let reference = &results["mann_kendall"];
        assert_eq!(found.s, number(&reference["s"]));
        agrees(name, found.variance, number(&reference["variance"]), 12.0);
        agrees(name, found.z, number(&reference["z_with_continuity"]), 12.0);
        agrees(name, found.tau, number(&reference["tau_b"]), 12.0);
        let readings = readings(&x, &y);
        let fit = regression::fit(&readings, Shape::of_degree(1), 0.0).unwrap();
        let ols = &results["ols"];
        let watson = durbin_watson(&x, &fit.residuals, &fit.directions(&readings)).unwrap();
        agrees(name, watson.d, number(&ols["durbin_watson"]), 10.0);
        // R and scipy agree with each other to 1e-9 here.
        let normality = shapiro_wilk(&fit.residuals).unwrap();
        agrees(name, normality.w, number(&ols["shapiro_wilk_w"]), 8.5);
        agrees(name, normality.p, number(&ols["shapiro_wilk_p"]), 6.5);
    }
}

fn readings(x: &[f64], y: &[f64]) -> Vec<Reading> {
    let pairs = x.iter().zip(y);
    let reading = |(x, y): (&f64, &f64)| Reading {
        x: *x,
        value: *y,
        u: f64::NAN,
        ..Reading::default()
    };
    pairs.map(reading).collect()
}

/// The moments by their definition, M and A written out, for a parabola with a step in uneven
/// readings of unequal u.
#[test]
fn moments_agree_with_the_matrices_written_out() {
    use nalgebra::DMatrix;
    let x = [0.0, 0.7, 1.9, 2.2, 3.1, 4.0, 5.5, 5.9, 7.0, 8.2];
    let y = [0.3, -0.2, 0.1, 0.4, 1.9, 2.2, 1.7, 2.1, 2.4, 1.8];
    let mut readings = readings(&x, &y);
    for (i, reading) in readings.iter_mut().enumerate() {
        reading.u = 0.3 + 0.05 * i as f64;
        reading.segment = u32::from(i >= 4);
    }
    let fit = regression::fit(&readings, Shape::of_degree(2), 0.0).unwrap();
    assert_eq!(fit.excess_u, 0.0);
    let (mean, variance) = moments_of_d(10, &fit.directions(&readings)).unwrap();
    let design = DMatrix::from_fn(10, 4, |i, j| {
        let entry = match j {
            0 => f64::from(i < 4),
            1 => f64::from(i >= 4),
            power => x[i].powi(power as i32 - 1),
        };
        entry / readings[i].u
    });
    let hat = &design * (design.transpose() * &design).try_inverse().unwrap() * design.transpose();
    let left = DMatrix::identity(10, 10) - hat;
    let differences = DMatrix::from_fn(9, 10, |i, j| match j {
        j if j == i => -1.0,
        j if j == i + 1 => 1.0,
        _ => 0.0,
    });
    let both = left * differences.transpose() * differences;
    let (trace, square) = (both.trace(), (&both * &both).trace());
    let expected = trace / 6.0;
    let spread = 2.0 * (square - expected * trace) / (6.0 * 8.0);
    near!(mean, expected, 1e-10);
    near!(variance, spread, 1e-10);
}

/// Kendall's S by its definition, pair by pair, ties in both variables among them.
#[test]
fn every_pair_counts_once() {
    let value = |i: usize, step: usize, kinds: usize| ((i * step + 3) % 97 % kinds) as f64;
    for (n, kinds) in [(2, 5), (3, 2), (40, 7), (41, 90), (200, 12)] {
        let x: Vec<f64> = (0..n).map(|i| value(i, 31, kinds)).collect();
        let y: Vec<f64> = (0..n).map(|i| value(i, 57, kinds) - 0.0).collect();
        let sign = |d: f64| f64::from(d > 0.0) - f64::from(d < 0.0);
        let pairs = (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
        let s: f64 = pairs
            .map(|(i, j)| sign(x[j] - x[i]) * sign(y[j] - y[i]))
            .sum();
        assert_eq!(rising_minus_falling(&x, &y), s, "{n} {kinds}");
    }
    assert_eq!(rising_minus_falling(&[0.0, -0.0], &[2.0, 1.0]), 0.0);
}

#[test]
fn runs_of_alternating_signs() {
    let zigzag: Vec<f64> = (0..12)
        .map(|i| if i % 2 == 0 { 1.0 } else { -1.0 })
        .collect();
    let (count, expected, p) = runs(&zigzag).unwrap();
    assert_eq!((count, expected), (12, 7.0));
    assert!(p < 0.01);
    assert!(runs(&[1.0; 5]).is_none());
}
