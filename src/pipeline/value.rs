/*! The value of an item on a day, for `driftbook value`. */

use super::ask_stage::{AskError, ask_stage};
use super::named::all_of;
use crate::decisions::budget_line::BudgetLine;
use crate::decisions::no_value::NoValue;
use crate::decisions::policy::Action;
use crate::decisions::withdrawn_beside::withdrawn_beside;
use crate::drift::adoption::assignment::Assignment;
use crate::records::Item;
use crate::settings::plan::Plan;

/// What is said of one history.
#[derive(Debug, Clone)]
pub(crate) struct Value {
    pub item: Item,
    /// Its line, or why there is none.
    pub line: Result<BudgetLine, NoValue>,
    /// The certificate or calibration that it rests on; `None` where no record is one.
    pub assigned: Option<Assignment>,
    /// What to know beside it.
    pub cautions: Vec<String>,
    /// Whether another point of the instrument is withdrawn, in words.
    pub withdrawn_beside: Option<String>,
}

/// The value of every history of `instrument` (only `point`, where given) on `day`.
///
/// # Errors
/// Unreadable records, failures among the rejected rows as in a run, or no history of that name.
pub(crate) fn value(
    plan: &Plan,
    instrument: &str,
    point: Option<&str>,
    day: f64,
) -> Result<Vec<Value>, AskError> {
    ask_stage(plan, instrument, |stage, loaded, _| {
        let wanted = all_of(&loaded.histories, instrument, point)
            .map_err(|why| AskError::Unknown(why.to_string()))?;
        let items = &loaded.histories.items;
        let one = |index: usize| {
            let (_, decision) = stage.decide(index);
            let out = |other| stage.decide(other).1.action == Action::Withdraw;
            let history = loaded.histories.get(index);
            let (given, first) = (loaded.given.as_ref(), loaded.histories.offsets[index]);
            Value {
                item: items[index].clone(),
                assigned: Assignment::last(&history, given.map(|given| (given, first))),
                line: stage.value_on(index, &decision, day),
                cautions: stage.value_cautions(index, &decision, day),
                withdrawn_beside: withdrawn_beside(items, index, out),
            }
        };
        Ok(wanted.into_iter().map(one).collect())
    })
}
