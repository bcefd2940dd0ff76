/*! A column that tells rows as left from rows as found: what was left is no check of its own. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::records::words::{plain, row_words, words};
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// Reads rows as left as what they are, where a column that is not read has words for such rows and for rows as
/// found alone; asks where it has others too ("Left" and "Right" are sides).
pub(crate) fn about_rows_as_left(samples: &[Sample], guess: &mut Guess) {
    // Rows that state limits and uncertainties beside are asked about as such.
    if guess.asks("rows_of_columns") {
        return;
    }
    let known = |text: &str, column| {
        let plain = plain(text);
        row_words(column).any(|word| *word == plain)
    };
    let telling = |text: &str| words(Column::AsLeft).contains(&plain(text));
    let unread = guess.not_read(samples);
    let found = unread.into_iter().find_map(|sample| {
        let all = sample.counted().map(|(text, _)| text);
        let (left, others): (BTreeSet<&str>, BTreeSet<&str>) =
            all.partition(|text| known(text, Column::AsLeft));
        let left: Vec<String> = left.into_iter().map(String::from).collect();
        let sure = !others.is_empty() && others.iter().all(|w| known(w, Column::AsFound));
        let speaks = left.iter().any(|word| telling(word)) || sure;
        (!left.is_empty() && speaks).then(|| (sample.header.clone(), left, sure))
    });
    let Some((header, left, sure)) = found else {
        return;
    };
    let listed = quoted_list(&left);
    let answer = Answer::LeftRows(header.clone(), left);
    if sure {
        guess.take(&answer);
        guess.to_check.push(format!(
            "\"{header}\" tells rows as left ({listed}) from rows as found: what a row as left states was left at the row as found before it (left_rows_by)."
        ));
        return;
    }
    let words = format!(
        "\"{header}\" is not read and may tell rows as left ({listed}) from rows as found, and each row is read as a check as found."
    );
    let doubt = Doubt::new("left_in_rows", words)
        .or("every row is a check as found", Answer::AsTaken)
        .or(
            "such rows state what was left at the row as found before",
            answer,
        );
    guess.doubts.push(doubt);
}
