//! Bands with the variances integrated out: coverage, and the limits where nothing is left to integrate.

use super::*;
use crate::drift::testing::*;
use crate::drift::wander::model::fit_wander_readings;

/// Yearly readings of u one about a drift and a walk of `wander` per root year.
fn history(seed: u64, n: usize, wander: f64, stated: bool) -> (Vec<Reading>, f64, f64) {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
    let drift = normal();
    let mut truth = 0.0;
    let mut readings = Vec::new();
    for check in 0..=n {
        truth += drift + wander * normal();
        readings.push(Reading {
            x: 40.0 + check as f64,
            value: truth + normal(),
            u: if stated { 1.0 } else { f64::NAN },
            check: check as u32,
            ..Reading::default()
        });
    }
    let next = readings.pop().map_or(f64::NAN, |last| last.value);
    (readings, truth, next)
}

/// Shares of true errors and of next readings inside the 95 % bands one year ahead.
fn coverage(histories: u64, n: usize, wander: f64, stated: bool) -> (f64, f64) {
    let (mut confident, mut predicted) = (0.0, 0.0);
    for seed in 0..histories {
        let (readings, truth, next) = history(seed, n, wander, stated);
        let fit = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
        let forecast = mixed_forecast(&readings, &fit).unwrap_or(fit.forecast);
        let ahead = forecast.at(40.0 + n as f64);
        let inside = |(lower, upper): (f64, f64), value: f64| {
            f64::from(u8::from(lower <= value && value <= upper))
        };
        confident += inside(ahead.confidence(0.95), truth);
        predicted += inside(ahead.reading(0.95), next);
    }
    (confident / histories as f64, predicted / histories as f64)
}

#[test]
fn bands_hold_for_single_histories() {
    for (n, wander, stated) in [(12, 1.0, true), (12, 1.0, false)] {
        let (confident, predicted) = coverage(400, n, wander, stated);
        println!("n {n}, wander {wander}, u stated {stated}: {confident:.3} {predicted:.3}");
        // Standard deviation of a share of 400: 0.011. With exact variances 0.83 and 0.89.
        assert!(confident > 0.91 && predicted > 0.92);
    }
}

#[test]
fn unit_and_origin_change_nothing_else() {
    for stated in [true, false] {
        let (readings, ..) = history(3, 12, 1.0, stated);
        let moved: Vec<Reading> = readings
            .iter()
            .map(|r| Reading {
                value: 1e6 * r.value,
                u: 1e6 * r.u,
                x: r.x + 8.0,
                ..*r
            })
            .collect();
        let forecast = |readings: &[Reading]| {
            let fit = fit_wander_readings(readings, Likelihood::Restricted).unwrap();
            mixed_forecast(readings, &fit).unwrap()
        };
        let (small, large) = (forecast(&readings).at(53.0), forecast(&moved).at(61.0));
        near!(large.u_error / small.u_error / 1e6, 1.0, 1e-6);
        near!(large.expected / small.expected / 1e6, 1.0, 1e-6);
    }
}

#[test]
fn some_stated_u_leave_the_plain_forecast() {
    let (mut readings, ..) = history(4, 12, 1.0, true);
    readings[3].u = f64::NAN;
    let fit = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    assert!(mixed_forecast(&readings, &fit).is_none());
}
