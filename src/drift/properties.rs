/*! Properties that hold for every history, checked on random ones. */

use super::regression::line;
use super::regression::straight_line::fit_readings;
use super::series::readings::Reading;
use super::{DriftSettings, Fit, ModelName, Status};
use crate::property_cases::usual;
use proptest::prelude::*;

const MODELS: [ModelName; 6] = [
    ModelName::Constant,
    ModelName::Line,
    ModelName::Quadratic,
    ModelName::Polynomial,
    ModelName::Season,
    ModelName::Auto,
];

fn reading(x: f64, value: f64, u: f64, segment: u32, drift_segment: u32) -> Reading {
    Reading {
        x,
        value,
        u,
        segment,
        drift_segment,
        ..Reading::default()
    }
}

fn fit(readings: &[Reading], model: ModelName) -> Fit {
    let settings = DriftSettings::default();
    match model {
        ModelName::Auto => super::auto::line_for_want_of_a_choice(readings, 0.0, &settings),
        _ => fit_readings(readings, 0.0, &settings, model),
    }
}

/// Histories a laboratory may have: 3 to 20 checks with gaps, values and u.
fn histories() -> impl Strategy<Value = Vec<Reading>> {
    let check = (0.05f64..2.0, -5.0f64..5.0, 0.1f64..3.0, 0u32..12);
    proptest::collection::vec(check, 3..20).prop_map(|checks| {
        let (mut x, mut segment) = (40.0, 0);
        let make = |(gap, value, u, event)| {
            x += gap;
            segment += u32::from(event == 0);
            reading(x, value, u, segment, 0)
        };
        checks.into_iter().map(make).collect()
    })
}

/// Any doubles at all, in any order, with any segments.
fn garbage() -> impl Strategy<Value = Vec<Reading>> {
    let number = prop_oneof![
        any::<f64>(),
        Just(0.0),
        Just(1e300),
        Just(-1e300),
        Just(5e-324),
        Just(1e-300),
        -1e3f64..1e3,
    ];
    let u = prop_oneof![any::<f64>(), Just(0.0), 1e-5f64..1e5];
    let check = (-100f64..100.0, number, u, 0u32..4, 0u32..6);
    proptest::collection::vec(check, 0..12).prop_map(|checks| {
        let (mut segment, mut drift) = (0, 0);
        let make = |(x, value, u, step, restart): (f64, f64, f64, u32, u32)| {
            segment += u32::from(step == 0 || restart == 0);
            drift += u32::from(restart == 0);
            // Some dates repeat.
            reading((x / 10.0).round(), value, u, segment, drift)
        };
        let usable = |(_, value, ..): &(f64, f64, f64, u32, u32)| value.is_finite();
        checks.into_iter().filter(usable).map(make).collect()
    })
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn no_input_panics_or_answers_nan(readings in garbage()) {
        for model in MODELS {
            let fit = fit(&readings, model);
            match (fit.status, fit.at(1.0)) {
                (Status::Estimated, Some(forecast)) => {
                    prop_assert!(!forecast.expected.is_nan(), "{model:?} {fit:?}");
                    prop_assert!(!forecast.u_error.is_nan(), "{model:?} {fit:?}");
                    prop_assert!(!forecast.u_reading.is_nan(), "{model:?} {fit:?}");
                }
                (Status::Estimated, None) => prop_assert!(false, "{model:?} {fit:?}"),
                (_, forecast) => prop_assert!(forecast.is_none()),
            }
        }
    }

    #[test]
    fn shifting_dates_shifts_nothing(readings in histories(), years in -30i32..30) {
        let shift = f64::from(years);
        let moved: Vec<Reading> = readings.iter().map(|r| Reading { x: r.x + shift, ..*r }).collect();
        let (a, b) = (line::fit(&readings), line::fit(&moved));
        prop_assert_eq!(a.status, b.status);
        if a.status == Status::Estimated {
            let end = a.last_x + 1.0;
            let (p, q) = (a.at(end).unwrap(), b.at(end + shift).unwrap());
            let scale = p.u_error.max(1e-9);
            prop_assert!((p.expected - q.expected).abs() < 1e-8 * scale);
            prop_assert!((p.u_error - q.u_error).abs() < 1e-8 * scale);
        }
    }

    #[test]
    fn scaling_the_unit_scales_the_drift(readings in histories(), power in -30i32..30) {
        let factor = f64::powi(10.0, power);
        let scaled: Vec<Reading> = readings
            .iter()
            .map(|r| Reading { value: r.value * factor, u: r.u * factor, ..*r })
            .collect();
        let (a, b) = (line::fit(&readings), line::fit(&scaled));
        if a.status == Status::Estimated {
            prop_assert!((a.slope * factor - b.slope).abs() <= 1e-9 * (a.u_slope * factor));
            prop_assert!((a.u_slope * factor / b.u_slope - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn more_uncertainty_never_narrows_the_band(readings in histories(), more in 1.0f64..3.0) {
        let worse: Vec<Reading> = readings.iter().map(|r| Reading { u: r.u * more, ..*r }).collect();
        let band = |r: &[Reading]| {
            let line = line::fit(r);
            // Excess depends on u, and so does the doubt of it (fewer degrees of freedom where
            // readings scatter more than it says); without both the line is the same.
            let undoubted = line.excess_u == 0.0 && line.degrees_of_freedom.is_infinite();
            undoubted.then(|| line.at(line.last_x + 1.0)).flatten().map(|p| p.u_error)
        };
        if let (Some(wide), Some(narrow)) = (band(&worse), band(&readings)) {
            prop_assert!(wide >= narrow * (1.0 - 1e-9));
        }
    }

    #[test]
    fn line_and_regression_agree(readings in histories()) {
        let quick = line::fit(&readings);
        let shape = super::regression::design::Shape::of_degree(1);
        if quick.status != Status::Estimated {
            return Ok(());
        }
        let Ok(full) = super::regression::fit::fit(&readings, shape, 0.0) else {
            return Ok(());
        };
        let x = quick.last_x + 0.7;
        let (a, b) = (quick.at(x).unwrap(), full.at(x).unwrap());
        prop_assert!((a.expected - b.expected).abs() < 1e-8 * b.u_error, "{a:?} {b:?}");
        prop_assert!((a.u_error / b.u_error - 1.0).abs() < 1e-8, "{a:?} {b:?}");
        prop_assert!((a.u_reading / b.u_reading - 1.0).abs() < 1e-8);
        let (a, b) = (a.degrees_of_freedom, b.degrees_of_freedom);
        prop_assert!(a == b || (a / b - 1.0).abs() < 1e-6, "{a} {b}");
    }

    #[test]
    fn coefficients_rebuild_the_curve(readings in histories(), ahead in 0.0f64..3.0) {
        for model in [ModelName::Line, ModelName::Quadratic, ModelName::Polynomial, ModelName::Season] {
            let fit = fit(&readings, model);
            if fit.status != Status::Estimated {
                continue;
            }
            let last = readings[readings.len() - 1];
            let t = last.x + ahead - fit.origin;
            let value: f64 = fit
                .coefficients
                .iter()
                .filter(|c| c.segment.is_none_or(|s| s == last.segment))
                .map(|c| c.estimate * match c.term {
                    "intercept" | "level" => 1.0,
                    "slope" => t,
                    "power_2" => t * t,
                    "power_3" => t * t * t,
                    "cosine" => (std::f64::consts::TAU * t).cos(),
                    "sine" => (std::f64::consts::TAU * t).sin(),
                    _ => f64::NAN,
                })
                .sum();
            let forecast = fit.at(last.x + ahead).unwrap();
            let size = forecast.u_error.max(forecast.expected.abs());
            prop_assert!((value - forecast.expected).abs() < 1e-6 * size, "{model:?} {value} {forecast:?}");
        }
    }
}

/// A small coverage study; the full one is `benches/coverage.rs`. 4000 histories give a
/// standard deviation of 0.35 %, so ± 1.4 % is four of them.
#[test]
fn bands_cover_what_they_promise() {
    use crate::drift::testing::*;
    const HISTORIES: u64 = 4000;
    for (n, stated) in [(3, true), (3, false), (12, true), (12, false)] {
        let (mut confident, mut predicted) = (0, 0);
        for seed in 0..HISTORIES {
            let mut random = rand_pcg::Pcg64::seed_from_u64(seed);
            let mut x = 50.0;
            let u = if stated { 1.0 } else { f64::NAN };
            let mut next = || {
                x += random.random_range(0.7..1.3);
                let noise: f64 = StandardNormal.sample(&mut random);
                reading(x, 0.3 * x + noise, u, 0, 0)
            };
            let readings: Vec<Reading> = (0..n).map(|_| next()).collect();
            let new = next();
            let forecast = line::fit(&readings).at(new.x).unwrap();
            let inside = |(low, high): (f64, f64), v: f64| u64::from(low <= v && v <= high);
            confident += inside(forecast.confidence(0.95), 0.3 * new.x);
            predicted += inside(forecast.reading(0.95), new.value);
        }
        for count in [confident, predicted] {
            let share = count as f64 / HISTORIES as f64;
            near!(share, 0.95, 0.014, "n = {n}, u stated {stated}: {share}");
        }
    }
}
