/*! `driftbook value`: what an item's value is on a day, and how sure, for an uncertainty budget. */

use super::output::say;
use super::verdict::arguments::{no_answer, stored};
use super::{CommandError, CommandResult, NEEDS_PERSON, plan_of};
use crate::decisions::budget_line::BudgetLine;
use crate::drift::adoption::assignment::Stands;
use crate::pipeline::{Value, value};
use crate::records::date;
use crate::report::text::{iso_date, significant, size, to_uncertainty, with_minus_signs};
use clap::Args;
use serde_json::json;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Tell an item's expected error on a day, with the parts of its uncertainty
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook value TH-002 --date 2026-09-01 --demo     (of the invented demo laboratory)\n  \
    driftbook value TH-002 --records mine.toml --json\n\n\
    Exit status: 0 every point has a value; 3 one has none, for a reason that is told, or another point of the instrument is withdrawn.")]
pub(crate) struct Arguments {
    /// Identity of the instrument
    instrument: String,
    /// Point; all points of the instrument where left out
    point: Option<String>,
    /// The day, YYYY-MM-DD, from the last check on [default: the as-of date of the records' pipeline, else today]
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// Answer as JSON
    #[arg(long)]
    json: bool,
    /// Pipeline file or records
    #[arg(long, value_name = "PIPELINE|RECORDS")]
    records: Option<PathBuf>,
    /// Ask the invented demo laboratory
    #[arg(long, conflicts_with = "records")]
    demo: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let instrument = Some(arguments.instrument.as_str());
    let records = stored(arguments.records.as_deref(), arguments.demo, instrument)?;
    let plan = plan_of(records, None)?;
    let day = match &arguments.date {
        None => plan.as_of,
        Some(text) => date::parse_iso(text.trim().as_bytes())
            .map(f64::floor)
            .ok_or_else(|| {
                CommandError::usage(format!(
                    "--date \"{text}\" is not a date: expected YYYY-MM-DD"
                ))
            })?,
    };
    let point = arguments.point.as_deref();
    let found = value(&plan, &arguments.instrument, point, day)
        .map_err(|why| no_answer(why, point, "--date"))?;
    match arguments.json {
        true => say(&format!(
            "{:#}\n",
            json!(found.iter().map(|v| as_json(v, day)).collect::<Vec<_>>())
        )),
        false => found.iter().for_each(|value| say(&words(value, day))),
    }
    let usable = |value: &Value| value.line.is_ok() && value.withdrawn_beside.is_none();
    Ok(match found.iter().all(usable) {
        true => 0,
        false => NEEDS_PERSON,
    })
}

fn words(value: &Value, day: f64) -> String {
    let mut text = format!("{}, on {}\n", value.item.name(), iso_date(day));
    match &value.line {
        Err(why) => {
            let _ = writeln!(text, "  no value: {why}");
        }
        Ok(line) => table(&mut text, line, &value.item.unit),
    }
    if let Some(assigned) = &value.assigned {
        let _ = writeln!(
            text,
            "  {}",
            with_minus_signs(&assigned.rests(&value.item.unit))
        );
    }
    for caution in value.withdrawn_beside.iter().chain(&value.cautions) {
        let _ = writeln!(text, "  {caution}");
    }
    text.push('\n');
    text
}

fn table(text: &mut String, line: &BudgetLine, unit: &str) {
    let (corrected, uncorrected) = (line.u_corrected(), line.u_uncorrected());
    let law = match line.degrees_of_freedom.is_infinite() {
        true => "normal".to_string(),
        false => format!(
            "Student's t, {} degrees of freedom",
            significant(line.degrees_of_freedom, 3)
        ),
    };
    let mut row = |name: &str, shown: String| {
        let _ = writeln!(text, "  {name:<34}{shown}");
    };
    row("expected error", size(line.expected, corrected, unit));
    row(
        "correction, to be added",
        size(-line.expected, corrected, unit),
    );
    row(
        "u of the corrected value (k = 1)",
        format!("{}, {law}", size(corrected, corrected, unit)),
    );
    row(
        "u of the uncorrected value",
        size(uncorrected, uncorrected, unit),
    );
    for (name, u) in parts(line) {
        row(&format!("  from {name}"), to_uncertainty(u, corrected));
    }
    if let Some(mean) = &line.interval {
        let shown = format!(
            "{}, u = {} (GUM F.2.4.5)",
            size(-mean.expected, mean.u, unit),
            size(mean.u, mean.u, unit)
        );
        row(
            &format!("one correction until {}", iso_date(mean.days.1)),
            shown,
        );
    }
}

/// The parts of the uncertainty by their names.
fn parts(line: &BudgetLine) -> [(&'static str, f64); 5] {
    [
        ("calibration", line.u_calibration),
        ("drift", line.u_drift),
        ("wander", line.u_wander),
        ("step risk", line.u_step),
        ("common part", line.u_common),
    ]
}

fn as_json(value: &Value, day: f64) -> serde_json::Value {
    let item = &value.item;
    let head = json!({
        "instrument": item.instrument,
        "point": item.point,
        "unit": item.unit,
        "date": date::iso(day),
        "cautions": value.cautions,
        "instrument_withdrawn": value.withdrawn_beside,
        "assigned": value.assigned.as_ref().map(|assigned| json!({
            "date": date::iso(assigned.day),
            "value": assigned.value,
            "u": assigned.u.is_finite().then_some(assigned.u),
            "by": match assigned.by.as_str() { "" => "not stated", name => name },
            "calibration": assigned.stands == Stands::Calibration,
            "started_from": assigned.stands != Stands::Beside,
            "moved_to_latest_source": assigned.moved,
            "readings_since": assigned.readings_since,
        })),
    });
    let line = match &value.line {
        Err(why) => json!({ "missing": why.to_string() }),
        Ok(line) => json!({
            "expected_error": line.expected,
            "correction": -line.expected,
            "u_corrected": line.u_corrected(),
            "u_uncorrected": line.u_uncorrected(),
            "u_calibration": line.u_calibration,
            "u_drift": line.u_drift,
            "u_wander": line.u_wander,
            "u_step": line.u_step,
            "u_common": line.u_common,
            "distribution": line.distribution(),
            "degrees_of_freedom": line.degrees_of_freedom.is_finite().then_some(line.degrees_of_freedom),
            "mean_correction": line.interval.map(|mean| -mean.expected),
            "u_mean_correction": line.interval.map(|mean| mean.u),
            "mean_until": line.interval.map(|mean| date::iso(mean.days.1.floor())),
        }),
    };
    match (head, line) {
        (serde_json::Value::Object(mut head), serde_json::Value::Object(line)) => {
            head.extend(line);
            serde_json::Value::Object(head)
        }
        (head, _) => head,
    }
}
