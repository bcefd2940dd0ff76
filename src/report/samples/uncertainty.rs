/*! Invented growth of an uncertainty, and an approval. */

use crate::report::view::{ApprovedEnd, ApprovedView, GrowthPoint, GrowthView};

const START: f64 = 20_000.0;

/// A value whose u grows by drift, then by wander; `factor` is its size in `unit`.
pub(crate) fn growth(factor: f64, unit: &str) -> GrowthView {
    let point = |i: i32| {
        let years = f64::from(i) / 40.0 * 1.15;
        let parts = [
            0.2,
            0.35 * years,
            0.2 * years.sqrt(),
            0.05 * years.sqrt(),
            0.1,
        ];
        let total = parts.iter().fold(0.0f64, |sum, part| sum.hypot(*part));
        GrowthPoint {
            day: START + 365.25 * years,
            total: factor * total,
            parts: parts.map(|part| factor * part),
        }
    };
    GrowthView {
        name: "TH-014, triple point of water".into(),
        unit: unit.into(),
        as_of: START + 120.0,
        in_force_due: Some(START + 300.0),
        due_day: Some(START + 420.0),
        points: (0..=40).map(point).collect(),
    }
}

/// 420 days approved instead of 300.
pub(crate) fn approved() -> ApprovedView {
    let chance = |days: f64| 1.0 - 0.05 * (days / 430.0f64).powi(3);
    let end = |days: f64| ApprovedEnd {
        days,
        due: START + days,
        in_tolerance: Some(chance(days)),
    };
    ApprovedView {
        name: "TH-014, triple point of water".into(),
        as_of: START + 120.0,
        curve: (0..=50)
            .map(|i| 9.0 * f64::from(i))
            .map(|d| (START + d, chance(d)))
            .collect(),
        target: 0.95,
        before: end(300.0),
        after: end(420.0),
    }
}
