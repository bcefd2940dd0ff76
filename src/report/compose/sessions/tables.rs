/*! Tables of the reduction: sessions, budgets, and what they mean for each thermometer. */

use crate::files::run_error::RunError;
use crate::report::compose::results::ThermometryResults;
use crate::report::table::{Cells, Table};
use crate::report::table_writer::TableFolder;
use crate::thermometry::advice::Total;
use crate::thermometry::range::RatioChange;
use crate::thermometry::ratios::Ratio;
use crate::thermometry::reduction::BudgetRow;
use crate::thermometry::session::SessionResult;
use crate::thermometry::session_findings::SessionFindings;

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

pub(in crate::report::compose) fn sessions(results: &[SessionResult]) -> Table<'static> {
    let text =
        |of: &dyn Fn(&SessionResult) -> String| Cells::Text(results.iter().map(of).collect());
    let number =
        |of: &dyn Fn(&SessionResult) -> f64| Cells::Number(results.iter().map(of).collect());
    Table::default()
        .with("session", text(&|r| r.session.clone()))
        .with("instrument", text(&|r| r.instrument.clone()))
        .with("point", text(&|r| r.point.name()))
        .with(
            "date",
            Cells::Date(results.iter().map(|r| r.date).collect()),
        )
        .with("cell", text(&|r| r.cell.clone()))
        .with(
            "readings",
            Cells::Whole(results.iter().map(|r| Some(r.readings as i64)).collect()),
        )
        .with("resistance_ohm", number(&|r| r.reduced.resistance_ohm))
        .with("u_ohm", number(&|r| r.reduced.budget.u_ohm()))
        .with("expanded_ohm", number(&|r| r.reduced.expanded_ohm()))
        .with("coverage_factor", number(&|r| r.reduced.coverage_factor()))
        .with(
            "degrees_of_freedom",
            number(&|r| r.reduced.budget.effective_degrees_of_freedom()),
        )
        .with("change_mk", number(&|r| r.change_mk()))
        .with("u_mk", number(&|r| r.u_mk()))
        .with("u_common_mk", number(&|r| r.u_common_mk()))
        .with(
            "self_heating_mk",
            number(&|r| r.reduced.self_heating_mk.unwrap_or(f64::NAN)),
        )
        .with("departure_uk", number(&|r| r.reduced.departure_k * 1e6))
        .about("of the cell")
        .with("event", text(&|r| r.event.clone()))
        .with(
            "standing",
            Cells::Word(results.iter().map(|r| r.standing().word()).collect()),
        )
        .with("reasons", text(&|r| r.reasons()))
        .with(
            "value_in_use_ohm",
            number(&|r| {
                let known = r.reference_in_use.then_some(r.reference_ohm);
                known.unwrap_or(f64::NAN)
            }),
        )
        .about("that the change counts from")
        .with(
            "value_adopted_ohm",
            number(&|r| r.adopted.map_or(f64::NAN, |value| value.ohm)),
        )
        .about("after it and before the next accepted session")
}

pub(in crate::report::compose) fn budgets(results: &[SessionResult]) -> Table<'static> {
    let rows: Vec<(&SessionResult, &BudgetRow)> = results
        .iter()
        .flat_map(|r| r.reduced.budget.rows.iter().map(move |row| (r, row)))
        .collect();
    let text = |of: &dyn Fn(&SessionResult, &BudgetRow) -> String| {
        Cells::Text(rows.iter().map(|(r, row)| of(r, row)).collect())
    };
    let number = |of: &dyn Fn(&SessionResult, &BudgetRow) -> f64| {
        Cells::Number(rows.iter().map(|(r, row)| of(r, row)).collect())
    };
    Table::default()
        .with("session", text(&|r, _| r.session.clone()))
        .with("instrument", text(&|r, _| r.instrument.clone()))
        .with("point", text(&|r, _| r.point.name()))
        .with("component", text(&|_, row| row.component.clone()))
        .with("spread", number(&|_, row| row.spread))
        .with(
            "unit",
            Cells::Word(rows.iter().map(|(_, row)| row.unit).collect()),
        )
        .with(
            "distribution",
            Cells::Word(
                rows.iter()
                    .map(|(_, row)| row.distribution.word())
                    .collect(),
            ),
        )
        .with("divisor", number(&|_, row| row.divisor))
        .with("sensitivity_ohm", number(&|_, row| row.sensitivity))
        .about("Ω per unit")
        .with("contribution_ohm", number(&|_, row| row.contribution_ohm))
        .with(
            "contribution_mk",
            number(&|r, row| r.reduced.in_mk(row.contribution_ohm)),
        )
        .with(
            "degrees_of_freedom",
            number(&|_, row| row.degrees_of_freedom),
        )
        .with(
            "shared",
            Cells::Flag(rows.iter().map(|(_, row)| row.is_shared()).collect()),
        )
        .about("with other sessions")
}

/// W at other fixed points, with what changed since the last and the first session there.
pub(in crate::report::compose) fn ratios(thermometry: &SessionFindings) -> Table<'static> {
    let results = &thermometry.results;
    let reports = &thermometry.thermometers;
    let rows: Vec<&Ratio> = reports.iter().flat_map(|t| &t.ratios).collect();
    let text = |of: &dyn Fn(&Ratio) -> String| Cells::Text(rows.iter().map(|r| of(r)).collect());
    let number = |of: &dyn Fn(&Ratio) -> f64| Cells::Number(rows.iter().map(|r| of(r)).collect());
    let change = |of: fn(&Ratio) -> &Option<RatioChange>, value: fn(&RatioChange) -> f64| {
        number(&|r| of(r).as_ref().map_or(f64::NAN, value))
    };
    Table::default()
        .with("session", text(&|r| results[r.place].session.clone()))
        .with("instrument", text(&|r| results[r.place].instrument.clone()))
        .with("point", text(&|r| r.point.name().to_string()))
        .with(
            "date",
            Cells::Date(rows.iter().map(|r| results[r.place].date).collect()),
        )
        .with("ratio", number(&|r| r.value))
        .with("u_ratio", number(&|r| r.u))
        .with(
            "change_since_last_mk",
            change(|r| &r.since_last, |c| c.change_mk),
        )
        .with("u_since_last_mk", change(|r| &r.since_last, |c| c.u_mk))
        .with(
            "change_since_first_mk",
            change(|r| &r.since_first, |c| c.change_mk),
        )
        .with("u_since_first_mk", change(|r| &r.since_first, |c| c.u_mk))
        .with("if_added_mk", change(|r| &r.since_first, |c| c.if_added_mk))
        .about("change that an added resistance would give")
}

pub(in crate::report::compose) fn thermometers(thermometry: &SessionFindings) -> Table<'static> {
    let reports = &thermometry.thermometers;
    let advised = |of: &dyn Fn(&crate::thermometry::advice::Advice) -> String| {
        Cells::Text(
            reports
                .iter()
                .map(|t| t.advice.as_ref().map(of).unwrap_or_default())
                .collect(),
        )
    };
    let total = |of: fn(&Total) -> f64| {
        let totals = reports
            .iter()
            .map(|t| t.total.as_ref().map_or(f64::NAN, of));
        Cells::Number(totals.collect())
    };
    Table::default()
        .with(
            "instrument",
            Cells::Text(reports.iter().map(|t| t.instrument.clone()).collect()),
        )
        .with(
            "sessions",
            Cells::Whole(
                reports
                    .iter()
                    .map(|t| Some(t.sessions.len() as i64))
                    .collect(),
            ),
        )
        .with("advice", advised(&|a| a.kind.word().to_string()))
        .with("reason", advised(&|a| a.reason.clone()))
        .with("source", advised(&|a| a.source.to_string()))
        .with("impact", advised(&|a| a.impact.clone()))
        .with(
            "may_serve_as_reference",
            Cells::Flag(reports.iter().map(|t| t.before_use.passed).collect()),
        )
        .with(
            "reference_reason",
            Cells::Text(
                reports
                    .iter()
                    .map(|t| t.before_use.reason.clone())
                    .collect(),
            ),
        )
        .with("total_mk", total(|t| t.mk))
        .about("change since the last certificate")
        .with("u_total_mk", total(|t| t.u_mk))
}
