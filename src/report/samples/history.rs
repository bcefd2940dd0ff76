/*! Invented histories: plain, eventful, a value followed, scaled. */

use super::Noise;
use crate::report::view::{Action, *};
use crate::stats::cumulative;

const START: f64 = 17_000.0;

/// The error on `day`, that rises 1.9 mK a year.
fn rising(day: f64) -> f64 {
    -6.0 + 1.9 * (day - START) / 365.25
}

/// A history of `n` yearly-ish checks in mK that rises 1.9 mK a year.
pub(crate) fn history(n: usize) -> HistoryView {
    let readings = readings(n);
    let last = readings.last().map_or(START, |r| r.day);
    let as_of = last + 120.0;
    let due = last + 420.0;
    let curve = if n < 2 {
        Vec::new()
    } else {
        curve(START, due + 100.0, 90, 0, rising, n)
    };
    // The first reading has none before it.
    let residuals = readings.iter().skip(1);
    let residuals = residuals.map(|r| (r.day, (r.value - rising(r.day)) / 0.6));
    HistoryView {
        residuals: residuals.collect(),
        instrument: "TH-014".into(),
        point: "triple point of water".into(),
        group: "platinum thermometers".into(),
        unit: "mK".into(),
        slug: "TH-014_triple-point-of-water".into(),
        readings,
        curve,
        tolerance: vec![ToleranceStep::new(START, Some(-12.0), Some(12.0))],
        as_of,
        last_calibration: Some(last),
        due_day: Some(due),
        current_interval_days: Some(365.0),
        interval_days: Some(420.0),
        waits: true,
        serves: true,
        action: Action::Keep,
        status: "estimated".into(),
        reason: "Drift of +1.90 mK a year leaves 97 % probability of being in tolerance at the due date.".into(),
        finding: "TH-014 rises 1.9 mK a year; leaves tolerance about March 2027".into(),
        model: "state".into(),
        level: 0.95,
        target: Some(0.95),
        method: "drift_crossing".into(),
        proposals: proposals(),
        rules_fired: vec!["largest change at once: 420 d kept within a factor of 2".into()],
        notes: vec!["scatter exceeds the stated u; 0.3 mK was added".into()],
        numbers: vec![("drift".into(), "+1.90 mK a year".into()), ("its u".into(), "0.12 mK a year".into())],
        ..Default::default()
    }
}

/// `n` readings that scatter about the rise.
fn readings(n: usize) -> Vec<ReadingView> {
    let mut noise = Noise(7 + n as u32);
    let step = if n > 100 {
        4.0
    } else {
        3000.0 / n.max(8) as f64
    };
    let reading = |i: usize| {
        let day = START + step * i as f64;
        ReadingView {
            day,
            value: rising(day) + 0.8 * noise.next().unwrap_or(0.0),
            u: 0.5,
            ..Default::default()
        }
    };
    (0..n).map(reading).collect()
}

/// Two methods, of which one applies.
fn proposals() -> Vec<ProposalView> {
    vec![
        ProposalView {
            method: "drift_crossing".into(),
            interval_days: Some(420.0),
            evidence: "12 checks over 8 years".into(),
            reason: "the probability in tolerance stays above 95 % for 420 d".into(),
            leads: true,
        },
        ProposalView {
            method: "staircase".into(),
            interval_days: None,
            evidence: "12 checks".into(),
            reason: "not applicable, because no interval was tested".into(),
            leads: false,
        },
    ]
}

/// Fit and bands that widen with the distance from the middle of the data.
fn curve(
    from: f64,
    to: f64,
    points: usize,
    segment: u32,
    truth: impl Fn(f64) -> f64,
    n: usize,
) -> Vec<CurvePoint> {
    (0..=points)
        .map(|i| {
            let day = from + (to - from) * i as f64 / points as f64;
            let far = (day - from - 0.45 * (to - from)) / (to - from);
            let half = 0.9
                * (1.0 / n as f64 + 6.0 * far * far / (n as f64).min(20.0)).sqrt()
                * if n == 2 { 8.0 } else { 2.2 };
            let wide = (half * half + 1.3).sqrt();
            let e = truth(day);
            CurvePoint {
                day,
                expected: e,
                confidence: (e - half, e + half),
                prediction: (e - wide, e + wide),
                segment,
                in_tolerance: Some(chance(e, half / 2.0)),
            }
        })
        .collect()
}

/// Probability that an error of `expected` ± `u` is within ±12 mK.
fn chance(expected: f64, u: f64) -> f64 {
    cumulative((12.0 - expected) / u, f64::INFINITY)
        - cumulative((-12.0 - expected) / u, f64::INFINITY)
}

/// A history with an adjustment, a shock, outliers and out-of-tolerance readings.
pub(crate) fn eventful() -> HistoryView {
    let mut view = history(24);
    for (i, reading) in view.readings.iter_mut().enumerate() {
        if i >= 9 {
            reading.value -= 5.5;
        }
        match i {
            9 => {
                reading.event = "shocked";
            }
            15 => {
                reading.event = "adjusted";
                reading.value = 13.1;
                reading.out_of_tolerance = true;
                reading.as_left = Some(-1.2);
            }
            16 => {
                reading.event = "repaired";
            }
            20 => {
                reading.value = 950.0;
                reading.outlier = true;
                reading.out_of_tolerance = true;
            }
            _ => {}
        }
    }
    let (a, b, c) = (
        view.readings[0].day,
        view.readings[9].day,
        view.readings[23].day + 500.0,
    );
    view.curve = curve(a, b, 40, 0, rising, 9);
    view.curve
        .extend(curve(b, c, 60, 1, |day| rising(day) - 5.5, 15));
    view.tolerance = vec![
        ToleranceStep::new(a, Some(-15.0), Some(15.0)),
        ToleranceStep::new(view.readings[12].day, Some(-12.0), Some(12.0)),
    ];
    view.action = Action::Withdraw;
    view
}

/// A 100 Ω resistor followed as a value, not an error; spread of some µΩ.
pub(crate) fn resistor(n: usize) -> HistoryView {
    let mut view = history(n);
    let scale = |v: f64| 100.000_012 + 1e-6 * v;
    for r in &mut view.readings {
        r.value = scale(r.value);
        r.u *= 1e-6;
    }
    for p in &mut view.curve {
        p.expected = scale(p.expected);
        p.confidence = (scale(p.confidence.0), scale(p.confidence.1));
        p.prediction = (scale(p.prediction.0), scale(p.prediction.1));
    }
    view.tolerance = vec![ToleranceStep::new(START, Some(99.999_99), Some(100.000_03))];
    view.unit = "Ω".into();
    view.instrument = "R-100".into();
    view.finding = "R-100 rises 1.9 µΩ a year; stays in tolerance beyond 2031".into();
    view
}

/// The same history with every value multiplied.
pub(crate) fn scaled(n: usize, factor: f64, unit: &str) -> HistoryView {
    let mut view = history(n);
    for r in &mut view.readings {
        r.value *= factor;
        r.u *= factor;
    }
    for p in &mut view.curve {
        p.expected *= factor;
        p.confidence = (p.confidence.0 * factor, p.confidence.1 * factor);
        p.prediction = (p.prediction.0 * factor, p.prediction.1 * factor);
    }
    for t in &mut view.tolerance {
        t.lower = t.lower.map(|l| l * factor);
        t.upper = t.upper.map(|l| l * factor);
    }
    view.unit = unit.into();
    view
}
