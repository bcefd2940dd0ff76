/*! A yearly swing that the members of a class share: where instruments swing with the year,
each by its own amplitude and phase or all alike (one room), the class lends what it knows.

Cosine and sine of a member are drawn from N(m, a²·1) about the class's mean swing m. The
filter of the member carries how its innovation moves with the two (the augmented filter:
P. de Jong, *The diffuse Kalman filter*, 1991), so each member is summed up by an
information matrix M and a pull b, and the swing given its readings is

```text
V = (M + C⁻¹)⁻¹,   (cosine, sine) = V·(b + C⁻¹·m),   C = a²·1
```

The likelihood of all members, the swings integrated out (Laird and Ware 1982), tells a, and
m ~ N(0, b²·1) with it; whether the class swings was judged before ([`super::swing`]), and a mean
swing beside a spread is believed only by a margin. What is believed is integrated over a. Members whose dates cannot show a swing have no say in it: what they could tell
of one is their scatter, enlarged.
What a swing leaves open and what it has done to level and drift are one uncertainty: over a
whole year a swing, known or not, changes nothing.
*/

use nalgebra::{Matrix2, Vector2};
use serde::{Deserialize, Serialize};

/// Gain in log likelihood from which a mean swing is believed beside a spread.
const MARGIN: f64 = 5.0;
/// Spreads of the swing that are tried, in the class's scale: the first, and the next over each.
const FIRST_SPREAD: f64 = 0.02;
const NEXT_SPREAD: f64 = 1.3;
const SPREADS: i32 = 24;

/// How the members of a class swing with the year, in the class's scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClassAnnualTerm {
    /// Mean cosine and sine.
    pub mean: Vector2<f64>,
    /// Covariance of a member's cosine and sine; of the mixture with no swing where it is in doubt.
    pub covariance: Matrix2<f64>,
    /// Probability that the class swings.
    pub belief: f64,
}

impl Default for ClassAnnualTerm {
    /// No swing.
    fn default() -> Self {
        Self {
            mean: Vector2::zeros(),
            covariance: Matrix2::zeros(),
            belief: 0.0,
        }
    }
}

/// What one member's readings say of its swing, in the class's scale.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Trace {
    pub(super) information: Matrix2<f64>,
    pub(super) pull: Vector2<f64>,
    /// How level and drift after the last reading move with the swing.
    pub(super) level: Vector2<f64>,
    pub(super) drift: Vector2<f64>,
}

impl ClassAnnualTerm {
    /// Members that swing, with this probability, each by its own cosine and sine of this variance.
    pub(super) fn each_its_own(variance: f64, belief: f64) -> Self {
        Self {
            mean: Vector2::zeros(),
            covariance: Matrix2::identity() * belief * variance,
            belief,
        }
    }

    /// Typical amplitude of a member, in the class's scale, if the class swings.
    pub(crate) fn typical_if(&self) -> f64 {
        self.typical() / self.belief.sqrt()
    }

    /// The swing of members, none where none gains. Whether they swing together is decided by the
    /// margin; how far each differs from the others is integrated
    /// over, since the likeliest spread is often none where the readings hardly tell it, and then
    /// what members differ by passes for wander, and their swings for known.
    pub(crate) fn of(members: &[Trace]) -> Self {
        let tried: Vec<Tried> = std::iter::once(0.0)
            .chain(spreads())
            .flat_map(|spread| candidates(members, spread))
            .collect();
        let likeliest = tried
            .iter()
            .filter(|one| one.gain > one.margin())
            .max_by(|a, b| (a.gain - a.margin()).total_cmp(&(b.gain - b.margin())));
        likeliest.map_or_else(Self::default, |best| {
            let alike = tried
                .iter()
                .filter(|one| one.together == best.together && one.gain.is_finite());
            mixture(&alike.collect::<Vec<_>>(), best.term.typical())
        })
    }

    /// True where the class swings.
    pub(crate) fn has_annual_term(&self) -> bool {
        self.covariance.trace() > 0.0
    }

    /// Typical amplitude of a member, in the class's scale.
    pub(crate) fn typical(&self) -> f64 {
        (self.mean.norm_squared() + self.covariance.trace()).sqrt()
    }

    /// Cosine and sine of a member, and their covariance.
    pub(super) fn given(
        &self,
        information: &Matrix2<f64>,
        pull: &Vector2<f64>,
    ) -> (Vector2<f64>, Matrix2<f64>) {
        // (M + C⁻¹)⁻¹ = C·(1 + M·C)⁻¹ needs no inverse of C.
        let variance = (Matrix2::identity() + information * self.covariance)
            .try_inverse()
            .map_or(self.covariance, |inverse| self.covariance * inverse);
        (
            self.mean + variance * (pull - information * self.mean),
            variance,
        )
    }
}

/// One swing of a class that is tried.
#[derive(Debug, Clone, Copy)]
struct Tried {
    /// Gain in log likelihood over no swing.
    gain: f64,
    /// Spread of the members about the mean.
    spread: f64,
    /// Whether the members have a mean swing.
    together: bool,
    term: ClassAnnualTerm,
}

impl Tried {
    /// Gain from which it is believed: once for a swing, once more for a mean beside a spread.
    fn margin(&self) -> f64 {
        match self.together && self.spread > 0.0 {
            true => MARGIN,
            false => 0.0,
        }
    }

    /// Share of the prior of the spread that its step of the spreads holds: half-Cauchy about
    /// the `typical` swing (A. Gelman, Bayesian Analysis 1 (2006) 515–534, from memory), which
    /// bounds what few members leave open.
    fn prior(&self, typical: f64) -> f64 {
        let half_step = NEXT_SPREAD.sqrt();
        match self.spread > 0.0 {
            true => {
                (self.spread * half_step / typical).atan()
                    - (self.spread / half_step / typical).atan()
            }
            false => (FIRST_SPREAD / half_step / typical).atan(),
        }
    }
}

/// The swings in `tried`, each by its likelihood and the prior of its spread: their mean, and the
/// covariance of a member's swing about it.
fn mixture(tried: &[&Tried], typical: f64) -> ClassAnnualTerm {
    let most = tried.iter().map(|one| one.gain).fold(0.0, f64::max);
    let weight = |one: &Tried| one.prior(typical) * (one.gain - most).exp();
    let total: f64 = tried.iter().map(|one| weight(one)).sum();
    let part = |one: &Tried| weight(one) / total;
    let mean: Vector2<f64> = tried.iter().map(|one| one.term.mean * part(one)).sum();
    let about = |one: &&Tried| {
        let off = one.term.mean - mean;
        (one.term.covariance + off * off.transpose()) * part(one)
    };
    let covariance = tried.iter().map(about).sum();
    ClassAnnualTerm {
        mean,
        covariance,
        belief: 1.0,
    }
}

/// Without a mean and with one, for one spread of the members.
fn candidates(members: &[Trace], spread: f64) -> [Tried; 2] {
    let variance = spread * spread;
    let (mut gain, mut pull, mut information) = (0.0, Vector2::zeros(), Matrix2::zeros());
    for member in members {
        let whole = Matrix2::identity() + member.information * variance;
        let Some(inverse) = whole.try_inverse() else {
            continue;
        };
        let own = inverse * member.pull;
        gain += 0.5 * variance * member.pull.dot(&own) - 0.5 * whole.determinant().ln();
        pull += own;
        information += inverse * member.information;
    }
    let own = Matrix2::identity() * variance;
    let without = ClassAnnualTerm {
        mean: Vector2::zeros(),
        covariance: own,
        belief: 1.0,
    };
    let (shared, mean, known) = likeliest_mean(&information, &pull);
    let with = ClassAnnualTerm {
        mean,
        covariance: own + 0.5 * (known + known.transpose()),
        belief: 1.0,
    };
    let tried = |gain, together, term| Tried {
        gain,
        spread,
        together,
        term,
    };
    [
        tried(gain, false, without),
        tried(gain + shared, true, with),
    ]
}

/// The mean swing N(0, b²·1) that gains most, its gain in log likelihood and covariance. So it
/// is bounded, where the dates of all members leave a direction open, by what the other holds.
fn likeliest_mean(
    information: &Matrix2<f64>,
    pull: &Vector2<f64>,
) -> (f64, Vector2<f64>, Matrix2<f64>) {
    let none = (0.0, Vector2::zeros(), Matrix2::zeros());
    spreads().fold(none, |best, spread| {
        let square = spread * spread;
        let whole = Matrix2::identity() + information * square;
        let Some(known) = whole.try_inverse().map(|inverse| inverse * square) else {
            return best;
        };
        let mean = known * pull;
        let gain = 0.5 * (pull.dot(&mean) - whole.determinant().ln());
        if gain > best.0 {
            (gain, mean, known)
        } else {
            best
        }
    })
}

/// The spreads that are tried.
fn spreads() -> impl Iterator<Item = f64> {
    (0..SPREADS).map(|i| FIRST_SPREAD * NEXT_SPREAD.powi(i))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::normal_quantile;

    /// Members of 60 classes of twelve that swing together, each by its own 0.06 in cosine and
    /// sine, read to 0.1: too little to be sure of, so that the likeliest members are all alike, and
    /// their ellipses of 95 % held 0.47 of the true swings.
    #[test]
    fn what_members_differ_by_is_not_taken_for_nothing() {
        const CLASSES: usize = 60;
        const MEMBERS: usize = 12;
        let (own, noise, mean) = (0.06, 0.1_f64, Vector2::new(0.0, 0.3));
        // Normal values by the fractions of multiples of irrational numbers (an equal spread).
        let drawn = |i: usize, irrational: f64| normal_quantile((i as f64 * irrational).fract());
        let pair = |i: usize, (a, b): (f64, f64)| Vector2::new(drawn(i, a), drawn(i, b));
        let (mut inside, mut alike) = (0, 0);
        for class in 0..CLASSES {
            let swings: Vec<(Vector2<f64>, Trace)> = (0..MEMBERS)
                .map(|member| {
                    let i = 1 + class * MEMBERS + member;
                    let swing = mean + own * pair(i, (2.0_f64.sqrt(), 3.0_f64.sqrt()));
                    let seen = swing + noise * pair(i, (5.0_f64.sqrt(), 7.0_f64.sqrt()));
                    let information = Matrix2::identity() / (noise * noise);
                    let trace = Trace {
                        information,
                        pull: information * seen,
                        ..Trace::default()
                    };
                    (swing, trace)
                })
                .collect();
            let traces: Vec<Trace> = swings.iter().map(|(_, trace)| *trace).collect();
            let found = ClassAnnualTerm::of(&traces);
            alike += usize::from(found.covariance.trace() < own * own);
            for (swing, trace) in &swings {
                let (expected, variance) = found.given(&trace.information, &trace.pull);
                let off = swing - expected;
                let square = off.dot(&(variance.try_inverse().unwrap() * off));
                inside += usize::from(square < 5.991);
            }
        }
        let share = inside as f64 / (CLASSES * MEMBERS) as f64;
        println!("{share:.3} inside, {alike} classes taken for alike");
        assert!((0.92..0.98).contains(&share), "{share}");
    }
}
