/*! The closed loop in Markdown and as a table. */

use crate::report::charts::{ExcessRow, excess_chart};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::simulate::closed_loop::{Cell, own_line};
use std::fmt::Write as _;

/// One row a planner at one class size: means over the kinds, the best mean first.
pub(crate) fn excess_rows(cells: &[Cell], class_size: usize) -> Vec<ExcessRow> {
    let mut rows: Vec<ExcessRow> = Vec::new();
    for name in planners(cells) {
        let own: Vec<&Cell> = of(cells, &name, class_size).collect();
        let kinds: Vec<f64> = own.iter().map(|cell| cell.excess).collect();
        let count = kinds.len() as f64;
        let squares: f64 = own.iter().map(|cell| cell.excess_error.powi(2)).sum();
        rows.push(ExcessRow {
            own: name.starts_with("policy"),
            published: PUBLISHED.contains(&name.as_str()),
            name,
            mean: kinds.iter().sum::<f64>() / count,
            error: squares.sqrt() / count,
            kinds,
        });
    }
    rows.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    rows
}

/// Methods of the literature, as the tables name them, the line through an item's own readings
/// among them; the forecast's own two (drift
/// crossing, least cost) and the baselines are not among them.
pub(super) const PUBLISHED: [&str; 11] = [
    own_line::NAMES[0],
    own_line::NAMES[1],
    own_line::NAMES[2],
    own_line::NAMES[3],
    "staircase",
    "control chart",
    "simple response",
    "incremental response",
    "interval test",
    "reliability",
    "group regression",
];

/// The chart of one class size: its title is the finding.
pub(crate) fn loop_chart(cells: &[Cell], size: usize) -> String {
    let rows = excess_rows(cells, size);
    let span = |wanted: &dyn Fn(&ExcessRow) -> bool| {
        let means = || rows.iter().filter(|row| wanted(row)).map(|row| row.mean);
        let low = means().fold(f64::INFINITY, f64::min);
        let high = means().fold(f64::NEG_INFINITY, f64::max);
        format!("{low:.0} to {high:.0} %")
    };
    let title = format!(
        "Policies on the state forecast cost {} above perfect knowledge, published methods {} (classes of {size})",
        span(&|row| row.own),
        span(&|row| row.published)
    );
    let second = "bar: mean over the kinds of instrument, with twice its error; rings: each kind";
    excess_chart(&title, second, &rows)
}

fn planners(cells: &[Cell]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for cell in cells {
        if !names.contains(&cell.planner) {
            names.push(cell.planner.clone());
        }
    }
    names
}

fn of<'a>(cells: &'a [Cell], planner: &'a str, size: usize) -> impl Iterator<Item = &'a Cell> {
    cells
        .iter()
        .filter(move |cell| cell.planner == planner && cell.class_size == size)
}

/// Excess cost with its Monte Carlo error and, in brackets, the share found in tolerance
/// after the third decision: one table a class size, the best mean first.
pub(crate) fn loop_markdown(cells: &[Cell], class_sizes: &[usize]) -> String {
    let mut text = String::new();
    for &size in class_sizes {
        let mut kinds: Vec<&str> = Vec::new();
        for cell in cells.iter().filter(|cell| cell.class_size == size) {
            if !kinds.contains(&cell.kind.as_str()) {
                kinds.push(&cell.kind);
            }
        }
        let instruments = cells
            .iter()
            .find(|c| c.class_size == size)
            .map_or(0, |c| c.instruments);
        let _ = writeln!(
            text,
            "### Classes of {size}\n\n{instruments} instruments of each kind.\n"
        );
        let _ = writeln!(text, "| method | mean | {} |", kinds.join(" | "));
        let _ = writeln!(text, "| --- | ---: |{}", " ---: |".repeat(kinds.len()));
        for row in excess_rows(cells, size) {
            let mark = if row.own { "**" } else { "" };
            let _ = write!(
                text,
                "| {mark}{}{mark} | {:.0} ± {:.0} |",
                row.name, row.mean, row.error
            );
            for kind in &kinds {
                match of(cells, &row.name, size).find(|cell| cell.kind == *kind) {
                    Some(cell) => {
                        let _ = write!(
                            text,
                            " {:.0} ± {:.0} ({:.2}) |",
                            cell.excess, cell.excess_error, cell.settled_in
                        );
                    }
                    None => text.push_str(" – |"),
                }
            }
            text.push('\n');
        }
        text.push('\n');
    }
    text
}

/// Every cell as a table.
pub(crate) fn loop_table(cells: &[Cell]) -> Table<'static> {
    RowTable::of(cells)
        .made("kind", |c| c.kind.clone())
        .count("class_size", |c| c.class_size)
        .made("method", |c| c.planner.clone())
        .count("instruments", |c| c.instruments)
        .number("cost_per_year", |c| c.cost_per_year)
        .number("excess_percent", |c| c.excess)
        .number("standard_error", |c| c.excess_error)
        .number("found_in_tolerance", |c| c.found_in)
        .number("in_tolerance_after_third", |c| c.settled_in)
        .number("calibrations_per_year", |c| c.calibrations_per_year)
        .number("time_in_tolerance", |c| c.time_in)
        .done()
}
