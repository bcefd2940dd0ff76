/*! How a platinum thermometer is annealed: temperature, time, cooling, by its rating.

Durations and temperatures: practice of national institutes, from memory; they are
proposals that the maker's limits and local rules override. Published: a thermometer is
stable when R at the triple point repeats within the equivalent of 0.2 mK after an
anneal, within five cycles (Minor and Strouse, NCSLI conference 2005).
*/

use serde::Serialize;

/// A proposed anneal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnnealPlan {
    /// Lowest and highest temperature, °C; never above the thermometer's maximum.
    pub celsius: (f64, f64),
    /// Shortest and longest time, hours.
    pub hours: (f64, f64),
    /// How to cool.
    pub cooling: &'static str,
}

/// Plan for a thermometer rated up to `maximum_c`; `None` where it may not be annealed.
pub(crate) fn plan(maximum_c: f64) -> Option<AnnealPlan> {
    let plan = |low: f64, high: f64, hours, cooling| {
        Some(AnnealPlan {
            celsius: (low, high.min(maximum_c)),
            hours,
            cooling,
        })
    };
    match maximum_c {
        t if t >= 960.0 => plan(
            960.0,
            975.0,
            (1.0, 2.0),
            "at about 100 °C per hour to between 450 °C and 500 °C, rest there 1 to 2 h, then to room air",
        ),
        t if t >= 660.0 => plan(
            660.0,
            675.0,
            (1.0, 4.0),
            "at about 100 °C per hour to between 450 °C and 500 °C, then to room air",
        ),
        t if t >= 450.0 => plan(450.0, 480.0, (2.0, 4.0), "to room air"),
        _ => None,
    }
}

impl AnnealPlan {
    /// One sentence.
    pub(crate) fn words(&self) -> String {
        let temperature = if self.celsius.0 < self.celsius.1 {
            format!("between {} °C and {} °C", self.celsius.0, self.celsius.1)
        } else {
            format!("at {} °C", self.celsius.0)
        };
        format!(
            "anneal {temperature} for {} to {} h, cool {}; read the triple point before and after each cycle",
            self.hours.0, self.hours.1, self.cooling
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn never_above_the_rating() {
        for maximum in [450.0, 470.0, 660.0, 670.0, 962.0, 1100.0] {
            let plan = plan(maximum).unwrap();
            assert!(
                plan.celsius.1 <= maximum && plan.celsius.0 <= plan.celsius.1,
                "{plan:?}"
            );
        }
        assert!(plan(250.0).is_none());
        assert!(plan(f64::NAN).is_none());
    }
}
