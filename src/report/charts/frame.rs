/*! The plain frame of fleet and group charts: title, two axes, a plot to draw in. */

use super::canvas::{Anchor, Canvas, Dash, Stroke};
use super::dates::date_ticks;
use super::labels::{SideLabel, draw_side_labels};
use super::lettering::wrapped;
use super::palette::Ink;
use super::scale::{Scale, Tick, value_axis};
use super::tidy::Head;
use crate::report::text::percent;

/// Letters of a title, and smaller ones where it has no room in its lines, pixels.
const TITLE: f64 = 15.0;
const LONG_TITLE: f64 = 12.5;

/// How much wider bold text is.
const BOLD: f64 = 1.2;

/// Lines of a title, and of one in smaller letters.
const LINES: usize = 2;
const LONG_LINES: usize = 4;

/// Size of the second line, pixels.
const SECOND: f64 = 12.5;

/// Lines of a heading with their size: the title's, the second ones.
struct Lines {
    title: Vec<String>,
    size: f64,
    second: Vec<String>,
}

/// Writes a chart's title, whole in smaller letters where it is long, and below it in two lines at most what is drawn; returns
/// the pixel below them.
pub(super) fn heading(canvas: &mut Canvas<'_>, title: &str, second: &str, width: f64) -> f64 {
    let lines = Lines::of(title, second, width);
    for (i, line) in lines.title.iter().enumerate() {
        let at = (14.0, 24.0 + lines.pitch() * i as f64);
        canvas.bold(line, at, lines.size, Ink::Text, Anchor::Start);
    }
    for (i, line) in lines.second.iter().enumerate() {
        let at = (14.0, lines.below_title() + 16.0 * i as f64);
        canvas.text(line, at, SECOND, Ink::Text, Anchor::Start);
    }
    let below = lines.below();
    canvas.headed(Head {
        texts: lines.title.len() + lines.second.len(),
        second: second.to_string(),
        // The descenders of its last line, no more: what follows may begin there.
        below: below - 10.0,
    });
    below
}

/// The pixel below a heading, for a sheet whose height depends on it.
pub(super) fn below_heading(title: &str, second: &str, width: f64) -> f64 {
    Lines::of(title, second, width).below()
}

impl Lines {
    fn of(title: &str, second: &str, width: f64) -> Self {
        let room = width - 28.0;
        let large = wrapped(title, BOLD * TITLE, room, LINES);
        let cut = large.last().is_some_and(|line| line.ends_with('…'));
        let (size, title) = match cut {
            true => (
                LONG_TITLE,
                wrapped(title, BOLD * LONG_TITLE, room, LONG_LINES),
            ),
            false => (TITLE, large),
        };
        let second = match second {
            "" => Vec::new(),
            second => wrapped(second, SECOND, room, 2),
        };
        Self {
            title,
            size,
            second,
        }
    }

    /// From one line of the title to the next, pixels.
    fn pitch(&self) -> f64 {
        self.size + 3.0
    }

    fn below_title(&self) -> f64 {
        24.0 + self.pitch() * self.title.len() as f64
    }

    fn below(&self) -> f64 {
        match self.second.len() {
            0 => self.below_title() - 10.0,
            more => self.below_title() + 8.0 + 16.0 * (more - 1) as f64,
        }
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
    pub(crate) fn held(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.held(x), self.y.held(y))
    }

    /// A vertical line over the whole plot.
    pub(crate) fn vertical(&self, canvas: &mut Canvas<'_>, x: f64, stroke: Stroke) {
        if self.x.holds(x) {
            let at = self.x.at(x);
            canvas.line((at, self.y.range.0), (at, self.y.range.1), stroke);
        }
    }

    /// A horizontal line over the whole plot.
    pub(crate) fn horizontal(&self, canvas: &mut Canvas<'_>, y: f64, stroke: Stroke) {
        if self.y.holds(y) {
            let at = self.y.at(y);
            canvas.line((self.x.range.0, at), (self.x.range.1, at), stroke);
        }
    }

    /// Grid lines with their labels left of the plot.
    pub(crate) fn y_ticks(&self, canvas: &mut Canvas<'_>, ticks: &[Tick]) {
        let (left, right) = self.x.range;
        for tick in ticks.iter().filter(|tick| self.y.holds(tick.at)) {
            let y = self.y.at(tick.at);
            canvas.rectangle((left, y - 0.25), (right, y + 0.25), Ink::Grid, 0.3);
            canvas.label(&tick.label, (left - 6.0, y + 4.0), Ink::Text, Anchor::End);
        }
    }

    /// Grid lines for a share of one, in per cent.
    pub(crate) fn share_ticks(&self, canvas: &mut Canvas<'_>) {
        let (low, high) = self.y.domain;
        let mut ticks = value_axis(100.0 * low, 100.0 * high, "", 6).ticks;
        for tick in &mut ticks {
            tick.at /= 100.0;
            tick.label = percent(tick.at);
        }
        self.y_ticks(canvas, &ticks);
    }

    /// The axis line with its ticks below.
    pub(crate) fn x_ticks(&self, canvas: &mut Canvas<'_>, ticks: &[Tick]) {
        let (bottom, stroke) = (self.y.range.0, Stroke(Ink::Grid, 1.0, Dash::Solid));
        canvas.line((self.x.range.0, bottom), (self.x.range.1, bottom), stroke);
        for tick in ticks.iter().filter(|tick| self.x.holds(tick.at)) {
            let x = self.x.at(tick.at);
            canvas.line((x, bottom), (x, bottom + 4.0), stroke);
            canvas.label(&tick.label, (x, bottom + 17.0), Ink::Text, Anchor::Middle);
        }
    }

    /// The axis line with dates below.
    pub(crate) fn date_axis(&self, canvas: &mut Canvas<'_>) {
        let (low, high) = self.x.domain;
        self.x_ticks(
            canvas,
            &date_ticks(low, high, self.x.range.1 - self.x.range.0),
        );
    }

    /// What the horizontal axis is, centred below its ticks.
    pub(crate) fn x_caption(&self, canvas: &mut Canvas<'_>, caption: &str) {
        let middle = 0.5 * (self.x.range.0 + self.x.range.1);
        canvas.label(
            caption,
            (middle, self.y.range.0 + 36.0),
            Ink::Text,
            Anchor::Middle,
        );
    }

    /// What the vertical axis is, above its labels.
    pub(crate) fn y_caption(&self, canvas: &mut Canvas<'_>, caption: &str) {
        canvas.label(
            caption,
            (14.0, self.y.range.1 - 9.0),
            Ink::Text,
            Anchor::Start,
        );
    }

    /// Labels at the right of the plot, within it.
    pub(crate) fn side_labels(&self, canvas: &mut Canvas<'_>, labels: Vec<SideLabel>) {
        let (bottom, top) = self.y.range;
        draw_side_labels(canvas, labels, self.x.range.1, top + 4.0, bottom - 4.0);
    }

    /// Finite points of a curve as pixels.
    pub(crate) fn pixels(&self, points: impl IntoIterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
        let finite = |p: &(f64, f64)| p.0.is_finite() && p.1.is_finite() && self.x.holds(p.0);
        points
            .into_iter()
            .filter(finite)
            .map(|(x, y)| self.held(x, y))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names of eighty characters, one of them without a space, with what is said of them: nothing is cut.
    #[test]
    fn a_long_title_is_written_whole() {
        let names = [
            "A name of eighty characters, as some laboratories write it into their registers!"
                .to_string(),
            "\u{6807}\u{51c6}\u{94c2}\u{7535}\u{963b}".repeat(16),
        ];
        for name in names {
            let title = format!(
                "{name}, triple point of water: extend to 720 d (an interval grows at most 2 times at once); rises 0.38 mK a \
                 year, swings with the year; proposed due date 2028-05-14"
            );
            let lines = Lines::of(&title, "", 840.0);
            let without = |text: &str| text.replace([' ', '\u{a0}'], "");
            assert_eq!(without(&lines.title.concat()), without(&title));
            assert!(lines.title.len() <= LONG_LINES && lines.below() < 90.0);
        }
    }
}
