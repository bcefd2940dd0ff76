/*! The policy's bounds on random proposals and settings. */

use super::tests::{CALM, decided, proposing};
use super::*;
use crate::property_cases::usual;
use crate::records::Tolerance;
use crate::records::testing::Record;
use proptest::prelude::*;

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn bounds_hold_whatever_is_proposed(
        days in 0.0..1e5f64, cap in 1.0..4000.0f64, floor in 1.0..4000.0f64,
        current in 1.0..4000.0f64, last in -2.0..2.0f64, listed in any::<bool>(),
        extension in 1.0..10.0f64, shortening in 0.0..1.0f64,
    ) {
        let mut record = Record::new().check(0.0, 0.0).check(730.0, last);
        record.item.cap_days = Some(cap);
        record.item.floor_days = Some(floor);
        record.item.interval_days = Some(current);
        let settings = PolicySettings {
            largest_extension: extension,
            largest_shortening: shortening,
            listed_days: if listed { vec![30.0, 90.0, 365.0, 730.0] } else { vec![] },
            ..Default::default()
        };
        let fit = CALM.fit(730.0, 2);
        let decision = decided(record, &fit, &proposing(days), &settings);
        let most = cap.min(1826.0);
        prop_assert!(decision.interval_days <= most);
        prop_assert!(decision.interval_days >= floor.min(most).floor().min(most) || decision.interval_days >= 1.0_f64.min(most));
        let failed = !Tolerance::new(-1.0, 1.0).unwrap().contains(last);
        if failed {
            prop_assert!(decision.interval_days <= current);
            prop_assert!(decision.action != Action::Extend);
        }
        prop_assert!(decision.reason.ends_with('.'));
    }
}
