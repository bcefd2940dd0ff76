/*! `driftbook explain`: the whole chain of one instrument's decision, on the terminal. */

use super::output::say;
use super::terminal_table::table;
use super::verdict::arguments::{no_answer, stored};
use super::{CommandResult, plan_of};
use crate::pipeline::{Explained, explain};
use crate::words::history_name;
use clap::Args;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Show how the decision for one instrument came about: data, fit, proposals, rules, what would change it.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook explain TH-003 --demo                  (of the invented demo laboratory)\n  \
    driftbook explain TH-003 --records mine.toml")]
pub(crate) struct Arguments {
    /// Identity of the instrument
    instrument: String,
    /// Point; all points of the instrument where left out
    point: Option<String>,
    /// Pipeline file or records
    #[arg(long, value_name = "PIPELINE|RECORDS")]
    records: Option<PathBuf>,
    /// Explain an instrument of the invented demo laboratory
    #[arg(long, conflicts_with = "records")]
    demo: bool,
    /// Date for which the decision is made, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let instrument = Some(arguments.instrument.as_str());
    let records = stored(arguments.records.as_deref(), arguments.demo, instrument)?;
    let plan = plan_of(records, arguments.as_of.clone())?;
    let point = arguments.point.as_deref();
    let found = explain(&plan, &arguments.instrument, point)
        .map_err(|why| no_answer(why, point, "--as-of"))?;
    for explained in &found {
        say(&words(explained));
    }
    Ok(0)
}

fn words(explained: &Explained) -> String {
    let mut text = history_name(&explained.instrument, &explained.point);
    let _ = writeln!(text, "\n{}\n", explained.reason);
    for section in &explained.sections {
        let _ = writeln!(text, "{}", section.title);
        for paragraph in &section.paragraphs {
            let _ = writeln!(text, "  {paragraph}");
        }
        text += &table(&section.headers, &section.rows);
        text.push('\n');
    }
    if explained.rejected > 0 {
        let _ = writeln!(
            text,
            "Rejected rows of the records: {} (see rejects.csv after a run)",
            explained.rejected
        );
    }
    text
}
