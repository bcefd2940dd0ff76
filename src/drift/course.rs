/*! A fit along the calendar: on the usage axis a day stands for the use that the item will have
had by then, which is itself not known exactly ([`UseRate`]).

The forecast is then a mixture over the use: its mean and variance by Gauss–Hermite quadrature of
three points (exact for polynomials up to the fifth degree; M. Abramowitz and I. A. Stegun, Handbook
of Mathematical Functions, 25.4.46 and table 25.10), its degrees of freedom by Welch–Satterthwaite
(JCGM 100:2008, G.4, equation G.2b).
*/

use super::prediction::mixture;
use super::series::readings::Axis;
use super::series::use_rate::{NoUseRate, UseRate};
use super::{Fit, Prediction};
use crate::records::{DAYS_PER_YEAR, History};

/// Nodes in standard deviations, and weights, for a normal density.
const NODES: [(f64, f64); 3] = [(-SQRT_3, 1.0 / 6.0), (0.0, 2.0 / 3.0), (SQRT_3, 1.0 / 6.0)];
const SQRT_3: f64 = 1.732_050_807_568_877_2;

/// What a fit says of any day.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Course<'a> {
    fit: &'a Fit,
    /// Rate of use, on the usage axis.
    usage: Option<UseRate>,
}

impl<'a> Course<'a> {
    /// The course of `fit`, which is that of `history`.
    ///
    /// # Errors
    /// On the usage axis, why the use to come is not known.
    pub(crate) fn of(fit: &'a Fit, history: &History<'_>, axis: Axis) -> Result<Self, NoUseRate> {
        let usage = match axis {
            Axis::Time => None,
            Axis::Usage => Some(UseRate::of(history)?),
        };
        Ok(Self { fit, usage })
    }

    /// Forecast for `day`, days since 1970-01-01; `None` where the fit gives none.
    pub(crate) fn on(&self, day: f64) -> Option<Prediction> {
        self.forecast(day, f64::NEG_INFINITY)
    }

    /// As [`Self::on`]; days before the last reading answer with what was known at that reading.
    pub(crate) fn known_on(&self, day: f64) -> Option<Prediction> {
        self.forecast(day, self.fit.last_x)
    }

    /// Place of `day` on the axis of the fit, as expected.
    pub(crate) fn x_on(&self, day: f64) -> f64 {
        match &self.usage {
            None => day / DAYS_PER_YEAR,
            Some(rate) => rate.count_on(day).0,
        }
    }

    fn forecast(&self, day: f64, least: f64) -> Option<Prediction> {
        let Some(rate) = &self.usage else {
            return self.fit.at((day / DAYS_PER_YEAR).max(least));
        };
        let (count, u) = rate.count_on(day);
        if u == 0.0 {
            return self.fit.at(count.max(least));
        }
        let mut parts = [(0.0, Prediction::default()); NODES.len()];
        for (part, (node, weight)) in parts.iter_mut().zip(NODES) {
            *part = (weight, self.fit.at((count + node * u).max(least))?);
        }
        Some(mixture(&parts, Some(rate.freedom)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::testing::*;

    /// Yearly checks of an item whose error is 0.01 × use, with these counts.
    fn used(counts: &[f64]) -> Histories {
        let mut record = Record::new();
        for (year, count) in counts.iter().enumerate() {
            record = record.check(18_000.0 + year as f64 * DAYS_PER_YEAR, 0.01 * count);
        }
        record.columns.usage = counts.to_vec();
        record.columns.u = vec![0.05; counts.len()];
        record.histories()
    }

    fn fitted(all: &Histories, model: ModelName) -> Fit {
        let settings = DriftSettings {
            model,
            axis: Axis::Usage,
            ..DriftSettings::default()
        };
        let classes = class_parameters(all, &settings);
        fit_model(&all.get(0), classes.of_history(0), &settings)
    }

    /// Every model that a usage axis can have, at an even rate: a year on, ten more.
    #[test]
    fn an_even_rate_carries_the_line_on() {
        let counts: Vec<f64> = (0..12).map(|year| 1000.0 * f64::from(year)).collect();
        let all = used(&counts);
        let history = all.get(0);
        for model in [
            ModelName::Line,
            ModelName::Quadratic,
            ModelName::State,
            ModelName::Wander,
            ModelName::Auto,
        ] {
            let fit = fitted(&all, model);
            let course = Course::of(&fit, &history, Axis::Usage).unwrap();
            let last = history.date[11];
            let ahead = course.on(last + DAYS_PER_YEAR).unwrap();
            near!(ahead.expected, 120.0, 0.3, "{model:?} {ahead:?}");
            near!(fit.drift_per_year, 10.0, 0.1, "{model:?} {fit:?}");
            near!(course.x_on(last + DAYS_PER_YEAR), 12_000.0, 1e-6);
        }
    }

    /// Uneven use: the spread of the count to come, by hand, times the drift a unit of use.
    #[test]
    fn an_uneven_rate_widens_the_forecast() {
        let all = used(&[0.0, 800.0, 2000.0, 2900.0, 4100.0]);
        let history = all.get(0);
        let fit = fitted(&all, ModelName::Line);
        let rate = UseRate::of(&history).unwrap();
        let (per_year, u_per_year) = rate.per_year();
        near!(per_year, 1025.0, 1e-9);
        // Squares about 1025: 225², 175², 125², 175² over three degrees of freedom.
        let square = (225.0f64.powi(2) + 2.0 * 175.0f64.powi(2) + 125.0f64.powi(2)) / 3.0;
        near!(u_per_year, (square / 4.0).sqrt(), 1e-9);
        let day = history.date[4] + 2.0 * DAYS_PER_YEAR;
        let (count, u) = rate.count_on(day);
        near!(count, 6150.0, 1e-6);
        near!(u, (square * 2.0 * 1.5).sqrt(), 1e-6);
        let course = Course::of(&fit, &history, Axis::Usage).unwrap();
        let (found, sure) = (course.on(day).unwrap(), fit.at(count).unwrap());
        let whole = sure.u_error.hypot(0.01 * u);
        near!(found.u_error / whole, 1.0, 1e-3);
        assert!(found.degrees_of_freedom < 3.1);
        let u_drift = (0.01 * u_per_year).hypot(per_year * fit.coefficients[1].standard_error);
        near!(fit.u_drift_per_year / u_drift, 1.0, 1e-2);
    }

    #[test]
    fn two_counts_give_a_rate_and_no_spread() {
        let rate = UseRate::of(&used(&[0.0, 1000.0]).get(0)).unwrap();
        assert_eq!(rate.freedom, 0.0);
        assert_eq!(rate.count_on(18_000.0 + 3.0 * DAYS_PER_YEAR), (3000.0, 0.0));
        assert!(UseRate::of(&used(&[5.0, 5.0]).get(0)).is_err());
    }
}
