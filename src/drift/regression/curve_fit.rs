/*! A regression as a [`Fit`]: its coefficients in powers of x − origin, in the person's units. */

use super::design::Term;
use super::fit::Regression;
use crate::drift::Prediction;
use crate::drift::fit::{Coefficient, Curve, Fit, Motion};
use crate::drift::model_name::ModelName;
use crate::drift::series::harmonic_u::harmonic_u;
use crate::drift::series::readings::Reading;
use crate::drift::status::Status;
use crate::stats::DoubleDouble;
use std::f64::consts::TAU;
use std::sync::Arc;

/// Wraps a fitted regression.
pub(crate) fn from_regression(
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
        residual_deviation: match curve.u_known {
            true => curve.residual_deviation * harmonic_u(readings),
            false => curve.residual_deviation,
        },
        excess_u: curve.excess_u,
        chi_squared: curve.chi_squared,
        drift_per_year: drift,
        u_drift_per_year: u_drift,
        wander_per_sqrt_year: 0.0,
        shrinkage_weight: 1.0,
        u_common: curve.u_common,
        last_x,
        origin,
        coefficients: coefficients(&curve, origin),
        motion: if no_scatter {
            None
        } else {
            Some(Arc::new(curve))
        },
        ..Fit::default()
    }
}

const POWERS: [&str; 11] = [
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
    "power_10",
];

/// Coefficients in powers of x − `origin`: the internal powers expanded by the binomial theorem,
/// still in double-double, and rounded to double once, at the end.
fn coefficients(curve: &Regression, origin: f64) -> Vec<Coefficient> {
    let expansion = Expansion::of(curve, origin);
    let describe = |term: &Term| {
        let entry = |i: usize| (i, expansion.entry(term, &curve.terms[i]));
        let row: Vec<(usize, DoubleDouble)> = expansion.parts(term).map(entry).collect();
        let (estimate, standard_error) = curve.combine(&row);
        let (segment, term) = expansion.name(term);
        Coefficient {
            segment,
            term,
            estimate,
            standard_error,
        }
    };
    curve.terms.iter().map(describe).collect()
}

/// The change from the internal axis to x − `origin`.
struct Expansion<'a> {
    curve: &'a Regression,
    /// Place of the origin on the internal axis.
    t: DoubleDouble,
    scale: DoubleDouble,
    /// Angle of the origin in the year.
    phase: f64,
}

impl<'a> Expansion<'a> {
    fn of(curve: &'a Regression, origin: f64) -> Self {
        Self {
            curve,
            t: DoubleDouble::difference(origin, curve.centre) / curve.scale,
            scale: curve.scale.into(),
            phase: TAU * origin,
        }
    }

    fn drift_of(&self, segment: u32) -> u32 {
        let starts = &self.curve.starts;
        let at = starts.binary_search_by_key(&segment, |start| start.1);
        at.map_or(0, |at| starts[at].2)
    }

    /// Places of the internal terms that have a part in the coefficient of `wanted`.
    fn parts(&self, wanted: &Term) -> Box<dyn Iterator<Item = usize>> {
        let places = &self.curve.places;
        match wanted {
            Term::Level(segment) => {
                let powers = places.powers(self.drift_of(*segment));
                Box::new(places.level(*segment).into_iter().chain(powers))
            }
            Term::Power { drift_segment, .. } => Box::new(places.powers(*drift_segment)),
            Term::Cosine | Term::Sine => Box::new(places.annual()),
        }
    }

    /// Part of the coefficient of `internal` in that of `wanted`.
    fn entry(&self, wanted: &Term, internal: &Term) -> DoubleDouble {
        match (wanted, internal) {
            (Term::Level(_), Term::Level(_)) => DoubleDouble::ONE,
            (Term::Level(_), Term::Power { power, .. }) => self.t.power(*power),
            (Term::Power { power: j, .. }, Term::Power { power: k, .. }) if k >= j => {
                self.t.power(k - j) * binomial(*k, *j) / self.scale.power(*j)
            }
            (Term::Cosine, Term::Cosine) | (Term::Sine, Term::Sine) => self.phase.cos().into(),
            (Term::Cosine, Term::Sine) => self.phase.sin().into(),
            (Term::Sine, Term::Cosine) => (-self.phase.sin()).into(),
            _ => DoubleDouble::ZERO,
        }
    }

    /// Segment and name of a term; no segment where all share it.
    fn name(&self, term: &Term) -> (Option<u32>, &'static str) {
        let has_power = |drift: u32| !self.curve.places.powers(drift).is_empty();
        let starts = &self.curve.starts;
        let several = starts.first().map(|s| s.2) != starts.last().map(|s| s.2);
        match term {
            Term::Level(segment) if !has_power(self.drift_of(*segment)) => {
                (Some(*segment), "level")
            }
            Term::Level(segment) => (Some(*segment), POWERS[0]),
            Term::Power {
                drift_segment,
                power,
            } => {
                let first = starts.partition_point(|s| s.2 < *drift_segment);
                let start = starts.get(first);
                let segment = start.filter(|_| several).map(|s| s.1);
                (segment, POWERS[(*power as usize).min(POWERS.len() - 1)])
            }
            Term::Cosine => (None, "cosine"),
            Term::Sine => (None, "sine"),
        }
    }
}

/// n over k; exact for the degrees that a model may have.
fn binomial(n: u32, k: u32) -> f64 {
    (0..k).fold(1.0, |product, i| {
        product * f64::from(n - i) / f64::from(i + 1)
    })
}

impl Motion for Regression {
    fn at(&self, x: f64) -> Option<Prediction> {
        Regression::at(self, x)
    }

    fn fitted(&self, x: f64) -> Option<Prediction> {
        Regression::fitted(self, x)
    }

    fn drift_freedom(&self) -> f64 {
        self.degrees_of_freedom
    }

    fn has_annual_term(&self) -> bool {
        self.terms.contains(&Term::Cosine)
    }

    fn curve(&self) -> Curve<'_> {
        Curve::Regression(self)
    }
}
