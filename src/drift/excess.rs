/*! Scatter between checks beyond the stated u, for any linear model.

The readings' variances are u² + τ² with one unknown τ². Three estimates:
Paule–Mandel, the τ² at which χ² equals its degrees of freedom (R. C. Paule and
J. Mandel, J. Res. NBS 87 (1982) 377–385, here about a regression); restricted
maximum likelihood and maximum likelihood by Fisher scoring (S. R. Searle, G.
Casella, C. E. McCulloch, Variance Components, Wiley 1992, chapter 6).
*/

use super::least_squares::{LeastSquaresError, Noise, Solution, solve};
use crate::stats::DoubleDouble;

/// How τ² is estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Estimator {
    /// χ² equals its degrees of freedom; no distribution assumed.
    PauleMandel,
    /// Restricted maximum likelihood.
    Restricted,
    /// Maximum likelihood, for comparing models on the same data.
    MaximumLikelihood,
}

/// Excess variance of a fit, and the fit made with it.
#[derive(Debug, Clone)]
pub struct Excess {
    /// τ², square of the unit; 0 where u explains all scatter.
    pub variance: f64,
    /// Standard uncertainty of τ².
    pub u_of_variance: f64,
    /// Σ w(1 − h): trace of the residual-forming matrix at τ².
    pub trace: f64,
    /// False where the iteration did not settle; τ² is then its last value.
    pub converged: bool,
    /// The fit with weights 1/(u² + τ²).
    pub solution: Solution,
}

/// Estimates τ² for `y` on `columns` with stated standard uncertainties `u`.
pub fn excess(
    columns: &[Vec<DoubleDouble>],
    y: &[DoubleDouble],
    u: &[f64],
    estimator: Estimator,
) -> Result<Excess, LeastSquaresError> {
    const MOST_STEPS: usize = 200;
    const CLOSE: f64 = 1e-12;
    let freedom = y.len().saturating_sub(columns.len()) as f64;
    let mut variance = 0.0;
    let mut converged = freedom == 0.0;
    let mut at = Moments::at(columns, y, u, variance)?;
    // Likelihood steps from zero overshoot where u differ much; start from Paule–Mandel.
    if estimator != Estimator::PauleMandel && freedom > 0.0 {
        let start = excess(columns, y, u, Estimator::PauleMandel)?;
        variance = start.variance;
        at = Moments::at(columns, y, u, variance)?;
    }
    for _ in 0..MOST_STEPS {
        if converged {
            break;
        }
        let next = (variance + at.step(estimator, freedom)).max(0.0);
        if !next.is_finite() {
            break;
        }
        converged = (next - variance).abs() <= CLOSE * next;
        variance = next;
        at = Moments::at(columns, y, u, variance)?;
    }
    let u_of_variance = match estimator {
        Estimator::PauleMandel => (2.0 * freedom).sqrt() / at.trace,
        Estimator::Restricted => (2.0 / at.trace_of_square).sqrt(),
        Estimator::MaximumLikelihood => (2.0 / at.squared_weights).sqrt(),
    };
    Ok(Excess {
        variance,
        u_of_variance,
        trace: at.trace,
        converged,
        solution: at.solution,
    })
}

/// Sums of one fit from which every estimator takes its step.
struct Moments {
    solution: Solution,
    /// Σ w r².
    chi_squared: f64,
    /// Σ w² r².
    curvature: f64,
    /// tr P = Σ w(1 − h).
    trace: f64,
    /// tr P².
    trace_of_square: f64,
    /// Σ w.
    weights: f64,
    /// Σ w².
    squared_weights: f64,
}

impl Moments {
    fn at(
        columns: &[Vec<DoubleDouble>],
        y: &[DoubleDouble],
        u: &[f64],
        variance: f64,
    ) -> Result<Self, LeastSquaresError> {
        let total: Vec<f64> = u.iter().map(|u| (u * u + variance).sqrt()).collect();
        let solution = solve(columns, y, Noise::Known(&total))?;
        let w: Vec<f64> = total.iter().map(|t| 1.0 / (t * t)).collect();
        let square = |i: usize| solution.whitened[i].nearest().powi(2);
        let all = 0..y.len();
        Ok(Moments {
            chi_squared: solution.sum_of_squares.nearest(),
            curvature: all.clone().map(|i| w[i] * square(i)).sum(),
            trace: all
                .clone()
                .map(|i| w[i] * (1.0 - solution.leverage[i]))
                .sum(),
            trace_of_square: trace_of_square(columns, &w, &solution),
            weights: w.iter().sum(),
            squared_weights: w.iter().map(|w| w * w).sum(),
            solution,
        })
    }

    fn step(&self, estimator: Estimator, freedom: f64) -> f64 {
        match estimator {
            // Newton on 1/χ², which is straight in τ² where all u are equal.
            Estimator::PauleMandel => {
                (self.chi_squared / freedom - 1.0) * self.chi_squared / self.curvature
            }
            Estimator::Restricted => (self.curvature - self.trace) / self.trace_of_square,
            Estimator::MaximumLikelihood => (self.curvature - self.weights) / self.squared_weights,
        }
    }
}

/// tr P² = Σw² − 2Σw²h + tr((AM)²) with A = (XᵀWX)⁻¹ and M = XᵀW²X.
fn trace_of_square(columns: &[Vec<DoubleDouble>], w: &[f64], solution: &Solution) -> f64 {
    let p = columns.len();
    let mut product = vec![0.0; p * p];
    let moment = |j: usize, k: usize| -> f64 {
        let pairs = columns[j].iter().zip(&columns[k]).zip(w);
        pairs
            .map(|((a, b), w)| a.nearest() * b.nearest() * w * w)
            .sum()
    };
    let moments: Vec<f64> = (0..p * p).map(|k| moment(k / p, k % p)).collect();
    for i in 0..p {
        for k in 0..p {
            product[i * p + k] = (0..p)
                .map(|j| solution.inverse[i * p + j].nearest() * moments[j * p + k])
                .sum();
        }
    }
    let last: f64 = (0..p * p)
        .map(|k| product[k] * product[k % p * p + k / p])
        .sum();
    let diagonal = w.iter().zip(&solution.leverage);
    diagonal.map(|(w, h)| w * w * (1.0 - 2.0 * h)).sum::<f64>() + last
}

#[cfg(test)]
mod tests {
    use super::super::reference::{agrees, column, json, number};
    use super::*;

    /// Exact roots in 40 digits; metafor and statsmodels agree with them to 2e-9.
    #[test]
    fn four_comparisons() {
        for name in [
            "comparison9",
            "consistent6",
            "probes_wafer138",
            "probes_wafer139",
        ] {
            let file = format!("excess/{name}.csv");
            let (value, u) = (column(&file, "value"), column(&file, "u"));
            let y: Vec<DoubleDouble> = value.iter().map(|v| DoubleDouble::from(*v)).collect();
            let ones = [vec![DoubleDouble::ONE; y.len()]];
            let exact = &json(&format!("excess/{name}_py.json"))["results"]["exact"];
            let cases = [
                ("paule_mandel", Estimator::PauleMandel),
                ("reml", Estimator::Restricted),
            ];
            for (key, estimator) in cases {
                let found = excess(&ones, &y, &u, estimator).unwrap();
                assert!(found.converged, "{name} {key}");
                let tau2 = number(&exact[key]["tau2"]);
                if tau2 == 0.0 {
                    assert_eq!(found.variance, 0.0, "{name} {key}");
                } else {
                    agrees(name, found.variance, tau2, 10.0);
                }
                agrees(
                    name,
                    found.solution.coefficients[0].nearest(),
                    number(&exact[key]["mean"]),
                    12.0,
                );
                agrees(
                    name,
                    found.solution.inverse[0].sqrt().nearest(),
                    number(&exact[key]["u_mean"]),
                    10.0,
                );
            }
        }
    }
}
