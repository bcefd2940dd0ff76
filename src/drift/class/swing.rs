/*! Whether the members of a class swing with the year: the class is fitted once as if they did, and
the two explanations are compared, each with its own rates.

Rates that were found without a swing cannot judge one: what swings has passed for wander and
scatter by then, and beside those it looks small. So the log variances are sought anew with that of
the swing among them ([`super::swing_likelihood`]), the turning of the drift held where it was.
The volumes under both modes (P. S. Laplace's approximation), each with its priors, give the odds;
before any reading they are even, since nothing says whether instruments of a kind swing.

Where the odds leave it open the class swings as far as it is believed to: by the variance of the
mixture of both.
*/

use super::count::{Count, surprises};
use super::modes::Mode;
use super::prior::Vector;
use super::search::Search;
use super::swing_likelihood::pass_with_swing;
use crate::drift::class::rates::Rates;
use crate::drift::state::surprise::Surprises;
use std::f64::consts::LN_2;

/// One in so many readings may be wrong, and one in so many members unlike the others, one at least: what
/// those gain is no evidence beyond what the next of the others gains. Our own choice, no source;
/// docs/methods-state.md has what it costs.
const WRONG: usize = 40;
/// Members from which on one may be unlike the others: of fewer nobody can say which is the exception.
/// Our own choice, no source.
const ENOUGH: usize = 10;
/// Beliefs below which a swing is left out, and from which on it is taken for sure. Our own
/// choice, no source.
const HARDLY: f64 = 0.25;
const SURE: f64 = 0.95;
/// What a search may yet gain from the best of the points it could start from.
const REACH: f64 = 1.0;
/// Places among the log variances.
const WANDER: usize = 1;
const SWING: usize = 2;
const NOISE: usize = 3;

/// How the members of a class swing, where they may.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Supposed {
    pub rates: Rates,
    pub surprises: Surprises,
    /// Variance of a member's cosine and sine, if they swing.
    pub variance: f64,
    /// Probability that they do, the readings that gain most by it held to what others gain.
    pub belief: f64,
}

impl Supposed {
    /// True where there is no doubt that the class swings.
    pub(crate) fn is_sure(&self) -> bool {
        self.belief >= SURE
    }
}

impl Search<'_> {
    /// How the members swing, where that explains the readings about as well as the best mode
    /// without a swing, `stands`.
    pub(crate) fn swinging(&self, stands: &Mode) -> Option<Supposed> {
        if self.sample.phases.is_empty() {
            return None;
        }
        let hardly = (HARDLY / (1.0 - HARDLY)).ln();
        let (search, height, start) = self.start_with_swing(stands)?;
        if height < stands.posterior + hardly - REACH {
            return None;
        }
        let (search, mode) = search.climb(start);
        let odds = search.log_evidence(&mode) - self.log_evidence(stands);
        let few = search.excess_of_few(&mode.at, self.rates(&stands.at));
        let belief = 1.0 / (1.0 + (few - odds).exp());
        (belief >= HARDLY).then(|| Supposed {
            rates: search.rates(&mode.at),
            surprises: search.surprises,
            variance: mode.at[SWING].exp(),
            belief,
        })
    }

    /// The highest of the points from which a swing can be sought, with the surprises as found
    /// without one or as believed before any.
    fn start_with_swing(&self, stands: &Mode) -> Option<(Self, f64, Vector)> {
        let found = self.with_swing(&stands.at);
        let calm = Self {
            surprises: surprises(self.sample, &Count::default()),
            ..found.clone()
        };
        // Readings no worse than stated, and wander as found or calm: the swing has the rest.
        let points: [Vector; 8] = std::array::from_fn(|i| {
            let mut point = stands.at;
            if i < 4 {
                point[WANDER] = point[WANDER].min(found.prior.calm()[WANDER]);
            }
            point[SWING] = found.prior.centre[SWING] + 2.0 * LN_2 * ((i % 4) as f64 - 1.0);
            point[NOISE] = point[NOISE].min(found.prior.centre[NOISE]);
            point
        });
        let highest = |search: Self| {
            let heights = search.posterior(&points);
            let all = heights.into_iter().zip(points);
            let best = all.max_by(|a, b| a.0.total_cmp(&b.0));
            best.map(|(height, point)| (search, height, point))
        };
        let both = [highest(found), highest(calm)];
        both.into_iter()
            .flatten()
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The mode reached from `start`, about the mean drift found there.
    fn climb(mut self, start: Vector) -> (Self, Mode) {
        let (at, _) = self.maximise(start);
        let [(_, found)] = self.passes(&[at]);
        self.reference = self.mean_drift(&found).0;
        let (at, curvature) = self.maximise(at);
        let [posterior] = self.posterior(&[at]);
        let mode = Mode {
            at,
            curvature,
            posterior,
        };
        (self, mode)
    }

    /// Log of the probability of the readings, the constant that both explanations share left out.
    fn log_evidence(&self, mode: &Mode) -> f64 {
        self.log_volume(mode) + self.prior.log_constant_of_motion()
    }

    /// What the few that gain most by a swing as at a point gain beyond the next of the others, readings
    /// and then members: a wrong reading does, where the dates of the others hardly show a swing and so do
    /// not speak against it, and a member that swings alone. Left out whole, a true swing would lose its best
    /// evidence. `without` are the rates without one.
    fn excess_of_few(&self, at: &Vector, without: Rates) -> f64 {
        let phases = &self.sample.phases;
        let mut before = Vec::with_capacity(self.sample.data.len() + 1);
        let last = pass_with_swing(
            &self.sample.data,
            phases,
            &self.transitions,
            &[self.rates(at), without],
            &[at[SWING].exp(), 0.0],
            &self.surprises,
            |found| before.push(found[0].log_likelihood - found[1].log_likelihood),
        );
        before.push(last[0].log_likelihood - last[1].log_likelihood);
        let mut gains: Vec<f64> = before.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let few = gains.len().div_ceil(WRONG);
        let by_readings = hold_few(&mut gains, few);
        let mut by_member: Vec<f64> = Vec::new();
        for (gain, phase) in gains.iter().zip(phases) {
            match by_member.last_mut() {
                Some(member) if !phase.begins => *member += gain,
                _ => by_member.push(*gain),
            }
        }
        let few = match by_member.len() {
            members if members < ENOUGH => 0,
            members => members.div_ceil(WRONG),
        };
        by_readings + hold_few(&mut by_member, few)
    }
}

/// Holds the `few` largest of `gains` to the next of the others, or to nothing where that loses: what
/// they lose by it.
fn hold_few(gains: &mut [f64], few: usize) -> f64 {
    let mut sorted = gains.to_vec();
    sorted.sort_by(f64::total_cmp);
    let others = sorted.len().saturating_sub(few);
    let next = others
        .checked_sub(1)
        .map_or(0.0, |last| sorted[last].max(0.0));
    if few == 0 {
        return 0.0;
    }
    let mut excess = 0.0;
    for gain in gains {
        excess += (*gain - next).max(0.0);
        *gain = gain.min(next);
    }
    excess
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_few_that_gain_most_count_for_as_much_as_the_next_of_the_others() {
        let mut gains = [0.5, 9.0, -1.0, 2.0];
        near!(hold_few(&mut gains, 1), 7.0, 1e-12);
        assert_eq!(gains, [0.5, 2.0, -1.0, 2.0]);
        // Where the others lose, the few gain nothing, and where there are no others either.
        let mut gains = [-0.5, 3.0];
        near!(hold_few(&mut gains, 1), 3.0, 1e-12);
        near!(hold_few(&mut [4.0], 1), 4.0, 1e-12);
        near!(hold_few(&mut [4.0, 1.0], 0), 0.0, 1e-12);
    }
}
