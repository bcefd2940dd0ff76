/*! `values`: each shown item's line for uncertainty budgets on the dates of its interval, and the
part of its page that says it. */

use super::uncertainty::growth;
use crate::decisions::budget_line::BudgetLine;
use crate::decisions::no_value::NoValue;
use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::drift::adoption::assignment::Assignment;
use crate::files::run_error::RunError;
use crate::records::{Given, Histories};
use crate::report::SectionView;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::report::tables::forecast_days;
use crate::report::text::{iso_date, significant, size, to_uncertainty, with_minus_signs};
use rayon::prelude::*;

/// A line of the table: the history, the day, and the line or why there is none.
pub(super) type Row = (usize, f64, Result<BudgetLine, NoValue>);

/// The dates from `as_of` on, by quarters of a year, and the due date.
fn days(as_of: f64, due: f64) -> Vec<f64> {
    let mut days: Vec<f64> = forecast_days(as_of).take_while(|day| *day < due).collect();
    match due >= as_of {
        true => days.push(due.floor()),
        // Overdue, or without a due date: what it is today.
        false => days = vec![as_of],
    }
    days.dedup_by_key(|day| day.floor() as i64);
    days
}

fn lines(stage: &DecisionStage<'_>, index: usize, decision: &Decision) -> Vec<Row> {
    // By what is in force or proposed, whichever ends later: either may come to count.
    let days = days(stage.as_of, decision.due_date.max(decision.in_force_due));
    match stage.value_on(index, decision, stage.as_of) {
        // What forbids a value today forbids it on every day.
        Err(why) => vec![(index, stage.as_of, Err(why))],
        Ok(_) => days
            .into_iter()
            .map(|day| (index, day, stage.value_on(index, decision, day)))
            .collect(),
    }
}

/// Writes `values.csv` and `values.parquet` of the histories in `shown`.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    stage: &DecisionStage<'_>,
    decisions: &[Decision],
    shown: &[bool],
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let histories = stage.histories;
    let rows: Vec<Row> = (0..shown.len())
        .into_par_iter()
        .filter(|index| shown[*index])
        .flat_map_iter(|index| lines(stage, index, &decisions[index]))
        .collect();
    to.write_rows("values", &rows, |rows| table(histories, rows))
}

pub(super) fn table<'a>(histories: &'a Histories, rows: &'a [Row]) -> Table<'a> {
    let item = |(index, ..): &Row| &histories.items[*index];
    let line = |(.., line): &'a Row| line.as_ref().ok();
    let interval = |row: &'a Row| line(row)?.interval.as_ref();
    RowTable::of(rows)
        .text("instrument", |row| &item(row).instrument)
        .text("point", |row| &item(row).point)
        .text("unit", |row| &item(row).unit)
        .date("date", |(_, day, _)| *day)
        .known("expected_error", |row| Some(line(row)?.expected))
        .known("correction", |row| Some(-line(row)?.expected))
        .about("to be added: the negative of it")
        .known("u_corrected", |row| line(row).map(BudgetLine::u_corrected))
        .known("u_uncorrected", |row| {
            line(row).map(BudgetLine::u_uncorrected)
        })
        .about("error left in: root of the sum of squares")
        .known("u_calibration", |row| Some(line(row)?.u_calibration))
        .about("part of u")
        .known("u_drift", |row| Some(line(row)?.u_drift))
        .about("part of u")
        .known("u_wander", |row| Some(line(row)?.u_wander))
        .about("part of u")
        .known("u_step", |row| Some(line(row)?.u_step))
        .about("part of u: risk of a sudden step")
        .known("u_common", |row| Some(line(row)?.u_common))
        .about("part of u: shared with the reference")
        .word("distribution", |row| {
            line(row).map_or("", BudgetLine::distribution)
        })
        .about("normal, student_t")
        .known("degrees_of_freedom", |row| {
            Some(line(row)?.degrees_of_freedom)
        })
        .about("empty: infinite")
        .known("mean_correction", |row| Some(-interval(row)?.expected))
        .about("one for all days until the due date in force, GUM F.2.4.5")
        .known("u_mean_correction", |row| Some(interval(row)?.u))
        .date("mean_until", |row| {
            interval(row).map_or(f64::NAN, |mean| mean.days.1)
        })
        .about("the due date")
        .made("missing", |(.., line)| {
            line.as_ref()
                .err()
                .map(ToString::to_string)
                .unwrap_or_default()
        })
        .about("why there is no value")
        .done()
}

/// The part of the page of history `index`.
pub(super) fn section(
    stage: &DecisionStage<'_>,
    given: Option<&Given>,
    index: usize,
    decision: &Decision,
) -> SectionView {
    let unit = &stage.histories.items[index].unit;
    let all = lines(stage, index, decision);
    let missing = all.iter().find_map(|(_, _, line)| line.as_ref().err());
    let stated: Vec<(f64, &BudgetLine)> = all
        .iter()
        .filter_map(|(_, day, line)| Some((*day, line.as_ref().ok()?)))
        .collect();
    let mut paragraphs = vec![match (missing, stated.is_empty()) {
        (Some(why), true) => format!("No value is stated: {why}."),
        _ => "What the item contributes to an uncertainty budget on these dates: add the correction and use its u, or leave the error in and use the u of the uncorrected value. Its parts, standard uncertainties, add in squares.".to_string(),
    }];
    let given = given.map(|given| (given, stage.histories.offsets[index]));
    let certificate = Assignment::last(&stage.histories.get(index), given);
    paragraphs.extend(certificate.map(|it| with_minus_signs(&it.rests(unit))));
    paragraphs.extend(stated.first().and_then(|(_, line)| {
        let mean = line.interval.as_ref()?;
        Some(format!(
            "One correction for all days until {}: {}, with u = {} (GUM, F.2.4.5).",
            iso_date(mean.days.1),
            size(-mean.expected, mean.u, unit),
            size(mean.u, mean.u, unit)
        ))
    }));
    paragraphs.extend(stage.value_cautions(index, decision, stage.as_of));
    SectionView::of("Value for uncertainty budgets", paragraphs)
        .table(
            HEADERS,
            stated.iter().map(|(day, line)| cells(*day, line, unit)),
        )
        .figures(growth(stage, index, decision))
}

const HEADERS: &str = "date | correction | u corrected | u uncorrected | calibration | drift | wander | step risk | common part | distribution";

fn cells(day: f64, line: &BudgetLine, unit: &str) -> Vec<String> {
    let u = line.u_corrected();
    let part = |value: f64| to_uncertainty(value, u);
    vec![
        iso_date(day),
        size(-line.expected, u, unit),
        size(u, u, unit),
        size(line.u_uncorrected(), line.u_uncorrected(), unit),
        part(line.u_calibration),
        part(line.u_drift),
        part(line.u_wander),
        part(line.u_step),
        part(line.u_common),
        match line.degrees_of_freedom.is_infinite() {
            true => "normal".into(),
            false => format!(
                "Student's t, ν = {}",
                significant(line.degrees_of_freedom, 3)
            ),
        },
    ]
}
