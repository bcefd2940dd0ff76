/*! Replay: did the bands hold? Share of readings inside, by how far ahead, with exact limits. */

use super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::SideLabel;
use super::palette::Ink;
use super::scale::Scale;
use crate::report::text::percent;
use crate::simulate::replay::{Coverage, ReplayResult};

/// Share of readings inside the band made before, each forecaster, each horizon.
pub(crate) fn coverage_chart(result: &ReplayResult, level: f64) -> String {
    let title = title(result, level);
    let second = "share inside the band made before, by how far ahead; bars: 95 % limits by items";
    let rows = result.forecasters.iter().map(|f| {
        let cells: Vec<&Coverage> = std::iter::once(&f.next).chain(&f.by_horizon).collect();
        (f.name.as_str(), cells)
    });
    let rows: Vec<(&str, Vec<&Coverage>)> = rows.collect();
    let mut labels: Vec<&str> = Vec::new();
    for cell in rows.iter().flat_map(|(_, cells)| cells) {
        if cell.count > 0 && !labels.contains(&cell.label.as_str()) {
            labels.push(&cell.label);
        }
    }
    let all = || rows.iter().flat_map(|(_, cells)| cells);
    let cells = || all().filter(|cell| cell.count > 0);
    let low = cells()
        .map(|cell| cell.limits.0)
        .fold(level - 0.1, f64::min);
    sheet((840, 360), &title, second, |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 14.0;
        let frame = Frame {
            x: Scale::new((-0.5, labels.len().max(1) as f64 - 0.5), (60.0, 700.0)),
            y: Scale::new((low.max(0.0), 1.004), (312.0, top)),
        };
        frame.share_ticks(canvas);
        frame.horizontal(canvas, level, Stroke(Ink::Limit, 1.25, Dash::Long));
        for (i, label) in labels.iter().enumerate() {
            let at = (frame.x.at(i as f64), frame.y.range.0 + 17.0);
            let short = label.trim_start_matches("about ");
            canvas.label(short, at, Ink::Text, Anchor::Middle);
        }
        let mut names = vec![SideLabel::new(
            frame.y.at(level),
            format!("level {}", percent(level)),
            Ink::Limit,
        )];
        for (number, (name, cells)) in rows.iter().enumerate() {
            let forecaster = Forecaster::numbered(number);
            let aside = 0.12 * (number as f64 - 0.5 * (rows.len() as f64 - 1.0));
            draw_cells(canvas, &frame, (cells, &labels), aside, forecaster);
            if let Some(last) = cells.iter().rev().find(|cell| cell.count > 0) {
                let share = last.inside as f64 / last.count as f64;
                names.push(SideLabel::new(
                    frame.y.held(share),
                    format!("{} {name}", forecaster.mark()),
                    forecaster.ink(),
                ));
            }
        }
        frame.side_labels(canvas, names);
    })
}

fn title(result: &ReplayResult, level: f64) -> String {
    match result.forecasters.first() {
        Some(first) if first.next.count > 0 => format!(
            "{} of {} later readings fell inside the {} band of the {} model",
            percent(first.next.inside as f64 / first.next.count as f64),
            first.next.count,
            percent(level),
            first.name
        ),
        _ => "No past reading could be forecast".to_string(),
    }
}

/// Whose share is drawn: the model's in force, or that of another beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Forecaster {
    /// The first of the replay: its marks are dots in the colour of readings.
    First,
    /// Any other: its marks are diamonds in grey.
    Other,
}

impl Forecaster {
    fn numbered(number: usize) -> Self {
        match number {
            0 => Forecaster::First,
            _ => Forecaster::Other,
        }
    }

    fn ink(self) -> Ink {
        match self {
            Forecaster::First => Ink::Reading,
            Forecaster::Other => Ink::Grid,
        }
    }

    /// The mark before its name.
    fn mark(self) -> char {
        match self {
            Forecaster::First => '●',
            Forecaster::Other => '◆',
        }
    }
}

/// The shares of one forecaster, each at the place of its label and so far beside it.
fn draw_cells(
    canvas: &mut Canvas<'_>,
    frame: &Frame,
    (cells, labels): (&[&Coverage], &[&str]),
    aside: f64,
    forecaster: Forecaster,
) {
    for cell in cells.iter().filter(|cell| cell.count > 0) {
        let Some(place) = labels.iter().position(|label| *label == cell.label) else {
            continue;
        };
        draw_cell(canvas, frame, (place as f64 + aside, cell), forecaster);
    }
}

/// The share of one horizon with its limits.
fn draw_cell(
    canvas: &mut Canvas<'_>,
    frame: &Frame,
    (place, cell): (f64, &Coverage),
    forecaster: Forecaster,
) {
    let ink = forecaster.ink();
    let share = cell.inside as f64 / cell.count as f64;
    let (x, y) = frame.held(place, share);
    let ends = (frame.y.held(cell.limits.0), frame.y.held(cell.limits.1));
    canvas.line((x, ends.0), (x, ends.1), Stroke(ink, 1.5, Dash::Solid));
    match forecaster {
        Forecaster::First => canvas.dot((x, y), 4.0, ink),
        Forecaster::Other => canvas.diamond((x, y), 4.5, ink),
    }
}
