/*! Out-of-tolerance proportion through time, with exact limits. */

use super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::LABEL_SIZE;
use super::lettering::shortened;
use super::palette::Ink;
use super::scale::Scale;
use crate::report::text::{count, fixed, percent};
use crate::report::view::{GroupView, ProportionView};

/// Days that one month's mark may lie from the edge of the plot.
const PAD: f64 = 20.0;

/// Proportion out of tolerance by month of `name` (the fleet or a group).
pub fn out_of_tolerance_chart(name: &str, months: &[ProportionView]) -> String {
    let (out, trials) = totals(months);
    let title = match trials {
        0 => format!("{name}: no check with a known outcome"),
        _ => format!(
            "{name}: {} of {} found out of tolerance ({})",
            fixed(out as f64, 0),
            count(trials as usize, "check"),
            percent(out as f64 / trials as f64)
        ),
    };
    let second = "by month; bars: exact 95 % limits of the proportion (Clopper and Pearson)";
    sheet((840, 300), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 14.0;
        let Some(frame) = frame(&[months], (64.0, 820.0), (264.0, top)) else {
            return;
        };
        frame.share_ticks(canvas);
        frame.date_axis(canvas);
        draw_months(canvas, &frame, months, 3.0);
    })
}

/// The same for each group, small and on common axes.
pub fn out_of_tolerance_by_group(groups: &[GroupView]) -> String {
    let shown: Vec<&GroupView> = groups
        .iter()
        .filter(|g| !g.out_of_tolerance.is_empty())
        .collect();
    let share = |g: &&GroupView| {
        let (out, trials) = totals(&g.out_of_tolerance);
        (trials > 0).then(|| out as f64 / trials as f64)
    };
    let worst = shown
        .iter()
        .filter_map(|g| Some((share(g)?, g.name.as_str())))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let title = match worst {
        Some((part, name)) if part > 0.0 => format!(
            "{name} are found out of tolerance most often: {}",
            percent(part)
        ),
        _ => "No group was found out of tolerance".to_string(),
    };
    let second = "proportion out of tolerance by month, common axes; bars: exact 95 % limits";
    let rows = shown.len().div_ceil(COLUMNS).max(1);
    let height = 70 + (rows as f64 * ROW_HEIGHT) as u32;
    sheet((840, height), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0);
        let all: Vec<&[ProportionView]> = shown
            .iter()
            .map(|g| g.out_of_tolerance.as_slice())
            .collect();
        for (i, group) in shown.iter().enumerate() {
            let left = 56.0 + 266.0 * (i % COLUMNS) as f64;
            let upper = top + 24.0 + ROW_HEIGHT * (i / COLUMNS) as f64;
            let Some(frame) = frame(&all, (left, left + 200.0), (upper + 100.0, upper)) else {
                continue;
            };
            frame.share_ticks(canvas);
            frame.date_axis(canvas);
            draw_months(canvas, &frame, &group.out_of_tolerance, 2.0);
            let name = shortened(&group.name, LABEL_SIZE, 200.0);
            canvas.bold(
                &name,
                (left, upper - 6.0),
                LABEL_SIZE,
                Ink::Text,
                Anchor::Start,
            );
        }
    })
}

/// Small pictures in a row.
const COLUMNS: usize = 3;

/// Height of one row of small pictures, pixels.
const ROW_HEIGHT: f64 = 156.0;

fn totals(months: &[ProportionView]) -> (u64, u64) {
    months.iter().fold((0, 0), |(out, trials), m| {
        (out + m.count, trials + m.trials)
    })
}

/// Axes that hold all of `series`; `None` where there is nothing to draw.
fn frame(series: &[&[ProportionView]], x: (f64, f64), y: (f64, f64)) -> Option<Frame> {
    let months = || {
        series
            .iter()
            .flat_map(|s| s.iter())
            .filter(|m| m.trials > 0)
    };
    let first = months().map(|m| m.x).fold(f64::INFINITY, f64::min);
    let last = months().map(|m| m.x).fold(f64::NEG_INFINITY, f64::max);
    let most = months()
        .map(|m| m.limits.1)
        .filter(|l| l.is_finite())
        .fold(0.05f64, f64::max);
    (first <= last).then_some(Frame {
        x: Scale {
            domain: (first - PAD, last + PAD),
            range: x,
        },
        y: Scale {
            domain: (0.0, most.min(1.0)),
            range: y,
        },
    })
}

fn draw_months(canvas: &mut Canvas<'_>, frame: &Frame, months: &[ProportionView], radius: f64) {
    for month in months.iter().filter(|m| m.trials > 0) {
        let share = month.count as f64 / month.trials as f64;
        let (x, y) = frame.held(month.x, share);
        let ends = (frame.y.held(month.limits.0), frame.y.held(month.limits.1));
        canvas.line(
            (x, ends.0),
            (x, ends.1),
            Stroke(Ink::Grid, 1.0, Dash::Solid),
        );
        if month.count > 0 {
            canvas.triangle((x, y), radius + 1.5, Ink::Alarm, true);
        } else {
            canvas.dot((x, y), radius, Ink::Reading);
        }
    }
}
