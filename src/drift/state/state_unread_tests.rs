//! Events whose value left was not kept: the level after them is the class's to tell.

use super::*;
use crate::drift::{ModelName, fit_model};

/// A class adjusted at every check to N(0, 0.05²) and found a year later; the true errors as
/// left at the last check, and the drifts.
fn adjusted_always(seed: u64, size: usize, kept: bool) -> (Histories, Vec<(f64, f64)>) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut truth = Vec::new();
    let checks = (0..size).map(|_| {
        let drift = 0.2 * normal(&mut rng);
        let (mut error, mut x) = (0.1 * normal(&mut rng), 0.0);
        let mut own = Vec::new();
        for _ in 0..8 {
            let found = error + 0.1 * normal(&mut rng);
            error = 0.05 * normal(&mut rng);
            let left = error + 0.1 * normal(&mut rng);
            let left = if kept { left } else { f64::NAN };
            own.push((x, found, left, 0.1, Event::Adjusted));
            truth.push((error, drift));
            let step = 1.0 + 0.05 * normal(&mut rng);
            x += step;
            error += drift * step + 0.05 * normal(&mut rng);
        }
        truth.drain(truth.len() - 8..truth.len() - 1);
        own
    });
    let checks: Vec<Vec<Check>> = checks.collect();
    (class(checks, Some(1.0)), truth)
}

#[test]
fn the_level_after_an_adjustment_is_what_the_class_is_left_at_and_not_what_was_found() {
    let settings = DriftSettings::default();
    for kept in [false, true] {
        let (all, truth) = adjusted_always(5, 150, kept);
        let classes = class_parameters(&all, &settings);
        let left = classes.parameters[0].left;
        assert!(left.mean.abs() < 0.05, "{left:?}");
        assert!((0.02..0.09).contains(&left.variance.sqrt()), "{left:?}");
        let (mut inside, mut stated, mut held) = (0, 0.0, 0.0);
        for (i, (error, drift)) in truth.iter().enumerate() {
            let fit = fit_state(&all.get(i), classes.of_history(i), &settings);
            let ahead = fit.at(fit.last_x + 2.0).unwrap();
            let truth = error + 2.0 * drift;
            let (low, high) = ahead.confidence(0.95);
            inside += u32::from(low <= truth && truth <= high);
            stated += ahead.probability_in(Tolerance::new(-0.5, 0.5).unwrap());
            held += f64::from(truth.abs() <= 0.5);
            // Its drift shows although no segment has two readings.
            near!(fit.drift_per_year, *drift, 0.35);
        }
        let share = f64::from(inside) / 150.0;
        assert!(share > 0.9, "{share}");
        assert!(((stated - held) / 150.0f64).abs() < 0.06, "{stated} {held}");
    }
}

#[test]
fn a_history_alone_is_wide_after_such_an_event_and_every_model_says_so() {
    let nan = f64::NAN;
    let own: Vec<Check> = (0..8)
        .map(|i| (f64::from(i), 0.1 * f64::from(i), nan, 0.02, Event::None))
        .collect();
    let fit_of = |event: Event, left: f64, model: ModelName| {
        let mut own = own.clone();
        (own[7].2, own[7].4) = (left, event);
        let all = class(vec![own], Some(1.0));
        let settings = DriftSettings {
            model,
            ..DriftSettings::default()
        };
        let classes = class_parameters(&all, &settings);
        fit_model(&all.get(0), classes.of_history(0), &settings)
    };
    let kept = fit_of(Event::Adjusted, 0.0, ModelName::State);
    assert!(kept.at(7.0).unwrap().u_error < 0.03);
    for model in [
        ModelName::State,
        ModelName::Line,
        ModelName::Wander,
        ModelName::Auto,
    ] {
        for event in [
            Event::Adjusted,
            Event::Repaired,
            Event::Replaced,
            Event::Annealed,
        ] {
            let fit = fit_of(event, nan, model);
            let now = fit.at(7.0).unwrap();
            assert!(now.expected.abs() < 1e-9 && now.u_error > 0.15, "{now:?}");
            let says = |note: &String| note.contains(event.word()) && note.contains("left");
            assert!(fit.notes.iter().any(says), "{:?}", fit.notes);
        }
    }
    // A shock happens before the check that reports it: its value is the level after it.
    let shocked = fit_of(Event::Shocked, nan, ModelName::State);
    near!(shocked.at(7.0).unwrap().expected, 0.7, 0.05);
}

/// The same in another unit, with limits and without: nothing depends on the unit.
#[test]
fn what_is_left_scales_with_the_unit() {
    for tolerance in [Some(1.0), None] {
        let scaled = |unit: f64| {
            let (mut all, _) = adjusted_always(9, 12, false);
            let values = &mut all.columns;
            values.as_found.iter_mut().for_each(|v| *v *= unit);
            values.u.iter_mut().for_each(|u| *u *= unit);
            for item in &mut all.items {
                item.tolerance =
                    tolerance.and_then(|half| Tolerance::new(-half * unit, half * unit));
            }
            let settings = DriftSettings::default();
            let classes = class_parameters(&all, &settings);
            let fit = fit_state(&all.get(0), classes.of_history(0), &settings);
            let ahead = fit.at(fit.last_x + 1.0).unwrap();
            (ahead.expected / unit, ahead.u_error / unit)
        };
        let (plain, small) = (scaled(1.0), scaled(1e-9));
        near!(small.0, plain.0, 1e-6);
        near!(small.1 / plain.1, 1.0, 1e-6);
    }
}

/// A class whose items are put back to N(0, 0.05²) beyond 0.7 of their limits, noted or not;
/// the true errors after the last check, and the drifts.
fn adjusted_near_the_limit(seed: u64, noted: bool, adjusts: bool) -> (Histories, Vec<(f64, f64)>) {
    class_of_items(30, seed, noted, adjusts)
}

/// As [`adjusted_near_the_limit`], a class of so many.
fn class_of_items(
    items: usize,
    seed: u64,
    noted: bool,
    adjusts: bool,
) -> (Histories, Vec<(f64, f64)>) {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut truth = Vec::new();
    let checks = (0..items).map(|_| {
        let drift = 0.3 * normal(&mut rng);
        let mut error = 0.1 * normal(&mut rng);
        let mut own = Vec::new();
        for x in 0..10 {
            let found = error + 0.1 * normal(&mut rng);
            let (mut left, mut event) = (f64::NAN, Event::None);
            if adjusts && found.abs() > 0.7 {
                error = 0.05 * normal(&mut rng);
                if noted {
                    (left, event) = (error + 0.1 * normal(&mut rng), Event::Adjusted);
                }
            }
            own.push((f64::from(x), found, left, 0.1, event));
            if x == 9 {
                truth.push((error, drift));
            }
            error += drift + 0.1 * normal(&mut rng);
        }
        own
    });
    let checks: Vec<Vec<Check>> = checks.collect();
    (class(checks, Some(1.0)), truth)
}

#[test]
fn adjustments_that_nobody_noted_are_seen_and_the_stated_probability_holds() {
    let settings = DriftSettings::default();
    let (mut stated, mut held, mut seen) = (0.0, 0.0, 0);
    for seed in 0..8 {
        let (all, truth) = adjusted_near_the_limit(seed, false, true);
        let classes = class_parameters(&all, &settings);
        let class = &classes.parameters[0];
        seen += usize::from(class.missing.is_some());
        for (i, (error, drift)) in truth.iter().enumerate() {
            let fit = fit_state(&all.get(i), class, &settings);
            let ahead = fit.at(fit.last_x + 1.0).unwrap();
            stated += ahead.probability_in(Tolerance::new(-1.0, 1.0).unwrap());
            held += f64::from((error + drift).abs() <= 1.0);
        }
        if class.missing.is_some() {
            let fit = fit_state(&all.get(0), class, &settings);
            let says = |note: &String| note.contains("adjustments seem to be missing");
            assert!(fit.notes.iter().any(says), "{:?}", fit.notes);
        }
    }
    assert!(seen >= 7, "{seen} of 8 classes");
    assert!(((stated - held) / 240.0f64).abs() < 0.04, "{stated} {held}");
}

/// Classes of two: two falls of readings near a limit are enough, and where none was made or all
/// are noted none is seen.
#[test]
fn a_small_class_shows_adjustments_that_nobody_noted() {
    let settings = DriftSettings::default();
    let seen = |noted, adjusts| {
        let classes = (0..40).map(|seed| {
            let (all, _) = class_of_items(2, 900 + seed, noted, adjusts);
            class_parameters(&all, &settings).parameters[0].missing
        });
        let fallen: Vec<u64> = classes.flatten().map(|missing| missing.fallen).collect();
        println!("{fallen:?}");
        fallen
    };
    let few = seen(false, true).into_iter().filter(|fallen| *fallen == 2);
    assert!(few.count() >= 4);
    assert!(seen(true, true).is_empty() && seen(false, false).is_empty());
}

#[test]
fn nothing_is_missing_where_adjustments_are_noted_or_none_were_made() {
    let settings = DriftSettings::default();
    for seed in 0..20 {
        for (noted, adjusts) in [(true, true), (false, false)] {
            let (all, _) = adjusted_near_the_limit(seed, noted, adjusts);
            let classes = class_parameters(&all, &settings);
            assert_eq!(classes.parameters[0].missing, None, "{seed} {noted}");
        }
    }
}

/// A class of which one reading in thirty lies five times as far off as its u says, steady or drifting slowly.
fn class_with_outlying_readings(seed: u64) -> Histories {
    let mut rng = Pcg64::seed_from_u64(seed);
    let checks = (0..30).map(|_| {
        let drift = 0.03 * normal(&mut rng);
        let mut error = 0.1 * normal(&mut rng);
        let own = (0..8).map(|x| {
            error += drift + 0.05 * normal(&mut rng);
            let wide = if normal(&mut rng) > 1.83 { 5.0 } else { 1.0 };
            let found = error + 0.2 * wide * normal(&mut rng);
            (f64::from(x), found, f64::NAN, 0.2, Event::None)
        });
        own.collect()
    });
    let checks: Vec<Vec<Check>> = checks.collect();
    class(checks, Some(1.0))
}

/// An outlying reading near a limit is followed by one that is not; twelve of these forty classes were said to lack
/// adjustments, and nothing of theirs was extended.
#[test]
fn readings_that_stand_alone_are_no_adjustments() {
    let settings = DriftSettings::default();
    let seen = (0..40).filter(|seed| {
        let all = class_with_outlying_readings(700 + seed);
        class_parameters(&all, &settings).parameters[0]
            .missing
            .is_some()
    });
    assert_eq!(seen.count(), 0);
}
