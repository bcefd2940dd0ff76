/*! The maximum of a smooth function of one to three variables between bounds.

Newton steps on differences of the exact gradient, damped where a step does not
climb (Levenberg–Marquardt); a variable held at its bound stays out of the step.
Reference: J. Nocedal and S. Wright, Numerical Optimization (2006), chapters 3 and 16.
*/

use nalgebra::{DMatrix, DVector};

/// Where the climb ended.
#[derive(Debug, Clone)]
pub(crate) struct Optimum {
    pub point: Vec<f64>,
    /// The function there.
    pub value: f64,
    /// Minus the matrix of second derivatives there.
    pub information: DMatrix<f64>,
    /// Variables that ended at a bound.
    pub at_bound: Vec<bool>,
}

/// Half-width of the gradient differences; the variables are logarithms, so this is relative.
const DIFFERENCE: f64 = 3e-5;
/// Longest step of one variable: a factor of about seven in the parameter.
const LONGEST_STEP: f64 = 2.0;
/// Most steps: a parameter that runs to its bound takes some twenty.
const MOST_STEPS: usize = 100;
/// A step that promises less than this share of the function is the last one: Newton's
/// error squares with each step, so that the point is then right to some ten digits.
const LAST_STEP: f64 = 1e-11;
/// Close to the top the function is flat to rounding: there a step may lose this share.
const ROUNDING: f64 = 1e-10;
/// Damping beyond which no step can climb.
const MOST_DAMPING: f64 = 1e12;

/// Climbs from `start` inside `bounds`; `function` returns the value and writes the
/// gradient. `None` where the start is not finite.
pub(crate) fn maximise(
    start: &[f64],
    bounds: &[(f64, f64)],
    mut function: impl FnMut(&[f64], &mut [f64]) -> f64,
) -> Option<Optimum> {
    let (point, value, gradient) = ascend(start, bounds, &mut function)?;
    let information = information_at(&point, &mut function);
    let at_bound = (0..point.len())
        .map(|j| pushed_out(point[j], gradient[j], bounds[j]))
        .collect();
    Some(Optimum {
        point,
        value,
        information,
        at_bound,
    })
}

/// As [`maximise`], the point and the value there only.
pub(crate) fn highest(
    start: &[f64],
    bounds: &[(f64, f64)],
    mut function: impl FnMut(&[f64], &mut [f64]) -> f64,
) -> Option<(Vec<f64>, f64)> {
    ascend(start, bounds, &mut function).map(|(point, value, _)| (point, value))
}

/// Where the climb ends, with value and gradient there.
fn ascend(
    start: &[f64],
    bounds: &[(f64, f64)],
    function: &mut impl FnMut(&[f64], &mut [f64]) -> f64,
) -> Option<(Vec<f64>, f64, Vec<f64>)> {
    let n = start.len();
    let mut point: Vec<f64> = start
        .iter()
        .zip(bounds)
        .map(|(x, (l, h))| x.clamp(*l, *h))
        .collect();
    let mut gradient = vec![0.0; n];
    let mut value = function(&point, &mut gradient);
    if !usable(value, &gradient) {
        return None;
    }
    let mut damping = 0.0f64;
    let mut information = information_at(&point, function);
    for _ in 0..MOST_STEPS {
        let held: Vec<bool> = (0..n)
            .map(|j| pushed_out(point[j], gradient[j], bounds[j]))
            .collect();
        let Some(step) = newton_step(&information, &gradient, &held, damping) else {
            damping = grown(damping);
            if damping > MOST_DAMPING {
                break;
            }
            continue;
        };
        let next: Vec<f64> = (0..n)
            .map(|j| {
                (point[j] + step[j].clamp(-LONGEST_STEP, LONGEST_STEP))
                    .clamp(bounds[j].0, bounds[j].1)
            })
            .collect();
        let promised: f64 = (0..n).map(|j| (next[j] - point[j]) * gradient[j]).sum();
        let last = promised.abs() <= LAST_STEP * (1.0 + value.abs());
        let mut next_gradient = vec![0.0; n];
        let next_value = function(&next, &mut next_gradient);
        let increases =
            next_value > value || (last && next_value > value - ROUNDING * (1.0 + value.abs()));
        if usable(next_value, &next_gradient) && increases {
            (point, value, gradient) = (next, next_value, next_gradient);
            if last {
                break;
            }
            information = information_at(&point, function);
            damping = if damping < 1e-6 { 0.0 } else { 0.1 * damping };
        } else {
            damping = grown(damping);
        }
        if last || damping > MOST_DAMPING {
            break;
        }
    }
    Some((point, value, gradient))
}

fn usable(value: f64, gradient: &[f64]) -> bool {
    value.is_finite() && gradient.iter().all(|g| g.is_finite())
}

fn grown(damping: f64) -> f64 {
    if damping == 0.0 { 1e-3 } else { 10.0 * damping }
}

/// At a bound with the slope pointing outwards.
fn pushed_out(x: f64, slope: f64, (low, high): (f64, f64)) -> bool {
    (x <= low && slope <= 0.0) || (x >= high && slope >= 0.0)
}

fn information_at(
    point: &[f64],
    function: &mut impl FnMut(&[f64], &mut [f64]) -> f64,
) -> DMatrix<f64> {
    let n = point.len();
    let mut matrix = DMatrix::zeros(n, n);
    let (mut up, mut down) = (vec![0.0; n], vec![0.0; n]);
    let mut moved = point.to_vec();
    for j in 0..n {
        moved[j] = point[j] + DIFFERENCE;
        function(&moved, &mut up);
        moved[j] = point[j] - DIFFERENCE;
        function(&moved, &mut down);
        moved[j] = point[j];
        for i in 0..n {
            matrix[(i, j)] = -(up[i] - down[i]) / (2.0 * DIFFERENCE);
        }
    }
    0.5 * (&matrix + matrix.transpose())
}

/// Solves (I + damping) · step = gradient over the variables that are not held.
fn newton_step(
    information: &DMatrix<f64>,
    gradient: &[f64],
    held: &[bool],
    damping: f64,
) -> Option<Vec<f64>> {
    let n = gradient.len();
    let mut matrix = information.clone();
    let mut right = DVector::from_column_slice(gradient);
    for j in 0..n {
        let size = matrix[(j, j)]
            .abs()
            .max(1e-12 * information.amax())
            .max(1e-300);
        matrix[(j, j)] += damping * size;
    }
    for j in (0..n).filter(|j| held[*j]) {
        matrix.row_mut(j).fill(0.0);
        matrix.column_mut(j).fill(0.0);
        matrix[(j, j)] = 1.0;
        right[j] = 0.0;
    }
    let step = matrix.cholesky()?.solve(&right);
    step.iter()
        .all(|s| s.is_finite())
        .then(|| step.iter().copied().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn climbs_a_bent_ridge() {
        let ridge = |p: &[f64], g: &mut [f64]| {
            let (a, b) = (1.0 - p[0], p[1] - p[0] * p[0]);
            g[0] = 2.0 * a + 40.0 * b * p[0];
            g[1] = -20.0 * b;
            -(a * a + 10.0 * b * b)
        };
        let optimum = maximise(&[-1.0, 1.0], &[(-9.0, 9.0); 2], ridge).unwrap();
        assert!((optimum.point[0] - 1.0).abs() < 1e-9 && (optimum.point[1] - 1.0).abs() < 1e-9);
        near!(optimum.information[(1, 1)], 20.0, 1e-6);
    }

    #[test]
    fn stops_at_a_bound() {
        let slope = |p: &[f64], g: &mut [f64]| {
            g[0] = 1.0;
            p[0]
        };
        let optimum = maximise(&[0.0], &[(-1.0, 5.0)], slope).unwrap();
        assert_eq!((optimum.point[0], optimum.at_bound[0]), (5.0, true));
    }
}
