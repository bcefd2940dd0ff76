/*! The state model as a candidate of `auto`: its marginal likelihood of one history.

The other candidates are compared by the likelihood at its maximum over their levels, so
this one is too: levels of segments are fixed and unknown, the drift is random as the class
says. With V the covariance of the readings about their levels, the level estimates being
those of generalised least squares,

```text
ln L = −½ [n ln 2π + ln |V| + χ²],   ln |V| = Σ ln S with levels known,   χ² = Σ v²/S with levels diffuse
```

(prediction-error decomposition, F. C. Schweppe 1965; A. C. Harvey, *Forecasting, structural
time series models and the Kalman filter*, Cambridge 1989, 3.4). Both sums come from one
filter each. A class that carries several sets of rates has the mean of their likelihoods.

Of the five figures of the class (four variances and the mean drift) this history is charged
its share, five over the members that inform them: for the class as a whole the criterion
then charges each figure once. A step that the filter takes costs two, its size and its place,
as a change point does.
*/

use super::annual::remove_annual_term;
use super::filter::StateFilter;
use super::fit::fit_state;
use crate::drift::DriftSettings;
use crate::drift::choose::Candidate;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::QuadraturePoint;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::records::History;
use std::f64::consts::TAU;

/// Figures that the members of a class share.
const SHARED: f64 = 5.0;
/// Figures that one step costs: its size and its place.
const STEP: f64 = 2.0;
/// Figures of a yearly swing.
const SWING: f64 = 2.0;
/// A step counts where it is believed more than this.
const LIKELY: f64 = 0.5;
/// The state model of `history` as a candidate for `auto`; `None` where the likelihood cannot be
/// computed.
pub(crate) fn state_candidate(
    history: &History<'_>,
    readings: &[Reading],
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Option<Candidate> {
    let scale = class.scale_of(history.item);
    let mut readings = readings.to_vec();
    if let Some(missing) = &class.missing {
        missing.suppose(&mut readings, scale);
    }
    let annual = remove_annual_term(&mut readings, class, scale, settings.axis);
    let mut filter = StateFilter::of(&readings, class, scale);
    let stepped: Vec<bool> = readings
        .iter()
        .map(|reading| {
            let found = filter.push(reading);
            found.is_some_and(|found| found.meaning.step > LIKELY)
        })
        .collect();
    let log_likelihood = log_likelihood(&readings, &stepped, class, scale);
    let levels = readings.chunk_by(|a, b| a.segment == b.segment).count() as f64;
    let steps = stepped.iter().filter(|stepped| **stepped).count() as f64;
    let members = f64::from(class.informed.max(1));
    log_likelihood.is_finite().then(|| Candidate {
        fit: fit_state(history, class, settings),
        log_likelihood,
        parameters: levels + STEP * steps + SHARED / members + annual.map_or(0.0, |_| SWING),
    })
}

/// Mean likelihood over the sets of rates, its logarithm, for values in the history's unit.
fn log_likelihood(
    readings: &[Reading],
    stepped: &[bool],
    class: &ClassParameters,
    scale: f64,
) -> f64 {
    let used = class
        .quadrature_points
        .iter()
        .filter(|point| point.weight > 0.0);
    let logs: Vec<f64> = used
        .map(|point| {
            point.weight.ln() + of_quadrature_point(readings, stepped, class, point, scale)
        })
        .collect();
    let largest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|log| (log - largest).exp()).sum();
    largest + sum.ln() - readings.len() as f64 * scale.ln()
}

/// Log likelihood at one set of rates, in the class's scale.
fn of_quadrature_point(
    readings: &[Reading],
    stepped: &[bool],
    class: &ClassParameters,
    point: &QuadraturePoint,
    scale: f64,
) -> f64 {
    let rates = &point.rates;
    let (mut diffuse, mut known) = (StateEstimate::default(), StateEstimate::default());
    let (mut squares, mut logarithms) = (0.0, 0.0);
    let mut last: Option<&Reading> = None;
    for (reading, stepped) in readings.iter().zip(stepped) {
        let value = reading.value / scale;
        let noise = rates.noise(class.noise_of(reading.u, scale));
        let same_drift = last.filter(|last| last.drift_segment == reading.drift_segment);
        let same_level = same_drift.filter(|last| last.segment == reading.segment && !stepped);
        match same_drift {
            Some(last) => {
                let time = ((reading.x - last.x) / class.pace).max(0.0);
                diffuse = diffuse.predicted(time, rates);
                known = known.predicted(time, rates);
            }
            None => {
                diffuse = StateEstimate::initial(value, noise, rates);
                known = StateEstimate::initial(0.0, 0.0, rates);
            }
        }
        if same_level.is_some() {
            let off = value - diffuse.error;
            squares += off * off / (diffuse.error_variance + noise);
            diffuse = diffuse.updated(off, noise);
        } else if same_drift.is_some() {
            diffuse = diffuse.with_new_level(value, noise);
            known = known.with_new_level(0.0, 0.0);
        }
        // The logarithms do not depend on the values: only the variances matter here.
        logarithms += (TAU * (known.error_variance + noise)).ln();
        known = known.updated(0.0, noise);
        last = Some(reading);
    }
    -0.5 * (logarithms + squares)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::class::rates::Rates;
    use crate::drift::testing::class_of_rates;
    use nalgebra::{DMatrix, DVector};

    fn reading(x: f64, value: f64, segment: u32) -> Reading {
        Reading {
            x,
            value,
            u: 0.1,
            segment,
            ..Reading::default()
        }
    }

    /// Against the definition: the whole covariance written out, levels by generalised
    /// least squares, one adjustment in between.
    #[test]
    fn agrees_with_the_covariance_written_out() {
        let rates = Rates {
            drift: 0.05,
            drift_variance: 0.04,
            wander: 0.02,
            turning: 0.01,
            excess: 0.003,
            common: 0.0,
            damping: 0.0,
        };
        let class = class_of_rates(rates);
        let x = [0.0, 0.8, 2.1, 2.1, 3.0, 4.4];
        let y = [0.3, 0.45, 0.2, -0.1, 0.15, 0.3];
        let segment = [0, 0, 0, 1, 1, 1];
        let readings: Vec<Reading> = (0..6).map(|i| reading(x[i], y[i], segment[i])).collect();
        let found = log_likelihood(&readings, &[false; 6], &class, 1.0);
        // Level of a segment starts at its first reading; drift and its turning run through,
        // integrated from there: Cov of ∫b over (a, s) and (c, t).
        let opens = [0.0, 0.0, 0.0, 2.1, 2.1, 2.1];
        let overlap = |a: f64, b: f64, c: f64, d: f64| (b.min(d) - a.max(c)).max(0.0);
        let turned = |a: f64, s: f64, c: f64, t: f64| {
            // ∫ over (a, s) ∫ over (c, t) of min(p, q), by midpoints.
            let steps = 400;
            let (h, k) = ((s - a) / f64::from(steps), (t - c) / f64::from(steps));
            let mut sum = 0.0;
            for i in 0..steps {
                for j in 0..steps {
                    let p = a + (f64::from(i) + 0.5) * h;
                    sum += p.min(c + (f64::from(j) + 0.5) * k);
                }
            }
            sum * h * k
        };
        let covariance = DMatrix::from_fn(6, 6, |i, j| {
            let (a, s, c, t) = (opens[i], x[i], opens[j], x[j]);
            let walked = if segment[i] == segment[j] {
                rates.wander * overlap(a, s, c, t)
            } else {
                0.0
            };
            let drifted = rates.drift_variance * (s - a) * (t - c);
            let noise = if i == j { 0.01 + rates.excess } else { 0.0 };
            walked + drifted + rates.turning * turned(a, s, c, t) + noise
        });
        let design = DMatrix::from_fn(6, 2, |i, j| f64::from(u8::from(segment[i] == j as u32)));
        let off = DVector::from_fn(6, |i, _| y[i] - rates.drift * (x[i] - opens[i]));
        let inverse = covariance.clone().try_inverse().unwrap();
        let normal = design.transpose() * &inverse * &design;
        let levels = normal.try_inverse().unwrap() * design.transpose() * &inverse * &off;
        let left = &off - &design * levels;
        let squares = left.dot(&(&inverse * &left));
        let expected = -0.5 * (6.0 * TAU.ln() + covariance.determinant().ln() + squares);
        near!(found, expected, 1e-5);
    }
}
