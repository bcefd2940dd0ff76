/*! A stated u of which the greater part is shared: a laboratory states the u of its reference
beside every check, and that part is the same error each time. Averaging does not remove it.

It shows in readings that scatter less than their u says. Were they independent, their χ²
about straight lines (level and drift unknown, weights 1/u²) would have the χ² distribution,
or be larger where the item wanders or steps; by its lower tail a u is told to be shared. What
of u² the scatter leaves over is then common to all checks of the item: the readings weigh with
the rest, and the common part is added to the uncertainty of the true error (JCGM 100:2008,
F.1.2.3). A u that is merely stated too large shows the same; to take it for shared errs to the
safe side.

Values on steps that their u cannot contain repeat themselves whoever reads them: the part of the
steps is in u and in u_common already (`records::grid`), and such readings neither show a share nor
lose one.

Of a class the share is one of its rates (`Rates::common`), found with the others by their
likelihood. A member whose readings scatter less still has a share of its own.
*/

use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Reading;
use crate::stats::chi_squared_upper;

/// Probability that independent readings scatter so little, below which their u is shared.
const SIGNIFICANCE: f64 = 0.01;
/// Gain in log likelihood from which a class shares its u: half the 0.98 quantile of χ² with
/// one degree of freedom is 2.71 (p = 0.01, one-sided), the bound for few degrees of freedom
/// up to 3.9.
pub(crate) const MARGIN: f64 = 3.3;
/// Degrees of freedom that the class's share weighs against a member's own scatter.
const CLASS_WEIGHT: f64 = 1.0;
/// Rounding of a sum of squares, as a share of it.
const ROUNDING: f64 = 1e-12;

/// Squared residuals about straight lines, in variances of a reading, and their degrees of
/// freedom.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct LineScatter {
    squares: f64,
    freedom: f64,
}

impl LineScatter {
    /// Of the readings that state their u: a level for each segment, a drift for each drift
    /// segment.
    pub(crate) fn of(readings: &[Reading]) -> Self {
        let drifts = readings.chunk_by(|a, b| a.drift_segment == b.drift_segment);
        drifts
            .map(Self::of_drift)
            .fold(Self::default(), |sum, own| Self {
                squares: sum.squares + own.squares,
                freedom: sum.freedom + own.freedom,
            })
    }

    fn of_drift(readings: &[Reading]) -> Self {
        let (mut along, mut across, mut squares, mut rounding) = (0.0, 0.0, 0.0, 0.0);
        let mut freedom: f64 = -1.0;
        for level in readings.chunk_by(|a, b| a.segment == b.segment) {
            let mut stated = level.iter().filter(|reading| reading.u > 0.0).peekable();
            let Some(first) = stated.peek().copied() else {
                continue;
            };
            let [mut w, mut wt, mut wtt, mut wy, mut wty, mut wyy] = [0.0; 6];
            for reading in stated {
                let (t, y) = (reading.x - first.x, (reading.value - first.value) / first.u);
                let weight = (first.u / reading.u) * (first.u / reading.u);
                w += weight;
                wt += weight * t;
                wtt += weight * t * t;
                wy += weight * y;
                wty += weight * t * y;
                wyy += weight * y * y;
                freedom += 1.0;
            }
            freedom -= 1.0;
            along += wtt - wt * wt / w;
            across += wty - wt * wy / w;
            squares += wyy - wy * wy / w;
            rounding += ROUNDING * wyy;
        }
        if freedom < 1.0 {
            return Self::default();
        }
        let drift = if along > 0.0 {
            across * across / along
        } else {
            0.0
        };
        Self {
            squares: (squares - drift).max(0.0) + rounding,
            freedom,
        }
    }

    /// Share of the class's own variance of a reading (`own` of the stated one) that is left
    /// to a member with this scatter; 1 unless its readings scatter far less than that says.
    fn kept(&self, own: f64) -> f64 {
        let squares = self.squares / own;
        if !self.may_be_less(squares) || !self.is_less(squares) {
            return 1.0;
        }
        (squares + CLASS_WEIGHT) / (self.freedom + CLASS_WEIGHT)
    }

    /// True where independent readings scatter so little with less than the probability set.
    fn is_less(&self, squares: f64) -> bool {
        chi_squared_upper(squares, self.freedom) > 1.0 - SIGNIFICANCE
    }

    /// False where the test need not be made: E. B. Wilson and M. M. Hilferty's normal
    /// approximation of χ² (PNAS 17 (1931) 684) at p = 0.03, which errs by less than the rest.
    fn may_be_less(&self, squares: f64) -> bool {
        let ninth = 2.0 / (9.0 * self.freedom);
        let bound = (1.0 - ninth - 1.9 * ninth.sqrt()).max(0.0).powi(3) * self.freedom;
        self.freedom > 0.0 && squares < bound.max(0.05)
    }
}

/// Share of the class's own variance of a reading that is left to the item with these
/// `readings`; 1 where they scatter as the class's u says, or more. Beyond 1, what gives the whole
/// stated variance back to values on steps, whose scatter tells nothing.
pub(crate) fn kept_by(readings: &[Reading], class: &ClassParameters) -> f64 {
    let own = 1.0 - class.rates.common;
    if own <= 0.0 {
        1.0
    } else if readings.iter().any(|reading| reading.on_steps) {
        1.0 / own
    } else {
        LineScatter::of(readings).kept(own)
    }
}

/// True where at most half of the members' readings stand on steps: of the others the scatter
/// can tell whether their u is shared.
pub(crate) fn scatter_tells<'a>(members: impl Iterator<Item = &'a [Reading]>) -> bool {
    let (mut all, mut on_steps) = (0, 0);
    for reading in members.flatten() {
        all += 1;
        on_steps += usize::from(reading.on_steps);
    }
    2 * on_steps <= all
}

#[cfg(test)]
#[path = "shared_u_tests.rs"]
mod tests;
