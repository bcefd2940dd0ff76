/*! Tables of the reduction: sessions, budgets, and what they mean for each thermometer. */

use crate::files::run_error::RunError;
use crate::report::compose::results::ThermometryResults;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_writer::TableFolder;
use crate::thermometry::advice::Advice;
use crate::thermometry::ratios::Ratio;
use crate::thermometry::reduction::BudgetRow;
use crate::thermometry::session::SessionResult;
use crate::thermometry::session_findings::{SessionFindings, ThermometerReport};

/// Writes `sessions`, `budgets`, `ratios` and `thermometers` as CSV and Parquet; nothing without sessions.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write(
    thermometry: Option<&ThermometryResults>,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let Some(thermometry) = thermometry.filter(|thermometry| thermometry.has_readings()) else {
        return Ok(());
    };
    to.write("sessions", &sessions(&thermometry.findings.results))?;
    to.write("budgets", &budgets(&thermometry.findings.results))?;
    to.write("ratios", &ratios(&thermometry.findings))?;
    to.write("thermometers", &thermometers(&thermometry.findings))
}

pub(crate) fn sessions(results: &[SessionResult]) -> Table<'static> {
    RowTable::of(results)
        .made("session", |r| r.session.clone())
        .made("instrument", |r| r.instrument.clone())
        .made("point", |r| r.point.name())
        .date("date", |r| r.date)
        .made("cell", |r| r.cell.clone())
        .count("readings", |r| r.readings)
        .number("resistance_ohm", |r| r.reduced.resistance_ohm)
        .number("u_ohm", |r| r.reduced.budget.u_ohm())
        .number("expanded_ohm", |r| r.reduced.expanded_ohm())
        .number("coverage_factor", |r| r.reduced.coverage_factor())
        .number("degrees_of_freedom", |r| {
            r.reduced.budget.effective_degrees_of_freedom()
        })
        .number("change_mk", |r| r.change_mk())
        .number("u_mk", |r| r.u_mk())
        .number("u_common_mk", |r| r.u_common_mk())
        .known("self_heating_mk", |r| r.reduced.self_heating_mk)
        .number("departure_uk", |r| r.reduced.departure_k * 1e6)
        .about("of the cell")
        .made("event", |r| r.event.clone())
        .word("standing", |r| r.standing().word())
        .made("reasons", |r| r.reasons())
        .known("value_in_use_ohm", |r| {
            r.reference_in_use.then_some(r.reference_ohm)
        })
        .about("that the change counts from")
        .known("value_adopted_ohm", |r| r.adopted.map(|value| value.ohm))
        .about("after it and before the next accepted session")
        .done()
}

pub(crate) fn budgets(results: &[SessionResult]) -> Table<'static> {
    let rows: Vec<(&SessionResult, &BudgetRow)> = results
        .iter()
        .flat_map(|r| r.reduced.budget.rows.iter().map(move |row| (r, row)))
        .collect();
    RowTable::of(&rows)
        .made("session", |(r, _)| r.session.clone())
        .made("instrument", |(r, _)| r.instrument.clone())
        .made("point", |(r, _)| r.point.name())
        .made("component", |(_, row)| row.component.clone())
        .number("spread", |(_, row)| row.spread)
        .word("unit", |(_, row)| row.unit)
        .word("distribution", |(_, row)| row.distribution.word())
        .number("divisor", |(_, row)| row.divisor)
        .number("sensitivity_ohm", |(_, row)| row.sensitivity)
        .about("Ω per unit")
        .number("contribution_ohm", |(_, row)| row.contribution_ohm)
        .number("contribution_mk", |(r, row)| {
            r.reduced.in_mk(row.contribution_ohm)
        })
        .number("degrees_of_freedom", |(_, row)| row.degrees_of_freedom)
        .flag("shared", |(_, row)| row.is_shared())
        .about("with other sessions")
        .done()
}

/// W at other fixed points, with what changed since the last and the first session there.
pub(crate) fn ratios(thermometry: &SessionFindings) -> Table<'static> {
    let of = |r: &&Ratio| &thermometry.results[r.place];
    let reports = &thermometry.thermometers;
    let rows: Vec<&Ratio> = reports.iter().flat_map(|t| &t.ratios).collect();
    RowTable::of(&rows)
        .made("session", |r| of(r).session.clone())
        .made("instrument", |r| of(r).instrument.clone())
        .made("point", |r| r.point.name().to_string())
        .date("date", |r| of(r).date)
        .number("ratio", |r| r.value)
        .number("u_ratio", |r| r.u)
        .known("change_since_last_mk", |r| {
            Some(r.since_last.as_ref()?.change_mk)
        })
        .known("u_since_last_mk", |r| Some(r.since_last.as_ref()?.u_mk))
        .known("change_since_first_mk", |r| {
            Some(r.since_first.as_ref()?.change_mk)
        })
        .known("u_since_first_mk", |r| Some(r.since_first.as_ref()?.u_mk))
        .known("if_added_mk", |r| Some(r.since_first.as_ref()?.if_added_mk))
        .about("change that an added resistance would give")
        .done()
}

pub(crate) fn thermometers(thermometry: &SessionFindings) -> Table<'static> {
    let advised = |t: &ThermometerReport, of: fn(&Advice) -> &str| {
        t.advice.as_ref().map_or("", of).to_string()
    };
    RowTable::of(&thermometry.thermometers)
        .made("instrument", |t| t.instrument.clone())
        .count("sessions", |t| t.sessions.len())
        .made("advice", |t| advised(t, |a| a.kind.word()))
        .made("reason", |t| advised(t, |a| &a.reason))
        .made("source", |t| advised(t, |a| a.source))
        .made("impact", |t| advised(t, |a| &a.impact))
        .flag("may_serve_as_reference", |t| t.before_use.passed)
        .made("reference_reason", |t| t.before_use.reason.clone())
        .known("total_mk", |t| Some(t.total.as_ref()?.mk))
        .about("change since the last certificate")
        .known("u_total_mk", |t| Some(t.total.as_ref()?.u_mk))
        .done()
}
