/*! The design of a regression with segments: which columns, and their entries. */

use super::column::Column;
use super::least_squares::LeastSquaresError;
use crate::drift::regression::year_dates::Seen;
use crate::drift::series::readings::Reading;
use crate::stats::DoubleDouble;
use std::f64::consts::TAU;
use std::ops::Range;

/// What the curve consists of beside one level per segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shape {
    /// Highest power of the axis: 0 constant, 1 line, 2 parabola, up to 10.
    pub degree: u32,
    /// True for an annual sine and cosine (time axis in years).
    pub annual: bool,
    /// False for a curve that is zero where the axis is: the first segment has no level then.
    /// One that an event opens was set, and keeps its own.
    pub intercept: bool,
}

#[cfg(test)]
impl Shape {
    /// A polynomial with an intercept.
    pub(crate) fn of_degree(degree: u32) -> Self {
        Self {
            degree,
            annual: false,
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
        drift_segment: u32,
        /// Power, from 1.
        power: u32,
    },
    /// cos 2πx.
    Cosine,
    /// sin 2πx.
    Sine,
}

impl Term {
    /// The readings of which the term says something; segments count up along the readings.
    fn reach(self, readings: &[Reading]) -> Range<usize> {
        let of = |wanted: u32, segment: fn(&Reading) -> u32| {
            let from = readings.partition_point(|r| segment(r) < wanted);
            let to = readings.partition_point(|r| segment(r) <= wanted);
            from..to
        };
        match self {
            Term::Level(segment) => of(segment, |r| r.segment),
            Term::Power { drift_segment, .. } => of(drift_segment, |r| r.drift_segment),
            Term::Cosine | Term::Sine => 0..readings.len(),
        }
    }
}

/// Where the terms of a design stand that say something of one segment.
#[derive(Debug, Clone, Default)]
pub(crate) struct Places {
    /// Segment and place of its level, by segment.
    levels: Vec<(u32, usize)>,
    /// Drift segment and places of its powers, by drift segment.
    powers: Vec<(u32, Range<usize>)>,
    annual: Range<usize>,
}

impl Places {
    /// Of the terms as [`terms`] puts them: in order of time, the season last.
    pub(crate) fn of(terms: &[Term]) -> Self {
        let mut places = Self {
            annual: terms.len()..terms.len(),
            ..Self::default()
        };
        for (i, term) in terms.iter().enumerate() {
            match term {
                Term::Level(segment) => places.levels.push((*segment, i)),
                Term::Power { drift_segment, .. } => match places.powers.last_mut() {
                    Some((same, range)) if same == drift_segment => range.end = i + 1,
                    _ => places.powers.push((*drift_segment, i..i + 1)),
                },
                Term::Cosine | Term::Sine => {
                    places.annual = places.annual.start.min(i)..i + 1;
                }
            }
        }
        places
    }

    pub(crate) fn level(&self, segment: u32) -> Option<usize> {
        let at = self.levels.binary_search_by_key(&segment, |level| level.0);
        at.ok().map(|at| self.levels[at].1)
    }

    pub(crate) fn powers(&self, drift_segment: u32) -> Range<usize> {
        let at = self.powers.binary_search_by_key(&drift_segment, |p| p.0);
        at.map_or(0..0, |at| self.powers[at].1.clone())
    }

    /// Places of cosine and sine.
    pub(crate) fn annual(&self) -> Range<usize> {
        self.annual.clone()
    }

    /// All that says something of a segment, in order.
    pub(crate) fn of_segment(&self, segment: u32, drift: u32) -> impl Iterator<Item = usize> {
        let powers = self.powers(drift).chain(self.annual());
        self.level(segment).into_iter().chain(powers)
    }
}

/// The internal axis `t = (x − centre)/scale`.
pub(crate) struct Axis {
    pub centre: f64,
    pub scale: f64,
}

impl Axis {
    /// About the mean x; without an intercept about zero, since centring would bring it back.
    pub(crate) fn of(readings: &[Reading], intercept: bool) -> Self {
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

    pub(crate) fn columns(&self, terms: &[Term], readings: &[Reading]) -> Vec<Column> {
        let entry = |term: &Term, r: &Reading| self.entry(*term, r.x, r.segment, r.drift_segment);
        let column = |term: &Term| {
            let reach = term.reach(readings);
            Column {
                from: reach.start,
                values: readings[reach].iter().map(|r| entry(term, r)).collect(),
            }
        };
        terms.iter().map(column).collect()
    }

    pub(crate) fn entry(&self, term: Term, x: f64, segment: u32, drift: u32) -> DoubleDouble {
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

/// Dates nearer than this part of the even spacing that a degree needs (span over degree) count
/// as one: a parabola through two checks of one week and a third years away is no more than
/// their scatter, enlarged without bound. Ours, no source.
const NEAR: f64 = 0.1;

/// Columns that the readings can carry: a level per segment, powers as far as the dates of
/// each drift segment allow, a season where they spread over the year.
pub(crate) fn terms(readings: &[Reading], shape: Shape) -> Result<Vec<Term>, LeastSquaresError> {
    let mut terms = Vec::new();
    let last = readings.last().map_or(0, |r| r.drift_segment);
    for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
        let near = match shape.degree {
            0 | 1 => 0.0,
            degree => NEAR * span(drift) / f64::from(degree),
        };
        let (mut dates, mut apart) = (0, 0);
        for level in drift.chunk_by(|a, b| a.segment == b.segment) {
            let has_level = shape.intercept || level[0].segment != readings[0].segment;
            let mut x: Vec<f64> = level.iter().map(|r| r.x).collect();
            x.sort_unstable_by(f64::total_cmp);
            if has_level {
                terms.push(Term::Level(level[0].segment));
            } else {
                // Where x is zero the curve is too, whatever its coefficients.
                x.retain(|x| *x != 0.0);
            }
            let taken = u32::from(has_level);
            x.dedup();
            dates += x.len() as u32 - taken;
            x.dedup_by(|later, kept| *later - *kept <= near);
            apart += x.len() as u32 - taken;
        }
        let drift_segment = drift[0].drift_segment;
        let coefficients = shape.degree as usize + usize::from(shape.intercept);
        if drift_segment == last && apart < shape.degree {
            return Err(match dates < shape.degree {
                true => LeastSquaresError::TooFew {
                    readings: drift.len(),
                    coefficients,
                },
                false => LeastSquaresError::TooClose(coefficients),
            });
        }
        let powers = 1..=shape.degree.min(apart);
        terms.extend(powers.map(|power| Term::Power {
            drift_segment,
            power,
        }));
    }
    if shape.annual {
        if Seen::by(readings) != Seen::Both {
            return Err(LeastSquaresError::OneTimeOfYear);
        }
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

/// From the first to the last x.
fn span(readings: &[Reading]) -> f64 {
    let x = || readings.iter().map(|r| r.x);
    x().fold(f64::NEG_INFINITY, f64::max) - x().fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: &[f64], degree: u32, annual: bool) -> Result<usize, LeastSquaresError> {
        let reading = |x: &f64| Reading {
            x: *x,
            value: 0.0,
            u: 0.1,
            ..Reading::default()
        };
        let readings: Vec<Reading> = x.iter().map(reading).collect();
        let shape = Shape {
            degree,
            annual,
            intercept: true,
        };
        terms(&readings, shape).map(|terms| terms.len())
    }

    #[test]
    fn dates_of_one_week_are_one_date_to_a_parabola() {
        let close = Err(LeastSquaresError::TooClose(3));
        assert_eq!(at(&[40.0, 40.01, 50.0], 2, false), close);
        assert_eq!(at(&[40.0, 45.0, 50.0], 2, false), Ok(3));
        assert_eq!(at(&[40.0, 40.01, 40.02], 2, false), Ok(3));
        assert_eq!(at(&[40.0, 40.01, 50.0], 1, false), Ok(2));
        let few = LeastSquaresError::TooFew {
            readings: 2,
            coefficients: 3,
        };
        assert_eq!(at(&[40.0, 50.0], 2, false), Err(few));
    }

    #[test]
    fn a_season_needs_dates_that_spread_over_the_year() {
        let every = |gap: f64| -> Vec<f64> {
            let stray = |i: i32| f64::from(i * 7 % 11 - 5) / 600.0;
            (0..16)
                .map(|i| 40.3 + gap * f64::from(i) + stray(i))
                .collect()
        };
        let refused = Err(LeastSquaresError::OneTimeOfYear);
        assert_eq!(at(&every(1.0), 1, true), refused);
        assert_eq!(at(&every(0.5), 1, true), refused);
        assert_eq!(at(&every(0.25), 1, true), Ok(4));
    }
}
