/*! The header of a table of checks: which of its rows it is, and which columns it has. */

use super::find_table::{Sought, find_table};
use super::matched::fold;
use super::{COLUMNS, Matched, Wanted, find, match_headers, missing, place_of};
use crate::records::LoadError;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::number::coverage::stated_factor;
use crate::records::cells::number::power_of_ten::{POWER_OF_TEN, PowerOfTen};
use crate::records::cells::row::rules::Rules;
use crate::records::cells::shape::ends_with_minus;
use crate::records::cells::unit::stated::apart_from;
use crate::records::cells::unit::{Unit, of_header, same_unit};
use crate::records::reading::csv::text::{Split, TableText};
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::InstrumentFrom;
use crate::records::words::{before_bracket, plain, words};

/// Matches the columns of the checks table and insists on the needed ones.
pub(crate) fn match_columns(
    shown: &str,
    headers: Vec<String>,
    rules: &Rules<'_>,
) -> Result<Matched, LoadError> {
    let columns = wanted(rules);
    if let Some(column) = lacking(&headers, rules).first() {
        let column = &columns[column.index()];
        let header = column.own.unwrap_or(column.name);
        return Err(missing(shown, &headers, (column, header), &columns));
    }
    let settings = rules.settings;
    let stated = stated_columns(settings);
    for (name, own) in &stated {
        if place_of(&headers, own).is_none() {
            let wanted = Wanted {
                name,
                own: Some(own),
            };
            return Err(missing(shown, &headers, (&wanted, own), &columns));
        }
    }
    let mut matched = match_headers(shown, headers, &columns)?;
    let lower = matched.header(Column::Lower);
    if let Some(lower) = lower.filter(|header| ends_with_minus(header)) {
        let note = format!(
            "\"{lower}\" is read as limits below 0, with or without a minus sign in the cell"
        );
        matched.note(note);
    }
    if let Some(left_out) = &settings.not_read {
        let read = stated.into_iter().map(|(_, own)| own);
        note_later_columns(
            &mut matched,
            &left_out.iter().chain(read).collect::<Vec<_>>(),
        );
    }
    refuse_lost_values(shown, &matched, rules)?;
    refuse_open_power(shown, &matched, rules)?;
    refuse_other_factor(shown, &matched, rules)?;
    Ok(matched)
}

/// The columns that settings name beside those of checks: the setting, and the header.
fn stated_columns(settings: &ChecksSettings) -> Vec<(&'static str, &String)> {
    let lists = [
        ("point_from", settings.point_from.as_slice()),
        ("repeated_in", &settings.repeated_in),
        ("date_from", &settings.date_from),
        ("fill_down", &settings.fill_down),
    ];
    let single = [
        ("left_rows_by", &settings.left_rows_by),
        ("void_rows_by", &settings.void_rows_by),
        ("time_in", &settings.time_in),
    ];
    let lists = lists.into_iter();
    let lists = lists.flat_map(|(name, all)| all.iter().map(move |own| (name, own)));
    let single = single.into_iter().filter(|(_, own)| !own.trim().is_empty());
    lists.chain(single).collect()
}

/// Refuses outcomes alone where a column that is not read holds values by its words: the checks would lose
/// all that they measured without a sign of it.
fn refuse_lost_values(shown: &str, matched: &Matched, rules: &Rules<'_>) -> Result<(), LoadError> {
    let stated = wanted(rules)[Column::AsFound.index()].own.is_some();
    if stated || matched.place(Column::AsFound).is_some() {
        return Ok(());
    }
    let values = |header: &str| words(Column::AsFound).contains(&plain(before_bracket(header)));
    let mut headers = matched.headers.iter().enumerate();
    let lost =
        headers.find(|(at, header)| !matched.positions.contains(&Some(*at)) && values(header));
    let Some((_, header)) = lost else {
        return Ok(());
    };
    Err(LoadError::new(
        shown,
        format!("only outcomes are read, and the column \"{header}\" may hold what was found"),
        format!(
            "Map it by as_found = \"{header}\" under columns; where the outcomes alone count, state as_found = false there."
        ),
    )
    .asking(COLUMNS))
}

/// Places of the columns of numbers in the unit of the history.
fn measured(matched: &Matched) -> impl Iterator<Item = usize> + '_ {
    let own = Column::ALL.into_iter().filter(|column| column.has_unit());
    own.filter_map(|column| matched.place(column))
}

/// Refuses a power of ten that a header states apart from its unit, until a person says what it is.
fn refuse_open_power(shown: &str, matched: &Matched, rules: &Rules<'_>) -> Result<(), LoadError> {
    if rules.settings.power_of_ten != PowerOfTen::Auto {
        return Ok(());
    }
    let headers = measured(matched).filter_map(|place| matched.headers.get(place));
    let headers = headers.chain(&rules.settings.repeated_in);
    for header in headers {
        if let Some(power) = apart_from(header, of_header(header)) {
            let what = format!(
                "\"{header}\" states a power of ten ({power}) apart from a unit: the unit may be so many times larger, or the numbers may have been multiplied"
            );
            let mend = "State power_of_ten = \"unit\" or \"numbers\" under [checks], or \"none\" where it is no power of what is measured.";
            return Err(LoadError::new(shown, what, mend).asking(POWER_OF_TEN));
        }
    }
    Ok(())
}

/// Tells of columns that are neither read nor among the headers that are `known`.
fn note_later_columns(matched: &mut Matched, known: &[&String]) {
    // start names a header with the unit of the row below it.
    let same = |header: &str| {
        let header = fold(header);
        let same = |own: String| {
            let rest = own.strip_prefix(&header);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(" ["))
        };
        known.iter().any(|own| same(fold(own)))
    };
    let later: Vec<usize> = matched
        .unread()
        .filter(|place| {
            let header = &matched.headers[*place];
            !header.trim().is_empty() && !same(header) && !matched.is_told(*place)
        })
        .collect();
    for place in later {
        let header = &matched.headers[place];
        let words = format!(
            "column \"{header}\" is not read, and not_read does not name it: it may have come later. Map it under columns, or add it to not_read"
        );
        matched.note_unread(place, words);
    }
}

/// Two coverage factors that differ by less are one: k = 2 of a header is 1.96 of a setting.
const SAME_FACTOR: f64 = 0.03;

/// Refuses an uncertainty whose header states another coverage factor than the one that divides it.
fn refuse_other_factor(shown: &str, matched: &Matched, rules: &Rules<'_>) -> Result<(), LoadError> {
    let factor = matched.place(Column::CoverageFactor);
    let (Some(header), None) = (matched.header(Column::U), factor) else {
        return Ok(());
    };
    let divides = rules.settings.coverage_factor;
    match stated_factor(header).filter(|k| (k / divides - 1.0).abs() > SAME_FACTOR) {
        Some(k) => Err(LoadError::new(
            shown,
            format!(
                "\"{header}\" states k = {k}, and coverage_factor = {divides} divides its numbers"
            ),
            format!(
                "State coverage_factor = {k} under [checks], or mend the header where it is wrong."
            ),
        )),
        None => Ok(()),
    }
}

/// Refuses a row of units that contradicts the header above it: one of the two is wrong, and a column
/// whose header states none would be read in the unit of the row.
pub(crate) fn refuse_other_units(shown: &str, matched: &Matched) -> Result<(), LoadError> {
    for place in measured(matched) {
        let (Some(header), Some(below)) = (matched.headers.get(place), matched.units.get(place))
        else {
            continue;
        };
        let differ = |own: &&str| {
            let units = [Unit::parse(own), Unit::parse(below)];
            let of_one_quantity =
                matches!(&units, [Some(own), Some(below)] if own.quantity == below.quantity);
            of_one_quantity && !same_unit(own, below)
        };
        if let Some(own) = of_header(header).filter(differ) {
            let what = format!(
                "the row of units below the header states {below} for \"{header}\", whose header states {own}"
            );
            return Err(LoadError::new(shown, what, "Mend the one that is wrong."));
        }
    }
    Ok(())
}

pub(crate) fn wanted<'a>(rules: &Rules<'a>) -> [Wanted<'a>; COLUMN_COUNT] {
    let own = rules.settings.columns.headers();
    Column::ALL.map(|column| Wanted {
        name: column.name(),
        own: own[column.index()],
    })
}

/// The table of checks in a text.
pub(crate) fn find_checks<'a>(
    table: TableText<'a>,
    rules: &Rules<'_>,
) -> Result<Split<'a>, LoadError> {
    let instrument = wanted(rules)[Column::Instrument.index()];
    // A header that the settings name tells the table as much as a needed one: it may be that
    // only the form with the units below it has them all.
    let stated = |headers: &[String]| {
        let lacks = |w: &&Wanted<'_>| w.own.is_some() && find(headers, w).is_none();
        wanted(rules).iter().filter(lacks).count()
    };
    let sought = Sought {
        lacking: &|headers| lacking(headers, rules).len() + stated(headers),
        name: &|headers| find(headers, &instrument),
    };
    find_table(table, &sought)
}

/// The needed columns that `headers` lack.
pub(crate) fn lacking(headers: &[String], rules: &Rules<'_>) -> Vec<Column> {
    let wanted = wanted(rules);
    let lacks = |column: &Column| {
        let by_cell = rules.settings.instrument_from == InstrumentFrom::Cell;
        let told = match column {
            Column::Instrument => rules.instrument.is_some() || by_cell,
            Column::Date => {
                rules.date.is_some()
                    || !rules.settings.date_cell.trim().is_empty()
                    || !rules.settings.date_from.is_empty()
            }
            _ => false,
        };
        !told && find(headers, &wanted[column.index()]).is_none()
    };
    let value = lacks(&Column::AsFound) && lacks(&Column::InTolerance);
    let needed = [Column::Instrument, Column::Date].into_iter().filter(lacks);
    needed.chain(value.then_some(Column::AsFound)).collect()
}
