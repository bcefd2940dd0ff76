/*! What a part of a fleet cannot tell, and no worker therefore answers. */

use super::{STREAM, WorkerError};
use crate::records::AsFoundIs;
use crate::records::cells::column::Column;
use crate::records::reading::columnar::arrow_stream::ArrowTable;
use crate::records::reading::header::own::OwnHeader;
use crate::records::reading::header::{Wanted, find};
use crate::settings::plan::{AsOfFrom, Plan};

/// The one policy that looks at all decisions of a fleet, and the one that looks at earlier ones.
const WHOLE: &str = "make this pipeline's decisions with driftbook run";

/// Refuses a plan whose decisions rest on more than what is learned.
pub(super) fn refuse_plan(plan: &Plan) -> Result<(), WorkerError> {
    let settings = &plan.settings;
    let policy = &settings.policy;
    let refused = [
        (
            plan.as_of_from == AsOfFrom::Today,
            "no as-of date is stated, and two workers may meet midnight between them",
            "state as_of in the pipeline file, or --as-of",
        ),
        (
            settings.thermometry.is_used(),
            "raw readings of thermometers are reduced together with the records, and a stream has no part in them",
            "leave [thermometry] files and thermometers out of the engine's pipeline file, and run these thermometers with driftbook run",
        ),
        (
            !settings.checks.other.is_empty(),
            "the pipeline file describes records in several forms, and a stream has one",
            "bring them to one form in the query that sends them, and leave [[checks.other]] out",
        ),
        (
            settings.checks.wide.is_used(),
            "a wide table cannot be sent as a stream of checks",
            "send one row a check, and leave [checks.wide] out",
        ),
        (
            policy.smoothing_days > 0.0,
            "smoothing_days levels the due dates of the whole fleet, which no part of it shows",
            WHOLE,
        ),
        (
            policy.counts_extensions(),
            "extensions_per_year counts the earlier decisions of the ledger, which no engine keeps",
            WHOLE,
        ),
    ];
    match refused.iter().find(|(holds, ..)| *holds) {
        Some((_, what, mend)) => Err(WorkerError::unfit(what, mend)),
        None => Ok(()),
    }
}

/// Refuses nominal values of which the numbers of a whole file would have to tell what they are.
pub(super) fn refuse_doubt(plan: &Plan, stream: &ArrowTable) -> Result<(), WorkerError> {
    let checks = &plan.settings.checks;
    let own = checks.columns.headers()[Column::Nominal.index()];
    let nominal = Wanted {
        name: Column::Nominal.name(),
        own,
    };
    let subtracted =
        checks.as_found_is == AsFoundIs::Auto && checks.columns.nominal != OwnHeader::Off;
    if !subtracted || find(&stream.headers(), &nominal).is_none() {
        return Ok(());
    }
    let what = format!(
        "{STREAM}: whether as_found is a value or an error already shows in the numbers of all checks, and a part may show another"
    );
    Err(WorkerError::unfit(
        what,
        "state as_found_is under [checks], or nominal = false under [checks.columns]",
    ))
}
