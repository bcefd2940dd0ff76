/*! Offsets of the sources of one class and unit, by least squares over all items that saw several.

Every item keeps a level of its own in each segment and a drift of its own; what is left of its
readings tells its sources apart. Level and drift are projected out of readings and of the sources'
columns item by item (R. Frisch and F. V. Waugh, Econometrica 1, 1933), so that the equations have
as many unknowns as there are sources. Their variance is the greater of that by the readings' u and
scatter and of that by how items differ (K.-Y. Liang and S. L. Zeger, Biometrika 73, 1986), since an
item may wander or step just where its source changes.
*/

use super::between::between_sources;
use crate::drift::series::readings::Reading;
use nalgebra::{DMatrix, DVector, SymmetricEigen};
use serde::{Deserialize, Serialize};

/// Share of its length below which a column has nothing left, and share of the largest information
/// below which a direction is not told: rounding.
const NOTHING: f64 = 1e-9;

/// What a column holds for a reading and its place.
type Column<'a> = &'a dyn Fn(usize, &Reading) -> f64;

/// One item's readings with the place of the source of each.
pub(super) struct Seen<'a> {
    pub readings: &'a [Reading],
    pub sources: &'a [usize],
}

/// What the class says of its sources.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Offsets {
    /// Offset of each, about their mean.
    pub offset: DVector<f64>,
    inverse: DMatrix<f64>,
    by_items: DMatrix<f64>,
    scatter: f64,
    /// Directions in which nothing is known.
    unknown: Vec<DVector<f64>>,
    /// Standard deviation of a random laboratory effect.
    pub between: f64,
}

/// What one item says: its part of the equations.
struct Part {
    information: DMatrix<f64>,
    right: DVector<f64>,
    squares: f64,
    freedom: f64,
}

impl Offsets {
    /// The offsets of `number` sources from the items that saw several of them; `None` where no
    /// item did, or where u is not stated and nothing tells how readings scatter.
    pub(crate) fn of<'a>(
        items: impl Iterator<Item = Seen<'a>>,
        number: usize,
        stated: bool,
    ) -> Option<Self> {
        let parts: Vec<Part> = items.map(|seen| Part::of(&seen, number, stated)).collect();
        let nothing = DVector::zeros(number);
        let zero = (DMatrix::zeros(number, number), nothing, 0.0, 0.0);
        let (information, right, squares, freedom) = parts.iter().fold(zero, |sum, part| {
            (
                sum.0 + &part.information,
                sum.1 + &part.right,
                sum.2 + part.squares,
                sum.3 + part.freedom,
            )
        });
        let eigen = SymmetricEigen::new(information);
        let most = eigen.eigenvalues.iter().copied().fold(0.0, f64::max);
        if most <= 0.0 || !most.is_finite() {
            return None;
        }
        let mut inverse = DMatrix::zeros(number, number);
        let (mut known, mut unknown) = (Vec::new(), Vec::new());
        for (value, vector) in eigen
            .eigenvalues
            .iter()
            .zip(eigen.eigenvectors.column_iter())
        {
            match *value > NOTHING * most {
                true => {
                    inverse += vector * vector.transpose() / *value;
                    known.push((vector.into_owned(), *value));
                }
                false => unknown.push(vector.into_owned()),
            }
        }
        let offset = &inverse * &right;
        let freedom = freedom - known.len() as f64;
        let of_readings = (squares - offset.dot(&right)).max(0.0) / freedom;
        let scatter = match (stated, freedom > 0.5) {
            (true, true) => of_readings.max(1.0),
            (true, false) => 1.0,
            (false, true) => of_readings,
            (false, false) => return None,
        };
        let contrasts = known
            .iter()
            .map(|(v, value)| (v.dot(&offset), scatter / value));
        Some(Self {
            between: between_sources(&contrasts.collect::<Vec<_>>()),
            by_items: by_items(&parts, &offset, &inverse),
            offset,
            inverse,
            scatter,
            unknown,
        })
    }

    /// What is added to a reading of source `from` to bring it to the level of source `to`, with its
    /// variance; `None` where nothing tells them apart from drift.
    pub(crate) fn change(&self, from: usize, to: usize) -> Option<(f64, f64)> {
        let mut contrast = DVector::zeros(self.offset.len());
        (contrast[to], contrast[from]) = (1.0, -1.0);
        // √2 is the contrast's length.
        let is_known = |v: &DVector<f64>| v.dot(&contrast).abs() < NOTHING.sqrt();
        let variance = |m: &DMatrix<f64>| contrast.dot(&(m * &contrast));
        self.unknown.iter().all(is_known).then(|| {
            let by_readings = self.scatter * variance(&self.inverse);
            (
                contrast.dot(&self.offset),
                by_readings.max(variance(&self.by_items)),
            )
        })
    }

    /// Standard uncertainty of an offset about the mean of those it can be compared with.
    pub(crate) fn u_of(&self, source: usize) -> f64 {
        (self.scatter * self.inverse[(source, source)])
            .max(self.by_items[(source, source)])
            .max(0.0)
            .sqrt()
    }
}

/// The variance of the offsets by how the items' parts differ; zero where one item alone tells them.
fn by_items(parts: &[Part], offset: &DVector<f64>, inverse: &DMatrix<f64>) -> DMatrix<f64> {
    let number = offset.len();
    let left = |part: &Part| &part.right - &part.information * offset;
    let sum = parts
        .iter()
        .map(left)
        .fold(DMatrix::zeros(number, number), |sum, left| {
            sum + &left * left.transpose()
        });
    let telling = parts
        .iter()
        .filter(|part| part.information.trace() > 0.0)
        .count() as f64;
    match telling > 1.0 {
        true => inverse * sum * inverse * (telling / (telling - 1.0)),
        false => DMatrix::zeros(number, number),
    }
}

impl Part {
    fn of(seen: &Seen<'_>, number: usize, stated: bool) -> Self {
        let weight = |reading: &Reading| if stated { 1.0 / reading.u } else { 1.0 };
        let weighted = |value: Column<'_>| -> DVector<f64> {
            let each = seen.readings.iter().enumerate();
            DVector::from_iterator(
                seen.readings.len(),
                each.map(|(i, reading)| value(i, reading) * weight(reading)),
            )
        };
        let own = own_columns(seen.readings, &weighted);
        let left = |mut column: DVector<f64>| {
            let whole = column.norm();
            for unit in own.iter().chain(&own) {
                column -= unit * unit.dot(&column);
            }
            if column.norm() < NOTHING * whole {
                column.fill(0.0);
            }
            column
        };
        let origin = seen.readings.first().map_or(0.0, |reading| reading.value);
        let values = left(weighted(&|_, reading| reading.value - origin));
        let columns: Vec<DVector<f64>> = (0..number)
            .map(|source| left(weighted(&|i, _| f64::from(seen.sources[i] == source))))
            .collect();
        Self {
            information: DMatrix::from_fn(number, number, |a, b| columns[a].dot(&columns[b])),
            right: DVector::from_fn(number, |a, _| columns[a].dot(&values)),
            squares: values.dot(&values),
            freedom: seen.readings.len() as f64 - own.len() as f64,
        }
    }
}

/// The columns of an item's own levels and drifts, made orthogonal and of length one.
fn own_columns(
    readings: &[Reading],
    weighted: &dyn Fn(Column<'_>) -> DVector<f64>,
) -> Vec<DVector<f64>> {
    let mut own: Vec<DVector<f64>> = Vec::new();
    let mut add = |mut column: DVector<f64>| {
        let whole = column.norm();
        for _ in 0..2 {
            for unit in &own {
                column -= unit * unit.dot(&column);
            }
        }
        if column.norm() > NOTHING * whole {
            own.push(column.normalize());
        }
    };
    let last = readings.last().copied().unwrap_or_default();
    for segment in 0..=last.segment {
        add(weighted(&|_, reading| {
            f64::from(reading.segment == segment)
        }));
    }
    for segment in 0..=last.drift_segment {
        let of_segment = |reading: &Reading| reading.drift_segment == segment;
        let origin = readings.iter().find(|r| of_segment(r)).map_or(0.0, |r| r.x);
        add(weighted(&|_, reading| match of_segment(reading) {
            true => reading.x - origin,
            false => 0.0,
        }));
    }
    own
}
