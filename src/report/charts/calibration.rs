/*! Replay: reliability diagram of the probability that the next reading is in tolerance. */

use super::canvas::{Anchor, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::palette::Ink;
use super::scale::Scale;
use crate::report::text::{count, percent};
use crate::simulate::scores::Brier;

/// Observed proportion in tolerance against the probability that was forecast.
pub(crate) fn calibration_chart(name: &str, brier: &Brier) -> String {
    let events: u64 = brier.bins.iter().map(|bin| bin.events).sum();
    let expected: f64 = brier.bins.iter().map(|bin| bin.sum).sum();
    let title = match brier.count {
        0 => "No in-tolerance forecast could be checked".to_string(),
        n => format!(
            "Forecast in tolerance {}, found in tolerance {} ({name} model, {})",
            percent(expected / n as f64),
            percent(events as f64 / n as f64),
            count(n as usize, "reading")
        ),
    };
    let second = "on the diagonal, probabilities mean what they say; bars: 95 % limits by items; larger dots: more forecasts";
    sheet((840, 440), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 22.0;
        let frame = Frame {
            x: Scale::new((0.0, 1.0), (64.0, 800.0)),
            y: Scale::new((0.0, 1.0), (384.0, top)),
        };
        frame.share_ticks(canvas);
        for share in [0.0, 0.2, 0.4, 0.6, 0.8, 1.0] {
            let at = (frame.x.at(share), frame.y.range.0 + 17.0);
            canvas.label(&percent(share), at, Ink::Text, Anchor::Middle);
        }
        frame.x_caption(
            canvas,
            "forecast probability that the next reading is in tolerance",
        );
        frame.y_caption(canvas, "found in tolerance");
        canvas.line(
            frame.held(0.0, 0.0),
            frame.held(1.0, 1.0),
            Stroke(Ink::Limit, 1.25, Dash::Long),
        );
        for bin in &brier.bins {
            let (low, high) = bin.limits;
            let (x, y) = frame.held(bin.forecast(), bin.observed());
            let bar = Stroke(Ink::Grid, 1.25, Dash::Solid);
            canvas.line((x, frame.y.held(low)), (x, frame.y.held(high)), bar);
            let share = bin.count as f64 / brier.count as f64;
            canvas.dot((x, y), 3.0 + 9.0 * share.sqrt(), Ink::Reading);
        }
    })
}
