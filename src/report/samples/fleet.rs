/*! An invented fleet with every action. */

use super::Noise;
use super::group::group;
use crate::records::RowCounts;
use crate::report::view::{Action, *};

/// The instrument of a row that is its only point.
fn alone(row: &FleetRow) -> InstrumentRow {
    InstrumentRow {
        instrument: row.instrument.clone(),
        point: row.point.clone(),
        points: 1,
        group: row.group.clone(),
        action: row.action,
        due_day: row.due_day,
        reason: row.reason.clone(),
    }
}

const GROUPS: [&str; 5] = [
    "platinum thermometers",
    "standard resistors",
    "masses",
    "pressure gauges",
    "gauge blocks",
];
const UNITS: [&str; 5] = ["mK", "µΩ", "mg", "Pa", "µm"];
const AS_OF: f64 = 20_600.0;

/// A fleet of `n` histories with every action.
pub(crate) fn fleet(n: usize) -> FleetView {
    let mut noise = Noise(42);
    let mut random = move || 0.5 + 0.5 * noise.next().unwrap_or(0.0);
    let rows: Vec<FleetRow> = (0..n).map(|i| row(i, &mut random)).collect();
    let workload = workload(&mut random);
    let out_of_tolerance = out_of_tolerance(&mut random);
    let groups = GROUPS.iter().zip(UNITS);
    FleetView {
        instruments: rows.iter().map(alone).collect(),
        title: "Interval review of an invented laboratory".into(),
        as_of: AS_OF,
        version: "0.1.0".into(),
        inputs: vec!["data/demo/checks.csv".into()],
        counts: RowCounts {
            read: 1218,
            used: 1200,
            merged: 4,
            rejected: 14,
            set_aside: 0,
        },
        rejects: rejects(),
        warnings: vec![
            "TH-003: the value on 2021-04-02 is 1000 times the others; a slip of unit?".into(),
        ],
        methods: vec![
            (
                "drift_crossing".into(),
                "longest time for which the predicted probability in tolerance stays at the target"
                    .into(),
            ),
            (
                "staircase".into(),
                "ILAC-G24:2022 / OIML D 10, method 1".into(),
            ),
        ],
        settings_text: "[drift]\nmodel = \"state\"\nlevel = 0.95\n".into(),
        workload,
        out_of_tolerance,
        groups: groups
            .map(|(name, unit)| group(name, unit, &mut random))
            .collect(),
        rows,
        ..Default::default()
    }
}

/// The `i`th history.
fn row(i: usize, random: &mut impl FnMut() -> f64) -> FleetRow {
    let g = i % GROUPS.len();
    let p = 1.0 - random().powi(4) * 0.6;
    let current = [180.0, 365.0, 730.0][i % 3];
    let action = match i % 17 {
        0 => Action::Withdraw,
        1 | 2 => Action::Review,
        3..=6 => Action::Shorten,
        7..=12 => Action::Keep,
        _ => Action::Extend,
    };
    let interval = match action {
        Action::Extend => current * 1.5,
        Action::Shorten => current * 0.6,
        _ => current,
    };
    FleetRow {
        instrument: format!("{}-{:03}", ["TH", "SR", "MA", "PG", "GB"][g], i),
        point: ["triple point of water", "10 Ω", "1 kg", "400 kPa", ""][g].into(),
        group: GROUPS[g].into(),
        unit: UNITS[g].into(),
        slug: format!("{}-{:03}", ["TH", "SR", "MA", "PG", "GB"][g], i),
        has_page: true,
        checks: 4 + i % 37,
        last_check: Some(AS_OF - 400.0 * random()),
        status: "estimated".into(),
        drift_per_year: Some(2.0 * random() - 0.6),
        u_drift_per_year: Some(0.2 * random() + 0.02),
        own_drift_per_year: Some(3.0 * random() - 1.0),
        probability_in_tolerance: Some(p),
        probability_when_due: Some(p),
        current_interval_days: Some(current),
        interval_days: (action != Action::Review).then_some(interval),
        due_day: (action != Action::Review).then_some(AS_OF - 60.0 + 900.0 * random()),
        cause: "by drift crossing".into(),
        proposed_due: None,
        bar: "".into(),
        away: false,
        action,
        reason: reason(action, p),
        method: "drift_crossing".into(),
        spark: spark(random),
        tolerance: (Some(-3.0), Some(3.0)),
    }
}

/// Why a history of a probability `p` in tolerance has its action.
fn reason(action: Action, p: f64) -> String {
    match action {
        Action::Withdraw => {
            "Out of tolerance as found by 2.1 times the limit and not restored; do not use.".into()
        }
        Action::Review => "Two checks cannot show drift; a third within 90 d would.".into(),
        _ => format!(
            "Probability in tolerance at the due date is {:.1} %.",
            p * 100.0
        ),
    }
}

/// Errors that rise, with an event behind the seventh.
fn spark(random: &mut impl FnMut() -> f64) -> Vec<SparkPoint> {
    let point = |k: i32| SparkPoint {
        day: AS_OF - 3000.0 + 250.0 * f64::from(k),
        error: 2.0 * random() - 1.0 + 0.1 * f64::from(k),
        begins: k == 7,
    };
    (0..12).map(point).collect()
}

/// Rows that were rejected, one with text that a page must escape.
fn rejects() -> Vec<RejectView> {
    vec![
        RejectView {
            file: "checks.csv".into(),
            row: 17,
            column: "date".into(),
            value: "31/02/2024".into(),
            reason: "not a date: write 2024-02-29 or set the date format".into(),
        },
        RejectView {
            file: "checks.csv".into(),
            row: 90,
            column: "u".into(),
            value: "-0.2 | <b>".into(),
            reason: "u is negative".into(),
        },
    ]
}

/// Checks due in each month.
fn workload(random: &mut impl FnMut() -> f64) -> WorkloadView {
    WorkloadView {
        months: (0..18)
            .map(|m| MonthCount {
                month: AS_OF + 30.4 * f64::from(m),
                due: DueCount {
                    now: (8.0 * random()) as u64,
                    decided: (6.0 * random()) as u64,
                },
            })
            .collect(),
        overdue: DueCount { now: 5, decided: 9 },
    }
}

/// Share of checks found out of tolerance in each month of two years.
fn out_of_tolerance(random: &mut impl FnMut() -> f64) -> Vec<ProportionView> {
    (0..24)
        .map(|m| {
            let count = (5.0 * random().powi(3)) as u64;
            ProportionView {
                x: AS_OF - 30.4 * f64::from(24 - m),
                days: (
                    AS_OF - 30.4 * (f64::from(24 - m) + 0.5),
                    AS_OF - 30.4 * (f64::from(24 - m) - 0.5),
                ),
                trials: 30,
                count,
                limits: (
                    (count as f64 / 30.0 - 0.1).max(0.0),
                    (count as f64 / 30.0 + 0.14).min(1.0),
                ),
            }
        })
        .collect()
}
