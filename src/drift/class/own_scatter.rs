/*! Scatter of an item's own: members of a class that follow its pattern more loosely, or
more closely, than the class as a whole.

The squared innovations of a member, each in its variance, add up to Q over n readings. Where
members differ, the variances of each are the class's times a scale of its own, distributed
over the class as an inverse χ² with ν degrees of freedom about c (the conjugate scale of a
dynamic linear model: M. West and J. Harrison, *Bayesian forecasting and dynamic models*,
1997, section 4.5). What a member's readings say of its scale then is

```text
s = (ν·c + Q) / (ν + n),   forecasts are Student's t with ν + n degrees of freedom
```

Innovations of the whole class, m of them, tell its own variances no better than a sample of
m + 4 would (four for what its priors know): the degrees of freedom of a forecast are those
of both, 1/(1/(ν + n) + 1/(m + 4)).

ν and c maximise the likelihood of all members; ν is believed finite only by a margin, so
that a class of like members is left as it is.
*/

use serde::{Deserialize, Serialize};
use statrs::function::gamma::ln_gamma;

/// A squared innovation counts for no more than this many variances: what is beyond is a
/// surprise, and told as one.
const MOST: f64 = 9.0;
/// Degrees of freedom tried.
const DEGREES: [f64; 8] = [3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 40.0];
/// Gain in log likelihood from which members are believed to differ.
const MARGIN: f64 = 3.0;
/// Rounds that find c for one ν.
const ROUNDS: usize = 30;
/// Degrees of freedom that the priors of a class are worth.
const KNOWN_BEFORE: f64 = 4.0;
/// From this many degrees of freedom on Student's t is the normal distribution.
const NORMAL_FROM: f64 = 200.0;

/// Squared innovations of one member, in their variances.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Scatter {
    /// Their sum, none counting more than nine.
    pub squares: f64,
    /// Their number.
    pub readings: f64,
}

impl Scatter {
    /// Counts a squared innovation, in its variance.
    pub(crate) fn add(&mut self, square: f64) {
        if square.is_finite() {
            self.squares += square;
            self.readings += 1.0;
        }
    }

    /// The sum of all.
    pub(crate) fn of(squares: &[f64]) -> Self {
        let mut sum = Self::default();
        squares.iter().for_each(|square| sum.add(*square));
        sum
    }
}

/// Square of an innovation in its `variance`, none counting more than nine.
pub(crate) fn square_of(off: f64, variance: f64) -> f64 {
    (off * off / variance).min(MOST)
}

/// How the scatter of the members differs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OwnScatter {
    /// Degrees of freedom ν; infinite where members are alike.
    pub degrees: f64,
    /// Typical scale c of the variances.
    pub typical: f64,
    /// Innovations m of the class.
    pub innovations: f64,
}

impl Default for OwnScatter {
    /// Members alike.
    fn default() -> Self {
        Self {
            degrees: f64::INFINITY,
            typical: 1.0,
            innovations: 0.0,
        }
    }
}

impl OwnScatter {
    /// How members with these innovations differ.
    pub(crate) fn of(members: &[Scatter]) -> Self {
        let members: Vec<Scatter> = members
            .iter()
            .copied()
            .filter(|m| m.readings > 0.0)
            .collect();
        let (squares, readings) = members
            .iter()
            .fold((0.0, 0.0), |sum, m| (sum.0 + m.squares, sum.1 + m.readings));
        let like = Self {
            innovations: readings,
            ..Self::default()
        };
        if members.len() < 2 || squares <= 0.0 {
            return like;
        }
        let alike = -0.5 * readings * ((squares / readings).ln() + 1.0);
        let likeliest = DEGREES
            .map(|degrees| {
                let typical = typical(&members, degrees, squares / readings);
                (log_likelihood(&members, degrees, typical), degrees, typical)
            })
            .into_iter()
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match likeliest {
            Some((likelihood, degrees, typical)) if likelihood > alike + MARGIN => Self {
                degrees,
                typical,
                innovations: readings,
            },
            _ => like,
        }
    }

    /// True where members scatter unlike.
    pub(crate) fn differs(&self) -> bool {
        self.degrees.is_finite()
    }

    /// The members' squares with what is each one's own taken out of them.
    pub(crate) fn shared(&self, members: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let one = |squares: &Vec<f64>| {
            let (own, _) = self.of_member(&Scatter::of(squares));
            squares.iter().map(|square| square / own).collect()
        };
        members.iter().map(one).collect()
    }

    /// Scale of one member's variances, and the degrees of freedom of its forecasts.
    pub(crate) fn of_member(&self, own: &Scatter) -> (f64, f64) {
        let degrees = self.degrees + own.readings;
        let scale = match degrees.is_finite() {
            true => (self.degrees * self.typical + own.squares) / degrees,
            false => 1.0,
        };
        let freedom = 1.0 / (1.0 / degrees + 1.0 / (self.innovations + KNOWN_BEFORE));
        if freedom < NORMAL_FROM {
            (scale, freedom)
        } else {
            (scale, f64::INFINITY)
        }
    }
}

/// Log likelihood of the members' innovations, what does not depend on ν and c left out.
fn log_likelihood(members: &[Scatter], degrees: f64, typical: f64) -> f64 {
    let prior = degrees * typical;
    let one = |m: &Scatter| {
        ln_gamma(0.5 * (degrees + m.readings)) - ln_gamma(0.5 * degrees)
            + 0.5 * degrees * prior.ln()
            - 0.5 * (degrees + m.readings) * (prior + m.squares).ln()
            + 0.5 * m.readings * std::f64::consts::LN_2
    };
    members.iter().map(one).sum()
}

/// The likeliest c for one ν: where the derivative of the likelihood vanishes.
fn typical(members: &[Scatter], degrees: f64, start: f64) -> f64 {
    let mut typical = start;
    for _ in 0..ROUNDS {
        let sum: f64 = members
            .iter()
            .map(|m| (degrees + m.readings) / (degrees * typical + m.squares))
            .sum();
        typical = members.len() as f64 / sum;
    }
    typical
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::testing::*;
    use rand_distr::Gamma;

    /// Members of ten readings whose variances are spread by an inverse χ² of `degrees`.
    fn members(count: usize, degrees: f64, seed: u64) -> Vec<(f64, Scatter)> {
        let mut stream = Pcg64::seed_from_u64(seed);
        let gamma = Gamma::new(0.5 * degrees.min(1e9), 2.0 / degrees.min(1e9)).unwrap();
        (0..count)
            .map(|_| {
                let scale = match degrees.is_finite() {
                    true => 1.0 / gamma.sample(&mut stream),
                    false => 1.0,
                };
                let mut own = Scatter::default();
                for _ in 0..10 {
                    let z: f64 = stream.sample(StandardNormal);
                    own.add(square_of(z * scale.sqrt(), 1.0));
                }
                (scale, own)
            })
            .collect()
    }

    #[test]
    fn members_alike_are_left_alike() {
        let differing = (0..200)
            .filter(|seed| {
                let own: Vec<Scatter> = members(60, f64::INFINITY, *seed)
                    .into_iter()
                    .map(|m| m.1)
                    .collect();
                OwnScatter::of(&own).degrees.is_finite()
            })
            .count();
        assert!(differing <= 2, "{differing} of 200");
    }

    #[test]
    fn members_that_differ_get_a_scale_of_their_own() {
        let drawn = members(300, 5.0, 7);
        let own: Vec<Scatter> = drawn.iter().map(|m| m.1).collect();
        let found = OwnScatter::of(&own);
        assert!((3.0..=12.0).contains(&found.degrees), "{found:?}");
        // The scale told is nearer to the truth than taking all members for alike.
        let off = |scale_of: &dyn Fn(&Scatter) -> f64| -> f64 {
            let far = |(scale, own): &(f64, Scatter)| (scale_of(own) / scale).ln().powi(2);
            drawn.iter().map(far).sum()
        };
        let alike = off(&|_| found.typical);
        assert!(off(&|own| found.of_member(own).0) < 0.6 * alike);
    }

    #[test]
    fn one_member_or_none_says_nothing() {
        assert_eq!(OwnScatter::of(&[]), OwnScatter::default());
        let one = members(1, 3.0, 1)[0].1;
        let found = OwnScatter::of(&[one]);
        assert!(found.degrees.is_infinite() && found.innovations == 10.0);
        assert_eq!(
            OwnScatter::of(&[Scatter::default(); 5]),
            OwnScatter::default()
        );
    }
}
