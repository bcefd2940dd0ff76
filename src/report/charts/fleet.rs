/*! The fleet at a glance: actions as counts, and who will be out by when. */

use super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::LABEL_SIZE;
use super::lettering::{shortened, text_width};
use super::palette::Ink;
use super::scale::{Scale, Tick};
use crate::report::text::{count, fixed};
use crate::report::view::{ACTIONS, FleetRow, FleetView, needs_person};
use crate::report::words;
use std::collections::HashSet;

/// Counts of actions as bars, most urgent on top.
pub fn actions_chart(view: &FleetView) -> String {
    let counts = view.action_counts();
    let urgent = counts[0] + counts[1];
    let total = view.rows.len();
    let verb = if urgent == 1 { "needs" } else { "need" };
    let title = match urgent {
        0 => format!("None of {} needs a person today", count(total, "history")),
        _ => format!(
            "{} of {} {verb} a person today",
            fixed(urgent as f64, 0),
            count(total, "history")
        ),
    };
    let most = counts.iter().copied().max().unwrap_or(0).max(1);
    sheet((840, 220), &title, &words::intervals(view), |canvas| {
        let top = heading(canvas, &title, "", 840.0) + 12.0;
        let scale = Scale {
            domain: (0.0, most as f64),
            range: (100.0, 370.0),
        };
        for (i, (action, number)) in ACTIONS.iter().zip(counts).enumerate() {
            let y = top + 32.0 * i as f64;
            let ink = [Ink::Alarm, Ink::Alarm, Ink::Plan, Ink::Grid, Ink::Reading][i];
            let end = scale.at(number as f64);
            canvas.text(action, (90.0, y + 14.0), 13.0, Ink::Text, Anchor::End);
            canvas.rectangle((100.0, y), (end.max(100.5), y + 20.0), ink, 0.85);
            let text = format!(
                "{}\u{2003}{}",
                fixed(number as f64, 0),
                words::action_meaning(action)
            );
            canvas.text(
                &shortened(&text, LABEL_SIZE, 820.0 - end - 8.0),
                (end + 8.0, y + 14.0),
                LABEL_SIZE,
                Ink::Text,
                Anchor::Start,
            );
        }
    })
}

/// Months ahead that the picture of due dates shows; later ones stand at its right edge.
const MONTHS_SHOWN: f64 = 36.0;

/// Days in a mean month of the Julian year.
const DAYS_PER_MONTH: f64 = 365.25 / 12.0;

/// Probabilities below this stand at the lower edge: they all ask for a person.
const LOWEST_SHOWN: f64 = 0.5;

/// Fleets with more points than this are drawn with small marks.
const MANY_POINTS: usize = 300;

/// Most instruments named in the picture of due dates.
const MOST_NAMED: usize = 12;

/// Room on either side of a name: fonts of other machines run wider than ours.
const APART: f64 = 5.0;

/// Half the width of a mark that a name keeps clear of, pixels.
const MARK: f64 = 3.5;

/// Months to due against the probability of being in tolerance then.
pub fn due_chart(view: &FleetView) -> String {
    let points: Vec<(f64, f64, &FleetRow)> = view
        .rows
        .iter()
        .filter_map(|row| place(view, row))
        .collect();
    let overdue = points.iter().filter(|p| p.0 < 0.0).count();
    let soon = points.iter().filter(|p| (0.0..3.0).contains(&p.0)).count();
    let title = match points.len() {
        0 => "No due date could be set".to_string(),
        _ => format!(
            "{} due within three months, {} overdue",
            count(soon, "calibration"),
            fixed(overdue as f64, 0)
        ),
    };
    let low = points.iter().map(|p| p.1).fold(0.9f64, f64::min);
    let low = (low - 0.03).max(LOWEST_SHOWN);
    let left_edge = points.iter().map(|p| p.0).fold(0.0f64, f64::min).max(-12.0) - 0.5;
    let second =
        "each dot one history: months to its due date, probability that it is in tolerance then";
    sheet((840, 400), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 22.0;
        let x = Scale {
            domain: (left_edge, MONTHS_SHOWN + 0.5),
            range: (64.0, 800.0),
        };
        let y = Scale {
            domain: (low, 1.005),
            range: (346.0, top),
        };
        due_axes(canvas, &Frame { x, y });
        // Neither another name nor another mark may lie under a name.
        let mark = |p: &(f64, f64, &FleetRow)| {
            let (px, py) = (x.held(p.0), y.held(p.1));
            (px - MARK, py - MARK, px + MARK, py + MARK)
        };
        let mut taken: Vec<(f64, f64, f64, f64)> = points.iter().map(mark).collect();
        draw_points(canvas, &Frame { x, y }, &points);
        for (months, probability, row) in urgent_first(&points).into_iter().take(MOST_NAMED) {
            let name = shortened(&row.instrument, LABEL_SIZE, 130.0);
            let (px, py, width) = (
                x.held(months),
                y.held(probability),
                text_width(&name, LABEL_SIZE),
            );
            // On the axis a name would cross the line: it stands above it.
            let base = (py + 4.0).min(y.range.0 - 5.0);
            let spot = [px + 9.0, px - 9.0 - width].into_iter().find_map(|start| {
                let (left, right) = (start - APART, start + width + APART);
                let place = (left, base - 13.0, right, base + 1.0);
                let free = |other: &(f64, f64, f64, f64)| {
                    place.2 < other.0 || place.0 > other.2 || place.3 < other.1 || place.1 > other.3
                };
                let inside = left >= x.range.0 && right <= 840.0;
                (inside && taken.iter().all(free)).then_some((start, place))
            });
            if let Some((start, place)) = spot {
                canvas.text(&name, (start, base), LABEL_SIZE, Ink::Text, Anchor::Start);
                taken.push(place);
            }
        }
    })
}

fn place<'a>(view: &FleetView, row: &'a FleetRow) -> Option<(f64, f64, &'a FleetRow)> {
    let months = (row.due_day? - view.as_of) / DAYS_PER_MONTH;
    let probability = row.probability_when_due?;
    (months.is_finite() && probability.is_finite()).then_some((months, probability, row))
}

/// One mark a history; in a large fleet smaller, and one for all that share a place.
fn draw_points(canvas: &mut Canvas<'_>, frame: &Frame, points: &[(f64, f64, &FleetRow)]) {
    let many = points.len() > MANY_POINTS;
    let (radius, grid) = if many { (1.75, 2.0) } else { (3.0, 0.25) };
    let mut taken: HashSet<(bool, i64, i64)> = HashSet::new();
    for urgent in [false, true] {
        for (months, probability, _) in points
            .iter()
            .filter(|p| needs_person(&p.2.action) == urgent)
        {
            let (px, py) = frame.held(*months, *probability);
            if !taken.insert((urgent, (px / grid) as i64, (py / grid) as i64)) {
                continue;
            }
            match urgent {
                true => canvas.triangle((px, py), radius + 2.0, Ink::Alarm, true),
                false => canvas.dot((px, py), radius, Ink::Reading),
            }
        }
    }
}

/// Overdue and unlikely ones first: these are named.
fn urgent_first<'a>(points: &[(f64, f64, &'a FleetRow)]) -> Vec<(f64, f64, &'a FleetRow)> {
    let mut order: Vec<_> = points
        .iter()
        .filter(|p| p.0 < 0.0 || needs_person(&p.2.action) || p.1 < 0.8)
        .copied()
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0)));
    order
}

fn due_axes(canvas: &mut Canvas<'_>, frame: &Frame) {
    let (left, top) = (frame.x.range.0, frame.y.range.1);
    if frame.x.domain.0 < 0.0 {
        canvas.rectangle(
            (left, top),
            (frame.x.at(0.0), frame.y.range.0),
            Ink::Alarm,
            0.06,
        );
        frame.vertical(canvas, 0.0, Stroke(Ink::Text, 0.75, Dash::Solid));
    }
    frame.share_ticks(canvas);
    if frame.y.domain.0 <= LOWEST_SHOWN {
        let beside = left - 10.0 - text_width("50 %", LABEL_SIZE);
        let at = (beside, frame.y.range.0 + 4.0);
        canvas.text("≤", at, LABEL_SIZE, Ink::Text, Anchor::End);
    }
    let label = |month: f64| match month {
        0.0 => "today".to_string(),
        m if m >= MONTHS_SHOWN => format!("{} or more", fixed(m, 0)),
        m => fixed(m, 0),
    };
    let months = (-12..=36).step_by(6).map(f64::from);
    let ticks: Vec<Tick> = months
        .map(|at| Tick {
            at,
            label: label(at),
        })
        .collect();
    frame.x_ticks(canvas, &ticks);
    frame.x_caption(canvas, "months to due date");
    if frame.x.domain.0 < -1.0 {
        let middle = 0.5 * (left + frame.x.at(0.0));
        canvas.text(
            "overdue",
            (middle, top - 4.0),
            LABEL_SIZE,
            Ink::Alarm,
            Anchor::Middle,
        );
    }
}
