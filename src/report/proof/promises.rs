/*! What decisions promise and keep, in Markdown and as a table. */

use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::simulate::closed_loop::promises::{CHECKS, Kept, Promise};
use std::fmt::Write as _;

/// Every cell as a table.
pub(crate) fn promise_table(promises: &[Promise]) -> Table<'static> {
    RowTable::of(promises)
        .made("kind", |p| p.kind.clone())
        .count("class_size", |p| p.class_size)
        .count("checks", |p| p.checks)
        .count("decided", |p| p.decided.count)
        .number("claimed", |p| p.decided.claimed())
        .number("in_tolerance", |p| p.decided.inside())
        .number("standard_error", |p| p.decided.standard_error())
        .count("extended", |p| p.extended.count)
        .number("extended_claimed", |p| p.extended.claimed())
        .number("extended_in_tolerance", |p| p.extended.inside())
        .number("extended_standard_error", |p| p.extended.standard_error())
        .count("bearing_extended", |p| p.bearing.count)
        .number("bearing_claimed", |p| p.bearing.claimed())
        .number("bearing_in_tolerance", |p| p.bearing.inside())
        .number("bearing_standard_error", |p| p.bearing.standard_error())
        .done()
}

/// Claimed and true probabilities in tolerance of extended items on their due dates, as by default
/// and where the largest rate of steps that agrees with the record is to be borne.
pub(crate) fn promise_markdown(promises: &[Promise]) -> String {
    let by_default = table(promises, |promise| &promise.extended);
    let bearing = table(promises, |promise| &promise.bearing);
    format!("{by_default}\nWith `step_rate = \"largest\"`:\n\n{bearing}")
}

/// A row a kind and class size, a column a number of checks.
fn table(promises: &[Promise], of: fn(&Promise) -> &Kept) -> String {
    let mut text = String::from("| kind | class of |");
    for checks in CHECKS {
        let _ = write!(text, " {checks} checks |");
    }
    let _ = writeln!(text, "\n| --- | ---: |{}", " ---: |".repeat(CHECKS.count()));
    for row in promises.chunks(CHECKS.count()) {
        let Some(first) = row.first() else { continue };
        let _ = write!(text, "| {} | {} |", first.kind, first.class_size);
        for cell in row {
            let _ = write!(text, " {} |", kept(of(cell)));
        }
        text.push('\n');
    }
    text
}

/// "0.952 → 0.943 ± 0.006".
fn kept(kept: &Kept) -> String {
    match kept.count {
        0 => "none extended".to_string(),
        _ => format!(
            "{:.3} → {:.3} ± {:.3}",
            kept.claimed(),
            kept.inside(),
            kept.standard_error()
        ),
    }
}
