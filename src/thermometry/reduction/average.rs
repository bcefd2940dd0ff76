/*! Mean of one series of readings, with its autocorrelation taken into account.

GUM (JCGM 100:2008) 4.2.3 for independent readings; for readings that follow one
another too fast the variance of the mean is (s²/n)·[1 + 2Σ(1 − k/n)·φ^k] with the
first-order model r_k = φ^k (N. F. Zhang, Metrologia 43 (2006) S276; T. J. Witt,
Metrologia 44 (2007) 201).
*/

/// What a series of readings says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Average {
    /// Number of readings.
    pub count: usize,
    /// Mean, in the unit of the readings.
    pub mean: f64,
    /// Standard deviation of one reading (n − 1); NaN for one reading.
    pub deviation: f64,
    /// Standard deviation of one reading from the differences of neighbours, which a slow change of
    /// all hardly touches: √[Σ(x_{k+1} − x_k)²/(2(n − 1))] (von Neumann's mean square difference); NaN
    /// for one reading.
    pub noise: f64,
    /// Autocorrelation of neighbours, r_1; 0 where it cannot be computed.
    pub neighbour_correlation: f64,
}

impl Average {
    /// Average of a series in order of time; `None` where it is empty.
    pub(crate) fn of(readings: &[f64]) -> Option<Self> {
        if readings.is_empty() {
            return None;
        }
        let count = readings.len() as f64;
        // Differences from the first reading keep all digits of nearly equal readings.
        let first = readings[0];
        let mean = first + readings.iter().map(|x| x - first).sum::<f64>() / count;
        let squares: f64 = readings.iter().map(|x| (x - mean).powi(2)).sum();
        let differences: f64 = readings.windows(2).map(|p| (p[1] - p[0]).powi(2)).sum();
        let neighbours: f64 = readings
            .windows(2)
            .map(|pair| (pair[0] - mean) * (pair[1] - mean))
            .sum();
        Some(Self {
            count: readings.len(),
            mean,
            deviation: (squares / (count - 1.0)).sqrt(),
            noise: (differences / (2.0 * (count - 1.0))).sqrt(),
            neighbour_correlation: if squares > 0.0 {
                neighbours / squares
            } else {
                0.0
            },
        })
    }

    /// Average of rows that are means themselves: mean, standard deviation (NaN for a single
    /// reading) and number of readings each; `None` where there are none. The correlation of
    /// neighbours within a mean is not known.
    pub(crate) fn of_means(rows: impl Iterator<Item = (f64, f64, usize)> + Clone) -> Option<Self> {
        let count: usize = rows.clone().map(|(.., n)| n).sum();
        let first = rows.clone().next()?.0;
        let sum: f64 = rows.clone().map(|(m, _, n)| (m - first) * n as f64).sum();
        let mean = first + sum / count as f64;
        let squares: f64 = rows
            .map(|(m, s, n)| {
                let within = if s.is_finite() { s * s } else { 0.0 };
                within * (n as f64 - 1.0) + (m - mean).powi(2) * n as f64
            })
            .sum();
        let deviation = (squares / (count as f64 - 1.0)).sqrt();
        Some(Self {
            count,
            mean,
            deviation,
            noise: deviation,
            neighbour_correlation: 0.0,
        })
    }

    /// Standard uncertainty of the mean for first-order autocorrelation `correlation`.
    /// NaN for one reading.
    pub(crate) fn u_mean(&self, correlation: f64) -> f64 {
        self.deviation / (self.count as f64).sqrt() * inflation(self.count, correlation)
    }

    /// Degrees of freedom of the deviation.
    pub(crate) fn degrees_of_freedom(&self) -> f64 {
        self.count as f64 - 1.0
    }
}

/// Factor on s/√n for first-order autocorrelation; 1 where `correlation` is not positive.
fn inflation(count: usize, correlation: f64) -> f64 {
    // Beyond this the series is one reading repeated and the formula loses its meaning.
    let correlation = correlation.clamp(0.0, 0.99);
    let n = count as f64;
    let (mut power, mut sum) = (1.0, 0.0);
    for lag in 1..count {
        power *= correlation;
        sum += (1.0 - lag as f64 / n) * power;
    }
    (1.0 + 2.0 * sum).sqrt()
}

/// Autocorrelation common to several series: the mean of r_1 weighted by the readings,
/// not below 0. Series of fewer than three readings say nothing.
pub(crate) fn common_correlation(series: &[Average]) -> f64 {
    let used = || series.iter().filter(|a| a.count >= 3);
    let weight: f64 = used().map(|a| a.count as f64).sum();
    if weight == 0.0 {
        return 0.0;
    }
    let sum: f64 = used()
        .map(|a| a.count as f64 * a.neighbour_correlation)
        .sum();
    (sum / weight).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact factors evaluated independently in Python from the formula above.
    #[test]
    fn inflation_of_the_mean() {
        let expected = [
            (12, 0.3, 1.324_803),
            (30, 0.5, 1.693_123),
            (60, 0.8, 2.886_752),
            (100, 0.9, 4.147_294),
        ];
        for (count, correlation, factor) in expected {
            near!(inflation(count, correlation), factor, 1e-6);
        }
        assert_eq!(inflation(30, -0.4), 1.0);
    }

    #[test]
    fn one_reading_has_no_deviation() {
        let one = Average::of(&[2.0]).unwrap();
        assert!(one.deviation.is_nan());
        assert_eq!(one.mean, 2.0);
        assert!(Average::of(&[]).is_none());
        let whole = Average::of(&[1.0, 2.0, 4.0, 7.0]).unwrap();
        let half = |s: &[f64]| Average::of(s).unwrap();
        let (a, b) = (half(&[1.0, 2.0]), half(&[4.0, 7.0]));
        let rows = [(a.mean, a.deviation, 2), (b.mean, b.deviation, 2)];
        let joined = Average::of_means(rows.into_iter()).unwrap();
        assert!((joined.deviation - whole.deviation).abs() < 1e-12 && joined.mean == whole.mean);
        let same = Average::of(&[0.1; 5]).unwrap();
        assert_eq!((same.mean, same.deviation), (0.1, 0.0));
        // A straight rise by 1 a reading: Σ of squared differences 9, over 2·9.
        let rising: Vec<f64> = (0..10).map(f64::from).collect();
        let noise = Average::of(&rising).unwrap().noise;
        near!(noise, 0.5_f64.sqrt(), 1e-12);
    }
}
