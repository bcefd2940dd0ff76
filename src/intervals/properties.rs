/*! Properties that hold for every method, whatever the history. */

use super::*;
use crate::intervals::methods::incremental_response::IncrementalResponse;
use crate::intervals::methods::interval_test::IntervalTest;
use crate::intervals::methods::simple_response::SimpleResponse;
use crate::intervals::methods::staircase::Staircase;
use crate::intervals::testing::*;
use crate::property_cases::usual;
use proptest::prelude::*;

/// Methods that react to outcomes.
fn reacting() -> Vec<Box<dyn Method>> {
    vec![
        Box::new(Staircase::default()),
        Box::new(SimpleResponse::default()),
        Box::new(IncrementalResponse::default()),
        Box::new(IntervalTest::default()),
    ]
}

fn outcomes(pattern: &[bool], current: f64) -> Record {
    let mut record = Record::new();
    record.item.interval_days = Some(current);
    for (i, inside) in pattern.iter().enumerate() {
        record = record
            .check(i as f64 * 365.0, if *inside { 0.1 } else { 1.5 })
            .left(0.0);
    }
    record
}

fn proposed(method: &dyn Method, record: Record) -> Option<f64> {
    alone(method, record).interval_days
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn one_more_pass_at_the_same_interval_never_shortens(
        pattern in prop::collection::vec(prop::bool::weighted(0.8), 1..30),
    ) {
        for method in reacting() {
            let before = proposed(&*method, outcomes(&pattern, 365.0));
            let mut longer = pattern.clone();
            longer.push(true);
            let after = proposed(&*method, outcomes(&longer, 365.0));
            if let (Some(before), Some(after)) = (before, after) {
                prop_assert!(after >= before - 1e-9, "{:?}: {before} to {after}", method.name());
            }
        }
    }

    #[test]
    fn scaling_time_scales_the_reacting_methods(
        pattern in prop::collection::vec(prop::bool::weighted(0.8), 1..20), scale in 0.1..4.0f64,
    ) {
        for method in reacting().iter().take(3) {
            let one = proposed(&**method, outcomes(&pattern, 200.0));
            let scaled = proposed(&**method, outcomes(&pattern, 200.0 * scale));
            prop_assert!((one.unwrap() * scale / scaled.unwrap() - 1.0).abs() < 1e-12);
        }
    }

    /// A year that is `scale` years long: drift falls by it, wander by its root.
    #[test]
    fn scaling_time_scales_the_forecast_methods(
        error in -0.4..0.4f64, u in 0.01..0.1f64, drift in -1.0..1.0f64,
        wander in 0.01..0.3f64, scale in 0.5..2.0f64,
    ) {
        let known = Known { error, u_error: u, drift, u_drift: 0.1, wander, step_rate: 0.02 };
        let slower = Known {
            drift: drift / scale,
            u_drift: 0.1 / scale,
            wander: wander / scale.sqrt(),
            step_rate: 0.02 / scale,
            ..known
        };
        let priced = LeastCost {
            settings: crate::intervals::methods::least_cost::LeastCostSettings {
                cost: Some(1.0),
                cost_out_of_tolerance: Some(12.0),
                ..Default::default()
            },
        };
        let cheaper = LeastCost {
            settings: crate::intervals::methods::least_cost::LeastCostSettings { cost_out_of_tolerance: Some(12.0 / scale), ..priced.settings.clone() },
        };
        let histories = Record::new().check(0.0, error).histories();
        let (fit, slower) = (known.fit(0.0, 3), slower.fit(0.0, 3));
        let mut one = evidence(&histories, &fit);
        one.floor = 1.0;
        let mut other = evidence(&histories, &slower);
        (other.floor, other.cap) = (scale, one.cap * scale);
        let group = GroupEvidence::default();
        let crossings = [&one, &other].map(|e| DriftCrossing.propose(e, &group).interval_days.unwrap());
        prop_assert!((crossings[0] * scale - crossings[1]).abs() < 0.05);
        let costs = [
            priced.propose(&one, &group).interval_days.unwrap(),
            cheaper.propose(&other, &group).interval_days.unwrap(),
        ];
        prop_assert!((costs[0] * scale - costs[1]).abs() < 0.5, "{costs:?}");
    }
}
