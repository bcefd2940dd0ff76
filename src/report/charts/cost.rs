/*! Cost per year against the interval: where it is least, and what today's costs. */

use super::canvas::{Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::{Flag, ROW, draw_flags};
use super::palette::Ink;
use super::scale::{Range, Scale, value_axis};
use crate::report::text::{fixed, significant, with_unit};
use crate::report::view::CostCurve;

/// Costs above this many times the least are cut off: they say only "too short" or "too long".
const MOST_COST: f64 = 4.0;

/// The cost curve with the least cost and today's interval marked.
pub(crate) fn cost_chart(curve: &CostCurve) -> String {
    let title = title(curve);
    let second = "expected cost per year: calibrations and time out of tolerance together";
    sheet((840, 320), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + ROW + 22.0;
        let (mut x, mut y) = (Range::EMPTY, Range::EMPTY);
        for (days, cost) in &curve.points {
            x.add(*days);
            y.add(*cost);
        }
        if x.span() <= 0.0 {
            return;
        }
        let high = if y.0 > 0.0 {
            y.1.min(MOST_COST * y.0)
        } else {
            y.1
        };
        let frame = Frame {
            x: Scale::new((0.0, 1.02 * x.1), (84.0, 800.0)),
            y: Scale::new((0.0, if high > 0.0 { high } else { 1.0 }), (268.0, top)),
        };
        let costs = value_axis(0.0, frame.y.domain.1, &curve.currency, 6);
        frame.y_ticks(canvas, &costs.ticks);
        frame.y_caption(canvas, format!("{} a year", costs.caption).trim_start());
        frame.x_ticks(canvas, &value_axis(0.0, frame.x.domain.1, "d", 7).ticks);
        frame.x_caption(canvas, "interval, days");
        let shown = curve
            .points
            .iter()
            .copied()
            .filter(|p| p.1 <= frame.y.domain.1);
        canvas.path(&frame.pixels(shown), Stroke(Ink::Text, 1.75, Dash::Solid));
        draw_marks(canvas, curve, &frame, top);
    })
}

/// Today's interval and that of the least cost, named above the plot.
fn draw_marks(canvas: &mut Canvas<'_>, curve: &CostCurve, frame: &Frame, top: f64) {
    let mut flags = Vec::new();
    for (days, word, ink) in [
        (curve.current, "today's", Ink::Grid),
        (curve.least, "least cost", Ink::Plan),
    ] {
        let Some((days, cost)) = days.and_then(|days| Some((days, cost_at(curve, days)?))) else {
            continue;
        };
        let (px, py) = frame.held(days, cost);
        frame.vertical(canvas, days, Stroke(ink, 0.75, Dash::Short));
        canvas.diamond((px, py), 5.0, ink);
        let text = format!(
            "{word}: {} a year",
            with_unit(&significant(cost, 3), &curve.currency)
        );
        flags.push(Flag::new(px, text, ink));
    }
    let right_of_caption = frame.x.range.0 + 72.0;
    draw_flags(canvas, flags, 2, (right_of_caption, 836.0), top - 6.0);
}

fn title(curve: &CostCurve) -> String {
    match (curve.least, curve.current) {
        (Some(least), Some(current)) => format!(
            "{}: least cost at {} d, today's interval is {} d",
            curve.name,
            fixed(least.round(), 0),
            fixed(current.round(), 0)
        ),
        (Some(least), None) => format!(
            "{}: least cost at {} d",
            curve.name,
            fixed(least.round(), 0)
        ),
        _ => format!("{}: cost per year by interval", curve.name),
    }
}

/// Cost at an interval, between the points of the curve; `None` beyond it.
fn cost_at(curve: &CostCurve, days: f64) -> Option<f64> {
    let after = curve.points.iter().position(|p| p.0 >= days)?;
    let (b, a) = (curve.points[after], curve.points[after.saturating_sub(1)]);
    Some(if b.0 > a.0 {
        a.1 + (b.1 - a.1) * (days - a.0) / (b.0 - a.0)
    } else {
        b.1
    })
}
