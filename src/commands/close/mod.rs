/*! `driftbook close`: a named person closes a finding, with what was done. */

mod filled;

use super::append_entries::{all_or_why, append_entries, plan_signed_on, said_of_pinned};
use super::output::say;
use super::written_days::WrittenDays;
use super::{CommandError, CommandResult};
use crate::commands::refused::{Refused, refused};
use crate::control::{is_charted, item_chart};
use crate::decisions::cases::closings::{COLUMNS, Closings};
use crate::decisions::cases::{CaseStanding, findings, standing};
use crate::drift::{basis_of, parameters_of};
use crate::ledger::earlier::looked_back;
use crate::ledger::gone::Gone;
use crate::pipeline::{named, thermometry};
use crate::records::{Histories, RecordsError, date};
use crate::settings::plan::Plan;
use crate::words::history_name;
use clap::Args;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Close a finding: a check out of tolerance, too near a limit to tell, or a signal of a control chart
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook close GB-12 --finding 2025-03-04 --by \"Quality officer\" --action \"customers told, two certificates recalled\" \
    --reference NC-2025-07 --records lab.toml\n  \
    driftbook close --from cases-to-close.csv --records lab.toml\n\n\
    The closing is appended to the book that [cases] file of the pipeline names.")]
pub(crate) struct Arguments {
    /// Instrument
    #[arg(required_unless_present = "from", conflicts_with = "from")]
    instrument: Option<String>,
    /// Point; needed where the instrument has several
    point: Option<String>,
    /// Date of the check that was out of tolerance or signalled, YYYY-MM-DD
    #[arg(
        long,
        value_name = "DATE",
        required_unless_present = "from",
        conflicts_with = "from"
    )]
    finding: Option<String>,
    /// What a page of the report saved, or a file with the columns of the book: instrument, point, finding,
    /// closed_by, closed_on, action, reference
    #[arg(long, value_name = "FILE")]
    from: Option<PathBuf>,
    /// Who closes it
    #[arg(long, value_name = "NAME", required_unless_present = "from")]
    by: Option<String>,
    /// What was done
    #[arg(long, value_name = "TEXT", required_unless_present = "from")]
    action: Option<String>,
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

/// One finding that a person closes.
#[derive(Debug, Clone)]
struct Asked {
    /// Where it is asked for, before what is said of it; may be empty.
    place: String,
    /// Whose finding it is.
    of: Whose,
    /// Date of the check, as it is written.
    finding: String,
    by: String,
    /// Days since 1970-01-01.
    on: f64,
    action: String,
    reference: String,
}

/// Whose finding is closed.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Whose {
    /// That of the history at this place.
    History(usize),
    /// Of an item that is gone from the records, whose failures an earlier run knew.
    Gone { instrument: String, point: String },
}

impl Whose {
    /// Instrument and point.
    fn names<'a>(&'a self, histories: &'a Histories) -> (&'a str, &'a str) {
        match self {
            Self::History(index) => {
                let item = &histories.items[*index];
                (&item.instrument, &item.point)
            }
            Self::Gone { instrument, point } => (instrument, point),
        }
    }

    /// The history, or what is known of one that is gone, that a person's words name; `unknown` says why no history is.
    fn gone<E>(instrument: &str, point: Option<&str>, gone: &Gone, unknown: E) -> Result<Self, E> {
        let points = gone.vanished_points(instrument);
        let of = |point: &str| Self::Gone {
            instrument: instrument.to_string(),
            point: point.to_string(),
        };
        match (point, points.as_slice()) {
            (None, [only]) => Ok(of(only)),
            (Some(point), _) if points.contains(&point) => Ok(of(point)),
            _ => Err(unknown),
        }
    }
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let (plan, today) = plan_signed_on(&arguments.records, arguments.on.as_deref())?;
    let Some(file) = &plan.settings.cases.file else {
        return Err(CommandError::usage(format!(
            "{} names no book of closings: add [cases] with file = \"cases.csv\"",
            arguments.records.display()
        )));
    };
    let records = |why: RecordsError| CommandError::usage(why);
    let thermometry = thermometry::read(&plan).map_err(|why| records(why.into()))?;
    let loaded =
        thermometry::load(&plan, thermometry.as_ref()).map_err(|why| records(why.into()))?;
    let histories = &loaded.histories;
    let mut before = looked_back(&plan);
    before.find_gone(histories, &plan.settings.conformity.decision_rule());
    let known = (histories, &before.gone);
    let asked = asked(arguments, &plan, known, today).map_err(CommandError::usage)?;
    append_entries(&plan.base.join(file), &COLUMNS, || {
        entries(&plan, today, known, &asked).map_err(CommandError::usage)
    })?;
    let lines = asked.iter().map(|asked| {
        let (instrument, point) = asked.of.names(histories);
        format!(
            "Closed: the finding of {} of {}, by {}, in {file}.\n",
            asked.finding,
            history_name(instrument, point),
            asked.by
        )
    });
    let days = asked.iter().map(|asked| asked.on);
    let later = said_of_pinned(&plan, days, "closings of later days");
    say(&(lines.collect::<String>() + &later));
    Ok(0)
}

/// What a person asks for, by the command's line or in a file.
fn asked(
    arguments: &Arguments,
    plan: &Plan,
    (histories, gone): (&Histories, &Gone),
    today: f64,
) -> Result<Vec<Asked>, Refused> {
    let text = |given: &Option<String>| given.as_deref().unwrap_or_default().trim().to_string();
    let own = Asked {
        place: String::new(),
        of: Whose::History(0),
        finding: text(&arguments.finding),
        by: text(&arguments.by),
        on: plan.as_of,
        action: text(&arguments.action),
        reference: arguments.reference.trim().to_string(),
    };
    if let Some(path) = &arguments.from {
        return filled::read(
            path,
            &own,
            (histories, gone),
            (&WrittenDays::of(plan), today),
        );
    }
    let instrument = arguments.instrument.as_deref().unwrap_or_default();
    let point = arguments.point.as_deref();
    let of = match named::find(histories, instrument, point) {
        Ok(index) => Whose::History(index),
        Err(why) => Whose::gone(instrument, point, gone, why)?,
    };
    Ok(vec![Asked { of, ..own }])
}

/// The day of the finding that a closing names, where that can be closed so.
fn wanted_day(asked: &Asked, days: &WrittenDays) -> Result<f64, Refused> {
    for (name, text) in [
        ("who closes it", &asked.by),
        ("what was done", &asked.action),
    ] {
        if text.is_empty() {
            return Err(refused!(
                "expected {name}: a closing has a name and what was done"
            ));
        }
    }
    let wanted = days.day("the finding", &asked.finding)?;
    let wanted = wanted.ok_or_else(|| refused!("expected the finding: its day"))?;
    // First: the records are those of the day of closing, and hold nothing later.
    if asked.on < wanted {
        return Err(refused!(
            "closed on {}, before the finding of {}",
            date::iso(asked.on),
            asked.finding
        ));
    }
    Ok(wanted)
}

/// The lines of the book, by the book as it stands now: all of them or none.
fn entries(
    plan: &Plan,
    today: f64,
    (histories, gone): (&Histories, &Gone),
    asked: &[Asked],
) -> Result<Vec<Vec<String>>, Refused> {
    let book = Closings::of(&plan.settings.cases, &plan.base, &plan.former, today)?;
    let rule = plan.settings.conformity.decision_rule();
    let days = WrittenDays::of(plan);
    let mut closed = BTreeSet::new();
    let mut entry = |asked: &Asked| {
        let wanted = wanted_day(asked, &days)?;
        let (instrument, point) = asked.of.names(histories);
        let found = match asked.of {
            Whose::History(index) => {
                let found = findings(&histories.get(index), &rule).into_iter();
                let mut found: Vec<f64> = found.map(|finding| finding.day.floor()).collect();
                found.extend(signal_days(plan, histories, index, book.as_ref()));
                found.extend(gone.days(index));
                found
            }
            Whose::Gone { .. } => gone.vanished_days(instrument, point),
        };
        let day = open_finding((instrument, point), found, (book.as_ref(), today), wanted)?;
        if !closed.insert((instrument.to_string(), point.to_string(), day.to_bits())) {
            return Err(refused!(
                "the finding of {} of {} is closed by another row too: keep one",
                asked.finding,
                history_name(instrument, point)
            ));
        }
        let values = [
            instrument,
            point,
            &date::iso(day),
            &asked.by,
            &date::iso(asked.on),
            &asked.action,
            &asked.reference,
        ];
        Ok(values.map(String::from).to_vec())
    };
    let single = matches!(asked, [only] if only.place.is_empty());
    let made = asked.iter().map(|asked| {
        let prefix = match asked.place.as_str() {
            "" => String::new(),
            place => format!("{place}: "),
        };
        entry(asked).map_err(|why| refused!("{prefix}{why}"))
    });
    match single {
        true => made.collect(),
        false => all_or_why(made),
    }
}

/// Days of the signals of the control chart of history `index`, which are closed like findings.
fn signal_days(
    plan: &Plan,
    histories: &Histories,
    index: usize,
    book: Option<&Closings>,
) -> Vec<f64> {
    let history = histories.get(index);
    let (control, drift) = (&plan.settings.control, &plan.settings.drift);
    if !is_charted(&history, control) {
        return Vec::new();
    }
    let class = parameters_of(&basis_of(histories, index), drift);
    let item = history.item;
    let closed = book.map(|book| book.closed(&item.instrument, &item.point));
    let chart = item_chart(&history, &class, (control, drift), closed.as_deref());
    chart.signal_days()
}

/// The day `wanted` of those `found`, where that finding is open by the book.
fn open_finding(
    (instrument, point): (&str, &str),
    mut found: Vec<f64>,
    (book, today): (Option<&Closings>, f64),
    wanted: f64,
) -> Result<f64, Refused> {
    let text = date::iso(wanted);
    found.sort_by(f64::total_cmp);
    found.dedup();
    let named = history_name(instrument, point);
    if !found.contains(&wanted) {
        let days: Vec<String> = found.iter().map(|day| date::iso(*day)).collect();
        let there = match days.is_empty() {
            true => "it has none".to_string(),
            false => format!("it has those of {}", days.join(", ")),
        };
        return Err(refused!("{named} has no finding of {text}: {there}"));
    }
    match standing((instrument, point), wanted, book, today) {
        CaseStanding::Closed(closing) => Err(refused!(
            "the finding of {text} of {named} was closed by {} on {}",
            closing.by,
            date::iso(closing.on as f64)
        )),
        CaseStanding::BeforeBook => Err(refused!(
            "the finding of {text} of {named} is older than the book ([cases] since) and counts as closed"
        )),
        CaseStanding::Open | CaseStanding::NotKept => Ok(wanted),
    }
}
