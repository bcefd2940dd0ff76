//! Tests of the wander model against exact values (tests/reference/wander) and properties.

use super::*;
use crate::drift::testing::*;
use chrono::NaiveDate;
use serde_json::Value;

fn folder(name: &str) -> String {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

fn reading(x: f64, value: f64, u: f64) -> Reading {
    Reading {
        x,
        value,
        u,
        ..Reading::default()
    }
}

/// The readings of a reference table: years since the first date, or check numbers.
fn readings(table: &str, by_index: bool) -> Vec<Reading> {
    let text = folder(table);
    let mut first = None;
    let rows = text.lines().skip(1).enumerate();
    rows.map(|(index, line)| {
        let cells: Vec<&str> = line.split(',').collect();
        let day: NaiveDate = cells[2].parse().unwrap();
        let first = *first.get_or_insert(day);
        let days = (day - first).num_days() as f64;
        let value: f64 = cells[3].parse().unwrap();
        let nominal: f64 = cells[4].parse().unwrap();
        let x = if by_index {
            index as f64
        } else {
            days / DAYS_PER_YEAR
        };
        reading(x, ((value - nominal) * 1e10).round() / 1e10, f64::NAN)
    })
    .collect()
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .or_else(|| value.as_str()?.parse().ok())
        .unwrap()
}

/// Digits of agreement: −log₁₀ of the relative error.
fn digits(found: f64, expected: f64) -> f64 {
    if found == expected {
        17.0
    } else {
        -((found - expected) / expected).abs().log10()
    }
}

#[test]
fn variances_level_drift_and_forecasts_agree_with_exact_values() {
    // Exact values: the restricted likelihood in 50-digit arithmetic (make/wander.py).
    let cases = [
        ("wander/monthly72.csv", "wander/monthly72_py.json", true),
        (
            "wander/irregular45.csv",
            "wander/irregular45_py.json",
            false,
        ),
        (
            "handbook/mass_checks.csv",
            "wander/mass_checks_py.json",
            true,
        ),
    ];
    for (table, results, by_index) in cases {
        let readings = readings(table, by_index);
        let fit = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
        assert!(fit.converged, "{table}");
        let json: Value = serde_json::from_str(&folder(results)).unwrap();
        let exact = &json["results"]["exact"];
        let estimate = fit.forecast.estimate;
        let mut least = 17.0_f64;
        let mut check = |name: &str, found: f64, expected: f64| {
            let digits = digits(found, expected);
            assert!(
                digits >= 9.0,
                "{table} {name}: {found} for {expected}, {digits:.1} digits"
            );
            least = least.min(digits);
        };
        check("noise", fit.noise, number(&exact["variance_reading"]));
        check("wander", fit.wander, number(&exact["variance_level"]));
        check(
            "likelihood",
            fit.log_likelihood,
            number(&exact["restricted_log_likelihood"]),
        );
        check("drift", estimate.drift, number(&exact["drift"]));
        check(
            "u drift",
            estimate.drift_variance.sqrt(),
            number(&exact["u_drift"]),
        );
        check(
            "level",
            estimate.error,
            number(&exact["level_at_last_check"]),
        );
        let u_level = number(&exact["u_level_at_last_check"]);
        check("u level", estimate.error_variance.sqrt(), u_level);
        let ahead = &exact["forecast"];
        for i in 0..12 {
            let at = fit.forecast.at(number(&ahead["time"][i]));
            check("forecast", at.expected, number(&ahead["level"][i]));
            check("sd of level", at.u_error, number(&ahead["sd_level"][i]));
            check(
                "sd of reading",
                at.u_reading,
                number(&ahead["sd_reading"][i]),
            );
        }
        // The covariance of the log variances is given by finite differences at 50 digits.
        let logs = &exact["covariance_of_log_variances"];
        check(
            "covariance 11",
            fit.covariance_of_logs[0],
            number(&logs[0][0]),
        );
        check(
            "covariance 12",
            fit.covariance_of_logs[1],
            number(&logs[0][1]),
        );
        check(
            "covariance 22",
            fit.covariance_of_logs[2],
            number(&logs[1][1]),
        );
        println!("{table}: at least {least:.1} digits");
    }
}

#[test]
fn full_likelihood_is_higher_at_its_own_maximum_than_at_the_restricted_one() {
    let readings = readings("wander/irregular45.csv", false);
    let full = fit_wander_readings(&readings, Likelihood::Full).unwrap();
    let restricted = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    assert!(full.converged && full.wander < restricted.wander);
}

#[test]
fn unit_and_origin_change_nothing_else() {
    let readings = readings("wander/irregular45.csv", false);
    let moved: Vec<Reading> = readings
        .iter()
        .map(|r| reading(r.x + 40.0, 1e-9 * r.value, f64::NAN))
        .collect();
    let (one, other) = (
        fit_wander_readings(&readings, Likelihood::Restricted).unwrap(),
        fit_wander_readings(&moved, Likelihood::Restricted).unwrap(),
    );
    near!(other.wander * 1e18 / one.wander, 1.0, 1e-7);
    let (a, b) = (one.forecast.at(12.0), other.forecast.at(52.0));
    near!(b.expected * 1e9 / a.expected, 1.0, 1e-8);
    near!(b.u_error * 1e9 / a.u_error, 1.0, 1e-7);
}

#[test]
fn a_line_with_stated_u_has_no_wander_and_no_excess() {
    // Scatter well below the stated u: both variances are none, and the slope is that of
    // the straight line through the readings.
    let readings: Vec<Reading> = (0..8)
        .map(|i| {
            reading(
                f64::from(i),
                2.0 * f64::from(i) + [0.1, -0.1][i as usize % 2],
                1.0,
            )
        })
        .collect();
    let fit = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    assert_eq!((fit.noise, fit.wander), (0.0, 0.0));
    // Σ(x − x̄)² = 42 for 0..7: u of the slope is 1/√42.
    near!(
        fit.forecast.estimate.drift_variance.sqrt(),
        42f64.sqrt().recip(),
        1e-12
    );
}

#[test]
fn impossible_histories_are_named_not_computed() {
    let kind = Likelihood::Restricted;
    assert_eq!(fit_wander_readings(&[], kind), Err(WanderError::TooFew));
    let flat: Vec<Reading> = (0..9)
        .map(|i| reading(f64::from(i), 4.0, f64::NAN))
        .collect();
    assert_eq!(fit_wander_readings(&flat, kind), Err(WanderError::NoChange));
    for size in [1e-300, 1e300] {
        let far: Vec<Reading> = (0..9)
            .map(|i| reading(f64::from(i), size * f64::from(i * i % 5), f64::NAN))
            .collect();
        if let Ok(fit) = fit_wander_readings(&far, kind) {
            assert!(fit.forecast.at(12.0).expected.is_finite());
        }
    }
}

/// A walk of `count` readings over thirty years with u = 0.1, adjusted at every third.
fn adjusted_walk(count: usize) -> Vec<Reading> {
    let mut random = rand_pcg::Pcg64::seed_from_u64(count as u64);
    let mut normal = || -> f64 { random.sample(StandardNormal) };
    let mut level = 0.0;
    let read = |i: usize| {
        level += 0.3 * normal() / (count as f64).sqrt();
        let x = 30.0 * i as f64 / count as f64;
        let value = level + 0.1 * normal();
        Reading {
            segment: (i / 3) as u32,
            ..reading(x, value, 0.1)
        }
    };
    (0..count).map(read).collect()
}

/// Where the likelihood sends a variance to none its slope and curvature fade together, and what its
/// rounding hides grows with the readings: neither may keep the search from its end.
#[test]
fn a_long_history_settles() {
    for count in [300, 30_000] {
        let fit = fit_wander_readings(&adjusted_walk(count), Likelihood::Restricted).unwrap();
        assert!(fit.converged, "{count} {fit:?}");
        assert!(fit.noise < 1e-3, "{count} {fit:?}");
    }
}

/// Noise and wander stay what they are where one change is ten thousand times as large.
#[test]
fn a_step_hides_neither_noise_nor_wander() {
    let mut readings = readings("wander/irregular45.csv", false);
    let before = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    let largest = before.scale;
    let middle = readings.len() / 2;
    for reading in &mut readings[middle..] {
        reading.value += 1e4 * largest;
    }
    let with = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    assert!(with.converged, "{with:?}");
    assert!(with.wander > 1e6 * before.wander, "{before:?} {with:?}");
    // The same step at an adjustment is none, and leaves both.
    let wild = readings.iter_mut().enumerate();
    wild.for_each(|(i, reading)| reading.segment = u32::from(i >= middle));
    let set = fit_wander_readings(&readings, Likelihood::Restricted).unwrap();
    assert!(
        set.converged && (set.wander / before.wander).ln().abs() < 0.5,
        "{set:?}"
    );
}
