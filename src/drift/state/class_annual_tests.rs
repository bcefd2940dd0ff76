//! The swing that a class lends, beside the whole covariance written out, and found in classes.

use super::*;
use crate::drift::class::annual::{ClassAnnualTerm, Trace};
use crate::drift::class::annual_trace::phase;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::state::annual::remove_annual_term;
use crate::drift::testing::class_of_rates;
use nalgebra::{DMatrix, DVector, Matrix2, Vector2};
use std::f64::consts::TAU;

const RATES: Rates = Rates {
    drift: 0.05,
    drift_variance: 0.04,
    wander: 0.02,
    turning: 0.0,
    excess: 0.0,
    common: 0.0,
    damping: 0.0,
};

fn annual_members() -> ClassParameters {
    ClassParameters {
        annual: ClassAnnualTerm {
            mean: Vector2::new(0.1, -0.05),
            covariance: Matrix2::new(0.06, 0.01, 0.01, 0.04),
            belief: 1.0,
        },
        members: 100,
        informed: 100,
        ..class_of_rates(RATES)
    }
}

/// Swing, forecast and its variance from the joint normal distribution of level, drift,
/// swing and readings; an adjustment after the third reading gives a second level.
#[test]
fn the_filter_gives_the_joint_normal_distribution() {
    let x = [40.0, 40.6, 41.3, 41.9, 42.75, 43.1];
    let y = [0.1, -0.15, 0.3, 0.05, 0.2, -0.1];
    let segment = [0, 0, 0, 1, 1, 1];
    let readings: Vec<Reading> = (0..6)
        .map(|i| Reading {
            x: x[i],
            value: y[i],
            u: 0.1,
            segment: segment[i],
            check: i as u32,
            ..Reading::default()
        })
        .collect();
    let class = annual_members();
    let mut without = readings.clone();
    let annual = remove_annual_term(&mut without, &class, 1.0, Axis::Time).unwrap();
    let mut filter = StateFilter::new(&class, 1.0);
    for reading in &without {
        filter.push(reading);
    }
    let ahead = 43.55;
    let prediction = annual.added_to(filter.forecast().unwrap().at(ahead), ahead);

    // Rows 0 to 5 are the readings, 6 the true error at `ahead`, 7 and 8 cosine and sine. A
    // level that nothing is known of leaves the differences to its first reading.
    let (mean, spread) = (
        annual_members().annual.mean,
        annual_members().annual.covariance,
    );
    let at = |i: usize| {
        if i < 6 {
            (x[i], segment[i])
        } else {
            (ahead, 1)
        }
    };
    let wave = |i: usize| match i {
        7 => Vector2::new(1.0, 0.0),
        8 => Vector2::new(0.0, 1.0),
        _ => phase(at(i).0),
    };
    let since = |i: usize| at(i).0 - if at(i).1 == 0 { x[0] } else { x[3] };
    let covariance = DMatrix::from_fn(9, 9, |i, j| {
        let swings = wave(i).dot(&(spread * wave(j)));
        if i > 6 || j > 6 {
            return swings;
        }
        let same = if at(i).1 == at(j).1 { 1.0 } else { 0.0 };
        let noise = if i == j && i < 6 { 0.01 } else { 0.0 };
        let moved = RATES.drift_variance * since(i) * since(j);
        moved + same * RATES.wander * since(i).min(since(j)) + swings + noise
    });
    let expected = DVector::from_fn(9, |i, _| {
        let drift = if i > 6 { 0.0 } else { RATES.drift * since(i) };
        drift + wave(i).dot(&mean)
    });
    let mut contrast = DMatrix::zeros(7, 9);
    let pairs = [(1, 0), (2, 0), (4, 3), (5, 3), (6, 3)];
    for (row, (own, first)) in pairs.into_iter().enumerate() {
        contrast[(row, own)] = 1.0;
        contrast[(row, first)] = -1.0;
    }
    (contrast[(5, 7)], contrast[(6, 8)]) = (1.0, 1.0);
    let covariance = &contrast * covariance * contrast.transpose();
    let expected = &contrast * expected;
    let known = covariance
        .view((0, 0), (4, 4))
        .into_owned()
        .try_inverse()
        .unwrap();
    let gain = covariance.view((4, 0), (3, 4)) * known;
    let off = DVector::from_fn(4, |i, _| y[pairs[i].0] - y[pairs[i].1] - expected[i]);
    let found = expected.rows(4, 3) + &gain * off + DVector::from_vec(vec![y[3], 0.0, 0.0]);
    let left = covariance.view((4, 4), (3, 3)) - &gain * covariance.view((0, 4), (4, 3));
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} for {b}");
    close(annual.cosine, found[1]);
    close(annual.sine, found[2]);
    close(annual.covariance.0, left[(1, 1)]);
    close(annual.covariance.1, left[(1, 2)]);
    close(annual.covariance.2, left[(2, 2)]);
    close(prediction.expected, found[0]);
    close(prediction.u_error * prediction.u_error, left[(0, 0)]);
    // After one reading a swing nobody knows has no say a year later, and all half a year on.
    let annual = remove_annual_term(&mut readings[..1].to_vec(), &class, 1.0, Axis::Time).unwrap();
    let far = 4.0 * phase(x[0]).dot(&(spread * phase(x[0])));
    close(annual.variance_at(x[0] + 1.0), 0.0);
    close(annual.variance_at(x[0] + 0.5), far);
}

/// A class whose members are checked at irregular times, each swinging by `amplitude` with a
/// phase of its own, or with that of the room.
fn members(seed: u64, count: usize, checks: usize, amplitude: f64, room: bool) -> Vec<Vec<Check>> {
    let mut random = Pcg64::seed_from_u64(seed);
    (0..count)
        .map(|_| {
            let mut normal = || normal(&mut random);
            let (mut x, mut level, drift) = (0.0, 0.0, 0.15 * normal());
            let own: f64 = normal() * 10.0;
            (0..checks)
                .map(|_| {
                    let gap = 0.8 + 0.6 * normal().abs();
                    x += gap;
                    level += drift * gap + 0.05 * gap.sqrt() * normal();
                    let turn = if room { 0.3 } else { own };
                    let annual = amplitude * (TAU * (x - turn)).cos();
                    (
                        x,
                        level + annual + 0.1 * normal(),
                        f64::NAN,
                        0.1,
                        Default::default(),
                    )
                })
                .collect()
        })
        .collect()
}

fn class_of(checks: &[Vec<Check>], known: usize) -> (ClassParameters, Histories) {
    let all: Vec<(&str, Vec<Check>)> = checks.iter().map(|c| ("g", c[..known].to_vec())).collect();
    let all = histories(&all, Some(1.0));
    let classes = class_parameters(&all, &DriftSettings::default());
    (classes.parameters[0].clone(), all)
}

#[test]
fn a_class_that_swings_is_found_from_few_readings_an_item() {
    for room in [false, true] {
        let checks = members(1, 200, 5, 0.3, room);
        let (class, all) = class_of(&checks, 4);
        let typical = class.annual.typical();
        near!(typical, 0.3, 0.06);
        // One phase for all is told from the class at once, phases of their own are not.
        assert_eq!(class.annual.mean.norm() > 0.2, room, "{:?}", class.annual);
        // The wander is not taken for larger than it is, nor does the swing swallow it.
        assert!(
            (0.02..0.12).contains(&class.rates.wander.sqrt()),
            "{:?}",
            class.rates
        );
        let inside = checks.iter().enumerate().filter(|(i, checks)| {
            let fit = fit_state(&all.get(*i), &class, &DriftSettings::default());
            let (below, above) = fit.at(checks[4].0).unwrap().reading(0.95);
            below <= checks[4].1 && checks[4].1 <= above
        });
        let inside = inside.count();
        println!("{inside} of 200 inside");
        assert!((180..=199).contains(&inside), "{inside} of 200");
    }
}

#[test]
fn steady_classes_do_not_swing() {
    // In one of these classes the readings leave it open: what it lends is well below
    // the u of a reading, 0.1.
    let lent = (0..40).map(|seed| {
        let (class, _) = class_of(&members(100 + seed, 60, 6, 0.0, false), 6);
        class.annual.typical()
    });
    let lent: Vec<f64> = lent.filter(|swing| *swing > 0.0).collect();
    assert!(
        lent.len() <= 1 && lent.iter().all(|swing| *swing < 0.06),
        "{lent:?}"
    );
}

/// Yearly checks say nothing of a swing, and where three were made half a year off their dates two wrong
/// readings among these were taken for a swing of the whole class, in nine of these thirty: they passed for right.
#[test]
fn two_wrong_readings_are_no_swing_of_their_class() {
    let mut swinging = 0;
    for seed in 0..30 {
        let mut random = Pcg64::seed_from_u64(900 + seed);
        let mut normal = || normal(&mut random);
        let member = |_| -> Vec<Check> {
            let (mut x, mut level, drift) = (normal(), 0.2 * normal(), 0.1 * normal());
            let check = |_| {
                x += 1.0 + 0.02 * normal();
                level += drift;
                (
                    x,
                    level + 0.03 * normal(),
                    f64::NAN,
                    0.04,
                    Default::default(),
                )
            };
            (0..8).map(check).collect()
        };
        let mut checks: Vec<Vec<Check>> = (0..8).map(member).collect();
        for member in &mut checks[..3] {
            member[7].0 += 0.5;
        }
        checks[0][7].1 -= 0.6;
        checks[1][7].1 += 0.3;
        swinging += usize::from(class_of(&checks, 8).0.annual.has_annual_term());
    }
    assert!(swinging <= 1, "{swinging} of 30");
}

/// What the readings leave open is told as that, with its probability, where it is likely or makes
/// bands wider than is worth a word.
#[test]
fn a_swing_in_doubt_is_told_as_one() {
    let (mut told, mut silent) = (0, 0);
    for seed in 0..20 {
        let (class, all) = class_of(&members(700 + seed, 3, 6, 0.1, false), 6);
        if !(0.01..1.0).contains(&class.annual.belief) {
            continue;
        }
        let fit = fit_state(&all.get(0), &class, &DriftSettings::default());
        let says = |note: &String| note.contains("may swing with the year: by about 0.");
        let says = fit.notes.iter().any(says);
        assert!(says || class.annual.belief < 0.5, "{:?}", fit.notes);
        assert!(!fit.shows_annual_term());
        let told_or_not = if says { &mut told } else { &mut silent };
        *told_or_not += 1;
    }
    println!("{told} told, {silent} not");
    assert!(told >= 3, "{told}");
}

/// Classes of eight and of three in which each member swings by its own phase: sought by rates that
/// had been found without a swing, hardly any was found, and bands held 0.79 to 0.85.
#[test]
fn small_classes_that_swing_are_found_by_rates_that_suppose_it() {
    for (size, least) in [(8, 0.9), (3, 0.7)] {
        let (mut found, mut inside, mut all_told) = (0_usize, 0_usize, 0_usize);
        for seed in 0..40 {
            let checks = members(500 + seed, size, 9, 0.3, false);
            let (class, all) = class_of(&checks, 8);
            found += usize::from(class.annual.has_annual_term());
            for (i, checks) in checks.iter().enumerate() {
                let fit = fit_state(&all.get(i), &class, &DriftSettings::default());
                let (below, above) = fit.at(checks[8].0).unwrap().reading(0.95);
                inside += usize::from(below <= checks[8].1 && checks[8].1 <= above);
                all_told += 1;
            }
        }
        let share = inside as f64 / all_told as f64;
        println!("groups of {size}: {found} of 40 found, {share:.3} inside");
        assert!(found as f64 >= 40.0 * least, "{found}");
        assert!((0.92..0.99).contains(&share), "{share}");
    }
}

#[test]
fn nothing_to_go_by_is_no_swing() {
    assert!(!ClassAnnualTerm::of(&[]).has_annual_term());
    assert!(!ClassAnnualTerm::of(&[Trace::default(); 3]).has_annual_term());
}

#[test]
fn one_member_that_swings_alone_lends_nobody_its_swing() {
    for seed in [5, 6, 7] {
        let mut checks = members(seed, 12, 15, 0.0, false);
        let alone = members(seed + 100, 1, 15, 0.35, true);
        checks[4].clone_from(&alone[0]);
        let (class, all) = class_of(&checks, 15);
        assert!(!class.annual.has_annual_term(), "{:?}", class.annual);
        let swings = |i: usize| {
            fit_state(&all.get(i), &class, &DriftSettings::default()).shows_annual_term()
        };
        assert!(swings(4));
        assert!((0..12).filter(|i| *i != 4).all(|i| !swings(i)));
    }
}
