//! The yearly swings in the readings that a class is fitted on: when in the year each stands, and the readings without them.

use super::annual::ClassAnnualTerm;
use super::annual_trace::phase;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::regression::year_dates::tell_of_swings;
use crate::drift::series::readings::{Axis, Reading};
use crate::drift::state::annual::remove_annual_term;
use nalgebra::{Vector2, Vector4};

/// When in the year a datum stands.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Phase {
    /// Cosine and sine of the calendar year; zero where the dates of the member show no swing.
    cosine: f64,
    sine: f64,
    /// The first datum of a member.
    pub begins: bool,
}

impl Phase {
    /// Those of a member's data at these dates, which show a swing or not.
    pub(super) fn of_member(dates: impl Iterator<Item = f64>, shows: bool) -> Vec<Self> {
        let of = |(i, x)| {
            let turn = if shows { phase(x) } else { Vector2::zeros() };
            Self {
                cosine: turn[0],
                sine: turn[1],
                begins: i == 0,
            }
        };
        dates.enumerate().map(of).collect()
    }

    /// How a reading moves with cosine and sine, which are the last two of four states.
    pub(crate) fn across(&self) -> Vector4<f64> {
        Vector4::new(0.0, 0.0, self.cosine, self.sine)
    }
}

/// The class as it is known before its readings are taken without their yearly swings.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known<'a> {
    pub(super) class: &'a ClassParameters,
    /// How it swings is not sought anew.
    swing_stands: bool,
}

impl<'a> Known<'a> {
    /// A class whose swing, if it has one, is sought anew by its rates.
    pub(crate) fn new(class: &'a ClassParameters) -> Self {
        Self {
            class,
            swing_stands: false,
        }
    }

    /// The same, its swing as it is known.
    pub(crate) fn whose_swing_stands(self) -> Self {
        Self {
            swing_stands: true,
            ..self
        }
    }
}

/// Takes the clear yearly swings out of the members' readings: how the class swings by the
/// rates of `known`, and how many members do.
pub(super) fn remove_annual_terms(
    chosen: &mut [(f64, Vec<Reading>)],
    known: Known<'_>,
    size: f64,
    axis: Axis,
) -> (ClassAnnualTerm, u32) {
    let Known {
        class: known,
        swing_stands,
    } = known;
    let annual = match axis {
        Axis::Time if swing_stands => known.annual,
        Axis::Time if known.annual.has_annual_term() => {
            let trace = |(scale, readings): &(f64, Vec<Reading>)| {
                known.annual.trace(readings, known, *scale * size)
            };
            let showing = chosen.iter().filter(|(_, r)| tell_of_swings(r));
            ClassAnnualTerm::of(&showing.map(trace).collect::<Vec<_>>())
        }
        _ => ClassAnnualTerm::default(),
    };
    let class = ClassParameters {
        annual,
        ..known.clone()
    };
    let mut annual_members = 0;
    for (member, (scale, readings)) in chosen.iter_mut().enumerate() {
        let Some(found) = remove_annual_term(readings, &class, *scale * size, axis) else {
            continue;
        };
        annual_members += 1;
        // The likeliest swing takes part of the scatter with it; a plausible one does not
        // (imputation: M. A. Tanner and W. H. Wong, 1987).
        if class.annual.has_annual_term() {
            found.take_plausible(member, readings);
        }
    }
    (annual, annual_members)
}

/// When in the year each datum of a sample stands; none where the dates of no member show a swing.
pub(super) fn phases(chosen: &[(f64, Vec<Reading>)]) -> Vec<Phase> {
    let mut phases = Vec::new();
    let mut shown = false;
    for (_, readings) in chosen {
        let shows = tell_of_swings(readings);
        shown |= shows;
        let dates = readings
            .iter()
            .flat_map(|reading| reading.unread_since.into_iter().chain([reading.x]));
        phases.extend(Phase::of_member(dates, shows));
    }
    if shown { phases } else { Vec::new() }
}
