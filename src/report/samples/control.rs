/*! An invented control chart. */

use super::Noise;
use crate::report::view::{ControlMark, ControlPath, ControlPoint, ControlView};

/// `n` monthly values in deviations about zero, the last third shifted, one of them by `far`.
pub(crate) fn control(n: usize, far: f64) -> ControlView {
    let mut average = 0.0;
    let mut sums = (0.0f64, 0.0f64);
    let point = |(i, noise): (usize, f64)| {
        let shift = if 3 * i > 2 * n { 1.4 } else { 0.0 };
        let value = 1.6 * noise + shift + if 4 * i == n { far } else { 0.0 };
        average = 0.2 * value + 0.8 * average;
        sums.0 = (sums.0 + value - 0.5).max(0.0);
        sums.1 = (sums.1 - value - 0.5).max(0.0);
        ControlPoint {
            day: 18_000.0 + 30.0 * i as f64,
            value,
            deviation: 1.0,
            ewma: (average, 1.0),
            cusum: sums,
        }
    };
    let points: Vec<ControlPoint> = Noise(7).take(n).enumerate().map(point).collect();
    ControlView {
        name: "CS-1".into(),
        role: "check_standard",
        finding: "NOT in control: weighted average outside its limits (first on 2021-05-02)".into(),
        unit: "standard deviations from the prediction".into(),
        base: 25.min(n),
        centre: Some((0.0, 1.0)),
        cusum_limit: 5.0,
        marks: vec![
            ControlMark {
                index: n.saturating_sub(n / 5),
                words: "average",
                on: ControlPath::Average,
                open: true,
            },
            ControlMark {
                index: n.saturating_sub(n / 6),
                words: "sum",
                on: ControlPath::Sums,
                open: false,
            },
        ],
        points,
        out_of_control: true,
        ..ControlView::default()
    }
}
