/*! Rows of a table that are no records: what sums others up, notes, footers, the header again.

Only a row that cannot be used is looked at, and one that speaks of a failure or an event
stays among the rejected ones: what is set aside must not be able to be a check.
*/

use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::words::{before_bracket, plain, summary_names, summary_words, words};

/// What a row is that is no record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Aside {
    /// The header once more, as printed pages repeat it.
    Header,
    /// Sums others up.
    Summary,
    /// A remark, a heading, a footer.
    Note,
    /// The header of another table.
    OtherTable,
}

impl Aside {
    /// In words, of so many rows.
    pub(crate) fn words(self, rows: usize) -> &'static str {
        match (self, rows) {
            (Aside::Header, 1) => "1 row repeats the header",
            (Aside::Header, _) => "rows repeat the header",
            (Aside::Summary, 1) => "1 row sums others up",
            (Aside::Summary, _) => "rows sum others up",
            (Aside::Note, 1) => "1 row is a note or a heading",
            (Aside::Note, _) => "rows are notes or headings",
            (Aside::OtherTable, 1) => "1 row is the header of another table",
            (Aside::OtherTable, _) => "rows are headers of other tables",
        }
    }
}

/// What a row that cannot be used is, where it is no record; `speaks` where it speaks of a
/// failure or an event, `is_date` tells the text of a date.
pub(crate) fn aside(
    fields: &[&str],
    headers: &[String],
    speaks: bool,
    is_date: impl Fn(&str) -> bool,
) -> Option<Aside> {
    let filled: Vec<&str> = fields
        .iter()
        .map(|f| f.trim())
        .filter(|f| !f.is_empty())
        .collect();
    // Of a header in two rows, one row is the beginning or the end.
    let part = |(field, header): (&&str, &String)| {
        let (field, header) = (field.trim(), header.trim());
        field.is_empty() || header.starts_with(field) || header.ends_with(field)
    };
    let repeats =
        fields.len() <= headers.len() && filled.len() > 1 && fields.iter().zip(headers).all(part);
    if repeats {
        return Some(Aside::Header);
    }
    if heads_another(&filled, headers) {
        return Some(Aside::OtherTable);
    }
    let first = *filled.first()?;
    if filled.iter().all(|field| is_rule(field)) {
        return Some(Aside::Note);
    }
    if filled.len() == 1 && headers.len() > 2 && is_remark(first, speaks) {
        return Some(Aside::Note);
    }
    if speaks || filled.iter().any(|field| is_date(field)) {
        return None;
    }
    let sums = |field: &&str| summary_words().contains(&plain(field));
    match filled.iter().any(sums) || begins_as_summary(&plain(first)) {
        true => Some(Aside::Summary),
        false => first.ends_with(':').then_some(Aside::Note),
    }
}

/// Columns by whose words a header is told from a record.
const TELLING: [Column; 9] = [
    Column::Instrument,
    Column::Point,
    Column::Date,
    Column::AsFound,
    Column::AsLeft,
    Column::Nominal,
    Column::U,
    Column::Lower,
    Column::Upper,
];

/// True for the header of another table: words alone, one of them for the date and one more that
/// this header has too or that names a column.
pub(super) fn heads_another(filled: &[&str], headers: &[String]) -> bool {
    let is_word = |field: &&str| field.chars().any(char::is_alphabetic);
    if filled.len() < 3 || !filled.iter().all(is_word) {
        return false;
    }
    let named = |field: &str, column: Column| words(column).contains(&plain(before_bracket(field)));
    let own = |field: &str| headers.iter().any(|header| header.trim() == field);
    let telling = |field: &&&str| own(field) || TELLING.iter().any(|column| named(field, *column));
    let dated = filled.iter().any(|field| named(field, Column::Date));
    dated && filled.iter().filter(telling).count() > 1
}

/// True for a line drawn of signs, `-----+-----`, as programs set it below a header.
fn is_rule(text: &str) -> bool {
    text.len() > 2 && text.chars().all(|c| "-+=_|─═".contains(c))
}

/// True for a lone text that names no item: words, or one word without a digit.
fn is_remark(text: &str, speaks: bool) -> bool {
    let words = text.split_whitespace().count() > 1;
    match has_digit(text) {
        true => words && !speaks,
        false => text.chars().any(char::is_alphabetic),
    }
}

/// True for the name of an item that a row which sums others up has in its place: "average",
/// "Mean V8", "s".
pub(crate) fn names_a_sum(name: &str) -> bool {
    let name = name.trim().trim_end_matches([':', '.']);
    // Most names are one word with a number, which no word of the lists is.
    if has_digit(name) && !name.contains(char::is_whitespace) {
        return false;
    }
    let plain = plain(name);
    let is = |words: &[String]| words.contains(&plain);
    is(summary_words()) || is(summary_names()) || begins_as_summary(&plain)
}

/// True for "Total 12" and "Mean of 2020:", as words are compared.
fn begins_as_summary(text: &str) -> bool {
    let begins = |word: &String| {
        text.strip_prefix(word.as_str())
            .is_some_and(|r| r.starts_with(' '))
    };
    summary_words().iter().any(begins)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_word_for_a_sum_has_a_digit() {
        let mut words = summary_words().iter().chain(summary_names());
        assert!(words.all(|word| !word.contains(|c: char| c.is_ascii_digit())));
    }

    #[test]
    fn names_of_sums_are_told() {
        for name in [
            "Mean V8",
            "average",
            "s",
            "Std dev",
            "Std. Dev.",
            "MW",
            "Max",
            "Ø",
            "平均",
        ] {
            assert!(names_a_sum(name), "{name}");
        }
        for name in ["V8", "S-1", "s 12", "Max 3", "Meander 2", "Sumo", ""] {
            assert!(!names_a_sum(name), "{name}");
        }
    }

    #[test]
    fn what_is_no_record_is_told_from_what_may_be_one() {
        let headers: Vec<String> = ["id", "date", "error"].map(String::from).to_vec();
        let reason = |fields: &[&str], speaks: bool| {
            aside(fields, &headers, speaks, |text| {
                text.starts_with("20") && text.len() == 10
            })
        };
        let (header, summary, note) =
            (Some(Aside::Header), Some(Aside::Summary), Some(Aside::Note));
        for (fields, expected) in [
            (&["id", "date", "error"][..], header),
            (&["Total", "", "12"], summary),
            (&["", "Mittelwert", "0.3"], summary),
            (&["Sum of 2020:", "", "0.3"], summary),
            (&["Thermometers", "", ""], note),
            (&["Printed on 3 May"], note),
            (&["Checked by:", "A. Person", ""], note),
            (&["-----+------+------"], note),
            (&["------", "-----", "====="], note),
            (&["R-7", "---", "---"], None),
            (&["R-7", "", ""], None),
            (&["R-7", "", "0.3"], None),
            (&["Total", "2020-01-01", "x"], None),
            (&["Means 5", "", "0.3"], None),
            (&["id", "date", "correction (mV)"], Some(Aside::OtherTable)),
            (
                &["Asset", "Checked on", "Date", "Remark"],
                Some(Aside::OtherTable),
            ),
            (&["id", "soon", "error"], None),
            (&["R-7", "date", "unreadable"], None),
        ] {
            assert_eq!(reason(fields, false), expected, "{fields:?}");
        }
        assert_eq!(reason(&["Mean", "", "FAIL"], true), None);
        assert_eq!(reason(&["FAIL is out of tolerance"], true), note);
        assert_eq!(reason(&["R-1;2020-01-01;FAIL"], true), None);
    }
}
