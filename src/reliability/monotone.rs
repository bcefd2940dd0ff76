/*! R(t) without a model: the falling step curve closest to the observed proportions.

For lives seen at one check each this is the nonparametric maximum likelihood
estimate (P. Groeneboom and J. Wellner, Information Bounds and Nonparametric Maximum
Likelihood Estimation, 1992). The fit is linfa-linear's isotonic regression, fed so
that its answer is exact (version 0.8.1):

- it joins every earlier block, not only those out of order, once it has to look
  back, so neighbours that break the order are pooled here first (M. Ayer and others,
  Annals of Mathematical Statistics 26 (1955) 641–647), in `f64` rather than its `f32`
  weights;
- its direction follows the sign of the correlation, so time runs backwards and one
  row far below all others is put first, which makes the sign certain;
- its prediction interpolates between blocks, so it is asked at the blocks only.
*/

use super::outcomes::Outcomes;
use super::why_not::WhyNot;
use linfa::DatasetBase;
use linfa::traits::{Fit, Predict};
use linfa_linear::IsotonicRegression;
use ndarray::{Array1, Array2};
use serde::{Deserialize, Serialize};

/// One step: R is at most `reliability` from `days` until the next step.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(crate) struct Step {
    /// First observed time of the step, days since renewal.
    pub days: f64,
    /// Last observed time of the step.
    pub last_days: f64,
    /// Estimated R at the observed times of the step.
    pub reliability: f64,
}

/// The step curve from the checks in `outcomes`, by time.
///
/// # Errors
/// Where there is no check.
pub(crate) fn monotone(outcomes: &Outcomes) -> Result<Vec<Step>, WhyNot> {
    let blocks = pooled(outcomes);
    if blocks.is_empty() {
        return Err(WhyNot::NoCheck);
    }
    let levels = levels(&blocks)?;
    let step = |(b, reliability): (&Block, f64)| Step {
        days: b.first,
        last_days: b.last,
        reliability,
    };
    Ok(blocks.iter().zip(levels).map(step).collect())
}

/// R on the line through the steps, straight where the records do not tell how it falls.
pub(super) fn level_at(steps: &[Step], days: f64) -> f64 {
    let (mut from, mut level) = (0.0, 1.0);
    for step in steps {
        if days < step.days {
            let share = (days - from) / (step.days - from);
            return level + share * (step.reliability - level);
        }
        if days <= step.last_days {
            return step.reliability;
        }
        (from, level) = (step.last_days, step.reliability);
    }
    level
}

/// Checks at neighbouring times pooled into one proportion.
#[derive(Debug, Clone, Copy)]
struct Block {
    first: f64,
    last: f64,
    inside: f64,
    checks: f64,
}

impl Block {
    fn of((days, inside, outside): (f64, u64, u64)) -> Self {
        Self {
            first: days,
            last: days,
            inside: inside as f64,
            checks: (inside + outside) as f64,
        }
    }

    fn mean(&self) -> f64 {
        self.inside / self.checks
    }

    fn joined(self, later: Block) -> Block {
        Block {
            first: self.first,
            last: later.last,
            inside: self.inside + later.inside,
            checks: self.checks + later.checks,
        }
    }
}

/// Checks by time, neighbours joined until the proportions fall from block to block.
fn pooled(outcomes: &Outcomes) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    for mut block in outcomes.checks().map(Block::of) {
        while let Some(last) = blocks.pop_if(|last| last.mean() <= block.mean()) {
            block = last.joined(block);
        }
        blocks.push(block);
    }
    blocks
}

/// Levels of the isotonic fit at the blocks.
fn levels(blocks: &[Block]) -> Result<Vec<f64>, WhyNot> {
    let n = blocks.len();
    // Row 0 is the anchor, further down than all rows together are apart; then newest first.
    let anchor = -10.0 * (n as f64 + 1.0);
    let x = Array2::from_shape_fn(
        (n + 1, 1),
        |(i, _)| if i == 0 { -(n as f64) } else { i as f64 },
    );
    let y = Array1::from_shape_fn(
        n + 1,
        |i| if i == 0 { anchor } else { blocks[n - i].mean() },
    );
    let dataset = DatasetBase::new(x.clone(), y);
    let fitted = IsotonicRegression::new()
        .fit(&dataset)
        .map_err(|error| WhyNot::NoSteps(error.to_string()))?;
    let predicted: Array1<f64> = fitted.predict(&x);
    Ok(predicted.iter().skip(1).rev().copied().collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    fn outcomes(table: &[(u64, u64)]) -> Outcomes {
        let mut outcomes = Outcomes::default();
        for (i, (g, n)) in table.iter().enumerate() {
            outcomes
                .add_checks(10.0 * (i + 1) as f64, *g, n - g)
                .unwrap();
        }
        outcomes
    }

    fn monotone_at(steps: &[Step], days: f64) -> f64 {
        let holds = steps.iter().rev().find(|step| step.days <= days);
        holds.map_or(1.0, |step| step.reliability)
    }

    fn at_observed(table: &[(u64, u64)]) -> Vec<f64> {
        let steps = monotone(&outcomes(table)).unwrap();
        (1..=table.len())
            .map(|i| monotone_at(&steps, 10.0 * i as f64))
            .collect()
    }

    /// scipy 1.17.1 `isotonic_regression` (checks 22 and 23).
    #[test]
    fn published_cases() {
        let data_a = [(14, 14), (19, 20), (21, 22), (21, 24), (16, 20), (7, 12)];
        let expected = [1.0, 0.952381, 0.952381, 0.875, 0.8, 0.583333];
        for (r, e) in at_observed(&data_a).iter().zip(expected) {
            near!(*r, e, 6e-7);
        }
        let second = [(10, 10), (10, 12), (13, 15), (6, 9), (5, 8)];
        let expected = [1.0, 0.851852, 0.851852, 0.666667, 0.625];
        for (r, e) in at_observed(&second).iter().zip(expected) {
            near!(*r, e, 6e-7);
        }
    }

    #[test]
    fn rising_records_pool_into_one_step() {
        assert_eq!(at_observed(&[(1, 4), (2, 4), (4, 4)]), [7.0 / 12.0; 3]);
        assert_eq!(at_observed(&[(3, 3)]), [1.0]);
    }

    /// The least-squares answer in closed form: min over starts of max over ends
    /// (R. Barlow and others, Statistical Inference under Order Restrictions, 1972).
    fn minimax(table: &[(u64, u64)]) -> Vec<f64> {
        let mean = |a: usize, b: usize| {
            let (g, n) = table[a..=b]
                .iter()
                .fold((0, 0), |(g, n), (x, m)| (g + x, n + m));
            g as f64 / n as f64
        };
        let n = table.len();
        let ends =
            |i: usize, a: usize| (i..n).map(|b| mean(a, b)).fold(f64::NEG_INFINITY, f64::max);
        (0..n)
            .map(|i| (0..=i).map(|a| ends(i, a)).fold(f64::INFINITY, f64::min))
            .collect()
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn agrees_with_the_closed_form(
            counts in prop::collection::vec((0u64..8, 1u64..8), 1..40),
        ) {
            let table: Vec<(u64, u64)> = counts.iter().map(|(g, n)| ((*g).min(*n), *n)).collect();
            for (r, e) in at_observed(&table).iter().zip(minimax(&table)) {
                prop_assert!((r - e).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn many_times_are_pooled_to_the_same_answer() {
        let table: Vec<(u64, u64)> = (0..5_000u64)
            .map(|i| (u64::from((i * 7919) % 5_000 > i / 2), 1))
            .collect();
        let r = at_observed(&table);
        assert!(r.windows(2).all(|pair| pair[0] >= pair[1]));
        let steps = monotone(&outcomes(&table)).unwrap();
        let checks = pooled(&outcomes(&table))
            .into_iter()
            .map(|block| block.checks);
        let total: f64 = steps
            .iter()
            .zip(checks)
            .map(|(s, n)| s.reliability * n)
            .sum();
        let inside = table.iter().map(|(g, _)| g).sum::<u64>() as f64;
        near!(total, inside, 1e-6);
    }
}
