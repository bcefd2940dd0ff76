/*! One-step residuals: each reading against what the item's own drift model predicted from the
readings before it.

In units of the standard deviation that was predicted they are independent and standard normal
as long as the item keeps drifting as it did (the innovations of R. E. Kalman's filter), so that a
drift gives no signal and a change does. Where the forecast is Student's t the residual is the
normal value that is as probable. What the class lends is what the run knows of it; of the item
itself nothing later than the reading before counts.
*/

use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Axis;
use crate::drift::state::walk::StateWalk;
use crate::drift::{DriftSettings, ModelName, Prediction, fit_forecast};
use crate::records::{DAYS_PER_YEAR, History};
use crate::stats::{cumulative, normal_quantile};

/// One reading against its prediction, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Residual {
    /// Row of the history.
    pub row: usize,
    /// What was expected.
    pub expected: f64,
    /// Standard deviation of the reading about it.
    pub deviation: f64,
    /// The residual as a standard normal value.
    pub z: f64,
}

/// The residual of every reading that the readings before it predict. The first one after an
/// event has none: what the item was left at is not known better than by that reading.
pub(crate) fn residuals(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Vec<Residual> {
    let mut walk =
        (settings.model == ModelName::State).then(|| StateWalk::new(history, class, settings));
    let mut found = Vec::with_capacity(history.len());
    for row in 1..history.len() {
        let value = history.as_found[row];
        let unread = history.happened(row - 1).moves_value() && history.left(row - 1).is_nan();
        if !value.is_finite() || unread || moved_before(history, row) {
            continue;
        }
        let fit = match &mut walk {
            Some(walk) => walk.of_first(row),
            None => fit_forecast(&history.first(row), class, settings),
        };
        let x = match settings.axis {
            Axis::Time => history.date[row] / DAYS_PER_YEAR,
            Axis::Usage => history.usage[row],
        };
        let residual = fit.at(x).map(|p| (p, standardised(&p, value)));
        if let Some((predicted, z)) = residual.filter(|(_, z)| z.is_finite()) {
            found.push(Residual {
                row,
                expected: predicted.expected,
                deviation: predicted.u_reading,
                z,
            });
        }
    }
    found
}

/// True where the value moved before the check of `row` that reports it: after a shock, or where a
/// repair, annealing or replacement states one value as found and as left.
fn moved_before(history: &History<'_>, row: usize) -> bool {
    let event = history.happened(row);
    event.restarts_drift() && (!event.moves_value() || history.left(row) == history.as_found[row])
}

/// The normal value that is as probable as `value` about its prediction. The tail is taken on
/// the nearer side, where it keeps its digits.
fn standardised(predicted: &Prediction, value: f64) -> f64 {
    let t = (value - predicted.expected) / predicted.u_reading;
    if predicted.degrees_of_freedom.is_infinite() {
        return t;
    }
    let tail = cumulative(-t.abs(), predicted.degrees_of_freedom);
    // Beyond what a double can tell the value is as far as can be told.
    let far = normal_quantile(tail.max(f64::MIN_POSITIVE)).abs();
    far * t.signum()
}
