/*! Checks against independent libraries: tests/reference/reliability. */

use super::fit::{LifeFit, fit};
use super::models::reliability;
use super::*;
use crate::records::DAYS_PER_YEAR;
use crate::reliability::likelihood::LifeData;
use crate::reliability::monotone::monotone;
use crate::reliability::outcomes::Outcomes;
use crate::reliability::profile::Profile;
use crate::reliability::turnbull::never_failed;
use crate::stats::{mean_limits, proportion_limits, proportion_lower};
use serde_json::Value;

pub(super) fn file(name: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/reliability/");
    std::fs::read_to_string(format!("{folder}{name}")).unwrap()
}

pub(super) fn json(name: &str) -> Value {
    serde_json::from_str(&file(name)).unwrap()
}

/// A number, or a text of more digits than a double holds.
fn number(value: &Value) -> f64 {
    let text = || value.as_str().and_then(|s| s.parse().ok());
    value.as_f64().or_else(text).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

fn outcomes300() -> Outcomes {
    let mut outcomes = Outcomes::default();
    for line in file("outcomes300.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let inside = u64::from(cells[2] == "true");
        outcomes
            .add_checks(cells[1].parse().unwrap(), inside, 1 - inside)
            .unwrap();
    }
    outcomes
}

fn close(a: f64, b: f64, relative: f64, what: &str) {
    assert!((a - b).abs() <= relative * b.abs(), "{what}: {a} {b}");
}

fn fitted(name: LifeModelName) -> LifeFit {
    fit(name, &LifeData::new(&outcomes300())).unwrap()
}

/// mpmath to 25 digits (Weibull, exponential) and R survreg (lognormal):
/// ln L to 1e-8, parameters to 1e-6 relative; here tighter.
#[test]
fn fits_agree() {
    let python = json("outcomes300_py.json");
    let exact = &python["results"]["exact"];
    let weibull = fitted(LifeModelName::Weibull);
    let expected = number(&exact["weibull"]["log_likelihood"]);
    near!(weibull.ln_likelihood, expected, 1e-10);
    close(
        weibull.theta[1],
        number(&exact["weibull"]["shape"]),
        1e-9,
        "shape",
    );
    let scale = DAYS_PER_YEAR / weibull.theta[0];
    close(
        scale,
        number(&exact["weibull"]["scale_days"]),
        1e-9,
        "scale",
    );
    let covariance = weibull.covariance.as_ref().unwrap();
    // ln scale = −ln rate and ln σ = −ln shape, so the covariance is the same.
    for (i, j) in [(0, 0), (0, 1), (1, 1)] {
        let expected = number(&exact["weibull"]["covariance_mu_log_sigma"][i][j]);
        close(covariance[(i, j)], expected, 1e-7, "covariance");
    }
    let exponential = fitted(LifeModelName::Exponential);
    let rate = number(&exact["exponential"]["rate_per_day"]);
    close(exponential.theta[0] / DAYS_PER_YEAR, rate, 1e-10, "rate");
    let expected = number(&exact["exponential"]["log_likelihood"]);
    near!(exponential.ln_likelihood, expected, 1e-10);
    let lognormal = fitted(LifeModelName::Lognormal);
    let r = &json("outcomes300_r.json")["results"]["lognormal"];
    assert!((lognormal.ln_likelihood - number(&r["log_likelihood"])).abs() < 1e-8);
    close(lognormal.theta[1], number(&r["scale_sigma"]), 1e-8, "sigma");
    let mu = (DAYS_PER_YEAR / lognormal.theta[0]).ln();
    close(mu, number(&r["intercept_mu"]), 1e-8, "mu");
}

#[test]
fn reliability_and_time_to_target_agree() {
    let python = json("outcomes300_py.json");
    for (name, word) in [
        (LifeModelName::Weibull, "weibull"),
        (LifeModelName::Exponential, "exponential"),
    ] {
        let fit = fitted(name);
        let exact = &python["results"]["exact"][word];
        let days = numbers(&exact["reliability"]["days"]);
        for (t, expected) in days.iter().zip(numbers(&exact["reliability"]["r"])) {
            close(
                reliability(name.model(), t / DAYS_PER_YEAR, &fit.theta),
                expected,
                1e-9,
                "R",
            );
        }
        let times = &exact["time_to_target"];
        let targets = numbers(&times["target"]);
        for (i, expected) in numbers(&times["days"]).into_iter().enumerate() {
            let t = TargetKind::EndOfPeriod.interval(name.model(), &fit.theta, targets[i]);
            close(t * DAYS_PER_YEAR, expected, 1e-8, "time");
        }
    }
}

/// scipy root finding on its own Nelder–Mead profile: good to about 1e-6.
#[test]
fn profile_limits_agree() {
    let expected = json("outcomes300_py.json")["results"]["weibull"]["time_to_target"].clone();
    let data = LifeData::new(&outcomes300());
    let fit = fit(LifeModelName::Weibull, &data).unwrap();
    let mut profile = Profile::new(&fit, &data, TargetKind::EndOfPeriod);
    let lower = numbers(&expected["profile_lower_95"]);
    let upper = numbers(&expected["profile_upper_95"]);
    for (i, target) in numbers(&expected["target"]).into_iter().enumerate() {
        let limits = profile.interval_limits(target, 0.95).unwrap();
        close(limits.lower * DAYS_PER_YEAR, lower[i], 1e-6, "lower");
        close(limits.upper * DAYS_PER_YEAR, upper[i], 1e-6, "upper");
    }
}

/// R `isoreg` on pooled ties.
#[test]
fn monotone_estimate_agrees() {
    let expected = &json("outcomes300_r.json")["results"]["npmle"];
    let steps = monotone(&outcomes300()).unwrap();
    let days = numbers(&expected["days"]);
    assert_eq!(steps.len(), days.len());
    let levels = numbers(&expected["reliability_from_this_day"]);
    for (step, level) in steps.iter().zip(levels) {
        close(step.reliability, level, 1e-14, "level");
    }
}

/// statsmodels `proportion_confint`: twelve digits.
#[test]
fn exact_limits_of_proportions_agree() {
    let cases = json("outcomes300_py.json")["results"]["proportions"].clone();
    for case in cases.as_array().unwrap() {
        let (count, n) = (case["count"].as_u64().unwrap(), case["n"].as_u64().unwrap());
        let expected = numbers(&case["clopper_pearson_95"]);
        let (lower, upper) = proportion_limits(count, n, 0.95);
        close(lower, expected[0], 1e-12, "lower");
        close(upper, expected[1], 1e-12, "upper");
        let one_sided = number(&case["clopper_pearson_lower_one_sided_95"]);
        close(
            proportion_lower(count, n, 0.05),
            one_sided,
            1e-12,
            "one-sided",
        );
    }
}

/// R `poisson.test`: twelve digits.
#[test]
fn exact_limits_of_rates_agree() {
    let rates = json("outcomes300_r.json")["results"]["poisson"]["rates"].clone();
    let lower = numbers(&rates["exact_lower_95"]);
    let upper = numbers(&rates["exact_upper_95"]);
    for (i, line) in file("group_counts.csv").lines().skip(1).enumerate() {
        let cells: Vec<&str> = line.split(',').collect();
        let exposure: f64 = cells[1].parse().unwrap();
        let (low, high) = mean_limits(cells[2].parse().unwrap(), 0.95);
        close(low / exposure, lower[i], 1e-12, "lower");
        close(high / exposure, upper[i], 1e-12, "upper");
    }
}

/// 100,000 outcomes over ten years are no more terms of the likelihood than days, in and out.
#[test]
fn a_fit_grows_with_days_and_not_with_outcomes() {
    let mut outcomes = Outcomes::default();
    let mut state = 1u64;
    for _ in 0..100_000 {
        state = state
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        let days = 1.0 + ((state >> 33) % 3650) as f64;
        let chance = ((state >> 11) % (1 << 22)) as f64 / f64::from(1 << 22);
        let inside = u64::from((-(days / 2000.0).powf(1.6)).exp() > chance);
        outcomes.add_checks(days, inside, 1 - inside).unwrap();
    }
    assert!(outcomes.lives().count() <= 2 * 3650);
    let fit = fit(LifeModelName::Weibull, &LifeData::new(&outcomes)).unwrap();
    near!(fit.theta[1], 1.6, 0.05);
}

/// Lives with several checks: where the estimate steps and how high it stands there, as plain
/// expectation and maximisation outside gives it.
#[test]
fn the_share_that_never_failed_agrees() {
    let mut largest: f64 = 0.0;
    for case in json("lives_py.json").as_array().unwrap() {
        let mut outcomes = Outcomes::default();
        for life in case["lives"].as_array().unwrap() {
            let before = life[1].as_f64().unwrap_or(f64::INFINITY);
            outcomes.add_lives(number(&life[0]), before, 1).unwrap();
        }
        let (found, expected) = (never_failed(&outcomes), case["steps"].as_array().unwrap());
        for (found, expected) in found.iter().zip(expected) {
            assert_eq!(
                [found.days, found.last_days],
                [number(&expected[0]), number(&expected[1])]
            );
            largest = largest.max((found.reliability - number(&expected[2])).abs());
        }
        assert_eq!(found.len(), expected.len());
    }
    println!("largest difference {largest:.1e}");
    assert!(largest < 1e-7, "{largest}");
}
