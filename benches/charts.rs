/*! How many charts one core draws: histories of 12, 40 and 1,000 checks.

`cargo bench --bench charts`; the aim is at least 500 SVG a second at 40 checks.
*/

use driftbook::report::charts::history_chart;
use driftbook::report::{CurvePoint, HistoryView, ReadingView, ToleranceStep};

fn main() {
    divan::main();
}

/// An invented history of `checks` readings with fit and bands of 120 points.
fn history(checks: usize) -> HistoryView {
    let start = 17_000.0;
    let step = 3600.0 / checks as f64;
    let error = |day: f64| -6.0 + 1.9 * (day - start) / 365.25;
    let reading = |i: usize| {
        let day = start + step * i as f64;
        let scatter = (i * 7919 % 1000) as f64 / 1000.0 - 0.5;
        ReadingView {
            day,
            value: error(day) + scatter,
            u: 0.5,
            ..Default::default()
        }
    };
    let point = |i: usize| {
        let day = start + 35.0 * i as f64;
        let (e, half) = (error(day), 0.4 + 0.002 * (i as f64 - 50.0).powi(2) / 10.0);
        CurvePoint {
            day,
            expected: e,
            confidence: (e - half, e + half),
            prediction: (e - half - 1.0, e + half + 1.0),
            segment: 0,
            in_tolerance: Some(0.97),
        }
    };
    HistoryView {
        instrument: "TH-014".into(),
        point: "triple point of water".into(),
        unit: "mK".into(),
        finding: "TH-014 rises 1.9 mK a year; leaves tolerance about March 2027".into(),
        readings: (0..checks).map(reading).collect(),
        curve: (0..120).map(point).collect(),
        tolerance: vec![ToleranceStep {
            from: start,
            lower: Some(-12.0),
            upper: Some(12.0),
        }],
        as_of: start + 3700.0,
        last_calibration: Some(start + 3600.0),
        due_day: Some(start + 4020.0),
        current_interval_days: Some(365.0),
        interval_days: Some(420.0),
        model: "state".into(),
        level: 0.95,
        ..Default::default()
    }
}

#[divan::bench(args = [12, 40, 1000])]
fn history_charts(bencher: divan::Bencher, checks: usize) {
    let view = history(checks);
    bencher
        .counter(divan::counter::ItemsCount::new(1usize))
        .bench(|| history_chart(&view));
}
