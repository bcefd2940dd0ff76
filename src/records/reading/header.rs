/*! From the headers of a file to our columns: exact, then by case and blanks, never by guess. */

pub(crate) mod above;
pub(crate) mod checks;
pub(crate) mod find_table;
mod matched;
mod missing;
pub(crate) mod named_columns;
pub(crate) mod near_misses;
pub(crate) mod own;
mod table_above;
mod two_rows;
pub(crate) mod units_row;

use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::words::{before_bracket, plain, words};
use matched::fold;
pub(crate) use matched::{Matched, Note, Wanted};
pub(crate) use missing::{COLUMNS, missing};
use near_misses::note_near_misses;
use own::OFF;

/// The column that tells points apart even where it is switched off.
const NOMINAL: &str = "nominal";

/// Where the column of nominal values stands, by the usual words.
fn nominal_by_words(headers: &[String]) -> Option<usize> {
    let names = |header: &String| words(Column::Nominal).contains(&plain(before_bracket(header)));
    headers.iter().position(names)
}

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
            return Err(missing(file, &matched.headers, (column, own), wanted));
        }
        matched.positions.push(position);
    }
    note_near_misses(&mut matched, wanted);
    Ok(matched)
}

/// Where the column stands whose header a setting states; a blank one names none, not even a column without a header.
pub(crate) fn place_of(headers: &[String], own: &str) -> Option<usize> {
    let own = own.trim();
    let same = |header: &String| !own.is_empty() && header.trim().eq_ignore_ascii_case(own);
    headers.iter().position(same)
}

/// Where the columns stand whose headers a setting states, in its order.
pub(crate) fn places_of<'a>(
    headers: &'a [String],
    stated: &'a [String],
) -> impl Iterator<Item = usize> + 'a {
    stated.iter().filter_map(|own| place_of(headers, own))
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
                mend_of_repeats(headers, several),
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
        matched.note(note);
    }
    Ok(Some(first))
}

fn places(headers: &[String], test: impl Fn(&str) -> bool) -> Vec<usize> {
    (0..headers.len()).filter(|&i| test(&headers[i])).collect()
}

/// What to do about columns at `places` that are called alike: where their neighbours are too, two tables stand side by
/// side.
fn mend_of_repeats(headers: &[String], places: &[usize]) -> &'static str {
    let behind = |place: usize| {
        headers
            .get(place + 1)
            .filter(|header| !header.trim().is_empty())
    };
    let alike = match places {
        [first, second, ..] => behind(*first).is_some() && behind(*first) == behind(*second),
        _ => false,
    };
    match alike {
        true => {
            "Tables of several instruments seem to stand side by side: put each into a file or a sheet that has the name of its instrument (instrument_from = \"file\" or \"sheet\"), or rename all but one of the columns."
        }
        false => "Rename all but one of them in the file.",
    }
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
    fn a_tolerance_in_the_place_of_a_header_is_told_where_it_stands() {
        let headers = headers(&["Item", "Error"]);
        let column = wanted("tolerance", Some("±5 mK"));
        let why = match_headers("a.csv", headers, &[column]).unwrap_err();
        let mend = "tolerance = \"±5 mK\" under [register]";
        assert!(why.mend.contains(mend), "{}", why.mend);
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
        let told: Vec<&str> = matched
            .notes
            .iter()
            .map(|note| note.words.as_str())
            .collect();
        assert_eq!(told, ["column \" DATE\" is read as date"]);
        assert!(!matched.is_told(0));
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
        says!(matched.notes[0].words, "map it by upper = \"uper\"");
    }

    #[test]
    fn a_header_whose_words_name_an_outcome_is_told_with_its_name() {
        let file = || headers(&["as_found", "Outcome"]);
        let columns = [wanted("as_found", None), wanted("in_tolerance", None)];
        let matched = match_headers("f", file(), &columns).unwrap();
        assert_eq!(matched.notes.len(), 1, "{:?}", matched.notes);
        says!(matched.notes[0].words, "in_tolerance = \"Outcome\"");
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
                .words
                .starts_with("column \"Criticality\" is not read from checks: criticality")
        );
        let others = match_headers("f", file(), &[wanted("instrument", None)]).unwrap();
        assert!(others.notes.is_empty(), "{:?}", others.notes);
    }
}
