/*! A sheet to draw on: plotters' SVG backend in quarter pixels, tidied at the end.

plotters writes whole numbers, plain colours and no dashes. Drawing in quarter
pixels keeps slow slopes smooth; the stroke width carries a dash code that
`Canvas::finish` turns into `stroke-dasharray`, so that dashes show in
renderers without CSS too. The same bytes always: nothing here reads fonts.
*/

pub(crate) use super::dash::Dash;
use super::dash::{DASH_CODE, UNITS};
use super::palette::Ink;
use super::tidy::{Head, tidy};
use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontStyle, IntoFont, ShapeStyle, TextStyle};

/// Font size of labels and ticks, pixels.
pub(crate) const LABEL_SIZE: f64 = 12.0;

/// plotters divides font sizes by this before writing them.
const PLOTTERS_FONT_FACTOR: f64 = 1.24;

/// Where a text sits against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The text begins at the point.
    Start,
    /// The text is centred on the point.
    Middle,
    /// The text ends at the point.
    End,
}

/// A stroke: colour role, width in pixels, dashes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stroke(pub Ink, pub f64, pub Dash);

/// A point in pixels from the upper left corner.
pub(crate) type Pixel = (f64, f64);

/// A sheet being drawn; coordinates are pixels.
pub(crate) struct Canvas<'a> {
    backend: SVGBackend<'a>,
    head: Option<Head>,
}

fn units(pixel: Pixel) -> (i32, i32) {
    let whole = |v: f64| (v * UNITS).round().clamp(-1e6, 1e6) as i32;
    (whole(pixel.0), whole(pixel.1))
}

/// Draws one SVG of `width` × `height` pixels: responsive, titled, light and dark.
pub(crate) fn sheet(
    (width, height): (u32, u32),
    title: &str,
    description: &str,
    draw: impl FnOnce(&mut Canvas<'_>),
) -> String {
    let mut raw = String::with_capacity(24_000);
    let scale = UNITS as u32;
    let mut canvas = Canvas {
        backend: SVGBackend::with_string(&mut raw, (width * scale, height * scale)),
        head: None,
    };
    draw(&mut canvas);
    let head = canvas.head.take();
    // Writing into a string cannot fail; the backend closes its tags when dropped.
    drop(canvas);
    tidy(&raw, (width, height), title, description, head)
}

// Each backend call below writes into a string, which cannot fail: results are dropped.
impl Canvas<'_> {
    /// Says that the texts written so far are the heading.
    pub(super) fn headed(&mut self, head: Head) {
        self.head = Some(head);
    }

    /// A straight line.
    pub(crate) fn line(&mut self, from: Pixel, to: Pixel, stroke: Stroke) {
        let _ = self
            .backend
            .draw_line(units(from), units(to), &stroke.style());
    }

    /// A line through `points`, without those that do not bend it.
    pub(crate) fn path(&mut self, points: &[Pixel], stroke: Stroke) {
        let points = straightened(points);
        if points.len() > 1 {
            let _ = self.backend.draw_path(points, &stroke.style());
        }
    }

    /// A filled polygon of the given opacity.
    pub(crate) fn polygon(&mut self, points: &[Pixel], ink: Ink, opacity: f64) {
        let points = straightened(points);
        if points.len() > 2 {
            let _ = self.backend.fill_polygon(points, &ink.light().mix(opacity));
        }
    }

    /// A filled rectangle of the given opacity.
    pub(crate) fn rectangle(&mut self, (x0, y0): Pixel, (x1, y1): Pixel, ink: Ink, opacity: f64) {
        let corner = units((x0.min(x1), y0.min(y1)));
        let opposite = units((x0.max(x1), y0.max(y1)));
        let _ = self
            .backend
            .draw_rect(corner, opposite, &ink.light().mix(opacity), true);
    }

    /// A filled square about `(x, y)`.
    pub(crate) fn square(&mut self, (x, y): Pixel, half: f64, ink: Ink) {
        self.rectangle((x - half, y - half), (x + half, y + half), ink, 1.0);
    }

    /// A filled dot.
    pub(crate) fn dot(&mut self, at: Pixel, radius: f64, ink: Ink) {
        let radius = (radius * UNITS).round() as u32;
        let _ = self
            .backend
            .draw_circle(units(at), radius, &ink.light(), true);
    }

    /// A hollow ring; the ground shows inside.
    pub(crate) fn ring(&mut self, at: Pixel, radius: f64, stroke: Stroke) {
        let radius = (radius * UNITS).round() as u32;
        let _ = self
            .backend
            .draw_circle(units(at), radius, &stroke.style(), false);
    }

    /// A filled triangle that points up, or down.
    pub(crate) fn triangle(&mut self, (x, y): Pixel, size: f64, ink: Ink, up: bool) {
        let s = if up { size } else { -size };
        let corners = [
            (x, y - s),
            (x + 0.95 * size, y + 0.7 * s),
            (x - 0.95 * size, y + 0.7 * s),
        ];
        self.polygon(&corners, ink, 1.0);
    }

    /// A filled diamond.
    pub(crate) fn diamond(&mut self, (x, y): Pixel, size: f64, ink: Ink) {
        self.polygon(
            &[(x, y - size), (x + size, y), (x, y + size), (x - size, y)],
            ink,
            1.0,
        );
    }

    /// Text with its baseline at `at`.
    pub(crate) fn text(&mut self, text: &str, at: Pixel, size: f64, ink: Ink, anchor: Anchor) {
        self.write(text, at, size, ink, anchor, FontStyle::Normal);
    }

    /// Text of the usual size with its baseline at `at`.
    pub(crate) fn label(&mut self, text: &str, at: Pixel, ink: Ink, anchor: Anchor) {
        self.text(text, at, LABEL_SIZE, ink, anchor);
    }

    /// Bold text with its baseline at `at`.
    pub(crate) fn bold(&mut self, text: &str, at: Pixel, size: f64, ink: Ink, anchor: Anchor) {
        self.write(text, at, size, ink, anchor, FontStyle::Bold);
    }

    fn write(
        &mut self,
        text: &str,
        at: Pixel,
        size: f64,
        ink: Ink,
        anchor: Anchor,
        weight: FontStyle,
    ) {
        let horizontal = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let font = ("sans-serif", size * UNITS * PLOTTERS_FONT_FACTOR)
            .into_font()
            .style(weight);
        let colour = ink.light();
        let style = TextStyle::from(font)
            .pos(Pos::new(horizontal, VPos::Bottom))
            .color(&colour);
        let printable: String = text
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .filter(|c| !matches!(c, '\u{fffe}' | '\u{ffff}'))
            .collect();
        let _ = self.backend.draw_text(&printable, &style, units(at));
    }
}

impl Stroke {
    fn style(self) -> ShapeStyle {
        let Stroke(ink, width, dash) = self;
        let width = (width * UNITS).round() as u32;
        ShapeStyle {
            color: ink.light().to_rgba(),
            filled: false,
            stroke_width: width + DASH_CODE * dash as u32,
        }
    }
}

/// Drops points that lie within one drawing unit of the chord of their neighbours.
fn straightened(points: &[Pixel]) -> Vec<(i32, i32)> {
    let mut kept: Vec<(i32, i32)> = Vec::with_capacity(points.len());
    for (i, point) in points.iter().enumerate() {
        let here = units(*point);
        if kept.last() == Some(&here) {
            continue;
        }
        let next = points.get(i + 1).map(|p| units(*p));
        if let (Some(last), Some(next)) = (kept.last(), next) {
            let (ax, ay) = (f64::from(here.0 - last.0), f64::from(here.1 - last.1));
            let (bx, by) = (f64::from(next.0 - last.0), f64::from(next.1 - last.1));
            // Whole numbers below 2·10⁶: their squares are exact, and the root is rounded once.
            let square = bx * bx + by * by;
            let length = square.sqrt();
            let forward = ax * bx + ay * by > 0.0 && ax * ax + ay * ay < square;
            if forward && (ax * by - ay * bx).abs() < 0.75 * length && length < 80.0 * UNITS {
                continue;
            }
        }
        kept.push(here);
    }
    kept
}
