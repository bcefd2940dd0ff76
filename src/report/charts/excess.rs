/*! Closed loop: what each way to set intervals costs above perfect knowledge. */

use super::canvas::{Anchor, Dash, LABEL_SIZE, Stroke, sheet};
use super::frame::{Frame, heading};
use super::palette::Ink;
use super::scale::{Scale, value_axis};
use crate::report::text::fixed;

/// One row of the chart.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ExcessRow {
    /// Name of the planner.
    pub name: String,
    /// Mean excess cost over the kinds, percent.
    pub mean: f64,
    /// Its Monte Carlo standard error.
    pub error: f64,
    /// Excess of each kind.
    pub kinds: Vec<f64>,
    /// The program's own policy rather than a published method or a baseline.
    pub own: bool,
    /// A method of the literature.
    pub published: bool,
}

/// Height of a row, pixels.
const ROW: f64 = 24.0;
/// The axis ends at this quantile's worth of kinds: beyond, a mark at the edge.
const WIDEST: f64 = 400.0;

/// Rows in the given order: mean as a bar with its error, each kind as a small dot.
pub(crate) fn excess_chart(title: &str, second: &str, rows: &[ExcessRow]) -> String {
    let height = 132 + (ROW * rows.len() as f64) as u32;
    let most = rows
        .iter()
        .flat_map(|row| row.kinds.iter().chain([&row.mean]))
        .copied()
        .filter(|excess| excess.is_finite())
        .fold(50.0, f64::max)
        .min(WIDEST);
    sheet((840, height), title, second, |canvas| {
        let top = heading(canvas, title, second, 840.0) + 12.0;
        let bottom = top + ROW * rows.len() as f64;
        let frame = Frame {
            x: Scale::new((-15.0, 1.03 * most), (214.0, 816.0)),
            y: Scale::new((0.0, 1.0), (bottom, top)),
        };
        frame.x_ticks(canvas, &value_axis(0.0, most, "", 7).ticks);
        frame.x_caption(canvas, "cost above perfect knowledge, %");
        frame.vertical(canvas, 0.0, Stroke(Ink::Grid, 1.0, Dash::Solid));
        for (i, row) in rows.iter().enumerate() {
            let y = top + ROW * (i as f64 + 0.5);
            let ink = if row.own { Ink::Reading } else { Ink::Grid };
            canvas.label(&row.name, (176.0, y + 4.0), Ink::Text, Anchor::End);
            if !row.mean.is_finite() {
                continue;
            }
            let figure = fixed(row.mean.round(), 0);
            canvas.bold(&figure, (210.0, y + 4.0), LABEL_SIZE, ink, Anchor::End);
            let (zero, mean) = (frame.x.at(0.0), frame.x.held(row.mean));
            canvas.rectangle(
                (zero.min(mean), y - 6.0),
                (zero.max(mean), y + 6.0),
                ink,
                0.45,
            );
            let ends = (
                frame.x.held(row.mean - 2.0 * row.error),
                frame.x.held(row.mean + 2.0 * row.error),
            );
            canvas.line(
                (ends.0, y),
                (ends.1, y),
                Stroke(Ink::Text, 1.5, Dash::Solid),
            );
            for kind in &row.kinds {
                canvas.ring(
                    (frame.x.held(*kind), y),
                    2.5,
                    Stroke(Ink::Text, 0.75, Dash::Solid),
                );
            }
        }
    })
}
