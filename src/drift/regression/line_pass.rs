/*! One pass of the fleet's straight line over its readings: sums, no allocation. */

use crate::drift::series::readings::Reading;

/// Sums of one weighted fit, all segments; level and slope of the current one.
#[derive(Default)]
pub(crate) struct Pass {
    pub parameters: u32,
    pub weight: f64,
    pub x_level: f64,
    pub y_level: f64,
    pub spread: f64,
    pub slope: f64,
    /// Σ w r².
    pub residual: f64,
    /// Σ w² r² = −dχ²/dτ².
    pub curvature: f64,
    /// Σ w (1 − h), the trace of the residual-forming matrix.
    pub trace: f64,
}

impl Pass {
    /// `excess` is τ² (scaled) on top of the stated u²; `None` weighs all readings alike.
    pub(crate) fn over(readings: &[Reading], excess: Option<f64>, scale: f64) -> Pass {
        let mut pass = Pass::default();
        for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
            let (mut spread, mut shared) = (0.0, 0.0);
            for level in drift.chunk_by(|a, b| a.segment == b.segment) {
                let mean = Mean::of(level, excess, scale);
                pass.parameters += 1;
                for r in level {
                    let (along, weight) = (r.x - mean.x, weight(r, excess, scale));
                    spread += weight * along * along;
                    shared += weight * along * (r.value * scale - mean.y);
                }
                (pass.weight, pass.x_level, pass.y_level) = (mean.weight, mean.x, mean.y);
            }
            pass.spread = spread;
            pass.slope = if spread > 0.0 { shared / spread } else { 0.0 };
            pass.parameters += u32::from(spread > 0.0);
            for level in drift.chunk_by(|a, b| a.segment == b.segment) {
                pass.add_residuals(level, excess, scale);
            }
        }
        pass
    }

    fn add_residuals(&mut self, level: &[Reading], excess: Option<f64>, scale: f64) {
        let mean = Mean::of(level, excess, scale);
        let (per_weight, per_spread) = (
            1.0 / mean.weight,
            if self.spread > 0.0 {
                1.0 / self.spread
            } else {
                0.0
            },
        );
        for r in level {
            let (along, weight) = (r.x - mean.x, weight(r, excess, scale));
            let residual = r.value * scale - mean.y - self.slope * along;
            let weighted = weight * residual * residual;
            self.residual += weighted;
            self.curvature += weight * weighted;
            let leverage = weight * (per_weight + along * along * per_spread);
            self.trace += weight * (1.0 - leverage);
        }
    }
}

#[derive(Clone, Copy)]
struct Mean {
    weight: f64,
    x: f64,
    y: f64,
}

impl Mean {
    /// About the first reading, so that equal dates and values give exact zeros.
    fn of(level: &[Reading], excess: Option<f64>, scale: f64) -> Mean {
        let (x0, y0) = (level[0].x, level[0].value * scale);
        let (mut total, mut x, mut y) = (0.0, 0.0, 0.0);
        for r in level {
            let weight = weight(r, excess, scale);
            total += weight;
            x += weight * (r.x - x0);
            y += weight * (r.value * scale - y0);
        }
        Mean {
            weight: total,
            x: x0 + x / total,
            y: y0 + y / total,
        }
    }
}

#[inline]
fn weight(r: &Reading, excess: Option<f64>, scale: f64) -> f64 {
    match excess {
        Some(excess) => {
            let u = r.u * scale;
            1.0 / (u * u + excess)
        }
        None => 1.0,
    }
}

/// Root τ² of χ²(τ²) = n − p by Newton's method on 1/χ², which is nearly straight in τ².
/// Leaves `pass` at the root.
pub(crate) fn paule_mandel(readings: &[Reading], pass: &mut Pass, freedom: f64, scale: f64) -> f64 {
    const MOST_STEPS: usize = 60;
    const CLOSE: f64 = 1e-13;
    let mut excess = 0.0;
    for _ in 0..MOST_STEPS {
        let step = (pass.residual / freedom - 1.0) * pass.residual / pass.curvature;
        let next: f64 = (excess + step).max(0.0);
        if !next.is_finite() {
            break;
        }
        *pass = Pass::over(readings, Some(next), scale);
        let done = (next - excess).abs() <= CLOSE * next;
        excess = next;
        if done {
            break;
        }
    }
    excess
}
