/*! Speed of the wander fit and of the state model on fleets of 12 checks.

`cargo bench --bench wander`; one thread, seeded data. */

use divan::counter::ItemsCount;
use driftbook::drift::{
    DriftSettings, Likelihood, Reading, class_parameters, fit_state, fit_wander_readings,
};
use driftbook::records::{Check, DAYS_PER_YEAR, Histories, Item, Tolerance};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

const CHECKS: usize = 12;
const U: f64 = 0.1;

fn main() {
    divan::main();
}

/// Values of one history: drift 0.2 a year (1 sd), wander 0.1 per root year, noise 0.1.
fn values(rng: &mut Pcg64) -> Vec<f64> {
    let drift: f64 = rng.sample(StandardNormal);
    let mut error = 0.0;
    (0..CHECKS)
        .map(|_| {
            let (step, noise): (f64, f64) =
                (rng.sample(StandardNormal), rng.sample(StandardNormal));
            error += 0.2 * drift + 0.1 * step;
            error + U * noise
        })
        .collect()
}

fn readings(rng: &mut Pcg64) -> Vec<Reading> {
    let values = values(rng);
    let reading = |(check, value)| Reading {
        x: check as f64,
        value,
        u: f64::NAN,
        segment: 0,
        drift_segment: 0,
        check: check as u32,
        as_left: false,
        unread_since: None,
        on_steps: false,
    };
    values.into_iter().enumerate().map(reading).collect()
}

fn fleet(items: usize, class_size: usize) -> Histories {
    let mut rng = Pcg64::seed_from_u64(2);
    let mut all = Histories::default();
    for index in 0..items {
        for (check, value) in values(&mut rng).into_iter().enumerate() {
            all.columns.push(Check {
                date: check as f64 * DAYS_PER_YEAR,
                as_found: value,
                u: U,
                ..Check::UNSTATED
            });
        }
        all.end_item(Item {
            instrument: format!("{index}"),
            group: format!("{}", index / class_size),
            tolerance: Tolerance::new(-1.0, 1.0),
            ..Item::default()
        });
    }
    all
}

#[divan::bench]
fn wander_of_12_checks(bencher: divan::Bencher<'_, '_>) {
    let mut rng = Pcg64::seed_from_u64(1);
    let fleet: Vec<Vec<Reading>> = (0..1000).map(|_| readings(&mut rng)).collect();
    bencher.counter(ItemsCount::new(fleet.len())).bench(|| {
        let fitted = fleet
            .iter()
            .filter(|r| fit_wander_readings(r, Likelihood::Restricted).is_ok());
        fitted.count()
    });
}

#[divan::bench(args = [1, 6, 50, 3000])]
fn class_parameters_of_3000_histories(bencher: divan::Bencher<'_, '_>, class_size: usize) {
    let (fleet, settings) = (fleet(3000, class_size), DriftSettings::default());
    bencher
        .counter(ItemsCount::new(fleet.len()))
        .bench(|| class_parameters(&fleet, &settings));
}

#[divan::bench]
fn state_fit_of_12_checks(bencher: divan::Bencher<'_, '_>) {
    let (fleet, settings) = (fleet(3000, 50), DriftSettings::default());
    let classes = class_parameters(&fleet, &settings);
    bencher.counter(ItemsCount::new(fleet.len())).bench(|| {
        let fits =
            (0..fleet.len()).map(|i| fit_state(&fleet.get(i), classes.of_history(i), &settings));
        fits.map(|fit| fit.drift_per_year).sum::<f64>()
    });
}
