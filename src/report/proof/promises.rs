/*! What decisions promise and keep, in Markdown and as a table. */

use crate::report::table::{Cells, Table};
use crate::simulate::closed_loop::promises::{CHECKS, Kept, Promise};
use std::fmt::Write as _;

/// Every cell as a table.
pub(crate) fn promise_table(promises: &[Promise]) -> Table<'static> {
    let whole = |of: fn(&Promise) -> usize| {
        Cells::Whole(promises.iter().map(|cell| Some(of(cell) as i64)).collect())
    };
    let number = |of: fn(&Promise) -> f64| Cells::Number(promises.iter().map(of).collect());
    let kinds = promises.iter().map(|cell| cell.kind.clone()).collect();
    Table::default()
        .with("kind", Cells::Text(kinds))
        .with("class_size", whole(|p| p.class_size))
        .with("checks", whole(|p| p.checks))
        .with("decided", whole(|p| p.decided.count))
        .with("claimed", number(|p| p.decided.claimed()))
        .with("in_tolerance", number(|p| p.decided.inside()))
        .with("standard_error", number(|p| p.decided.standard_error()))
        .with("extended", whole(|p| p.extended.count))
        .with("extended_claimed", number(|p| p.extended.claimed()))
        .with("extended_in_tolerance", number(|p| p.extended.inside()))
        .with(
            "extended_standard_error",
            number(|p| p.extended.standard_error()),
        )
        .with("bearing_extended", whole(|p| p.bearing.count))
        .with("bearing_claimed", number(|p| p.bearing.claimed()))
        .with("bearing_in_tolerance", number(|p| p.bearing.inside()))
        .with(
            "bearing_standard_error",
            number(|p| p.bearing.standard_error()),
        )
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
