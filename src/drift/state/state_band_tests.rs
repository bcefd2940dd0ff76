//! Bands of the state model: on simulated classes and on the two published histories.

use super::*;

#[test]
fn bands_cover_95_percent_in_classes_of_two_hundred() {
    // 20,000 seeded histories for each number of checks; the reading one step ahead. The goal is
    // 0.005.
    for n in [3, 5, 12, 40] {
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
        near!(share, 0.95, 0.005, "{n} checks: {share}");
    }
}

/// Share of readings inside their 95 % bands, and its Monte Carlo error: members of a class share
/// what is known of it, so the error is that of the mean over classes.
struct Share {
    inside: f64,
    error: f64,
}

impl Share {
    /// From the share of each class.
    fn of(classes: &[f64]) -> Self {
        let count = classes.len() as f64;
        let inside = classes.iter().sum::<f64>() / count;
        let squares: f64 = classes.iter().map(|share| (share - inside).powi(2)).sum();
        let error = (squares / (count - 1.0) / count).sqrt();
        Self { inside, error }
    }

    /// Holds the aim of 0.95, or `short` where the code is known to miss it, to within chance (one
    /// in a hundred by the Monte Carlo error).
    fn hold(&self, cell: &str, short: Option<f64>) {
        println!("{cell}: {:.4} ± {:.4}", self.inside, self.error);
        let chance = 2.576 * self.error;
        let expected = short.unwrap_or(0.95);
        let off = self.inside - expected;
        assert!(
            off.abs() < chance,
            "{cell}: {} ± {}",
            self.inside,
            self.error
        );
    }
}

/// Share of each class's readings `ahead` of the `n`-th inside the band that the first `n` gave.
fn shares(full: impl Iterator<Item = Vec<Vec<Check>>>, n: usize, ahead: usize) -> Share {
    let settings = DriftSettings::default();
    let of_class = |full: Vec<Vec<Check>>| {
        let all = class(full.iter().map(|c| c[..n].to_vec()).collect(), Some(1.0));
        let classes = class_parameters(&all, &settings);
        let inside = |(i, checks): (usize, &Vec<Check>)| {
            let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
            let next = &checks[n - 1 + ahead];
            let (below, above) = fit.at(next.0).unwrap().reading(0.95);
            f64::from(below <= next.1 && next.1 <= above)
        };
        full.iter().enumerate().map(inside).sum::<f64>() / full.len() as f64
    };
    Share::of(&full.map(of_class).collect::<Vec<_>>())
}

#[test]
fn two_readings_an_item_leave_every_explanation_open() {
    // From one difference an item, drift, wander and a u stated too small look alike. While
    // only the best explanation was lent, 90 % and 76 % of the readings of the first two fell
    // inside. All three are short of the aim of 95 %: the last (drifters three years ahead) since
    // wander and readings worse than stated explain two readings as well as drifts do.
    for (drift, wander, stated, ahead, short) in [
        (0.0, 0.3, 1.0, 1, 0.9445),
        (0.15, 0.1, 0.5, 1, 0.9227),
        (0.2, 0.03, 1.0, 6, 0.8870),
    ] {
        let fleets = (0..40).map(|seed| {
            let mut full = fleet(3000 + seed, 200, 2 + ahead, 0.5, drift, wander, 0.1);
            for check in full.iter_mut().flatten() {
                check.3 *= stated;
            }
            full
        });
        let cell = format!("drift {drift}, wander {wander}, u stated {stated}, {ahead} ahead");
        shares(fleets, 2, ahead).hold(&cell, Some(short));
    }
}

#[test]
fn small_classes_that_wander_are_not_taken_for_calm_ones() {
    // Classes of eight checked yearly. While the prior of the wander was log-normal about 0.06, a
    // class of few readings was pulled to calm: 0.90, 0.92 and 0.94 of the next readings of the
    // first three fell inside. What few readings cannot tell stays with the prior: it is still
    // short of the aim for those that wander most and on the safe side for the calm ones.
    for (n, wander, short) in [
        (3, 0.24, Some(0.9369)),
        (4, 0.24, Some(0.9356)),
        (5, 0.24, None),
        (3, 0.12, Some(0.9669)),
        (5, 0.12, None),
        (4, 0.0, Some(0.9769)),
    ] {
        let fleets = (0..400).map(|seed| fleet(7000 + seed, 8, n + 1, 1.0, 0.05, wander, 0.1));
        shares(fleets, n, 1).hold(&format!("{n} checks, wander {wander}"), short);
    }
}

/// Weight of the explanations by wander, not drifts, of a class of wandering members.
#[test]
fn more_readings_close_all_explanations_but_one() {
    let by_wander = |n| {
        let all = class(fleet(9, 200, n, 0.5, 0.0, 0.3, 0.1), Some(1.0));
        let class = &class_parameters(&all, &DriftSettings::default()).parameters[0];
        let wanders = class
            .quadrature_points
            .iter()
            .filter(|point| point.rates.wander > 0.04);
        wanders.map(|point| point.weight).sum::<f64>()
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
    near!(said, true_share, 0.02);
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
