/*! R(t) without a model where lives have several checks: the share that never failed.

A life in tolerance at t₁ and out at t₂ failed somewhere between. The likelihood of such
interval-censored lives is highest where all failures fall into a few stretches (after, before]
between which no check lies (R. Peto, Applied Statistics 22 (1973) 86–91; B. Turnbull, Journal of
the Royal Statistical Society B 38 (1976) 290–295). How much falls into each is found by
alternating a step of expectation and maximisation with one of the iterative convex minorant
(J. Wellner and Y. Zhan, Journal of the American Statistical Association 92 (1997) 945–959), until
the slopes show that ln L cannot rise by more than [`CLOSE`].
*/

use super::monotone::Step;
use super::outcomes::Outcomes;

/// Rise of ln L that is not looked for any more: far below what any record can tell.
const CLOSE: f64 = 1e-7;
/// Most pairs of steps; some tens are usual.
const MOST_ROUNDS: usize = 2_000;
/// Halvings of a step of the convex minorant that does not climb.
const HALVINGS: usize = 12;

/// A stretch into which failures may fall; days since renewal, the end may be infinite.
type Stretch = (f64, f64);

/// One distinct record: the stretches it covers, first and last, and the number of lives.
#[derive(Debug, Clone, Copy)]
struct Record {
    first: usize,
    last: usize,
    lives: f64,
}

/// Where R̂ does not change, in order of time; between two such steps the records do not tell
/// where it falls. Empty where there is no life.
pub(super) fn never_failed(outcomes: &Outcomes) -> Vec<Step> {
    let stretches = stretches(outcomes);
    let records = records(outcomes, &stretches);
    let shares = shares(stretches.len(), &records);
    let mut steps: Vec<Step> = Vec::new();
    let (mut reliability, mut since) = (1.0, 0.0);
    for (stretch, share) in stretches
        .iter()
        .zip(&shares)
        .filter(|(_, share)| **share > 0.0)
    {
        steps.push(Step {
            days: since,
            last_days: stretch.0,
            reliability,
        });
        reliability = f64::max(0.0, reliability - share);
        since = stretch.1;
    }
    if since.is_finite() && !steps.is_empty() {
        // Every life ended out of tolerance by then.
        steps.push(Step {
            days: since,
            last_days: since,
            reliability: 0.0,
        });
    }
    steps
}

/// Every end of "still in" that is followed by a "was out" before any other end.
fn stretches(outcomes: &Outcomes) -> Vec<Stretch> {
    // At one time what was out by then comes before what was in till then: (t₁, t] and
    // (t, t₂] share no moment.
    let mut ends: Vec<(f64, bool)> = outcomes
        .lives()
        .flat_map(|(after, before, _)| [(after, true), (before, false)])
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    ends.dedup();
    ends.windows(2)
        .filter(|pair| pair[0].1 && !pair[1].1)
        .map(|pair| (pair[0].0, pair[1].0))
        .collect()
}

fn records(outcomes: &Outcomes, stretches: &[Stretch]) -> Vec<Record> {
    let record = |(after, before, lives): (f64, f64, u64)| Record {
        first: stretches.partition_point(|stretch| stretch.0 < after),
        last: stretches
            .partition_point(|stretch| stretch.1 <= before)
            .saturating_sub(1),
        lives: lives as f64,
    };
    outcomes.lives().map(record).collect()
}

/// Share of all lives that fails in each stretch.
fn shares(count: usize, records: &[Record]) -> Vec<f64> {
    let mut shares = vec![1.0 / count.max(1) as f64; count];
    let lives: f64 = records.iter().map(|record| record.lives).sum();
    for _ in 0..MOST_ROUNDS {
        let slopes = slopes(&shares, records);
        let steepest = slopes.iter().copied().fold(0.0, f64::max);
        if steepest - lives <= CLOSE {
            break;
        }
        for (share, slope) in shares.iter_mut().zip(&slopes) {
            *share *= slope / lives;
        }
        convex_minorant(&mut shares, records);
    }
    // What only rounding keeps above nought is no fall of R.
    shares
        .iter_mut()
        .filter(|share| **share < CLOSE)
        .for_each(|share| *share = 0.0);
    let total: f64 = shares.iter().sum();
    shares.iter().map(|share| share / total).collect()
}

/// ∂ ln L/∂ share of each stretch: the lives that may have failed there, each by its probability.
fn slopes(shares: &[f64], records: &[Record]) -> Vec<f64> {
    let below = summed(shares);
    let mut slopes = vec![0.0; shares.len() + 1];
    for record in records {
        let part = record.lives / probability(record, &below);
        slopes[record.first] += part;
        slopes[record.last + 1] -= part;
    }
    let mut sum = 0.0;
    for slope in &mut slopes {
        sum += *slope;
        *slope = sum;
    }
    slopes.pop();
    slopes
}

/// Shares that failed before each stretch, and all.
fn summed(shares: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    let sums = shares.iter().map(|share| {
        sum += share;
        sum
    });
    std::iter::once(0.0).chain(sums).collect()
}

fn probability(record: &Record, below: &[f64]) -> f64 {
    below[record.last + 1] - below[record.first]
}

fn ln_likelihood(below: &[f64], records: &[Record]) -> f64 {
    let term = |record: &Record| record.lives * probability(record, below).max(0.0).ln();
    records.iter().map(term).sum()
}

/// One step of the iterative convex minorant: a Newton step of the shares failed before each
/// stretch by the diagonal alone, made rising again, as far as ln L climbs.
fn convex_minorant(shares: &mut [f64], records: &[Record]) {
    let count = shares.len();
    let below = summed(shares);
    let (mut slope, mut bend) = (vec![0.0; count + 1], vec![0.0; count + 1]);
    for record in records {
        let p = probability(record, &below);
        for (end, sign) in [(record.last + 1, 1.0), (record.first, -1.0)] {
            slope[end] += sign * record.lives / p;
            bend[end] += record.lives / (p * p);
        }
    }
    let aims: Vec<(f64, f64)> = (1..count)
        .map(|end| (below[end] + slope[end] / bend[end], bend[end]))
        .collect();
    if !aims
        .iter()
        .all(|(aim, weight)| aim.is_finite() && weight.is_finite())
    {
        return;
    }
    let mut aim = vec![0.0];
    aim.extend(rising(&aims).into_iter().map(|x| x.clamp(0.0, 1.0)));
    aim.push(1.0);
    let start = ln_likelihood(&below, records);
    let mut part = 1.0;
    for _ in 0..HALVINGS {
        let mixed = |(from, to): (&f64, &f64)| from + part * (to - from);
        let next: Vec<f64> = below.iter().zip(&aim).map(mixed).collect();
        if ln_likelihood(&next, records) > start {
            for (share, pair) in shares.iter_mut().zip(next.windows(2)) {
                *share = pair[1] - pair[0];
            }
            return;
        }
        part *= 0.5;
    }
}

/// The rising values nearest to `values`, each with its weight: neighbours out of order are
/// pooled (M. Ayer and others, Annals of Mathematical Statistics 26 (1955) 641–647).
fn rising(values: &[(f64, f64)]) -> Vec<f64> {
    let mut blocks: Vec<(f64, f64, usize)> = Vec::new();
    for (value, weight) in values {
        let mut block = (*value, *weight, 1);
        while let Some(last) = blocks.pop_if(|last| last.0 >= block.0) {
            let weight = last.1 + block.1;
            let mean = (last.0 * last.1 + block.0 * block.1) / weight;
            block = (mean, weight, last.2 + block.2);
        }
        blocks.push(block);
    }
    let spread = |(value, _, count): &(f64, f64, usize)| std::iter::repeat_n(*value, *count);
    blocks.iter().flat_map(spread).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::cases;
    use crate::reliability::fit::tests::data_a;
    use crate::reliability::monotone::{level_at, monotone};
    use proptest::prelude::*;

    /// One check a life: the falling step curve nearest to the proportions.
    #[test]
    fn single_checks_give_the_monotone_estimate() {
        let steps = never_failed(&data_a());
        for expected in monotone(&data_a()).unwrap() {
            let found = level_at(&steps, expected.last_days);
            near!(found, expected.reliability, 1e-5);
        }
    }

    /// Lives seen in to the end of each and out at the next year: with no gap between, the
    /// product-limit estimate (E. Kaplan and P. Meier, Journal of the American Statistical
    /// Association 53 (1958) 457–481): 9/10, 9/10·6/7 (two left before), 0.9·6/7·4/6.
    #[test]
    fn yearly_checks_give_the_product_limit_estimate() {
        let mut outcomes = Outcomes::default();
        outcomes.add_lives(0.0, 365.0, 1).unwrap();
        outcomes.add_lives(365.0, f64::INFINITY, 2).unwrap();
        outcomes.add_lives(365.0, 730.0, 1).unwrap();
        outcomes.add_lives(730.0, 1095.0, 2).unwrap();
        outcomes.add_lives(1095.0, f64::INFINITY, 4).unwrap();
        let steps = never_failed(&outcomes);
        let expected = [
            (365.0, 0.9),
            (730.0, 0.9 * 6.0 / 7.0),
            (1095.0, 0.9 * 6.0 / 7.0 * 4.0 / 6.0),
        ];
        for (days, level) in expected {
            near!(level_at(&steps, days), level, 1e-6);
        }
    }

    #[test]
    fn no_failure_and_only_failures() {
        let mut outcomes = Outcomes::default();
        assert!(never_failed(&outcomes).is_empty());
        outcomes.add_lives(100.0, f64::INFINITY, 3).unwrap();
        let steps = never_failed(&outcomes);
        assert_eq!(
            (steps.len(), steps[0].last_days, steps[0].reliability),
            (1, 100.0, 1.0)
        );
        let mut outcomes = Outcomes::default();
        outcomes.add_lives(0.0, 50.0, 3).unwrap();
        let steps = never_failed(&outcomes);
        assert_eq!((steps[1].days, steps[1].reliability), (50.0, 0.0));
    }

    fn any_lives() -> impl Strategy<Value = Vec<(u32, u32, bool, u64)>> {
        prop::collection::vec((0u32..9, 1u32..6, any::<bool>(), 1u64..5), 1..40)
    }

    proptest! {
        #![proptest_config(cases(200))]

        /// The slopes prove the top: none exceeds the number of lives, and where a share falls
        /// the slope is that number.
        #[test]
        fn no_other_shares_are_likelier(lives in any_lives()) {
            let mut outcomes = Outcomes::default();
            for (after, more, ends, n) in lives {
                let before = if ends { f64::from(after + more) } else { f64::INFINITY };
                if after > 0 || ends {
                    outcomes.add_lives(f64::from(after), before, n).unwrap();
                }
            }
            let stretches = stretches(&outcomes);
            let records = records(&outcomes, &stretches);
            let shares = shares(stretches.len(), &records);
            let all: f64 = records.iter().map(|record| record.lives).sum();
            for slope in slopes(&shares, &records) {
                prop_assert!(slope - all <= 1e-3, "{slope} {all}");
            }
        }
    }
}
