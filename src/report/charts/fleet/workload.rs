/*! Calibrations due in each coming month, by the intervals in force and by the proposed ones. */

use super::super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::super::frame::{Frame, heading};
use super::super::palette::Ink;
use super::super::scale::{Scale, Tick, value_axis};
use super::super::values::told;
use crate::report::text::{count, date, fixed, month_year};
use crate::report::view::{DueCount, WorkloadView};

/// Bars of the workload: what is overdue, then every due date by month.
pub(crate) fn workload_chart(view: &WorkloadView) -> String {
    let title = title(view);
    let proposed: u64 = bars(view).map(|due| due.decided).sum();
    let second = format!(
        "every due date: filled by the intervals in force, outlined if every proposal were approved ({} in all)",
        fixed(proposed as f64, 0)
    );
    let told = told(&second, months_in_words(view));
    sheet((840, 300), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 14.0;
        let most = bars(view).map(|due| due.decided.max(due.now)).max();
        let most = most.unwrap_or(0).max(1) as f64;
        let frame = Frame {
            x: Scale::new((0.0, bars(view).count().max(1) as f64), (56.0, 826.0)),
            y: Scale::new((0.0, most), (262.0, top)),
        };
        let whole = |tick: &Tick| tick.at.fract() == 0.0;
        let ticks = value_axis(0.0, most, "", 5).ticks.into_iter();
        frame.y_ticks(canvas, &ticks.filter(whole).collect::<Vec<Tick>>());
        frame.x_ticks(canvas, &[]);
        for (i, due) in bars(view).enumerate() {
            draw_bar(canvas, &frame, i, due);
        }
        draw_names(canvas, &frame, view);
    })
}

/// Each bar that is not empty, as "May 2026: 2 in force, 5 as proposed".
fn months_in_words(view: &WorkloadView) -> impl Iterator<Item = String> {
    let overdue = ("overdue".to_string(), view.overdue);
    let months = view.months.iter();
    let months = months.map(|month| (month_year(month.month), month.due));
    let all = std::iter::once(overdue).chain(months);
    all.filter(|(_, due)| *due != DueCount::default())
        .map(|(name, due)| format!("{name}: {} in force, {} as proposed", due.now, due.decided))
}

/// True where something is overdue: then it has the first bar.
fn any_overdue(view: &WorkloadView) -> bool {
    view.overdue != DueCount::default()
}

/// The bars, left to right.
fn bars(view: &WorkloadView) -> impl Iterator<Item = DueCount> {
    let overdue = any_overdue(view).then_some(view.overdue);
    overdue
        .into_iter()
        .chain(view.months.iter().map(|month| month.due))
}

fn title(view: &WorkloadView) -> String {
    let months = &view.months;
    let all: u64 = bars(view).map(|due| due.now).sum();
    if all == 0 {
        return "No calibration falls due in the months shown".to_string();
    }
    let mut title = format!(
        "{} in {}",
        count(all as usize, "calibration"),
        count(months.len(), "month")
    );
    if view.overdue.now > 0 {
        title += &format!(", {} overdue", fixed(view.overdue.now as f64, 0));
    }
    // The first of equals.
    let busiest = months.iter().rev().max_by_key(|month| month.due.now);
    match busiest.filter(|month| month.due.now > 0) {
        Some(busy) => format!(
            "{title}; busiest: {} with {}",
            month_year(busy.month),
            fixed(busy.due.now as f64, 0)
        ),
        None => title,
    }
}

fn draw_bar(canvas: &mut Canvas<'_>, frame: &Frame, i: usize, due: DueCount) {
    let room = frame.x.at(1.0) - frame.x.at(0.0);
    let left = frame.x.at(i as f64) + 0.15 * room;
    let right = frame.x.at(i as f64 + 1.0) - 0.15 * room;
    let foot = frame.y.range.0;
    if due.now > 0 {
        let corner = (left, frame.y.at(due.now as f64));
        canvas.rectangle(corner, (right, foot), Ink::Plan, 0.75);
    }
    let head = frame.y.at(due.decided as f64);
    let outline = [
        (left - 2.0, foot),
        (left - 2.0, head),
        (right + 2.0, head),
        (right + 2.0, foot),
    ];
    if due.decided > 0 {
        canvas.path(&outline, Stroke(Ink::Grid, 1.25, Dash::Solid));
    }
}

/// Names below the bars: the months, as many as find room, with the year where it begins.
fn draw_names(canvas: &mut Canvas<'_>, frame: &Frame, view: &WorkloadView) {
    let foot = frame.y.range.0;
    let room = frame.x.at(1.0) - frame.x.at(0.0);
    let mut write = |bar: usize, row: f64, text: &str| {
        let at = (frame.x.at(bar as f64 + 0.5), foot + row);
        canvas.label(text, at, Ink::Text, Anchor::Middle);
    };
    let before = usize::from(any_overdue(view));
    if before > 0 {
        write(0, 17.0, "overdue");
    }
    for (i, month) in view.months.iter().enumerate() {
        let named = room > 30.0 || i.is_multiple_of(3);
        let Some(day) = date(month.month).filter(|_| named) else {
            continue;
        };
        write(i + before, 17.0, &day.format("%b").to_string());
        if i == 0 || day.format("%m").to_string() == "01" {
            write(i + before, 32.0, &day.format("%Y").to_string());
        }
    }
}
