/*! Headers of two rows: which rows are one, and the names that both make. */

use super::units_row::{bare_unit, is_units_row, with_unit_texts};
use crate::records::cells::number::written::{Form, written};
use crate::records::cells::unit::{self, Unit};

/// What a header that begins at the first row of `fields` may be, the rows that it takes, and whether
/// its last row states units.
pub(super) fn header_forms<'r>(
    fields: impl Fn(usize) -> Option<&'r [String]>,
    name: &dyn Fn(&[String]) -> Option<usize>,
) -> Vec<(Vec<String>, usize, bool)> {
    let units = |header: &[String], i: usize| {
        let units = fields(i).map(|fields| without_repeats(fields, header));
        units.filter(|units| is_units_row(units, || name(header).unwrap_or(0)))
    };
    let Some(one) = fields(0) else {
        return Vec::new();
    };
    let mut forms = vec![(one.to_vec(), 1, false)];
    if let Some(units) = units(one, 1) {
        forms.push((with_unit_texts(one, &units), 2, true));
    } else if let Some(dates) = fields(1).and_then(|second| with_dates_below(one, second)) {
        forms.push((dates, 2, false));
    } else if let Some(second) =
        fields(1).filter(|second| is_more_than_a_title(one) || heads_points(one, second))
    {
        if second.iter().any(|field| is_figure(field)) && !heads_points(one, second) {
            return forms;
        }
        let below = without_repeats(second, one);
        let two = joined(one, &below);
        // Where both rows fill the column of the items, the lower one is a record.
        let place = name(&two).unwrap_or(0);
        let filled = |row: &[String]| row.get(place).is_some_and(|f| !f.trim().is_empty());
        if filled(one) && filled(&below) {
            return forms;
        }
        if let Some(units) = units(&two, 2) {
            forms.push((with_unit_texts(&two, &units), 3, true));
        }
        forms.push((two, 2, false));
    }
    forms
}

/// A row below a header without what it repeats of it: a header merged over several rows
/// stands in each of them.
pub(super) fn without_repeats(row: &[String], header: &[String]) -> Vec<String> {
    let above = |i: usize| header.get(i).map_or("", |h| h.trim());
    let fields = row.iter().enumerate();
    let fresh = |(i, field): (usize, &String)| match above(i).ends_with(field.trim()) {
        true => String::new(),
        false => field.clone(),
    };
    fields.map(fresh).collect()
}

/// True for a number that is no year, and for a date: no header is one.
fn is_figure(field: &str) -> bool {
    let field = field.trim();
    let digits = field.bytes().filter(u8::is_ascii_digit).count();
    let others = field
        .bytes()
        .all(|b| b.is_ascii_digit() || b",.-+/: ".contains(&b));
    digits > 0 && others && !(digits == 4 && field.len() == 4)
}

/// A header whose columns only count (`Cal 1`, `Cal 2`), with the dates that the row below it states under each of them
/// and nowhere else; `None` where it states others.
fn with_dates_below(upper: &[String], lower: &[String]) -> Option<Vec<String>> {
    const FEWEST: usize = 2;
    // Two marks between three parts.
    let date = |field: &String| is_figure(field) && field.matches(['-', '.', '/']).count() == 2;
    let stem = |i: usize| {
        let header = upper.get(i)?.trim();
        let stem = header.trim_end_matches(|c: char| c.is_ascii_digit());
        (stem.len() < header.len()).then(|| stem.trim_end())
    };
    let filled = |i: &usize| !lower[*i].trim().is_empty();
    let places: Vec<usize> = (0..lower.len()).filter(filled).collect();
    let first = stem(*places.first()?)?;
    let counted = (0..upper.len()).filter(|&i| stem(i) == Some(first)).count();
    let alike = |&i: &usize| date(&lower[i]) && stem(i) == Some(first);
    if places.len() < FEWEST || counted != places.len() || !places.iter().all(alike) {
        return None;
    }
    let mut header = upper.to_vec();
    for i in places {
        header[i] = lower[i].trim().to_string();
    }
    Some(header)
}

/// True where a row states amounts alone under one header that holds for all of them, as 0, 50
/// and 100 under Error, beside words or blanks: points of one header, and no record.
fn heads_points(upper: &[String], lower: &[String]) -> bool {
    let blank = |row: &[String], i: usize| row.get(i).is_none_or(|f| f.trim().is_empty());
    let places = || (0..lower.len()).filter(|&i| states_amount(&lower[i]));
    let Some(first) = places().next() else {
        return false;
    };
    let fewest = 2;
    let of_one = places().all(|i| i == first || blank(upper, i)) && !blank(upper, first);
    let others = (0..lower.len()).filter(|&i| !states_amount(&lower[i]));
    of_one && places().count() >= fewest && !others.into_iter().any(|i| is_figure(&lower[i]))
}

/// True for a number, with a unit or without.
fn states_amount(field: &str) -> bool {
    [true, false].into_iter().any(|comma| {
        let amount = written(field.trim(), comma.into());
        amount.is_ok_and(|amount| {
            let known = amount.unit.is_empty() || Unit::parse(amount.unit).is_some();
            amount.form == Form::Plain && known
        })
    })
}

/// True where more than one field of a row is filled: a title stands alone.
pub(super) fn is_more_than_a_title(row: &[String]) -> bool {
    row.iter().filter(|field| !field.trim().is_empty()).count() > 1
}

/// Two rows of headers as one: the upper one holds for the fields to its right that have none.
pub(crate) fn joined(upper: &[String], lower: &[String]) -> Vec<String> {
    let mut over = "";
    (0..upper.len().max(lower.len()))
        .map(|i| {
            let text = |row: &'_ [String]| row.get(i).map_or("", |f| f.trim()).to_string();
            let (own, below) = (text(upper), text(lower));
            if !own.is_empty() || below.is_empty() {
                over = upper.get(i).map_or("", |f| f.trim());
            }
            match (over, below.as_str()) {
                ("", below) => below.to_string(),
                (over, "") => over.to_string(),
                (over, below) => under(over, below),
            }
        })
        .collect()
}

/// A header and the one below it; a unit that the upper one ends with stands at the end, where
/// that of any header does.
fn under(over: &str, below: &str) -> String {
    let open = over
        .rfind(['[', '('])
        .filter(|_| over.ends_with([']', ')']));
    let word = open.map(|open| over.split_at(open));
    match word.filter(|(_, unit)| Unit::parse(bare_unit(unit)).is_some()) {
        Some((word, unit)) if unit::of_header(below).is_none() => {
            format!("{} {below} {unit}", word.trim_end())
        }
        _ => format!("{over} {below}"),
    }
}
