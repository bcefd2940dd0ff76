/*! A thermometer's sessions in one picture: R at the triple point of water, the check standard beside it, W at
other points, self-heating and cell, on one axis of time. */

use super::marks::{draw_cells, draw_limits, draw_mark, draw_values};
use crate::report::charts::canvas::{Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use crate::report::charts::frame::{Frame, below_heading, heading};
use crate::report::charts::labels::{SideLabel, draw_side_labels};
use crate::report::charts::lettering::shortened;
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{Range, Scale, value_axis};
use crate::report::text::{significant, to_uncertainty, with_unit};
use crate::report::view::{YearMark, YearView};

const WIDTH: f64 = 840.0;
const PLOT: (f64, f64) = (74.0, 640.0);
/// Room beside the first and last session, and above and below the marks, as a share of their span.
const ROOM: f64 = 0.06;
/// Half a span of time where all is of one day, days.
const ONE_DAY: f64 = 15.0;
/// Between one panel and the caption of the next, pixels.
const GAP: f64 = 34.0;
const CELL_ROW: f64 = 22.0;

/// One panel of marks over time.
struct Panel<'a> {
    caption: &'static str,
    height: f64,
    /// Each with its name at the right; without one where the caption says it.
    rows: Vec<(&'a str, &'a [YearMark])>,
    /// True where a bar off zero is what the rule asks for.
    zero: bool,
    /// What else lies on the axis: values in use while there were sessions.
    values: Vec<f64>,
}

/// The picture; its height follows from what there is to show.
pub(crate) fn year_chart(view: &YearView) -> String {
    let (title, second) = (title(view), second(view));
    let panels = panels(view);
    let cells = if view.cells.is_empty() {
        0.0
    } else {
        CELL_ROW + GAP
    };
    let height: f64 = panels.iter().map(|p| p.height + GAP).sum();
    let height = below_heading(&title, &second, WIDTH) + 26.0 + height + cells + 30.0;
    sheet((WIDTH as u32, height as u32), &title, &second, |canvas| {
        let mut top = heading(canvas, &title, &second, WIDTH) + 28.0;
        let Some(x) = time_scale(view) else {
            return;
        };
        for (place, panel) in panels.iter().enumerate() {
            let last = place + 1 == panels.len() && view.cells.is_empty();
            let band: &[(f64, f64, f64)] = if place == 0 { &view.band } else { &[] };
            if let Some(frame) = draw_panel(canvas, panel, (x, top), band, last)
                && place == 0
            {
                draw_values(canvas, &frame, view);
                draw_limits(canvas, &frame, view);
            }
            top += panel.height + GAP;
        }
        if !view.cells.is_empty() {
            let row = Frame {
                x,
                y: Scale::new((0.0, 1.0), (top + CELL_ROW, top)),
            };
            draw_cells(canvas, &row, view);
        }
    })
}

/// The advice, then the finding that it rests on; without advice the change from first to last.
fn title(view: &YearView) -> String {
    match view.advice.as_str() {
        "" => format!("{}: {}", view.name, change(view)),
        advice => format!("{}: {advice} advised; {}", view.name, view.finding),
    }
}

fn change(view: &YearView) -> String {
    let used: Vec<&YearMark> = view.sessions.iter().filter(|m| m.counts).collect();
    let sessions = crate::words::count(view.sessions.len(), "session");
    match &used[..] {
        [] => format!("{sessions}, none of them accepted"),
        [_] => "one accepted session; nothing to compare it with yet".into(),
        [first, .., last] => {
            let (change, u) = (last.value - first.value, first.u.hypot(last.u));
            let sign = if change < 0.0 { "−" } else { "+" };
            format!(
                "{sign}{} mK at the triple point of water from the first to the last of {sessions} (U = {})",
                to_uncertainty(change.abs(), u),
                with_unit(&significant(2.0 * u, 2), "mK")
            )
        }
    }
}

fn second(view: &YearView) -> String {
    let line = match view.band.is_empty() {
        true => "too few sessions for a line",
        false => "band: the line through the accepted sessions",
    };
    format!(
        "change as temperature from the first session; bars ± U (k = 2), {line}; triangles: rejected"
    )
}

fn panels(view: &YearView) -> Vec<Panel<'_>> {
    let mut panels = vec![Panel {
        caption: "R at the triple point of water",
        height: 170.0,
        rows: vec![("", &view.sessions)],
        zero: false,
        values: limits_shown(view),
    }];
    let standard = view
        .standard
        .iter()
        .map(|(name, marks)| (name.as_str(), &marks[..]));
    let ratios = view
        .ratios
        .iter()
        .map(|(name, marks)| (name.as_str(), &marks[..]));
    let found = [
        small(
            "check standard in the same sessions",
            80.0,
            standard.collect(),
        ),
        small(
            "W at other points since the first there (a bar off the dashed zero: moved)",
            80.0,
            ratios.collect(),
        ),
        small(
            "self-heating at the first current",
            60.0,
            vec![("", &view.self_heating)],
        ),
    ];
    for (place, panel) in found.into_iter().enumerate() {
        panels.extend(panel.map(|panel| Panel {
            zero: place == 1,
            ..panel
        }));
    }
    if let Some(heating) = panels.last_mut().filter(|_| !view.self_heating.is_empty()) {
        // Its size matters, not its last digit: the axis begins at zero.
        heating.values.push(0.0);
    }
    panels
}

/// Values in use, and the limit of an anneal about the last of them: what the advice compares.
fn limits_shown(view: &YearView) -> Vec<f64> {
    let mut shown: Vec<f64> = view.shown_values().map(|v| v.1).collect();
    if let (Some(value), Some((anneal, _))) = (shown.last().copied(), view.limits) {
        shown.extend([value - anneal, value + anneal]);
    }
    shown
}

/// A smaller panel, where it has something to show.
fn small<'a>(
    caption: &'static str,
    height: f64,
    rows: Vec<(&'a str, &'a [YearMark])>,
) -> Option<Panel<'a>> {
    let any = rows.iter().any(|(_, marks)| !marks.is_empty());
    any.then_some(Panel {
        caption,
        height,
        rows,
        zero: false,
        values: Vec::new(),
    })
}

fn time_scale(view: &YearView) -> Option<Scale> {
    let mut days = Range::EMPTY;
    view.sessions.iter().for_each(|m| days.add(m.day));
    if days.is_empty() {
        return None;
    }
    Some(Scale::new(days.with_room(ROOM, ONE_DAY), PLOT))
}

/// Scales of a panel: what lies hopelessly far off is drawn at the edge, and the rejected do not widen it.
fn frame(panel: &Panel<'_>, (x, top): (Scale, f64), band: &[(f64, f64, f64)]) -> Option<Frame> {
    let mut y = Range::EMPTY;
    let marks = || panel.rows.iter().flat_map(|(_, marks)| marks.iter());
    let any = marks().any(|m| m.counts);
    for mark in marks().filter(|m| m.counts || !any) {
        let half = if mark.u.is_finite() {
            2.0 * mark.u
        } else {
            0.0
        };
        y.add(mark.value - half);
        y.add(mark.value + half);
    }
    for &(_, lower, upper) in band {
        y.add(lower);
        y.add(upper);
    }
    panel.values.iter().for_each(|value| y.add(*value));
    if y.is_empty() {
        return None;
    }
    Some(Frame {
        x,
        y: Scale::new(y.with_room(ROOM, 1.0), (top + panel.height, top)),
    })
}

fn draw_panel(
    canvas: &mut Canvas<'_>,
    panel: &Panel<'_>,
    place: (Scale, f64),
    band: &[(f64, f64, f64)],
    last: bool,
) -> Option<Frame> {
    let frame = frame(panel, place, band)?;
    let axis = value_axis(
        frame.y.domain.0,
        frame.y.domain.1,
        "mK",
        if panel.height > 100.0 { 6 } else { 4 },
    );
    frame.y_ticks(canvas, &axis.ticks);
    // The axis chooses the prefix of its unit.
    frame.y_caption(canvas, &format!("{}, {}", panel.caption, axis.caption));
    match last {
        true => frame.date_axis(canvas),
        false => frame.x_ticks(canvas, &[]),
    }
    let upper = band.iter().map(|b| (b.0, b.2));
    let lower = band.iter().rev().map(|b| (b.0, b.1));
    canvas.polygon(&frame.pixels(upper.chain(lower)), Ink::Reading, 0.14);
    if panel.zero {
        frame.horizontal(canvas, 0.0, Stroke(Ink::Limit, 1.0, Dash::Long));
    }
    let mut labels = Vec::new();
    for (row, (name, marks)) in panel.rows.iter().enumerate() {
        for mark in *marks {
            draw_mark(canvas, &frame, mark, row);
        }
        if let Some(end) = marks
            .iter()
            .rev()
            .find(|m| m.counts)
            .filter(|_| !name.is_empty())
        {
            labels.push(SideLabel::new(
                frame.y.held(end.value),
                shortened(name, LABEL_SIZE, WIDTH - PLOT.1 - 20.0),
                Ink::Text,
            ));
        }
    }
    let (bottom, top) = frame.y.range;
    draw_side_labels(canvas, labels, PLOT.1, top, bottom);
    Some(frame)
}
