/*! The table of a history's checks, and what lets the page tell each at its place on the chart. */

use super::parts::{numbers_table, paragraph};
use crate::report::charts::Places;
use crate::report::text::{all_digits, count, escape, fixed, iso_date, significant};
use crate::report::view::{HistoryView, ReadingView};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Readings in the page's table; a longer history shows its last ones.
const MOST_READINGS: usize = 500;

/// Decimals beyond which a column is written with the digits of each value.
const MOST_DECIMALS: usize = 12;

/// Share of a column's largest value below which a digit is rounding of the arithmetic.
const ROUNDING: f64 = 1e-9;

/// How the table begins, and how a row of it ends.
const TABLE: &str = "<div id=\"checks\">";
const LAST_CELL: &str = "</td></tr>";

/// The table; nothing for a history without readings.
pub(super) fn checks(view: &HistoryView) -> String {
    if view.readings.is_empty() {
        return String::new();
    }
    let shown = shown(&view.readings);
    let day = match view.usage_unit {
        Some(_) => "usage",
        None => "date",
    };
    let unit = |name: &str| match view.unit.as_str() {
        "" => name.to_string(),
        unit => format!("{name}, {unit}"),
    };
    let left = |r: &ReadingView| r.as_left.unwrap_or(f64::NAN);
    let values = shown.iter().flat_map(|r| [r.value, left(r)]);
    let (value, u) = (
        decimals(values),
        decimals(shown.iter().map(|reading| reading.u)),
    );
    let headers = [
        (day.to_string(), false),
        (unit("as found"), true),
        (unit("as left"), true),
        (unit("u"), true),
        ("event".to_string(), false),
        ("remark".to_string(), false),
        (source_heading(&view.sources), view.sources.len() == 1),
    ];
    let cells = |reading: &ReadingView| {
        vec![
            match view.usage_unit {
                Some(_) => significant(reading.day, 6),
                None => iso_date(reading.day),
            },
            number(reading.value, value),
            number(left(reading), value),
            number(reading.u, u),
            reading.event.to_string(),
            remark(reading),
            reading
                .source
                .map_or(String::new(), |at| place(&view.sources, at)),
        ]
    };
    let note = match view.readings.len() > shown.len() {
        true => paragraph(&format!(
            "The last {MOST_READINGS} of {}.",
            count(view.readings.len(), "check")
        )),
        false => String::new(),
    };
    let rows = shown.iter().map(cells).collect();
    let (headers, rows) = filled_columns(headers.to_vec(), rows);
    let headers: Vec<(&str, bool)> = headers.iter().map(|(h, n)| (h.as_str(), *n)).collect();
    format!(
        "{TABLE}{note}{}</div>\n",
        numbers_table("Checks", &headers, rows)
    )
}

/// Attributes of the chart's figure: where the checks of the table and the dates stand on it.
pub(super) fn placed(places: &Places) -> String {
    let [from, to, left, right] = places.axis;
    let mut html = format!(
        " data-axis=\"{} {} {left:.0} {right:.0}\" data-plot=\"{} {}\" data-points=\"",
        all_digits(from),
        all_digits(to),
        places.plot[0],
        places.plot[1]
    );
    for (i, place) in shown(&places.readings).iter().enumerate() {
        let blank = if i > 0 { " " } else { "" };
        let _ = match place {
            Some((x, y)) => write!(html, "{blank}{x},{y}"),
            None => write!(html, "{blank}-"),
        };
    }
    html + "\""
}

/// The last ones, as many as the table has.
fn shown<T>(all: &[T]) -> &[T] {
    &all[all.len().saturating_sub(MOST_READINGS)..]
}

/// The fewest decimals that keep every digit of `values`, rounding of the arithmetic left out;
/// `None` where there are too many.
fn decimals(values: impl Iterator<Item = f64>) -> Option<usize> {
    let values: Vec<f64> = values.filter(|value| value.is_finite()).collect();
    let largest = values.iter().fold(0.0, |most: f64, v| most.max(v.abs()));
    let kept = |value: &f64, digits: usize| {
        let shown: f64 = format!("{value:.digits$}").parse().unwrap_or(f64::NAN);
        (shown - value).abs() <= ROUNDING * largest
    };
    (0..=MOST_DECIMALS).find(|digits| values.iter().all(|value| kept(value, *digits)))
}

fn number(value: f64, decimals: Option<usize>) -> String {
    match decimals {
        _ if !value.is_finite() => String::new(),
        Some(decimals) => fixed(value, decimals),
        None => all_digits(value),
    }
}

fn remark(reading: &ReadingView) -> String {
    let mut remarks = Vec::new();
    if reading.out_of_tolerance {
        remarks.push("out of tolerance");
    } else if reading.value.is_nan() {
        remarks.push("in tolerance, no value kept");
    }
    if reading.outlier {
        remarks.push("suspected outlier");
    }
    remarks.join(", ")
}

fn source_heading(sources: &BTreeMap<u32, String>) -> String {
    match sources.len() {
        1 => format!("row of {}", sources.values().next().map_or("", |s| s)),
        _ => "source".to_string(),
    }
}

/// Where a reading stands in the records: its row, and its file where there are several.
fn place(sources: &BTreeMap<u32, String>, (file, row): (u32, u32)) -> String {
    match sources.get(&file) {
        Some(_) if sources.len() == 1 => row.to_string(),
        Some(name) => format!("{name}, row {row}"),
        None => String::new(),
    }
}

/// The `page` of a history whose checks now stand at other `places` (file and row, oldest first) of
/// the same files, where nothing else of it differs; `None` where its table does not show one place
/// a check.
pub(crate) fn with_places(
    page: &str,
    sources: &BTreeMap<u32, String>,
    places: &[(u32, u32)],
) -> Option<String> {
    let (before, table) = page.split_once(TABLE)?;
    let (head, rest) = table.split_once("<tbody>\n")?;
    let (rows, after) = rest.split_once("</tbody>")?;
    let heading = escape(&source_heading(sources));
    if !head.ends_with(&format!(">{heading}</th></tr></thead>\n")) {
        return None;
    }
    let places = shown(places);
    if rows.lines().count() != places.len() {
        return None;
    }
    let mut moved = String::with_capacity(page.len() + 16 * places.len());
    moved.extend([before, TABLE, head, "<tbody>\n"]);
    for (row, at) in rows.lines().zip(places) {
        let (others, _) = row.strip_suffix(LAST_CELL)?.rsplit_once('>')?;
        let place = place(sources, *at);
        if place.is_empty() {
            return None;
        }
        moved.extend([others, ">", &escape(&place), LAST_CELL, "\n"]);
    }
    moved.extend(["</tbody>", after]);
    Some(moved)
}

/// A column's heading, and whether it holds numbers.
type Heading = (String, bool);

/// The columns that some row fills.
fn filled_columns(
    headers: Vec<Heading>,
    mut rows: Vec<Vec<String>>,
) -> (Vec<Heading>, Vec<Vec<String>>) {
    let kept: Vec<usize> = (0..headers.len())
        .filter(|column| rows.iter().any(|row| !row[*column].is_empty()))
        .collect();
    for row in &mut rows {
        *row = kept
            .iter()
            .map(|column| std::mem::take(&mut row[*column]))
            .collect();
    }
    let headers = kept.iter().map(|column| headers[*column].clone());
    (headers.collect(), rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::page::instrument_page;
    use crate::report::samples;

    #[test]
    fn a_page_with_other_places_is_the_page_drawn_with_them() {
        let files = |names: &[&str]| {
            let names = (0..).zip(names.iter().map(ToString::to_string));
            names.collect::<BTreeMap<u32, String>>()
        };
        for (count, sources) in [
            (24, files(&["checks.csv"])),
            (24, files(&["a <b>.csv", "c & d.csv"])),
            (MOST_READINGS + 3, files(&["checks.csv"])),
        ] {
            let mut view = samples::history(count);
            view.sources = sources;
            let mut at = |first: u32| -> (String, Vec<(u32, u32)>) {
                let files = view.sources.len() as u32;
                let places: Vec<_> = (first..)
                    .zip(&mut view.readings)
                    .map(|(row, reading)| {
                        reading.source = Some((row % files, row));
                        (row % files, row)
                    })
                    .collect();
                (instrument_page(&view, None), places)
            };
            let (stands, _) = at(2);
            let (drawn, places) = at(90_007);
            assert_ne!(stands, drawn);
            assert_eq!(with_places(&stands, &view.sources, &places), Some(drawn));
            let fewer = &places[places.len() - 5..];
            assert_eq!(with_places(&stands, &view.sources, fewer), None);
            let elsewhere = vec![(9, 1); places.len()];
            assert_eq!(with_places(&stands, &view.sources, &elsewhere), None);
            assert_eq!(with_places(&stands, &files(&["e.csv"]), &places), None);
        }
    }

    #[test]
    fn a_column_has_the_digits_of_its_record_and_no_more() {
        let words = |values: &[f64]| {
            let digits = decimals(values.iter().copied());
            values
                .iter()
                .map(|v| number(*v, digits))
                .collect::<Vec<_>>()
        };
        assert_eq!(words(&[5.1, -0.25, 12.0]), ["5.10", "−0.25", "12.00"]);
        // 100.0213 − 100 in doubles is 0.0213000000000036.
        assert_eq!(words(&[100.0213 - 100.0, 0.02]), ["0.0213", "0.0200"]);
        assert_eq!(words(&[1.5e-13, f64::NAN]), ["1.5e-13", ""]);
        assert_eq!(
            words(&[1e15]),
            ["1\u{202f}000\u{202f}000\u{202f}000\u{202f}000\u{202f}000"]
        );
    }
}
