/*! Who is due when, and how likely it is in tolerance then: dots, or counts where dots would be a cloud. */

use super::super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::super::frame::{Frame, heading};
use super::super::lettering::{shortened, text_width};
use super::super::palette::Ink;
use super::super::scale::{Scale, Tick};
use super::super::values::told;
use super::due_counts::{Known, Points, due_counts};
use crate::report::text::{count, fixed, percent};
use crate::report::view::{FleetRow, FleetView};

/// Months ahead that the picture of due dates shows; later ones stand at its right edge.
const MONTHS_SHOWN: f64 = 36.0;

/// Days in a mean month of the Julian year.
const DAYS_PER_MONTH: f64 = 365.25 / 12.0;

/// Probabilities below this stand at the lower edge: they all ask for a person.
const LOWEST_SHOWN: f64 = 0.5;

/// Histories that stand as dots; of more, which would be a cloud, the picture shows counts in classes.
const MOST_DOTS: usize = 100;

/// Beside the counts only what is less likely in tolerance than this is named.
const LISTED_BELOW: f64 = 0.95;

/// Most instruments named in the picture of due dates.
const MOST_NAMED: usize = 12;

/// Room on either side of a name: fonts of other machines run wider than ours.
const APART: f64 = 5.0;

/// Half the width of a mark that a name keeps clear of, pixels.
const MARK: f64 = 3.5;

/// Months to due against the probability of being in tolerance then.
pub(crate) fn due_chart(view: &FleetView) -> String {
    let points: Points<'_> = view
        .rows
        .iter()
        .filter_map(|row| place(view, row))
        .collect();
    let away = view.rows.iter().filter(|row| is_past(view, row)).count();
    let overdue = view.overdue();
    let soon = points.iter().filter(|p| (0.0..3.0).contains(&p.0)).count();
    let title = match points.len() {
        0 => "No due date could be set".to_string(),
        _ => format!(
            "{} due within three months, {} overdue",
            count(soon, "calibration"),
            fixed(overdue as f64, 0)
        ),
    };
    let mut known: Vec<(f64, f64, &FleetRow)> = points
        .iter()
        .filter_map(|(months, probability, row)| Some((*months, (*probability)?, *row)))
        .collect();
    match known.len() > MOST_DOTS {
        true => {
            known.retain(|p| p.1 < LISTED_BELOW);
            due_counts(&title, &points, &urgent_first(&known))
        }
        false => due_dots(&title, &known, points.len() - known.len(), away),
    }
}

/// One dot a history; `unknown` more have a due date but no known probability, `away` more are lent or stored.
fn due_dots(title: &str, points: &Known<'_>, unknown: usize, away: usize) -> String {
    let low = points.iter().map(|p| p.1).fold(0.9f64, f64::min);
    let low = (low - 0.03).max(LOWEST_SHOWN);
    let left_edge = points.iter().map(|p| p.0).fold(0.0f64, f64::min).max(-12.0) - 0.5;
    let latest = points.iter().map(|p| p.0).fold(12.0f64, f64::max);
    let months_shown = (6.0 * (latest / 6.0).ceil()).min(MONTHS_SHOWN);
    let mut second =
        "each mark one history: months to its due date, probability that it is in tolerance then; ▲ needs a person"
            .to_string();
    if unknown > 0 {
        second += &format!(
            "; {} of unknown probability not drawn",
            fixed(unknown as f64, 0)
        );
    }
    if away > 0 {
        second += &format!("; {} lent or stored left out", fixed(away as f64, 0));
    }
    let urgent = urgent_first(points).into_iter();
    let urgent = urgent.map(|(months, probability, row)| {
        let when = match months < 0.0 {
            true => "overdue".to_string(),
            false => format!("due in {} months", fixed(months, 1)),
        };
        let mark = if row.action.needs_person() {
            "▲ "
        } else {
            ""
        };
        format!("{mark}{}: {when}, {}", row.instrument, percent(probability))
    });
    let told = told(&second, urgent);
    sheet((840, 400), title, &told, |canvas| {
        let top = heading(canvas, title, &second, 840.0) + 22.0;
        let x = Scale::new((left_edge, months_shown + 0.5), (64.0, 800.0));
        let y = Scale::new((low, 1.005), (346.0, top));
        let frame = Frame { x, y };
        due_axes(canvas, &frame);
        draw_points(canvas, &frame, points);
        name_points(canvas, &frame, points);
    })
}

/// Names the most urgent where there is room: neither another name nor a mark nor the line of today may lie under a name.
fn name_points(canvas: &mut Canvas<'_>, frame: &Frame, points: &Known<'_>) {
    let (x, y) = (frame.x, frame.y);
    let mark = |p: &(f64, f64, &FleetRow)| {
        let (px, py) = frame.held(p.0, p.1);
        (px - MARK, py - MARK, px + MARK, py + MARK)
    };
    let mut taken: Vec<(f64, f64, f64, f64)> = points.iter().map(mark).collect();
    taken.push((x.at(0.0), y.range.1, x.at(0.0), y.range.0));
    for (months, probability, row) in urgent_first(points).into_iter().take(MOST_NAMED) {
        let name = shortened(&row.instrument, LABEL_SIZE, 130.0);
        let (px, py) = frame.held(months, probability);
        let width = text_width(&name, LABEL_SIZE);
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
            canvas.label(&name, (start, base), Ink::Text, Anchor::Start);
            taken.push(place);
        }
    }
}

/// True of a date of an item away from use that is past: nothing is overdue by it.
fn is_past(view: &FleetView, row: &FleetRow) -> bool {
    row.away && row.due_day.is_some_and(|due| due < view.as_of)
}

fn place<'a>(view: &FleetView, row: &'a FleetRow) -> Option<(f64, Option<f64>, &'a FleetRow)> {
    if is_past(view, row) {
        return None;
    }
    let months = (row.due_day? - view.as_of) / DAYS_PER_MONTH;
    let probability = row.probability_when_due.filter(|p| p.is_finite());
    months.is_finite().then_some((months, probability, row))
}

/// One mark a history, those that need a person on top.
fn draw_points(canvas: &mut Canvas<'_>, frame: &Frame, points: &Known<'_>) {
    for urgent in [false, true] {
        for (months, probability, _) in points
            .iter()
            .filter(|p| p.2.action.needs_person() == urgent)
        {
            let at = frame.held(*months, *probability);
            match urgent {
                true => canvas.triangle(at, 5.0, Ink::Alarm, true),
                false => canvas.dot(at, 3.0, Ink::Reading),
            }
        }
    }
}

/// Overdue and unlikely ones first: these are named.
fn urgent_first<'a>(points: &Known<'a>) -> Vec<(f64, f64, &'a FleetRow)> {
    let mut order: Vec<_> = points
        .iter()
        .filter(|p| p.0 < 0.0 || p.2.action.needs_person() || p.1 < 0.8)
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
        canvas.label("≤", at, Ink::Text, Anchor::End);
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
        canvas.label("overdue", (middle, top - 4.0), Ink::Alarm, Anchor::Middle);
    }
}
