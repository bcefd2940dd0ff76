/*! The rows of a table as one text: of three fields each, a row takes 40 bytes beside its letters,
where a record of its own takes over 200. */

use csv::StringRecord;

/// Rows of any width, each with its number in the file.
#[derive(Default)]
pub(crate) struct TextRows {
    text: String,
    /// Where each field ends in the text.
    ends: Vec<usize>,
    /// Number of each row, and its first field.
    rows: Vec<(u32, usize)>,
}

impl TextRows {
    pub(crate) fn push(&mut self, number: u32, record: &StringRecord) {
        self.rows.push((number, self.ends.len()));
        for field in record {
            self.text.push_str(field);
            self.ends.push(self.text.len());
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Number of the row with this index, as a spreadsheet shows it.
    pub(crate) fn number(&self, row: usize) -> u32 {
        self.rows[row].0
    }

    /// The field of a row at this place; `None` behind its last.
    pub(crate) fn field(&self, row: usize, place: usize) -> Option<&str> {
        let next = self.rows.get(row + 1);
        let behind = next.map_or(self.ends.len(), |(_, first)| *first);
        let at = self.rows[row].1 + place;
        (at < behind).then(|| {
            let start = at.checked_sub(1).map_or(0, |before| self.ends[before]);
            &self.text[start..self.ends[at]]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_those_of_the_records() {
        let records = [vec!["a", "", "°C"], vec![], vec!["b"], vec!["", "c"]];
        let mut rows = TextRows::default();
        for (number, record) in (7..).zip(&records) {
            rows.push(number, &StringRecord::from(record.clone()));
        }
        assert_eq!(rows.len(), records.len());
        for (row, record) in records.iter().enumerate() {
            assert_eq!(rows.number(row), 7 + row as u32);
            for place in 0..4 {
                assert_eq!(rows.field(row, place), record.get(place).copied());
            }
        }
    }
}
