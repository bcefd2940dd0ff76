/*! Scatter that changes with time: a laboratory whose instruments, hands or room became better,
or worse, in the course of a long record.

The squared innovations of a history, each in its variance, are forgotten from reading to
reading by a share, so that the latest weigh most (variance discounting: M. West and
J. Harrison, *Bayesian forecasting and dynamic models*, 1997, section 10.8). With q their
mean so discounted, one at the start, and n = 1/(1 − kept) the number that it stands for, the
variances of readings are lately the class's times

```text
r = (ν + n·q) / (ν + n),   forecasts are Student's t with ν + n degrees of freedom
```

Only the noise of readings, and what is not known of the level because of it, change so;
wander and drift do not. The share that is kept maximises the likelihood of every innovation
by those before it; a scatter that changes is believed only by a margin, so that a steady
record is left as it is.
*/

use serde::{Deserialize, Serialize};
use statrs::function::gamma::ln_gamma;

/// Shares of what is known that may be kept from one reading to the next: the latest 50, 20 or
/// 10 readings tell. Our own choice, no source.
const KEPT: [f64; 3] = [0.98, 0.95, 0.9];
/// Gain in log likelihood from which the scatter is believed to change. Of 200 steady
/// records of 30 to 1,000 normal readings none reaches it (a test looks). Our own choice, no
/// source.
const MARGIN: f64 = 6.0;
/// Readings ν for which the steady scatter counts: enough that readings which repeat each other
/// do not take the band to nothing. Our own choice, no source: see docs/evidence.md.
const STEADY_READINGS: f64 = 2.0;

/// How the scatter of a class changes with time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RecentScatter {
    /// Share of what is known that is kept from one reading to the next; 1: it does not change.
    pub kept: f64,
}

/// Discounted mean q of one member's squared innovations, in their variances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Recent(f64);

impl Default for Recent {
    /// As the class.
    fn default() -> Self {
        Self(1.0)
    }
}

impl Default for RecentScatter {
    /// A scatter that does not change.
    fn default() -> Self {
        Self { kept: 1.0 }
    }
}

impl RecentScatter {
    /// How the scatter changes by the members' squared innovations, each in its variance.
    pub(crate) fn of(members: &[Vec<f64>]) -> Self {
        let steady: f64 = members.iter().flatten().map(|square| -0.5 * square).sum();
        let fading = KEPT.map(|kept| (Self { kept }.log_likelihood(members), kept));
        let likeliest = fading.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
        match likeliest {
            Some((likelihood, kept)) if likelihood > steady + MARGIN => Self { kept },
            _ => Self::default(),
        }
    }

    /// Log likelihood of the squares, each by Student's t from those before it; what is alike
    /// for the normal distribution is left out.
    fn log_likelihood(&self, members: &[Vec<f64>]) -> f64 {
        let one = |squares: &Vec<f64>| -> f64 {
            let mut recent = Recent::default();
            let mut sum = 0.0;
            for square in squares {
                let (scale, freedom) = self.lately(&recent);
                sum += ln_gamma(0.5 * (freedom + 1.0))
                    - ln_gamma(0.5 * freedom)
                    - 0.5 * (0.5 * freedom * scale).ln()
                    - 0.5 * (freedom + 1.0) * (square / (freedom * scale)).ln_1p();
                recent.add(*square, self);
            }
            sum
        };
        members.iter().map(one).sum()
    }

    /// True where the scatter changes.
    pub(crate) fn changes(&self) -> bool {
        self.kept < 1.0
    }

    /// Scale of the variances lately, and the degrees of freedom it leaves.
    pub(crate) fn lately(&self, recent: &Recent) -> (f64, f64) {
        if !self.changes() {
            return (1.0, f64::INFINITY);
        }
        let readings = 1.0 / (1.0 - self.kept);
        let freedom = STEADY_READINGS + readings;
        let scale = (STEADY_READINGS + readings * recent.0) / freedom;
        (scale, freedom)
    }
}

impl Recent {
    /// Counts a squared innovation, in its variance.
    pub(crate) fn add(&mut self, square: f64, class: &RecentScatter) {
        if square.is_finite() {
            self.0 = class.kept * self.0 + (1.0 - class.kept) * square;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::testing::*;

    fn squares(count: usize, seed: u64, deviation: &dyn Fn(usize) -> f64) -> Vec<f64> {
        let mut stream = Pcg64::seed_from_u64(seed);
        let mut square = |i: usize| -> f64 {
            let z: f64 = stream.sample(StandardNormal);
            (z * deviation(i)).powi(2).min(9.0)
        };
        (0..count).map(&mut square).collect()
    }

    #[test]
    fn a_steady_record_is_left_as_it_is() {
        let changing = (0..200).filter(|seed| {
            let count = [30, 100, 300, 1000][*seed as usize % 4];
            let one = squares(count, *seed, &|_| 1.0);
            RecentScatter::of(&[one]).changes()
        });
        assert_eq!(changing.count(), 0);
        let many: Vec<Vec<f64>> = (0..100).map(|seed| squares(20, seed, &|_| 1.0)).collect();
        assert!(!RecentScatter::of(&many).changes());
    }

    #[test]
    fn a_scatter_that_falls_and_rises_is_followed() {
        let deviation = |i: usize| if (200..300).contains(&i) { 0.4 } else { 1.3 };
        let record = squares(500, 5, &deviation);
        let found = RecentScatter::of(std::slice::from_ref(&record));
        assert!(found.changes());
        // r = (ν + n·q)/(ν + n) of a q that has settled at σ², which n readings tell to √(2/n).
        let n = 1.0 / (1.0 - found.kept);
        for (count, deviation) in [(200, 1.3), (300, 0.4), (500, 1.3f64)] {
            let mut recent = Recent::default();
            let known = record.iter().take(count);
            known.for_each(|square| recent.add(*square, &found));
            let variance = deviation * deviation;
            let expected = (2.0 + n * variance) / (2.0 + n);
            let error = n / (2.0 + n) * variance * (2.0 / n).sqrt();
            let (scale, _) = found.lately(&recent);
            near!(
                scale,
                expected,
                2.0 * error,
                "{count}: {scale}, {expected} ± {error}"
            );
        }
    }

    #[test]
    fn the_likelihood_is_that_of_students_t() {
        // One reading 1.5 off: t with 2 + 10 degrees of freedom, ln √(2π) left out.
        let found = RecentScatter { kept: 0.9 }.log_likelihood(&[vec![2.25]]);
        let whole = found - 0.5 * (2.0 * std::f64::consts::PI).ln();
        let density = statrs::distribution::Continuous::ln_pdf(
            &statrs::distribution::StudentsT::new(0.0, 1.0, 12.0).unwrap(),
            1.5,
        );
        near!(whole, density, 1e-12);
    }
}
