//! Classes that are checked once a year, about the same date: what they tell of a swing.

use super::*;
use std::f64::consts::TAU;

/// Thirty members with eight checks a year and some twenty days apart, each swinging by its own phase.
fn yearly_members(seed: u64, amplitude: f64) -> Vec<(&'static str, Vec<Check>)> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut normal = || normal(&mut random);
    let member = |_| {
        let (drift, own, first) = (0.2 * normal(), 10.0 * normal(), normal());
        let (mut x, mut level) = (first, 0.1 * normal());
        let check = |_| {
            // A gap is a year, and a month more or less by its deviation.
            let gap = 1.0 + 0.05 * normal();
            x += gap;
            level += drift * gap + 0.05 * gap.sqrt() * normal();
            let annual = amplitude * (TAU * (x - own)).cos();
            let read = level + annual + 0.1 * normal();
            (x, read, f64::NAN, 0.1, Default::default())
        };
        ("g", (0..8).map(check).collect())
    };
    (0..30).map(member).collect()
}

/// Left out whole, the readings that gain most by a swing took the best evidence of it with them, and
/// members whose dates stray by a month had no say: steady classes and those that swing were lent 0.06 and 0.07.
#[test]
fn a_class_that_swings_shows_it_by_dates_that_stray_by_a_month() {
    let lent = |amplitude| {
        let classes = (0..20).map(|seed| {
            let all = histories(&yearly_members(300 + seed, amplitude), Some(1.0));
            class_parameters(&all, &DriftSettings::default()).parameters[0].annual
        });
        let lent: Vec<_> = classes.collect();
        let sure = lent.iter().filter(|annual| annual.belief > 0.5).count();
        (
            sure,
            lent.iter().map(|annual| annual.typical()).sum::<f64>() / 20.0,
        )
    };
    let (steady, swings) = (lent(0.0), lent(0.3));
    println!("more likely than not and lent, steady: {steady:?}; that swing by 0.3: {swings:?}");
    assert!(steady.1 < 0.06 && swings.1 > 0.14, "{steady:?}, {swings:?}");
    assert!(swings.0 >= 2 * steady.0, "{steady:?}, {swings:?}");
}
