/*! What the fleet's page and summary show: rows, counts, workload, out-of-tolerance by month. */

use super::case::Case;
use super::plan::Plan;
use super::run::Results;
use super::views::fleet_row;
use crate::intervals::Decision;
use crate::records::{Outcome, date};
use crate::report::{
    DriftRate, FleetView, GroupView, MonthCount, ProportionView, RejectView, RowCounts,
};
use crate::stats::proportion_limits;
use chrono::{Datelike, Months, NaiveDate};
use std::collections::BTreeMap;

/// Months of the workload picture.
const WORKLOAD_MONTHS: u32 = 18;
/// Rejected rows listed on the page; all are in `rejects.csv`.
const REJECTS_LISTED: usize = 200;
/// Level of the exact limits on proportions.
const PROPORTION_LEVEL: f64 = 0.95;
/// Histories of a fleet up to which rows carry a sparkline.
const SPARK_FLEET: usize = 20_000;

/// Builds the view of the whole fleet; `has_page` tells which histories have a page.
pub fn fleet_view(
    plan: &Plan,
    results: &Results,
    decisions: &[Decision],
    slugs: &[String],
    has_page: &[bool],
) -> FleetView {
    let loaded = &results.loaded;
    let histories = &loaded.histories;
    let spark = histories.len() <= SPARK_FLEET;
    let rows = (0..histories.len()).map(|index| {
        let case = Case {
            history: histories.get(index),
            fit: &results.fits.fits[index],
            decision: &decisions[index],
            proposals: &[],
            past: &[],
            forecast: &[],
            outliers: &[],
            warnings: &[],
            explanation: &[],
            axis: plan.settings.drift.axis,
            level: plan.settings.drift.level,
            as_of: plan.as_of,
        };
        fleet_row(&case, slugs[index].clone(), has_page[index], spark)
    });
    let counts = loaded.rows;
    FleetView {
        title: String::new(),
        as_of: plan.as_of,
        version: env!("CARGO_PKG_VERSION").into(),
        inputs: loaded
            .inputs
            .iter()
            .map(|input| input.path.clone())
            .collect(),
        rows: rows.collect(),
        counts: RowCounts {
            read: counts.read,
            used: counts.used,
            merged: counts.merged,
            rejected: counts.rejected,
        },
        rejects: loaded
            .rejects
            .iter()
            .take(REJECTS_LISTED)
            .map(reject_view)
            .collect(),
        warnings: loaded.warnings.iter().map(ToString::to_string).collect(),
        methods: plan
            .settings
            .intervals
            .methods
            .iter()
            .map(|method| (method.word().to_string(), method.words().to_string()))
            .collect(),
        settings_text: toml::to_string(&plan.settings).unwrap_or_default(),
        groups: groups(results),
        workload: workload(plan.as_of, results, decisions),
        out_of_tolerance: by_month(results, None),
        cost: None,
        cautions: Vec::new(),
        sections: Vec::new(),
    }
}

fn reject_view(reject: &crate::records::Reject) -> RejectView {
    RejectView {
        file: reject.file.to_string(),
        row: u64::from(reject.row),
        column: reject.column.to_string(),
        value: reject.value.clone(),
        reason: reject.reason.to_string(),
    }
}

fn first_of_month(day: f64) -> Option<NaiveDate> {
    date::calendar(day).and_then(|d| d.with_day(1))
}

/// Calibrations due in each of the coming months, by today's and by the decided intervals.
/// What is overdue falls in the first month.
fn workload(as_of: f64, results: &Results, decisions: &[Decision]) -> Vec<MonthCount> {
    let Some(first) = first_of_month(as_of) else {
        return Vec::new();
    };
    let months: Vec<NaiveDate> = (0..WORKLOAD_MONTHS)
        .filter_map(|k| first.checked_add_months(Months::new(k)))
        .collect();
    let mut counts: Vec<MonthCount> = months
        .iter()
        .map(|month| MonthCount {
            month: date::days_of(*month),
            now: 0,
            decided: 0,
        })
        .collect();
    let place = |due: f64| {
        let month = first_of_month(due.max(as_of))?;
        months.iter().position(|m| *m == month)
    };
    for (history, decision) in results.loaded.histories.iter().zip(decisions) {
        let now = history.last_calibration() + decision.current_interval_days;
        if let Some(k) = place(now) {
            counts[k].now += 1;
        }
        if let Some(k) = place(decision.due_date) {
            counts[k].decided += 1;
        }
    }
    counts
}

/// Checks and those out of tolerance by calendar month, of one group or of all.
fn by_month(results: &Results, group: Option<&str>) -> Vec<ProportionView> {
    const MIDDLE_OF_MONTH: f64 = 14.0;
    let mut months: BTreeMap<NaiveDate, (u64, u64)> = BTreeMap::new();
    let chosen = |name: &str| group.is_none_or(|wanted| wanted == name);
    for history in results
        .loaded
        .histories
        .iter()
        .filter(|h| chosen(&h.item.group))
    {
        for (day, outcome) in history.date.iter().zip(history.outcome) {
            let known = *outcome != Outcome::Unknown;
            if let Some(month) = first_of_month(*day).filter(|_| known) {
                let entry = months.entry(month).or_default();
                entry.0 += 1;
                entry.1 += u64::from(*outcome == Outcome::Out);
            }
        }
    }
    let view = |(month, (trials, count)): (NaiveDate, (u64, u64))| ProportionView {
        x: date::days_of(month) + MIDDLE_OF_MONTH,
        trials,
        count,
        limits: proportion_limits(count, trials, PROPORTION_LEVEL),
    };
    months.into_iter().map(view).collect()
}

fn groups(results: &Results) -> Vec<GroupView> {
    let histories = &results.loaded.histories;
    let mut members: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        if !item.group.is_empty() {
            members.entry(&item.group).or_default().push(index);
        }
    }
    members
        .into_iter()
        .map(|(name, members)| {
            let unit = &histories.items[members[0]].unit;
            let shared = members.iter().all(|i| histories.items[*i].unit == *unit);
            GroupView {
                name: name.into(),
                unit: if shared { unit.clone() } else { String::new() },
                histories: members.len(),
                drift_rates: members
                    .iter()
                    .filter_map(|i| drift_rate(results, *i))
                    .collect(),
                out_of_tolerance: by_month(results, Some(name)),
                ..Default::default()
            }
        })
        .collect()
}

fn drift_rate(results: &Results, index: usize) -> Option<DriftRate> {
    let fit = &results.fits.fits[index];
    let item = &results.loaded.histories.items[index];
    let name = match item.point.is_empty() {
        true => item.instrument.clone(),
        false => format!("{}, {}", item.instrument, item.point),
    };
    (fit.drift_per_year.is_finite() && fit.u_drift_per_year.is_finite()).then(|| DriftRate {
        name,
        own: None,
        u_own: None,
        shrunken: fit.drift_per_year,
        u_shrunken: fit.u_drift_per_year,
    })
}
