/*! The value of an item on a day, for `driftbook value`. */

use super::named::all_of;
use super::on_bench::{AskError, on_bench};
use crate::decisions::budget_line::BudgetLine;
use crate::records::{Item, Loaded};
use crate::settings::plan::Plan;

/// What is said of one history.
#[derive(Debug, Clone)]
pub struct Value {
    /// The item.
    pub item: Item,
    /// Its line, or in words why there is none.
    pub line: Result<BudgetLine, String>,
    /// The certificate's value that it rests on; `None` where no record has one.
    pub assigned: Option<Assigned>,
    /// What to know beside it.
    pub cautions: Vec<String>,
}

/// The value that the last certificate of an item states.
#[derive(Debug, Clone, PartialEq)]
pub struct Assigned {
    /// Its date.
    pub day: f64,
    /// What it states, history's unit.
    pub value: f64,
    /// Its standard uncertainty; NaN where not stated.
    pub u: f64,
    /// Who stated it; "not stated" where nobody did.
    pub by: String,
    /// True where it is the reading of its day, from which the forecast goes on; another reading of
    /// the same row is the reading, and the certificate is held against it.
    pub is_reading: bool,
    /// What was added to it to bring it to the level of the item's latest source.
    pub moved: f64,
    /// Readings since, which the forecast rests on too.
    pub readings_since: usize,
}

/// The last certificate's value among the records of history `index`.
fn assigned(loaded: &Loaded, index: usize) -> Option<Assigned> {
    let given = loaded.given.as_ref()?;
    let first = loaded.histories.offsets[index];
    let history = loaded.histories.get(index);
    let last = given.certificates(&history, first).pop()?;
    let (row, moved) = (last.row, given.moved[first + last.row]);
    let since = &history.as_found[row + 1..];
    Some(Assigned {
        day: history.date[row],
        value: given.assigned[first + last.row],
        u: last.u,
        by: given.name(given.giver(first + row)),
        is_reading: history.as_found[row] == last.value,
        moved,
        readings_since: since.iter().filter(|v| v.is_finite()).count(),
    })
}

/// The value of every history of `instrument` (only `point`, where given) on `day`.
///
/// # Errors
/// Unreadable records, failures among the rejected rows as in a run, or no history of that name.
pub fn value(
    plan: &Plan,
    instrument: &str,
    point: Option<&str>,
    day: f64,
) -> Result<Vec<Value>, AskError> {
    on_bench(plan, instrument, |bench, loaded, _| {
        let wanted = all_of(&loaded.histories, instrument, point).map_err(AskError::Unknown)?;
        let one = |index| {
            let (_, decision) = bench.decide(index);
            Value {
                item: loaded.histories.items[index].clone(),
                assigned: assigned(loaded, index),
                line: bench.value_on(index, &decision, day),
                cautions: bench.value_cautions(index, &decision, day),
            }
        };
        Ok(wanted.into_iter().map(one).collect())
    })
}
