/*! A book: a CSV file that is only ever appended to, each line carrying the hash of the one before.

The last column is `previous_sha256`, the SHA-256 of the line before (its bytes without the line
end; for the first entry that of the header). An edited or removed line therefore breaks the chain
at the line after it. What was cut off at the end cannot be seen from the file alone: the
ledger of runs tells it. A line written by hand may leave the hash empty: it counts, and is told.
*/

mod no_entry;

pub(crate) use no_entry::{NoEntry, day};

use super::accounts::{LoadError, Warning};
use super::reading::plain_file::{self, LARGEST_MB};
use super::reading::source::sha256;
use std::io::ErrorKind;
use std::path::Path;

/// Name of the column that holds the hash of the line before.
pub(crate) const PREVIOUS: &str = "previous_sha256";

/// One entry of a book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Line of the file, the header being line 1.
    pub line: usize,
    /// Values in the order of the columns, without the hash.
    pub values: Vec<String>,
    /// False where the chain is broken at this line or at the one after it.
    pub relied: bool,
}

/// A book as read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Book {
    /// Every entry, in file order.
    pub entries: Vec<Entry>,
    /// What is to be said of its lines.
    pub warnings: Vec<Warning>,
}

/// The columns of a book with the hash behind them, as its header has them.
fn header(columns: &[&str]) -> String {
    format!("{},{PREVIOUS}", columns.join(","))
}

/// Lines without their ends, a mark of the byte order before the first left out.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    text.strip_prefix('\u{feff}').unwrap_or(text).lines()
}

/// The fields of one line; `None` where it is no line of a CSV file.
fn fields(line: &str) -> Option<Vec<String>> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(line.as_bytes());
    let record = reader.records().next()?.ok()?;
    Some(
        record
            .iter()
            .map(|field| field.trim().to_string())
            .collect(),
    )
}

/// Reads the book at `path`, where it is; one that is not there yet holds nothing. `mend` says
/// which setting names it.
///
/// # Errors
/// A file that cannot be read; as [`read`].
pub(crate) fn read_file(
    path: &Path,
    shown: &str,
    columns: &[&str],
    mend: &str,
) -> Result<Book, LoadError> {
    let text = match plain_file::read_text(path, LARGEST_MB) {
        Err(why) if why.kind() == ErrorKind::NotFound => String::new(),
        other => other.map_err(|why| LoadError::new(shown, why.to_string(), mend))?,
    };
    read(&text, shown, columns)
}

impl Book {
    /// Takes every entry that can be relied on, each with its place in the file `shown`, and hands the
    /// others to `leave`; all that is to be said of the book, an entry refused by `take` as "`what`
    /// does not count".
    pub(crate) fn taken<E: std::fmt::Display>(
        self,
        shown: &str,
        what: &str,
        mut take: impl FnMut(&Entry, &str) -> Result<(), E>,
        mut leave: impl FnMut(&Entry, &str),
    ) -> Vec<Warning> {
        let mut warnings = self.warnings;
        for entry in &self.entries {
            let place = format!("{shown}, line {}", entry.line);
            if !entry.relied {
                leave(entry, &place);
                continue;
            }
            if let Err(why) = take(entry, &place) {
                leave(entry, &place);
                let words = format!("{what} does not count: {why}");
                warnings.push(Warning::new(place, words));
            }
        }
        warnings
    }
}

/// How a line hangs on the one before.
#[derive(Clone, Copy)]
enum Link {
    /// It has other values than the columns: it is no entry.
    NoEntry,
    /// It has no hash.
    ByHand,
    /// By the hash of the line before.
    Whole,
    /// By another hash.
    Broken,
}

impl Link {
    fn of(hash: Option<&str>, before: &str) -> Self {
        match hash {
            None => Link::NoEntry,
            Some("") => Link::ByHand,
            Some(hash) if hash == before => Link::Whole,
            Some(_) => Link::Broken,
        }
    }

    /// What is to be said of a line that should have so many `values`.
    fn complaint(self, values: usize) -> Option<String> {
        match self {
            Link::Whole => None,
            Link::NoEntry => Some(format!(
                "it does not count: expected {values} values, separated by commas"
            )),
            Link::ByHand => Some(format!(
                "written by hand, without the hash of the line before ({PREVIOUS}); it counts"
            )),
            Link::Broken => Some(
                "the chain is broken: the line before was edited, one between was removed, or this \
                 hash was changed; neither this line nor the one before counts until the book stands as written"
                    .into(),
            ),
        }
    }
}

/// Reads the book `text` of the file `shown`.
///
/// # Errors
/// A header other than `columns` with the hash behind them.
pub(crate) fn read(text: &str, shown: &str, columns: &[&str]) -> Result<Book, LoadError> {
    let mut book = Book::default();
    let mut lines = lines(text);
    let Some(first) = lines.next() else {
        return Ok(book);
    };
    let expected = header(columns);
    if first.trim_end() != expected {
        return Err(LoadError::new(
            format!("{shown}, line 1"),
            format!("the header is \"{first}\""),
            format!(
                "expected \"{expected}\", separated by commas; where another program has saved the book, put it back from a copy"
            ),
        ));
    }
    let mut before = sha256(first.as_bytes());
    for (number, line) in lines.enumerate() {
        let line_number = number + 2;
        if line.trim().is_empty() {
            continue;
        }
        let given = fields(line).filter(|given| given.len() == columns.len() + 1);
        let mut values = given.unwrap_or_default();
        let hash = values.pop();
        let link = Link::of(hash.as_deref(), &before);
        if let Some(words) = link.complaint(columns.len() + 1) {
            let place = format!("{shown}, line {line_number}");
            book.warnings.push(Warning::new(place, words));
        }
        if let (Link::Broken, Some(last)) = (link, book.entries.last_mut()) {
            last.relied = false;
        }
        let relied = matches!(link, Link::Whole | Link::ByHand);
        before = sha256(line.as_bytes());
        if hash.is_some() {
            book.entries.push(Entry {
                line: line_number,
                values,
                relied,
            });
        }
    }
    Ok(book)
}

/// The book `text` with more entries behind it.
///
/// # Errors
/// A header other than the book's; a value of several lines.
pub(crate) fn with_entries(
    text: &str,
    shown: &str,
    columns: &[&str],
    entries: &[Vec<String>],
) -> Result<String, LoadError> {
    read(text, shown, columns)?;
    let refused = |what: String| LoadError::new(shown, what, "give it in one line");
    let mut whole = text.to_string();
    if whole.is_empty() {
        whole = header(columns);
    }
    if !whole.ends_with('\n') {
        whole.push('\n');
    }
    let before = lines(&whole).filter(|line| !line.trim().is_empty()).last();
    let mut hash = sha256(before.unwrap_or_default().as_bytes());
    for values in entries {
        if let Some(value) = values.iter().find(|value| value.contains(['\n', '\r'])) {
            return Err(refused(format!("\"{value}\" has several lines")));
        }
        let mut writer = csv::Writer::from_writer(Vec::new());
        let record = values.iter().map(String::as_str).chain([hash.as_str()]);
        let written = writer
            .write_record(record)
            .map_err(|why| refused(why.to_string()));
        written?;
        let bytes = writer
            .into_inner()
            .map_err(|why| refused(why.to_string()))?;
        let line = String::from_utf8_lossy(&bytes);
        hash = sha256(line.trim_end_matches('\n').as_bytes());
        whole += &line;
    }
    Ok(whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: [&str; 2] = ["name", "why"];

    fn more(text: &str, values: &[&str]) -> Result<String, LoadError> {
        let entry = values.iter().map(|value| value.to_string()).collect();
        with_entries(text, "book.csv", &COLUMNS, &[entry])
    }

    fn three() -> String {
        ["a", "b, c", "d"].iter().fold(String::new(), |text, name| {
            more(&text, &[name, "said \"so\""]).unwrap()
        })
    }

    #[test]
    fn entries_come_back_as_written() {
        let book = read(&three(), "book.csv", &COLUMNS).unwrap();
        assert_eq!(book.warnings, []);
        assert_eq!(book.entries.len(), 3);
        assert_eq!(book.entries[1].values, ["b, c", "said \"so\""]);
        assert!(book.entries.iter().all(|entry| entry.relied));
    }

    #[test]
    fn an_edited_or_removed_line_is_told() {
        let edited = three().replace("b, c", "b; c");
        let book = read(&edited, "book.csv", &COLUMNS).unwrap();
        assert_eq!(book.warnings.len(), 1);
        assert_eq!(book.warnings[0].source, "book.csv, line 4");
        let relied: Vec<bool> = book.entries.iter().map(|entry| entry.relied).collect();
        assert_eq!(relied, [true, false, false]);
        let text = three();
        let removed: Vec<&str> = text.lines().filter(|line| !line.contains("b, c")).collect();
        let book = read(&removed.join("\n"), "book.csv", &COLUMNS).unwrap();
        says!(book.warnings[0].words, "removed");
    }

    #[test]
    fn line_ends_of_another_system_break_nothing() {
        let text = three().replace('\n', "\r\n");
        let again = more(&text, &["e", ""]).unwrap();
        assert_eq!(read(&again, "book.csv", &COLUMNS).unwrap().warnings, []);
    }

    #[test]
    fn a_line_by_hand_counts_and_a_wrong_one_does_not() {
        let book = read(&(three() + "e,mine,\nf\n"), "book.csv", &COLUMNS).unwrap();
        assert_eq!(book.entries.len(), 4);
        assert!(book.entries[3].relied);
        says!(book.warnings[0].words, "by hand");
        says!(book.warnings[1].words, "expected 3 values");
    }

    #[test]
    fn another_header_is_refused() {
        assert!(read("name;why\n", "book.csv", &COLUMNS).is_err());
        assert!(more("x", &["a", "b"]).is_err());
        assert!(more("", &["a\nb", "b"]).is_err());
    }
}
