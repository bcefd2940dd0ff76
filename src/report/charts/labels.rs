/*! Labels that do not cover each other: a strip of words above a plot, a column beside it. */

use super::canvas::{Anchor, Canvas, Dash, Stroke};
use super::lettering::text_width;
use super::palette::Ink;

/// Font size of labels and ticks, pixels.
pub const LABEL_SIZE: f64 = 12.0;

/// Height of a row of labels, pixels.
pub const ROW: f64 = 14.0;

/// A word that names a vertical line.
#[derive(Debug, Clone)]
pub struct Flag {
    /// Pixel of the line.
    pub x: f64,
    /// What it says.
    pub text: String,
    /// Its colour role.
    pub ink: Ink,
}

/// A flag with its place: left edge and row (0 = next to the plot).
#[derive(Debug, Clone)]
pub struct PlacedFlag {
    /// Left edge of the text, pixels.
    pub left: f64,
    /// Row above the plot.
    pub row: usize,
    /// The flag.
    pub flag: Flag,
}

/// Places flags in at most `rows` rows between `left` and `right`, first come first
/// served; returns the placed ones and how many found no room.
pub fn place_flags(
    flags: Vec<Flag>,
    rows: usize,
    left: f64,
    right: f64,
) -> (Vec<PlacedFlag>, usize) {
    let (mut placed, mut dropped): (Vec<PlacedFlag>, usize) = (Vec::new(), 0);
    let mut taken: Vec<Vec<(f64, f64)>> = vec![Vec::new(); rows];
    for flag in flags {
        let width = text_width(&flag.text, LABEL_SIZE);
        let start = (flag.x - 0.5 * width).clamp(left, (right - width).max(left));
        let span = (start - 6.0, start + width + 6.0);
        let free = |row: &Vec<(f64, f64)>| row.iter().all(|(a, b)| span.1 < *a || span.0 > *b);
        match taken.iter().position(free) {
            Some(row) => {
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

/// A label beside the right edge of a plot.
#[derive(Debug, Clone)]
pub struct SideLabel {
    /// Pixel it belongs to.
    pub y: f64,
    /// What it says.
    pub text: String,
    /// Its colour role.
    pub ink: Ink,
}

/// Draws labels right of `x`, pushed apart inside `top` … `bottom`, with a hairline to
/// the place they name where they had to move.
pub fn draw_side_labels(
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
        canvas.text(
            &label.text,
            (x + 10.0, place + 4.0),
            LABEL_SIZE,
            label.ink,
            Anchor::Start,
        );
    }
}
