/*! Labels that do not cover each other: a strip of words above a plot, a column beside it. */

use super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke};
use super::lettering::text_width;
use super::palette::Ink;

/// Height of a row of labels, pixels.
pub(crate) const ROW: f64 = 14.0;

/// A word that names a vertical line.
#[derive(Debug, Clone)]
pub(crate) struct Flag {
    /// Pixel of the line.
    pub x: f64,
    /// What it says.
    pub text: String,
    /// Its colour role.
    pub ink: Ink,
}

impl Flag {
    pub(crate) fn new(x: f64, text: impl Into<String>, ink: Ink) -> Self {
        let text = text.into();
        Self { x, text, ink }
    }
}

/// A flag with its place: left edge and row (0 = next to the plot).
#[derive(Debug, Clone)]
pub(crate) struct PlacedFlag {
    /// Left edge of the text, pixels.
    pub left: f64,
    /// Row above the plot.
    pub row: usize,
    pub flag: Flag,
}

/// Places flags in at most `rows` rows between `left` and `right`; returns the placed
/// ones and how many found no room. A text stands over its line or beside it, and
/// clear of the other lines where that can be had; the line of a flag in a higher row
/// passes no text below it.
pub(crate) fn place_flags(
    flags: Vec<Flag>,
    rows: usize,
    left: f64,
    right: f64,
) -> (Vec<PlacedFlag>, usize) {
    let lines: Vec<f64> = flags.iter().map(|flag| flag.x).collect();
    let mut taken: Vec<Vec<(f64, f64)>> = vec![Vec::new(); rows];
    let (mut placed, mut dropped) = (Vec::new(), 0);
    for (number, flag) in flags.into_iter().enumerate() {
        let width = text_width(&flag.text, LABEL_SIZE);
        let starts = [flag.x - 0.5 * width, flag.x + 4.0, flag.x - width - 4.0];
        let spots = (0..rows).flat_map(|row| starts.map(|start| (row, start)));
        let crossed = |row: usize, start: f64| {
            let under = |p: &PlacedFlag| {
                p.row > row && p.flag.x > start - 2.0 && p.flag.x < start + width + 2.0
            };
            let below = taken[..row].iter().flatten();
            placed.iter().any(under)
                || below
                    .into_iter()
                    .any(|(a, b)| flag.x > a - 2.0 && flag.x < b + 2.0)
        };
        let inside = |start: f64| start >= left - 60.0 && start + width <= right;
        let free = |row: usize, start: f64| {
            let apart = |(a, b): &(f64, f64)| start + width + 6.0 < *a || start - 6.0 > *b;
            inside(start) && !crossed(row, start) && taken[row].iter().all(apart)
        };
        let clear = |start: f64| {
            let other =
                |(i, x): (usize, &f64)| i == number || *x < start - 2.0 || *x > start + width + 2.0;
            lines.iter().enumerate().all(other)
        };
        let free_spots: Vec<(usize, f64)> =
            spots.filter(|(row, start)| free(*row, *start)).collect();
        let best = free_spots
            .iter()
            .find(|(_, start)| clear(*start))
            .or(free_spots.first());
        match best.copied() {
            Some((row, start)) => {
                taken[row].push((start, start + width));
                placed.push(PlacedFlag {
                    left: start,
                    row,
                    flag,
                });
            }
            None => dropped += 1,
        }
    }
    (placed, dropped)
}

/// Draws flags in at most `rows` rows upwards from `bottom`, between the ends of `across`; those
/// that find no room are left out.
pub(crate) fn draw_flags(
    canvas: &mut Canvas,
    flags: Vec<Flag>,
    rows: usize,
    across: (f64, f64),
    bottom: f64,
) {
    let (placed, _) = place_flags(flags, rows, across.0, across.1);
    for PlacedFlag { left, row, flag } in placed {
        let at = (left, bottom - ROW * row as f64);
        canvas.label(&flag.text, at, flag.ink, Anchor::Start);
    }
}

/// A label beside the right edge of a plot.
#[derive(Debug, Clone)]
pub(crate) struct SideLabel {
    /// Pixel it belongs to.
    pub y: f64,
    /// What it says.
    pub text: String,
    /// Its colour role.
    pub ink: Ink,
}

impl SideLabel {
    pub(crate) fn new(y: f64, text: impl Into<String>, ink: Ink) -> Self {
        let text = text.into();
        Self { y, text, ink }
    }
}

/// Draws labels right of `x`, pushed apart inside `top` … `bottom`, with a hairline to
/// the place they name where they had to move.
pub(crate) fn draw_side_labels(
    canvas: &mut Canvas<'_>,
    mut labels: Vec<SideLabel>,
    x: f64,
    top: f64,
    bottom: f64,
) {
    labels.sort_by(|a, b| a.y.total_cmp(&b.y));
    let mut places: Vec<f64> = labels
        .iter()
        .map(|label| label.y.clamp(top, bottom))
        .collect();
    for i in 1..places.len() {
        places[i] = places[i].max(places[i - 1] + ROW);
    }
    let mut ceiling = bottom;
    for place in places.iter_mut().rev() {
        *place = place.min(ceiling);
        ceiling = *place - ROW;
    }
    for (label, place) in labels.iter().zip(places) {
        if (place - label.y).abs() > 3.0 {
            canvas.line(
                (x + 1.0, label.y),
                (x + 8.0, place),
                Stroke(Ink::Grid, 0.75, Dash::Solid),
            );
        }
        canvas.label(
            &label.text,
            (x + 10.0, place + 4.0),
            label.ink,
            Anchor::Start,
        );
    }
}
