/*! The straight line of ordinary least squares: one slope, a level a segment.

Formulas of NIST/SEMATECH e-Handbook chapter 4 for one segment; with several, each segment is
centred on its own mean, which is least squares with a level each. For readings of equal weight
and few; the drift models weigh theirs themselves.
*/

/// A straight line through points of equal weight.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeastSquaresLine {
    /// Change of y per unit of x.
    pub slope: f64,
    /// Mean x and y, and number of points, of the last segment.
    last: (f64, f64, f64),
    /// Sum of squares of x about the segments' means.
    spread: f64,
    /// Sum of squares of the residuals.
    squares: f64,
    /// Degrees of freedom: the points less a level a segment and the slope.
    pub freedom: f64,
    /// Residuals, in the order of the points.
    pub residuals: Vec<f64>,
}

impl LeastSquaresLine {
    /// Through the points (x, y) of each segment; `None` without a degree of freedom or spread in x.
    pub(crate) fn through<S>(segments: impl Iterator<Item = S> + Clone) -> Option<Self>
    where
        S: ExactSizeIterator<Item = (f64, f64)> + Clone,
    {
        let means: Vec<(f64, f64, f64)> = segments
            .clone()
            .map(|points| {
                let n = points.len() as f64;
                let x = points.clone().map(|point| point.0).sum::<f64>() / n;
                (x, points.map(|point| point.1).sum::<f64>() / n, n)
            })
            .collect();
        let centred = || {
            segments
                .clone()
                .zip(&means)
                .flat_map(|(points, mean)| points.map(move |(x, y)| (x - mean.0, y - mean.1)))
        };
        let spread: f64 = centred().map(|(x, _)| x * x).sum();
        let slope = centred().map(|(x, y)| x * y).sum::<f64>() / spread;
        let points: f64 = means.iter().map(|mean| mean.2).sum();
        let freedom = points - means.len() as f64 - 1.0;
        if !slope.is_finite() || freedom < 1.0 {
            return None;
        }
        let residuals: Vec<f64> = centred().map(|(x, y)| y - slope * x).collect();
        Some(Self {
            slope,
            last: *means.last()?,
            spread,
            squares: residuals.iter().map(|r| r * r).sum(),
            freedom,
            residuals,
        })
    }

    /// Residual standard deviation.
    pub(crate) fn deviation(&self) -> f64 {
        (self.squares / self.freedom).sqrt()
    }

    /// Value at `x` at the level of the last segment.
    pub(crate) fn at(&self, x: f64) -> f64 {
        self.last.1 + self.slope * (x - self.last.0)
    }

    /// Standard uncertainty of one more reading at `x`, in the last segment.
    pub(crate) fn u_reading(&self, x: f64) -> f64 {
        let off = x - self.last.0;
        self.deviation() * (1.0 + 1.0 / self.last.2 + off * off / self.spread).sqrt()
    }

    /// Standard error of the slope.
    pub(crate) fn u_slope(&self) -> f64 {
        (self.squares / self.freedom / self.spread).sqrt()
    }
}
