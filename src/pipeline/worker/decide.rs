/*! The decisions on a part of a fleet, by what was learned of all of it. */

use super::classes::Known;
use super::learned::{Ground, Learned};
use super::refusals::{refuse_doubt, refuse_plan};
use super::{STREAM, WorkerError, stream_of};
use crate::decisions::controls::{ChartedBy, Controls};
use crate::decisions::stage::DecisionStage;
use crate::drift::class::fits::Fits;
use crate::drift::fit_model;
use crate::drift::source::settle::settle_known;
use crate::drift::source::words::warnings;
use crate::records::{Loaded, RecordsError, load_stream};
use crate::report::compose::tables::{part_shapes, write_part};
use crate::report::table_stream::{Asked, TableStream};
use crate::settings::plan::Plan;
use rayon::prelude::*;
use std::borrow::Cow;
use std::io::Write;
use std::path::Path;

/// Decides on the histories in the Arrow stream `bytes` by what the file `learned` holds, and writes
/// the tables that are `asked` for to `out`, as they are made.
///
/// # Errors
/// A plan that looks at the whole fleet, checks that cannot be used or whose class was not learned,
/// a reader that went away.
pub(crate) fn decide(
    plan: &Plan,
    bytes: &[u8],
    learned: &Path,
    asked: Asked,
    out: impl Write,
) -> Result<(), WorkerError> {
    refuse_plan(plan)?;
    let learned = Learned::read(learned, Ground::of(plan)?)?;
    let loaded = loaded(plan, bytes, &learned)?;
    let histories = &loaded.histories;
    let drift = &plan.settings.drift;
    let classes = learned.classes.of_part(histories)?;
    let fits = (0..histories.len())
        .into_par_iter()
        .map(|index| fit_model(&histories.get(index), classes.of_history(index), drift))
        .collect();
    let fits = Fits { classes, fits };
    let closings = plan.closings()?;
    let class = |index| Cow::Borrowed(fits.classes.of_history(index));
    let by = ChartedBy {
        control: &plan.settings.control,
        drift,
        closings: closings.as_ref(),
        class: &class,
        only: None,
    };
    let controls = Controls::of_part(histories, &by, &learned.processes);
    let tables = plan.interval_tables();
    let output = &plan.settings.output;
    let stage = DecisionStage {
        histories,
        beside: None,
        fits: &fits,
        groups: &learned.groups,
        methods: &tables.methods(),
        tables: &tables,
        drift,
        past: &[],
        thermometry: None,
        closings: closings.as_ref(),
        controls: &controls,
        known: &Known {
            learned: &learned.classes,
            of: &fits.classes.of,
        },
        forecast: output
            .forecast
            .filled(output.charts, learned.histories as usize),
        as_of: plan.as_of,
    };
    let failed = |why| WorkerError::Output(format!("{why}"));
    let shapes = part_shapes(plan.as_of);
    let mut stream = TableStream::begin(out, &shapes, asked).map_err(failed)?;
    write_part(&stage, &loaded, &mut stream).map_err(failed)?;
    stream.finish().map_err(failed)
}

/// The checks of the stream, screened and at one level.
fn loaded(plan: &Plan, bytes: &[u8], learned: &Learned) -> Result<Loaded, WorkerError> {
    let stream = stream_of(bytes)?;
    refuse_doubt(plan, &stream)?;
    let mut loaded = load_stream(&plan.request(), (&stream, STREAM), Some(&learned.steps))?;
    let allowed = plan.settings.checks.allow_rejected_failures;
    loaded
        .refuse_lost_failures(allowed)
        .map_err(RecordsError::from)?;
    let axis = plan.settings.drift.axis;
    let given = settle_known(&mut loaded.histories, axis, &learned.sources);
    let mend = "run driftbook worker learn on all checks of its group";
    loaded.given = given.map_err(|what| WorkerError::unfit(what, mend))?;
    let said: Vec<_> = loaded.given.iter().flat_map(warnings).collect();
    loaded.warnings.extend(said);
    Ok(loaded)
}
