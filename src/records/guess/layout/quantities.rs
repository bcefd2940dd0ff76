/*! Several quantities in one row: `Temp. error [°C]` beside `RH error [%RH]`, each with limits of its own. */

use super::wide::Wide;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::guess::headers::{
    Headers, approached, counted, date_column, item_column, lettered, names_points,
};
use crate::records::guess::values::unread::limits::BOTH_SIDES;
use crate::records::reading::wide::{WideSettings, without_unit};
use crate::records::words::{plain, speaks_of, words};
use crate::words::quoted_list;

/// Most columns of a table that is looked at.
const COLUMNS: usize = 60;

/// A header as the name of a quantity with what stands beside it.
struct Part<'a> {
    header: &'a str,
    point: String,
    beside: String,
    column: Column,
}

/// The quantities that the headers name, each a point with its own histories; `None` where they name none, or where
/// the columns may be several views of one quantity.
pub(crate) fn by_quantities(headers: &[String]) -> Option<Wide> {
    if headers.len() > COLUMNS || date_column(headers).is_none() || item_column(headers).is_none() {
        return None;
    }
    let parts: Vec<Part<'_>> = headers.iter().flat_map(|header| parts(header)).collect();
    let found = parts.iter().filter(|part| part.column == Column::AsFound);
    let of_word = |word: &str| -> Vec<&Part<'_>> {
        found
            .clone()
            .filter(|part| plain(&part.beside) == plain(word))
            .collect()
    };
    // "As found" says more than "found".
    let words = found.clone().map(|part| part.beside.as_str());
    let word = words.max_by_key(|word| (of_word(word).len(), word.len()))?;
    let own = of_word(word);
    let points: Vec<String> = own.iter().map(|part| part.point.clone()).collect();
    let names: Vec<String> = points.iter().map(|point| plain(point)).collect();
    let distinct = (1..names.len()).all(|i| !names[..i].contains(&names[i]));
    if points.len() < 2 || !distinct {
        return None;
    }
    let of_points = |part: &&Part<'_>| points.contains(&part.point);
    let stated: Vec<&Part<'_>> = parts.iter().filter(of_points).collect();
    let has_limits = |point: &String| {
        let limits = [Column::Tolerance, Column::Lower, Column::Upper];
        stated
            .iter()
            .any(|part| part.point == *point && limits.contains(&part.column))
    };
    if !are_quantities(&own) && !points.iter().all(has_limits) {
        return None;
    }
    // What else stands beside a point must have a meaning: an unknown limit would be left out.
    let lost = |header: &&String| {
        let begins = points
            .iter()
            .any(|point| without_unit(header).starts_with(point.as_str()));
        begins && !stated.iter().any(|part| part.header == header.as_str())
    };
    if headers.iter().any(|header| lost(&header)) {
        return None;
    }
    let settings = settings_of(points, word, &stated)?;
    let to_check = vec![format!(
        "Each row holds several quantities: {} are points, each with histories and limits of its own.",
        quoted_list(&settings.points)
    )];
    Some(Wide {
        settings,
        to_check,
        doubts: Vec::new(),
    })
}

/// The settings by which a table of these points is read; `None` where two words mean one column.
fn settings_of(points: Vec<String>, word: &str, stated: &[&Part<'_>]) -> Option<WideSettings> {
    let mut settings = WideSettings {
        points,
        as_found: Some(word.to_string()),
        ..WideSettings::default()
    };
    for part in stated {
        let words = settings.words();
        let known = words
            .filter(|(column, _)| *column == part.column)
            .map(|(_, word)| plain(word));
        // Two words for one column are two columns.
        if known.into_iter().any(|word| word != plain(&part.beside)) {
            return None;
        }
        settings.state(part.column, &part.beside);
    }
    Some(settings)
}

/// The ways in which a header is a name before or behind words that mean a column.
fn parts(header: &str) -> Vec<Part<'_>> {
    let words: Vec<&str> = without_unit(header).split_whitespace().collect();
    if counted(header)
        .or(lettered(header))
        .or(approached(header))
        .is_some()
    {
        return Vec::new();
    }
    let splits = (1..words.len()).flat_map(|at| {
        let (first, second) = (words[..at].join(" "), words[at..].join(" "));
        [(first.clone(), second.clone()), (second, first)]
    });
    let parts = splits.filter_map(|(point, beside)| {
        let column = if BOTH_SIDES.iter().any(|sign| beside.contains(sign)) {
            Column::Tolerance
        } else {
            means(&beside)?
        };
        let part = Part {
            header,
            point,
            beside,
            column,
        };
        names_quantity(&part.point).then_some(part)
    });
    parts.collect()
}

/// The column that words mean which may stand once a quantity.
fn means(text: &str) -> Option<Column> {
    const COLUMNS: [Column; 8] = [
        Column::U,
        Column::Lower,
        Column::Upper,
        Column::Tolerance,
        Column::Nominal,
        Column::AsLeft,
        Column::InTolerance,
        Column::AsFound,
    ];
    let headers = Headers::of(std::iter::once(text));
    let exact = |column: &Column| words(*column).iter().any(|word| word == headers.folded(0));
    let inside = |column: &Column| headers.find(*column, |_| true).is_some();
    let mut columns = COLUMNS.into_iter();
    columns.clone().find(exact).or_else(|| columns.find(inside))
}

/// True for words that mean none of our columns: `Temp.`, `RH`, `Zero`.
fn names_quantity(point: &str) -> bool {
    const OTHERS: [&str; 7] = [
        "error",
        "value",
        "reference",
        "left",
        "correction",
        "uncertain",
        "expanded",
    ];
    let says = |list: &&str| speaks_of(point, list);
    point.contains(char::is_alphabetic)
        && means(point).is_none()
        && !names_points(point)
        && !OTHERS.iter().any(says)
}

/// True where no two of the headers state units of one quantity, and none a part of the reading, in which one error
/// may be stated twice.
fn are_quantities(parts: &[&Part<'_>]) -> bool {
    let units: Option<Vec<&str>> = parts
        .iter()
        .map(|part| unit::of_header(part.header))
        .collect();
    let Some(units) = units else {
        return false;
    };
    let quantity = |unit: &str| Unit::parse(unit).map(|unit| unit.quantity);
    let differ = |a: &str, b: &str| {
        !unit::same_unit(a, b) && (quantity(a).is_none() || quantity(a) != quantity(b))
    };
    let all = (1..units.len()).all(|i| units[..i].iter().all(|other| differ(units[i], other)));
    all && units
        .iter()
        .all(|unit| quantity(unit) != Some(Quantity::Part))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(headers: &[&str]) -> Option<WideSettings> {
        let headers: Vec<String> = headers.iter().map(|h| h.to_string()).collect();
        by_quantities(&headers).map(|wide| wide.settings)
    }

    #[test]
    fn quantities_in_one_row_are_points() {
        let both = found(&[
            "Instrument",
            "Date",
            "Temp. error [°C]",
            "Temp. limit ± [°C]",
            "RH error [%RH]",
            "RH limit ± [%RH]",
        ])
        .unwrap();
        assert_eq!(both.points, ["Temp.", "RH"]);
        assert_eq!(both.as_found.as_deref(), Some("error"));
        assert_eq!(both.tolerance.as_deref(), Some("limit ±"));
        let read = found(&[
            "Instrument",
            "Date",
            "Channel A reading [V]",
            "Channel A lower limit [V]",
            "Channel A upper limit [V]",
            "Channel B reading [V]",
            "Channel B lower limit [V]",
            "Channel B upper limit [V]",
        ]);
        assert_eq!(read.unwrap().points, ["Channel A", "Channel B"]);
        let zero = found(&[
            "Instrument",
            "Date",
            "Zero error",
            "Zero tolerance",
            "Span error",
            "Span tolerance",
        ]);
        assert_eq!(zero.unwrap().points, ["Zero", "Span"]);
    }

    #[test]
    fn views_of_one_quantity_are_none() {
        for headers in [
            vec![
                "Instrument",
                "Date",
                "Relative error [%]",
                "Absolute error [V]",
            ],
            vec!["Instrument", "Date", "Mean error [V]", "Span error [V]"],
            vec!["Instrument", "Date", "Reference value", "Measured value"],
            vec![
                "Instrument",
                "Date",
                "Temp. error [°C]",
                "RH error [%RH]",
                "RH limits [%RH]",
            ],
            vec!["Instrument", "Date", "Error 1 [V]", "Error 2 [V]"],
        ] {
            assert_eq!(found(&headers), None, "{headers:?}");
        }
    }
}
