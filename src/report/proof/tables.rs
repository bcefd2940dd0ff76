/*! The replay's tables for CSV and Parquet. */

use crate::records::Histories;
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::simulate::replay::{
    Ahead, Coverage, Difference, ForecasterResult, Hindsight, MethodResult, PastDecision, Scored,
};

/// One row a forecast of one forecaster, in walking order.
pub(crate) fn forecast_table(
    name: &str,
    histories: &Histories,
    scored: &[&Scored],
) -> Table<'static> {
    let history = |s: &Scored| histories.get(s.history as usize);
    RowTable::of(scored)
        .made("instrument", |s| history(s).item.instrument.clone())
        .made("point", |s| history(s).item.point.clone())
        .made("model", |_| name.to_string())
        .made("ahead", |s| match s.ahead {
            Ahead::Next => "next reading".to_string(),
            Ahead::Years(years) => format!("{years} years"),
        })
        .date("known_until", |s| history(s).date[s.origin as usize])
        .date("date", |s| history(s).date[s.target as usize])
        .number("reading", |s| history(s).as_found[s.target as usize])
        .number("expected", |s| s.prediction.expected)
        .number("u_reading", |s| s.prediction.u_reading)
        .number("degrees_of_freedom", |s| s.prediction.degrees_of_freedom)
        .flag("inside_band", |s| s.inside)
        .number("probability_in_tolerance", |s| s.probability_in)
        .number("crps_scaled", |s| s.crps)
        .done()
}

/// One row a cell of the coverage tables.
pub(crate) fn coverage_table(forecasters: &[ForecasterResult]) -> Table<'static> {
    let mut rows: Vec<(&str, &'static str, &Coverage)> = Vec::new();
    for forecaster in forecasters {
        let name = forecaster.name.as_str();
        rows.push((name, "all", &forecaster.next));
        rows.extend(forecaster.by_horizon.iter().map(|c| (name, "horizon", c)));
        rows.extend(
            forecaster
                .by_known
                .iter()
                .map(|c| (name, "checks known", c)),
        );
        rows.extend(forecaster.by_group.iter().map(|c| (name, "group", c)));
    }
    RowTable::of(&rows)
        .made("model", |r| r.0.to_string())
        .word("by", |r| r.1)
        .made("label", |r| r.2.label.clone())
        .about("which forecasts")
        .count("forecasts", |r| r.2.count as usize)
        .count("inside", |r| r.2.inside as usize)
        .about("the band")
        .number("lower", |r| r.2.limits.0)
        .about("limits of the share at 95 %, by histories")
        .number("upper", |r| r.2.limits.1)
        .about("limits of the share at 95 %, by histories")
        .number("width", |r| r.2.width)
        .number("crps", |r| r.2.crps)
        .number("interval_score", |r| r.2.interval_score)
        .done()
}

/// One row a past calibration and candidate.
pub(crate) fn decision_table(
    histories: &Histories,
    candidates: &[&str],
    decisions: &[PastDecision],
) -> Table<'static> {
    let rows: Vec<(&PastDecision, usize)> = decisions
        .iter()
        .flat_map(|decision| (0..candidates.len()).map(move |i| (decision, i)))
        .collect();
    let item = |d: &PastDecision| &histories.items[d.history as usize];
    let verdict = |d: &PastDecision, i: usize| match d.verdicts[i] {
        Hindsight::In => "in",
        Hindsight::Out => "out",
        Hindsight::Unknown => "untold",
    };
    // The decision stands behind the methods.
    let action = |d: &PastDecision, i: usize| match i + 1 == d.intervals.len() {
        true => d.action.word(),
        false => "",
    };
    RowTable::of(&rows)
        .made("instrument", |r| item(r.0).instrument.clone())
        .made("point", |r| item(r.0).point.clone())
        .date("date", |r| r.0.day)
        .about("of the decision")
        .made("method", |r| candidates[r.1].to_string())
        .number("interval_days", |r| r.0.intervals[r.1])
        .number("days_to_next_calibration", |r| r.0.gap_days)
        .word("in_tolerance_when_due", |r| verdict(r.0, r.1))
        .word("action", |r| action(r.0, r.1))
        .about("of the decision, method `policy`")
        .done()
}

/// One row a method.
pub(crate) fn method_table(methods: &[MethodResult]) -> Table<'static> {
    RowTable::of(methods)
        .made("method", |m| m.name.clone())
        .count("proposed", |m| m.proposed as usize)
        .count("in_tolerance", |m| m.inside as usize)
        .count("out_of_tolerance", |m| m.outside as usize)
        .count("untold", |m| m.unknown as usize)
        .number("lower", |m| m.limits.0)
        .about("limits of the share in tolerance")
        .number("upper", |m| m.limits.1)
        .about("limits of the share in tolerance")
        .number("calibrations_per_year", |m| m.proposed_per_year)
        .number("made_per_year", |m| m.made_per_year)
        .done()
}

/// One row a difference.
pub(crate) fn difference_table(differences: &[Difference]) -> Table<'static> {
    RowTable::of(differences)
        .made("first", |d| d.first.clone())
        .made("second", |d| d.second.clone())
        .word("what", |d| d.what)
        .count("cases", |d| d.count as usize)
        .number("difference", |d| d.mean)
        .number("standard_error", |d| d.error)
        .number("lower", |d| d.limits.0)
        .number("upper", |d| d.limits.1)
        .done()
}
