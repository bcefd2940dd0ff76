/*! Scatter between checks beyond the stated u, for any linear model.

The readings' variances are u² + τ² with one unknown τ²: the one at which χ² equals its
degrees of freedom (R. C. Paule and J. Mandel, J. Res. NBS 87 (1982) 377–385, here about a
regression).
*/

use super::column::Column;
use super::least_squares::{LeastSquaresError, Noise, Solution, solve};
use crate::stats::DoubleDouble;

/// Excess variance of a fit, and the fit made with it.
#[derive(Debug, Clone)]
pub(crate) struct Excess {
    /// τ², square of the unit; 0 where u explains all scatter.
    pub variance: f64,
    /// Σ w(1 − h): trace of the residual-forming matrix at τ².
    pub trace: f64,
    /// The fit with weights 1/(u² + τ²).
    pub solution: Solution,
}

/// Estimates τ² for `y` on `columns` with stated standard uncertainties `u`.
pub(crate) fn excess(
    columns: &[Column],
    y: &[DoubleDouble],
    u: &[f64],
) -> Result<Excess, LeastSquaresError> {
    const MOST_STEPS: usize = 200;
    const CLOSE: f64 = 1e-12;
    let freedom = y.len().saturating_sub(columns.len()) as f64;
    let mut variance = 0.0;
    let mut converged = freedom == 0.0;
    let mut at = Moments::at(columns, y, u, variance)?;
    for _ in 0..MOST_STEPS {
        if converged {
            break;
        }
        let next = (variance + at.step(freedom)).max(0.0);
        if !next.is_finite() {
            break;
        }
        converged = (next - variance).abs() <= CLOSE * next;
        variance = next;
        at = Moments::at(columns, y, u, variance)?;
    }
    Ok(Excess {
        variance,
        trace: at.trace,
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
}

impl Moments {
    fn at(
        columns: &[Column],
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
            solution,
        })
    }

    /// Newton on 1/χ², which is straight in τ² where all u are equal.
    fn step(&self, freedom: f64) -> f64 {
        (self.chi_squared / freedom - 1.0) * self.chi_squared / self.curvature
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::reference::{agrees, column, json, number};

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
            let ones = [Column {
                from: 0,
                values: vec![DoubleDouble::ONE; y.len()],
            }];
            let exact = &json(&format!("excess/{name}_py.json"))["results"]["exact"];
            let exact = &exact["paule_mandel"];
            let found = excess(&ones, &y, &u).unwrap();
            let tau2 = number(&exact["tau2"]);
            if tau2 == 0.0 {
                assert_eq!(found.variance, 0.0, "{name}");
            } else {
                agrees(name, found.variance, tau2, 10.0);
            }
            agrees(
                name,
                found.solution.coefficients[0].nearest(),
                number(&exact["mean"]),
                12.0,
            );
            agrees(
                name,
                found
                    .solution
                    .triangle
                    .variance(&[(0, DoubleDouble::ONE)])
                    .sqrt()
                    .nearest(),
                number(&exact["u_mean"]),
                10.0,
            );
        }
    }
}
