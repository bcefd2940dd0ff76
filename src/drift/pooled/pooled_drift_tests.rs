//! Pooled drifts against the definition, written out with whole matrices, and by simulation.

use super::*;
use crate::drift::series::readings::Reading;
use crate::drift::testing::*;
use nalgebra::{DMatrix, DVector};

fn reading(x: f64, value: f64, u: f64) -> Reading {
    Reading {
        x,
        value,
        u,
        ..Reading::default()
    }
}

/// Four items of two to five readings with u of their own.
fn items() -> Vec<Vec<Reading>> {
    let mut random = Pcg64::seed_from_u64(5);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
    (2..6)
        .map(|n| {
            let drift = 0.3 + 0.5 * normal();
            (0..n)
                .map(|k| {
                    let x = 40.0 + f64::from(k) + 0.2 * normal();
                    let u = 0.1 * (1.0 + f64::from(k % 3));
                    reading(x, 2.0 + drift * (x - 40.0) + u * normal(), u)
                })
                .collect()
        })
        .collect()
}

/// Restricted log likelihood of all readings at σ² and τ², up to a constant, and the drift
/// of the first item with its variance given them: everything with dense matrices.
fn dense(items: &[Vec<Reading>], variance: f64, between: f64) -> (f64, f64, f64) {
    let all: Vec<(usize, Reading)> = items
        .iter()
        .enumerate()
        .flat_map(|(i, readings)| readings.iter().map(move |r| (i, *r)))
        .collect();
    let n = all.len();
    let time = |k: usize| all[k].1.x - 40.0;
    let covariance = DMatrix::from_fn(n, n, |j, k| {
        let same = f64::from(u8::from(all[j].0 == all[k].0));
        let own = if j == k {
            variance * all[j].1.u.powi(2)
        } else {
            0.0
        };
        own + same * between * time(j) * time(k)
    });
    let design = DMatrix::from_fn(n, items.len() + 1, |k, j| match j {
        j if j == items.len() => time(k),
        j => f64::from(u8::from(all[k].0 == j)),
    });
    let y = DVector::from_fn(n, |k, _| all[k].1.value);
    let inverse = covariance.clone().try_inverse().unwrap();
    let normal = design.transpose() * &inverse * &design;
    let spread = normal.clone().try_inverse().unwrap();
    let fixed = &spread * design.transpose() * &inverse * &y;
    let left = &y - &design * &fixed;
    let likelihood = -0.5
        * (covariance.determinant().ln()
            + normal.determinant().ln()
            + left.dot(&(&inverse * &left)));
    // Best linear unbiased prediction of μ + deviation of item 0 and its variance.
    let reach = DVector::from_fn(n, |k, _| {
        if all[k].0 == 0 {
            between * time(k)
        } else {
            0.0
        }
    });
    let weights = &inverse * &reach;
    let drift = fixed[items.len()] + weights.dot(&left);
    let mut row = DVector::zeros(items.len() + 1);
    row[items.len()] = 1.0;
    let gap = row - design.transpose() * &weights;
    let u2 = between - reach.dot(&weights) + gap.dot(&(&spread * &gap));
    (likelihood, drift, u2)
}

#[test]
fn likelihood_and_drift_agree_with_whole_matrices() {
    let items = items();
    let sums: Vec<LineSums> = items.iter().map(|r| LineSums::of(r).unwrap()).collect();
    let slopes: Vec<Slope> = sums.iter().map(Slope::of).collect();
    let freedom = slopes.iter().map(|s| s.freedom).sum::<f64>() - 1.0;
    let values: Vec<(f64, f64)> = [0.05, 0.7, 12.0]
        .into_iter()
        .map(|ratio| {
            let (point, likelihood) = at_ratio(&slopes, ratio, freedom).unwrap();
            let whole = dense(&items, point.variance, ratio * point.variance);
            let only = PooledDrift {
                points: (0..POINTS)
                    .map(|i| Point {
                        weight: f64::from(u8::from(i == 0)),
                        ..point
                    })
                    .collect(),
                freedom,
                items: 4,
                u_stated: true,
            };
            let line = only.line_of(&sums[0]);
            near!(line.drift, whole.1, 1e-9);
            near!(line.drift_variance / whole.2, 1.0, 1e-9);
            (likelihood, whole.0)
        })
        .collect();
    for pair in values.windows(2) {
        let (own, whole) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        near!(own, whole, 1e-8);
    }
}

/// 95 % bands of the drift of an item of three readings in a class of six: 4,000 classes.
#[test]
fn bands_of_short_histories_hold_in_small_classes() {
    let mut random = Pcg64::seed_from_u64(11);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
    let (mut inside, classes) = (0, 4000);
    for _ in 0..classes {
        let mut truth = 0.0;
        let sums: Vec<LineSums> = (0..6)
            .map(|item| {
                let drift = 0.2 + 0.3 * normal();
                if item == 0 {
                    truth = drift;
                }
                let n = if item == 0 { 3 } else { 8 };
                let readings: Vec<Reading> = (0..n)
                    .map(f64::from)
                    .map(|x| reading(x, drift * x + 0.4 * normal(), f64::NAN))
                    .collect();
                LineSums::of(&readings).unwrap()
            })
            .collect();
        let pooled = pool_drifts(&sums).unwrap();
        let line = pooled.line_of(&sums[0]);
        let off = (line.drift - truth).abs();
        let factor = crate::stats::quantile(0.975, pooled.forecast(&sums[0]).degrees_of_freedom);
        inside += u32::from(off < factor * line.drift_variance.sqrt());
    }
    let share = f64::from(inside) / f64::from(classes);
    println!("share of true drifts inside: {share}");
    near!(share, 0.95, 0.02);
}

#[test]
fn what_lends_nothing_is_refused() {
    let flat: Vec<Reading> = (0..4)
        .map(|k| reading(f64::from(k), 1.0, f64::NAN))
        .collect();
    let sums = vec![LineSums::of(&flat).unwrap(); 5];
    assert!(pool_drifts(&sums).is_none(), "no scatter");
    let pair: Vec<Reading> = items()[0].clone();
    let sums = vec![LineSums::of(&pair).unwrap(); 5];
    assert!(
        pool_drifts(&sums).is_none(),
        "two readings each leave nothing over"
    );
}
