/*! A book of small histories of one group on common axes, and any two of them on one (`overlay`). */

mod overlay;

use crate::report::charts::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use crate::report::charts::frame::{Frame, below_heading, heading};
use crate::report::charts::lettering::shortened;
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::{Range, Scale, value_axis};
use crate::report::charts::share::share_of;
use crate::report::charts::values::told;
use crate::report::text::{count, iso_date, percent, significant, with_unit};
use crate::report::view::{BookView, ReadingView};

pub(crate) use overlay::{Overlay, overlay};

/// Small pictures in a row.
const COLUMNS: usize = 3;

/// Height of one row, pixels.
const ROW: f64 = 160.0;

/// Readings drawn in one small picture; of a longer history the last ones.
const MOST_READINGS: usize = 120;

/// Errors beyond this many tolerances stand at the edge.
const EDGE: f64 = 2.0;

/// One page of the book: some histories of one group on the axes of `all` of them, each error as a share of its tolerance
/// (limits at −1 and +1) where all have one, else in the common unit.
pub(crate) fn book_chart(group: &str, histories: &[&BookView], all: &[BookView]) -> String {
    let urgent = histories
        .iter()
        .filter(|view| view.action.needs_person())
        .count();
    let title = match urgent {
        0 => format!(
            "{group}: none of {} needs a person",
            count(histories.len(), "history")
        ),
        _ => format!(
            "{group}: {urgent} of {} marked ▲ for a person",
            count(histories.len(), "history")
        ),
    };
    let valued = || all.iter().filter(|view| has_values(view));
    let relative = valued().all(|view| share(view).is_some());
    let second = match relative {
        _ if valued().next().is_none() => {
            "only outcomes were kept: square in tolerance, triangle out of it".to_string()
        }
        true => "error as a share of the tolerance (dashed: the limits), one scale a group; most of it used when due comes first".to_string(),
        false => match valued().next().map_or("", |view| view.unit.as_str()) {
            "" => "error, common axes".to_string(),
            unit => format!("error in {unit}, common axes"),
        },
    };
    let rows = histories.len().div_ceil(COLUMNS).max(1);
    let height = below_heading(&title, &second, 840.0) + 14.0 + ROW * rows as f64;
    let in_words = histories.iter().map(|view| in_words(view, relative));
    let told = told(&second, in_words);
    sheet((840, height as u32), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0);
        let Some((x, y)) = ranges(all, relative) else {
            return;
        };
        for (i, view) in histories.iter().enumerate() {
            let left = 52.0 + 266.0 * (i % COLUMNS) as f64;
            let upper = top + 26.0 + ROW * (i / COLUMNS) as f64;
            let frame = Frame {
                x: Scale::new(x, (left, left + 204.0)),
                y: Scale::new(y, (upper + 102.0, upper)),
            };
            draw_small(canvas, &frame, view, relative);
        }
    })
}

/// One small picture in words: "TH-014: 8 checks, 1 out of tolerance, last −40 % of the tolerance on 2026-03-01".
fn in_words(view: &BookView, relative: bool) -> String {
    let checks = last_readings(view).count();
    let out = last_readings(view).filter(|reading| reading.out_of_tolerance);
    let mut told = format!(
        "{}: {}, {} out of tolerance",
        view.name(),
        count(checks, "check"),
        out.count()
    );
    if let Some((day, value)) = values(view, relative).last() {
        let value = match relative {
            true => format!("{} of the tolerance", percent(*value)),
            false => with_unit(&significant(*value, 3), &view.unit),
        };
        let when = match &view.usage_unit {
            None => format!("on {}", iso_date(*day)),
            Some(unit) => format!("at {}", with_unit(&significant(*day, 4), unit)),
        };
        told.push_str(&format!(", last {value} {when}"));
    }
    told
}

/// Error as a share of the tolerance in force last.
fn share(view: &BookView) -> Option<impl Fn(f64) -> f64 + use<>> {
    let step = view.tolerance.as_ref()?;
    share_of((step.lower, step.upper))
}

/// Indices of a group's histories as they should stand: the largest share of the tolerance at the
/// due date first, those without one last, otherwise as given.
pub(crate) fn book_order(histories: &[BookView]) -> Vec<usize> {
    let at_due = |i: &usize| {
        let view = &histories[*i];
        let used = share(view)
            .zip(view.at_due)
            .map(|(share, error)| share(error).abs());
        used.filter(|share| share.is_finite())
    };
    let mut order: Vec<usize> = (0..histories.len()).collect();
    order.sort_by(|a, b| match (at_due(a), at_due(b)) {
        (Some(a), Some(b)) => b.total_cmp(&a),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
    order
}

/// False where only outcomes were kept.
fn has_values(view: &BookView) -> bool {
    view.readings.iter().any(|r| r.value.is_finite())
}

/// The readings that are drawn.
fn last_readings(view: &BookView) -> impl Iterator<Item = &ReadingView> {
    let skip = view.readings.len().saturating_sub(MOST_READINGS);
    let last = view.readings.iter().skip(skip);
    last.filter(|reading| reading.day.is_finite())
}

fn values(view: &BookView, relative: bool) -> Vec<(f64, f64)> {
    let scale = share(view).filter(|_| relative);
    last_readings(view)
        .filter(|r| r.value.is_finite())
        .map(|r| {
            (
                r.day,
                scale.as_ref().map_or(r.value, |scale| scale(r.value)),
            )
        })
        .collect()
}

fn ranges<'a>(
    histories: impl IntoIterator<Item = &'a BookView>,
    relative: bool,
) -> Option<((f64, f64), (f64, f64))> {
    let (mut x, mut y) = (Range::EMPTY, Range::EMPTY);
    for view in histories {
        last_readings(view).for_each(|reading| x.add(reading.day));
        for (_, value) in values(view, relative) {
            y.add(if relative {
                value.clamp(-EDGE, EDGE)
            } else {
                value
            });
        }
    }
    if x.is_empty() {
        return None;
    }
    if relative || y.is_empty() {
        y.add(-1.1);
        y.add(1.1);
    }
    Some((x.with_room(0.04, 1.0), y.with_room(0.04, 1.0)))
}

fn draw_small(canvas: &mut Canvas<'_>, frame: &Frame, view: &BookView, relative: bool) {
    match &view.usage_unit {
        None => frame.date_axis(canvas),
        Some(unit) => frame.x_ticks(
            canvas,
            &value_axis(frame.x.domain.0, frame.x.domain.1, unit, 4).ticks,
        ),
    }
    match has_values(view) {
        true => draw_values(canvas, frame, view, relative),
        false => draw_outcomes(canvas, frame, view),
    }
    let mark = if view.action.needs_person() {
        "▲ "
    } else {
        ""
    };
    let ink = if mark.is_empty() {
        Ink::Text
    } else {
        Ink::Alarm
    };
    let name = shortened(&format!("{mark}{}", view.name()), LABEL_SIZE, 196.0);
    canvas.bold(
        &name,
        (frame.x.range.0, frame.y.range.1 - 6.0),
        LABEL_SIZE,
        ink,
        Anchor::Start,
    );
}

/// Readings and fit on the common scale.
fn draw_values(canvas: &mut Canvas<'_>, frame: &Frame, view: &BookView, relative: bool) {
    let axis = value_axis(frame.y.domain.0, frame.y.domain.1, "", 5);
    frame.y_ticks(canvas, &axis.ticks);
    if relative {
        for limit in [-1.0, 1.0] {
            frame.horizontal(canvas, limit, Stroke(Ink::Limit, 1.0, Dash::Long));
        }
    }
    let scale = share(view).filter(|_| relative);
    let fit = view.curve.iter().filter(|p| frame.x.holds(p.day));
    let fit: Vec<(f64, f64, u32)> = fit
        .map(|p| {
            (
                p.day,
                scale.as_ref().map_or(p.expected, |s| s(p.expected)),
                p.segment,
            )
        })
        .collect();
    for segment in fit.chunk_by(|a, b| a.2 == b.2) {
        let inside = segment
            .iter()
            .map(|(day, value, _)| (*day, *value))
            .filter(|p| frame.y.holds(p.1));
        canvas.path(&frame.pixels(inside), Stroke(Ink::Text, 1.25, Dash::Solid));
    }
    let flags = last_readings(view).filter(|r| r.value.is_finite());
    for ((day, value), reading) in values(view, relative).into_iter().zip(flags) {
        let at = frame.held(day, value);
        if reading.out_of_tolerance {
            canvas.triangle(at, 3.5, Ink::Alarm, true);
        } else {
            canvas.dot(at, 1.75, Ink::Reading);
        }
    }
}

/// Outcomes alone, one mark a check in one of two lanes: there is no value axis.
fn draw_outcomes(canvas: &mut Canvas<'_>, frame: &Frame, view: &BookView) {
    let (left, right) = frame.x.range;
    let (low, high) = frame.y.range;
    let lanes = [0.7, 0.3].map(|up| low + up * (high - low));
    for (y, name) in lanes.into_iter().zip(["in", "out"]) {
        canvas.line((left, y), (right, y), Stroke(Ink::Grid, 0.5, Dash::Solid));
        canvas.label(name, (left - 6.0, y + 4.0), Ink::Text, Anchor::End);
    }
    for reading in last_readings(view) {
        let x = frame.x.held(reading.day);
        match reading.out_of_tolerance {
            true => canvas.triangle((x, lanes[1]), 3.5, Ink::Alarm, true),
            false => canvas.square((x, lanes[0]), 2.0, Ink::Reading),
        }
    }
}

#[cfg(test)]
mod tests;
