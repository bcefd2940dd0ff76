/*! The plain frame of fleet and group charts: title, two axes, a plot to draw in. */

use super::canvas::{Anchor, Canvas, Dash, Stroke};
use super::dates::date_ticks;
use super::labels::LABEL_SIZE;
use super::lettering::wrapped;
use super::palette::Ink;
use super::scale::{Scale, Tick, value_axis};
use super::tidy::Head;
use crate::report::text::percent;

/// Font size to reckon with for bold text of 15 pixels, which is wider.
const BOLD_15: f64 = 18.0;

/// Size of the second line, pixels.
const SECOND: f64 = 12.5;

/// Writes a chart's title, and smaller what is drawn, each in two lines at most; returns the pixel below them.
pub(super) fn heading(canvas: &mut Canvas<'_>, title: &str, second: &str, width: f64) -> f64 {
    let (titles, seconds) = lines(title, second, width);
    for (i, line) in titles.iter().enumerate() {
        let at = (14.0, 24.0 + 18.0 * i as f64);
        canvas.bold(line, at, 15.0, Ink::Text, Anchor::Start);
    }
    let below = 24.0 + 18.0 * titles.len() as f64;
    for (i, line) in seconds.iter().enumerate() {
        let at = (14.0, below + 16.0 * i as f64);
        canvas.text(line, at, SECOND, Ink::Text, Anchor::Start);
    }
    let below = height_of(titles.len(), seconds.len());
    canvas.headed(Head {
        texts: titles.len() + seconds.len(),
        second: second.to_string(),
        // The descenders of its last line, no more: what follows may begin there.
        below: below - 10.0,
    });
    below
}

/// The pixel below a heading, for a sheet whose height depends on it.
pub(super) fn below_heading(title: &str, second: &str, width: f64) -> f64 {
    let (titles, seconds) = lines(title, second, width);
    height_of(titles.len(), seconds.len())
}

fn lines(title: &str, second: &str, width: f64) -> (Vec<String>, Vec<String>) {
    let seconds = match second {
        "" => Vec::new(),
        second => wrapped(second, SECOND, width - 28.0, 2),
    };
    (wrapped(title, BOLD_15, width - 28.0, 2), seconds)
}

fn height_of(titles: usize, seconds: usize) -> f64 {
    let below = 24.0 + 18.0 * titles as f64;
    match seconds {
        0 => below - 10.0,
        more => below + 8.0 + 16.0 * (more - 1) as f64,
    }
}

/// Both scales of a plot.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// Left to right.
    pub x: Scale,
    /// Bottom to top.
    pub y: Scale,
}

impl Frame {
    /// Pixel of a point, held inside the plot.
    pub fn held(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.held(x), self.y.held(y))
    }

    /// A vertical line over the whole plot.
    pub fn vertical(&self, canvas: &mut Canvas<'_>, x: f64, stroke: Stroke) {
        if self.x.holds(x) {
            let at = self.x.at(x);
            canvas.line((at, self.y.range.0), (at, self.y.range.1), stroke);
        }
    }

    /// A horizontal line over the whole plot.
    pub fn horizontal(&self, canvas: &mut Canvas<'_>, y: f64, stroke: Stroke) {
        if self.y.holds(y) {
            let at = self.y.at(y);
            canvas.line((self.x.range.0, at), (self.x.range.1, at), stroke);
        }
    }

    /// Grid lines with their labels left of the plot.
    pub fn y_ticks(&self, canvas: &mut Canvas<'_>, ticks: &[Tick]) {
        let (left, right) = self.x.range;
        for tick in ticks.iter().filter(|tick| self.y.holds(tick.at)) {
            let y = self.y.at(tick.at);
            canvas.rectangle((left, y - 0.25), (right, y + 0.25), Ink::Grid, 0.3);
            canvas.text(
                &tick.label,
                (left - 6.0, y + 4.0),
                LABEL_SIZE,
                Ink::Text,
                Anchor::End,
            );
        }
    }

    /// Grid lines for a share of one, in per cent.
    pub fn share_ticks(&self, canvas: &mut Canvas<'_>) {
        let (low, high) = self.y.domain;
        let mut ticks = value_axis(100.0 * low, 100.0 * high, "", 6).ticks;
        for tick in &mut ticks {
            tick.at /= 100.0;
            tick.label = percent(tick.at);
        }
        self.y_ticks(canvas, &ticks);
    }

    /// The axis line with its ticks below.
    pub fn x_ticks(&self, canvas: &mut Canvas<'_>, ticks: &[Tick]) {
        let (bottom, stroke) = (self.y.range.0, Stroke(Ink::Grid, 1.0, Dash::Solid));
        canvas.line((self.x.range.0, bottom), (self.x.range.1, bottom), stroke);
        for tick in ticks.iter().filter(|tick| self.x.holds(tick.at)) {
            let x = self.x.at(tick.at);
            canvas.line((x, bottom), (x, bottom + 4.0), stroke);
            canvas.text(
                &tick.label,
                (x, bottom + 17.0),
                LABEL_SIZE,
                Ink::Text,
                Anchor::Middle,
            );
        }
    }

    /// The axis line with dates below.
    pub fn date_axis(&self, canvas: &mut Canvas<'_>) {
        let (low, high) = self.x.domain;
        self.x_ticks(
            canvas,
            &date_ticks(low, high, self.x.range.1 - self.x.range.0),
        );
    }

    /// What the horizontal axis is, centred below its ticks.
    pub fn x_caption(&self, canvas: &mut Canvas<'_>, caption: &str) {
        let middle = 0.5 * (self.x.range.0 + self.x.range.1);
        canvas.text(
            caption,
            (middle, self.y.range.0 + 36.0),
            LABEL_SIZE,
            Ink::Text,
            Anchor::Middle,
        );
    }

    /// What the vertical axis is, above its labels.
    pub fn y_caption(&self, canvas: &mut Canvas<'_>, caption: &str) {
        canvas.text(
            caption,
            (14.0, self.y.range.1 - 9.0),
            LABEL_SIZE,
            Ink::Text,
            Anchor::Start,
        );
    }

    /// Finite points of a curve as pixels.
    pub fn pixels(&self, points: impl IntoIterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
        let finite = |p: &(f64, f64)| p.0.is_finite() && p.1.is_finite() && self.x.holds(p.0);
        points
            .into_iter()
            .filter(finite)
            .map(|(x, y)| self.held(x, y))
            .collect()
    }
}
