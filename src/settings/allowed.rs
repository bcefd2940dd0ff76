/*! What a setting allows beside its type: stated once in its table, checked when a pipeline file is
read and printed in the settings reference. */

use std::collections::BTreeMap;

/// A rule for values of type `T`.
pub trait Rule<T> {
    /// What is allowed, as in "above 0 and below 1".
    fn allowed(&self) -> String;
    /// What is wrong with `value` and what was expected; `None` where it can be used.
    fn complaint(&self, value: &T) -> Option<String>;
}

/// Finite numbers between two bounds.
#[derive(Debug, Clone, Copy)]
pub struct Range {
    lower: Bound,
    upper: Option<Bound>,
    infinite: bool,
}

#[derive(Debug, Clone, Copy)]
struct Bound {
    at: f64,
    included: bool,
}

/// Numbers greater than `lower`.
pub const fn above(lower: f64) -> Range {
    from(lower, false)
}

/// Numbers not less than `lower`.
pub const fn at_least(lower: f64) -> Range {
    from(lower, true)
}

const fn from(at: f64, included: bool) -> Range {
    Range {
        lower: Bound { at, included },
        upper: None,
        infinite: false,
    }
}

/// Levels, confidences and probabilities that are neither impossible nor certain.
pub const PROBABILITY: Range = above(0.0).below(1.0);

impl Range {
    /// … and less than `upper`.
    pub const fn below(self, upper: f64) -> Self {
        self.up_to(upper, false)
    }

    /// … and not greater than `upper`.
    pub const fn at_most(self, upper: f64) -> Self {
        self.up_to(upper, true)
    }

    const fn up_to(mut self, at: f64, included: bool) -> Self {
        self.upper = Some(Bound { at, included });
        self
    }

    /// … or `inf`, where that means that there is no limit.
    pub const fn or_infinite(mut self) -> Self {
        self.infinite = true;
        self
    }

    fn holds(&self, value: f64) -> bool {
        let low = value > self.lower.at || self.lower.included && value == self.lower.at;
        let high = self
            .upper
            .is_none_or(|upper| value < upper.at || upper.included && value == upper.at);
        low && high && (value.is_finite() || self.infinite)
    }

    fn words(&self) -> String {
        let Bound { at, included } = self.lower;
        match (included, self.upper) {
            (false, None) => format!("above {at}"),
            (true, None) => format!("{at} or more"),
            (true, Some(upper)) if upper.included => format!("from {at} to {}", upper.at),
            (_, Some(upper)) => {
                let lower = if included { "from" } else { "above" };
                let most = if upper.included { "at most" } else { "below" };
                format!("{lower} {at} and {most} {}", upper.at)
            }
        }
    }
}

/// A value that holds numbers, each of which a [`Range`] judges.
pub trait Figures {
    /// The numbers; those of an integer type are exact.
    fn figures(&self) -> Vec<f64>;
}

macro_rules! one_figure {
    ($($type:ty)*) => {
        $(impl Figures for $type {
            fn figures(&self) -> Vec<f64> {
                vec![*self as f64]
            }
        })*
    };
}

one_figure!(f64 u32 u64 usize);

impl<T: Figures> Figures for Option<T> {
    fn figures(&self) -> Vec<f64> {
        self.iter().flat_map(T::figures).collect()
    }
}

impl<T: Figures> Figures for Vec<T> {
    fn figures(&self) -> Vec<f64> {
        self.iter().flat_map(T::figures).collect()
    }
}

impl<T: Figures> Figures for BTreeMap<String, T> {
    fn figures(&self) -> Vec<f64> {
        self.values().flat_map(T::figures).collect()
    }
}

impl<T: Figures> Rule<T> for Range {
    fn allowed(&self) -> String {
        self.words()
    }

    fn complaint(&self, value: &T) -> Option<String> {
        let figures = value.figures();
        let wrong = figures.iter().find(|figure| !self.holds(**figure))?;
        Some(format!(
            "{wrong} is out of range; expected a number {}",
            self.words()
        ))
    }
}

/// Two numbers, the lowest first, both from `.0` to `.1`.
#[derive(Debug, Clone, Copy)]
pub struct LowestFirst(pub f64, pub f64);

impl LowestFirst {
    fn words(&self) -> String {
        match self.0.is_finite() && self.1.is_finite() {
            true => format!("[lowest, highest] from {} to {}", self.0, self.1),
            false => "[lowest, highest]".into(),
        }
    }

    fn judge(&self, low: f64, high: f64) -> Option<String> {
        let inside = self.0 <= low && low < high && high <= self.1;
        let holds = inside && low.is_finite() && high.is_finite();
        (!holds).then(|| format!("[{low}, {high}]; expected {}", self.words()))
    }
}

impl Rule<(f64, f64)> for LowestFirst {
    fn allowed(&self) -> String {
        self.words()
    }

    fn complaint(&self, (low, high): &(f64, f64)) -> Option<String> {
        self.judge(*low, *high)
    }
}

impl Rule<[f64; 2]> for LowestFirst {
    fn allowed(&self) -> String {
        self.words()
    }

    fn complaint(&self, [low, high]: &[f64; 2]) -> Option<String> {
        self.judge(*low, *high)
    }
}

/// One word of a list; the type refuses any other.
#[derive(Debug, Clone, Copy)]
pub struct OneOf<T: 'static>(pub &'static [T]);

/// One word of a list or more; the type refuses any other.
#[derive(Debug, Clone, Copy)]
pub struct SomeOf<T: 'static>(pub &'static [T]);

fn listed<T: serde::Serialize>(words: &[T]) -> String {
    let words: Vec<String> = words.iter().map(super::default_text).collect();
    words.join(", ")
}

impl<T: serde::Serialize> Rule<T> for OneOf<T> {
    fn allowed(&self) -> String {
        listed(self.0)
    }

    fn complaint(&self, _: &T) -> Option<String> {
        None
    }
}

impl<T: serde::Serialize> Rule<Vec<T>> for SomeOf<T> {
    fn allowed(&self) -> String {
        format!("one or more of {}", listed(self.0))
    }

    fn complaint(&self, value: &Vec<T>) -> Option<String> {
        let such_as = listed(self.0.get(..1).unwrap_or_default());
        value
            .is_empty()
            .then(|| format!("nothing is listed; name at least one, such as {such_as}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_says_what_it_allows_and_refuses_the_rest() {
        let cases = [
            (above(0.0), "above 0", 0.0, 1e-9),
            (at_least(2.0), "2 or more", 1.9, 2.0),
            (PROBABILITY, "above 0 and below 1", 1.0, 0.95),
            (at_least(0.0).at_most(1.0), "from 0 to 1", 1.1, 1.0),
            (at_least(0.0).below(1.0), "from 0 and below 1", 1.0, 0.0),
            (above(0.0), "above 0", f64::INFINITY, 1.0),
            (above(0.0).or_infinite(), "above 0", f64::NAN, f64::INFINITY),
        ];
        for (range, words, wrong, right) in cases {
            assert_eq!(Rule::<f64>::allowed(&range), words);
            let complaint = range.complaint(&wrong).unwrap();
            says!(complaint, words);
            assert_eq!(range.complaint(&right), None, "{words}: {right}");
        }
    }

    #[test]
    fn every_number_of_a_list_is_judged_and_none_of_an_absent_one() {
        assert_eq!(above(0.0).complaint(&None::<f64>), None);
        let wrong = above(0.0).complaint(&vec![1.0, -2.0]).unwrap();
        assert!(wrong.starts_with("-2 is out of range"), "{wrong}");
        assert!(LowestFirst(-1.0, 1.0).complaint(&(0.5, 0.5)).is_some());
        assert!(LowestFirst(-1.0, 1.0).complaint(&[0.0, 1.5]).is_some());
        assert_eq!(LowestFirst(-1.0, 1.0).complaint(&[-1.0, 1.0]), None);
    }
}
