/*! `driftbook explain`: the whole chain of one instrument's decision, on the terminal. */

use super::output::say;
use super::{CommandError, CommandResult};
use crate::pipeline::{Explained, PlanRequest, explain, plan};
use clap::Args;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Show how the decision for one instrument came about: data, fit, proposals, rules, what would change it.
#[derive(Debug, Args)]
#[command(after_help = "Example: driftbook explain TH-003      (of the shipped demo laboratory)")]
pub struct Arguments {
    /// Identity of the instrument
    instrument: String,
    /// Point; all points of the instrument where left out
    point: Option<String>,
    /// Pipeline file or records [default: the shipped demo]
    #[arg(long, value_name = "PIPELINE|RECORDS")]
    records: Option<PathBuf>,
    /// Date for which the decision is made, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> CommandResult {
    let plan = plan(&PlanRequest {
        path: arguments.records.clone(),
        out: None,
        as_of: arguments.as_of.clone(),
        charts: None,
        today: chrono::Local::now().date_naive(),
    })
    .map_err(|error| CommandError::Usage(error.to_string()))?;
    let found = explain(&plan, &arguments.instrument, arguments.point.as_deref())
        .map_err(|error| CommandError::Failed(format!("error: {error}")))?;
    if found.is_empty() {
        let point = arguments
            .point
            .as_deref()
            .map_or(String::new(), |p| format!(", {p}"));
        return Err(CommandError::Usage(format!(
            "error: the records hold no usable check of {}{point}",
            arguments.instrument
        )));
    }
    for explained in &found {
        say(&words(explained));
    }
    Ok(0)
}

fn words(explained: &Explained) -> String {
    let mut text = explained.instrument.clone();
    if !explained.point.is_empty() {
        let _ = write!(text, ", {}", explained.point);
    }
    let _ = writeln!(text, "\n{}\n", explained.reason);
    for section in &explained.sections {
        let _ = writeln!(text, "{}", section.title);
        for paragraph in &section.paragraphs {
            let _ = writeln!(text, "  {paragraph}");
        }
        text += &table(&section.headers, &section.rows);
        text.push('\n');
    }
    if !explained.rejected.is_empty() {
        let _ = writeln!(
            text,
            "Rejected rows of the records: {} (see rejects.csv after a run)",
            explained.rejected.len()
        );
    }
    text
}

/// Columns as wide as their widest cell; the last one runs on.
fn table(headers: &[String], rows: &[Vec<String>]) -> String {
    let all: Vec<&[String]> = std::iter::once(headers)
        .chain(rows.iter().map(Vec::as_slice))
        .filter(|r| !r.is_empty())
        .collect();
    let columns = all.iter().map(|r| r.len()).max().unwrap_or(0);
    let width = |c: usize| {
        all.iter()
            .filter_map(|r| r.get(c))
            .map(|t| t.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in all {
        let mut line = String::from(" ");
        for (cell, width) in row.iter().zip(&widths) {
            let _ = write!(line, " {cell:<width$} ");
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}
