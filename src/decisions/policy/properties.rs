/*! Properties of methods and policy together, whatever the history. */

use super::decide;
use crate::decisions::DecisionTables;
use crate::decisions::testing::*;
use crate::intervals::MethodName;
use crate::property_cases::usual;
use crate::records::Outcome;
use proptest::prelude::*;

proptest! {
    #![proptest_config(usual())]

    /// Whatever a record holds, every method answers without a panic and with a reason.
    #[test]
    fn every_method_answers_every_record(
        days in prop::collection::vec(0.0..1e4f64, 1..8),
        values in prop::collection::vec(prop_oneof![Just(f64::NAN), -2.0..2.0f64, Just(1e300)], 8),
        known in any::<bool>(), toleranced in any::<bool>(), end in 0.0..2e4f64,
    ) {
        let mut days = days;
        days.sort_by(f64::total_cmp);
        let mut record = Record::new();
        if !toleranced {
            record.item.tolerance = None;
        }
        for (day, value) in days.iter().zip(values) {
            record = record.check(*day, value);
        }
        record.columns.outcome[0] = Outcome::In;
        let last = days.last().copied().unwrap();
        let (histories, mut tables) = (record.histories(), DecisionTables::default());
        tables.intervals.methods = MethodName::ALL.to_vec();
        let fit = if known {
            Known { u_error: 0.1, drift: 0.2, wander: 0.1, ..Known::default() }.fit(last, 2)
        } else {
            unfitted(Status::OutcomesOnly)
        };
        let mut evidence = evidence(&histories, &fit);
        evidence.as_of = end;
        let group = GroupEvidence::default();
        let proposals: Vec<_> = tables.methods().iter().map(|m| m.propose(&evidence, &group)).collect();
        for proposal in &proposals {
            prop_assert!(!proposal.reason().is_empty());
            prop_assert!(proposal.interval_days.is_none_or(|d| d.is_finite()), "{proposal:?}");
        }
        let decision = decide(&evidence, &proposals, &group, &tables.policy, &[]);
        prop_assert!(decision.interval_days > 0.0 && decision.interval_days <= evidence.cap);
        prop_assert!(decision.reason.ends_with('.'));
    }
}
