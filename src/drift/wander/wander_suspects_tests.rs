//! The screen of the wander model: what it names, what it leaves in peace, and how it is told.

use super::*;
use crate::drift::diagnostics::suspects::tests::class_of_six;
use crate::drift::diagnostics::suspects::without;
use crate::drift::testing::*;

/// Yearly readings of u one about a drift and a walk of 0.5 per root year.
fn walk(seed: u64, n: usize, stated: bool) -> Vec<Reading> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut random) };
    let mut truth = 0.0;
    (0..n)
        .map(|check| {
            truth += 0.3 + 0.5 * normal();
            Reading {
                x: 40.0 + check as f64,
                value: truth + normal(),
                u: if stated { 1.0 } else { f64::NAN },
                check: check as u32,
                ..Reading::default()
            }
        })
        .collect()
}

fn rows(readings: &[Reading]) -> Vec<u32> {
    let fit = fit_wander_readings(readings, Likelihood::Restricted).unwrap();
    let found = suspects_of_wander(readings, &fit);
    found.iter().map(|suspect| suspect.row).collect()
}

#[test]
fn a_wild_reading_of_a_long_history_is_named_wherever_it_stands() {
    for stated in [true, false] {
        for wild in [0, 1, 20, 38, 39] {
            let mut readings = walk(4, 40, stated);
            readings[wild].value -= 12.0;
            assert_eq!(rows(&readings), [wild as u32], "u stated: {stated}");
        }
    }
}

#[test]
fn two_wild_readings_do_not_hide_each_other() {
    let mut readings = walk(6, 40, false);
    readings[10].value += 14.0;
    readings[25].value += 13.0;
    let mut found = rows(&readings);
    found.sort_unstable();
    assert_eq!(found, [10, 25]);
}

#[test]
fn a_step_is_no_outlier() {
    let mut readings = walk(8, 40, true);
    readings[20..].iter_mut().for_each(|r| r.value += 10.0);
    assert!(rows(&readings).is_empty());
}

/// The family-wise level is 1 %: of 400 histories four are expected.
#[test]
fn sound_histories_are_left_in_peace() {
    for (n, stated) in [(12, true), (12, false), (40, true)] {
        let named = (0..400).filter(|seed| !rows(&walk(*seed, n, stated)).is_empty());
        let named = named.count();
        println!("n {n}, u stated {stated}: {named} of 400 named");
        assert!(named <= 12, "{n} {stated}: {named}");
    }
}

#[test]
fn named_in_words_kept_in_the_fit_and_left_out_on_request() {
    let all = class_of_six(&|check| if check == 5 { 1.5 } else { 0.0 });
    let settings = DriftSettings {
        model: ModelName::Wander,
        ..DriftSettings::default()
    };
    let classes = class_parameters(&all, &settings);
    let fit = fit_model(&all.get(0), classes.of_history(0), &settings);
    assert_eq!(fit.suspects.len(), 1);
    assert_eq!((fit.suspects[0].row, fit.readings), (5, 12));
    let note = fit.notes.iter().find(|note| note.contains("it is kept"));
    says!(note.unwrap(), "2016-01-26 06:00 lies 1.42 mV off the fit");
    let others = without(&all.get(0), &fit.suspects);
    let again = fit_model(&others.get(0), classes.of_history(0), &settings);
    assert!(again.suspects.is_empty() && again.readings == 11);
    let width = |fit: &crate::drift::Fit| fit.at(fit.last_x + 1.0).unwrap().u_reading;
    assert!(width(&again) < 0.5 * width(&fit));
}
