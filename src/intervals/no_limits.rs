/*! Records of which nothing can be judged: no history has limits, and no check an outcome. */

use crate::records::{Histories, Outcome, Warning};

/// True where any history can be judged as in tolerance or out of it.
pub(crate) fn can_be_judged(histories: &Histories) -> bool {
    let limits = histories.items.iter().any(|item| item.tolerance.is_some());
    let outcomes = &histories.columns.outcome;
    limits || outcomes.iter().any(|outcome| *outcome != Outcome::Unknown)
}

/// Says how the limits are stated, where none of the histories can be `judged`.
pub(crate) fn warning(judged: bool) -> Option<Warning> {
    let words = "no history has any, and no interval can be decided: state lower and upper beside the checks or in a register or, where one tolerance holds for all, as tolerance = \"±…\" under [register]";
    (!judged).then(|| Warning::new("limits", words))
}
