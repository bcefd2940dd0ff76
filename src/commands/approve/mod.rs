/*! `driftbook approve`: a named person puts an interval in force, or rejects a proposal. */

mod asked;
mod filled;

use super::append_entries::{all_or_why, append_entries, plan_signed_on, said_of_pinned};
use super::output::say;
use super::written_days::WrittenDays;
use super::{CommandError, CommandResult};
use crate::commands::refused::{Refused, refused};
use crate::decisions::policy::{Action, ApprovalState, Decision};
use crate::decisions::stage::DecisionStage;
use crate::decisions::withdrawn_beside::withdrawn_beside;
use crate::intervals::{Evidence, Forecast};
use crate::pipeline::ask_stage::{AskError, ask_stage};
use crate::pipeline::named;
use crate::records::reading::files;
use crate::records::{
    APPROVAL_COLUMNS, Approval, ApprovalBook, ApprovalVerdict, Item, Loaded, date,
};
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;
use crate::words::{count, percent};
use asked::{Ask, Asked};
use clap::Args;
use std::path::PathBuf;

/// Put intervals in force, or reject proposals, by name
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook approve GB-12 --by \"Head of laboratory\" --records lab.toml            (as proposed)\n  \
    driftbook approve GB-12 --interval 500 --by \"Head of laboratory\" --reason \"one loan a year\" --records lab.toml\n  \
    driftbook approve GB-12 --reject --by \"Head of laboratory\" --reason \"two checks more\" --records lab.toml\n  \
    driftbook approve --action extend --group gauges --by \"Head of laboratory\" --records lab.toml\n  \
    driftbook approve --from decisions-filled.csv --records lab.toml\n\n\
    Lines are appended to the book that [approvals] file of the pipeline names, else to approvals.csv beside it.")]
pub(crate) struct Arguments {
    /// Instrument; --action, --group or --from name several
    #[arg(required_unless_present_any = ["action", "group", "from"], conflicts_with_all = ["action", "group", "from"])]
    instrument: Option<String>,
    /// Point; needed where the instrument has several
    point: Option<String>,
    /// An interval of one's own, days [default: the proposal's]
    #[arg(long, value_name = "DAYS", allow_negative_numbers = true, conflicts_with_all = ["reject", "action", "group", "from"])]
    interval: Option<f64>,
    /// Reject the proposal: the interval in force stays
    #[arg(long, conflicts_with = "from")]
    reject: bool,
    /// Every proposal that waits with this action: extend, shorten or review
    #[arg(long, value_name = "ACTION", value_parser = ["extend", "shorten", "review"], conflicts_with = "from")]
    action: Option<String>,
    /// Every proposal that waits in this group
    #[arg(long, value_name = "GROUP", conflicts_with = "from")]
    group: Option<String>,
    /// What a page of the report saved, or a copy of decisions.csv with the column approval filled in:
    /// approved, rejected or other
    #[arg(long, value_name = "FILE")]
    from: Option<PathBuf>,
    /// Who decides
    #[arg(long, value_name = "NAME", required_unless_present = "from")]
    by: Option<String>,
    /// Why; needed for a rejection and for an interval of one's own
    #[arg(long, value_name = "TEXT", default_value = "")]
    reason: String,
    /// Last day on which it holds, YYYY-MM-DD
    #[arg(long, value_name = "DATE")]
    valid_until: Option<String>,
    /// Day of the decision, YYYY-MM-DD [default: today]
    #[arg(long, value_name = "DATE")]
    on: Option<String>,
    /// Pipeline file beside which the book is kept
    #[arg(long, value_name = "PIPELINE")]
    records: PathBuf,
}

/// One line to be written, and the last one of its item that it follows.
struct New {
    item: Item,
    line: Approval,
    in_force_days: f64,
    /// Probability in tolerance when the interval ends and the target, where the forecast leaves it below.
    below: Option<(f64, f64)>,
    /// What is said of a longer interval where another point of the instrument is withdrawn.
    withdrawn_beside: Option<String>,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let (plan, today) = plan_signed_on(&arguments.records, arguments.on.as_deref())?;
    let Some(book) = plan.approvals.clone() else {
        return Err(CommandError::usage(format!(
            "{} is no pipeline file: approvals are kept beside one",
            arguments.records.display()
        )));
    };
    let ask = |stage: &DecisionStage<'_>, _: &Loaded, _: Option<&ThermometryResults>| {
        lines(arguments, &plan, stage, today).map_err(|why| AskError::Unknown(why.to_string()))
    };
    let named = arguments.instrument.as_deref().unwrap_or_default();
    let (wanted, notes) = ask_stage(&plan, named, ask).map_err(CommandError::usage)?;
    let shown = files::shown(&book, &plan.base);
    append_entries(&book, &APPROVAL_COLUMNS, || {
        let read = ApprovalBook::read(&book, &shown, &plan.former, today);
        let read = read.map_err(CommandError::usage)?;
        wanted.iter().map(|new| entry(&read, new)).collect()
    })?;
    say(&confirmation(&plan, &wanted, &notes, &shown));
    Ok(0)
}

/// The lines that are asked for, and what is to be said beside them.
fn lines(
    arguments: &Arguments,
    plan: &Plan,
    stage: &DecisionStage<'_>,
    today: f64,
) -> Result<(Vec<New>, Vec<String>), Refused> {
    let own = asked_of(arguments, plan)?;
    let new = |index: usize, decision: &Decision, asked: &Asked| {
        let (evidence, item) = (stage.evidence(index), &stage.histories.items[index]);
        let line = asked.line(item, decision, evidence.cap);
        let out = |other| stage.decide(other).1.action == Action::Withdraw;
        line.map(|line| New {
            item: item.clone(),
            withdrawn_beside: line
                .approved_days
                .filter(|days| *days > decision.current_interval_days)
                .and_then(|_| withdrawn_beside(&stage.histories.items, index, out)),
            below: line
                .approved_days
                .filter(|_| !decision.level_in_doubt)
                .and_then(|days| below_target(&evidence, days)),
            line,
            in_force_days: decision.current_interval_days,
        })
        .map_err(|why| refused!("{}: {why}", item.name()))
    };
    if let Some(path) = &arguments.from {
        let filled = filled::read(path, &own, stage, (&WrittenDays::of(plan), today))?;
        let made = filled.rows.iter().map(|row| {
            new(row.index, &row.decision, &row.asked)
                .map_err(|why| refused!("{}: {why}", row.place))
        });
        return Ok((all_or_why(made)?, filled.notes));
    }
    if let Some(instrument) = &arguments.instrument {
        let index = named::find(stage.histories, instrument, arguments.point.as_deref())?;
        let (_, decision) = stage.decide(index);
        return Ok((vec![new(index, &decision, &own)?], Vec::new()));
    }
    let group = |item: &Item| {
        arguments
            .group
            .as_ref()
            .is_none_or(|group| item.group == *group)
    };
    let action = |decision: &Decision| {
        let wanted = arguments.action.as_deref();
        wanted.is_none_or(|action| decision.action.word() == action)
    };
    let decided = stage.decide_range(0..stage.histories.len());
    let waiting = decided.iter().enumerate().filter(|(index, (_, decision))| {
        let pending = decision.approval == ApprovalState::Pending;
        pending && action(decision) && group(&stage.histories.items[*index])
    });
    let made = all_or_why(waiting.map(|(index, (_, decision))| new(index, decision, &own)))?;
    match made.is_empty() {
        true => Err(refused!(
            "no proposal of these waits for a person: see the column approval of the table decisions"
        )),
        false => Ok((made, Vec::new())),
    }
}

/// What the command line asks for.
fn asked_of(arguments: &Arguments, plan: &Plan) -> Result<Asked, Refused> {
    Ok(Asked {
        ask: match (arguments.reject, arguments.interval) {
            (true, _) => Ask::Reject,
            (_, Some(days)) => Ask::Own(days),
            _ => Ask::Proposal,
        },
        by: arguments.by.clone().unwrap_or_default(),
        on: plan.as_of,
        valid_until: WrittenDays::of(plan).day(
            "--valid-until",
            arguments.valid_until.as_deref().unwrap_or_default(),
        )?,
        reason: arguments.reason.clone(),
    })
}

/// The values of a line, where the book still says of its item what the decision rested on.
fn entry(book: &ApprovalBook, new: &New) -> Result<Vec<String>, CommandError> {
    let (item, line) = (&new.item, &new.line);
    let seen = item.signed.as_ref().map(|signed| &signed.last);
    let last = book.last(&item.instrument, &item.point);
    if let Some(last) = last.filter(|last| last.on > line.on) {
        return Err(CommandError::usage(format!(
            "{}: {} decided on {}, after {}: give a later day",
            item.name(),
            last.by,
            date::iso(last.on),
            date::iso(line.on)
        )));
    }
    if let Some(last) = last.filter(|last| last.on == line.on && last.by != line.by) {
        return Err(CommandError::usage(format!(
            "{}: {} decided on the same day; two decisions of one day would contradict each other",
            item.name(),
            last.by
        )));
    }
    if last != seen {
        return Err(CommandError::usage(format!(
            "{}: the book has a new line; look again before you decide",
            item.name()
        )));
    }
    let [proposed, approved, decision, by, on, until, reason] = line.values();
    let (instrument, point) = (item.instrument.clone(), item.point.clone());
    Ok(vec![
        instrument, point, proposed, approved, decision, by, on, until, reason,
    ])
}

/// Probability in tolerance after `days` and the target, where the forecast leaves it below that.
fn below_target(evidence: &Evidence<'_>, days: f64) -> Option<(f64, f64)> {
    let probability = Forecast::new(evidence).ok()?.probability_in(days)?;
    (probability < evidence.target).then_some((probability, evidence.target))
}

fn confirmation(plan: &Plan, wanted: &[New], notes: &[String], shown: &str) -> String {
    const NAMED: usize = 20;
    let mut text = String::new();
    for New {
        item,
        line,
        in_force_days,
        below,
        withdrawn_beside,
    } in wanted.iter().take(NAMED)
    {
        let days = |days: Option<f64>| days.map_or("nothing".into(), |days| format!("{days} d"));
        let done = match line.verdict {
            ApprovalVerdict::Rejected => format!(
                "Rejected: {} for {}; {in_force_days} d stay in force",
                days(line.proposed_days),
                item.name()
            ),
            _ => format!(
                "In force: {in_force_days} → {} for {}",
                days(line.approved_days),
                item.name()
            ),
        };
        text += &format!("{done}, by {} on {}.", line.by, date::iso(line.on));
        if let Some((probability, target)) = below {
            text += &format!(
                " By the forecast the item is then in tolerance with probability {}, below the target of {}.",
                percent(*probability),
                percent(*target)
            );
        }
        if let Some(words) = withdrawn_beside {
            text += &format!(" But {words}.");
        }
        text.push('\n');
    }
    if wanted.len() > NAMED {
        text += &format!("… and {} more.\n", wanted.len() - NAMED);
    }
    for note in notes {
        text += &format!("{note}\n");
    }
    text += &format!("{} written to {shown}.\n", count(wanted.len(), "line"));
    let days = wanted.iter().map(|new| new.line.on);
    text + &said_of_pinned(plan, days, "these lines")
}
