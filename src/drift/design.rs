/*! The design of a regression with segments: which columns, and their entries. */

use super::Reading;
use super::least_squares::LeastSquaresError;
use crate::stats::DoubleDouble;
use std::f64::consts::TAU;

/// What the curve consists of beside one level per segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// Highest power of the axis: 0 constant, 1 line, 2 parabola, up to 10.
    pub degree: u32,
    /// True for an annual sine and cosine (time axis in years).
    pub season: bool,
    /// False for a curve that is zero where the axis is: the first segment has no level then.
    /// One that an event opens was set, and keeps its own.
    pub intercept: bool,
}

impl Shape {
    /// A polynomial with an intercept.
    pub fn of_degree(degree: u32) -> Self {
        Self {
            degree,
            season: false,
            intercept: true,
        }
    }
}

/// One column of the design.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Term {
    /// Level of a segment.
    Level(u32),
    /// Power of the axis in a drift segment.
    Power {
        /// Drift segment.
        drift_segment: u32,
        /// Power, from 1.
        power: u32,
    },
    /// cos 2πx.
    Cosine,
    /// sin 2πx.
    Sine,
}

/// The internal axis `t = (x − centre)/scale`.
pub(super) struct Axis {
    pub centre: f64,
    pub scale: f64,
}

impl Axis {
    /// About the mean x; without an intercept about zero, since centring would bring it back.
    pub fn of(readings: &[Reading], intercept: bool) -> Self {
        let n = readings.len().max(1) as f64;
        let centre: f64 = match intercept {
            true => readings.iter().map(|r| r.x / n).sum(),
            false => 0.0,
        };
        let reach = readings
            .iter()
            .map(|r| (r.x - centre).abs())
            .fold(0.0, f64::max);
        Axis {
            centre,
            scale: if reach > 0.0 { reach } else { 1.0 },
        }
    }

    pub fn columns(&self, terms: &[Term], readings: &[Reading]) -> Vec<Vec<DoubleDouble>> {
        let entry = |term: &Term, r: &Reading| self.entry(*term, r.x, r.segment, r.drift_segment);
        let column = |term: &Term| readings.iter().map(|r| entry(term, r)).collect();
        terms.iter().map(column).collect()
    }

    pub fn entry(&self, term: Term, x: f64, segment: u32, drift: u32) -> DoubleDouble {
        match term {
            Term::Level(of) => DoubleDouble::from(f64::from(of == segment)),
            Term::Power {
                drift_segment,
                power,
            } if drift_segment == drift => {
                (DoubleDouble::difference(x, self.centre) / self.scale).power(power)
            }
            Term::Power { .. } => DoubleDouble::ZERO,
            Term::Cosine => DoubleDouble::from((TAU * x).cos()),
            Term::Sine => DoubleDouble::from((TAU * x).sin()),
        }
    }
}

/// Columns that the readings can carry: a level per segment, powers as far as the dates of
/// each drift segment allow.
pub(super) fn terms(readings: &[Reading], shape: Shape) -> Result<Vec<Term>, LeastSquaresError> {
    let mut terms = Vec::new();
    let last = readings.last().map_or(0, |r| r.drift_segment);
    for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
        let mut dates = 0;
        for level in drift.chunk_by(|a, b| a.segment == b.segment) {
            let has_level = shape.intercept || level[0].segment != readings[0].segment;
            let mut x: Vec<f64> = level.iter().map(|r| r.x).collect();
            x.sort_unstable_by(f64::total_cmp);
            x.dedup();
            if has_level {
                terms.push(Term::Level(level[0].segment));
                dates += x.len() as u32 - 1;
            } else {
                // Where x is zero the curve is too, whatever its coefficients.
                dates += x.iter().filter(|x| **x != 0.0).count() as u32;
            }
        }
        let drift_segment = drift[0].drift_segment;
        if drift_segment == last && dates < shape.degree {
            return Err(LeastSquaresError::TooFew {
                readings: drift.len(),
                coefficients: shape.degree as usize + usize::from(shape.intercept),
            });
        }
        let powers = 1..=shape.degree.min(dates);
        terms.extend(powers.map(|power| Term::Power {
            drift_segment,
            power,
        }));
    }
    if shape.season {
        terms.extend([Term::Cosine, Term::Sine]);
    }
    if terms.is_empty() {
        return Err(LeastSquaresError::TooFew {
            readings: 0,
            coefficients: 1,
        });
    }
    Ok(terms)
}
