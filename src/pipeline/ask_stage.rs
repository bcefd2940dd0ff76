/*! The decision stage set up on the records of a plan, for the commands that ask about one item. */

use super::deciding::charted;
use super::fits::fit_all;
use super::groups::groups_for_methods;
use super::thermometry;
use crate::decisions::session_advice::apply_cases;
use crate::decisions::stage::DecisionStage;
use crate::ledger::earlier::{earlier_decisions, earlier_results, remember_failures};
use crate::records::{Item, Loaded, RecordsError};
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;

/// Why nothing is said.
#[derive(Debug, thiserror::Error)]
pub(crate) enum AskError {
    /// Records that no decision can rest on.
    #[error(transparent)]
    Records(#[from] RecordsError),
    /// No such instrument or point, with a hint.
    #[error("{0}")]
    Unknown(String),
}

/// What `ask` says of `instrument` by the decision stage on the plan's records, as of its date.
///
/// # Errors
/// Unreadable records, failures among the rejected rows as in a run, or what `ask` finds wrong.
pub(crate) fn ask_stage<T>(
    plan: &Plan,
    instrument: &str,
    ask: impl FnOnce(&DecisionStage<'_>, &Loaded, Option<&ThermometryResults>) -> Result<T, AskError>,
) -> Result<T, AskError> {
    let mut thermometry = thermometry::read(plan).map_err(RecordsError::from)?;
    let mut loaded = thermometry::load(plan, thermometry.as_ref()).map_err(RecordsError::from)?;
    let settings = &plan.settings.checks;
    loaded
        .refuse_lost_failures(settings.allow_rejected_failures)
        .map_err(RecordsError::from)?;
    let closings = plan.closings().map_err(RecordsError::from)?;
    remember_failures(plan, &mut loaded.histories, closings.as_ref());
    let histories = &loaded.histories;
    let memory = earlier_results(plan);
    let fits = fit_all(histories, &plan.settings.drift, &memory);
    let groups = groups_for_methods(plan, histories);
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let past = earlier_decisions(plan, histories);
    let asked = |item: &Item| item.instrument == instrument;
    let controls = charted(plan, histories, &fits.classes, closings.as_ref(), &asked);
    if let Some(thermometry) = &mut thermometry {
        let rule = plan.settings.conformity.decision_rule();
        apply_cases(
            &mut thermometry.findings,
            histories,
            &rule,
            closings.as_ref(),
            plan.as_of,
        );
    }
    let stage = DecisionStage {
        histories,
        beside: None,
        fits: &fits,
        groups: &groups,
        methods: &methods,
        tables: &tables,
        drift: &plan.settings.drift,
        past: &past,
        thermometry: thermometry.as_ref().map(|results| &results.findings),
        closings: closings.as_ref(),
        controls: &controls,
        known: &memory,
        forecast: false,
        as_of: plan.as_of,
    };
    ask(&stage, &loaded, thermometry.as_ref())
}
