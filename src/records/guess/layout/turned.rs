/*! Tables that are turned: facts from above to below, and one column a check (`Date | 2021-04-14 | 2022-04-20`). */

use crate::records::cells::column::Column;
use crate::records::guess::dates::looks_like_date;
use crate::records::guess::doubt::Doubt;
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::words::words;

/// Rows among which dates from left to right are looked for.
const SEARCHED: usize = 60;

/// Fewest dates that show it.
const FEWEST: usize = 2;

/// The first row of a text that states dates from left to right behind a word for them: its number and those dates.
pub(crate) fn dates_in_a_row(text: &str) -> Option<(usize, Vec<String>)> {
    let mut rows = text.lines().take(SEARCHED).enumerate();
    rows.find_map(|(row, line)| {
        [';', '\t', '|', ','].into_iter().find_map(|delimiter| {
            let mut cells = line
                .split(delimiter)
                .map(|cell| cell.trim().trim_matches('"'));
            let first = folded(cells.next()?);
            let filled: Vec<&str> = cells.filter(|cell| !cell.is_empty()).collect();
            let dates = filled.len() >= FEWEST && filled.iter().all(|cell| looks_like_date(cell));
            let named = words(Column::Date).contains(&first);
            let dates = (named && dates).then(|| filled.into_iter().map(String::from));
            Some((row + 1, dates?.collect()))
        })
    })
}

/// Says that a table without a column of dates seems to be turned.
pub(crate) fn about_turned(guess: &mut Guess, (row, dates): &(usize, Vec<String>)) {
    if !guess.missing().contains(&Column::Date) {
        return;
    }
    let shown: Vec<&str> = dates.iter().take(FEWEST).map(String::as_str).collect();
    let words = format!(
        "Row {row} states dates from left to right ({}, …): the table seems to be turned, with one column a check. Turn it (a spreadsheet transposes it), so that each check is a row and each fact a column; of several blocks each in its own file or sheet.",
        shown.join(", ")
    );
    guess.doubts.push(Doubt::new("table_turned", words));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_from_left_to_right_are_found_by_any_delimiter() {
        let text = "Micrometer;MIC-1;;\nDate;14.04.2021;20.04.2022;\nError;1,2;1,4;\n";
        let (row, dates) = dates_in_a_row(text).unwrap();
        assert_eq!((row, dates.len()), (2, 2));
        for other in [
            "Item;Date;Error\nG-1;2021-04-14;1\n",
            "Date;Error\n2021-04-14;1\n2022-04-14;1\n",
            "",
        ] {
            assert_eq!(dates_in_a_row(other), None, "{other}");
        }
    }
}
