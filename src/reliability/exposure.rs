/*! Counts for rates: how often each item was found out of tolerance in how many years. */

use super::group::group_key;
use super::outcomes::Renewal;
use super::rates::RateCell;
use crate::records::{DAYS_PER_YEAR, Histories, History, Outcome};
use std::collections::BTreeMap;

/// Failures and time at risk of one history.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ItemCount {
    pub instrument: String,
    /// Point; may be empty.
    pub point: String,
    /// Checks with an outcome after some time at risk; a life fails once.
    pub checks: u64,
    /// Of these, out of tolerance.
    pub failures: u64,
    /// Years at risk: those of each life up to its last check in tolerance or its failure.
    pub exposure_years: f64,
}

/// Counts of every history by group, in the order of `histories`.
pub(crate) fn item_counts(
    histories: &Histories,
    renewal: Renewal,
) -> BTreeMap<String, Vec<ItemCount>> {
    let mut groups: BTreeMap<String, Vec<ItemCount>> = BTreeMap::new();
    for history in histories.iter() {
        let mut count = ItemCount {
            instrument: history.item.instrument.clone(),
            point: history.item.point.clone(),
            checks: 0,
            failures: 0,
            exposure_years: 0.0,
        };
        for (years, failed, _) in risks(&history, renewal) {
            count.checks += 1;
            count.failures += u64::from(failed);
            count.exposure_years += years;
        }
        groups
            .entry(group_key(history.item))
            .or_default()
            .push(count);
    }
    groups
}

/// Factors of [`rate_cells`].
pub(crate) const RATE_FACTORS: [&str; 2] = ["group", "age"];

/// Ages in years at which a new class begins, with its name (a choice, no source).
const AGES: [(f64, &str); 4] = [
    (0.0, "0 to 2 years"),
    (2.0, "2 to 5 years"),
    (5.0, "5 to 10 years"),
    (10.0, "over 10 years"),
];

/// Cells for [`super::fit_rates`]: failures and years at risk of each history by its group
/// and its age class (years since its first check). One cell a history and class, so that
/// the dispersion of the fit compares items.
pub(crate) fn rate_cells(histories: &Histories, renewal: Renewal) -> Vec<RateCell> {
    let mut cells = Vec::new();
    for history in histories.iter() {
        let mut classes = [(0u64, 0.0f64); AGES.len()];
        for (years, failed, age) in risks(&history, renewal) {
            let class = AGES.iter().rposition(|(from, _)| age > *from).unwrap_or(0);
            classes[class].0 += u64::from(failed);
            classes[class].1 += years;
        }
        let group = group_key(history.item);
        let seen = classes
            .iter()
            .zip(AGES)
            .filter(|((_, years), _)| *years > 0.0);
        cells.extend(seen.map(|((failures, years), (_, age))| RateCell {
            levels: vec![group.clone(), age.into()],
            exposure_years: *years,
            failures: *failures,
        }));
    }
    cells
}

/// Each stretch of a life that ended in a known outcome: (years, failed, age in years). An item
/// that is out and not restored is no longer at risk, so a life has one failure at the most.
fn risks(history: &History<'_>, renewal: Renewal) -> Vec<(f64, bool, f64)> {
    let mut stretches = Vec::new();
    let (mut known, mut out) = (history.date.first().copied().unwrap_or(0.0), false);
    for (i, date) in history.date.iter().enumerate() {
        let outcome = history.outcome[i];
        let years = (date - known) / DAYS_PER_YEAR;
        if outcome != Outcome::Unknown {
            if !out && years > 0.0 {
                let age = (date - history.date[0]) / DAYS_PER_YEAR;
                stretches.push((years, outcome == Outcome::Out, age));
            }
            known = *date;
            out |= outcome == Outcome::Out;
        }
        if renewal.renews(history, i) {
            (known, out) = (*date, false);
        }
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::outcomes::tests::fleet;

    #[test]
    fn counts_and_years_add_up() {
        let fleet = fleet("IIO?OI", "......");
        let counts = &item_counts(&fleet, Renewal::IfFailed)["all"][0];
        assert_eq!((counts.checks, counts.failures), (4, 2));
        // The check without an outcome ends nothing: the next one tells of both stretches.
        near!(counts.exposure_years, 500.0 / DAYS_PER_YEAR, 1e-12);
        let cells = rate_cells(&fleet, Renewal::IfFailed);
        assert_eq!(cells.iter().map(|c| c.failures).sum::<u64>(), 2);
        let years: f64 = cells.iter().map(|c| c.exposure_years).sum();
        near!(years, counts.exposure_years, 1e-12);
    }

    #[test]
    fn an_item_that_stays_out_failed_once() {
        let (outcomes, adjusted) = ("IIOOOI", "......");
        let counts = &item_counts(&fleet(outcomes, adjusted), Renewal::AsNeeded)["all"][0];
        assert_eq!((counts.checks, counts.failures), (2, 1));
        near!(counts.exposure_years, 200.0 / DAYS_PER_YEAR, 1e-12);
        let restored = fleet(outcomes, "...A..");
        let counts = &item_counts(&restored, Renewal::AsNeeded)["all"][0];
        assert_eq!((counts.checks, counts.failures), (3, 2));
    }
}
