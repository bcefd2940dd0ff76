//! The swing of one item against generalised least squares, and where none is to be found.

use super::*;
use nalgebra::{DMatrix, DVector};

/// Deviates of a fixed sequence, near normal: sums of twelve uniforms.
fn deviates(count: usize, seed: u64) -> Vec<f64> {
    let mut state = seed;
    let mut uniform = || {
        state = state
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..count)
        .map(|_| (0..12).map(|_| uniform()).sum::<f64>() - 6.0)
        .collect()
}

fn reading(x: f64, value: f64, segment: u32, drift_segment: u32) -> Reading {
    Reading {
        x,
        value,
        u: 0.1,
        segment,
        drift_segment,
        ..Reading::default()
    }
}

fn readings(amplitude: f64, seed: u64) -> Vec<Reading> {
    let noise = deviates(40, seed);
    let mut walk = 0.0;
    (0..20)
        .map(|i| {
            let x = 40.0 + 0.37 * i as f64;
            walk += 0.1 * (0.37f64).sqrt() * noise[20 + i];
            let value = amplitude * (TAU * (x - 0.2)).cos() + 0.1 * x + walk + 0.1 * noise[i];
            // An adjustment after ten readings, a repair after fifteen.
            reading(
                x,
                value + if i >= 10 { -0.7 } else { 0.0 },
                u32::from(i >= 10) + u32::from(i >= 15),
                u32::from(i >= 15),
            )
        })
        .collect()
}

/// The same estimate the long way: the whole covariance, every level and drift a column.
#[test]
fn the_filter_gives_generalised_least_squares() {
    let readings = readings(0.6, 5);
    let found = annual_term(&readings, 0.01, |u| u * u).unwrap();
    let n = readings.len();
    let first = |i: usize| {
        readings
            .iter()
            .find(|r| r.segment == readings[i].segment)
            .unwrap()
            .x
    };
    let covariance = DMatrix::from_fn(n, n, |i, j| {
        let (a, b) = (&readings[i], &readings[j]);
        let shared = if a.segment == b.segment {
            0.01 * (a.x.min(b.x) - first(i))
        } else {
            0.0
        };
        shared + if i == j { 0.01 } else { 0.0 }
    });
    let design = DMatrix::from_fn(n, 7, |i, column| {
        let r = &readings[i];
        match column {
            0 => (TAU * r.x).cos(),
            1 => (TAU * r.x).sin(),
            2..=4 => f64::from(r.segment == column as u32 - 2),
            _ => {
                if r.drift_segment == column as u32 - 5 {
                    r.x - first(i)
                } else {
                    0.0
                }
            }
        }
    });
    let value = DVector::from_iterator(n, readings.iter().map(|r| r.value));
    let inverse = covariance.try_inverse().unwrap();
    let information = design.transpose() * &inverse * &design;
    let known = information.clone().try_inverse().unwrap();
    let solution = &known * design.transpose() * &inverse * &value;
    let rest = &value - &design * &solution;
    let factor = ((rest.transpose() * &inverse * &rest)[0] / (n as f64 - 7.0)).max(1.0);
    near!(found.cosine, solution[0], 1e-9);
    near!(found.sine, solution[1], 1e-9);
    near!(found.covariance.0 / (factor * known[(0, 0)]), 1.0, 1e-9);
    near!(found.covariance.1 / (factor * known[(0, 1)]), 1.0, 1e-9);
    assert!((found.amplitude() - 0.6).abs() < 0.2 && (found.highest() - 0.2).abs() < 0.06);
}

#[test]
fn steady_items_are_seldom_taken_for_seasonal_ones() {
    let taken = (0..4000)
        .filter(|seed| annual_term(&readings(0.0, seed * 7919 + 1), 0.01, |u| u * u).is_some())
        .count();
    // 4 expected of 4,000 at one in a thousand; 13 or more has a chance below 0.0003.
    assert!(taken < 13, "{taken}");
}

#[test]
fn checks_on_one_day_of_every_year_show_no_swing() {
    let yearly: Vec<Reading> = (0..15)
        .map(|i| {
            reading(
                40.2 + f64::from(i),
                (TAU * 0.2).cos() + 0.01 * f64::from(i * i % 5),
                0,
                0,
            )
        })
        .collect();
    assert!(annual_term(&yearly, 0.01, |u| u * u).is_none());
}

#[test]
fn too_little_or_odd_data_shows_no_swing() {
    assert!(annual_term(&[], 0.01, |u| u * u).is_none());
    assert!(annual_term(&readings(1.0, 3)[..5], 0.01, |u| u * u).is_none());
    assert!(annual_term(&readings(1.0, 3), f64::NAN, |u| u * u).is_none());
    assert!(annual_term(&readings(1.0, 3), 0.0, |_| 0.0).is_none());
    let flat: Vec<Reading> = readings(1.0, 3)
        .iter()
        .map(|r| Reading { value: 1e300, ..*r })
        .collect();
    assert!(annual_term(&flat, 0.0, |u| u * u).is_none());
}
