/*! The replay's tables for CSV and Parquet. */

use crate::records::Histories;
use crate::report::table::{Cells, Table};
use crate::simulate::replay::{
    Ahead, Coverage, Difference, ForecasterResult, Hindsight, MethodResult, PastDecision, Scored,
};

/// One row a forecast of one forecaster, in walking order.
pub(crate) fn forecast_table(
    name: &str,
    histories: &Histories,
    scored: &[&Scored],
) -> Table<'static> {
    let item = |s: &&Scored| &histories.items[s.history as usize];
    let history = |s: &&Scored| histories.get(s.history as usize);
    let number = |of: &dyn Fn(&&Scored) -> f64| Cells::Number(scored.iter().map(of).collect());
    let date = |of: &dyn Fn(&&Scored) -> f64| Cells::Date(scored.iter().map(of).collect());
    let ahead = |s: &&Scored| match s.ahead {
        Ahead::Next => "next reading".to_string(),
        Ahead::Years(years) => format!("{years} years"),
    };
    Table::default()
        .with(
            "instrument",
            Cells::Text(scored.iter().map(|s| item(s).instrument.clone()).collect()),
        )
        .with(
            "point",
            Cells::Text(scored.iter().map(|s| item(s).point.clone()).collect()),
        )
        .with("model", Cells::Text(vec![name.to_string(); scored.len()]))
        .with("ahead", Cells::Text(scored.iter().map(ahead).collect()))
        .with("known_until", date(&|s| history(s).date[s.origin as usize]))
        .with("date", date(&|s| history(s).date[s.target as usize]))
        .with(
            "reading",
            number(&|s| history(s).as_found[s.target as usize]),
        )
        .with("expected", number(&|s| s.prediction.expected))
        .with("u_reading", number(&|s| s.prediction.u_reading))
        .with(
            "degrees_of_freedom",
            number(&|s| s.prediction.degrees_of_freedom),
        )
        .with(
            "inside_band",
            Cells::Flag(scored.iter().map(|s| s.inside).collect()),
        )
        .with("probability_in_tolerance", number(&|s| s.probability_in))
        .with("crps_scaled", number(&|s| s.crps))
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
    let number = |of: fn(&Coverage) -> f64| Cells::Number(rows.iter().map(|r| of(r.2)).collect());
    let whole = |of: fn(&Coverage) -> u64| {
        Cells::Whole(rows.iter().map(|r| Some(of(r.2) as i64)).collect())
    };
    Table::default()
        .with(
            "model",
            Cells::Text(rows.iter().map(|r| r.0.to_string()).collect()),
        )
        .with("by", Cells::Word(rows.iter().map(|r| r.1).collect()))
        .with(
            "label",
            Cells::Text(rows.iter().map(|r| r.2.label.clone()).collect()),
        )
        .about("which forecasts")
        .with("forecasts", whole(|c| c.count))
        .with("inside", whole(|c| c.inside))
        .about("the band")
        .with("lower", number(|c| c.limits.0))
        .about("limits of the share at 95 %, by histories")
        .with("upper", number(|c| c.limits.1))
        .about("limits of the share at 95 %, by histories")
        .with("width", number(|c| c.width))
        .with("crps", number(|c| c.crps))
        .with("interval_score", number(|c| c.interval_score))
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
    Table::default()
        .with(
            "instrument",
            Cells::Text(rows.iter().map(|r| item(r.0).instrument.clone()).collect()),
        )
        .with(
            "point",
            Cells::Text(rows.iter().map(|r| item(r.0).point.clone()).collect()),
        )
        .with("date", Cells::Date(rows.iter().map(|r| r.0.day).collect()))
        .about("of the decision")
        .with(
            "method",
            Cells::Text(rows.iter().map(|r| candidates[r.1].to_string()).collect()),
        )
        .with(
            "interval_days",
            Cells::Number(rows.iter().map(|r| r.0.intervals[r.1]).collect()),
        )
        .with(
            "days_to_next_calibration",
            Cells::Number(rows.iter().map(|r| r.0.gap_days).collect()),
        )
        .with(
            "in_tolerance_when_due",
            Cells::Word(rows.iter().map(|r| verdict(r.0, r.1)).collect()),
        )
        .with(
            "action",
            Cells::Word(rows.iter().map(|r| action(r.0, r.1)).collect()),
        )
        .about("of the decision, method `policy`")
}

/// One row a method.
pub(crate) fn method_table(methods: &[MethodResult]) -> Table<'static> {
    let whole = |of: fn(&MethodResult) -> u64| {
        Cells::Whole(methods.iter().map(|m| Some(of(m) as i64)).collect())
    };
    let number = |of: fn(&MethodResult) -> f64| Cells::Number(methods.iter().map(of).collect());
    Table::default()
        .with(
            "method",
            Cells::Text(methods.iter().map(|m| m.name.clone()).collect()),
        )
        .with("proposed", whole(|m| m.proposed))
        .with("in_tolerance", whole(|m| m.inside))
        .with("out_of_tolerance", whole(|m| m.outside))
        .with("untold", whole(|m| m.unknown))
        .with("lower", number(|m| m.limits.0))
        .about("limits of the share in tolerance")
        .with("upper", number(|m| m.limits.1))
        .about("limits of the share in tolerance")
        .with("calibrations_per_year", number(|m| m.proposed_per_year))
        .with("made_per_year", number(|m| m.made_per_year))
}

/// One row a difference.
pub(crate) fn difference_table(differences: &[Difference]) -> Table<'static> {
    let number = |of: fn(&Difference) -> f64| Cells::Number(differences.iter().map(of).collect());
    Table::default()
        .with(
            "first",
            Cells::Text(differences.iter().map(|d| d.first.clone()).collect()),
        )
        .with(
            "second",
            Cells::Text(differences.iter().map(|d| d.second.clone()).collect()),
        )
        .with(
            "what",
            Cells::Word(differences.iter().map(|d| d.what).collect()),
        )
        .with(
            "cases",
            Cells::Whole(differences.iter().map(|d| Some(d.count as i64)).collect()),
        )
        .with("difference", number(|d| d.mean))
        .with("standard_error", number(|d| d.error))
        .with("lower", number(|d| d.limits.0))
        .with("upper", number(|d| d.limits.1))
}
