/*! Who is due when, and how likely it is in tolerance then, as counts in classes with the least likely named. */

use super::super::canvas::{Anchor, Canvas, LABEL_SIZE, sheet};
use super::super::frame::{below_heading, heading};
use super::super::lettering::shortened;
use super::super::palette::Ink;
use super::super::values::told;
use super::counts::{CELL_HEIGHT, Cell, Counts, counted};
use crate::report::text::{fixed, percent};
use crate::report::view::FleetRow;

/// Histories that have a due date: months to it, probability in tolerance then.
pub(super) type Points<'a> = Vec<(f64, Option<f64>, &'a FleetRow)>;

/// Those of them whose probability is known.
pub(super) type Known<'a> = [(f64, f64, &'a FleetRow)];

/// Upper ends of the classes of months to due; what is overdue stands before them, what is later after them.
const MONTH_CLASSES: [f64; 9] = [1.0, 2.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0, 36.0];

/// Lower ends of the classes of probability; what is lower stands after them, then what is unknown.
const PROBABILITY_CLASSES: [f64; 5] = [0.99, 0.95, 0.9, 0.8, 0.5];

/// Counts by months to due and probability, with the names of the lowest.
pub(super) fn due_counts(title: &str, points: &Points<'_>, lowest: &Known<'_>) -> String {
    let columns = month_names();
    let rows = probability_names();
    let cells = used_cells(points, (rows.len(), columns.len()));
    let width = cells.first().map_or(1, Vec::len);
    let second = "how many by months to the due date and probability in tolerance then; ▲ of them need a person";
    let height = below_heading(title, second, 840.0) + 80.0 + CELL_HEIGHT * cells.len() as f64;
    let in_words = rows.iter().zip(&cells).map(|(row, cells)| {
        let filled = columns.iter().zip(cells).filter(|(_, cell)| cell.all > 0);
        let filled = filled.map(|(column, cell)| format!("{column}: {}", cell.all));
        format!("{row}: {}", filled.collect::<Vec<_>>().join(", "))
    });
    let told = told(second, in_words);
    sheet((840, height as u32), title, &told, |canvas| {
        let top = heading(canvas, title, second, 840.0) + 18.0;
        let counts = Counts {
            rows: &rows[..cells.len()],
            columns: &columns[..width],
            cells: &cells,
        };
        let cell = (520.0 / width as f64).min(64.0);
        let alarm =
            |row: usize, column: usize| match column == 0 || row == PROBABILITY_CLASSES.len() {
                true => Ink::Alarm,
                false => Ink::Reading,
            };
        counts.draw(canvas, (130.0, top), cell, alarm);
        let middle = 130.0 + 0.5 * cell * width as f64;
        let below = top + CELL_HEIGHT * cells.len() as f64 + 36.0;
        canvas.label(
            "months to due date",
            (middle, below),
            Ink::Text,
            Anchor::Middle,
        );
        name_lowest(
            canvas,
            (130.0 + cell * width as f64 + 14.0, top),
            cells.len(),
            lowest,
        );
    })
}

/// The cells, without columns and rows at the end that hold nothing and say nothing.
fn used_cells(points: &Points<'_>, (rows, columns): (usize, usize)) -> Vec<Vec<Cell>> {
    let classed = points.iter().map(|(months, probability, row)| {
        let column = match *months < 0.0 {
            true => 0,
            false => 1 + MONTH_CLASSES.iter().filter(|end| *months >= **end).count(),
        };
        let line = probability.map_or(rows - 1, |p| {
            PROBABILITY_CLASSES.iter().filter(|end| p < **end).count()
        });
        (line, column, row.action.needs_person())
    });
    let mut cells = counted((rows, columns), classed);
    let used = |column: usize| cells.iter().any(|row| row[column].all > 0);
    let last = (0..columns).rev().find(|column| used(*column));
    let width = last.map_or(1, |last| last + 1);
    cells.iter_mut().for_each(|row| row.truncate(width));
    let nothing = |row: &Vec<Cell>| row.iter().all(|cell| cell.all == 0);
    if cells.last().is_some_and(nothing) {
        cells.pop();
    }
    cells
}

/// The lowest, by name, beside the counts.
fn name_lowest(canvas: &mut Canvas<'_>, (left, top): (f64, f64), rows: usize, lowest: &Known<'_>) {
    if lowest.is_empty() {
        return;
    }
    let lines = (CELL_HEIGHT * rows as f64 / 16.0) as usize - 1;
    canvas.bold(
        "lowest when due",
        (left, top + 10.0),
        LABEL_SIZE,
        Ink::Text,
        Anchor::Start,
    );
    for (i, (_, probability, row)) in lowest.iter().take(lines).enumerate() {
        let mark = if row.action.needs_person() {
            "▲ "
        } else {
            ""
        };
        let name = shortened(&row.instrument, LABEL_SIZE, 826.0 - left - 70.0);
        let text = format!("{mark}{name}  {}", percent(*probability));
        let at = (left, top + 26.0 + 16.0 * i as f64);
        canvas.label(&text, at, Ink::Text, Anchor::Start);
    }
}

fn month_names() -> Vec<String> {
    let mut names = vec!["overdue".to_string()];
    let mut from = 0.0;
    for end in MONTH_CLASSES {
        names.push(format!("{}–{}", fixed(from, 0), fixed(end, 0)));
        from = end;
    }
    names.push("later".into());
    names
}

fn probability_names() -> Vec<String> {
    let mut names = vec![format!("{} or more", percent(PROBABILITY_CLASSES[0]))];
    for pair in PROBABILITY_CLASSES.windows(2) {
        names.push(format!(
            "{}–{}",
            fixed(100.0 * pair[1], 0),
            percent(pair[0])
        ));
    }
    names.push(format!("below {}", percent(PROBABILITY_CLASSES[4])));
    names.push("not known".into());
    names
}
