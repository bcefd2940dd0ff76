use super::*;

const CLASS: Surprises = Surprises {
    step_rate: 0.02,
    step_years: 30.0,
    break_rate: 0.01,
    outlying_share: 0.005,
    step_variance: 0.49,
    break_variance: 0.12,
    outlying_factor: 8.0,
};

fn calm() -> StateEstimate {
    StateEstimate {
        error_variance: 0.01,
        drift_variance: 0.001,
        covariance: 0.001,
        ..StateEstimate::default()
    }
}

#[test]
fn a_reading_as_expected_is_the_plain_update() {
    let update = CLASS.mixture_update(&calm(), 0.1, 0.01, 1.0);
    let plain = calm().updated(0.1, 0.01);
    near!(update.estimate.error, plain.error, 1e-4);
    near!(
        update.estimate.drift_variance / plain.drift_variance,
        1.0,
        1e-2
    );
    assert!(update.meaning.surprise() < 1e-2);
}

#[test]
fn a_far_reading_soon_is_a_step_and_late_may_be_a_break() {
    let soon = CLASS.mixture_update(&calm(), 1.6, 0.01, 0.2).meaning;
    assert!(soon.step > 0.95, "{soon:?}");
    let late = CLASS.mixture_update(&calm(), 1.6, 0.01, 4.0);
    assert!(late.meaning.broken > 0.2, "{:?}", late.meaning);
    // What may be a break widens the drift, so the next interval is short.
    assert!(late.estimate.drift_variance > 10.0 * calm().drift_variance);
}

#[test]
fn the_wildest_reading_is_a_surprise_and_no_more() {
    for off in [30.0, 1e3, 1e6, 1e12] {
        let wild = CLASS.mixture_update(&calm(), off, 0.01, 1.0);
        assert!(wild.meaning.surprise() > 0.999, "{:?}", wild.meaning);
        assert!(wild.log_likelihood > -6.0 - 3.0 * f64::ln(off), "{wild:?}");
        let back = (0..2).fold(wild.estimate, |estimate, _| {
            CLASS
                .mixture_update(&estimate, -estimate.error, 0.01, 1.0)
                .estimate
        });
        assert!(back.error.abs() < 0.2, "{back:?}");
        near!(back.drift, calm().drift, 0.01);
        assert!(
            back.drift_variance < 2.0 * calm().drift_variance,
            "{back:?}"
        );
    }
}

#[test]
fn after_an_outlying_reading_the_next_decides() {
    let far = CLASS.mixture_update(&calm(), 0.7, 0.01, 0.3).estimate;
    let back = CLASS.mixture_update(&far, -far.error, 0.01, 0.3).estimate;
    let stayed = CLASS
        .mixture_update(&far, 0.7 - far.error, 0.01, 0.3)
        .estimate;
    assert!(back.error.abs() < 0.05, "{back:?}");
    assert!(stayed.error > 0.55, "{stayed:?}");
}

#[test]
fn nothing_expected_leaves_the_plain_update_at_any_distance() {
    let update = Surprises::default().mixture_update(&calm(), 5.0, 0.01, 1.0);
    let plain = calm().updated(5.0, 0.01);
    near!(update.estimate.error, plain.error, 1e-12);
    assert_eq!(update.meaning, Meaning::default());
}
