/*! Whether a table has one row a date and one column a point; and how its headers say so. */

use super::wide::dated::{FEWEST, is_dated};
use super::wide::{Wide, meaning, state_columns};
use crate::records::cells::column::Column;
use crate::records::cells::number::power_of_ten::decimal;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::{date_column, folded, headed, names_mean};
use crate::records::reading::wide::{WideSettings, bare_nominal, nominal, without_unit};
use crate::records::words::words;
use std::collections::HashSet;

/// True where one header is that of dates and several others state nominal values.
pub(crate) fn may_be_by_points(headers: &[String]) -> bool {
    let stated = || headers.iter().filter(|header| states_point(header)).count();
    date_column(headers).is_some() && stated() >= FEWEST && !are_counted(headers)
}

/// True for a header that states the nominal value of a point.
pub(crate) fn states_point(header: &str) -> bool {
    nominal(header).is_some() || bare_point(header).is_some()
}

/// A number that stands alone, or beside a word for nominal values, in a header.
fn bare_point(header: &str) -> Option<(String, String)> {
    let (value, beside) = bare_nominal(header).filter(|_| !is_dated(header))?;
    // A number with decimals counts nothing: `Puffer 4,01`.
    let fits = beside.is_empty()
        || value.trim_end_matches('.').contains(['.', ','])
        || meaning(&beside) == Some(Column::AsFound)
        || [Column::Nominal, Column::Point]
            .into_iter()
            .any(|column| words(column).contains(&folded(&beside)));
    fits.then_some((value, beside))
}

/// True where the numbers beside words only count: Error 1, Error 2, Error 3; 1. Error, 2. Error.
fn are_counted(headers: &[String]) -> bool {
    let bare = headers.iter().filter(|header| nominal(header).is_none());
    let mut numbers: Vec<String> = bare
        .filter_map(|header| bare_point(header))
        .filter(|(_, beside)| !beside.is_empty())
        .map(|(number, _)| number.trim_end_matches('.').to_string())
        .collect();
    numbers.sort();
    let counts = (1..).map(|n: u32| n.to_string()).take(numbers.len());
    !numbers.is_empty()
        && counts
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .eq(numbers)
}

/// True where bare numbers as headers only count, 1 to the last, beside a column that states the nominal value of the row or a
/// mean: repeats of one reading.
fn only_count(headers: &[String]) -> bool {
    let bare = headers
        .iter()
        .filter_map(|header| header.trim().parse::<u32>().ok());
    let nominal = |header: &String| {
        let header = header.as_str();
        let says = |column| headed(header, column);
        !states_point(header)
            && (says(Column::Nominal) || says(Column::Assigned) || names_mean(header))
    };
    let counted = bare.clone().eq(1..=bare.clone().count() as u32);
    counted && bare.count() >= FEWEST && headers.iter().any(nominal)
}

/// The points that the headers state and what stands beside them; `None` where the table is not
/// wide by points.
pub(crate) fn by_points(headers: &[String]) -> Option<Wide> {
    let states = |header: &&String| states_point(header);
    // "Result" may be a value or an outcome.
    let says = |header: &String, column| words(column).contains(&folded(header));
    let value =
        |header: &String| says(header, Column::AsFound) && !says(header, Column::InTolerance);
    let own_value = headers
        .iter()
        .any(|header| value(header) && !states_point(header));
    if !may_be_by_points(headers) || own_value || only_count(headers) {
        return None;
    }
    let stated: Vec<&String> = headers.iter().filter(states).collect();
    let units = stated.iter().any(|header| nominal(header).is_some());
    let read = |header: &&&String| match units {
        true => nominal(header),
        false => bare_point(header),
    };
    let mut parts: Vec<(String, String)> = stated.iter().filter_map(|h| read(&h)).collect();
    // One amount in the brackets of several columns scales their units: `Error [0.001 V]`, `Tol [0.001 V]`.
    let one = |(point, _): &(String, String)| *point == parts[0].0;
    let scales = |header: &&String| decimal(header).is_some();
    if parts.iter().all(one) && stated.iter().all(scales) {
        return None;
    }
    let word = word_for_all(&parts);
    if word.is_none() {
        for ((point, beside), header) in parts.iter_mut().zip(&stated) {
            if means_nothing(beside) {
                *point = nothing_beside(header);
                beside.clear();
            }
        }
    }
    let points = distinct(&parts);
    if points.len() < FEWEST {
        return None;
    }
    let mut found = Wide::of(WideSettings {
        points,
        as_found: word,
        ..WideSettings::default()
    });
    state_columns(&mut found, &parts);
    if !units {
        let words = format!(
            "The headers {} are taken for points, each with the nominal value that it states.",
            found.settings.points.join(", ")
        );
        found
            .doubts
            .push(Doubt::new("header_points", words).or("they are", Answer::AsTaken));
    }
    Some(found)
}

/// The points in their order, each once.
fn distinct(parts: &[(String, String)]) -> Vec<String> {
    let mut known = HashSet::new();
    let points = parts.iter().map(|(point, _)| point);
    points
        .filter(|point| known.insert(*point))
        .cloned()
        .collect()
}

/// True for words that name none of our columns: they tell points apart (rising, falling).
fn means_nothing(beside: &str) -> bool {
    !beside.is_empty() && meaning(beside).is_none()
}

/// Words that name no column and stand beside every value as found: they tell nothing apart.
fn word_for_all(parts: &[(String, String)]) -> Option<String> {
    let values = || parts.iter().map(|(_, beside)| beside.as_str());
    let values = || values().filter(|b| meaning(b).is_none_or(|column| column == Column::AsFound));
    let first = values().next().filter(|first| means_nothing(first))?;
    values()
        .all(|beside| beside == first)
        .then(|| first.to_string())
}

/// A whole header as the name of a point.
fn nothing_beside(header: &str) -> String {
    let words = without_unit(header).split([' ', '_', '\n', ':']);
    words
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_in_headers_are_told_with_what_stands_beside_them() {
        let of = |headers: &[&str]| {
            by_points(&headers.iter().map(|h| h.to_string()).collect::<Vec<_>>())
        };
        let plain = of(&["Gauge", "Date", "0 bar", "5 bar", "10 bar", "U 5 bar"]).unwrap();
        assert_eq!(plain.settings.points, ["0 bar", "5 bar", "10 bar"]);
        assert_eq!(plain.settings.as_found.as_deref(), Some(""));
        assert_eq!(plain.settings.u.as_deref(), Some("U"));
        assert!(plain.doubts.is_empty());
        let pairs = of(&[
            "Date",
            "Item",
            "0 °C found",
            "0 °C left",
            "50 °C found",
            "50 °C left",
        ]);
        let pairs = pairs.unwrap().settings;
        assert_eq!(pairs.points, ["0 °C", "50 °C"]);
        assert_eq!(pairs.as_left.as_deref(), Some("left"));
        let ways = of(&["Date", "Item", "5 bar rising", "5 bar falling"]).unwrap();
        assert_eq!(ways.settings.points, ["5 bar rising", "5 bar falling"]);
        let same = of(&["Date", "Item", "Anzeige 5 V", "Anzeige 10 V"]).unwrap();
        assert_eq!(same.settings.points, ["5 V", "10 V"]);
        let under = of(&[
            "Date",
            "Item",
            "Error 0 [mV]",
            "Error 50 [mV]",
            "Error 100 [mV]",
        ])
        .unwrap();
        assert_eq!(under.settings.points, ["0", "50", "100"]);
        assert_eq!(under.settings.as_found.as_deref(), Some("Error"));
        assert_eq!(under.doubts[0].name, "header_points");
        let bracketed = of(&["Date", "Item", "Error [mK] (0.01 °C)", "Error (29.7646 °C)"]);
        let bracketed = bracketed.unwrap().settings;
        assert_eq!(bracketed.points, ["0.01 °C", "29.7646 °C"]);
        assert_eq!(bracketed.as_found.as_deref(), Some("Error"));
        let bare = of(&["Date", "Item", "0", "50", "100"]).unwrap();
        assert_eq!(bare.settings.points, ["0", "50", "100"]);
        assert_eq!(bare.doubts[0].name, "header_points");
        let buffers = of(&["Date", "Item", "Tampón 4,01", "Tampón 7,00", "Tampón 10,01"]);
        let buffers = buffers.unwrap();
        assert_eq!(buffers.settings.points, ["4,01", "7,00", "10,01"]);
        assert_eq!(buffers.doubts[0].name, "header_points");
        for long in [
            ["Date", "Item", "Error", "20 °C", "23 °C"],
            ["Date", "Item", "Error 1", "Error 2", "Error 3"],
            ["Date", "Item", "1. Error", "2. Error", "3. Error"],
            ["Date", "Item", "Reading", "5 V range", "U"],
        ] {
            assert_eq!(of(&long), None, "{long:?}");
        }
    }
}
