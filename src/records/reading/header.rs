/*! From the headers of a file to our columns: exact, then by case and blanks, never by guess. */

pub(crate) mod above;
pub(crate) mod checks;
pub(crate) mod find_table;
pub(crate) mod own;
mod two_rows;
pub(crate) mod units_row;

use super::csv::text::Split;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::words::{plain, speaks_of, words};
use above::as_text;
use own::OFF;
use units_row::bare_unit;

/// A column that is looked for: our name, and the person's own header where the
/// pipeline file states one.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    pub name: &'static str,
    pub own: Option<&'a str>,
}

/// Where each wanted column stands in one file.
#[derive(Debug, Clone, Default)]
pub(crate) struct Matched {
    /// Position in the file, in the order of the wanted columns.
    pub positions: Vec<Option<usize>>,
    /// Headers of the file.
    pub headers: Vec<String>,
    /// Units that a row below the headers states, by place in the file; empty where none does.
    pub units: Vec<String>,
    /// Loose matches and near misses, in words.
    pub notes: Vec<String>,
    /// Number of the last row of the header, as a spreadsheet shows it; 0 where there is none.
    pub header_row: u32,
    /// Rows around the header that are set aside.
    pub set_aside: u64,
    /// Bytes below the header, where each line of them is a row; 0 otherwise.
    pub plain_body: usize,
}

/// Longest text of a row above the table that is shown, characters.
const TITLE_SHOWN: usize = 60;

impl Matched {
    /// Takes over where the table stands in its text, and what stands around it.
    pub(crate) fn found_in(&mut self, split: &Split<'_>) {
        self.header_row = split.row;
        self.set_aside = split.above.len() as u64 + u64::from(split.units.is_some());
        if let (Some(upper), Some((last, _))) = (split.above.first(), split.above.last()) {
            let first = &upper.0;
            let title: String = as_text(upper).chars().take(TITLE_SHOWN).collect();
            let rows = match first == last {
                true => format!("row {first} stands above the table and is"),
                false => format!("rows {first} to {last} stand above the table and are"),
            };
            self.notes.push(format!("{rows} set aside: \"{title}\""));
        }
        if let Some(units) = &split.units {
            self.notes
                .push(format!("row {} states units and is set aside", split.row));
            self.units = units
                .iter()
                .map(|unit| bare_unit(unit).to_string())
                .collect();
        }
    }
}

/// The column that tells points apart even where it is switched off.
const NOMINAL: &str = "nominal";

/// Where the column of nominal values stands, by the usual words.
fn nominal_by_words(headers: &[String]) -> Option<usize> {
    let bare = |header: &str| {
        let end = header.find(['[', '(']).filter(|end| *end > 0);
        plain(&header[..end.unwrap_or(header.len())])
    };
    let names = |header: &String| words(Column::Nominal).contains(&bare(header));
    headers.iter().position(names)
}

/// Distance up to which an unread header is taken for a misspelt column.
const NEAR_MISS: usize = 2;

/// Finds every wanted column among `headers`.
///
/// # Errors
/// A column that the pipeline file maps but the file lacks, or two of one name.
pub(crate) fn match_headers(
    file: &str,
    headers: Vec<String>,
    wanted: &[Wanted<'_>],
) -> Result<Matched, LoadError> {
    let mut matched = Matched {
        headers,
        ..Matched::default()
    };
    for column in wanted {
        if column.own == Some(OFF) {
            let place = (column.name == NOMINAL).then(|| nominal_by_words(&matched.headers));
            matched.positions.push(place.flatten());
            continue;
        }
        let header = column.own.unwrap_or(column.name);
        let position = find_noting(file, &mut matched, header)?;
        if let (None, Some(own)) = (position, column.own) {
            return Err(missing(file, &matched.headers, column, own));
        }
        matched.positions.push(position);
    }
    note_near_misses(&mut matched, wanted);
    Ok(matched)
}

/// The error for a needed column that is not there, naming the nearest header.
pub(crate) fn missing(
    file: &str,
    headers: &[String],
    column: &Wanted<'_>,
    header: &str,
) -> LoadError {
    let what = match column.own {
        Some(OFF) => format!("the column {} is needed, and is switched off", column.name),
        Some(_) => format!("no column \"{header}\" (mapped to {})", column.name),
        None => format!("no column \"{header}\""),
    };
    let mend = match headers {
        [only] => format!(
            "The header is one field, \"{}\": is the delimiter right? (delimiter)",
            shortened(only)
        ),
        _ if column.own.is_none()
            && let Some(said) = stated_by(column.name, headers) =>
        {
            format!(
                "\"{said}\" seems to say it: map it by {} = \"{said}\" under columns. Headers: {}.",
                column.name,
                listed(headers)
            )
        }
        _ if let Some(outcome) = stated_by(Column::InTolerance.name(), headers)
            && column.name == Column::AsFound.name() =>
        {
            format!(
                "\"{outcome}\" seems to say what was in tolerance: map it by in_tolerance = \"{outcome}\" under columns, or give it that name. Headers: {}.",
                listed(headers)
            )
        }
        _ => match nearest(header, headers.iter().map(String::as_str)) {
            Some(near) => format!(
                "The nearest header is \"{near}\": map it by {} = \"{near}\" under columns. Headers: {}.",
                column.name,
                listed(headers)
            ),
            None => format!("The headers are {}.", listed(headers)),
        },
    };
    let error = LoadError::new(file, what, mend);
    match column.own {
        Some(OFF) => error,
        _ => error.asking(COLUMNS),
    }
}

/// The setting that maps headers to columns.
pub(crate) const COLUMNS: &str = "columns";

/// The header that by its words states the column `name` of a check.
fn stated_by<'a>(name: &str, headers: &'a [String]) -> Option<&'a str> {
    let column = Column::ALL.into_iter().find(|c| c.name() == name)?;
    let named = |header: &&String| words(column).contains(&plain(header));
    headers.iter().find(named).map(String::as_str)
}

/// How alike two names are that may be one, by Jaro and Winkler: one letter in five differs.
const NEAR: f64 = 0.8;

/// The candidate nearest to `word`, where one is near at all.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl Iterator<Item = &'a str>,
) -> Option<&'a str> {
    let folded = fold(word);
    let bare = |text: &str| {
        text.chars()
            .filter(|c| c.is_alphanumeric())
            .collect::<String>()
    };
    // "G7" is "G-7" with the sign left out.
    let alike = |other: &str| match bare(&folded) == bare(other) {
        true => 1.0,
        false => strsim::jaro_winkler(&folded, other),
    };
    candidates
        .map(|c| (alike(&fold(c)), c))
        .filter(|(similarity, _)| *similarity > NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, candidate)| candidate)
}

/// Where a column stands among `headers`: by its very header, else by case and blanks.
pub(crate) fn find(headers: &[String], column: &Wanted<'_>) -> Option<usize> {
    let header = column.own.unwrap_or(column.name);
    let exact = || headers.iter().position(|h| h == header);
    let loose = || headers.iter().position(|h| fold(h) == fold(header));
    (column.own != Some(OFF))
        .then(|| exact().or_else(loose))
        .flatten()
}

/// The same, with what is to be said of it.
///
/// # Errors
/// Several columns of the name: which of them is meant, the file does not say.
fn find_noting(
    file: &str,
    matched: &mut Matched,
    header: &str,
) -> Result<Option<usize>, LoadError> {
    let headers = &matched.headers;
    let exact: Vec<usize> = places(headers, |h| h == header);
    let (found, how) = if exact.is_empty() {
        (places(headers, |h| fold(h) == fold(header)), "loose")
    } else {
        (exact, "exact")
    };
    let first = match found.as_slice() {
        [] => return Ok(None),
        [first] => *first,
        several => {
            return Err(LoadError::new(
                file,
                format!(
                    "{} columns are called \"{header}\", and which is meant the file does not say",
                    several.len()
                ),
                "Rename all but one of them in the file.",
            ));
        }
    };
    if how == "loose" {
        // By custom U is the expanded uncertainty, and u the standard one.
        let expanded = match header {
            "u" => ", a standard uncertainty (k = 1): if it is expanded, state coverage_factor",
            _ => "",
        };
        let note = format!(
            "column \"{}\" is read as {header}{expanded}",
            headers[first]
        );
        matched.notes.push(note);
    }
    Ok(Some(first))
}

fn places(headers: &[String], test: impl Fn(&str) -> bool) -> Vec<usize> {
    (0..headers.len()).filter(|&i| test(&headers[i])).collect()
}

/// Columns of the register that change what is decided, and that checks do not have.
pub(crate) const REGISTER_ONLY: [&str; 10] = [
    "cap_days",
    "floor_days",
    "last_calibration",
    "reliability_target",
    "cost",
    "cost_out_of_tolerance",
    "criticality",
    "role",
    "control_chart",
    "control_from",
];

fn note_near_misses(matched: &mut Matched, wanted: &[Wanted<'_>]) {
    let limits = |(column, place): (&Wanted<'_>, &Option<usize>)| {
        matches!(column.name, "lower" | "upper").then_some(place.is_none())
    };
    let unmapped: Vec<bool> = wanted
        .iter()
        .zip(&matched.positions)
        .filter_map(limits)
        .collect();
    let limits_missing = !unmapped.is_empty() && unmapped.iter().all(|missing| *missing);
    let checks = wanted.iter().any(|column| column.name == "as_found");
    let off = |header: &String| {
        let mut off = wanted.iter().filter(|column| column.own == Some(OFF));
        off.any(|column| fold(header) == column.name)
    };
    for (index, header) in matched.headers.iter().enumerate() {
        if matched.positions.contains(&Some(index)) || off(header) {
            continue;
        }
        let folded = fold(header);
        let of_register = |name: &&&str| folded == **name;
        if checks && let Some(name) = REGISTER_ONLY.iter().find(of_register) {
            matched.notes.push(format!(
                "column \"{header}\" is not read from checks: {name} belongs in the register, one row an instrument"
            ));
            continue;
        }
        if checks && let Some(column) = named_by_words(&folded, wanted, &matched.positions) {
            matched.notes.push(format!(
                "column \"{header}\" is not read; by its name it may be {column}: map it by {column} = \"{header}\" under columns, or give it that name"
            ));
            continue;
        }
        let near = wanted
            .iter()
            .zip(&matched.positions)
            .find(|(column, place)| {
                let limit = NEAR_MISS.min(column.name.len() / 3);
                place.is_none()
                    && column.own != Some(OFF)
                    && folded.len().abs_diff(column.name.len()) <= limit
                    && strsim::damerau_levenshtein(&folded, column.name) <= limit
            });
        if let Some((column, _)) = near {
            matched.notes.push(format!(
                "column \"{header}\" is not read; if it is {0}, map it by {0} = \"{header}\" under columns",
                column.name
            ));
        } else if limits_missing && means_tolerance(header) {
            matched.notes.push(format!(
                "column \"{header}\" is not read: state its limits in two columns, lower and upper, as errors (±5 is -5 and 5)"
            ));
        }
    }
}

/// The column that the words of an unread header name, where without it a failure or an adjustment is
/// not seen: whether it was in tolerance, what was done, what was left.
fn named_by_words(
    folded: &str,
    wanted: &[Wanted<'_>],
    places: &[Option<usize>],
) -> Option<&'static str> {
    let telling = [Column::InTolerance, Column::Event, Column::AsLeft];
    let absent = |column: &Column| {
        let mut all = wanted.iter().zip(places);
        all.any(|(other, place)| {
            other.name == column.name() && other.own.is_none() && place.is_none()
        })
    };
    let plain = plain(folded);
    let named = |column: &Column| words(*column).contains(&plain);
    let mut found = telling.into_iter().filter(absent);
    found.find(named).map(Column::name)
}

/// True where a header speaks of a tolerance in one number, which has no column of its own.
pub(crate) fn means_tolerance(header: &str) -> bool {
    let header = fold(header);
    let short = ["tol", "mpe", "emt", "fehlergrenze"];
    speaks_of(&header, "tolerance")
        || header
            .split(|c: char| !c.is_alphabetic())
            .any(|word| short.contains(&word))
}

fn fold(header: &str) -> String {
    header.trim().to_lowercase()
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

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(name: &'static str, own: Option<&'static str>) -> Wanted<'static> {
        Wanted { name, own }
    }

    fn headers(list: &[&str]) -> Vec<String> {
        list.iter().map(|h| h.to_string()).collect()
    }

    #[test]
    fn exact_wins_over_loose() {
        let file = headers(&["Date", "date ", "date"]);
        let matched = match_headers("f", file, &[wanted("date", None)]).unwrap();
        assert_eq!(matched.positions, [Some(2)]);
        assert!(matched.notes.is_empty());
    }

    #[test]
    fn loose_match_is_told() {
        let matched = match_headers("f", headers(&[" DATE"]), &[wanted("date", None)]).unwrap();
        assert_eq!(matched.positions, [Some(0)]);
        assert_eq!(matched.notes, ["column \" DATE\" is read as date"]);
    }

    #[test]
    fn missing_mapped_column_names_the_nearest() {
        let file = headers(&["Asset no", "When"]);
        let error = match_headers("f.csv", file, &[wanted("instrument", Some("Asset nr"))]);
        let text = error.unwrap_err().to_string();
        assert!(
            text.contains("Asset nr") && text.contains("nearest header is \"Asset no\""),
            "{text}"
        );
    }

    #[test]
    fn misspelt_optional_column_is_told() {
        let matched = match_headers("f", headers(&["uper"]), &[wanted("upper", None)]).unwrap();
        assert_eq!(matched.positions, [None]);
        assert!(matched.notes[0].contains("map it by upper = \"uper\""));
    }

    #[test]
    fn a_header_whose_words_name_an_outcome_is_told_with_its_name() {
        let file = || headers(&["as_found", "Outcome"]);
        let columns = [wanted("as_found", None), wanted("in_tolerance", None)];
        let matched = match_headers("f", file(), &columns).unwrap();
        assert_eq!(matched.notes.len(), 1, "{:?}", matched.notes);
        assert!(
            matched.notes[0].contains("in_tolerance = \"Outcome\""),
            "{:?}",
            matched.notes
        );
        let off = [wanted("as_found", None), wanted("in_tolerance", Some(OFF))];
        assert!(match_headers("f", file(), &off).unwrap().notes.is_empty());
    }

    #[test]
    fn what_belongs_in_the_register_is_told_where_it_stands_among_checks() {
        let file = || headers(&["as_found", "Criticality", "operator"]);
        let columns = [wanted("as_found", None), wanted("lower", Some("as_found"))];
        let matched = match_headers("f", file(), &columns).unwrap();
        assert_eq!(matched.notes.len(), 1, "{:?}", matched.notes);
        assert!(
            matched.notes[0]
                .starts_with("column \"Criticality\" is not read from checks: criticality")
        );
        let others = match_headers("f", file(), &[wanted("instrument", None)]).unwrap();
        assert!(others.notes.is_empty(), "{:?}", others.notes);
    }
}
