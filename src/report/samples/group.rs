/*! An invented group of items: how many still pass as they age, how they drift, what checks cost. */

use crate::report::view::*;

/// Reliability at an age of `t` days that the group's outcomes scatter about.
fn reliable(t: f64) -> f64 {
    (-(t / 2500.0f64).powf(1.6)).exp()
}

/// A group of twelve items, some of which fail as they age.
pub(super) fn group(name: &str, unit: &str, random: &mut impl FnMut() -> f64) -> GroupView {
    GroupView {
        as_of: 20_600.0,
        name: name.into(),
        slug: name.replace(' ', "-"),
        unit: unit.into(),
        histories: 12,
        sentences: vec!["12 histories, 240 checks, 9 out of tolerance.".into()],
        bins: bins(random),
        without_model: Vec::new(),
        longest_days: None,
        reliability: curves(),
        target: Some(0.95),
        drift_rates: drift_rates(random),
        class_drift: Some((0.5, 0.6)),
        out_of_tolerance: out_of_tolerance(random),
        sections: Vec::new(),
        cost: Some(cost(name)),
    }
}

/// Observed reliability by age.
fn bins(random: &mut impl FnMut() -> f64) -> Vec<ReliabilityPoint> {
    (0..7)
        .map(|i| {
            let x = 90.0 + 150.0 * f64::from(i);
            let p = (40.0 * (reliable(x) - 0.03 * random())).floor() / 40.0;
            ReliabilityPoint {
                x,
                share: p,
                outcomes: 40,
                at_risk: 40 - 4 * i as u64,
                limits: ((p - 0.12).max(0.0), (p + 0.08).min(1.0)),
            }
        })
        .collect()
}

/// Two models of it: one that leads, with its limits, and one without.
fn curves() -> Vec<ReliabilityCurve> {
    vec![
        ReliabilityCurve {
            model: "Weibull".into(),
            short: "Weibull",
            points: (0..60)
                .map(|i| (20.0 * f64::from(i), reliable(20.0 * f64::from(i))))
                .collect(),
            limits: (0..60)
                .map(|i| {
                    let t = 20.0 * f64::from(i);
                    (
                        t,
                        reliable(t) - 0.04 * t / 1200.0,
                        (reliable(t) + 0.03 * t / 1200.0).min(1.0),
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
    ]
}

/// Drift of the members; the fifth has none of its own.
fn drift_rates(random: &mut impl FnMut() -> f64) -> Vec<DriftRate> {
    (0..12)
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
        .collect()
}

/// Share of checks found out of tolerance in each month of a year.
fn out_of_tolerance(random: &mut impl FnMut() -> f64) -> Vec<ProportionView> {
    (0..12)
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
        .collect()
}

/// Yearly cost against the interval.
fn cost(name: &str) -> CostCurve {
    CostCurve {
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
    }
}
