/*! ITS-90 conversions a second on one core: reference functions, inverses, a thermometer. */

use divan::{Bencher, black_box, counter::ItemsCount};
use driftbook::thermometry::its90::{
    Deviation, Subrange, Thermometer, high_ratio, high_temperature, low_ratio, low_temperature,
};

const COUNT: usize = 10_000;

fn main() {
    divan::main();
}

fn spread(low: f64, high: f64) -> Vec<f64> {
    (0..COUNT)
        .map(|i| low + (high - low) * i as f64 / COUNT as f64)
        .collect()
}

fn run(bencher: Bencher, inputs: &[f64], convert: impl Fn(f64) -> f64 + Sync) {
    bencher.counter(ItemsCount::new(inputs.len())).bench(|| {
        black_box(inputs)
            .iter()
            .map(|input| convert(*input))
            .sum::<f64>()
    });
}

#[divan::bench]
fn forward_low(bencher: Bencher) {
    run(bencher, &spread(13.9, 273.1), low_ratio);
}

#[divan::bench]
fn forward_high(bencher: Bencher) {
    run(bencher, &spread(273.2, 1234.0), high_ratio);
}

#[divan::bench]
fn inverse_low(bencher: Bencher) {
    run(bencher, &spread(0.0012, 0.999), low_temperature);
}

#[divan::bench]
fn inverse_high(bencher: Bencher) {
    run(bencher, &spread(1.001, 4.28), high_temperature);
}

fn thermometer() -> Option<Thermometer> {
    let deviation = |number, coefficients: &[f64]| {
        Deviation::new(Subrange::new(number)?, coefficients, None).ok()
    };
    let deviations = vec![
        deviation(4, &[-1.42e-4, -7.4e-6])?,
        deviation(7, &[-1.31e-4, -3.8e-5, 8.6e-6])?,
    ];
    Thermometer::new(25.4796, deviations).ok()
}

#[divan::bench]
fn thermometer_temperature(bencher: Bencher) {
    let Some(thermometer) = thermometer() else {
        return;
    };
    run(bencher, &spread(5.6, 85.9), |ohm| {
        thermometer
            .at_resistance(ohm)
            .map_or(f64::NAN, |s| s.kelvin)
    });
}

#[divan::bench]
fn thermometer_resistance(bencher: Bencher) {
    let Some(thermometer) = thermometer() else {
        return;
    };
    run(bencher, &spread(84.0, 933.0), |kelvin| {
        thermometer
            .at_temperature(kelvin)
            .map_or(f64::NAN, |s| s.resistance_ohm)
    });
}
