/*! What the straight lines of a class share. */

use super::drifts::{PooledDrift, pool_drifts};
use super::lines::LineSums;
use crate::drift::class::basis::Basis;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::{Axis, Reading, fill_readings};
use crate::records::History;

/// What the lines of a class share, in its scale; `None` where fewer than three members show
/// a drift, or there is no scatter about them.
pub(crate) fn pooled_of_class(
    basis: &Basis<'_>,
    class: &ClassParameters,
    axis: Axis,
) -> Option<PooledDrift> {
    let all = basis.histories.iter();
    let readings: Vec<Vec<Reading>> = all.map(|history| scaled(history, class, axis)).collect();
    // Weights of some and none of others would mix two units of variance.
    let stated = readings.iter().flatten().all(|reading| reading.u > 0.0);
    let sums: Vec<LineSums> = readings
        .iter()
        .filter_map(|readings| sums(readings, stated))
        .collect();
    pool_drifts(&sums)
}

/// The readings of a history in the class's scale.
pub(super) fn scaled(history: &History<'_>, class: &ClassParameters, axis: Axis) -> Vec<Reading> {
    let mut readings = Vec::with_capacity(history.len() + 1);
    fill_readings(history, axis, &mut readings);
    let scale = class.scale_of(history.item);
    for reading in &mut readings {
        reading.value /= scale;
        reading.u /= scale;
    }
    readings
}

pub(super) fn sums(readings: &[Reading], stated: bool) -> Option<LineSums> {
    if stated {
        return LineSums::of(readings);
    }
    let alike = |r: &Reading| Reading { u: f64::NAN, ..*r };
    LineSums::of(&readings.iter().map(alike).collect::<Vec<_>>())
}
