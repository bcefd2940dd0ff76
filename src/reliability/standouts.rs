/*! Items that go out of tolerance far more, or far less, often than their group.

Given the group's failures, an item's share follows the binomial distribution with its
share of the time at risk; the exact tail is its p-value. Among many items some are
extreme by chance, so the list keeps the false-discovery rate at a stated value
(Y. Benjamini and Y. Hochberg, Journal of the Royal Statistical Society B 57 (1995) 289–300).
*/

use super::exposure::ItemCount;
use crate::stats::{binomial_at_least, binomial_at_most};

crate::words::worded! {
    /// The two ways to differ from the group.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum RateStanding with words {
        /// Found out of tolerance far more often than its group.
        OftenOut = "often out",
        /// Found out of tolerance far less often than its group.
        SeldomOut = "seldom out",
    }
}

/// An item that stands out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Standout {
    /// Its counts.
    pub item: ItemCount,
    /// Which way.
    pub standing: RateStanding,
    /// Failures expected at the group's rate.
    pub expected: f64,
    /// Exact two-sided p-value.
    pub p_value: f64,
    /// Smallest false-discovery rate at which it is listed.
    pub false_discovery_rate: f64,
    /// The sentence.
    pub words: String,
}

/// Items of one group that stand out at false-discovery rate `rate`, most extreme first.
pub(crate) fn standouts(items: &[ItemCount], rate: f64) -> Vec<Standout> {
    let failures: u64 = items.iter().map(|i| i.failures).sum();
    let exposure: f64 = items.iter().map(|i| i.exposure_years).sum();
    let mut tested: Vec<Standout> = (items.iter())
        .filter(|item| item.exposure_years > 0.0 && item.exposure_years < exposure)
        .map(|item| tested(item, failures, item.exposure_years / exposure))
        .collect();
    tested.sort_by(|a, b| a.p_value.total_cmp(&b.p_value));
    let count = tested.len() as f64;
    // From the largest p-value down: the adjusted value never exceeds that of the next.
    let mut least = 1.0f64;
    for (rank, item) in tested.iter_mut().enumerate().rev() {
        least = least.min(item.p_value * count / (rank + 1) as f64);
        item.false_discovery_rate = least;
    }
    tested.retain(|item| item.false_discovery_rate <= rate);
    tested
}

fn tested(item: &ItemCount, failures: u64, share: f64) -> Standout {
    let expected = failures as f64 * share;
    let more = binomial_at_least(item.failures, failures, share);
    let fewer = binomial_at_most(item.failures, failures, share);
    let standing = if more < fewer {
        RateStanding::OftenOut
    } else {
        RateStanding::SeldomOut
    };
    let p_value = (2.0 * more.min(fewer)).min(1.0);
    let words = format!(
        "{}: out {} times in {} checks over {:.1} years, {expected:.1} expected at the group's rate (p = {p_value:.2e})",
        standing.words(),
        item.failures,
        item.checks,
        item.exposure_years,
    );
    Standout {
        item: item.clone(),
        standing,
        expected,
        p_value,
        false_discovery_rate: 1.0,
        words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(name: &str, failures: u64, exposure_years: f64) -> ItemCount {
        ItemCount {
            instrument: name.into(),
            point: String::new(),
            checks: exposure_years as u64,
            failures,
            exposure_years,
        }
    }

    #[test]
    fn both_kinds_are_found_and_the_ordinary_left_alone() {
        let mut items: Vec<ItemCount> = (0..40).map(|i| item(&format!("i{i}"), 1, 10.0)).collect();
        items.push(item("bad", 9, 10.0));
        items.push(item("good", 0, 200.0));
        let found = standouts(&items, 0.05);
        let names: Vec<&str> = found.iter().map(|s| s.item.instrument.as_str()).collect();
        assert_eq!(names, ["good", "bad"]);
        assert_eq!(found[0].standing, RateStanding::SeldomOut);
        assert_eq!(found[1].standing, RateStanding::OftenOut);
    }

    #[test]
    fn equal_items_never_stand_out() {
        let items: Vec<ItemCount> = (0..50).map(|i| item(&i.to_string(), 2, 10.0)).collect();
        assert!(standouts(&items, 0.05).is_empty());
        assert!(standouts(&[item("alone", 5, 10.0)], 0.05).is_empty());
        assert!(standouts(&[], 0.05).is_empty());
    }

    /// The step-up values of the 1995 paper's rule on four p-values, worked by hand:
    /// 0.001·4/1, 0.01·4/2, 0.03·4/3, 0.5·4/4.
    #[test]
    fn adjusted_values_follow_the_step_up_rule() {
        let items = [
            item("a", 8, 10.0),
            item("b", 1, 10.0),
            item("c", 0, 10.0),
            item("d", 1, 10.0),
        ];
        let found = standouts(&items, 1.0);
        assert_eq!(found.len(), 4);
        assert!(
            found
                .windows(2)
                .all(|w| w[0].false_discovery_rate <= w[1].false_discovery_rate)
        );
        let first = &found[0];
        near!(first.false_discovery_rate, 4.0 * first.p_value, 1e-15);
    }
}
