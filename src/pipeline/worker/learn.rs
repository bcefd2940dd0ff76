/*! What a part of a fleet with whole groups teaches. */

use super::classes::LearnedClasses;
use super::learned::{Ground, Learned};
use super::refusals::{refuse_doubt, refuse_plan};
use super::{STREAM, WorkerError, stream_of};
use crate::drift::class_parameters;
use crate::drift::source::settle::learn as learn_sources;
use crate::pipeline::deciding::charted;
use crate::pipeline::groups::groups_for_methods;
use crate::records::{RecordsError, load_stream};
use crate::settings::plan::Plan;

/// Learns from the checks in the Arrow stream `bytes`.
///
/// # Errors
/// A plan that looks at the whole fleet, checks that cannot be used.
pub(crate) fn learn(plan: &Plan, bytes: &[u8]) -> Result<Learned, WorkerError> {
    refuse_plan(plan)?;
    let mut learned = Learned::nothing(Ground::of(plan)?);
    let stream = stream_of(bytes)?;
    refuse_doubt(plan, &stream)?;
    let mut loaded = load_stream(&plan.request(), (&stream, STREAM), None)?;
    drop(stream);
    let allowed = plan.settings.checks.allow_rejected_failures;
    loaded
        .refuse_lost_failures(allowed)
        .map_err(RecordsError::from)?;
    let drift = &plan.settings.drift;
    learned.sources = learn_sources(&mut loaded.histories, drift.axis).1;
    let histories = &loaded.histories;
    let (classes, groups) = rayon::join(
        || class_parameters(histories, drift),
        || groups_for_methods(plan, histories),
    );
    let closings = plan.closings()?;
    let controls = charted(plan, histories, &classes, closings.as_ref(), &|_| false);
    learned.processes = controls.processes();
    learned.histories = histories.len() as u64;
    learned.checks = histories.columns.date.len() as u64;
    learned.steps = loaded.steps;
    learned.classes = LearnedClasses::of(histories, &classes.parameters);
    learned.groups = groups;
    Ok(learned)
}
