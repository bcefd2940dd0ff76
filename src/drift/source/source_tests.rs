use super::settle::settle;
use crate::drift::class_parameters;
use crate::drift::series::readings::Axis;
use crate::drift::testing::*;
use crate::records::Given;

/// Thirty items of one class checked twice a year for six years, by reference A and then B, half of
/// them a year later than the others; readings of B are off by `step`.
fn items(number: usize, step: f64, changes: impl Fn(usize) -> usize) -> Histories {
    checked(number, 12, step, changes)
}

fn checked(number: usize, checks: usize, step: f64, changes: impl Fn(usize) -> usize) -> Histories {
    let mut stream = rand_pcg::Pcg64::seed_from_u64(11);
    let mut normal = move || -> f64 { stream.sample(rand_distr::StandardNormal) };
    let mut given_by = Vec::new();
    let mut item = |number: usize| {
        let mut record = Record::new();
        record.item.instrument = format!("R-{number:03}");
        record.item.group = "resistors".into();
        let drift = 0.1 * normal();
        for check in 0..checks {
            let source = u32::from(check >= changes(number));
            let value = drift * 0.5 * check as f64 + 0.1 * normal() + step * f64::from(source);
            record = record.check(16_000.0 + 182.625 * check as f64, value);
            given_by.push(source);
        }
        record
    };
    let records: Vec<Record> = (0..number).map(&mut item).collect();
    let mut all = fleet(records);
    all.columns.given_by = given_by;
    all.columns.givers = vec!["A".into(), "B".into()];
    all
}

/// Drift and its standard error of every item.
fn drifts(all: &Histories) -> Vec<(f64, f64)> {
    let settings = DriftSettings::default();
    let classes = class_parameters(all, &settings);
    let fit = |index: usize| fit_model(&all.get(index), classes.of_history(index), &settings);
    let drift = |fit: Fit| (fit.drift_per_year, fit.u_drift_per_year);
    (0..all.len()).map(fit).map(drift).collect()
}

fn settled(mut all: Histories) -> (Histories, Given) {
    let given = settle(&mut all, Axis::Time).unwrap();
    (all, given)
}

/// A reference step of three u (u = 0.1) moves no drift by more than a tenth of its standard error.
#[test]
fn a_step_of_the_reference_moves_the_sources_term_and_no_drift() {
    let changes = |number: usize| 6 + 2 * (number % 2);
    let (still, _) = settled(items(30, 0.0, changes));
    let (stepped, given) = settled(items(30, 0.3, changes));
    for ((before, _), (after, error)) in drifts(&still).into_iter().zip(drifts(&stepped)) {
        near!(after, before, 0.1 * error, "{before} {after} ± {error}");
    }
    let (a, b) = (&given.lines[0], &given.lines[1]);
    near!(b.offset - a.offset, 0.3, 3.0 * 2.0 * a.u_offset);
    assert_eq!(a.moved + b.moved, a.readings);
    // Without its source the step is taken for drift.
    let raw = drifts(&items(30, 0.3, changes));
    let moved = drifts(&still)
        .into_iter()
        .zip(raw)
        .filter(|((b, _), (a, e))| (a - b).abs() > 0.1 * e);
    assert!(moved.count() > 15);
}

/// The difference of the offsets lies within what is stated of it, over many fleets.
#[test]
fn offsets_are_as_uncertain_as_stated() {
    let (_, given) = settled(items(400, 0.3, |number| 3 + number % 7));
    let (a, b) = (&given.lines[0], &given.lines[1]);
    let off = (b.offset - a.offset - 0.3) / (2.0 * a.u_offset);
    assert!(off.abs() < 3.0, "{off}");
    // Two sources 0.3 apart: REML of one contrast, 0.3/√2 less what the estimate itself scatters.
    near!(a.between, 0.3 / 2.0_f64.sqrt(), 3.0 * 2.0 * a.u_offset);
}

/// Sources that no item saw both of cannot be told apart, and neither can one that gave a single
/// reading of each item: item and words say so, and the readings stay.
#[test]
fn sources_that_never_overlap_are_said_and_moved_by_nothing() {
    for (number, checks, changes) in [(4, 2, 1), (1, 2, 1)] {
        let all = checked(number, checks, 0.3, |_| changes);
        let (settled, given) = settled(all.clone());
        assert_eq!(settled.columns.as_found, all.columns.as_found);
        assert!(
            given
                .lines
                .iter()
                .all(|line| line.offset.is_nan() && line.moved == 0)
        );
        let words = settled.items[0].untold_source.as_ref().unwrap();
        says!(words, "come from A and now from B");
    }
    let (apart, given) = settled(items(4, 0.3, |number| if number < 2 { 0 } else { 12 }));
    assert!(given.lines.iter().all(|line| line.offset.is_nan()));
    assert!(apart.items.iter().all(|item| item.untold_source.is_none()));
}
