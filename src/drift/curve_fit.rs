/*! A regression as a [`Fit`]: its coefficients in powers of x − origin, in the person's units. */

use super::Reading;
use super::design::Term;
use super::fit::{Coefficient, Fit, ModelName, Motion, Status};
use super::regression::Regression;
use std::f64::consts::TAU;

/// Wraps a fitted regression.
pub(super) fn from_regression(
    model: ModelName,
    readings: &[Reading],
    origin: f64,
    curve: Regression,
) -> Fit {
    let last_x = readings.last().map_or(f64::NAN, |r| r.x);
    let no_scatter = !curve.u_known && curve.residual_freedom <= 0.0;
    let (drift, u_drift) = curve.drift(last_x);
    Fit {
        model,
        status: if no_scatter {
            Status::LevelOnly
        } else {
            Status::Estimated
        },
        readings: readings.len() as u32,
        degrees_of_freedom: curve.degrees_of_freedom,
        residual_deviation: curve.residual_deviation,
        excess_u: curve.excess_u,
        chi_squared: curve.chi_squared,
        drift_per_year: drift,
        u_drift_per_year: u_drift,
        wander_per_sqrt_year: 0.0,
        own_share: 1.0,
        u_common: curve.u_common,
        last_x,
        origin,
        coefficients: coefficients(&curve, origin),
        choice: None,
        suspects: Vec::new(),
        stepped: false,
        notes: Vec::new(),
        motion: if no_scatter {
            Motion::None
        } else {
            Motion::Regression(Box::new(curve))
        },
    }
}

const POWERS: [&str; 10] = [
    "intercept",
    "slope",
    "power_2",
    "power_3",
    "power_4",
    "power_5",
    "power_6",
    "power_7",
    "power_8",
    "power_9",
];

/// Coefficients in powers of x − `origin`: the internal powers expanded by the binomial theorem.
fn coefficients(curve: &Regression, origin: f64) -> Vec<Coefficient> {
    let t = (origin - curve.centre) / curve.scale;
    let phase = TAU * origin;
    let has_power = |drift: u32| {
        curve.terms.iter().any(
            |term| matches!(term, Term::Power { drift_segment, .. } if *drift_segment == drift),
        )
    };
    let drift_of = |segment: u32| {
        let start = curve.starts.iter().find(|(_, s, _)| *s == segment);
        start.map_or(0, |(_, _, drift)| *drift)
    };
    let several = curve.starts.first().map(|s| s.2) != curve.starts.last().map(|s| s.2);
    let row = |wanted: &Term| -> Vec<f64> {
        let entry = |term: &Term| match (wanted, term) {
            (Term::Level(a), Term::Level(b)) => f64::from(a == b),
            (
                Term::Level(segment),
                Term::Power {
                    drift_segment,
                    power,
                },
            ) if drift_of(*segment) == *drift_segment => t.powi(*power as i32),
            (
                Term::Power {
                    drift_segment: a,
                    power: j,
                },
                Term::Power {
                    drift_segment: b,
                    power: k,
                },
            ) if a == b && k >= j => {
                binomial(*k, *j) * t.powi((k - j) as i32) / curve.scale.powi(*j as i32)
            }
            (Term::Cosine, Term::Cosine) | (Term::Sine, Term::Sine) => phase.cos(),
            (Term::Cosine, Term::Sine) => phase.sin(),
            (Term::Sine, Term::Cosine) => -phase.sin(),
            _ => 0.0,
        };
        curve.terms.iter().map(entry).collect()
    };
    let name = |term: &Term| match term {
        Term::Level(segment) if !has_power(drift_of(*segment)) => (Some(*segment), "level"),
        Term::Level(segment) => (Some(*segment), POWERS[0]),
        Term::Power {
            drift_segment,
            power,
        } => {
            let start = curve.starts.iter().find(|s| s.2 == *drift_segment);
            let segment = start.filter(|_| several).map(|s| s.1);
            (segment, POWERS[(*power as usize).min(9)])
        }
        Term::Cosine => (None, "cosine"),
        Term::Sine => (None, "sine"),
    };
    let describe = |term: &Term| {
        let (estimate, variance) = curve.combine(&row(term));
        let (segment, term) = name(term);
        Coefficient {
            segment,
            term,
            estimate,
            standard_error: variance.sqrt(),
        }
    };
    curve.terms.iter().map(describe).collect()
}

fn binomial(n: u32, k: u32) -> f64 {
    (0..k)
        .map(|i| f64::from(n - i) / f64::from(i + 1))
        .product()
}
