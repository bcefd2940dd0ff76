/*! Columns that say of some rows that they do not count: void, cancelled, superseded. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::records::words::{plain, void_words};
use crate::words::{agreeing, count, quoted_list};

/// Bytes up to which a cell may be such a mark: a longer text is a remark.
const LONGEST: usize = 40;
/// Words of a column that are shown.
const SHOWN: usize = 3;

/// Asks about a column that is not read and says of some rows, not of all, that they do not count: no setting leaves
/// them out, and their readings are taken like the others.
pub(crate) fn about_void_rows(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let void = |text: &str| {
        text.len() <= LONGEST && {
            let plain = plain(text);
            let begins = |word: &String| {
                let rest = plain.strip_prefix(word.as_str());
                rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
            };
            void_words().iter().any(begins)
        }
    };
    let all = guess.sample(samples, Column::Date);
    let all = all.map_or(0, |dates| dates.values().count());
    let found = guess.not_read(samples).into_iter().find_map(|sample| {
        let own: Vec<(&str, usize)> = sample.counted().filter(|(text, _)| void(text)).collect();
        let rows: usize = own.iter().map(|(_, count)| count).sum();
        (rows > 0 && rows < all).then_some((sample, own, rows))
    });
    let (sample, own, rows) = found?;
    let texts: Vec<&str> = own.iter().map(|(text, _)| *text).collect();
    let words = format!(
        "\"{}\" is not read and says of {} that {} not count ({}), and {} taken like the others: take {} out of the file.",
        sample.header,
        count(rows, "row"),
        agreeing(rows, "it does", "they do"),
        quoted_list(texts.iter().take(SHOWN)),
        agreeing(rows, "its reading is", "their readings are"),
        agreeing(rows, "it", "them"),
    );
    let doubt = Doubt::new("void_rows", words);
    Some(doubt.or("their readings count all the same", Answer::AsTaken))
}
