/*! Speed of the fleet's path on one core: line, excess, both bands, probability crossing.

`cargo bench --bench kernel`; the aim is 300,000 histories of 12 checks a second.
*/

use divan::{Bencher, black_box, counter::ItemsCount};
use driftbook::drift::{Reading, fit_line_readings};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const HISTORIES: usize = 1000;
const CHECKS: usize = 12;

fn main() {
    divan::main();
}

/// A fleet with yearly checks; `u` stated by `stated`, true scatter about `scatter` times 0.1.
fn fleet(stated: bool, scatter: f64) -> Vec<[Reading; CHECKS]> {
    let mut random = Pcg64::seed_from_u64(7);
    let mut history = |_| {
        let slope = random.random_range(-0.1..0.1);
        std::array::from_fn(|i| {
            let x = 40.0 + i as f64 + random.random_range(-0.2..0.2);
            Reading {
                x,
                value: slope * (x - 40.0) + 0.1732 * scatter * random.random_range(-1.0..1.0),
                u: if stated {
                    random.random_range(0.09..0.11)
                } else {
                    f64::NAN
                },
                segment: 0,
                drift_segment: 0,
                check: i as u32,
                as_left: false,
                unread_since: None,
                on_steps: false,
            }
        })
    };
    (0..HISTORIES).map(&mut history).collect()
}

fn decide(readings: &[Reading]) -> f64 {
    let fit = fit_line_readings(readings);
    let bands = |years: f64| {
        let then = fit.at(fit.last_x + years);
        then.map_or(f64::NAN, |then| {
            then.confidence(0.95).0 + then.reading(0.95).1
        })
    };
    bands(0.0) + bands(1.0)
}

fn run(bencher: Bencher<'_, '_>, fleet: Vec<[Reading; CHECKS]>) {
    bencher
        .counter(ItemsCount::new(HISTORIES))
        .bench_local(|| black_box(&fleet).iter().map(|h| decide(h)).sum::<f64>());
}

/// u stated and right: excess in one history of four.
#[divan::bench]
fn u_stated(bencher: Bencher<'_, '_>) {
    run(bencher, fleet(true, 1.0));
}

/// u stated and three times too small: excess in nearly all.
#[divan::bench]
fn excess_everywhere(bencher: Bencher<'_, '_>) {
    run(bencher, fleet(true, 3.0));
}

/// No u: Student's t with ten degrees of freedom.
#[divan::bench]
fn no_u(bencher: Bencher<'_, '_>) {
    run(bencher, fleet(false, 1.0));
}
