use super::*;
use crate::intervals::search::{Crossing, first_below};

fn sums(times: &[f64], changes: &[f64]) -> ChangeSums {
    let mut sums = ChangeSums::default();
    for (t, d) in times.iter().zip(changes) {
        sums.add(*t, *d);
    }
    sums
}

/// Worked example of interval-practice.md 4.5 (example data; statsmodels 0.15.0,
/// scipy 1.17.1): months and the error's unit.
fn worked() -> ChangeSums {
    sums(
        &[6.0, 6.0, 12.0, 12.0, 12.0, 18.0, 18.0, 24.0, 24.0, 12.0],
        &[
            0.021, 0.034, 0.049, 0.071, 0.043, 0.083, 0.102, 0.108, 0.142, 0.064,
        ],
    )
}

/// Changes that bend, invented: about 0.002 t + 0.0004 t².
fn bent() -> ChangeSums {
    sums(
        &[
            3.0, 6.0, 6.0, 9.0, 12.0, 12.0, 15.0, 18.0, 24.0, 24.0, 30.0, 36.0,
        ],
        &[
            0.010, 0.024, 0.031, 0.046, 0.085, 0.079, 0.118, 0.170, 0.271, 0.290, 0.421, 0.585,
        ],
    )
}

fn interval(law: &ChangeLaw, target: f64, limit: f64) -> f64 {
    let panels: Vec<f64> = (1..=40).map(f64::from).collect();
    let figure = |t: f64| law.probability_in(t, 0.0, 0.02 * 0.02, (-limit, limit));
    match first_below(target, 0.0, &panels, figure) {
        Crossing::At(t) => t,
        other => panic!("{other:?}"),
    }
}

fn near(found: f64, expected: f64, share: f64) {
    near!(found / expected, 1.0, share);
}

/// NIST StRD, NoInt1, certified: a line through the origin.
#[test]
fn the_linear_law_has_the_certified_values() {
    let x: Vec<f64> = (60..=70).map(f64::from).collect();
    let y: Vec<f64> = (130..=140).map(f64::from).collect();
    let law = ChangeLaw::fit(&sums(&x, &y), Scatter::Constant, Order::Linear).unwrap();
    near(law.rate, 2.074_380_165_289_26, 1e-13);
    near(law.covariance[0].sqrt(), 0.016_528_925_619_834_7, 1e-11);
    near(law.scatter.sqrt(), 3.567_530_340_063_38, 1e-11);
}

/// Check values 37 and 38. The search resolves 0.01 (there days, here months).
#[test]
fn both_laws_reproduce_the_worked_example() {
    let constant = ChangeLaw::fit(&worked(), Scatter::Constant, Order::Tested).unwrap();
    near(constant.rate, 0.005_058_824, 1e-6);
    near(constant.scatter.sqrt(), 0.012_721_50, 1e-6);
    near(constant.covariance[0].sqrt(), 0.000_257_12, 2e-5);
    near!(interval(&constant, 0.95, 0.2), 31.393_314, 0.011);
    let growing = ChangeLaw::fit(&worked(), Scatter::Growing, Order::Tested).unwrap();
    near(growing.rate, 0.004_979_167, 1e-6);
    near(growing.scatter, 1.095_293e-5, 1e-6);
    near!(interval(&growing, 0.95, 0.2), 30.771_018, 0.011);
    near!(interval(&growing, 0.99, 0.2), 27.320_880, 0.011);
    for (t, r) in [(24.0, 0.999_333), (30.0, 0.973_511), (36.0, 0.758_894)] {
        let found = constant.probability_in(t, 0.0, 0.02 * 0.02, (-0.2, 0.2));
        near!(found, r, 5e-7, "{found} against {r} at {t}");
    }
}

/// Interval-practice.md 4.5: the quadratic term of the worked example, F = 0.561854 on
/// (1, 8), p = 0.475 (statsmodels 0.15.0): not kept.
#[test]
fn the_square_is_dropped_where_the_test_says_so() {
    let law = ChangeLaw::fit(&worked(), Scatter::Constant, Order::Tested).unwrap();
    assert_eq!(law.bend, 0.0);
    near!(law.p_square, 0.475, 5e-4);
    let asked = ChangeLaw::fit(&worked(), Scatter::Constant, Order::Quadratic).unwrap();
    near(asked.scatter * 8.0, 0.001_360_948, 1e-6);
}

/// Normal equations of `bent` in exact fractions (Python 3 `fractions`), the crossing of
/// 95 % within ±0.5 by bisection on `math.erf`: independent of this program.
#[test]
fn a_bend_is_kept_and_has_the_exact_values() {
    let exact = [
        (
            Scatter::Constant,
            [
                0.0021703615242644665,
                0.00039330848381765763,
                2.9355972641407014e-5,
            ],
            [
                7.343508156324901e-8,
                -2.517184029473635e-9,
                9.502148387930954e-11,
            ],
            31.755708,
        ),
        (
            Scatter::Growing,
            [
                0.00207547341587764,
                0.0003968904264789188,
                1.8107811361981062e-6,
            ],
            [
                5.85926616433367e-8,
                -2.211821459455383e-9,
                9.921904407494817e-11,
            ],
            31.681997,
        ),
    ];
    for (kind, [rate, bend, scatter], covariance, months) in exact {
        let law = ChangeLaw::fit(&bent(), kind, Order::Tested).unwrap();
        assert!(law.p_square < 1e-9);
        near(law.rate, rate, 1e-10);
        near(law.bend, bend, 1e-10);
        near(law.scatter, scatter, 1e-8);
        for (found, expected) in law.covariance.iter().zip(covariance) {
            near(*found, expected, 1e-8);
        }
        let found = interval(&law, 0.95, 0.5);
        near!(found, months, 0.011);
    }
}

#[test]
fn one_distinct_time_tells_no_square() {
    let same = sums(&[12.0; 6], &[0.1, 0.2, 0.15, 0.1, 0.12, 0.2]);
    let law = ChangeLaw::fit(&same, Scatter::Growing, Order::Quadratic).unwrap();
    assert!(law.bend == 0.0 && law.p_square.is_nan());
    let bent = [0.36, 0.16, 0.49, 0.25, 0.09, 0.64];
    let nearly = sums(&[6.0, 4.0, 7.0, 5.0, 3.9, 7.7], &bent);
    let law = ChangeLaw::fit(&nearly, Scatter::Growing, Order::Tested).unwrap();
    assert!(law.bend == 0.0 && law.p_square.is_nan());
    // Changes that are all nothing leave neither scatter nor anything to test.
    let still = sums(&[6.0, 12.0, 24.0], &[0.0; 3]);
    let law = ChangeLaw::fit(&still, Scatter::Growing, Order::Tested).unwrap();
    assert_eq!((law.rate, law.bend, law.scatter), (0.0, 0.0, 0.0));
    assert_eq!(law.probability_in(100.0, 0.0, 0.0, (-1.0, 1.0)), 1.0);
}
