//! Bands of the state model: on simulated classes and on the two published histories.

use super::*;

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

/// Share of readings `ahead` of the second inside the band that two readings an item gave, over
/// classes of two hundred checked half-yearly; `stated` is the u stated over the true one.
fn share_after_two(drift: f64, wander: f64, stated: f64, ahead: usize) -> f64 {
    let settings = DriftSettings::default();
    let (mut inside, mut total) = (0.0, 0.0);
    for seed in 0..40 {
        let mut full = fleet(3000 + seed, 200, 2 + ahead, 0.5, drift, wander, 0.1);
        for check in full.iter_mut().flatten() {
            check.3 *= stated;
        }
        let all = class(full.iter().map(|c| c[..2].to_vec()).collect(), Some(1.0));
        let classes = class_parameters(&all, &settings);
        for (i, checks) in full.iter().enumerate() {
            let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
            let next = &checks[1 + ahead];
            let (below, above) = fit.at(next.0).unwrap().reading(0.95);
            inside += f64::from(below <= next.1 && next.1 <= above);
            total += 1.0;
        }
    }
    inside / total
}

#[test]
fn two_readings_an_item_leave_every_explanation_open() {
    // From one difference an item, drift, wander and a u stated too small look alike. While
    // only the best explanation was lent, 90 % and 76 % of such readings fell inside. The goal
    // is 95 %; a u stated at half misses it. Held are these
    // shares, to 0.01; the standard error of a share of 8,000 is 0.003.
    for (drift, wander, stated, ahead, documented) in [
        (0.0, 0.3, 1.0, 1, 0.94),
        (0.15, 0.1, 0.5, 1, 0.92),
        (0.2, 0.03, 1.0, 6, 0.89),
    ] {
        let share = share_after_two(drift, wander, stated, ahead);
        println!("two checks: {share:.4}");
        assert!((share - documented).abs() < 0.01, "{share}");
    }
}

/// Share of next readings inside their bands, over classes of eight with `n` yearly checks.
fn share_in_small_classes(n: usize, wander: f64) -> f64 {
    let settings = DriftSettings::default();
    let (mut inside, mut total) = (0.0, 0.0);
    for seed in 0..400 {
        let full = fleet(7000 + seed, 8, n + 1, 1.0, 0.05, wander, 0.1);
        let all = class(full.iter().map(|c| c[..n].to_vec()).collect(), Some(1.0));
        let classes = class_parameters(&all, &settings);
        for (i, checks) in full.iter().enumerate() {
            let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
            let (below, above) = fit.at(n as f64).unwrap().reading(0.95);
            inside += f64::from(below <= checks[n].1 && checks[n].1 <= above);
            total += 1.0;
        }
    }
    inside / total
}

#[test]
fn small_classes_that_wander_are_not_taken_for_calm_ones() {
    // While the prior of the wander was log-normal about 0.06, a class of few readings was
    // pulled to calm: 0.90, 0.92 and 0.94 of the next readings of the first three fell inside.
    // 3,200 readings a share, eight of a class depend on each other: standard error 0.005.
    let cells = [
        (3, 0.24),
        (4, 0.24),
        (5, 0.24),
        (3, 0.12),
        (5, 0.12),
        (4, 0.0),
    ];
    let shares = cells.map(|(n, wander)| share_in_small_classes(n, wander));
    println!("small classes: {shares:?}");
    assert!(shares.iter().all(|share| *share > 0.93), "{shares:?}");
}

/// Weight of the explanations by wander, not drifts, of a class of wandering members.
#[test]
fn more_readings_close_all_explanations_but_one() {
    let by_wander = |n| {
        let all = class(fleet(9, 200, n, 0.5, 0.0, 0.3, 0.1), Some(1.0));
        let class = &class_parameters(&all, &DriftSettings::default()).parameters[0];
        let wanders = class.nodes.iter().filter(|node| node.rates.wander > 0.04);
        wanders.map(|node| node.weight).sum::<f64>()
    };
    assert!((0.1..0.9).contains(&by_wander(2)), "{}", by_wander(2));
    assert!(by_wander(8) > 0.99, "{}", by_wander(8));
}

#[test]
fn a_small_class_does_not_promise_that_nothing_fails_suddenly() {
    // Classes of six with three yearly checks; failures at 0.04 a year. What is said of the next
    // two years, over all classes, exceeds what happens, exp(−0.08), by less than 0.02. With a
    // prior of 0.3 failures in 15 years it was 0.024 more.
    let settings = DriftSettings::default();
    let mut random = Pcg64::seed_from_u64(4);
    let (mut said, mut total) = (0.0, 0.0);
    for seed in 0..500 {
        let mut checks = fleet(9000 + seed, 6, 3, 1.0, 0.02, 0.02, 0.1);
        for item in &mut checks {
            let fails = -random.random::<f64>().ln() / 0.04;
            let failed = item.iter_mut().filter(|check| check.0 > fails);
            failed.for_each(|check| check.1 += 3.0);
        }
        let all = class(checks, Some(1.0));
        let classes = class_parameters(&all, &settings);
        let fit = fit_state(&all.get(0), classes.of_history(0), &settings);
        said += fit.at(4.0).unwrap().no_step;
        total += 1.0;
    }
    let (said, true_share) = (said / total, f64::exp(-0.08));
    println!("said {said:.4}, true {true_share:.4}");
    assert!((said - true_share).abs() < 0.02, "{said}");
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
        let inside = |fit: &crate::drift::Fit, i: usize| {
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
