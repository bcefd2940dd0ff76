//! Tests of the state model: filter, class parameters, fits, smoother.

use super::super::{
    Axis, DriftSettings, Motion, Scale, Status, Surprises, class_parameters, fit_state, smoothed,
};
use super::*;
use crate::records::{
    CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, Item, Outcome, Tolerance,
};
use chrono::NaiveDate;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use statrs::distribution::{Binomial, DiscreteCDF};

/// One check: date in years, as found, as left (NaN: as found), u, event.
type Check = (f64, f64, f64, f64, Event);

fn histories(items: &[(&str, Vec<Check>)], tolerance: Option<f64>) -> Histories {
    let mut all = Histories {
        offsets: vec![0],
        ..Histories::default()
    };
    for (index, (group, checks)) in items.iter().enumerate() {
        let c: &mut Columns = &mut all.columns;
        for &(x, found, left, u, event) in checks {
            c.date.push(x * DAYS_PER_YEAR);
            c.as_found.push(found);
            c.as_left.push(left);
            c.nominal.push(0.0);
            c.u.push(u);
            c.u_common.push(0.0);
            c.lower.push(f64::NAN);
            c.upper.push(f64::NAN);
            c.usage.push(x * 100.0);
            c.outcome.push(Outcome::Unknown);
            c.event.push(event);
            c.kind.push(CheckKind::Unstated);
            c.source.push((0, 0));
        }
        all.items.push(Item {
            instrument: format!("item {index:03}"),
            group: (*group).into(),
            unit: "mΩ".into(),
            tolerance: tolerance.and_then(|half| Tolerance::new(-half, half)),
            ..Item::default()
        });
        all.offsets.push(all.columns.date.len());
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
    let before = Belief::first(0.3, 0.25, &rates).after(1.0, &rates);
    let after = before.given(1.5 - before.error, 0.25);
    assert!((after.drift - 0.8).abs() < 1e-15);
    assert!((after.drift_variance - 1.0 / 3.0).abs() < 1e-15);
}

#[test]
fn class_parameters_find_the_truth_of_a_large_class() {
    let all = class(fleet(3, 300, 12, 0.8, 0.3, 0.2, 0.1), Some(1.0));
    let found = class_parameters(&all, &DriftSettings::default());
    let rates = found.parameters[0].rates;
    // 300 items: the spread of drifts is known to 1/√600 = 4 %, the wander to about 3 %.
    assert!(
        (rates.drift_variance.sqrt() / 0.3 - 1.0).abs() < 0.12,
        "{rates:?}"
    );
    assert!((rates.wander.sqrt() / 0.2 - 1.0).abs() < 0.10, "{rates:?}");
    assert!(rates.turning < 1e-3 && rates.excess < 1e-3, "{rates:?}");
    let weight: f64 = found.parameters[0]
        .nodes
        .iter()
        .map(|node| node.weight)
        .sum();
    assert!((weight - 1.0).abs() < 1e-12);
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
        assert!((ratio - 1.0).abs() < 1e-6, "{ratio}");
        let (p, q) = (first.at(7.5).unwrap(), second.at(37.5).unwrap());
        assert!((1e6 * q.u_error / p.u_error - 1.0).abs() < 1e-6);
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
    assert!((steps - 1.0).abs() < 0.1, "{steps}");
    let note = fit
        .notes
        .iter()
        .find(|note| note.contains("stepped"))
        .unwrap();
    assert!(
        note.contains("mΩ between 1975-01-01 and 1976-01-01"),
        "{note}"
    );
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
    assert!(
        (adjusted.drift_per_year - 0.3).abs() < 0.03,
        "{}",
        adjusted.drift_per_year
    );
    assert!(adjusted.at(7.0).unwrap().expected.abs() < 1e-12);
    assert!(repaired.drift_per_year < 0.2 && repaired.own_share < 0.01);
    assert_eq!(repaired.status, Status::Borrowed);
}

#[test]
fn one_check_borrows_from_a_class_and_says_so_or_says_what_is_missing() {
    let settings = DriftSettings::default();
    let mut checks = fleet(13, 8, 6, 1.0, 0.2, 0.05, 0.05);
    checks.push(vec![(5.0, 0.1, f64::NAN, 0.05, Event::None)]);
    let all = class(checks, Some(1.0));
    let classes = class_parameters(&all, &settings);
    let fit = fit_state(&all.get(8), classes.of_history(8), &settings);
    assert_eq!(fit.status, Status::Borrowed);
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
    assert!(matches!(fit.motion, Motion::None) && fit.drift_per_year.is_nan());
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
        assert!((found.expected - ahead.expected).abs() < 1e-9);
        assert!((found.u_error / ahead.u_error - 1.0).abs() < 1e-9);
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
    class.nodes = [super::super::Node { rates, weight: 0.0 }; NODES];
    class.nodes[0].weight = 1.0;
    class.surprises = Surprises::default();
    let level = smoothed(&all.get(0), &class, &settings, &[1.5])[0];
    let mean = |f: &dyn Fn(&Check) -> f64| checks.iter().map(f).sum::<f64>() / 6.0;
    let (x, y) = (mean(&|c| c.0), mean(&|c| c.1));
    let sxx = 6.0 * mean(&|c| (c.0 - x).powi(2));
    let slope = 6.0 * mean(&|c| (c.0 - x) * (c.1 - y)) / sxx;
    assert!(
        (level.expected - (y + slope * (1.5 - x))).abs() < 1e-6,
        "{level:?}"
    );
    let u = 0.1 * (1.0 / 6.0 + (1.5 - x).powi(2) / sxx).sqrt();
    assert!(
        (level.u_error / u - 1.0).abs() < 1e-6,
        "{} for {u}",
        level.u_error
    );
}

#[test]
fn bands_cover_95_percent_in_classes_of_two_hundred() {
    // 20,000 seeded histories for each number of checks; the reading one step ahead. The
    // goal is 0.005. With three checks an item the class cannot yet tell drift from wander,
    // the priors still weigh, and the goal is missed (0.9437): see
    // docs/methods-state.md. Held there: 0.01.
    for (n, held) in [(3, 0.01), (5, 0.005), (12, 0.005), (40, 0.005)] {
        let (mut inside, mut total) = (0.0, 0.0);
        for seed in 0..100 {
            let full = fleet(100 + seed, 200, n + 1, 1.0, 0.2, 0.1, 0.1);
            let known = full.iter().map(|c| c[..n].to_vec()).collect();
            let all = class(known, Some(1.0));
            let settings = DriftSettings::default();
            let classes = class_parameters(&all, &settings);
            for (i, checks) in full.iter().enumerate() {
                let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
                let (below, above) = fit.at(n as f64).unwrap().reading(0.95);
                inside += f64::from(below <= checks[n].1 && checks[n].1 <= above);
                total += 1.0;
            }
        }
        let share = inside / total;
        println!("{n} checks: {share:.4} of {total}");
        assert!((share - 0.95).abs() < held, "{n} checks: {share}");
    }
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
    assert!((class.pace - 100.0).abs() < 1e-9);
    assert!(matches!(class.scale, Scale::Fixed(size) if size > 0.0));
    let fit = fit_state(&all.get(0), class, &settings);
    assert!(fit.at(900.0).unwrap().u_error > fit.at(710.0).unwrap().u_error);
}

/// Walk-forward share of readings inside their 95 % bands, by horizon in years (0: next).
fn walk(name: &str, horizons: &[f64]) -> Vec<(f64, f64, usize)> {
    let path = format!(
        "{}/tests/reference/handbook/{name}_checks.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).unwrap();
    let mut checks: Vec<Check> = text
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let day: NaiveDate = cells[2].parse().unwrap();
            let days = (day - NaiveDate::default()).num_days() as f64;
            let value: f64 =
                cells[3].parse::<f64>().unwrap() - cells[4].parse::<f64>().unwrap_or(0.0);
            (days / DAYS_PER_YEAR, value, f64::NAN, f64::NAN, Event::None)
        })
        .collect();
    checks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let settings = DriftSettings::default();
    let n = checks.len();
    let starts: Vec<usize> = (40..n).step_by(usize::max(10, n / 25)).collect();
    let mut counts = vec![(0.0, 0usize); horizons.len()];
    for (k, &from) in starts.iter().enumerate() {
        let all = class(vec![checks[..from].to_vec()], None);
        let classes = class_parameters(&all, &settings);
        let class = &classes.parameters[0];
        let fit = fit_state(&all.get(0), class, &settings);
        let inside = |fit: &super::super::Fit, i: usize| {
            let (low, high) = fit.at(checks[i].0).unwrap().reading(0.95);
            f64::from(low <= checks[i].1 && checks[i].1 <= high)
        };
        let last = checks[from - 1].0;
        for (place, &horizon) in counts.iter_mut().zip(horizons).filter(|(_, h)| **h > 0.0) {
            if let Some(i) = (from..n).find(|i| checks[*i].0 >= last + horizon) {
                *place = (place.0 + inside(&fit, i), place.1 + 1);
            }
        }
        for i in from..starts.get(k + 1).copied().unwrap_or(n) {
            let past = class_of(&checks[..i]);
            let fit = fit_state(&past.get(0), class, &settings);
            counts[0] = (counts[0].0 + inside(&fit, i), counts[0].1 + 1);
        }
    }
    let share =
        |(&h, &(hits, count)): (&f64, &(f64, usize))| (h, hits / count.max(1) as f64, count);
    horizons.iter().zip(&counts).map(share).collect()
}

fn class_of(checks: &[Check]) -> Histories {
    class(vec![checks.to_vec()], None)
}

#[test]
fn real_histories_fall_inside_their_bands_as_often_as_promised() {
    // e-Handbook 1.4.2.7 (standard resistor) and 2.3.5 (kilogram check standard), walked
    // forward. Beside each horizon the share of the sketch that the method started from.
    let horizons = [0.0, 0.25, 0.5, 1.0, 2.0];
    for (name, sketch) in [
        ("standard_resistor", [0.952, 1.00, 0.952, 1.00, 1.00]),
        ("mass", [0.927, 1.00, 1.00, 0.875, 0.909]),
    ] {
        for ((horizon, share, count), sketch) in walk(name, &horizons).into_iter().zip(sketch) {
            println!("{name} {horizon} y: {share:.4} of {count} (sketch {sketch})");
            // 0.95 lies inside the exact 95 % limits of the share (Clopper and Pearson 1934).
            let binomial = Binomial::new(0.95, count as u64).unwrap();
            let hits = (share * count as f64).round() as u64;
            let (at_most, below) = (
                binomial.cdf(hits),
                hits.checked_sub(1).map_or(0.0, |h| binomial.cdf(h)),
            );
            assert!(
                at_most > 0.025 && 1.0 - below > 0.025,
                "{name} {horizon} y: {share} of {count}"
            );
            // No cell is further from 0.95 than the sketch's by more than half a percent.
            let allowed = f64::abs(sketch - 0.95) + 0.005;
            assert!(
                (share - 0.95).abs() <= allowed,
                "{name} {horizon} y: {share} of {count}"
            );
        }
    }
}

#[test]
fn a_member_that_swings_with_the_year_is_forecast_with_its_swing_and_widens_nobody_elses_band() {
    let mut checks = fleet(31, 12, 24, 0.23, 0.05, 0.02, 0.03);
    let steady = class(checks.clone(), Some(1.0));
    for (x, y, _, _, _) in &mut checks[4] {
        *y += 0.3 * (std::f64::consts::TAU * (*x - 0.2)).cos();
    }
    let all = class(checks, Some(1.0));
    let settings = DriftSettings::default();
    let found = class_parameters(&all, &settings);
    let before = class_parameters(&steady, &settings);
    let wander = |classes: &super::super::Classes| classes.parameters[0].rates.wander.sqrt();
    assert!((wander(&found) - wander(&before)).abs() < 0.01);
    let fit = fit_state(&all.get(4), found.of_history(4), &settings);
    assert!(fit.swings(), "{:?}", fit.notes);
    assert!(
        fit.notes
            .iter()
            .any(|note| note.contains("highest in March"))
    );
    let amplitude = |term| fit.coefficients.iter().find(|c| c.term == term).unwrap();
    let (cosine, sine) = (amplitude("cosine"), amplitude("sine"));
    assert!((cosine.estimate.hypot(sine.estimate) - 0.3).abs() < 3.0 * cosine.standard_error);
    // Half a year apart the swing turns round.
    let x = fit.last_x + 0.1;
    let swing = |x: f64| 0.3 * (std::f64::consts::TAU * (x - 0.2)).cos();
    let (now, later) = (fit.at(x).unwrap(), fit.at(x + 0.5).unwrap());
    let told = now.expected - later.expected + 0.5 * fit.drift_per_year;
    assert!((told - (swing(x) - swing(x + 0.5))).abs() < 0.05);
    let other = fit_state(&all.get(3), found.of_history(3), &settings);
    assert!(!other.swings());
}

#[test]
fn a_restless_member_gets_wider_bands_and_is_told() {
    let mut checks = fleet(41, 40, 20, 0.5, 0.05, 0.05, 0.05);
    let restless = 7;
    for (number, check) in checks[restless].iter_mut().enumerate() {
        check.1 += [0.35, -0.2, 0.15, -0.4, 0.25][number % 5];
    }
    for calm in (1..40).step_by(2).filter(|i| *i != restless) {
        let first = checks[calm][0].1;
        for check in &mut checks[calm] {
            check.1 = first + 0.3 * (check.1 - first);
        }
    }
    let all = class(checks, Some(1.0));
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    assert!(classes.parameters[0].own_scatter.degrees.is_finite());
    let fit = |i: usize| fit_state(&all.get(i), classes.of_history(i), &settings);
    let (loud, quiet) = (fit(restless), fit(1));
    let width = |fit: &super::super::Fit| fit.at(fit.last_x + 0.5).unwrap().u_reading;
    assert!(width(&loud) > 1.3 * width(&quiet));
    assert!(
        loud.notes
            .iter()
            .any(|n| n.contains("times as much as those of its class"))
    );
}
