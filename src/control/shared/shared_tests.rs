use super::*;
use crate::drift::testing::*;
use rayon::prelude::*;
use std::borrow::Cow;

/// 2016-01-01.
const FIRST_DAY: f64 = 16_801.0;

/// Items of one class that drift and wander, checked every `months` months in turn for `years`
/// years; every reading from `day` on, of the first `shifted` items, is off by `shift`.
fn items(
    number: usize,
    months: usize,
    years: usize,
    seed: u64,
    shift: (f64, f64, usize),
) -> Histories {
    let mut stream = rand_pcg::Pcg64::seed_from_u64(seed);
    let mut normal = move || -> f64 { stream.sample(rand_distr::StandardNormal) };
    let (size, day, shifted) = shift;
    let step = months as f64 * 30.4375;
    let item = |number: usize| {
        let mut record = Record::new();
        record.item.instrument = format!("S-{number:04}");
        record.item.group = "gauges".into();
        let drift = 0.05 + 0.05 * normal();
        let mut error = 0.1 * normal();
        let first = FIRST_DAY + 5.0 + 30.4375 * (number % months) as f64;
        for check in 0..years * 12 / months {
            let on = first + step * check as f64;
            let off = if on >= day && number < shifted {
                size
            } else {
                0.0
            };
            record = record.check(on, error + 0.1 * normal() + off);
            error += step / 365.25 * drift + 0.03 * (step / 365.25).sqrt() * normal();
        }
        record
    };
    fleet((0..number).map(item).collect::<Vec<_>>())
}

fn found(all: &Histories) -> SharedShifts {
    let drift = DriftSettings::default();
    let classes = class_parameters(all, &drift);
    let class = |index: usize| Cow::Borrowed(classes.of_history(index));
    let by = SharedBy {
        class: &class,
        axis: drift.axis,
        judged_until: None,
        only: None,
    };
    SharedShifts::of(all, &by)
}

/// Stated: one class in a thousand in which nothing is shared tells of a shift. Two or more of two
/// hundred such classes would have a chance of 0.017, three or more 0.0011 (binomial).
#[test]
fn false_alarms_are_no_more_often_than_stated() {
    let is_found = |seed: &u64| {
        !found(&items(12, 3, 5, *seed, (0.0, 0.0, 0)))
            .shifts
            .is_empty()
    };
    let alarms = (0..200)
        .collect::<Vec<u64>>()
        .par_iter()
        .filter(|seed| is_found(seed))
        .count();
    assert!(alarms < 3, "{alarms} of 200 classes");
}

/// Every reading of all items shifted by three u from one day on.
#[test]
fn a_shift_of_three_u_is_found_within_two_months_and_once() {
    let day = FIRST_DAY + 5.0 * 365.25;
    for (number, months) in [(240, 12), (30, 3), (10, 1)] {
        let all = items(number, months, 7, 3, (0.3, day, number));
        let shifts = found(&all);
        assert_eq!(shifts.shifts.len(), 1, "{number}: {:?}", shifts.shifts);
        let shift = &shifts.shifts[0];
        near!(shift.from, day, 61.0, "{number}: {shift:?}");
        near!(shift.size / 0.3, 1.0, 0.35, "{number}: {shift:?}");
    }
}

/// No reading tells whether those before the shift or those since are right: the items rest on it
/// until a person has judged it.
#[test]
fn an_item_rests_on_a_shift_until_a_person_has_judged_it() {
    let day = FIRST_DAY + 5.0 * 365.25;
    for years in [7, 12] {
        let shifts = found(&items(240, 12, years, 3, (0.3, day, 240)));
        assert_eq!(shifts.shifts.len(), 1, "{:?}", shifts.shifts);
        assert!(shifts.of_history(0).is_some() && shifts.resting_on(0) == 240);
    }
}

/// A step of one item, however large, is its own.
#[test]
fn one_item_does_not_speak_for_the_others() {
    let day = FIRST_DAY + 3.0 * 365.25;
    assert!(found(&items(4, 1, 5, 3, (50.0, day, 1))).shifts.is_empty());
}
