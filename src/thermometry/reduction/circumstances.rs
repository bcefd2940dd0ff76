/*! What the readings of one session share: point, resistor, cell, depth. */

use super::ReferenceResistor;
use crate::thermometry::ThermometryError;
use crate::thermometry::its90::{Reference, TRIPLE_POINT_K, TRIPLE_POINT_SLOPE};
use crate::thermometry::readings::{Cell, RawReading, ReadingPoint};

/// Circumstances of the readings of one thermometer in one session.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Circumstances {
    pub point: ReadingPoint,
    /// Reference resistor at its mean temperature; `None` where resistances were given.
    pub resistor: Option<ReferenceResistor>,
    pub cell: Cell,
    /// Mean depth, m; NaN where it was not noted.
    pub depth_m: f64,
}

impl Circumstances {
    /// From readings in order of time; of what should be equal, the first that states it counts.
    pub(crate) fn of(sorted: &[&RawReading]) -> Option<Self> {
        let first = sorted.first()?;
        let temperature = mean(
            sorted
                .iter()
                .filter_map(|r| r.resistor.map(|s| s.temperature_c)),
        );
        let resistors = sorted.iter().filter_map(|r| r.resistor);
        let resistor = resistors
            .reduce(ReferenceResistor::or)
            .map(|r| ReferenceResistor {
                temperature_c: temperature,
                ..r
            });
        let named = sorted.iter().find(|r| !r.cell.name.is_empty());
        Some(Self {
            point: first.point,
            resistor,
            cell: named.unwrap_or(first).cell.clone(),
            depth_m: mean(sorted.iter().map(|r| r.depth_m)),
        })
    }

    /// One resistor has one certificate: another value among the readings is a mistake.
    ///
    /// # Errors
    /// Two values, uncertainties, drifts or coefficients of the reference resistor.
    pub(crate) fn agree(&self, readings: &[&RawReading]) -> Result<(), ThermometryError> {
        let found = self.resistor.and_then(|known| {
            let all = readings.iter().filter_map(|r| r.resistor);
            all.filter_map(|r| known.contradicts(&r)).next()
        });
        found.map_or(Ok(()), |(first, other)| {
            Err(ThermometryError::ResistorChanges { first, other })
        })
    }

    /// What one unit of the readings is in Ω: the resistor for ratios, 1 for resistances.
    pub(crate) fn scale(&self) -> f64 {
        self.resistor.map_or(1.0, |r| r.value())
    }
}

/// Mean of the finite values; NaN where there is none.
fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values.filter(|v| v.is_finite()) {
        sum += value;
        count += 1.0;
    }
    sum / count
}

/// (dR/dT)/R at the point's assigned temperature, 1/K, on the reference function.
pub(crate) fn relative_slope(point: ReadingPoint) -> f64 {
    let kelvin = point.kelvin();
    if kelvin == TRIPLE_POINT_K {
        return TRIPLE_POINT_SLOPE;
    }
    Reference::Joined.slope(kelvin) / Reference::Joined.ratio(kelvin)
}
