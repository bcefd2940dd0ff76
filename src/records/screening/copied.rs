/*! Histories that begin with the very checks of another: a sheet copied for the next instrument, or
one record kept under two names.

Values of two instruments that vary over L steps of the display agree by chance once in L, in k
readings that differ from each other once in L^k; of N histories each of the N(N − 1)/2 pairs may do so
(Bonferroni's bound). The limits below are our own choice. */

use super::resolution::Gaps;
use crate::records::{Histories, History, Warning, date};
use crate::words::count;
use rayon::prelude::*;
use std::hash::{DefaultHasher, Hash, Hasher};

/// Fewest different readings that two histories must share.
const FEWEST: usize = 3;
/// Probability, for any of the pairs, below which shared checks are told.
const BY_CHANCE: f64 = 1e-3;
/// Steps over which values are taken to vary where no display shows in them.
const FINE: f64 = 1e6;

/// What is to be said of histories that begin like an earlier one, each with its history.
pub(crate) fn copied(histories: &Histories) -> Vec<(usize, Warning)> {
    let beginnings = (0..histories.len()).into_par_iter().with_min_len(1024);
    let beginning = |index: usize| Some((beginning_of(&histories.get(index))?, index));
    let mut found: Vec<(u64, usize)> = beginnings.filter_map(beginning).collect();
    let pairs = found.len() as f64 * (found.len() as f64 - 1.0) / 2.0;
    found.par_sort_unstable();
    let alike = found.chunk_by(|one, other| one.0 == other.0);
    alike
        .flat_map(|run| run[1..].iter().map(|(_, later)| (run[0].1, *later)))
        .filter_map(|(first, later)| {
            let words = words(&histories.get(first), &histories.get(later), pairs)?;
            Some((later, Warning::new(histories.items[later].name(), words)))
        })
        .collect()
}

/// The same number for histories whose first checks have the same dates and values.
fn beginning_of(history: &History<'_>) -> Option<u64> {
    let first = history.as_found.get(..FEWEST)?;
    let mut hasher = DefaultHasher::new();
    for (date, value) in history.date.iter().zip(first) {
        (value.is_finite()).then(|| (date.to_bits(), value.to_bits()).hash(&mut hasher))?;
    }
    Some(hasher.finish())
}

/// What is said of `later`, where so many `pairs` of histories do not make it chance.
fn words(first: &History<'_>, later: &History<'_>, pairs: f64) -> Option<String> {
    let readings = |history: &History<'_>| {
        let both = history.date.iter().zip(history.as_found);
        both.map(|(date, value)| (*date, *value))
            .collect::<Vec<_>>()
    };
    let both = readings(first).into_iter().zip(readings(later));
    let shared: Vec<f64> = both
        .take_while(|(one, other)| one == other)
        .map(|(one, _)| one.1)
        .collect();
    let mut distinct = shared.clone();
    distinct.sort_unstable_by(f64::total_cmp);
    distinct.dedup();
    let (least, most) = (distinct.first()?, distinct.last()?);
    let step = Gaps::of(shared.clone()).and_then(Gaps::common_step);
    let steps = step.map_or(FINE, |step| ((most - least) / step).min(FINE));
    let by_chance = pairs * steps.max(1.0).powf(-(distinct.len() as f64));
    if distinct.len() < FEWEST || by_chance >= BY_CHANCE {
        return None;
    }
    let last = date::iso(later.date[shared.len() - 1].floor());
    Some(format!(
        "its first {} up to {last} are those of {}, dates and values alike: where a sheet was copied, or one record stands under two names, take the copy out, since it counts as an instrument of its own",
        count(shared.len(), "check"),
        first.item.name()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::Record;

    /// Records named A, B, … of the values given, a check a year.
    fn said(records: &[&[f64]]) -> Vec<String> {
        let mut all = Histories::default();
        for (name, values) in ('A'..).zip(records) {
            let mut record = Record::new();
            record.item.instrument = name.to_string();
            for (year, value) in values.iter().enumerate() {
                record = record.check(365.0 * year as f64, *value);
            }
            all.push(&record.histories().get(0));
        }
        let told = copied(&all).into_iter();
        told.map(|(_, warning)| format!("{}: {}", warning.source, warning.words))
            .collect()
    }

    #[test]
    fn a_sheet_begun_from_another_is_told_once_with_its_source() {
        let old = [0.12, 0.31, 0.47, 0.66, 0.82];
        let continued = [0.12, 0.31, 0.47, 0.66, -1.3, -1.1];
        let own = [0.12, 0.33, 0.41, 0.52, 0.90];
        let told = said(&[&old, &continued, &own, &old]);
        assert_eq!(told.len(), 2, "{told:?}");
        says!(
            told[0],
            "B: its first 4 checks up to 1972-12-31 are those of A"
        );
        says!(told[1], "D: its first 5 checks", "those of A");
    }

    /// On a display of three steps many instruments agree, and those that read 0 always do.
    #[test]
    fn coarse_displays_and_steady_values_are_not() {
        assert_eq!(said(&[&[0.0, 0.5, 1.0], &[0.0, 0.5, 1.0]]), [""; 0]);
        assert_eq!(said(&[&[0.0; 8], &[0.0; 8]]), [""; 0]);
        assert_eq!(said(&[&[0.1234, 0.2345], &[0.1234, 0.2345]]), [""; 0]);
    }
}
