/*! Speed of statements of conformity once the prior of a class is set: the statement of a reading by the
rule with its specific risk, and the risks over the class, which a run works out once for each class,
tolerance and u and looks up for every other reading.

`cargo bench --bench conformity`; one thread, seeded by nothing: the readings are a sweep. */

use divan::{Bencher, black_box, counter::ItemsCount};
use driftbook::conformity::{DecisionRule, Process, RuleName, decide, global_risks};
use driftbook::records::Tolerance;

const STATEMENTS: usize = 10_000;
const GUARDED: DecisionRule = DecisionRule {
    name: RuleName::Guarded,
    ..DecisionRule::SIMPLE
};

fn main() {
    divan::main();
}

/// Readings from −1.2 to 1.2 against ±1, with u from 0.05 to 0.2.
fn readings() -> Vec<(f64, f64)> {
    let of = |i: usize| {
        let part = i as f64 / STATEMENTS as f64;
        (2.4 * part - 1.2, 0.05 + 0.15 * (7.0 * part).fract())
    };
    (0..STATEMENTS).map(of).collect()
}

fn limits() -> Option<Tolerance> {
    Tolerance::new(-1.0, 1.0)
}

#[divan::bench]
fn statement_with_specific_risk(bencher: Bencher<'_, '_>) {
    let (readings, Some(tolerance)) = (readings(), limits()) else {
        return;
    };
    bencher.counter(ItemsCount::new(STATEMENTS)).bench(|| {
        let risk = |(error, u): &(f64, f64)| decide(*error, *u, tolerance, &GUARDED).risk;
        black_box(&readings)
            .iter()
            .map(risk)
            .filter(|r| r.is_finite())
            .sum::<f64>()
    });
}

/// Every reading with a u of its own, so that nothing can be looked up.
#[divan::bench]
fn risks_over_the_class(bencher: Bencher<'_, '_>) {
    let (readings, Some(tolerance)) = (readings(), limits()) else {
        return;
    };
    bencher.counter(ItemsCount::new(STATEMENTS)).bench(|| {
        let risk = |(_, u): &(f64, f64)| {
            let process = Process {
                mean: 0.05,
                deviation: 0.4,
                u_reading: *u,
            };
            let guard = GUARDED.guard_band(*u, tolerance);
            global_risks(&process, tolerance, guard).map(|risks| risks.consumer)
        };
        black_box(&readings).iter().filter_map(risk).sum::<f64>()
    });
}
