use super::*;
use crate::intervals::exact_test::{self, IntervalTestResult, rescale};
use crate::intervals::testing::*;
use crate::property_cases::usual;
use crate::records::Histories;
use crate::reliability::Renewal;
use proptest::prelude::*;

/// Each of a life of its own.
fn interval_test(inside: u64, checks: u64, target: f64, at: f64) -> IntervalTestResult {
    let counts = (inside, checks);
    exact_test::test(counts, (counts, counts), target, at)
}

fn near(found: f64, expected: f64) -> bool {
    (found / expected - 1.0).abs() < 1e-5
}

/// Worked examples of interval-practice.md 2.3 (check values 6, 8, 9, 12, 13, 15;
/// scipy 1.17.1 beta and binom, computed there).
#[test]
fn the_worked_tests_are_reproduced() {
    let low = interval_test(27, 40, 0.85, 0.95);
    assert!(near(12.0 * rescale(0.95, 18.0 / 20.0), 5.842_032));
    assert!(near(12.0 * low.factor, 4.961_872));
    assert!(near(low.limits.0, 0.508_705) && near(low.limits.1, 0.814_271));
    assert!(near(12.0 * low.factor_limits.0, 2.885_435));
    assert!(near(12.0 * low.factor_limits.1, 9.491_912));
    near!(low.p_low, 0.004_313, 5e-7);
    let fits = interval_test(18, 20, 0.95, 0.95);
    assert_eq!(fits.factor, 1.0);
    assert!(near(fits.limits.0, 0.683_017_3) && near(fits.limits.1, 0.987_651_5));
    near!(fits.p_low, 0.264_160, 5e-7);
    near!(fits.p_high, 0.924_516, 5e-7);
    let high = interval_test(58, 60, 0.85, 0.95);
    assert!(high.factor > 1.0 && (high.p_high - 0.003_884).abs() < 5e-7);
    assert!(near(high.limits.0, 0.884_719) && near(high.limits.1, 0.995_937));
}

#[test]
fn none_and_all_in_tolerance_have_answers() {
    assert!(interval_test(0, 8, 0.95, 0.95).factor < 1.0);
    assert!(interval_test(200, 200, 0.95, 0.95).factor > 1.0);
    assert_eq!(interval_test(20, 20, 0.95, 0.95).factor, 1.0);
}

#[test]
fn the_group_is_pooled_at_the_interval_in_use() {
    let member = |failures: usize| {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        for i in 0..21 {
            record = record.outcome(
                i as f64 * 365.0,
                i >= 21 - failures || i == 0 || failures == 0,
            );
        }
        record
    };
    let failing = || {
        let mut record = member(0);
        for i in 1..10 {
            record.columns.outcome[i] = crate::records::Outcome::Out;
        }
        record
    };
    let histories = fleet([failing(), failing()]);
    let groups = EvidenceByGroup::build(&histories, Default::default());
    let fit = unfitted(Status::OutcomesOnly);
    let evidence = evidence(&histories, &fit);
    let group = groups.of(&histories.items[0]);
    assert_eq!(group.outcomes_near(365.0).checks, 40);
    let found = IntervalTest::default().propose(&evidence, group);
    assert!(found.interval_days.unwrap() < 365.0, "{}", found.reason());
    // Ten lives an item: nine that ended at once, one of eleven passes.
    assert_eq!(found.weight, 20.0);
    says!(found.reason(), "limits from 20 lives");
}

/// From 32 of 35 at 95 %: the exact limits of 32 + k of 35 + k are asked one by one.
#[test]
fn the_passes_that_would_lengthen_are_the_fewest() {
    let settings = IntervalTestSettings::default();
    let mut record = Record::new();
    for year in 0..=35 {
        record = record.outcome(365.0 * f64::from(year), year % 12 != 11);
    }
    let (histories, fit) = (record.histories(), unfitted(Status::OutcomesOnly));
    let evidence = evidence(&histories, &fit);
    let each_renews = GroupEvidence {
        renewal: crate::reliability::Renewal::Always,
        ..GroupEvidence::default()
    };
    let words = settings.what_would_lengthen(&evidence, &each_renews);
    let fewest = (1..10_000).find(|k| proportion_limits(32 + k, 35 + k, 0.95).0 > 0.95);
    let expected = format!(
        "{} more results of the item near 365 d in tolerance, and none outside, would show the target exceeded and lengthen the interval",
        fewest.unwrap()
    );
    assert_eq!(words, Some(expected));
}

/// Six items passed each of sixty checks: the limits are those of six, 0.541 to 1
/// (0.025^(1/6)), where sixty results would have lengthened under a target of 0.9.
#[test]
fn passes_of_one_life_do_not_speak_for_others() {
    let member = |_| {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        (0..=10).fold(record, |r, year| r.outcome(365.0 * f64::from(year), true))
    };
    let histories = fleet((0..6).map(member));
    let groups = EvidenceByGroup::build(&histories, Default::default());
    let seen = groups.by_name["gauges"].outcomes_near(365.0);
    assert_eq!((seen.checks, seen.inside, seen.lives), (60, 60, 6));
    let settings = IntervalTestSettings::default();
    let found = settings.of_results(&seen, 365.0, 0.9, "its group");
    assert_eq!(found.interval_days, Some(365.0));
    says!(found.reason(), "limits from 6 lives 54.1 % to 100 %");
    assert!(interval_test(60, 60, 0.9, 0.95).factor > 1.0);
}

/// Forty items fail 34 of 280 yearly checks and are restored each time: 34 lives that failed
/// of 280 results, 0.879 with an exact upper limit of 0.914423 (scipy 1.17.1
/// `beta.ppf(0.975, 247, 34)`), below a target of 0.95. An item that fails on without a renewal fails once.
#[test]
fn each_life_that_failed_is_a_failure() {
    let member = |item: i32| {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        (0..=7).fold(record, |record, check| {
            let failed = check > 0 && item < 34 && check == 1 + item % 7;
            record.outcome(365.0 * f64::from(check), !failed)
        })
    };
    let seen_of = |histories: &Histories, renewal: Renewal| {
        let groups = EvidenceByGroup::build(histories, renewal);
        groups.by_name["gauges"].outcomes_near(365.0).into_owned()
    };
    let seen = seen_of(&fleet((0..40).map(member)), Renewal::IfFailed);
    assert_eq!(
        (seen.checks, seen.inside, seen.failed_lives),
        (280, 246, 34)
    );
    let found = exact_test::of_results(&seen, 0.95, 0.95);
    near!(found.limits.1, 0.914_423, 1e-6);
    assert!(found.factor < 1.0 && exact_test::contradicts(&seen, 0.95, 0.95));
    let never_restored = |item: i32| {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        (0..=7).fold(record, |r, check| {
            r.outcome(365.0 * f64::from(check), item > 1 || check == 0)
        })
    };
    let seen = seen_of(&fleet((0..40).map(never_restored)), Renewal::AsNeeded);
    assert_eq!((seen.checks, seen.inside, seen.failed_lives), (280, 266, 2));
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn a_further_pass_never_shortens(checks in 1u64..80, share in 0.0..1.0f64, target in 0.5..0.99f64) {
        let inside = (share * checks as f64).round() as u64;
        let before = interval_test(inside, checks, target, 0.95).factor;
        let after = interval_test(inside + 1, checks + 1, target, 0.95).factor;
        prop_assert!(after >= before - 1e-12);
    }
}
