/*! A yearly swing that the members of a class share: where instruments swing with the year,
each by its own amplitude and phase or all alike (one room), the class lends what it knows.

Cosine and sine of a member are drawn from N(m, a²·1) about the class's mean swing m. The
filter of the member carries how its innovation moves with the two (the augmented filter:
P. de Jong, *The diffuse Kalman filter*, 1991), so each member is summed up by an
information matrix M and a pull b, and the swing given its readings is

```text
V = (M + C⁻¹)⁻¹,   (cosine, sine) = V·(b + C⁻¹·m),   C = a²·1
```

a maximises the likelihood of all members with the swings integrated out (Laird and Ware 1982),
and m ~ N(0, b²·1) with them; both are believed only by a margin, so a class that does not swing
is left alone. Members whose dates cannot show a swing have no say in it: what they could tell
of one is their scatter, enlarged.
What a swing leaves open and what it has done to level and drift are one uncertainty: over a
whole year a swing, known or not, changes nothing.
*/

use nalgebra::{Matrix2, Vector2};
use serde::{Deserialize, Serialize};

/// Gain in log likelihood from which a class is believed to swing, and its mean swing.
const MARGIN: f64 = 5.0;
/// One in so many members may swing alone: without those the others must still swing together.
const ALONE: usize = 20;
/// Spreads of the swing that are tried, in the class's scale: the first, and the next over each.
const FIRST_SPREAD: f64 = 0.02;
const NEXT_SPREAD: f64 = 1.3;
const SPREADS: i32 = 24;

/// How the members of a class swing with the year, in the class's scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClassAnnualTerm {
    /// Mean cosine and sine.
    pub mean: Vector2<f64>,
    /// Covariance of a member's cosine and sine.
    pub covariance: Matrix2<f64>,
}

impl Default for ClassAnnualTerm {
    /// No swing.
    fn default() -> Self {
        Self {
            mean: Vector2::zeros(),
            covariance: Matrix2::zeros(),
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

impl Trace {
    /// Squared swing over its variance, by the member's own readings.
    fn clearness(&self) -> f64 {
        let own = self.information.try_inverse().map(|v| v * self.pull);
        own.map_or(0.0, |own| self.pull.dot(&own))
    }
}

impl ClassAnnualTerm {
    /// How members with these readings swing: only where those that swing least do so too,
    /// since a few that swing alone are found by their own readings and must lend no one.
    pub(crate) fn of(members: &[Trace]) -> Self {
        let found = Self::likeliest(members);
        if !found.has_annual_term() {
            return found;
        }
        let mut least = members.to_vec();
        least.sort_by(|a, b| a.clearness().total_cmp(&b.clearness()));
        least.truncate(members.len() - members.len().div_ceil(ALONE));
        match Self::likeliest(&least).has_annual_term() {
            true => found,
            false => Self::default(),
        }
    }

    /// The likeliest swing of members, none unless it gains by the margin.
    fn likeliest(members: &[Trace]) -> Self {
        let steady = (0.0, Self::default());
        let best = std::iter::once(0.0)
            .chain(spreads())
            .flat_map(|spread| candidates(members, spread * spread))
            .fold(
                steady,
                |best, other| if other.0 > best.0 { other } else { best },
            );
        best.1
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

/// Gain in log likelihood over no swing, less the margin, and the swing: without a mean and
/// with one, for one variance.
fn candidates(members: &[Trace], variance: f64) -> [(f64, ClassAnnualTerm); 2] {
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
    let spread = Matrix2::identity() * variance;
    let without = ClassAnnualTerm {
        mean: Vector2::zeros(),
        covariance: spread,
    };
    let (shared, mean, known) = likeliest_mean(&information, &pull);
    let with = ClassAnnualTerm {
        mean,
        covariance: spread + 0.5 * (known + known.transpose()),
    };
    let margin = if variance > 0.0 { MARGIN } else { 0.0 };
    [
        (gain - MARGIN, without),
        (gain + shared - MARGIN - margin, with),
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
