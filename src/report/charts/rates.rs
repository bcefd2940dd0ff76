/*! Drift rates of a group: each item's own estimate and the class-informed one. */

use super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::frame::{Frame, below_heading, heading};
use super::lettering::{shortened, text_width};
use super::palette::Ink;
use super::scale::{Range, Scale, Tick, value_axis};
use super::values::told;
use crate::report::text::{count, rate};
use crate::report::view::{DriftRate, GroupView};

/// Items shown; of a larger group those at both ends.
const MOST_ITEMS: usize = 48;

/// What stands in a row that has a dot alone.
const NO_OWN: &str = "no own estimate";

/// Height of one item's row, pixels.
const ROW: f64 = 16.0;

/// Drift rates, sorted by the class-informed one.
pub(crate) fn drift_rates_chart(group: &GroupView) -> String {
    let (rates, left_out) = shown(&group.drift_rates);
    let (title, second) = title_and_second(group, &rates, left_out);
    let height = below_heading(&title, &second, 840.0) + 60.0 + ROW * rates.len() as f64;
    let in_words = rates.iter().map(|item| {
        let informed = rate(item.shrunken, item.u_shrunken, &group.unit);
        match (item.own, item.u_own) {
            (Some(own), Some(u)) => format!(
                "{}: own {}, informed {informed}",
                item.name,
                rate(own, u, &group.unit)
            ),
            _ => format!("{}: {NO_OWN}, informed {informed}", item.name),
        }
    });
    let told = told(&second, in_words);
    sheet((840, height as u32), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 12.0;
        let domain = domain(group, &rates);
        let axis = value_axis(domain.0, domain.1, &group.unit, 7);
        let frame = Frame {
            x: Scale::new(domain, (170.0, 820.0)),
            y: Scale::new(
                (0.0, rates.len().max(1) as f64),
                (top + ROW * rates.len() as f64, top),
            ),
        };
        draw_class(canvas, group, &frame);
        frame.vertical(canvas, 0.0, Stroke(Ink::Grid, 0.75, Dash::Solid));
        let middle = group.class_drift.map(|(mean, _)| mean);
        let drawn = [Some(0.0), middle.filter(|mean| mean.is_finite())];
        let lines: Vec<f64> = drawn
            .into_iter()
            .flatten()
            .map(|at| frame.x.held(at))
            .collect();
        let ticks: Vec<Tick> = axis.ticks;
        frame.x_ticks(canvas, &ticks);
        let caption = if axis.caption.is_empty() {
            "a year".to_string()
        } else {
            format!("{} a year", axis.caption)
        };
        frame.x_caption(canvas, &caption);
        for (i, item) in rates.iter().enumerate() {
            draw_item(canvas, &frame, &lines, item, top + ROW * (i as f64 + 0.5));
        }
    })
}

/// Mean and standard deviation of the drifts of the class.
fn draw_class(canvas: &mut Canvas<'_>, group: &GroupView, frame: &Frame) {
    let known = |(mean, deviation): &(f64, f64)| mean.is_finite() && deviation.is_finite();
    let Some((mean, deviation)) = group.class_drift.filter(known) else {
        return;
    };
    let [from, to] = [mean - deviation, mean + deviation].map(|x| frame.x.held(x));
    let (bottom, top) = frame.y.range;
    canvas.rectangle((from, bottom), (to, top), Ink::Reading, 0.12);
    frame.vertical(canvas, mean, Stroke(Ink::Reading, 1.25, Dash::Dots));
}

/// The two lines above the chart.
fn title_and_second(group: &GroupView, rates: &[&DriftRate], left_out: usize) -> (String, String) {
    let title = match group.class_drift {
        Some((mean, deviation)) if mean.is_finite() => {
            format!(
                "{}: drift {} on average",
                group.name,
                rate(mean, deviation, &group.unit)
            )
        }
        _ => format!(
            "{}: drift rates of {}",
            group.name,
            count(group.drift_rates.len(), "history")
        ),
    };
    let mut second = "ring and bar: own estimate ± 2 u; dot: informed by the class".to_string();
    if group.class_drift.is_some() {
        second += "; tinted: class mean ± one deviation between items";
    }
    let away = rates
        .iter()
        .filter(|item| moves_away(item, group.class_drift))
        .count();
    if away > 0 {
        second += &format!("; {away} moved from the mean: lent another drift");
    }
    if left_out > 0 {
        second += &format!("; {} in the middle left out", count(left_out, "history"));
    }
    (title, second)
}

/// One item's row; `lines` are the places of the plot's own verticals.
fn draw_item(canvas: &mut Canvas<'_>, frame: &Frame, lines: &[f64], item: &DriftRate, y: f64) {
    let name = shortened(&item.name, LABEL_SIZE, 150.0);
    canvas.label(&name, (162.0, y + 4.0), Ink::Text, Anchor::End);
    if let Some(own) = item.own.filter(|own| own.is_finite()) {
        let u = item.u_own.filter(|u| u.is_finite()).unwrap_or(0.0);
        let bar = (frame.x.held(own - 2.0 * u), frame.x.held(own + 2.0 * u));
        let stroke = Stroke(Ink::Grid, 1.0, Dash::Solid);
        canvas.line((bar.0, y), (bar.1, y), stroke);
        // An arrow where the bar goes on beyond the frame.
        let (low, high) = frame.x.domain;
        let cut = [
            (own - 2.0 * u < low, bar.0, 4.0),
            (own + 2.0 * u > high, bar.1, -4.0),
        ];
        for (_, tip, back) in cut.into_iter().filter(|(cut, ..)| *cut) {
            canvas.line((tip + back, y - 3.0), (tip, y), stroke);
            canvas.line((tip, y), (tip + back, y + 3.0), stroke);
        }
        canvas.ring(
            (frame.x.held(own), y),
            3.0,
            Stroke(Ink::Grid, 1.25, Dash::Solid),
        );
    } else {
        let x = place_of_words(NO_OWN, frame, frame.x.held(item.shrunken), lines);
        canvas.label(NO_OWN, (x, y + 4.0), Ink::Grid, Anchor::Start);
    }
    if item.shrunken.is_finite() {
        canvas.dot((frame.x.held(item.shrunken), y), 3.0, Ink::Reading);
    }
}

/// Left edge of words about the dot at `dot`: beside it, or at an end of the frame where a line of `lines` would pass through them.
fn place_of_words(words: &str, frame: &Frame, dot: f64, lines: &[f64]) -> f64 {
    let width = text_width(words, LABEL_SIZE);
    let (left, right) = frame.x.range;
    let spots = [dot + 8.0, dot - 8.0 - width, right - width, left + 2.0];
    let inside = |start: &&f64| **start >= left && **start + width <= right + 10.0;
    let clear = |start: &&f64| {
        let apart = |line: &f64| *line < **start - 2.0 || *line > **start + width + 2.0;
        lines.iter().all(apart)
    };
    let beside = spots.iter().filter(inside).find(clear);
    *beside.or(spots.iter().find(inside)).unwrap_or(&spots[0])
}

/// True where the informed rate lies farther from the class mean than the own one: what the class
/// lends this item is then not that mean.
fn moves_away(item: &DriftRate, class: Option<(f64, f64)>) -> bool {
    let pair = item.own.zip(class);
    pair.is_some_and(|(own, (mean, _))| {
        let (before, after) = ((own - mean).abs(), (item.shrunken - mean).abs());
        // By less than a tenth of its own u nobody sees it.
        after > before + 0.1 * item.u_shrunken
    })
}

/// Sorted rates, the middle of a large group left out; and how many that are.
fn shown(rates: &[DriftRate]) -> (Vec<&DriftRate>, usize) {
    let mut sorted: Vec<&DriftRate> = rates.iter().filter(|r| r.shrunken.is_finite()).collect();
    sorted.sort_by(|a, b| b.shrunken.total_cmp(&a.shrunken).then(a.name.cmp(&b.name)));
    let left_out = sorted.len().saturating_sub(MOST_ITEMS);
    if left_out > 0 {
        sorted.drain(MOST_ITEMS / 2..MOST_ITEMS / 2 + left_out);
    }
    (sorted, left_out)
}

/// Range of the estimates; bars may leave it by their own half at most.
fn domain(group: &GroupView, rates: &[&DriftRate]) -> (f64, f64) {
    let mut range = Range::EMPTY;
    range.add(0.0);
    for item in rates {
        range.add(item.shrunken);
        item.own.into_iter().for_each(|own| range.add(own));
    }
    if let Some((mean, deviation)) = group.class_drift {
        range.add(mean - deviation);
        range.add(mean + deviation);
    }
    range.with_room(0.12, 1.0)
}
