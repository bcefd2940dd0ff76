/*! Whether the differences of a design fit each other: their scatter against the stated one, and the
difference that lies farthest from what the others lead to. */

use crate::stats::{chi_squared_upper, normal_upper_two_sided, student_two_sided};

/// Chance below which differences are said not to fit each other (our choice, no source).
const LEVEL: f64 = 0.01;

/// What speaks against the differences of a design.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Misfit {
    /// They scatter by more than the stated standard deviation of one.
    Scatter {
        /// Chance of a scatter this large by χ² of the residuals.
        p: f64,
    },
    /// One lies far from what the others lead to.
    Apart {
        /// Its place among the differences.
        difference: usize,
        /// How far, in the unit of the design.
        by: f64,
        /// Chance that any of them lies so far.
        p: f64,
    },
}

/// One residual of an adjustment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Residual {
    /// Observed minus adjusted difference.
    pub value: f64,
    /// Share of the variance of one difference that is left in it, 1 − h; 0 where nothing checks the difference.
    pub share: f64,
}

/// Share below which rounding alone is left in a residual.
const UNCHECKED: f64 = 1e-9;

/// What speaks against differences with these residuals and degrees of freedom, given the stated standard deviation of one, if any: χ² of all residuals
/// against it, and each residual against it or, without one, against the scatter of the others (externally
/// studentised, R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, from memory), times
/// their number.
pub(crate) fn misfits(residuals: &[Residual], freedom: usize, stated: Option<f64>) -> Vec<Misfit> {
    let freedom = freedom as f64;
    let sum: f64 = residuals.iter().map(|r| r.value.powi(2)).sum();
    let scatter = stated.map(|u| chi_squared_upper(sum / (u * u), freedom));
    let scatter = scatter.filter(|p| freedom > 0.0 && *p < LEVEL);
    let checked = |residual: &Residual| residual.share > UNCHECKED;
    let number = residuals.iter().filter(|r| checked(r)).count() as f64;
    let chance = |residual: &Residual| {
        let squared = residual.value.powi(2) / residual.share;
        match stated {
            Some(u) => normal_upper_two_sided(squared.sqrt() / u),
            None if freedom > 1.0 => {
                let others = (sum - squared).max(0.0) / (freedom - 1.0);
                student_two_sided((squared / others).sqrt(), freedom - 1.0)
            }
            None => 1.0,
        }
    };
    let far = |i: &usize| residuals[*i].value.powi(2) / residuals[*i].share;
    let places = (0..residuals.len()).filter(|i| checked(&residuals[*i]));
    let farthest = places.max_by(|a, b| far(a).total_cmp(&far(b)));
    let apart = farthest.and_then(|difference| {
        let residual = &residuals[difference];
        let (by, p) = (residual.value / residual.share, number * chance(residual));
        (p < LEVEL).then_some(Misfit::Apart { difference, by, p })
    });
    let scatter = scatter.map(|p| Misfit::Scatter { p });
    scatter.into_iter().chain(apart).collect()
}
