/*! `driftbook close`: a named person closes a finding, with what was done. */

use super::append_entries::{append_entries, plan_signed_on};
use super::output::say;
use super::verdict::arguments::usage;
use super::{CommandError, CommandResult};
use crate::conformity::DecisionRule;
use crate::control::{is_charted, item_chart};
use crate::decisions::cases::closings::{COLUMNS, Closings};
use crate::decisions::cases::{Standing, findings, standing};
use crate::drift::{basis_of, parameters_of};
use crate::pipeline::{named, season};
use crate::records::{Histories, History, RecordsError, date};
use crate::settings::plan::Plan;
use clap::Args;
use std::path::PathBuf;

/// Close a finding: a check out of tolerance, too near a limit to tell, or a signal of a control chart
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    driftbook close GB-12 --finding 2025-03-04 --by \"Quality officer\" --action \"customers told, two certificates recalled\" \
    --reference NC-2025-07 --records lab.toml\n\n\
    The closing is appended to the book that [cases] file of the pipeline names.")]
pub struct Arguments {
    /// Instrument
    instrument: String,
    /// Point; needed where the instrument has several
    point: Option<String>,
    /// Date of the check that was out of tolerance or signalled, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    finding: String,
    /// Who closes it
    #[arg(long, value_name = "NAME")]
    by: String,
    /// What was done
    #[arg(long, value_name = "TEXT")]
    action: String,
    /// Certificate, order or report
    #[arg(long, value_name = "TEXT", default_value = "")]
    reference: String,
    /// When it was closed, YYYY-MM-DD [default: today]
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
    /// Pipeline file whose book it is written to
    #[arg(long, value_name = "PIPELINE")]
    records: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> CommandResult {
    let (plan, today) = plan_signed_on(&arguments.records, arguments.on.as_deref())?;
    let Some(file) = &plan.settings.cases.file else {
        return Err(usage(format!(
            "{} names no book of closings: add [cases] with file = \"cases.csv\"",
            arguments.records.display()
        )));
    };
    let blank = [("--by", &arguments.by), ("--action", &arguments.action)];
    if let Some((name, _)) = blank.iter().find(|(_, text)| text.trim().is_empty()) {
        return Err(usage(format!(
            "{name} is empty: a closing has a name and what was done"
        )));
    }
    let records = |why: RecordsError| usage(why.to_string());
    let season = season::read(&plan).map_err(|why| records(why.into()))?;
    let loaded = season::load(&plan, season.as_ref()).map_err(|why| records(why.into()))?;
    let (instrument, point) = (&arguments.instrument, arguments.point.as_deref());
    let index = named::find(&loaded.histories, instrument, point).map_err(usage)?;
    let history = loaded.histories.get(index);
    let rule = plan.settings.conformity.decision_rule();
    let signals = signal_days(&plan, &loaded.histories, index, today).map_err(usage)?;
    append_entries(&plan.base.join(file), &COLUMNS, || {
        let day = open_finding(
            (&plan, today),
            (&history, &signals),
            &rule,
            &arguments.finding,
        )?;
        let item = history.item;
        let values = [
            item.instrument.as_str(),
            &item.point,
            &date::iso(day),
            arguments.by.trim(),
            &date::iso(plan.as_of),
            arguments.action.trim(),
            arguments.reference.trim(),
        ];
        Ok(vec![values.map(String::from).to_vec()])
    })?;
    say(&format!(
        "Closed: the finding of {} of {}, by {}, in {file}.\n",
        arguments.finding,
        history.item.name(),
        arguments.by.trim()
    ));
    Ok(0)
}

/// Days of the signals of the control chart of history `index`, which are closed like findings.
fn signal_days(
    plan: &Plan,
    histories: &Histories,
    index: usize,
    today: f64,
) -> Result<Vec<f64>, String> {
    let closings = Closings::of(&plan.settings.cases, &plan.base, &plan.former, today)
        .map_err(|why| why.to_string())?;
    let history = histories.get(index);
    let (control, drift) = (&plan.settings.control, &plan.settings.drift);
    if !is_charted(&history, control) {
        return Ok(Vec::new());
    }
    let class = parameters_of(&basis_of(histories, index), drift);
    let item = history.item;
    let closed = closings.map(|book| book.closed(&item.instrument, &item.point));
    let chart = item_chart(&history, &class, (control, drift), closed.as_deref());
    Ok(chart.signal_days())
}

/// The day of the finding of `text`, where it is open by the book as it stands now.
fn open_finding(
    (plan, today): (&Plan, f64),
    (history, signals): (&History<'_>, &[f64]),
    rule: &DecisionRule,
    text: &str,
) -> Result<f64, CommandError> {
    let wanted = date::parse_iso(text.trim().as_bytes())
        .map(f64::floor)
        .ok_or_else(|| {
            usage(format!(
                "--finding \"{text}\" is not a date: expected YYYY-MM-DD"
            ))
        })?;
    let book = Closings::of(&plan.settings.cases, &plan.base, &plan.former, today)
        .map_err(|why| usage(why.to_string()))?;
    let found = findings(history, rule)
        .into_iter()
        .map(|finding| finding.day.floor());
    let mut found: Vec<f64> = found.chain(signals.iter().copied()).collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    let named = history.item.name();
    if !found.contains(&wanted) {
        let days: Vec<String> = found.iter().map(|day| date::iso(*day)).collect();
        let there = match days.is_empty() {
            true => "it has none".to_string(),
            false => format!("it has those of {}", days.join(", ")),
        };
        return Err(usage(format!("{named} has no finding of {text}: {there}")));
    }
    match standing(history, wanted, book.as_ref(), today) {
        Standing::Closed(closing) => Err(usage(format!(
            "the finding of {text} of {named} was closed by {} on {}",
            closing.by,
            date::iso(closing.on as f64)
        ))),
        Standing::BeforeBook => Err(usage(format!(
            "the finding of {text} of {named} is older than the book ([cases] since) and counts as closed"
        ))),
        Standing::Open | Standing::NotKept => Ok(wanted),
    }
}
