/*! Several checks in one row, told apart by a number in their headers: Date 1, Error 1, Date 2, Error 2. */

use super::wide::{Wide, meaning};
use crate::records::cells::column::Column;
use crate::records::guess::headers::{folded, item_column};
use crate::records::reading::wide::{WideSettings, numbered_parts};
use crate::records::words::words;
use std::collections::{BTreeMap, BTreeSet};

/// Fewest checks of a row that are told apart.
const FEWEST: usize = 2;

/// What stands beside the numbers; `None` where no numbers tell dates and readings apart.
pub(crate) fn by_numbers(headers: &[String]) -> Option<Wide> {
    item_column(headers)?;
    let mut numbers: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for header in headers {
        if let Some((number, beside)) = numbered_parts(header) {
            numbers.entry(beside).or_default().insert(number);
        }
    }
    let is_date = |beside: &&String| words(Column::Date).contains(&folded(beside));
    let (date, own) = numbers
        .iter()
        .filter(|(_, own)| own.len() >= FEWEST)
        .find(|(beside, _)| is_date(beside))?;
    let mut wide = Wide::of(WideSettings {
        date: Some(date.clone()),
        ..WideSettings::default()
    });
    for (beside, of) in &numbers {
        // What stands beside other numbers is no part of these checks.
        if beside == date || !of.is_subset(own) {
            continue;
        }
        let taken = |column: &Column| wide.settings.words().any(|(known, _)| known == *column);
        if let Some(column) = meaning(beside).filter(|column| !taken(column)) {
            wide.settings.state(column, beside);
        }
    }
    let has = |column| wide.settings.words().any(|(known, _)| known == column);
    let found = has(Column::AsFound) || has(Column::InTolerance);
    found.then_some(wide)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_readings_are_told_apart_by_their_numbers() {
        let of = |headers: &[&str]| {
            by_numbers(&headers.iter().map(|h| h.to_string()).collect::<Vec<_>>())
        };
        let found = of(&[
            "Asset", "Date 1", "Value 1", "U 1", "Date 2", "Value 2", "U 2",
        ]);
        let settings = found.unwrap().settings;
        assert_eq!(settings.date.as_deref(), Some("date"));
        assert_eq!(settings.as_found.as_deref(), Some("value"));
        assert_eq!(settings.u.as_deref(), Some("u"));
        for other in [
            ["Asset", "Date", "Error 1", "Error 2"],
            ["Asset", "Date 1", "Error 1", "Due 1"],
            ["Date 1", "Error 1", "Date 2", "Error 2"],
        ] {
            assert!(of(&other).is_none(), "{other:?}");
        }
    }
}
