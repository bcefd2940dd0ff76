use super::super::distribution::Shape;
use super::super::seeds::stream;
use super::*;
use crate::stats::cumulative;

fn normal(deviation: f64) -> Distribution {
    Distribution::Drawn(Shape::Normal {
        mean: 0.0,
        deviation,
    })
}

fn normal_cumulative(z: f64) -> f64 {
    cumulative(z, f64::INFINITY)
}

/// Share of `count` new instruments for which `holds`.
fn share(settings: &TruthSettings, count: u64, holds: impl Fn(Living, &mut Stream) -> bool) -> f64 {
    let good = (0..count)
        .filter(|&i| {
            let mut stream = stream(7, &[i]);
            let nature = Nature::draw(settings, &mut stream);
            holds(Living::new(nature), &mut stream)
        })
        .count();
    good as f64 / count as f64
}

/// Closed form: with drift ~ N(0, τ²) the error at t is N(0, τ²t²).
#[test]
fn a_linear_drifter_is_in_tolerance_as_often_as_the_closed_form_says() {
    let settings = TruthSettings {
        drift: normal(0.3),
        ..Default::default()
    };
    for t in [1.0, 3.0, 6.0] {
        let closed = 2.0 * normal_cumulative(1.0 / (0.3 * t)) - 1.0;
        let found = share(&settings, 40_000, |mut living, stream| {
            living.advance(0.4 * t, stream);
            living.advance(0.6 * t, stream);
            living.error().abs() <= 1.0
        });
        let four_deviations = 4.0 * (closed * (1.0 - closed) / 40_000.0_f64).sqrt();
        near!(found, closed, four_deviations, "{t}: {found} {closed}");
    }
}

/// Closed form for a Brownian motion between two absorbing barriers ±1
/// (Cox and Miller, The Theory of Stochastic Processes, 1965, section 5.7; from memory):
/// survival = 4/π Σ (−1)^k/(2k+1) exp(−(2k+1)²π²σ²t/8).
/// Looked at only every dt, the barrier acts as if 0.5826 σ√dt further out
/// (Broadie, Glasserman and Kou, Mathematical Finance 7, 1997; from memory).
#[test]
fn a_wanderer_first_leaves_tolerance_when_the_closed_form_says() {
    let (sigma, horizon, steps) = (0.5, 2.0, 400);
    let dt = horizon / f64::from(steps);
    let barrier = 1.0 + 0.5826 * sigma * dt.sqrt();
    let exponent = (std::f64::consts::PI * sigma / barrier).powi(2) * horizon / 8.0;
    let closed: f64 = (0..20)
        .map(|k| {
            let odd = f64::from(2 * k + 1);
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            sign / odd * (-odd * odd * exponent).exp() * 4.0 / std::f64::consts::PI
        })
        .sum();
    let settings = TruthSettings {
        wander: sigma.into(),
        ..Default::default()
    };
    let found = share(&settings, 20_000, |mut living, stream| {
        (0..steps).all(|_| {
            living.advance(dt, stream);
            living.error().abs() < 1.0
        })
    });
    let four_deviations = 4.0 * (closed * (1.0 - closed) / 20_000.0_f64).sqrt();
    near!(found, closed, four_deviations);
}

/// Closed form: variance of the integral of a random walk of the drift is q t³/3.
#[test]
fn a_turning_drift_spreads_the_error_as_its_integral_does() {
    let settings = TruthSettings {
        turning: 0.2.into(),
        ..Default::default()
    };
    let limit = 0.2 * (8.0f64 / 3.0).sqrt();
    let found = share(&settings, 40_000, |mut living, stream| {
        living.advance(0.5, stream);
        living.advance(1.5, stream);
        living.error().abs() <= limit
    });
    near!(found, 0.6827, 0.0094);
}

#[test]
fn ageing_slows_down_wear_sets_in_and_an_adjustment_holds_through_a_season() {
    let mut stream = stream(1, &[]);
    let settings = TruthSettings {
        ageing: 1.0.into(),
        ageing_years: 2.0.into(),
        wear: 0.4.into(),
        wear_onset: 5.0.into(),
        season: 0.3.into(),
        ..Default::default()
    };
    let mut living = Living::new(Nature::draw(&settings, &mut stream));
    living.advance(2.0, &mut stream);
    near!(living.error(), 1.0 - (-1.0f64).exp(), 1e-12);
    living.adjust(0.0);
    assert!(living.error().abs() < 1e-12);
    living.advance(5.0, &mut stream);
    let aged = (-1.0f64).exp() - (-3.5f64).exp();
    near!(living.error() - aged, 0.5 * 0.4 * 4.0, 1e-12);
}

#[test]
fn jumps_come_at_their_rate() {
    let settings = TruthSettings {
        jump_rate: 0.25.into(),
        jump_size: 1.6.into(),
        ..Default::default()
    };
    let untouched = share(&settings, 40_000, |mut living, stream| {
        living.advance(4.0, stream);
        living.jumps == 0
    });
    near!(untouched, (-1.0f64).exp(), 0.0097);
}
