/*! The filled cells of one sheet, and the text that is made of them. */

use super::cell_places::Places;
use super::value::Value;
use crate::records::cells::marks::Seen;
use crate::records::reading::csv::quoted::push_field;
use calamine::Dimensions;

/// A filled cell: its place, and its text in the store.
#[derive(Debug, Clone, Copy)]
struct Cell {
    row: u32,
    column: u32,
    start: usize,
    end: usize,
}

/// The filled cells of a sheet, bounded.
#[derive(Default)]
pub(super) struct Grid {
    cells: Vec<Cell>,
    store: String,
    /// Most bytes of all.
    most: usize,
    /// Errors such as #N/A: the first places, and how many.
    errors: Places,
    /// Formulas without a stored result.
    uncalculated: Places,
    /// Filled cells whose text is struck out.
    struck: Places,
    texts: Texts,
}

/// What the numbers that are stored as text say of points and commas.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Texts {
    /// True where some number has a decimal comma for certain.
    pub commas: bool,
    /// True where some number has a decimal point for certain.
    pub points: bool,
    /// True where some number may be decimals or thousands.
    pub open: bool,
}

impl Texts {
    fn note(&mut self, text: &str) {
        /// Longest text that is looked at, bytes.
        const LONGEST: usize = 24;
        let text = text.trim();
        if text.len() > LONGEST || !text.contains(['.', ',']) {
            return;
        }
        let seen = Seen::of_cells(1, std::iter::once((0, 0, text)));
        match seen.decimal_comma() {
            Some(true) => self.commas = true,
            Some(false) => self.points = true,
            None => self.open |= seen.leaves_open(),
        }
    }
}

/// What stands in the text for an error of any kind, and for a formula without a stored result: no number and no word, but not as if the cell were empty, which a
/// limit that is open on one side is.
const ERROR: &str = "#N/A";

/// The cells take more room than may be used.
pub(super) struct TooLarge;

impl Grid {
    /// An empty grid of at most so many bytes.
    pub(crate) fn new(most: usize) -> Self {
        Self {
            most,
            ..Self::default()
        }
    }

    /// Adds a cell.
    pub(crate) fn add(&mut self, row: u32, column: u32, value: Value<'_>) -> Result<(), TooLarge> {
        match value {
            Value::Nothing => Ok(()),
            Value::Error(error) => {
                self.errors.add(row, column, &error);
                self.push_text(row, column, ERROR)
            }
            Value::Text(text) => self.push_text(row, column, &text),
        }
    }

    fn push_text(&mut self, row: u32, column: u32, text: &str) -> Result<(), TooLarge> {
        let start = self.store.len();
        self.store.push_str(text);
        let end = self.store.len();
        self.push(Cell {
            row,
            column,
            start,
            end,
        })
    }

    /// Looks at a text for a number that is stored as such.
    pub(crate) fn note_text(&mut self, text: &str) {
        self.texts.note(text);
    }

    /// Adds a formula whose result is not stored: what it would give is as little known as an error's.
    pub(crate) fn add_uncalculated(&mut self, row: u32, column: u32) -> Result<(), TooLarge> {
        self.uncalculated.add(row, column, "");
        self.push_text(row, column, ERROR)
    }

    /// Notes a filled cell whose text is struck out.
    pub(crate) fn add_struck(&mut self, row: u32, column: u32) {
        self.struck.add(row, column, "");
    }

    fn push(&mut self, cell: Cell) -> Result<(), TooLarge> {
        self.cells.push(cell);
        let room = self.store.len() + self.cells.len() * size_of::<Cell>();
        if room > self.most {
            Err(TooLarge)
        } else {
            Ok(())
        }
    }

    /// Puts the cells in order, and repeats what stands in a cell merged over several rows in
    /// each of those rows that has any cell.
    pub(crate) fn settle(&mut self, merged: &[Dimensions]) -> Result<(), TooLarge> {
        let place = |cell: &Cell| (cell.row, cell.column);
        self.cells.sort_by_key(place);
        // Where a cell is stated twice, the last one counts, as it does in a spreadsheet.
        self.cells.reverse();
        self.cells.dedup_by_key(|cell| place(cell));
        self.cells.reverse();
        self.leave_out_rows_of_errors();
        let before = self.cells.len();
        for region in merged.iter().filter(|region| region.end.0 > region.start.0) {
            let cells = &self.cells[..before];
            let Ok(top) = cells.binary_search_by_key(&region.start, place) else {
                continue;
            };
            let top = cells[top];
            let from = cells.partition_point(|cell| cell.row <= top.row);
            let to = cells.partition_point(|cell| cell.row <= region.end.0);
            let mut rows: Vec<u32> = cells[from..to].iter().map(|cell| cell.row).collect();
            rows.dedup();
            for row in rows {
                if self.cells[..before]
                    .binary_search_by_key(&(row, top.column), place)
                    .is_err()
                {
                    self.push(Cell { row, ..top })?;
                }
            }
        }
        self.cells.sort_by_key(place);
        self.cells.dedup_by_key(|cell| place(cell));
        Ok(())
    }

    /// Takes out the rows in which nothing but errors stands: formulas that were filled in below the last row wait there.
    fn leave_out_rows_of_errors(&mut self) {
        if self.errors.is_empty() && self.uncalculated.is_empty() {
            return;
        }
        let says = |cell: &Cell| self.store[cell.start..cell.end] != *ERROR;
        let mut rows: Vec<u32> = self
            .cells
            .iter()
            .filter(|cell| says(cell))
            .map(|cell| cell.row)
            .collect();
        rows.dedup();
        self.cells
            .retain(|cell| rows.binary_search(&cell.row).is_ok());
    }

    /// CSV with commas: a row of the sheet is a row of the text, which ends at its last cell.
    pub(crate) fn text(&self) -> String {
        let mut text = String::with_capacity(self.store.len() + 2 * self.cells.len());
        let (mut row, mut column) = (0, 0);
        for cell in &self.cells {
            for _ in row..cell.row {
                text.push('\n');
            }
            if cell.row > row {
                column = 0;
            }
            for _ in column..cell.column {
                text.push(',');
            }
            (row, column) = (cell.row, cell.column);
            push_field(&mut text, &self.store[cell.start..cell.end], ',');
        }
        text.push('\n');
        text
    }

    /// True where no cell is filled.
    pub(crate) fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// What its numbers stored as text say.
    pub(crate) fn texts(&self) -> Texts {
        self.texts
    }

    /// What is to be said of the cells.
    pub(crate) fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        if let Some((cells, words)) = self
            .errors
            .told("holds an error and is", "hold errors and are")
        {
            notes.push(format!("{cells} read as empty: {words}"));
        }
        if let Some((cells, words)) = self.uncalculated.told(
            "holds a formula whose result is not stored and is",
            "hold formulas whose results are not stored and are",
        ) {
            notes.push(format!(
                "{cells} read as empty: {words}; open the workbook in a spreadsheet program and save it, which stores them"
            ));
        }
        if let Some((cells, words)) = self.struck.told("is struck out and", "are struck out and") {
            notes.push(format!(
                "{cells} read like any other: {words}; where that withdraws a reading, take its row out"
            ));
        }
        notes
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::borrow::Cow;

    fn grid(cells: &[(u32, u32, &str)]) -> Grid {
        let mut grid = Grid::new(10_000);
        for (row, column, text) in cells {
            assert!(
                grid.add(*row, *column, Value::Text(Cow::Borrowed(text)))
                    .is_ok()
            );
        }
        grid
    }

    #[test]
    fn rows_of_the_text_are_rows_of_the_sheet() {
        let mut grid = grid(&[(4, 1, "x,\"y\""), (1, 0, "a"), (1, 2, "c"), (4, 1, "z")]);
        assert!(grid.settle(&[]).is_ok());
        assert_eq!(grid.text(), "\na,,c\n\n\n,z\n");
    }

    #[test]
    fn a_cell_merged_over_rows_holds_for_each_that_is_filled() {
        let mut grid = grid(&[
            (0, 0, "R-1"),
            (0, 1, "1"),
            (1, 1, "2"),
            (3, 1, "4"),
            (4, 1, "5"),
        ]);
        assert!(grid.settle(&[Dimensions::new((0, 0), (3, 0))]).is_ok());
        assert_eq!(grid.text(), "R-1,1\nR-1,2\n\nR-1,4\n,5\n");
    }

    #[test]
    fn a_grid_is_bounded() {
        let mut grid = Grid::new(100);
        let long = "x".repeat(101);
        assert!(grid.add(0, 0, Value::Text(Cow::Owned(long))).is_err());
    }
}
