/*! Screen for outliers: deleted residuals with a family-wise level. Nothing is removed.

Source: R. D. Cook and S. Weisberg, Residuals and Influence in Regression (1982),
2.2.2: the largest deleted residual of n follows Student's t with n − p − 1
degrees of freedom under Bonferroni's bound n·p.
*/

use crate::stats::student_two_sided;

/// A reading that does not fit the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Outlier {
    /// Index of the reading.
    pub index: usize,
    /// Its residual, unit of the history.
    pub residual: f64,
    /// Residual over its standard deviation without the reading itself.
    pub deleted: f64,
    /// Probability that the most extreme of all readings is this far off by chance.
    pub p: f64,
}

/// Level of the whole family of readings: one false alarm in a hundred histories.
/// Common practice, no source.
pub(crate) const FAMILY_LEVEL: f64 = 0.01;

/// Deleted residuals of all readings with their `weight`s (1/u², or 1) and `leverage`s, most
/// extreme first; empty where no scale can be estimated without the reading itself.
///
/// `u_known`: weights are absolute and no scale is estimated.
pub(crate) fn screen(
    residuals: &[f64],
    weight: &[f64],
    leverage: &[f64],
    freedom: f64,
    u_known: bool,
) -> Vec<Outlier> {
    let n = residuals.len() as f64;
    let sum: f64 = residuals.iter().zip(weight).map(|(r, w)| w * r * r).sum();
    if !(u_known || freedom > 1.0 && sum > 0.0) {
        return Vec::new();
    }
    let deviation = if u_known { 1.0 } else { (sum / freedom).sqrt() };
    let left = if u_known {
        f64::INFINITY
    } else {
        freedom - 1.0
    };
    let mut found: Vec<Outlier> = (0..residuals.len())
        .filter(|i| leverage[*i] < 1.0 - 1e-9)
        .map(|i| {
            let standard =
                residuals[i] * weight[i].sqrt() / (deviation * (1.0 - leverage[i]).sqrt());
            let deleted = if u_known {
                standard
            } else {
                standard * ((freedom - 1.0) / (freedom - standard * standard).max(0.0)).sqrt()
            };
            Outlier {
                index: i,
                residual: residuals[i],
                deleted,
                p: (n * student_two_sided(deleted, left)).min(1.0),
            }
        })
        .collect();
    let size = |outlier: &Outlier| -outlier.deleted.abs();
    found.sort_by(|a, b| size(a).total_cmp(&size(b)).then(a.index.cmp(&b.index)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_wild_reading_is_found() {
        let mut residuals = vec![0.1, -0.1, 0.05, -0.02, 0.08, -0.06, 0.03, -0.09, 0.02, 5.0];
        let (weight, leverage) = (vec![1.0; 10], vec![0.2; 10]);
        let found = screen(&residuals, &weight, &leverage, 8.0, false);
        assert!(found[0].index == 9 && found[0].p < FAMILY_LEVEL);
        residuals[9] = 0.1;
        let found = screen(&residuals, &weight, &leverage, 8.0, false);
        assert!(found.iter().all(|o| o.p > FAMILY_LEVEL));
    }
}
