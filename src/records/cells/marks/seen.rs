/*! What the cells of a file say together of points and commas. */

use super::ColumnMarks;
use super::cell::*;
use crate::records::cells::column::{COLUMN_COUNT, Column};

/// What the cells of one column say together.
#[derive(Debug, Clone, Default)]
pub(super) struct Cells {
    bits: Bits,
    /// The first cell of each bit that may have to be shown: row and text.
    shown: Vec<(Bits, u32, String)>,
}

impl Cells {
    fn add(&mut self, bits: Bits, row: u32, text: &str) {
        let new = bits & !self.bits;
        if new & !(THREE_DIGITS | MORE_DIGITS) != 0 {
            self.shown.push((new, row, text.trim().to_string()));
        }
        self.bits |= bits;
    }

    pub(super) fn has(&self, bits: Bits) -> bool {
        self.bits & bits != 0
    }

    /// The decimal sign that the cells show for certain; `None` where none does, or both.
    pub(super) fn decimal_comma(&self) -> Option<bool> {
        let (point, comma) = (
            self.has(POINT_IS_DECIMAL | COMMA_GROUPS),
            self.has(COMMA_IS_DECIMAL | POINT_GROUPS),
        );
        (point != comma).then_some(comma)
    }

    /// True where the mark that is not the decimal sign groups thousands.
    pub(super) fn groups(&self, comma: bool) -> bool {
        match comma {
            true => self.has(POINT_GROUPS) && !self.has(POINT_IS_DECIMAL),
            false => self.has(COMMA_GROUPS) && !self.has(COMMA_IS_DECIMAL),
        }
    }

    /// The first cell that says one of `bits`, with its row.
    pub(super) fn example(&self, bits: Bits) -> (u32, &str) {
        let found = self.shown.iter().find(|(said, ..)| said & bits != 0);
        found.map_or((0, ""), |(_, row, text)| (*row, text))
    }
}

/// What the number columns of a batch or a file say.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    pub(super) columns: Vec<Cells>,
}

/// Columns of numbers.
const NUMBERS: [Column; 14] = [
    Column::AsFound,
    Column::AsLeft,
    Column::Nominal,
    Column::U,
    Column::UCommon,
    Column::Lower,
    Column::Upper,
    Column::Usage,
    Column::Tolerance,
    Column::Range,
    Column::Assigned,
    Column::UAssigned,
    Column::CoverageFactor,
    Column::IntervalDays,
];

impl Default for Seen {
    fn default() -> Self {
        Self {
            columns: vec![Cells::default(); COLUMN_COUNT],
        }
    }
}

impl Seen {
    /// Notes the cells of a row, whose texts `text` gives. A column that has shown that its
    /// decimal sign is the one it is read by is not looked at again, but where a row is `unread`.
    pub(crate) fn note<'a>(
        &mut self,
        text: impl Fn(Column) -> Option<&'a str>,
        row: u32,
        marks: &ColumnMarks,
        unread: bool,
    ) {
        for column in NUMBERS {
            let decimal = match marks[column.index()].comma {
                true => COMMA_IS_DECIMAL,
                false => POINT_IS_DECIMAL,
            };
            let cells = &mut self.columns[column.index()];
            if !unread && cells.has(decimal) {
                continue;
            }
            // Shorter cells say nothing, and are the most frequent ones.
            if let Some(text) = text(column).filter(|text| text.len() >= SHORTEST) {
                cells.add(bits(text), row, text);
            }
        }
    }

    /// Notes the texts of a row that repeat what was found.
    pub(crate) fn note_repeats<'a>(&mut self, texts: impl Iterator<Item = &'a str>, row: u32) {
        for text in texts {
            self.columns[Column::AsFound.index()].add(bits(text), row, text);
        }
    }

    /// Gives the rows of the cells that are shown other numbers.
    pub(crate) fn renumber(&mut self, number: impl Fn(&mut u32)) {
        for (_, row, _) in self.columns.iter_mut().flat_map(|cells| &mut cells.shown) {
            number(row);
        }
    }

    /// Adds what another part of the file says, which stands below `first_row` of its rows.
    pub(crate) fn join(&mut self, part: &Seen, first_row: u32) {
        for (cells, own) in self.columns.iter_mut().zip(&part.columns) {
            for (bits, row, text) in &own.shown {
                cells.add(*bits, first_row + row, text);
            }
            cells.bits |= own.bits;
        }
    }

    /// What the cells of a table's columns say; `cells` gives column, row and text.
    pub(crate) fn of_cells<'a>(
        columns: usize,
        cells: impl Iterator<Item = (usize, u32, &'a str)>,
    ) -> Self {
        let mut all = Self {
            columns: vec![Cells::default(); columns],
        };
        for (column, row, text) in cells {
            all.columns[column].add(bits(text), row, text);
        }
        all
    }

    /// True where some cell has one mark before exactly three digits.
    pub(crate) fn leaves_open(&self) -> bool {
        self.any(POINT_OPEN | COMMA_OPEN)
    }

    pub(super) fn any(&self, bits: Bits) -> bool {
        self.columns.iter().any(|cells| cells.has(bits))
    }

    /// The decimal sign that the cells show for certain; `None` where none does, or both.
    pub(crate) fn decimal_comma(&self) -> Option<bool> {
        let (point, comma) = (
            self.any(POINT_IS_DECIMAL | COMMA_GROUPS),
            self.any(COMMA_IS_DECIMAL | POINT_GROUPS),
        );
        (point != comma).then_some(comma)
    }
}
