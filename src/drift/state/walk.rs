/*! The state model along one history: the forecast after each of its first checks, in one pass.

The filter's estimate after a check does not depend on later ones, so that all the forecasts of the
past cost one pass and not one each. Where the checks so far show a yearly swing, which is
taken out of all readings before they are filtered, or a u of the item's own that they share,
the fit is made anew.
*/

use super::annual::remove_annual_term;
use super::filter::StateFilter;
use super::fit::fit_state;
use super::fit::{Run, empty_fit, tells_no_drift};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::shared_u::kept_by;
use crate::drift::series::readings::{Reading, unread_end};
use crate::drift::{DriftSettings, Fit, ModelName};
use crate::records::History;
use std::sync::Arc;

/// Walks forward through one history.
pub(crate) struct StateWalk<'a> {
    history: &'a History<'a>,
    class: &'a ClassParameters,
    settings: &'a DriftSettings,
    scale: f64,
    readings: Vec<Reading>,
    filter: StateFilter<'a>,
    run: Run,
    pushed: usize,
    /// Readings so far, for the test of a swing.
    so_far: Vec<Reading>,
}

impl<'a> StateWalk<'a> {
    /// A walk that has seen nothing yet.
    pub(crate) fn new(
        history: &'a History<'a>,
        class: &'a ClassParameters,
        settings: &'a DriftSettings,
    ) -> Self {
        let mut readings = Vec::with_capacity(history.len() + 1);
        class.fill_readings(history, settings.axis, &mut readings);
        let scale = class.scale_of(history.item);
        Self {
            history,
            class,
            settings,
            scale,
            so_far: Vec::with_capacity(readings.len()),
            readings,
            filter: StateFilter::new(class, scale),
            run: Run::default(),
            pushed: 0,
        }
    }

    /// The fit of the first `rows` checks, with its forecast and its shared uncertainty only:
    /// what [`fit_state`] forecasts. Never fewer rows than the last time.
    pub(crate) fn of_first(&mut self, rows: usize) -> Fit {
        while let Some(reading) = self.readings.get(self.pushed) {
            if reading.check as usize >= rows {
                break;
            }
            if let Some(innovation) = self.filter.push(reading) {
                self.run.count(&innovation);
            }
            self.pushed += 1;
        }
        let readings = &self.readings[..self.pushed];
        self.so_far.clear();
        self.so_far.extend_from_slice(readings);
        let axis = self.settings.axis;
        let swings = remove_annual_term(&mut self.so_far, self.class, self.scale, axis).is_some();
        if swings || kept_by(&self.so_far, self.class) != 1.0 {
            return fit_state(&self.history.first(rows), self.class, self.settings);
        }
        let u_common = rows
            .checked_sub(1)
            .map_or(0.0, |last| self.history.u_common[last]);
        let unread = unread_end(&self.history.first(rows), self.settings.axis);
        let mut filter = self.filter.clone();
        filter.end(unread);
        let forecast = filter.forecast();
        let u_common = u_common.hypot(forecast.map_or(0.0, |forecast| forecast.u_common));
        let mut fit = empty_fit(ModelName::State, readings.len() as u32, u_common);
        let Some(mut forecast) = forecast else {
            return fit;
        };
        forecast.u_common = u_common;
        let finite =
            forecast.estimate.error.is_finite() && forecast.estimate.error_variance.is_finite();
        if finite && !tells_no_drift(&self.run, self.class, readings) {
            fit.motion = Some(Arc::new(forecast));
        }
        fit
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::class::classes::class_parameters;
    use crate::drift::diagnostics::suspects::tests::class_of_six;
    use crate::drift::fit_forecast;
    use crate::records::{Event, Histories};

    /// Every forecast of the walk is that of a fit of the first checks alone, to the last bit.
    fn agrees(all: &Histories) {
        let settings = DriftSettings::default();
        let classes = class_parameters(all, &settings);
        for index in 0..all.len() {
            let (history, class) = (all.get(index), classes.of_history(index));
            let mut walk = StateWalk::new(&history, class, &settings);
            for rows in 0..=history.len() {
                let walked = walk.of_first(rows);
                let alone = fit_forecast(&history.first(rows), class, &settings);
                assert_eq!(walked.u_common.to_bits(), alone.u_common.to_bits());
                for x in [30.0, 50.0, 60.0] {
                    let figures = |fit: &Fit| format!("{:?}", fit.at(x));
                    assert_eq!(figures(&walked), figures(&alone), "{index}, {rows} checks");
                }
            }
        }
    }

    #[test]
    fn the_walk_forecasts_what_the_fit_of_the_first_checks_does() {
        agrees(&class_of_six(&|check| if check == 7 { 2.0 } else { 0.0 }));
        let mut unstated = class_of_six(&|_| 0.0);
        unstated.columns.u.iter_mut().for_each(|u| *u = f64::NAN);
        unstated.columns.u_common.iter_mut().for_each(|u| *u = 0.02);
        agrees(&unstated);
        let mut adjusted = class_of_six(&|_| 0.1);
        for row in [4, 20, 21] {
            adjusted.columns.event[row] = Event::Adjusted;
            adjusted.columns.as_left[row] = 0.0;
        }
        agrees(&adjusted);
    }

    #[test]
    fn the_walk_knows_a_yearly_swing() {
        let mut all = class_of_six(&|_| 0.0);
        let dates = all.columns.date.clone();
        for (i, value) in all.columns.as_found.iter_mut().enumerate() {
            let phase = (i as f64 * 0.37).fract();
            all.columns.date[i] = dates[i] + 365.25 * (phase - 0.5) * 0.5;
            *value = 5.0 * (std::f64::consts::TAU * all.columns.date[i] / 365.25).sin();
        }
        agrees(&all);
    }
}
