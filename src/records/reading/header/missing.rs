/*! The error for a needed column that a file lacks, with the header that may be meant. */

use super::find;
use super::matched::Wanted;
use super::own::OFF;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::shape::meaning_of;
use crate::records::settings::words::AsFoundIs;
use crate::records::words::{plain, words};
use crate::words::nearest::nearest;

/// The setting that maps headers to columns.
pub(crate) const COLUMNS: &str = "columns";

/// The error for a needed column that is not there, one of `all` that are wanted of the table,
/// naming the nearest header that no other column has.
pub(crate) fn missing(
    file: &str,
    headers: &[String],
    (column, header): (&Wanted<'_>, &str),
    all: &[Wanted<'_>],
) -> LoadError {
    let what = match column.own {
        Some(OFF) => format!("the column {} is needed, and is switched off", column.name),
        Some(_) => format!("no column \"{header}\" (mapped to {})", column.name),
        None => format!("no column \"{header}\""),
    };
    let mend = match headers {
        [only] if only.matches("  ").count() > 0 => format!(
            "The header is one field, \"{}\", and several blanks part its words: columns of one width have no delimiter. Open the file by its widths in a spreadsheet and save it with a delimiter.",
            shortened(only)
        ),
        [only] => format!(
            "The header is one field, \"{}\": is the delimiter right? (delimiter)",
            shortened(only)
        ),
        _ if column.name == Column::Tolerance.name() && header.starts_with(['±', '+', '-']) => {
            format!(
                "That is a tolerance and no header: one that holds for all is tolerance = \"{header}\" under [register]."
            )
        }
        _ => {
            let meant = may_be_meant(column, header, &left_over(headers, all));
            let meant = meant.map_or(String::from("The headers are"), |meant| meant + " Headers:");
            let by_name = match column.name == Column::Date.name() && states_year(file) {
                true => {
                    " Where the name of each file states the day of its rows, state date_in_file_name = \"%Y-%m-%d\" or \"first day of %Y-%m\" under [checks], as the names have it."
                }
                false => "",
            };
            format!("{meant} {}.{by_name}", listed(headers))
        }
    };
    let error = LoadError::new(file, what, mend);
    match column.own {
        Some(OFF) => error,
        _ => error.asking(COLUMNS),
    }
}

/// True for the name of a file with a year of our days in it.
fn states_year(file: &str) -> bool {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let numbers = name.split(|c: char| !c.is_ascii_digit());
    let mut numbers = numbers.filter_map(|number| number.get(..4)?.parse::<u32>().ok());
    numbers.any(|year| (1950..2100).contains(&year))
}

/// The headers that the settings give to no column of `all`.
fn left_over(headers: &[String], all: &[Wanted<'_>]) -> Vec<String> {
    let own = all.iter().filter(|column| column.own.is_some());
    let given: Vec<usize> = own.filter_map(|column| find(headers, column)).collect();
    let left = headers.iter().enumerate();
    let left = left.filter(|(place, _)| !given.contains(place));
    left.map(|(_, header)| header.clone()).collect()
}

/// What the file may have in place of `header`, in a sentence with its setting.
fn may_be_meant(column: &Wanted<'_>, header: &str, headers: &[String]) -> Option<String> {
    let name = column.name;
    let corrects = |header: &&String| meaning_of(header) == AsFoundIs::Correction;
    let correction = headers.iter().find(corrects);
    let correction = correction.filter(|_| name == Column::AsFound.name()).map(|said| {
        format!(
            "\"{said}\" may hold corrections, errors with the sign turned: map it by {name} = \"{said}\" under columns, with as_found_is = \"correction\" under [checks]."
        )
    });
    let near = nearest(header, headers.iter().map(String::as_str)).map(|near| {
        format!("The nearest header is \"{near}\": map it by {name} = \"{near}\" under columns.")
    });
    let said = stated_by(name, headers).map(|said| {
        format!("\"{said}\" seems to say it: map it by {name} = \"{said}\" under columns.")
    });
    let outcome = stated_by(Column::InTolerance.name(), headers)
        .filter(|_| name == Column::AsFound.name())
        .map(|said| {
            format!(
                "\"{said}\" seems to say what was in tolerance: map it by in_tolerance = \"{said}\" under columns, or give it that name."
            )
        });
    // A person's own header is spelt like the one that is meant, our own names seldom.
    match column.own {
        Some(_) => near.or(correction).or(said).or(outcome),
        None => said.or(correction).or(outcome).or(near),
    }
}

/// The header that by its words states the column `name` of a check.
fn stated_by<'a>(name: &str, headers: &'a [String]) -> Option<&'a str> {
    let column = Column::ALL.into_iter().find(|c| c.name() == name)?;
    let named = |header: &&String| words(column).contains(&plain(header));
    headers.iter().find(named).map(String::as_str)
}

fn shortened(text: &str) -> String {
    let short: String = text.chars().take(60).collect();
    if short.len() < text.len() {
        short + "…"
    } else {
        short
    }
}

fn listed(headers: &[String]) -> String {
    let quoted: Vec<String> = headers
        .iter()
        .take(30)
        .map(|h| format!("\"{}\"", shortened(h)))
        .collect();
    quoted.join(", ")
}
