/*! Readings that give the value of the check before them to the last digit, more often than
steps of the display and changes from check to check let chance do: values carried over from
the last certificate instead of read.

A change that scatters about zero falls on it, on values that are a step δ apart, with probability
δ·f(0); for a normal density f with the median |change| m that is δ·0.6745/(m·√(2π)). The number
of such readings is judged by the binomial tail. Of many histories some do so by chance: the question is asked of
each, so that the probability is multiplied by their number (Bonferroni's bound). The limits below are our own choice. */

use super::resolution::Gaps;
use super::scrutiny::Scrutiny;
use crate::records::History;
use crate::stats::{binomial_at_least, median, p_value};
use crate::words::and_more;
use crate::words::{count, figure};

/// Probability below which so many equal values are told.
const BY_CHANCE: f64 = 1e-3;
/// The same of any one among all histories of which it is asked.
const BY_CHANCE_OF_ANY: f64 = 0.05;
/// Share of the usual change beyond which the steps of the display hide what is carried over.
const COARSE: f64 = 0.2;
/// Fewest changes that say how far values move from check to check.
const FEWEST_CHANGES: usize = 2;
/// Upper quartile of the standard normal distribution: the median of |z|.
const QUARTILE: f64 = 0.674_489_750_196_081_7;

/// True where a history is long enough to be asked.
pub(super) fn may_carry(history: &History<'_>) -> bool {
    history.len() > FEWEST_CHANGES
}

/// Tells readings that seem to be carried over, where the question is asked of so many histories.
pub(super) fn carried_readings(found: &mut Scrutiny<'_>, asked: usize) {
    let history = found.history;
    let changes = changes(history);
    let equal: Vec<usize> = changes
        .iter()
        .filter(|(_, change)| *change == 0.0)
        .map(|(i, _)| *i)
        .collect();
    let Some(&first) = equal.first() else {
        return;
    };
    let sizes: Vec<f64> = changes
        .iter()
        .map(|(_, change)| change.abs())
        .filter(|size| *size > 0.0)
        .collect();
    if sizes.len() < FEWEST_CHANGES {
        return;
    }
    let values = history.as_found.iter().chain(history.as_left).copied();
    let gaps = Gaps::of(values.filter(|value| value.is_finite()).collect());
    let Some(step) = gaps.and_then(Gaps::common_step) else {
        return;
    };
    let usual = median(&sizes);
    if step > COARSE * usual {
        return;
    }
    let once = (step * QUARTILE / (usual * (2.0 * std::f64::consts::PI).sqrt())).min(1.0);
    let chance = binomial_at_least(equal.len() as u64, changes.len() as u64, once);
    let of_any = (chance * asked as f64).min(1.0);
    if chance < BY_CHANCE && of_any < BY_CHANCE_OF_ANY {
        let among = match asked {
            0 | 1 => String::new(),
            several => format!(
                " ({} that any of the {several} histories does)",
                p_value(of_any)
            ),
        };
        let unit = &history.item.unit;
        let words = format!(
            "the reading {} is that of the check before it to the last digit{}: values in steps of {} that mostly move by {} do so {} in {} by chance with {}{among}; was it read, or carried over?",
            found.place(first),
            and_more(equal.len() - 1),
            figure(step, unit),
            figure(usual, unit),
            count(equal.len(), "time"),
            changes.len(),
            p_value(chance)
        );
        found.warn(words);
    }
}

/// Every check of another day than the one before it, with its change from what that one left.
fn changes(history: &History<'_>) -> Vec<(usize, f64)> {
    let left = |i: usize| match history.as_left[i].is_nan() {
        true => history.as_found[i],
        false => history.as_left[i],
    };
    (1..history.len())
        .filter(|i| history.date[*i].floor() > history.date[i - 1].floor())
        .map(|i| (i, history.as_found[i] - left(i - 1)))
        .filter(|(_, change)| change.is_finite())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::Record;

    fn noted(values: &[f64]) -> Vec<String> {
        noted_among(values, 1)
    }

    fn noted_among(values: &[f64], asked: usize) -> Vec<String> {
        let add =
            |record: Record, (i, value): (usize, &f64)| record.check(365.25 * i as f64, *value);
        let all = values
            .iter()
            .enumerate()
            .fold(Record::new(), add)
            .histories();
        let mut found = Scrutiny {
            history: &all.get(0),
            files: &["checks.csv".to_string()],
            warnings: Vec::new(),
        };
        carried_readings(&mut found, asked);
        found.warnings.into_iter().map(|w| w.words).collect()
    }

    /// In steps of 0.0001 that mostly move by 0.2, one reading repeats with probability
    /// 0.0001·0.269/0.2 = 0.00013, two of seven with 4e-7.
    #[test]
    fn equal_readings_of_a_fine_display_are_told() {
        for unit in [1.0, 1e-9, 1e6] {
            let values = [
                0.1213, 0.3307, 0.3307, 0.1042, 0.3371, 0.3371, 0.5398, 0.2901,
            ];
            let words = noted(&values.map(|v| v * unit));
            assert_eq!(words.len(), 1, "{words:?}");
            says!(words[0], "(and 1 more)", "2 times in 7 by chance");
        }
    }

    /// One of seven repeats with 7·0.00013 = 0.0009: worth a word of one history, nothing among a
    /// hundred; two of seven are worth it among many.
    #[test]
    fn what_one_of_many_histories_shows_by_chance_is_not_told() {
        let one = [
            0.1213, 0.3307, 0.3307, 0.1042, 0.3371, 0.5398, 0.2901, 0.4903,
        ];
        assert_eq!(noted(&one).len(), 1);
        assert_eq!(noted_among(&one, 100), Vec::<String>::new());
        let two = [
            0.1213, 0.3307, 0.3307, 0.1042, 0.3371, 0.3371, 0.5398, 0.2901,
        ];
        let words = noted_among(&two, 100);
        says!(words[0], "any of the 100 histories");
    }

    #[test]
    fn chance_and_coarse_displays_are_not() {
        for values in [
            [0.1, 0.3, 0.3, 0.1, 0.3, 0.3, 0.5, 0.2],
            [0.12, 0.33, 0.33, 0.10, 0.34, 0.31, 0.54, 0.29],
            [0.4; 8],
            [0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4001],
            [0.0, 0.5, 0.5, 1.0, 1.0, 0.5, 1.0, 1.0],
        ] {
            assert_eq!(noted(&values), Vec::<String>::new(), "{values:?}");
        }
    }

    /// The value left, and not the one found, is what the next check would repeat.
    #[test]
    fn what_was_left_is_compared_with_what_is_found_next() {
        let mut record = Record::new();
        for (i, value) in [0.5312, 0.0421, 0.5907, 0.0133, 0.6111].iter().enumerate() {
            record = record.check(365.25 * i as f64, *value);
        }
        let mut all = record.histories();
        all.columns.as_left = vec![0.0421, f64::NAN, 0.0133, f64::NAN, f64::NAN];
        let mut found = Scrutiny {
            history: &all.get(0),
            files: &["checks.csv".to_string()],
            warnings: Vec::new(),
        };
        carried_readings(&mut found, 1);
        assert_eq!(found.warnings.len(), 1);
    }
}
