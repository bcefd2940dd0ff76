/*! An invented fleet with every action, its groups, and a month of changes. */

use super::Noise;
use crate::report::view::*;

/// The instrument of a row that is its only point.
fn alone(row: &FleetRow) -> InstrumentRow {
    InstrumentRow {
        instrument: row.instrument.clone(),
        point: row.point.clone(),
        points: 1,
        group: row.group.clone(),
        action: row.action.clone(),
        due_day: row.due_day,
        reason: row.reason.clone(),
    }
}

/// A fleet of `n` histories with every action.
pub(crate) fn fleet(n: usize) -> FleetView {
    let mut noise = Noise(42);
    let mut random = move || 0.5 + 0.5 * noise.next().unwrap_or(0.0);
    let groups = [
        "platinum thermometers",
        "standard resistors",
        "masses",
        "pressure gauges",
        "gauge blocks",
    ];
    let units = ["mK", "µΩ", "mg", "Pa", "µm"];
    let as_of = 20_600.0;
    let rows: Vec<FleetRow> = (0..n)
        .map(|i| {
            let g = i % groups.len();
            let p = 1.0 - random().powi(4) * 0.6;
            let current = [180.0, 365.0, 730.0][i % 3];
            let action = match i % 17 { 0 => "withdraw", 1 | 2 => "review", 3..=6 => "shorten", 7..=12 => "keep", _ => "extend" };
            let interval = match action { "extend" => current * 1.5, "shorten" => current * 0.6, _ => current };
            FleetRow {
                instrument: format!("{}-{:03}", ["TH", "SR", "MA", "PG", "GB"][g], i),
                point: ["triple point of water", "10 Ω", "1 kg", "400 kPa", ""][g].into(),
                group: groups[g].into(),
                unit: units[g].into(),
                slug: format!("{}-{:03}", ["TH", "SR", "MA", "PG", "GB"][g], i),
                has_page: true,
                checks: 4 + i % 37,
                last_check: Some(as_of - 400.0 * random()),
                status: "estimated".into(),
                drift_per_year: Some(2.0 * random() - 0.6),
                u_drift_per_year: Some(0.2 * random() + 0.02),
                own_drift_per_year: Some(3.0 * random() - 1.0),
                probability_in_tolerance: Some(p),
                probability_when_due: Some(p),
                current_interval_days: Some(current),
                interval_days: (action != "review").then_some(interval),
                due_day: (action != "review").then_some(as_of - 60.0 + 900.0 * random()),
                cause: "by drift crossing".into(),
                proposed_due: None,
                bar: "".into(),
                away: false,
                action: action.into(),
                reason: match action {
                    "withdraw" => "Out of tolerance as found by 2.1 times the limit and not restored; do not use.".into(),
                    "review" => "Two checks cannot show drift; a third within 90 d would.".into(),
                    _ => format!("Probability in tolerance at the due date is {:.1} %.", p * 100.0),
                },
                method: "drift_crossing".into(),
                spark: (0..12).map(|k| SparkPoint { day: as_of - 3000.0 + 250.0 * f64::from(k), error: 2.0 * random() - 1.0 + 0.1 * f64::from(k), begins: k == 7 }).collect(),
                tolerance: (Some(-3.0), Some(3.0)),
            }
        })
        .collect();
    let instruments = rows.iter().map(alone).collect();
    FleetView {
        instruments,
        title: "Interval review of an invented laboratory".into(),
        as_of,
        version: "0.1.0".into(),
        inputs: vec!["data/demo/checks.csv".into()],
        counts: RowCounts {
            read: 1218,
            used: 1200,
            merged: 4,
            rejected: 14,
        },
        rejects: vec![
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
        ],
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
        workload: WorkloadView {
            months: (0..18)
                .map(|m| MonthCount {
                    month: as_of + 30.4 * f64::from(m),
                    due: DueCount {
                        now: (8.0 * random()) as u64,
                        decided: (6.0 * random()) as u64,
                    },
                })
                .collect(),
            overdue: DueCount { now: 5, decided: 9 },
        },
        out_of_tolerance: (0..24)
            .map(|m| {
                let count = (5.0 * random().powi(3)) as u64;
                ProportionView {
                    x: as_of - 30.4 * f64::from(24 - m),
                    days: (
                        as_of - 30.4 * (f64::from(24 - m) + 0.5),
                        as_of - 30.4 * (f64::from(24 - m) - 0.5),
                    ),
                    trials: 30,
                    count,
                    limits: (
                        (count as f64 / 30.0 - 0.1).max(0.0),
                        (count as f64 / 30.0 + 0.14).min(1.0),
                    ),
                }
            })
            .collect(),
        groups: groups
            .iter()
            .zip(units)
            .map(|(name, unit)| group(name, unit, &mut random))
            .collect(),
        rows,
        ..Default::default()
    }
}

fn group(name: &str, unit: &str, random: &mut impl FnMut() -> f64) -> GroupView {
    let r = |t: f64| (-(t / 2500.0f64).powf(1.6)).exp();
    GroupView {
        as_of: 20_600.0,
        name: name.into(),
        slug: name.replace(' ', "-"),
        unit: unit.into(),
        histories: 12,
        sentences: vec!["12 histories, 240 checks, 9 out of tolerance.".into()],
        bins: (0..7)
            .map(|i| {
                let x = 90.0 + 150.0 * f64::from(i);
                let p = (40.0 * (r(x) - 0.03 * random())).floor() / 40.0;
                ReliabilityPoint {
                    x,
                    share: p,
                    outcomes: 40,
                    at_risk: 40 - 4 * i as u64,
                    limits: ((p - 0.12).max(0.0), (p + 0.08).min(1.0)),
                }
            })
            .collect(),
        without_model: Vec::new(),
        longest_days: None,
        reliability: vec![
            ReliabilityCurve {
                model: "Weibull".into(),
                short: "Weibull",
                points: (0..60)
                    .map(|i| (20.0 * f64::from(i), r(20.0 * f64::from(i))))
                    .collect(),
                limits: (0..60)
                    .map(|i| {
                        let t = 20.0 * f64::from(i);
                        (
                            t,
                            r(t) - 0.04 * t / 1200.0,
                            (r(t) + 0.03 * t / 1200.0).min(1.0),
                        )
                    })
                    .collect(),
                leads: true,
            },
            ReliabilityCurve {
                model: "exponential".into(),
                short: "exponential",
                points: (0..60)
                    .map(|i| (20.0 * f64::from(i), (-20.0 * f64::from(i) / 4000.0).exp()))
                    .collect(),
                limits: Vec::new(),
                leads: false,
            },
        ],
        target: Some(0.95),
        drift_rates: (0..12)
            .map(|i| {
                let own = 3.0 * random() - 1.0;
                DriftRate {
                    name: format!("TH-{i:03}"),
                    own: (i != 4).then_some(own),
                    u_own: Some(0.2 + random()),
                    shrunken: 0.5 + 0.5 * (own - 0.5),
                    u_shrunken: 0.2,
                }
            })
            .collect(),
        class_drift: Some((0.5, 0.6)),
        out_of_tolerance: (0..12)
            .map(|m| ProportionView {
                x: 20_240.0 + 30.4 * f64::from(m),
                days: (
                    20_225.0 + 30.4 * f64::from(m),
                    20_255.0 + 30.4 * f64::from(m),
                ),
                trials: 8,
                count: (2.0 * random()) as u64,
                limits: (0.02, 0.4),
            })
            .collect(),
        sections: Vec::new(),
        cost: Some(CostCurve {
            name: name.into(),
            currency: "EUR".into(),
            points: (1..80)
                .map(|i| {
                    let t = 20.0 * f64::from(i);
                    (t, 400.0 * 365.25 / t + 0.9 * t)
                })
                .collect(),
            least: Some(400.0),
            current: Some(365.0),
        }),
    }
}

/// A month's digest with every kind of change.
pub(crate) fn digest() -> DigestView {
    let fleet = fleet(60);
    let change = |kind: &str, name: &str, sentence: &str, red_flag: bool| ChangeView {
        kind: kind.into(),
        name: name.into(),
        slug: String::new(),
        sentence: sentence.into(),
        red_flag,
    };
    DigestView {
        open_cases: 0,
        open_signals: 0,
        title: "Monthly digest, May 2026".into(),
        as_of: fleet.as_of,
        previous: Some(fleet.as_of - 31.0),
        histories: 60,
        action_counts: fleet.action_counts(),
        changes: vec![
            change(
                "New action",
                "TH-014, triple point of water",
                "keep became shorten: the drift rose from 1.2 to 1.9 mK a year",
                false,
            ),
            change(
                "Newly overdue",
                "PG-003, 400 kPa",
                "due 2026-05-02, 25 days ago",
                false,
            ),
            change(
                "Data edited in the past",
                "SR-001, 10 Ω",
                "the check of 2022-03-04 read 1.2 µΩ in the last run and reads 0.2 µΩ now",
                true,
            ),
            change(
                "New action",
                "<script>alert(1)</script>",
                "extend became keep",
                false,
            ),
        ],
        due: DueCounts {
            overdue: 6,
            within_30: 3,
            within_60: 5,
            within_90: 7,
        },
        workload: fleet.workload.clone(),
        urgent: fleet
            .by_urgency()
            .into_iter()
            .take(10)
            .map(|i| fleet.rows[i].clone())
            .collect(),
        notes: vec![
            "The last run was made by version 0.0.9; statuses are compared, drift is not.".into(),
        ],
    }
}
