/*! The rate at which one item is used, and the use that it will have had by a day to come.

The counter is taken to grow as a sum of unrelated parts, with a mean and a variance that are in
proportion to time. From counts U at days t over a span T with m gaps:

```text
r = ΔU/T          s² = Σ (ΔUᵢ − r·Δtᵢ)²/Δtᵢ / (m − 1)
U(T + h) = U + r·h          u² = s²·h·(1 + h/T)          u(r) = s/√T
```

the last term being what the mean rate itself is not known to. One gap gives a rate and no s.
*/

use crate::records::{DAYS_PER_YEAR, History};

/// Why the counts of an item tell no rate of use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoUseRate {
    /// No check states a count.
    #[error("no usage counter was recorded")]
    NoCount,
    /// All counts are of one day, or the counter did not run on.
    #[error("two usage counts on different days are needed to know the rate of use")]
    OneDay,
}

/// Mean use of one item by day, and how far it varies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct UseRate {
    /// Day of the last count, days since 1970-01-01.
    pub last_day: f64,
    pub last_count: f64,
    /// Mean use a day.
    per_day: f64,
    /// s², use² a day; 0 where one gap cannot tell.
    variance_per_day: f64,
    /// Days between first and last count.
    span: f64,
    /// Degrees of freedom of s²; 0 where one gap cannot tell.
    pub freedom: f64,
}

impl UseRate {
    /// The rate of use of `history`, from the checks that state a count.
    ///
    /// # Errors
    /// Why there is none.
    pub(crate) fn of(history: &History<'_>) -> Result<Self, NoUseRate> {
        let stated = (0..history.len()).filter(|i| history.usage[*i].is_finite());
        let counts: Vec<(f64, f64)> = stated
            .map(|i| (history.date[i], history.usage[i]))
            .collect();
        let (Some(first), Some(last)) = (counts.first(), counts.last()) else {
            return Err(NoUseRate::NoCount);
        };
        let span = last.0 - first.0;
        let per_day = (last.1 - first.1) / span;
        if !(span > 0.0 && per_day > 0.0 && per_day.is_finite()) {
            return Err(NoUseRate::OneDay);
        }
        // Of several counts on one day the last one stands.
        let mut by_day: Vec<(f64, f64)> = Vec::with_capacity(counts.len());
        for count in &counts {
            match by_day.last_mut() {
                Some(before) if before.0 == count.0 => *before = *count,
                _ => by_day.push(*count),
            }
        }
        let gaps = by_day.windows(2).map(|pair| {
            let days = pair[1].0 - pair[0].0;
            (pair[1].1 - pair[0].1 - per_day * days).powi(2) / days
        });
        let freedom = by_day.len() as f64 - 2.0;
        let squares: f64 = gaps.sum();
        Ok(Self {
            last_day: last.0,
            last_count: last.1,
            per_day,
            variance_per_day: if freedom > 0.0 {
                squares / freedom
            } else {
                0.0
            },
            span,
            freedom: freedom.max(0.0),
        })
    }

    /// Count expected on `day` and its standard uncertainty; before the last count the mean rate
    /// leads back, without one.
    pub(crate) fn count_on(&self, day: f64) -> (f64, f64) {
        let ahead = day - self.last_day;
        let later = ahead.max(0.0);
        let variance = self.variance_per_day * later * (1.0 + later / self.span);
        (self.last_count + self.per_day * ahead, variance.sqrt())
    }

    /// Mean use a year with its standard uncertainty.
    pub(crate) fn per_year(&self) -> (f64, f64) {
        let u = (self.variance_per_day / self.span).sqrt();
        (self.per_day * DAYS_PER_YEAR, u * DAYS_PER_YEAR)
    }
}
