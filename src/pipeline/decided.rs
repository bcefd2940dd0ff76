/*! The decision stage for one question: what a run would decide, without its report. */

use super::fits::fit_all;
use super::groups::lent;
use super::season;
use crate::decisions::bench::Bench;
use crate::decisions::controls::{ChartedBy, Controls};
use crate::ledger::earlier::{earlier_decisions, earlier_results};
use crate::records::{Loaded, RecordsError};
use crate::settings::plan::Plan;
use std::borrow::Cow;

/// Reads and fits all that the plan names and lets `look` ask the bench.
///
/// # Errors
/// Unreadable records or books, failures among the rejected rows as in a run.
pub fn at_bench<T>(
    plan: &Plan,
    look: impl FnOnce(&Bench<'_>, &Loaded) -> T,
) -> Result<T, RecordsError> {
    let mut season = season::read(plan)?;
    let loaded = season::load(plan, season.as_ref())?;
    loaded.refuse_lost_failures(&plan.settings.checks)?;
    let histories = &loaded.histories;
    let memory = earlier_results(plan);
    let fits = fit_all(histories, &plan.settings.drift, &memory);
    let groups = lent(plan, histories);
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let past = earlier_decisions(plan, histories);
    let closings = plan.closings()?;
    let class = |index| Cow::Borrowed(fits.classes.of_history(index));
    let by = ChartedBy {
        control: &plan.settings.control,
        drift: &plan.settings.drift,
        closings: closings.as_ref(),
        class: &class,
    };
    let controls = Controls::of(histories, &by, &|_| false);
    if let Some(season) = &mut season {
        let rule = plan.settings.conformity.decision_rule();
        season.heed_cases(histories, &rule, closings.as_ref(), plan.as_of);
    }
    let bench = Bench {
        histories,
        fits: &fits,
        groups: &groups,
        methods: &methods,
        tables: &tables,
        drift: &plan.settings.drift,
        past: &past,
        season: season.as_ref(),
        closings: closings.as_ref(),
        controls: &controls,
        memory: &memory,
        forecast: false,
        as_of: plan.as_of,
    };
    Ok(look(&bench, &loaded))
}
