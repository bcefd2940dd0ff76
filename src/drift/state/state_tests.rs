//! Tests of the state model: filter, class parameters, fits, smoother; its bands and its members that differ have files of their own.

use super::*;
use crate::drift::class::rates::ClassScale;
use crate::drift::series::readings::Axis;
use crate::drift::state::fit::fit_state;
use crate::drift::state::smooth::smoothed;
use crate::drift::state::surprise::Surprises;
use crate::drift::testing::*;
use crate::records::{self, Event, Item, Tolerance};
use chrono::NaiveDate;
use statrs::distribution::{Binomial, DiscreteCDF};

/// One check: date in years, as found, as left (NaN: as found), u, event.
type Check = (f64, f64, f64, f64, Event);

fn histories(items: &[(&str, Vec<Check>)], tolerance: Option<f64>) -> Histories {
    let mut all = Histories::default();
    for (index, (group, checks)) in items.iter().enumerate() {
        for &(x, as_found, as_left, u, event) in checks {
            all.columns.push(records::Check {
                date: x * DAYS_PER_YEAR,
                as_found,
                as_left,
                u,
                usage: x * 100.0,
                event,
                ..records::Check::UNSTATED
            });
        }
        all.end_item(Item {
            instrument: format!("item {index:03}"),
            group: (*group).into(),
            unit: "mΩ".into(),
            tolerance: tolerance.and_then(|half| Tolerance::new(-half, half)),
            ..Item::default()
        });
    }
    all
}

fn normal(rng: &mut Pcg64) -> f64 {
    rng.sample(StandardNormal)
}

/// A seeded class: drift N(0, sd²), wander and reading noise u, `n` checks `step` apart.
fn fleet(
    seed: u64,
    size: usize,
    n: usize,
    step: f64,
    sd: f64,
    wander: f64,
    u: f64,
) -> Vec<Vec<Check>> {
    let mut rng = Pcg64::seed_from_u64(seed);
    (0..size)
        .map(|_| {
            let (mut error, drift) = (0.0, sd * normal(&mut rng));
            (0..n)
                .map(|i| {
                    if i > 0 {
                        error += drift * step + wander * step.sqrt() * normal(&mut rng);
                    }
                    let found = error + u * normal(&mut rng);
                    (i as f64 * step, found, f64::NAN, u, Event::None)
                })
                .collect()
        })
        .collect()
}

fn class(checks: Vec<Vec<Check>>, tolerance: Option<f64>) -> Histories {
    histories(
        &checks.into_iter().map(|c| ("g", c)).collect::<Vec<_>>(),
        tolerance,
    )
}

#[test]
fn filter_agrees_with_generalised_least_squares_done_by_hand() {
    // Two readings a year apart, level diffuse, drift N(0, 1), u = 0.5, no wander: the
    // difference 1.2 has variance 2u² + 1 = 1.5, so the drift is 1.2/1.5 and its
    // variance 1 − 1/1.5.
    let rates = Rates {
        drift_variance: 1.0,
        ..Rates::default()
    };
    let before = StateEstimate::initial(0.3, 0.25, &rates).predicted(1.0, &rates);
    let after = before.updated(1.5 - before.error, 0.25);
    near!(after.drift, 0.8, 1e-15);
    near!(after.drift_variance, 1.0 / 3.0, 1e-15);
}

#[test]
fn class_parameters_find_the_truth_of_a_large_class() {
    let all = class(fleet(3, 300, 12, 0.8, 0.3, 0.2, 0.1), Some(1.0));
    let found = class_parameters(&all, &DriftSettings::default());
    let rates = found.parameters[0].rates;
    // 300 items: the spread of drifts is known to 1/√600 = 4 %, the wander to about 3 %.
    near!(rates.drift_variance.sqrt() / 0.3, 1.0, 0.12);
    near!(rates.wander.sqrt() / 0.2, 1.0, 0.10);
    assert!(rates.turning < 1e-3 && rates.excess < 1e-3, "{rates:?}");
    let weight: f64 = found.parameters[0]
        .quadrature_points
        .iter()
        .map(|point| point.weight)
        .sum();
    near!(weight, 1.0, 1e-12);
}

#[test]
fn unit_date_and_neighbours_of_another_class_change_nothing() {
    let checks = fleet(5, 9, 7, 1.0, 0.2, 0.1, 0.05);
    let settings = DriftSettings::default();
    let one = class(checks.clone(), Some(1.0));
    let scaled: Vec<Vec<Check>> = checks
        .iter()
        .map(|c| {
            c.iter()
                .map(|&(x, y, l, u, e)| (x + 30.0, 1e-6 * y, l, 1e-6 * u, e))
                .collect()
        })
        .collect();
    let mut mixed: Vec<(&str, Vec<Check>)> = scaled.into_iter().map(|c| ("g", c)).collect();
    mixed.push(("other", checks[0].clone()));
    let mut other = histories(&mixed, Some(1e-6));
    if let Some(item) = other.items.last_mut() {
        item.tolerance = Tolerance::new(-1.0, 1.0);
    }
    let (a, b) = (
        class_parameters(&one, &settings),
        class_parameters(&other, &settings),
    );
    for i in 0..9 {
        let first = fit_state(&one.get(i), a.of_history(i), &settings);
        let second = fit_state(&other.get(i), b.of_history(i), &settings);
        let ratio = 1e6 * second.drift_per_year / first.drift_per_year;
        near!(ratio, 1.0, 1e-6);
        let (p, q) = (first.at(7.5).unwrap(), second.at(37.5).unwrap());
        near!(1e6 * q.u_error / p.u_error, 1.0, 1e-6);
    }
}

#[test]
fn a_step_without_event_is_found_said_and_survived() {
    let mut checks = fleet(7, 20, 10, 1.0, 0.02, 0.02, 0.03);
    for check in &mut checks[4][6..] {
        check.1 += 2.0;
    }
    let all = class(checks, Some(1.0));
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    let fit = fit_state(&all.get(4), classes.of_history(4), &settings);
    let steps = classes.parameters[0].steps;
    near!(steps, 1.0, 0.1);
    let note = fit
        .notes
        .iter()
        .find(|note| note.contains("stepped"))
        .unwrap();
    says!(note, "mΩ between 1975-01-01 and 1976-01-01");
    assert!(fit.drift_per_year.abs() < 0.1, "{}", fit.drift_per_year);
    let ahead = fit.at(10.0).unwrap();
    assert!((ahead.expected - 2.0).abs() < 0.3 && ahead.no_step < 1.0);
}

#[test]
fn adjustment_keeps_the_drift_and_repair_returns_it_to_the_class() {
    let nan = f64::NAN;
    let mut own: Vec<Check> = (0..8)
        .map(|i| (f64::from(i), 0.3 * f64::from(i), nan, 0.02, Event::None))
        .collect();
    let mut checks = fleet(11, 12, 8, 1.0, 0.05, 0.02, 0.02);
    own[7] = (7.0, 2.1, 0.0, 0.02, Event::Adjusted);
    checks.push(own.clone());
    own[7].4 = Event::Repaired;
    checks.push(own);
    let all = class(checks, Some(3.0));
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    let [adjusted, repaired] =
        [12, 13].map(|i| fit_state(&all.get(i), classes.of_history(i), &settings));
    near!(adjusted.drift_per_year, 0.3, 0.03);
    assert!(adjusted.at(7.0).unwrap().expected.abs() < 1e-12);
    assert!(repaired.drift_per_year < 0.2 && repaired.shrinkage_weight < 0.01);
    assert_eq!(repaired.status, Status::FromClass);
}

#[test]
fn one_check_borrows_from_a_class_and_says_so_or_says_what_is_missing() {
    let settings = DriftSettings::default();
    let mut checks = fleet(13, 8, 6, 1.0, 0.2, 0.05, 0.05);
    checks.push(vec![(5.0, 0.1, f64::NAN, 0.05, Event::None)]);
    let all = class(checks, Some(1.0));
    let classes = class_parameters(&all, &settings);
    let fit = fit_state(&all.get(8), classes.of_history(8), &settings);
    assert_eq!(fit.status, Status::FromClass);
    assert!(
        fit.u_drift_per_year > 0.1 && fit.notes[0].contains("borrowed"),
        "{:?}",
        fit.notes
    );
    let alone = class(
        vec![vec![(5.0, 0.1, f64::NAN, 0.05, Event::None)]],
        Some(1.0),
    );
    let classes = class_parameters(&alone, &settings);
    let fit = fit_state(&alone.get(0), classes.of_history(0), &settings);
    assert_eq!(fit.status, Status::LevelOnly);
    assert!(fit.motion.is_none() && fit.drift_per_year.is_nan());
    assert!(fit.notes[0].starts_with("no drift: one check"));
}

#[test]
fn rare_points_of_a_group_share_a_class_and_groups_never_mix() {
    let checks = fleet(17, 8, 3, 1.0, 0.1, 0.1, 0.1);
    let mut all = class(checks, Some(1.0));
    for (index, item) in all.items.iter_mut().enumerate() {
        item.group = if index < 6 {
            "blocks".into()
        } else {
            String::new()
        };
        item.point = format!("{index} mm");
    }
    let classes = class_parameters(&all, &DriftSettings::default());
    assert!(classes.of[..6].iter().all(|class| *class == classes.of[0]));
    assert_ne!(classes.of[6], classes.of[7]);
    assert_eq!(classes.of_history(0).members, 6);
}

#[test]
fn hopeless_input_has_words_and_no_panic() {
    let settings = DriftSettings {
        axis: Axis::Time,
        ..DriftSettings::default()
    };
    let nan = f64::NAN;
    let cases: Vec<Vec<Check>> = vec![
        vec![(1.0, nan, nan, nan, Event::None)],
        vec![(1.0, 2.0, nan, 0.0, Event::None); 5],
        (0..5)
            .map(|i| (f64::from(i), 1e300 * f64::from(i), nan, 1e-300, Event::None))
            .collect(),
        (0..5)
            .map(|i| (f64::from(i), 1e-310 * f64::from(i), nan, nan, Event::None))
            .collect(),
        (0..5)
            .map(|i| (f64::from(i), f64::from(i), nan, f64::INFINITY, Event::None))
            .collect(),
    ];
    for (index, case) in cases.into_iter().enumerate() {
        for tolerance in [None, Some(1.0), Some(1e300)] {
            let all = class(vec![case.clone()], tolerance);
            let classes = class_parameters(&all, &settings);
            let fit = fit_state(&all.get(0), classes.of_history(0), &settings);
            if let Some(at) = fit.at(6.0) {
                let finite =
                    at.expected.is_finite() && !at.u_error.is_nan() && !at.u_reading.is_nan();
                assert!(finite, "case {index}, {tolerance:?}: {at:?} {fit:?}");
            } else {
                assert!(!fit.notes.is_empty(), "case {index}, {tolerance:?}");
            }
        }
    }
}

#[test]
fn smoothed_level_meets_the_forecast_and_is_narrower_inside() {
    let all = class(fleet(19, 10, 9, 1.0, 0.2, 0.1, 0.1), Some(1.0));
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    let class = classes.of_history(2);
    let fit = fit_state(&all.get(2), class, &settings);
    let xs = [4.0, 9.0, 8.0, -1.0];
    let level = smoothed(&all.get(2), class, &settings, &xs);
    for (x, found) in [(9.0, level[1]), (8.0, level[2])] {
        let ahead = fit.at(x).unwrap();
        near!(found.expected, ahead.expected, 1e-9);
        near!(found.u_error / ahead.u_error, 1.0, 1e-9);
    }
    assert!(level[0].u_error < level[2].u_error && level[3].u_error > level[2].u_error);
}

#[test]
fn smoothing_without_wander_is_generalised_least_squares() {
    // A class that fixes its rates: no wander, wide drift, u = 0.1. Then the smoothed
    // level is the fitted straight line, with its textbook uncertainty.
    let checks: Vec<Check> = (0..6)
        .map(|i| {
            (
                f64::from(i),
                f64::from(i * i % 4),
                f64::NAN,
                0.1,
                Event::None,
            )
        })
        .collect();
    let all = class(vec![checks.clone()], Some(1.0));
    let settings = DriftSettings::default();
    let mut class = class_parameters(&all, &settings).parameters.remove(0);
    let rates = Rates {
        drift_variance: 1e8,
        ..Rates::default()
    };
    class.quadrature_points =
        [crate::drift::class::rates::QuadraturePoint { rates, weight: 0.0 }; QUADRATURE_POINTS];
    class.quadrature_points[0].weight = 1.0;
    class.surprises = Surprises::default();
    let level = smoothed(&all.get(0), &class, &settings, &[1.5])[0];
    let mean = |f: &dyn Fn(&Check) -> f64| checks.iter().map(f).sum::<f64>() / 6.0;
    let (x, y) = (mean(&|c| c.0), mean(&|c| c.1));
    let sxx = 6.0 * mean(&|c| (c.0 - x).powi(2));
    let slope = 6.0 * mean(&|c| (c.0 - x) * (c.1 - y)) / sxx;
    near!(level.expected, y + slope * (1.5 - x), 1e-6);
    let u = 0.1 * (1.0 / 6.0 + (1.5 - x).powi(2) / sxx).sqrt();
    near!(level.u_error / u, 1.0, 1e-6);
}

#[test]
fn usage_axis_has_a_pace_and_a_class_without_tolerance_a_size() {
    let settings = DriftSettings {
        axis: Axis::Usage,
        ..DriftSettings::default()
    };
    let all = class(fleet(23, 6, 8, 1.0, 0.2, 0.05, 0.05), None);
    let classes = class_parameters(&all, &settings);
    let class = &classes.parameters[0];
    near!(class.pace, 100.0, 1e-9);
    assert!(matches!(class.scale, ClassScale::Fixed(size) if size > 0.0));
    let fit = fit_state(&all.get(0), class, &settings);
    assert!(fit.at(900.0).unwrap().u_error > fit.at(710.0).unwrap().u_error);
}

#[path = "state_band_tests.rs"]
mod bands;
#[path = "state_member_tests.rs"]
mod members;
#[path = "class_annual_tests.rs"]
mod swings;
#[path = "state_unread_tests.rs"]
mod unread;
#[path = "yearly_swing_tests.rs"]
mod yearly_swings;
