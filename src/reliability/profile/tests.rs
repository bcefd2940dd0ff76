use super::*;
use crate::reliability::fit::{fit, tests::data_a};
use crate::reliability::models::LifeModelName as Name;

fn limits(name: Name, target: f64) -> IntervalLimits {
    let data = LifeData::new(&data_a());
    let fit = fit(name, &data).unwrap();
    let mut profile = Profile::new(&fit, &data, TargetKind::EndOfPeriod);
    profile.interval_limits(target, 0.95).unwrap()
}

/// Interval-practice 3.5 "Confidence" (profile by scipy 1.17.1), checks 25 and 26.
#[test]
fn interval_limits_of_data_a() {
    let close = |a: f64, b: f64, half: f64| assert!((a - b).abs() < half, "{a} {b}");
    let exponential = limits(Name::Exponential, 0.85);
    close(exponential.lower, 8.3771, 6e-5);
    close(exponential.upper, 24.1257, 6e-5);
    let weibull = limits(Name::Weibull, 0.85);
    close(weibull.lower, 9.994, 6e-4);
    close(weibull.upper, 19.268, 6e-4);
    close(weibull.one_sided_lower, 10.720, 6e-4);
    let high = limits(Name::Weibull, 0.95);
    close(high.lower, 3.190, 6e-4);
    close(high.upper, 11.688, 6e-4);
    close(high.one_sided_lower, 4.060, 6e-4);
}

/// The two profiles are one likelihood seen from two sides: at the limit of the
/// interval, the target is a limit of R.
#[test]
fn limits_of_r_and_of_the_interval_mirror_each_other() {
    let data = LifeData::new(&data_a());
    for name in Name::ALL.iter().copied() {
        let fit = fit(name, &data).unwrap();
        let mut profile = Profile::new(&fit, &data, TargetKind::EndOfPeriod);
        let Some(interval) = profile.interval_limits(0.85, 0.95) else {
            panic!("{name:?} has an interval");
        };
        assert!(
            interval.lower < interval.one_sided_lower,
            "{name:?} {interval:?}"
        );
        assert!(
            interval.one_sided_lower < interval.upper,
            "{name:?} {interval:?}"
        );
        if interval.lower > 0.0 {
            let lower = profile.limit_curves(interval.lower, 0.95).lower;
            near!(lower, 0.85, 1e-6, "{name:?} {lower}");
        }
        if interval.upper.is_finite() {
            let upper = profile.limit_curves(interval.upper, 0.95).upper;
            near!(upper, 0.85, 1e-6, "{name:?} {upper}");
        }
    }
}

/// For the exponential an average of 0.9229694 is an end-of-period 0.85 (check 40).
#[test]
fn average_target_has_the_limits_of_its_end_of_period() {
    let data = LifeData::new(&data_a());
    let fit = fit(Name::Exponential, &data).unwrap();
    let mut profile = Profile::new(&fit, &data, TargetKind::AverageOverPeriod);
    let average = profile
        .interval_limits(0.15 / -(0.85f64.ln()), 0.95)
        .unwrap();
    let end = limits(Name::Exponential, 0.85);
    near!(average.lower / end.lower, 1.0, 1e-8);
    near!(average.upper / end.upper, 1.0, 1e-8);
    let weibull = super::super::fit::fit(Name::Weibull, &data).unwrap();
    let mut profile = Profile::new(&weibull, &data, TargetKind::AverageOverPeriod);
    let limits = profile.interval_limits(0.948803, 0.95).unwrap();
    assert!(
        limits.lower > 4.0 && limits.lower < 14.0 && limits.upper > 14.1,
        "{limits:?}"
    );
}

/// 3 of 49 lives failed, all of them within 547 d: the likeliest linear hazard starts at nothing, but a
/// shorter interval is likeliest with one that does not. By scipy 1.17.1 (bounded
/// minimum over the start at each interval, brentq) the 90 % limits are 181.0651 d and 659.2722 d; with the
/// start held at nothing they were 246.24 d and 652.25 d.
#[test]
fn a_parameter_at_the_end_of_its_range_is_free_in_the_limits() {
    let mut outcomes = crate::reliability::outcomes::Outcomes::default();
    for (days, inside, outside) in [(365.0, 29, 0), (182.0, 5, 0), (547.0, 12, 3)] {
        outcomes.add_checks(days, inside, outside).unwrap();
    }
    let data = LifeData::new(&outcomes);
    let fit = fit(Name::LinearHazard, &data).unwrap();
    assert!(fit.fixed[0]);
    let mut profile = Profile::new(&fit, &data, TargetKind::EndOfPeriod);
    let limits = profile.interval_limits(0.95, 0.9).unwrap();
    near!(limits.lower * 365.25, 181.0651, 1e-3);
    near!(limits.upper * 365.25, 659.2722, 1e-3);
}
