/*! What a change at the triple point of water means over a thermometer's range. */

use crate::report::charts::canvas::{Canvas, Dash, Stroke, sheet};
use crate::report::charts::frame::{Frame, heading};
use crate::report::charts::labels::{SideLabel, draw_side_labels};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{Range, Scale, value_axis};
use crate::report::text::{significant, to_uncertainty, with_unit};
use crate::report::view::RangeView;
use crate::thermometry::range::RangeRow;

/// Coverage factor of the band: U = k·u.
const COVERAGE: f64 = 2.0;
/// Room above and below the curves, as a share of their span.
const ROOM: f64 = 0.08;

/// Errors of the indicated temperature against temperature: old value kept or updated, the
/// whole resistance scaled or a constant one added, about the band of the triple point.
pub(crate) fn range_chart(view: &RangeView) -> String {
    let title = title(view);
    let sign = if view.change < 0.0 { "−" } else { "+" };
    let second = format!(
        "error of the indicated temperature after {sign}{} mK at the triple point of water (U = {} mK, k = 2)",
        to_uncertainty(view.change.abs(), view.u),
        significant(COVERAGE * view.u, 2)
    );
    sheet((840, 360), &title, &second, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 22.0;
        let Some(frame) = frame(view, top) else {
            return;
        };
        let errors = value_axis(frame.y.domain.0, frame.y.domain.1, "mK", 6);
        frame.y_ticks(canvas, &errors.ticks);
        frame.y_caption(canvas, &errors.caption);
        frame.x_ticks(
            canvas,
            &value_axis(frame.x.domain.0, frame.x.domain.1, "°C", 7).ticks,
        );
        frame.x_caption(canvas, "temperature, °C");
        draw(canvas, &frame, view);
    })
}

/// The finding: how wrong the old value makes the thermometer, and what updating leaves.
fn title(view: &RangeView) -> String {
    let worst = |of: &dyn Fn(&RangeRow) -> f64| {
        let largest = view
            .points
            .iter()
            .max_by(|a, b| of(a).abs().total_cmp(&of(b).abs()));
        largest.map_or((0.0, 0.0), |p| (of(p).abs(), p.celsius))
    };
    let mk = |value: f64| with_unit(&significant(value, 2), "mK");
    let at = |celsius: f64| with_unit(&celsius.round().to_string(), "°C");
    if view.change.abs() <= COVERAGE * view.u {
        let (u, celsius) = worst(&|p| COVERAGE * p.u_mk);
        return format!(
            "{}: no change is shown; the triple point alone is good to ±{} at {}",
            view.name,
            mk(u),
            at(celsius)
        );
    }
    let kept = worst(&|p| {
        if p.scaled_kept_mk.abs() > p.added_kept_mk.abs() {
            p.scaled_kept_mk
        } else {
            p.added_kept_mk
        }
    });
    let (left, _) = worst(&|p| p.added_updated_mk);
    format!(
        "{}: with the old value up to {} wrong at {}; updated, between 0 and {}",
        view.name,
        mk(kept.0),
        at(kept.1),
        mk(left)
    )
}

fn frame(view: &RangeView, top: f64) -> Option<Frame> {
    let (mut x, mut y) = (Range::EMPTY, Range::EMPTY);
    for p in &view.points {
        x.add(p.celsius);
        let band = COVERAGE * p.u_mk;
        for value in [
            p.scaled_kept_mk,
            p.added_kept_mk,
            p.added_updated_mk,
            band,
            -band,
        ] {
            y.add(value);
        }
    }
    if x.span() <= 0.0 || y.is_empty() {
        return None;
    }
    Some(Frame {
        x: Scale::new((x.0, x.1), (74.0, 640.0)),
        y: Scale::new(y.with_room(ROOM, 1.0), (308.0, top)),
    })
}

fn draw(canvas: &mut Canvas<'_>, frame: &Frame, view: &RangeView) {
    let upper = view.points.iter().map(|p| (p.celsius, COVERAGE * p.u_mk));
    let lower = view
        .points
        .iter()
        .rev()
        .map(|p| (p.celsius, -COVERAGE * p.u_mk));
    canvas.polygon(&frame.pixels(upper.chain(lower)), Ink::Reading, 0.14);
    let of = |value: fn(&RangeRow) -> f64| view.points.iter().map(move |p| (p.celsius, value(p)));
    type Curve = (fn(&RangeRow) -> f64, Stroke, &'static str);
    let curves: [Curve; 4] = [
        (
            |p| p.scaled_kept_mk,
            Stroke(Ink::Limit, 1.75, Dash::Solid),
            "old value, R scaled",
        ),
        (
            |p| p.added_kept_mk,
            Stroke(Ink::Limit, 1.75, Dash::Long),
            "old value, R added",
        ),
        (
            |p| p.added_updated_mk,
            Stroke(Ink::Plan, 1.75, Dash::Short),
            "updated, R added",
        ),
        (
            |_| 0.0,
            Stroke(Ink::Text, 1.25, Dash::Solid),
            "updated, R scaled (band: U)",
        ),
    ];
    let mut labels = Vec::new();
    for (value, stroke, text) in curves {
        canvas.path(&frame.pixels(of(value)), stroke);
        if let Some(last) = view.points.last() {
            labels.push(SideLabel::new(frame.y.held(value(last)), text, stroke.0));
        }
    }
    let (bottom, top) = frame.y.range;
    draw_side_labels(canvas, labels, frame.x.range.1, top, bottom);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view(change: f64) -> RangeView {
        let point = |i: i32| {
            let celsius = 66.0 * f64::from(i);
            RangeRow {
                celsius,
                scaled_kept_mk: change * (1.0 + celsius / 206.0),
                added_kept_mk: change * (1.0 + celsius / 2700.0),
                added_updated_mk: -change * celsius / 223.0,
                u_mk: 0.05 * (1.0 + celsius / 206.0),
                ratio: f64::NAN,
                scaled_updated_mk: f64::NAN,
            }
        };
        RangeView {
            name: "TH-9".into(),
            change,
            u: 0.05,
            points: (0..=10).map(point).collect(),
        }
    }

    #[test]
    fn the_title_says_what_is_at_stake() {
        let changed = range_chart(&view(1.0));
        assert!(
            changed.replace('\u{a0}', " ").contains("TH-9: with the old value up to 4.2 mK wrong at 660 °C; updated, between 0 and 3.0 mK"),
            "{}",
            title(&view(1.0))
        );
        says!(title(&view(0.05)), "no change is shown");
        says!(range_chart(&RangeView::default()), "</svg>");
    }
}
