/*! Counts in the classes of two things: a cell for each pair, tinted by its count. */

use super::super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use super::super::palette::Ink;
use crate::report::text::fixed;

/// Height of a cell, pixels.
pub(super) const CELL_HEIGHT: f64 = 36.0;

/// Opacity of the fullest cell: the count on it keeps a contrast above 4.5 on light and on dark ground.
const FULLEST: f64 = 0.42;

/// What a cell counts.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Cell {
    /// All of the pair of classes.
    pub all: usize,
    /// Those of them that need a person.
    pub urgent: usize,
}

/// The classes of one axis: their names, in order.
pub(super) type Names<'a> = &'a [String];

/// Rows of cells with the names of both axes.
pub(super) struct Counts<'a> {
    /// Names of the rows, from the top.
    pub rows: Names<'a>,
    /// Names of the columns, from the left.
    pub columns: Names<'a>,
    /// A row of cells for each name.
    pub cells: &'a [Vec<Cell>],
}

impl Counts<'_> {
    /// Draws the cells from the corner `(left, top)` on, each of a `width`; `ink` tells a cell's colour by its row and column.
    pub(crate) fn draw(
        &self,
        canvas: &mut Canvas<'_>,
        (left, top): (f64, f64),
        width: f64,
        ink: impl Fn(usize, usize) -> Ink,
    ) {
        let most = self.cells.iter().flatten().map(|cell| cell.all).max();
        let most = most.unwrap_or(0).max(1) as f64;
        for (row, cells) in self.cells.iter().enumerate() {
            let y = top + CELL_HEIGHT * row as f64;
            let at = (left - 8.0, y + 0.5 * CELL_HEIGHT + 4.0);
            canvas.label(&self.rows[row], at, Ink::Text, Anchor::End);
            for (column, cell) in cells.iter().enumerate() {
                let x = left + width * column as f64;
                let opacity = FULLEST * (cell.all as f64 / most).sqrt();
                let corners = ((x, y), (x + width, y + CELL_HEIGHT));
                canvas.rectangle(corners.0, corners.1, ink(row, column), opacity);
                draw_cell(canvas, (x + 0.5 * width, y + 0.5 * CELL_HEIGHT), *cell);
            }
        }
        self.lines(canvas, (left, top), width);
        let below = top + CELL_HEIGHT * self.cells.len() as f64 + 17.0;
        for (column, name) in self.columns.iter().enumerate() {
            let middle = left + width * (column as f64 + 0.5);
            canvas.label(name, (middle, below), Ink::Text, Anchor::Middle);
        }
    }

    fn lines(&self, canvas: &mut Canvas<'_>, (left, top): (f64, f64), width: f64) {
        let right = left + width * self.columns.len() as f64;
        let bottom = top + CELL_HEIGHT * self.cells.len() as f64;
        let hair = Stroke(Ink::Grid, 0.5, Dash::Solid);
        for row in 0..=self.cells.len() {
            let y = top + CELL_HEIGHT * row as f64;
            canvas.line((left, y), (right, y), hair);
        }
        for column in 0..=self.columns.len() {
            let x = left + width * column as f64;
            canvas.line((x, top), (x, bottom), hair);
        }
    }
}

/// The count, and below it how many of them need a person.
fn draw_cell(canvas: &mut Canvas<'_>, (x, y): (f64, f64), cell: Cell) {
    if cell.all == 0 {
        return;
    }
    let base = if cell.urgent > 0 { y - 2.0 } else { y + 4.0 };
    let all = fixed(cell.all as f64, 0);
    canvas.label(&all, (x, base), Ink::Text, Anchor::Middle);
    if cell.urgent > 0 {
        let urgent = format!("▲ {}", fixed(cell.urgent as f64, 0));
        let at = (x, base + 14.0);
        canvas.bold(&urgent, at, LABEL_SIZE, Ink::Text, Anchor::Middle);
    }
}

/// Counts what `classed` says of each thing (row, column, whether it needs a person) into `rows` × `columns` cells.
pub(super) fn counted(
    (rows, columns): (usize, usize),
    classed: impl Iterator<Item = (usize, usize, bool)>,
) -> Vec<Vec<Cell>> {
    let mut cells = vec![vec![Cell::default(); columns]; rows];
    for (row, column, urgent) in classed {
        if let Some(cell) = cells.get_mut(row).and_then(|cells| cells.get_mut(column)) {
            cell.all += 1;
            cell.urgent += usize::from(urgent);
        }
    }
    cells
}
