/*! Instruments as a table, as a part of the front page and as a line on the page of each point. */

use super::super::report::Report;
use crate::decisions::instrument::{Dependence, Instrument, of_history};
use crate::decisions::policy::{Action, Decision};
use crate::files::run_error::RunError;
use crate::records::{Histories, Item};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::report::text::{count, iso_date, percent, with_minus_signs};
use crate::report::{InstrumentRow, SectionView};
use crate::words::percent_down;

/// Instruments listed on the front page; all are in `instruments.csv`.
const LISTED: usize = 200;

/// Writes `instruments.csv` and `instruments.parquet`: one row an instrument.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    histories: &Histories,
    decisions: &[Decision],
    instruments: &[Instrument<'_>],
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    to.write_rows("instruments", instruments, |rows| {
        table(histories, decisions, rows)
    })
}

pub(crate) fn table<'a>(
    histories: &'a Histories,
    decisions: &[Decision],
    rows: &'a [Instrument<'_>],
) -> Table<'a> {
    let open = |row: &Instrument<'_>| {
        let points = decisions.get(row.points.clone())?;
        let of_points: Option<usize> = points.iter().map(|point| point.open_cases).sum();
        of_points.map(|number| number as i64)
    };
    let item = |row: &Instrument<'_>| &histories.items[row.points.start];
    RowTable::of(rows)
        .text("instrument", |row| &item(row).instrument)
        .count("points", |row| row.points.len())
        .about("how many")
        .word("action", |row| row.action.word())
        .about("the worst of them")
        .date("due_date", |row| row.due_date)
        .about("the earliest; the as-of date where a point is withdrawn")
        .date("in_force_due", |row| row.in_force_due)
        .about("the earliest by the intervals in force; empty where a point is withdrawn: whether it may serve at the others a person decides")
        .number("probability_in_tolerance", |row| row.joint.probability)
        .about("of all points at once, on the due date")
        .word("dependence", |row| row.joint.dependence.word())
        .about("`one_point`; `data`: the points' changes go together; `bound`: smallest probability under any dependence; `unknown`: a point has no forecast or no tolerance")
        .word("status", |row| serving(&histories.items, row).status.word())
        .about("of the register: in_use, lent, stored, retired, lost; of the point that serves where points differ")
        .whole("open_cases", open)
        .about("empty where they are not kept")
        .made("reason", Instrument::reason)
        .done()
}

/// The point of an instrument whose standing is that of the whole: one that serves, where points differ.
fn serving<'i>(items: &'i [Item], instrument: &Instrument<'_>) -> &'i Item {
    let points = &items[instrument.points.clone()];
    let least_away = points.iter().min_by_key(|item| item.status);
    least_away.unwrap_or(&items[instrument.points.start])
}

/// Rows of the fleet's view: the date in force, with the proposed one beside it. What is withdrawn
/// is due at once, what is lent or stored when it comes back; nothing else makes a date.
pub(crate) fn rows(
    items: &[Item],
    instruments: &[Instrument<'_>],
    as_of: f64,
) -> Vec<InstrumentRow> {
    let row = |instrument: &Instrument<'_>| {
        let item = &items[instrument.points.start];
        let withdrawn = instrument.action == Action::Withdraw;
        let due = instrument.act_on;
        // What is retired or lost for a time is due on no day: that it may come back decides nothing.
        let serving = serving(items, instrument);
        let back = serving
            .until
            .filter(|_| serving.status.is_away() && due.is_finite());
        let day = match withdrawn {
            true => as_of,
            false => back.map_or(due, |back| due.max(back)),
        };
        let mut reason = instrument.reason();
        if let Some(proposed) = instrument.proposed_due() {
            reason += &format!(
                " Due by the interval in force; proposed and not approved yet: {}.",
                iso_date(proposed)
            );
        }
        InstrumentRow {
            instrument: item.instrument.clone(),
            point: match instrument.points.len() {
                1 => item.point.clone(),
                _ => String::new(),
            },
            points: instrument.points.len(),
            group: item.group.clone(),
            action: instrument.action,
            due_day: Some(day).filter(|day| day.is_finite()),
            reason: with_minus_signs(&reason),
        }
    };
    instruments.iter().map(row).collect()
}

impl Report<'_> {
    /// The instrument of history `index`, where it has several points.
    pub(crate) fn instrument_of(&self, index: usize) -> Option<&Instrument<'_>> {
        of_history(self.instruments, index).filter(|instrument| instrument.points.len() > 1)
    }

    /// The line on the page of history `index`.
    pub(crate) fn instrument_line(&self, index: usize) -> String {
        self.instrument_of(index).map_or(String::new(), |own| {
            format!(
                "The instrument as one thing: {}",
                with_minus_signs(&own.headline)
            )
        })
    }

    /// Instruments with several points, the most urgent first.
    pub(crate) fn instrument_section(&self) -> Option<SectionView> {
        Several::of(self, &|index| index).section()
    }
}

/// Instruments with several points: how many, and the most urgent of them.
#[derive(Debug, Default)]
pub(crate) struct Several {
    number: usize,
    listed: Vec<Listed>,
}

/// How urgent an instrument is, where its first point stands among all histories, and its row.
#[derive(Debug)]
struct Listed {
    action: Action,
    due_date: f64,
    place: usize,
    row: Vec<String>,
}

/// The date to act on, with that of a proposal which waits, as the table of decisions has it.
fn due(instrument: &Instrument<'_>) -> String {
    let in_force = match instrument.act_on.is_finite() {
        _ if instrument.action == Action::Withdraw => "now".into(),
        true => iso_date(instrument.act_on),
        false => "none".into(),
    };
    match instrument.proposed_due() {
        Some(proposed) => format!("{in_force} (proposed {}, not approved)", iso_date(proposed)),
        None => in_force,
    }
}

impl Several {
    /// Those of a report; the history `index` stands at `place(index)` among all.
    pub(crate) fn of(report: &Report<'_>, place: &dyn Fn(usize) -> usize) -> Self {
        let items = &report.results.loaded.histories.items;
        let mut several: Vec<&Instrument<'_>> = report
            .instruments
            .iter()
            .filter(|instrument| instrument.points.len() > 1)
            .collect();
        let number = several.len();
        several.sort_by(|a, b| {
            let by_action = a.action.cmp(&b.action);
            by_action.then(a.due_date.total_cmp(&b.due_date))
        });
        let listed = several.iter().take(LISTED).map(|own| Listed {
            action: own.action,
            due_date: own.due_date,
            place: place(own.points.start),
            row: vec![
                items[own.points.start].instrument.clone(),
                own.points.len().to_string(),
                own.action.word().into(),
                due(own),
                together(own),
                with_minus_signs(&own.reason()),
            ],
        });
        Self {
            number,
            listed: listed.collect(),
        }
    }

    /// Adds those of another part of the fleet.
    pub(crate) fn add(&mut self, other: Self) {
        self.number += other.number;
        self.listed.extend(other.listed);
        self.listed.sort_by(|a, b| {
            let by_action = a.action.cmp(&b.action);
            let by_due = by_action.then(a.due_date.total_cmp(&b.due_date));
            by_due.then(a.place.cmp(&b.place))
        });
        self.listed.truncate(LISTED);
    }

    /// The section; `None` where there is none.
    pub(crate) fn section(self) -> Option<SectionView> {
        let Self { number, listed } = self;
        if number == 0 {
            return None;
        }
        let more = match number > LISTED {
            true => format!(" The {LISTED} most urgent are shown."),
            false => String::new(),
        };
        let words = format!(
            "{}: each is one thing, with the worst action and the earliest due date of its points.{more} The table instruments has every instrument.",
            count(number, "instrument")
        );
        Some(
            SectionView::of("Instruments with several points", [words]).table(
                "instrument | points | action | due | all in tolerance when due | reason",
                listed.into_iter().map(|own| own.row),
            ),
        )
    }
}

/// The joint probability with what it is worth.
fn together(own: &Instrument<'_>) -> String {
    let probability = percent(own.joint.probability);
    match own.joint.dependence {
        Dependence::Unknown => "unknown".into(),
        Dependence::Bound => format!("{} or more", percent_down(own.joint.probability)),
        Dependence::OnePoint | Dependence::Data { .. } => probability,
    }
}
