/*! `driftbook verdict --worksheet`: what to do at the bench for one thermometer, in order. */

use super::output::{complain, hand_over};
use super::{CommandError, CommandResult};
use crate::pipeline::thermometry;
use crate::report::worksheet;
use crate::settings::plan::Plan;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::ReadingPoint;
use crate::thermometry::session::SessionResult;
use crate::thermometry::worksheet::worksheet as sheet_of;
use crate::words::nearest::nearest;
use clap::ValueEnum;

/// How the worksheet is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// Text for a screen.
    Markdown,
    /// A page to print for the bench.
    Html,
    /// A table of readings to fill in.
    Csv,
}

/// Prints the worksheet of `instrument` for the as-of date.
pub(super) fn print_worksheet(plan: &Plan, instrument: &str, format: Format) -> CommandResult {
    let thermometry = thermometry::read(plan)
        .map_err(CommandError::failed)?
        .unwrap_or_default();
    let water = ReadingPoint::Fixed(FixedPoint::Water);
    let own: Vec<&SessionResult> = thermometry
        .findings
        .results
        .iter()
        .filter(|r| r.instrument == instrument && r.point == water)
        .collect();
    let facts = thermometry.facts.of(instrument);
    if own.is_empty() && facts.is_none() {
        let sessions = thermometry.findings.results.iter();
        let known = sessions.map(|session| session.instrument.as_str());
        let near = nearest(instrument, known.filter(|name| *name != instrument));
        let near = near.map_or(String::new(), |name| format!("; did you mean {name}?"));
        complain(&format!(
            "{instrument} has no session and no entry in the file of the thermometers: this is a sheet for its first session{near}"
        ));
    }
    let sheet = sheet_of(
        instrument,
        &own,
        facts,
        &plan.settings.thermometry,
        plan.as_of,
    );
    hand_over(&match format {
        Format::Markdown => worksheet::markdown(&sheet),
        Format::Html => worksheet::page(&sheet),
        Format::Csv => worksheet::table(&sheet),
    });
    Ok(0)
}
