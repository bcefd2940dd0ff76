/*! Says of each check of a stream where it belongs. */

use super::refusals::refuse_plan;
use super::{STREAM, WorkerError};
use crate::records::LoadError;
use crate::records::placed;
use crate::records::reading::columnar::arrow_stream::ArrowTable;
use crate::settings::plan::Plan;
use std::io::Write;

/// The columns that are added: the group, whose checks are learned together, and the instrument by
/// its present name, whose checks are decided together.
const ADDED: [&str; 2] = ["driftbook_group", "driftbook_instrument"];

/// Writes the stream of checks `bytes` to `out` again, with two columns behind its own.
///
/// # Errors
/// A plan that looks at the whole fleet, checks that cannot be used, a stream that was placed before.
pub(crate) fn place(plan: &Plan, bytes: &[u8], out: impl Write) -> Result<(), WorkerError> {
    refuse_plan(plan)?;
    let stream = ArrowTable::read(bytes, STREAM)?;
    if let Some(header) = stream
        .headers()
        .into_iter()
        .find(|h| ADDED.contains(&h.as_str()))
    {
        let what = format!("the column \"{header}\" is there already");
        return Err(LoadError::new(STREAM, what, "Leave it out: it is made here.").into());
    }
    let placed = placed(&plan.request(), &stream)?;
    let [group, instrument] = ADDED;
    let added = [(group, &placed.group), (instrument, &placed.instrument)];
    let written = stream.write_with(&added, out);
    written.map_err(|why| WorkerError::Output(why.to_string()))
}
