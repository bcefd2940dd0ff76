/*! Straight lines drawn to those of their class by partial pooling (`[drift] borrow = "class"`): each history's
drift is drawn to those of its class by as much as it is uncertain, see [`super::drifts`].

The classes are those of the state model. Values are pooled in the class's scale (tolerance
half-widths, where every member states a tolerance), so that items of unlike tolerance may
lend to each other. Of a history the segments since its drift started anew enter.
*/

use super::drifts::{PooledDrift, PooledLine};
use super::lines::LineSums;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::diagnostics::notes;
use crate::drift::diagnostics::tests::diagnose;
use crate::drift::per_year::per_year;
use crate::drift::pooled::of_class::scaled;
use crate::drift::pooled::of_class::sums;
use crate::drift::regression::shared_u::shared_u;
use crate::drift::series::readings::{Axis, fill_readings};
use crate::drift::state::forecast::StateForecast;
use crate::drift::suspect::Suspect;
use crate::drift::{Coefficient, DriftSettings, Fit, ModelName, Status};
use crate::records::History;
use std::sync::Arc;

/// The line of one history with what its class lends; its own line, and why, where the class
/// has nothing to lend.
pub(crate) fn fit_pooled(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
    own: impl FnOnce() -> Fit,
) -> Fit {
    let readings = scaled(history, class, settings.axis);
    let found = class.pooled.as_ref().and_then(|pooled| {
        let sums = sums(&readings, pooled.u_stated)?;
        Some((pooled, sums))
    });
    let Some((pooled, sums)) = found else {
        let mut fit = own();
        if !readings.is_empty() {
            fit.notes.push(
                "its own line alone: the class has fewer than three histories that show a drift, or no scatter about them, to borrow from"
                    .into(),
            );
        }
        return fit;
    };
    let line = pooled.line_of(&sums);
    let forecast = unscaled(pooled.forecast(&sums), class.scale_of(history.item));
    let mut fit = figures(history, &sums, &line, pooled, forecast, class);
    if settings.axis == Axis::Usage {
        per_year(&mut fit, history);
    }
    let whole = fit.drift_per_year.is_finite() || settings.axis == Axis::Usage;
    if !(whole && forecast.estimate.error.is_finite()) {
        fit.status = Status::Failed;
        fit.motion = None;
        fit.notes
            .push("the values are too large or too small to compute with; check their unit".into());
        return fit;
    }
    let mut readings = Vec::new();
    fill_readings(history, settings.axis, &mut readings);
    let found = diagnose(&fit, &readings, settings.axis);
    let suspects = found.outliers.iter();
    fit.suspects = suspects.filter_map(|o| Suspect::of(o, &readings)).collect();
    notes::add(&mut fit, &readings, history, &found);
    fit
}

fn figures(
    history: &History<'_>,
    sums: &LineSums,
    line: &PooledLine,
    pooled: &PooledDrift,
    forecast: StateForecast,
    class: &ClassParameters,
) -> Fit {
    let scale = class.scale_of(history.item);
    let u_common = shared_u(history);
    let back = sums.last - sums.origin;
    let estimate = &forecast.estimate;
    let at_origin = estimate.error_variance
        + back * (back * estimate.drift_variance - 2.0 * estimate.covariance);
    let coefficient =
        |term, estimate: f64, variance: f64| Coefficient::shared(term, estimate, variance.max(0.0));
    let own = line.shrinkage_weight;
    Fit {
        model: ModelName::Line,
        status: if own < 0.5 {
            Status::FromClass
        } else {
            Status::Estimated
        },
        readings: sums.count,
        degrees_of_freedom: forecast.degrees_of_freedom,
        // Over the weights, so that it is in the unit also where these are those of the stated u.
        residual_deviation: scale
            * (line.variance * f64::from(sums.current) / sums.moments[0]).sqrt(),
        drift_per_year: forecast.estimate.drift,
        u_drift_per_year: forecast.estimate.drift_variance.max(0.0).sqrt(),
        wander_per_sqrt_year: 0.0,
        shrinkage_weight: own,
        class_drift_per_year: pooled.mean() * scale,
        u_common,
        last_x: sums.last,
        origin: sums.origin,
        coefficients: vec![
            coefficient(
                "intercept",
                estimate.error - back * estimate.drift,
                at_origin,
            ),
            coefficient("slope", estimate.drift, estimate.drift_variance),
        ],
        notes: vec![share_words(own, sums, pooled)],
        motion: Some(Arc::new(StateForecast {
            u_common,
            ..forecast
        })),
        ..Fit::default()
    }
}

fn share_words(own: f64, sums: &LineSums, pooled: &PooledDrift) -> String {
    let readings = match sums.count {
        1 => "reading".into(),
        count => format!("{count} readings"),
    };
    format!(
        "{:.0} % of what is known of the drift comes from its own {readings}, the rest is borrowed from the lines of {} histories of its class",
        100.0 * own,
        pooled.items
    )
}

/// The forecast in the history's unit.
fn unscaled(mut forecast: StateForecast, scale: f64) -> StateForecast {
    let square = scale * scale;
    forecast.estimate.error *= scale;
    forecast.estimate.drift *= scale;
    forecast.estimate.error_variance *= square;
    forecast.estimate.covariance *= square;
    forecast.estimate.drift_variance *= square;
    forecast.noise *= square;
    forecast
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::diagnostics::suspects::tests::class_of_six;
    use crate::drift::fit::Curve;
    use crate::drift::registry::fit_history;
    use crate::drift::settings::Pooling;
    use crate::drift::testing::*;

    fn settings() -> DriftSettings {
        DriftSettings {
            model: ModelName::Line,
            borrow: Pooling::Class,
            ..DriftSettings::default()
        }
    }

    fn fit_of(all: &Histories, index: usize) -> Fit {
        let classes = class_parameters(all, &settings());
        fit_model(&all.get(index), classes.of_history(index), &settings())
    }

    /// Of the first item only one reading is left: its drift is the class's, its level its own.
    #[test]
    fn one_reading_borrows_the_drift_and_says_so() {
        let mut all = class_of_six(&|_| 0.0);
        all.columns.as_found[1..12]
            .iter_mut()
            .for_each(|v| *v = f64::NAN);
        let fit = fit_of(&all, 0);
        assert_eq!(fit.status, Status::FromClass);
        assert!(fit.shrinkage_weight < 0.05, "{}", fit.shrinkage_weight);
        near!(fit.drift_per_year, 0.05, 0.02);
        says!(fit.notes[0], "its own reading, the rest");
        let ahead = fit.at(fit.last_x + 5.0).unwrap();
        assert!(ahead.u_error > 0.0 && ahead.u_reading > ahead.u_error);
        // A member with twelve readings keeps near its own line.
        let own = fit_history(&all.get(1), &settings(), ModelName::Line);
        let pooled = fit_of(&all, 1);
        near!(
            pooled.drift_per_year,
            own.drift_per_year,
            own.u_drift_per_year
        );
        assert!(pooled.u_drift_per_year < own.u_drift_per_year);
    }

    #[test]
    fn unit_and_tolerance_scale_change_nothing() {
        let all = class_of_six(&|_| 0.0);
        let mut thousand = all.clone();
        let columns = &mut thousand.columns;
        columns.as_found.iter_mut().for_each(|v| *v *= 1000.0);
        columns.u.iter_mut().for_each(|u| *u *= 1000.0);
        for item in &mut thousand.items {
            item.tolerance = crate::records::Tolerance::new(-2000.0, 2000.0);
        }
        let (small, large) = (fit_of(&all, 2), fit_of(&thousand, 2));
        near!(
            large.drift_per_year / small.drift_per_year / 1000.0,
            1.0,
            1e-6
        );
        let at = |fit: &Fit| fit.at(fit.last_x + 1.0).unwrap();
        near!(
            at(&large).u_reading / at(&small).u_reading / 1000.0,
            1.0,
            1e-6
        );
    }

    #[test]
    fn a_class_of_two_has_nothing_to_lend() {
        let mut all = class_of_six(&|_| 0.0);
        for (i, item) in all.items.iter_mut().enumerate() {
            item.group = format!("class {}", i / 2);
        }
        let fit = fit_of(&all, 0);
        assert!(matches!(fit.curve(), Curve::Line));
        assert!(
            fit.notes
                .iter()
                .any(|note| note.starts_with("its own line alone"))
        );
    }
}
