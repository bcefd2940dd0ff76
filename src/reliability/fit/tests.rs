use super::*;
use crate::records::DAYS_PER_YEAR;
use crate::reliability::models::reliability;
use crate::reliability::outcomes::Outcomes;
use LifeModelName as Name;

/// Example data A of interval-practice 3.5: 112 checks, months since renewal.
pub(crate) fn data_a() -> Outcomes {
    let mut outcomes = Outcomes::default();
    let table = [
        (3, 14, 14),
        (6, 20, 19),
        (9, 22, 21),
        (12, 24, 21),
        (18, 20, 16),
        (24, 12, 7),
    ];
    for (t, n, g) in table {
        outcomes
            .add_checks(f64::from(t) * DAYS_PER_YEAR, g, n - g)
            .unwrap();
    }
    outcomes
}

/// Example data B of interval-practice 3.6: twelve lives, months.
fn data_b() -> Outcomes {
    let mut outcomes = Outcomes::default();
    let never = f64::INFINITY;
    let lives = [
        (0.0, 6.0),
        (6.0, 12.0),
        (12.0, 18.0),
        (6.0, 12.0),
        (12.0, never),
        (18.0, never),
        (12.0, 18.0),
        (0.0, 6.0),
        (18.0, 24.0),
        (24.0, never),
        (12.0, never),
        (6.0, never),
    ];
    for (after, before) in lives {
        outcomes
            .add_lives(after * DAYS_PER_YEAR, before * DAYS_PER_YEAR, 1)
            .unwrap();
    }
    outcomes
}

fn fitted(name: Name, outcomes: &Outcomes) -> LifeFit {
    fit(name, &LifeData::new(outcomes)).unwrap()
}

/// Interval-practice 3.5 (scipy 1.17.1 Nelder–Mead; exponential, Weibull and lognormal
/// also R 4.2.2 survreg): ln L to the six decimals given, times to the digits given.
#[test]
fn data_a_log_likelihoods_and_times() {
    let table = [
        (Name::Exponential, -37.090036, [13.5795, 8.8036, 4.2859]),
        (Name::Weibull, -35.667893, [14.0574, 11.3497, 7.9553]),
        (Name::Gamma, -35.697744, [13.8180, 11.1499, 7.9191]),
        (Name::ModifiedGamma, -36.295034, [14.2025, 12.1525, 9.5166]),
        (Name::Lognormal, -35.770385, [13.4302, 10.8128, 7.8416]),
        (Name::RandomWalk, -36.067953, [13.0692, 10.0101, 7.0501]),
        (
            Name::RestrictedRandomWalk,
            -36.067953,
            [13.0692, 10.0101, 7.0501],
        ),
        (
            Name::MixedExponential,
            -37.090036,
            [13.5795, 8.8036, 4.2859],
        ),
        (Name::LinearHazard, -35.668653, [14.0340, 11.2997, 7.8842]),
        (Name::Warranty, -35.793522, [15.2857, 12.4365, 7.8345]),
        (Name::NormalDrift, -35.732788, [14.8793, 12.1155, 8.0190]),
    ];
    for (name, ln_likelihood, times) in table {
        let fit = fitted(name, &data_a());
        let difference = fit.ln_likelihood - ln_likelihood;
        assert!(difference.abs() < 6e-7, "{name:?} {}", fit.ln_likelihood);
        for (target, expected) in [0.85, 0.90, 0.95].into_iter().zip(times) {
            let t = time_at(name.model(), &fit.theta, target);
            // Nelder–Mead stops about here in a flat direction.
            near!(t, expected, 1.5e-4, "{name:?} {target}: {t} {expected}");
        }
    }
}

#[test]
fn data_a_parameters() {
    let close = |a: f64, b: f64, digits: f64| assert!((a / b - 1.0).abs() < digits, "{a} {b}");
    let exponential = fitted(Name::Exponential, &data_a());
    close(exponential.theta[0], 0.01196793, 5e-7);
    // Observed information, R survreg: se(ln λ) 0.2677994.
    let variance = exponential.covariance.unwrap()[(0, 0)];
    close(variance.sqrt(), 0.2677994, 3e-7);
    let weibull = fitted(Name::Weibull, &data_a());
    close(weibull.theta[0], 0.0290100, 2e-6);
    // R survreg: scale 0.4936622, the inverse of the shape.
    close(1.0 / weibull.theta[1], 0.4936622, 2e-7);
    let covariance = weibull.covariance.unwrap();
    close(covariance[(0, 0)], 0.079662, 1e-5);
    close(covariance[(0, 1)], 0.081209, 1e-5);
    close(covariance[(1, 1)], 0.106197, 1e-5);
    close(fitted(Name::Gamma, &data_a()).theta[1], 2.484684, 1e-5);
}

#[test]
fn data_a_models_that_reduce_say_so() {
    let mixed = fitted(Name::MixedExponential, &data_a());
    assert_eq!(
        (mixed.became, mixed.theta[1]),
        (Some(Name::Exponential), 0.0)
    );
    let restricted = fitted(Name::RestrictedRandomWalk, &data_a());
    assert_eq!(restricted.became, Some(Name::RandomWalk));
    assert_eq!(fitted(Name::LinearHazard, &data_a()).theta[0], 0.0);
    assert_eq!(fitted(Name::RandomWalk, &data_a()).theta[0], 0.0);
    assert_eq!(fitted(Name::Weibull, &data_a()).became, None);
}

/// Interval-practice 3.6: R 4.2.2 survreg on interval-censored lives.
#[test]
fn data_b_interval_censored() {
    let weibull = fitted(Name::Weibull, &data_b());
    assert!((weibull.ln_likelihood + 15.057348).abs() < 6e-7);
    near!(1.0 / weibull.theta[0], 18.596566, 1e-5);
    near!(weibull.theta[1], 1.622730, 1e-6);
    let t = time_at(Name::Weibull.model(), &weibull.theta, 0.85);
    near!(t, 6.069542, 1e-5);
    let exponential = fitted(Name::Exponential, &data_b());
    near!(exponential.theta[0], 0.04794701, 1e-8);
    assert!((exponential.ln_likelihood + 15.745384).abs() < 6e-7);
}

/// Interval-practice check 16: all results at one interval.
#[test]
fn one_interval_has_a_closed_form() {
    let mut outcomes = Outcomes::default();
    outcomes.add_checks(12.0 * DAYS_PER_YEAR, 27, 13).unwrap();
    let fit = fitted(Name::Exponential, &outcomes);
    near!(fit.theta[0], 0.03275355, 5e-9);
    let two = super::fit(Name::Weibull, &LifeData::new(&outcomes));
    says!(two.unwrap_err().to_string(), "distinct times");
}

#[test]
fn no_failure_has_no_maximum() {
    let mut outcomes = Outcomes::default();
    outcomes.add_checks(365.0, 14, 0).unwrap();
    assert!(fit(Name::Exponential, &LifeData::new(&outcomes)).is_err());
    assert!(fit(Name::Exponential, &LifeData::new(&Outcomes::default())).is_err());
}

#[test]
fn scaling_time_scales_the_fit() {
    let mut slower = Outcomes::default();
    for (days, inside, outside) in data_a().checks() {
        slower.add_checks(3.7 * days, inside, outside).unwrap();
    }
    for name in Name::ALL.iter().copied() {
        let (a, b) = (fitted(name, &data_a()), fitted(name, &slower));
        let r = |f: &LifeFit, t| reliability(name.model(), t, &f.theta);
        let (x, y) = (r(&a, 10.0), r(&b, 37.0));
        near!(x, y, 1e-7, "{name:?} {x} {y}");
    }
}
