/*! The stages that every run goes through between its records and its page, whole or in parts. */

use super::fits::fit_all;
use super::groups::group_results;
use crate::decisions::cases::closings::Closings;
use crate::decisions::controls::{ChartedBy, Controls};
use crate::decisions::instrument::{Instrument, instruments};
use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::drift::Classes;
use crate::drift::class::fits::Fits;
use crate::files::run_error::RunError;
use crate::ledger::memory::Memory;
use crate::records::{Histories, Item};
use crate::report::compose;
use crate::report::compose::cases::Cases;
use crate::report::compose::results::GroupResults;
use crate::report::table_writer::TableFolder;
use crate::settings::plan::Plan;
use std::borrow::Cow;

/// The fit of every history, and what the groups lend.
pub(super) fn learned(plan: &Plan, histories: &Histories, memory: &Memory) -> (Fits, GroupResults) {
    rayon::join(
        || fit_all(histories, &plan.settings.drift, memory),
        || group_results(plan, histories, memory),
    )
}

/// The control charts of the check standards, and of the items that are `asked` for.
pub(super) fn charted(
    plan: &Plan,
    histories: &Histories,
    classes: &Classes,
    closings: Option<&Closings>,
    asked: &(dyn Fn(&Item) -> bool + Sync),
) -> Controls {
    let class = |index| Cow::Borrowed(classes.of_history(index));
    let by = ChartedBy {
        control: &plan.settings.control,
        drift: &plan.settings.drift,
        closings,
        class: &class,
        only: None,
    };
    Controls::of(histories, &by, asked)
}

/// The instruments that the decisions make up, and the cases; both with their tables written.
pub(super) fn instruments_and_cases<'a>(
    stage: &'a DecisionStage<'_>,
    decisions: &'a [Decision],
    to: TableFolder<'_>,
) -> Result<(Vec<Instrument<'a>>, Cases<'a>), RunError> {
    let instruments = instruments(stage, decisions);
    compose::fleet::instruments::write(stage.histories, decisions, &instruments, to)?;
    let cases = Cases::of(stage);
    compose::cases::write(&cases, to)?;
    Ok((instruments, cases))
}
