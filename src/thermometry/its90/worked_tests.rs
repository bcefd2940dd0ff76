/*! One invented thermometer through every subrange; numbers evaluated independently in
Python (tests/reference/thermometry/README.md). */

use super::*;
use crate::property_cases::usual;
use crate::thermometry::its90::reference::high_slope;
use proptest::prelude::*;

const RATIOS: [(FixedPoint, f64); 8] = [
    (FixedPoint::Argon, 0.215_962_50),
    (FixedPoint::Mercury, 0.844_164_10),
    (FixedPoint::Gallium, 1.118_122_10),
    (FixedPoint::Indium, 1.609_709_00),
    (FixedPoint::Tin, 1.892_656_00),
    (FixedPoint::Zinc, 2.568_650_00),
    (FixedPoint::Aluminium, 3.375_595_00),
    (FixedPoint::Silver, 4.285_800_00),
];
const TRIPLE_POINT_OHM: f64 = 25.479_600;

fn calibration(number: u8) -> Calibration {
    let points: Vec<_> = RATIOS
        .iter()
        .map(|(point, ratio)| CalibrationPoint::new(*point, *ratio, 0.1))
        .collect();
    Calibration::fit(Subrange::new(number).unwrap(), &points).unwrap()
}

fn thermometer(numbers: &[u8]) -> Thermometer {
    let deviations = numbers.iter().map(|n| calibration(*n).deviation).collect();
    Thermometer::new(TRIPLE_POINT_OHM, deviations).unwrap()
}

#[test]
fn coefficients_of_every_subrange() {
    let expected: [(u8, &[f64]); 8] = [
        (4, &[-1.423_598_168e-4, -7.377_684_488e-6]),
        (5, &[-1.416_964_862e-4, -3.763_644_200e-6]),
        (7, &[-1.313_005_379e-4, -3.835_603_795e-5, 8.561_285_259e-6]),
        (
            6,
            &[
                -1.313_005_379e-4,
                -3.835_603_795e-5,
                8.561_285_259e-6,
                -9.499_970_867e-5,
            ],
        ),
        (8, &[-1.432_886_046e-4, -1.728_409_518e-5]),
        (9, &[-1.384_266_288e-4, -2.273_073_506e-5]),
        (10, &[-1.522_857_626e-4]),
        (11, &[-1.421_410_557e-4]),
    ];
    for (number, coefficients) in expected {
        let got = calibration(number);
        for (have, want) in got.deviation.coefficients().iter().zip(coefficients) {
            near!(*have, *want, 1e-13, "subrange {number}");
        }
    }
}

#[test]
fn temperatures_of_every_subrange() {
    let expected = [
        (4, 0.50, -122.782_878),
        (5, 0.92, -19.989_333),
        (5, 1.05, 12.571_828),
        (7, 1.40, 101.883_948),
        (7, 2.10, 288.281_821),
        (7, 3.00, 545.639_749),
        (8, 1.40, 101.884_458),
        (8, 2.10, 288.281_570),
        (9, 1.40, 101.884_180),
        (10, 1.40, 101.884_673),
        (11, 1.08, 20.132_150),
        (6, 3.90, 829.513_382),
    ];
    for (number, ratio, celsius) in expected {
        let got = thermometer(&[number]).at_ratio(ratio).unwrap().kelvin - ZERO_CELSIUS_K;
        near!(got, celsius, 1e-6, "subrange {number}: {got}");
    }
}

/// Deviations of the invented thermometer, evaluated independently in Python.
#[test]
fn deviations_of_every_subrange() {
    let expected = [
        (4, 0.50, 6.862_299_8e-5),
        (5, 0.92, 1.131_163_2e-5),
        (7, 2.10, -1.794_463_3e-4),
        (8, 2.10, -1.785_312_2e-4),
        (9, 1.40, -5.900_756_9e-5),
        (10, 1.40, -6.091_430_5e-5),
        (11, 1.08, -1.137_128_4e-5),
        (6, 3.90, -5.206_696_3e-4),
    ];
    for (number, ratio, deviation) in expected {
        let got = thermometer(&[number]).deviations()[0].at(ratio);
        near!(got, deviation, 1e-11, "subrange {number}: {got:e}");
    }
}

#[test]
fn resistances_from_temperatures() {
    let expected = [
        (8, 100.0, 35.485_792_4),
        (8, 400.0, 63.703_770_9),
        (5, -20.0, 23.440_141_5),
    ];
    for (number, celsius, ohm) in expected {
        let state = thermometer(&[number])
            .at_temperature(celsius + ZERO_CELSIUS_K)
            .unwrap();
        near!(state.resistance_ohm, ohm, 1e-7, "{celsius}");
    }
}

/// A shared wrong R at the triple point cancels at the points of the subrange;
/// −0.432 92 mK at 100 °C per +1 mK in subrange 8, derived and evaluated independently.
#[test]
fn shared_triple_point_error() {
    let zinc = calibration(8);
    let left = |celsius: f64| {
        let kelvin = celsius + ZERO_CELSIUS_K;
        let ratio = zinc.deviation.ratio(kelvin).unwrap();
        -zinc.triple_point_sensitivity(ratio) * TRIPLE_POINT_SLOPE / high_slope(kelvin)
    };
    assert!((left(0.01) + 1.0).abs() < 1e-5);
    assert!((left(100.0) + 0.432_92).abs() < 5e-5, "{}", left(100.0));
    assert!(left(231.928).abs() < 1e-6);
    near!(left(300.0), 0.083_48, 5e-5);
    assert!(left(419.527).abs() < 1e-6);
}

#[test]
fn uncertainty_returns_to_that_of_the_point() {
    let zinc = calibration(8);
    let at_tin = zinc.u_temperature_mk(505.078, 0.0, 0.0).unwrap();
    near!(at_tin, 0.1, 1e-6);
    // 0.05 mK at the triple point, used once to form W: 0.071 81 mK at 100 °C and
    // 0.146 69 mK at 420 °C on the reference function, evaluated independently.
    let without_points = Calibration::fit(
        Subrange::new(8).unwrap(),
        &RATIOS.map(|(p, w)| CalibrationPoint::new(p, w, 0.0)),
    )
    .unwrap();
    let at_100 = without_points.u_temperature_mk(373.15, 0.0, 0.05).unwrap();
    near!(at_100, 0.071_81, 2e-5);
    let at_zinc = without_points.u_temperature_mk(692.677, 0.0, 0.05).unwrap();
    near!(at_zinc, 0.05 * 2.931_37, 5e-5);
}

#[test]
fn low_subranges_pass_through_their_points() {
    let bend = |w: f64| 1.0e-4 * (1.0 - w) + 2.0e-6 * w.ln();
    let mut points = Vec::new();
    for point in [
        FixedPoint::Hydrogen,
        FixedPoint::Neon,
        FixedPoint::Oxygen,
        FixedPoint::Argon,
        FixedPoint::Mercury,
    ] {
        let ratio = point.reference_ratio() + bend(point.reference_ratio());
        points.push(CalibrationPoint::new(point, ratio, 0.2));
    }
    for number in [2, 3] {
        let fit = Calibration::fit(Subrange::new(number).unwrap(), &points).unwrap();
        for point in &fit.points {
            let left = point.ratio - fit.deviation.at(point.ratio) - point.point.reference_ratio();
            assert!(left.abs() < 1e-13, "{number} {point:?} {left:e}");
        }
    }
    for kelvin in [17.035, 20.27] {
        let ratio = low_ratio(kelvin) + bend(low_ratio(kelvin));
        points.push(CalibrationPoint {
            point: FixedPoint::Hydrogen,
            kelvin,
            ratio,
            u_mk: 0.3,
        });
    }
    let fit = Calibration::fit(Subrange::new(1).unwrap(), &points).unwrap();
    for point in &fit.points {
        let kelvin = fit.deviation.temperature(point.ratio).unwrap();
        near!(kelvin, point.kelvin, 5e-5);
    }
}

#[test]
fn missing_points_and_readings_outside_are_explained() {
    let missing = Calibration::fit(Subrange::new(7).unwrap(), &[]).unwrap_err();
    says!(missing.to_string(), "freezing point of tin");
    let outside = thermometer(&[8]).at_ratio(3.5).unwrap_err();
    says!(outside.to_string(), "subrange 8");
    assert!(thermometer(&[8]).at_ratio(-1.0).is_err());
    assert!(thermometer(&[8]).at_resistance(f64::NAN).is_err());
    assert!(thermometer(&[4, 7]).at_temperature(1300.0).is_err());
}

#[test]
fn continuous_where_subranges_join() {
    let pair = thermometer(&[4, 7]);
    let below = pair.at_ratio(1.0 - 2e-8).unwrap().kelvin;
    let above = pair.at_ratio(1.0 + 2e-8).unwrap().kelvin;
    assert!(above > below && above - below < 2e-5, "{below} {above}");
    let silver = calibration(6).deviation;
    let (under, over) = (silver.at(3.375_594_999), silver.at(3.375_595_001));
    near!(under, over, 1e-12);
}

proptest! {
    #![proptest_config(usual())]

    #[test]
    fn resistance_and_temperature_round_trip(celsius in -189.0f64..660.0) {
        let pair = thermometer(&[4, 7]);
        let state = pair.at_temperature(celsius + ZERO_CELSIUS_K).unwrap();
        let back = pair.at_resistance(state.resistance_ohm).unwrap().kelvin;
        // Between 0 °C and 0.01 °C the two reference functions differ by 1.3 µK.
        prop_assert!((back - ZERO_CELSIUS_K - celsius).abs() < 1.4e-6);
    }

    #[test]
    fn calibration_does_not_depend_on_the_order_of_points(seed in 0usize..5040) {
        let mut points: Vec<_> = RATIOS.iter().map(|(p, w)| CalibrationPoint::new(*p, *w, 0.1)).collect();
        points.rotate_left(seed % 8);
        points.swap(0, seed % 7);
        let fit = Calibration::fit(Subrange::new(6).unwrap(), &points).unwrap();
        prop_assert_eq!(fit, calibration(6));
    }
}
