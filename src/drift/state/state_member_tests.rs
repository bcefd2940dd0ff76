//! Members that differ from their class: one that swings with the year, one that is restless.

use super::*;
use crate::drift::ModelName;
use crate::drift::diagnostics::suspects::tests::class_of_six;
use crate::drift::settings::Pooling;

#[test]
fn a_member_that_swings_with_the_year_is_forecast_with_its_swing_and_widens_nobody_elses_band() {
    let mut checks = fleet(31, 12, 24, 0.23, 0.05, 0.02, 0.03);
    let steady = class(checks.clone(), Some(1.0));
    for (x, y, _, _, _) in &mut checks[4] {
        *y += 0.3 * (std::f64::consts::TAU * (*x - 0.2)).cos();
    }
    let all = class(checks, Some(1.0));
    let settings = DriftSettings::default();
    let found = class_parameters(&all, &settings);
    let before = class_parameters(&steady, &settings);
    let wander =
        |classes: &crate::drift::class::classes::Classes| classes.parameters[0].rates.wander.sqrt();
    near!(wander(&found), wander(&before), 0.01);
    let fit = fit_state(&all.get(4), found.of_history(4), &settings);
    assert!(fit.has_annual_term(), "{:?}", fit.notes);
    assert!(
        fit.notes
            .iter()
            .any(|note| note.contains("highest in March"))
    );
    let amplitude = |term| fit.coefficients.iter().find(|c| c.term == term).unwrap();
    let (cosine, sine) = (amplitude("cosine"), amplitude("sine"));
    near!(
        cosine.estimate.hypot(sine.estimate),
        0.3,
        3.0 * cosine.standard_error
    );
    // Half a year apart the swing turns round.
    let x = fit.last_x + 0.1;
    let annual = |x: f64| 0.3 * (std::f64::consts::TAU * (x - 0.2)).cos();
    let (now, later) = (fit.at(x).unwrap(), fit.at(x + 0.5).unwrap());
    let drift = now.expected - later.expected + 0.5 * fit.drift_per_year;
    near!(drift, annual(x) - annual(x + 0.5), 0.05);
    let other = fit_state(&all.get(3), found.of_history(3), &settings);
    assert!(!other.has_annual_term());
}

#[test]
fn a_restless_member_gets_wider_bands_and_is_told() {
    let mut checks = fleet(41, 40, 20, 0.5, 0.05, 0.05, 0.05);
    let restless = 7;
    for (number, check) in checks[restless].iter_mut().enumerate() {
        check.1 += [0.35, -0.2, 0.15, -0.4, 0.25][number % 5];
    }
    for calm in (1..40).step_by(2).filter(|i| *i != restless) {
        let first = checks[calm][0].1;
        for check in &mut checks[calm] {
            check.1 = first + 0.3 * (check.1 - first);
        }
    }
    let all = class(checks, Some(1.0));
    let settings = DriftSettings::default();
    let classes = class_parameters(&all, &settings);
    assert!(classes.parameters[0].own_scatter.degrees.is_finite());
    let fit = |i: usize| fit_state(&all.get(i), classes.of_history(i), &settings);
    let (loud, quiet) = (fit(restless), fit(1));
    let width = |fit: &crate::drift::Fit| fit.at(fit.last_x + 0.5).unwrap().u_reading;
    assert!(width(&loud) > 1.3 * width(&quiet));
    assert!(
        loud.notes
            .iter()
            .any(|n| n.contains("times as much as those of its class"))
    );
}

#[test]
fn a_scatter_that_fell_gives_narrower_bands_but_never_below_a_stated_u() {
    // 300 readings a fortnight apart; from the 200th on they scatter a quarter as much.
    let settings = DriftSettings::default();
    let fitted = |u: f64| {
        let mut record = fleet(53, 1, 300, 0.04, 0.02, 0.01, 0.1).remove(0);
        for (i, check) in record.iter_mut().enumerate() {
            check.1 *= if i < 200 { 1.0 } else { 0.25 };
            check.3 = u;
        }
        let all = class(vec![record], None);
        let classes = class_parameters(&all, &settings);
        let (history, class) = (all.get(0), classes.of_history(0));
        let fit = fit_state(&history, class, &settings);
        // The chart's band meets the forecast at the last reading.
        let [level] = smoothed(&history, class, &settings, &[fit.last_x])[..] else {
            panic!("one date, one level");
        };
        let forecast = fit.at(fit.last_x).unwrap();
        near!(level.u_reading / forecast.u_reading, 1.0, 1e-9);
        near!(level.expected, forecast.expected, 1e-9);
        fit
    };
    let width = |fit: &crate::drift::Fit| fit.at(fit.last_x + 0.04).unwrap().u_reading;
    let unstated = fitted(f64::NAN);
    assert!((0.02..0.06).contains(&width(&unstated)), "{unstated:?}");
    let noted = |fit: &crate::drift::Fit| fit.notes.iter().any(|n| n.contains("lately"));
    assert!(noted(&unstated), "{:?}", unstated.notes);
    assert!(width(&fitted(0.08)) >= 0.08);
}

#[test]
fn a_class_is_taken_back_as_it_was_found() {
    let settings = DriftSettings {
        model: ModelName::Line,
        borrow: Pooling::Class,
        ..DriftSettings::default()
    };
    let found = class_parameters(&class_of_six(&|_| 0.0), &settings);
    let class = found.of_history(0);
    assert!(class.pooled.is_some());
    let kept = |class: &ClassParameters| {
        let bytes = rmp_serde::to_vec(class).unwrap();
        rmp_serde::from_slice::<ClassParameters>(&bytes).unwrap()
    };
    assert_eq!(&kept(class), class);
    let fixed = ClassParameters {
        scale: ClassScale::Fixed(0.1 + 0.2),
        ..class.clone()
    };
    assert_eq!(kept(&fixed), fixed);
}
