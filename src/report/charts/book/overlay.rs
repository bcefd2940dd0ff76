/*! Any two histories of a group on one scale: all of them are in the picture, the page shows two. */

use super::{ranges, share, values};
use crate::report::charts::canvas::{Dash, Stroke, sheet};
use crate::report::charts::dash::UNITS;
use crate::report::charts::frame::{Frame, heading};
use crate::report::charts::palette::Ink;
use crate::report::charts::scale::Scale;
use crate::report::text::{escape, iso_date, percent};
use crate::report::view::BookView;
use std::fmt::Write as _;

/// Histories that can be chosen; of a larger group those that use most of their tolerance when due.
const MOST_CHOSEN: usize = 120;

/// A picture of two histories, and what it says.
pub(crate) struct Overlay {
    /// SVG with every history that can be chosen; the classes `a` and `b` mark the two that are shown.
    pub svg: String,
    /// Names of the two, and where each stood last.
    pub shown: [(String, String); 2],
}

/// The first two of `order`ed histories on one scale, with the others to choose from; `None` for fewer than two that have an
/// axis of time and a tolerance.
pub(crate) fn overlay(ordered: &[&BookView]) -> Option<Overlay> {
    let able = |view: &&&BookView| {
        view.usage_unit.is_none() && share(view).is_some() && !values(view, true).is_empty()
    };
    let chosen: Vec<&BookView> = ordered
        .iter()
        .filter(able)
        .take(MOST_CHOSEN)
        .copied()
        .collect();
    let [first, second, ..] = chosen[..] else {
        return None;
    };
    let (x, y) = ranges(chosen.iter().copied(), true)?;
    let title = "Errors as a share of the tolerance in force last";
    let below = "readings and fit of two; dashed orange: the limits; what lies beyond twice the tolerance stands at the edge";
    let mut groups = String::new();
    let svg = sheet((840, 400), title, below, |canvas| {
        let top = heading(canvas, title, below, 840.0) + 12.0;
        let frame = Frame {
            x: Scale::new(x, (64.0, 820.0)),
            y: Scale::new(y, (364.0, top)),
        };
        frame.share_ticks(canvas);
        frame.date_axis(canvas);
        for limit in [-1.0, 1.0] {
            frame.horizontal(canvas, limit, Stroke(Ink::Limit, 1.25, Dash::Long));
        }
        for (i, view) in chosen.iter().enumerate() {
            groups += &group(&frame, view, ["a", "b"].get(i).copied().unwrap_or(""));
        }
    });
    let svg = svg.replacen("</svg>", &format!("{groups}</svg>"), 1);
    Some(Overlay {
        svg,
        shown: [first, second].map(|view| (view.name(), stands(view))),
    })
}

/// Where the history stood at its last check: "62 % of its tolerance on 2026-03-01".
fn stands(view: &BookView) -> String {
    let last = values(view, true).last().copied();
    last.map_or(String::new(), |(day, share)| {
        format!(
            "{} of its tolerance on {}",
            percent(share.abs()),
            iso_date(day)
        )
    })
}

/// One history as two paths: its fit, broken where the value was moved, and its readings as marks.
fn group(frame: &Frame, view: &BookView, class: &str) -> String {
    let unit = |pixel: f64| (pixel * UNITS).round() as i64;
    let mut fit = String::new();
    if let Some(share) = share(view) {
        for segment in view.curve.chunk_by(|a, b| a.segment == b.segment) {
            let inside = segment
                .iter()
                .map(|p| (p.day, share(p.expected)))
                .filter(|p| frame.y.holds(p.1));
            for (i, (x, y)) in frame.pixels(inside).into_iter().enumerate() {
                let _ = write!(
                    fit,
                    "{}{} {}",
                    if i == 0 { 'M' } else { 'L' },
                    unit(x),
                    unit(y)
                );
            }
        }
    }
    // A stretch too short to be seen: printers draw no square at the end of one without length.
    let mut seen = String::new();
    for (day, share) in values(view, true) {
        let (x, y) = frame.held(day, share);
        let _ = write!(seen, "M{} {}h1", unit(x), unit(y));
    }
    format!(
        "<g class=\"over {class}\" data-name=\"{}\" data-slug=\"{}\" data-stands=\"{}\"><path class=\"fit\" d=\"{fit}\"/><path class=\"seen\" d=\"{seen}\"/></g>\n",
        escape(&view.name()),
        escape(&view.slug),
        escape(&stands(view)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::view::{ReadingView, ToleranceStep};

    fn item(name: &str, errors: &[f64], limit: f64) -> BookView {
        let reading = |(i, error): (usize, &f64)| ReadingView {
            day: 18_000.0 + 100.0 * i as f64,
            value: *error,
            ..ReadingView::default()
        };
        BookView {
            instrument: name.into(),
            slug: name.into(),
            readings: errors.iter().enumerate().map(reading).collect(),
            tolerance: Some(ToleranceStep::new(0.0, Some(-limit), Some(limit))),
            ..BookView::default()
        }
    }

    /// The marks of a history: their height in the picture, in drawing units.
    fn heights(svg: &str, name: &str) -> Vec<i64> {
        let own = svg
            .split("<g class")
            .find(|part| part.contains(&format!("data-name=\"{name}\"")));
        let marks =
            own.and_then(|part| part.split("class=\"seen\" d=\"").nth(1)?.split('"').next());
        let each = marks.unwrap_or_default().split('M').skip(1);
        each.map(|mark| {
            mark.trim_end_matches("h1")
                .split(' ')
                .nth(1)
                .unwrap()
                .parse()
                .unwrap()
        })
        .collect()
    }

    #[test]
    fn the_same_share_stands_at_the_same_height_whatever_the_unit() {
        let (small, large) = (
            item("A", &[1.0, 2.0], 4.0),
            item("B", &[2.5e-9, 5e-9], 1e-8),
        );
        let made = overlay(&[&small, &large]).unwrap();
        assert_eq!(heights(&made.svg, "A"), heights(&made.svg, "B"));
        assert_eq!(
            made.shown[0],
            (
                "A".into(),
                "50\u{a0}% of its tolerance on 2019-07-23".into()
            )
        );
    }

    #[test]
    fn what_has_no_tolerance_or_no_partner_is_not_overlaid() {
        let (own, mut other) = (item("A", &[1.0], 4.0), item("B", &[1.0], 4.0));
        assert!(overlay(&[&own]).is_none());
        other.tolerance = None;
        assert!(overlay(&[&own, &other]).is_none());
    }
}
