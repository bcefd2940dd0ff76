use super::*;
use LifeModelName as Name;

/// Parameters of the published form turned into ours, with R(12): closed forms of
/// interval-practice table 3.3, evaluated there with scipy 1.17.1.
fn table() -> Vec<(Name, Vec<f64>, f64)> {
    vec![
        (Name::Exponential, vec![0.01], 0.886920),
        (
            Name::ImperfectStart,
            vec![-(0.99f64.ln()), 0.004],
            0.99 * (-0.048f64).exp(),
        ),
        (Name::Weibull, vec![0.02, 1.8], 0.926236),
        (
            Name::MixedExponential,
            vec![0.02 * 0.6, 1.0 / 0.6],
            0.878915,
        ),
        (Name::RandomWalk, vec![0.2, 0.05], 0.886154),
        (
            Name::RestrictedRandomWalk,
            vec![0.2, 1.5 * 0.05, 0.05],
            0.869038,
        ),
        (Name::Gamma, vec![1.0 / 14.0, 2.5], 0.887095),
        (Name::ModifiedGamma, vec![0.15], 0.891292),
        (Name::LinearHazard, vec![0.004, 0.0006], 0.874240),
        (Name::Warranty, vec![0.15, 26.0], 0.890903),
        (Name::NormalDrift, vec![2.4, 3.0 - 2.4, 0.09], 0.906560),
        (Name::Lognormal, vec![0.03, 0.9], 0.871848),
    ]
}

#[test]
fn values_at_twelve_months() {
    for (name, theta, expected) in table() {
        let r = reliability(name.model(), 12.0, &theta);
        near!(r, expected, 6e-7, "{name:?} {r} {expected}");
    }
}

#[test]
fn gradients_agree_with_differences() {
    for (name, theta, _) in table() {
        let model = name.model();
        for t in [1e-3, 0.7, 12.0, 60.0] {
            let (mut gradient, mut unused) = ([0.0; 3], [0.0; 3]);
            let value = model.ln_reliability(t, &theta, &mut gradient);
            for j in 0..theta.len() {
                let h = 1e-5 * theta[j];
                let mut at = |step: f64| {
                    let mut moved = theta.clone();
                    moved[j] += step;
                    model.ln_reliability(t, &moved, &mut unused)
                };
                let difference = (at(h) - at(-h)) / (2.0 * h);
                // The difference of two rounded values cannot be better than this.
                let rounding = 4.0 * f64::EPSILON * value.abs() / h;
                let error = (gradient[j] - difference).abs();
                assert!(
                    error < 1e-6 * difference.abs() + rounding,
                    "{name:?} {j} {t}"
                );
            }
        }
    }
}

/// NASA RP-1342 equations D.7 and D.8 and the closed-form intervals (checks 30, 58, 59).
#[test]
fn intervals_at_target() {
    let cases = [
        (
            Name::ImperfectStart,
            vec![-(0.99f64.ln()), 0.004],
            0.95,
            10.310740,
        ),
        (
            Name::ImperfectStart,
            vec![-(0.99f64.ln()), 0.004],
            0.85,
            38.117148,
        ),
        (Name::RandomWalk, vec![0.2, 0.05], 0.886153702, 12.0),
        (Name::Warranty, vec![0.15, 26.0], 0.890903179, 12.0),
    ];
    for (name, theta, target, expected) in cases {
        let t = time_at(name.model(), &theta, target);
        near!(t, expected, 5e-7 * expected.max(10.0), "{name:?} {t}");
    }
    let halfway = reliability(
        Name::ImperfectStart.model(),
        38.117148 / 2.0,
        &[-(0.99f64.ln()), 0.004],
    );
    near!(halfway, 0.917333, 1e-6);
}

#[test]
fn never_and_at_once() {
    let walk = Name::RestrictedRandomWalk.model();
    assert_eq!(time_at(walk, &[0.2, 0.01, 0.05], 0.5), f64::INFINITY);
    assert_eq!(time_at(Name::Warranty.model(), &[1.0, 1.0], 0.95), 0.0);
}

#[test]
fn reductions_join_without_a_step() {
    for name in Name::ALL.iter().copied() {
        let model = name.model();
        for reduction in model.reductions() {
            let mut theta = model.shapes()[0].to_vec();
            theta[reduction.parameter] = reduction.at;
            let at = reliability(model, 0.4, &theta);
            theta[reduction.parameter] = if reduction.at == 0.0 { 1e-9 } else { 30.0 };
            let near = reliability(model, 0.4, &theta);
            near!(at, near, 1e-8, "{name:?} {at} {near}");
        }
    }
}

#[test]
fn stretching_time_keeps_the_curve() {
    for (name, theta, _) in table() {
        let stretched = rescaled(name.model(), &theta, 2.5);
        let (a, b) = (
            reliability(name.model(), 12.0, &theta),
            reliability(name.model(), 12.0 / 2.5, &stretched),
        );
        near!(a, b, 1e-13, "{name:?}");
    }
}
