/*! A table of checks above the one that is read: its rows are records, and no titles. */

use super::above::{Above, as_text};
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::reading::aside::heads_another;
use crate::records::words::{before_bracket, plain, words};

/// Columns of which a table of checks has one.
const FINDINGS: [Column; 3] = [Column::AsFound, Column::AsLeft, Column::InTolerance];

/// Cells with a digit that a row of checks has at least: its date and what was found.
const CELLS_WITH_DIGITS: usize = 2;

/// Refuses a table above which another one with a date, a finding and rows of its own stands: by set-aside rows,
/// checks would be lost.
///
/// # Errors
/// The first such header.
pub(super) fn refuse(shown: &str, above: &[Above], header: &[String]) -> Result<(), LoadError> {
    let Some(place) = above.iter().position(|row| heads_checks(row, header)) else {
        return Ok(());
    };
    let (upper, width) = (&above[place], above[place].1.len());
    if !above[place + 1..].iter().any(|row| is_record(row, width)) {
        return Ok(());
    }
    let what = format!(
        "row {} heads a table of its own (\"{}\"), which the header that is read stands below: its rows would be left out",
        upper.0,
        as_text(upper)
    );
    let mend = "Put each table into a file or a sheet of its own; of rows that were added to a file of checks, take the second header out and give them its columns.";
    Err(LoadError::new(shown, what, mend))
}

/// True for words alone, one of which names the date of checks and another what they found.
fn heads_checks((_, cells): &Above, header: &[String]) -> bool {
    let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
    let finds = |cell: &&str| {
        let name = plain(before_bracket(cell));
        FINDINGS.iter().any(|column| words(*column).contains(&name))
    };
    heads_another(&cells, header) && cells.iter().any(finds)
}

/// True for a row about as wide as its header, with numbers in it.
fn is_record((_, cells): &Above, width: usize) -> bool {
    let numbers = cells.iter().filter(|cell| has_digit(cell)).count();
    cells.len() * 2 > width && numbers >= CELLS_WITH_DIGITS
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: u32, cells: &[&str]) -> Above {
        (number, cells.iter().map(|cell| cell.to_string()).collect())
    }

    #[test]
    fn checks_above_the_header_are_told_from_titles() {
        let header: Vec<String> = ["instrument", "date", "as_found", "u"]
            .map(String::from)
            .into();
        let upper = row(1, &["instrument", "date", "error", "U"]);
        let check = row(2, &["MS-1", "2024-05-01", "0.21", "0.03"]);
        let why = refuse("f", &[upper.clone(), check], &header).unwrap_err();
        says!(why.to_string(), "row 1 heads a table of its own");
        let titles = [
            vec![row(1, &["Log 2024", "room 12"])],
            vec![
                row(1, &["Instrument", "Date of issue", "Certificate"]),
                row(2, &["MS-1", "2024-05-01", "C-17"]),
            ],
            // The upper row of a header in two rows heads nothing of its own.
            vec![upper],
        ];
        for above in titles {
            assert_eq!(refuse("f", &above, &header), Ok(()), "{above:?}");
        }
    }
}
