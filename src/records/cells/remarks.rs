/*! Rows that speak of an adjustment or the like in a column of remarks that is not read: the values after one mean
something else, and nothing else in the row may say so. */

use super::row::said::speaks_of_event;

/// Name of the doubt of `start` whether remarks tell of events.
pub(crate) const EVENTS_IN_REMARKS: &str = "events_in_remarks";

/// Longest text that is shown, characters.
const SHOWN: usize = 60;

/// What the remarks of some rows speak of.
#[derive(Debug, Default)]
pub(crate) struct Remarks {
    /// Numbers inside the batch, from 1, of the rows that speak of an event.
    pub rows: Vec<u32>,
    /// What the first of them says.
    pub first: Option<Remark>,
}

/// A remark that speaks of an event.
#[derive(Debug)]
pub(crate) struct Remark {
    /// Place of its column in the file.
    pub place: usize,
    /// What it says.
    pub text: String,
}

impl Remarks {
    /// Takes in the `text` of the column at `place` in a row.
    pub(crate) fn see(&mut self, row: u32, place: usize, text: &str) {
        let text = text.trim();
        if speaks_of_event(text) {
            self.rows.push(row);
            self.first.get_or_insert_with(|| Remark {
                place,
                text: text.chars().take(SHOWN).collect(),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn remarks_that_speak_of_events_are_counted_and_the_first_is_kept() {
        let mut remarks = Remarks::default();
        let texts = ["", "ok", " justiert ", "display dirty", "justiert"];
        for (row, text) in texts.iter().enumerate() {
            remarks.see(row as u32 + 1, 2, text);
        }
        let first = remarks.first.unwrap();
        assert_eq!((remarks.rows, first.place), (vec![3, 5], 2));
        assert_eq!(first.text, "justiert");
    }
}
