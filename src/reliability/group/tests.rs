use super::*;
use crate::reliability::LifeModelName;
use crate::reliability::bounds::tests::checks;
use crate::reliability::fit::tests::data_a;
use crate::reliability::result::Basis;

fn group(outcomes: Outcomes, target: f64) -> GroupReliability {
    let settings = ReliabilitySettings::default();
    GroupReliability::new("g".into(), 1, outcomes, &settings, target)
}

#[test]
fn data_a_as_a_group() {
    let group = group(data_a(), 0.85);
    let interval = &group.interval;
    let months = |days: f64| days / DAYS_PER_YEAR;
    // Interval-practice 3.5: models agree within 13.1 to 15.3 months at 85 %.
    let (low, high) = interval.model_spread_days.unwrap();
    assert!(months(low) > 13.06 && months(high) < 15.29, "{interval:?}");
    assert_eq!(interval.basis, Basis::Fitted(LifeModelName::ModifiedGamma));
    assert_eq!(group.curve.len(), 25);
    for pair in group.curve.windows(2) {
        assert!(pair[0].reliability >= pair[1].reliability);
    }
    for point in &group.curve {
        assert!(point.lower <= point.reliability && point.reliability <= point.upper);
    }
    assert!(group.sentences[0].starts_with("112 checks of 1 history, 14 out"));
}

#[test]
fn no_failure_only_bounds() {
    let fourteen = group(checks(&[(365.0, 14, 0)]), 0.95);
    assert_eq!(fourteen.interval.days, None);
    says!(fourteen.interval.why, "59 are needed");
    assert!(
        fourteen
            .sentences
            .contains(&"no failure in 14: R ≥ 0.807 at 95 %".to_string())
    );
    let sixty = group(checks(&[(365.0, 60, 0)]), 0.95);
    assert_eq!(sixty.interval.days, Some(365.0));
    assert_eq!(sixty.interval.basis, Basis::Demonstrated);
}

/// Half of the items dead on arrival: no curve through a limit reached what the later limits allow.
#[test]
fn the_band_at_no_time_is_no_narrower_than_later() {
    let mut outcomes = Outcomes::default();
    outcomes.add_lives(0.0, 0.01, 3).unwrap();
    outcomes.add_lives(0.03, f64::INFINITY, 3).unwrap();
    for pair in group(outcomes, 0.5).curve.windows(2) {
        assert!(pair[1].upper <= pair[0].upper + 1e-9, "{pair:?}");
    }
}

#[test]
fn only_failures_and_nothing() {
    let failures = group(checks(&[(365.0, 0, 3), (100.0, 0, 2)]), 0.95);
    assert_eq!(failures.interval.days, None);
    says!(failures.interval.why, "every check found");
    let nothing = group(Outcomes::default(), 0.95);
    says!(nothing.interval.why, "no check");
}

#[test]
fn single_interval_is_named_an_assumption() {
    let one = group(checks(&[(365.25, 27, 13)]), 0.85);
    // Interval-practice check 15: exponential through one point, 4.961872/12 of the interval.
    let days = one.interval.days.unwrap();
    near!(days / 365.25, 4.961872 / 12.0, 1e-6);
    assert!(one.sentences.iter().any(|s| s.contains("assumption")));
}

#[test]
fn impossible_targets() {
    for target in [0.0, 1.0, f64::NAN, -3.0, 2.0] {
        let reason = group(data_a(), target).interval.reason();
        assert!(reason.starts_with("not applicable, because a reliability target"));
    }
}

#[test]
fn more_passes_at_one_interval_never_shorten() {
    let settings = ReliabilitySettings {
        models: vec![LifeModelName::Exponential],
        ..Default::default()
    };
    let mut last = 0.0;
    for passes in 5..40 {
        let outcomes = checks(&[(100.0, 20, 1), (300.0, passes, 2)]);
        let group = GroupReliability::new("g".into(), 1, outcomes, &settings, 0.9);
        let days = group.interval.days.unwrap();
        assert!(days >= last);
        last = days;
    }
}

mod any_records {
    use super::*;
    use crate::property_cases::cases;
    use proptest::prelude::*;

    fn records() -> impl Strategy<Value = Outcomes> {
        let life = (0u32..6, 1u32..6, any::<bool>(), 1u64..5);
        let life = life.prop_map(|(after, more, ends, n)| {
            let before = match ends {
                true => f64::from(after + more),
                false => f64::INFINITY,
            };
            (f64::from(after), before, n)
        });
        let scale = prop::sample::select(vec![0.01, 1.0, 90.0, 1e5]);
        (prop::collection::vec(life, 0..12), scale).prop_map(|(lives, scale)| {
            let mut outcomes = Outcomes::default();
            for (after, before, n) in lives {
                if after > 0.0 || before.is_finite() {
                    outcomes
                        .add_lives(scale * after, scale * before, n)
                        .unwrap();
                }
            }
            outcomes
        })
    }

    proptest! {
        #![proptest_config(cases(60))]

        /// Whatever the records, every number is a number in its range or absent with a reason.
        #[test]
        fn give_numbers_or_reasons(outcomes in records(), target in 0.5..0.999f64) {
            let group = group(outcomes, target);
            prop_assert!(group.fits.len() + group.not_fitted.len() == LifeModelName::ALL.len());
            let inside = |x: f64| (0.0..=1.0).contains(&x);
            for point in &group.curve {
                prop_assert!(inside(point.reliability) && inside(point.lower) && inside(point.upper));
                prop_assert!(point.lower <= point.reliability + 1e-9, "{point:?}");
                prop_assert!(point.upper >= point.reliability - 1e-9, "{point:?}");
            }
            for pair in group.curve.windows(2) {
                prop_assert!(pair[1].reliability <= pair[0].reliability + 1e-12);
                // R of every curve only falls, so that the limits of R can only fall too.
                prop_assert!(pair[1].lower <= pair[0].lower + 1e-9, "{pair:?}");
                prop_assert!(pair[1].upper <= pair[0].upper + 1e-9, "{pair:?}");
            }
            for bin in &group.bins {
                let (low, high) = bin.limits;
                let holds = low <= bin.proportion + 1e-6 && bin.proportion <= high + 1e-6;
                prop_assert!(holds, "{bin:?}");
            }
            for pair in group.steps.windows(2) {
                prop_assert!(pair[1].reliability <= pair[0].reliability);
            }
            match group.interval.days {
                Some(days) => prop_assert!(days > 0.0 && days.is_finite()),
                None => prop_assert!(group.interval.reason().starts_with("not applicable, because")),
            }
            if let (Some(days), Some((low, high))) = (group.interval.days, group.interval.limits_days) {
                prop_assert!(low <= days && days <= high, "{:?}", group.interval);
            }
            prop_assert!(!group.sentences.iter().any(|s| s.contains("NaN")), "{:?}", group.sentences);
        }
    }
}

#[test]
fn a_group_is_taken_back_as_it_was_found() {
    let settings = ReliabilitySettings::default();
    for failures in [0, 12] {
        let mut outcomes = Outcomes::default();
        for (days, inside) in [(180.0, 40), (365.0, 40), (730.0, 40)] {
            outcomes.add_checks(days, inside, failures).unwrap();
        }
        let found = GroupReliability::new("DMM".into(), 60, outcomes, &settings, 0.95);
        assert_eq!(found.chosen.is_some(), failures > 0);
        let bytes = rmp_serde::to_vec(&found).unwrap();
        let taken: GroupReliability = rmp_serde::from_slice(&bytes).unwrap();
        assert_eq!(format!("{taken:?}"), format!("{found:?}"));
    }
}

#[test]
fn joined_times_move_a_limit_by_less_than_a_thousandth() {
    // 6,000 checks at 1,500 times, R(t) = exp(−(t/1500 d)³): failures spread as evenly as they can be.
    let mut outcomes = Outcomes::default();
    let (mut due, mut done) = (0.0, 0u64);
    for time in 1..=1_500 {
        let days = f64::from(time);
        due += 4.0 * (1.0 - (-(days / 1_500.0).powi(3)).exp());
        let failures = (due as u64).saturating_sub(done).min(4);
        done += failures;
        outcomes.add_checks(days, 4 - failures, failures).unwrap();
    }
    let group = group(outcomes, 0.85);
    let fit = group.chosen_fit().unwrap();
    let data = LifeData::new(&group.outcomes);
    assert!(data.distinct_times() > MANY_TIMES);
    let mut whole = Profile::new(fit, &data, TargetKind::EndOfPeriod);
    let mut worst = 0f64;
    for point in &group.curve[1..] {
        let years = point.days / DAYS_PER_YEAR;
        let limits = whole.limit_curves(years, group.level);
        let (lower, upper) = (limits.lower, limits.upper);
        let off = (point.lower - lower).abs().max((point.upper - upper).abs());
        worst = worst.max(off);
    }
    // A quarter of a pixel of a chart that shows R from 0 to 1.
    assert!(worst < 0.001, "{:?}: {worst}", fit.name);
}

/// Four of ninety fail in the first weeks and none later: the shape runs towards nought, R all but
/// stands still, and no sentence gives the thousands of years that follow as a figure.
#[test]
fn a_curve_that_stands_still_gives_no_figure_of_thousands_of_years() {
    let mut outcomes = Outcomes::default();
    outcomes.add_lives(0.0, 40.0, 4).unwrap();
    outcomes.add_lives(2400.0, f64::INFINITY, 86).unwrap();
    let settings = ReliabilitySettings {
        models: vec![LifeModelName::Weibull],
        ..Default::default()
    };
    let group = GroupReliability::new("g".into(), 90, outcomes, &settings, 0.93);
    let days = group.interval.days.unwrap();
    assert!(days > 100.0 * DAYS_PER_YEAR, "{days}");
    says!(
        group.interval.why,
        "at the end of the interval for more than 100 years (95 % limits "
    );
    says!(group.interval.why, "the model decides, not the records");
}
