/*! Reliability of a group: R(t) without a model and by the models, the same quantity by both. */

use super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::frame::{Frame, heading};
use super::labels::SideLabel;
use super::lettering::{shortened, text_width};
use super::palette::Ink;
use super::scale::{Scale, value_axis};
use super::values::told;
use crate::report::text::{count, fixed, percent};
use crate::report::view::{GroupView, ReliabilityCurve, ReliabilityPoint};

/// Right edge of the plot, and the room beside it for the names of the curves, pixels.
const RIGHT: f64 = 672.0;
const NAME_ROOM: f64 = 154.0;

/// R(t): points and line without a model with exact limits, each model's curve, the target.
pub(crate) fn reliability_chart(group: &GroupView) -> String {
    let title = title(group);
    let second = second_line(group);
    let judged = group.bins.iter().filter(|bin| bin.outcomes > 0);
    let told = told(&second, judged.map(in_words));
    sheet((840, 360), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 12.0;
        let Some(frame) = frame(group, top) else {
            return;
        };
        frame.share_ticks(canvas);
        frame.x_ticks(
            canvas,
            &value_axis(frame.x.domain.0, frame.x.domain.1, "d", 7).ticks,
        );
        frame.x_caption(canvas, "days since renewal");
        let mut labels = Vec::new();
        if let Some(target) = group.target.filter(|t| frame.y.holds(*t)) {
            frame.horizontal(canvas, target, Stroke(Ink::Limit, 1.25, Dash::Long));
            labels.push(SideLabel::new(
                frame.y.at(target),
                format!("target {}", percent(target)),
                Ink::Limit,
            ));
        }
        let contradicted = disagreement(group).is_some();
        for curve in &group.reliability {
            labels.extend(draw_curve(
                canvas,
                &frame,
                curve,
                curve.leads && !contradicted,
            ));
        }
        let line = frame.pixels(group.without_model.iter().copied());
        let width = if contradicted { 2.0 } else { 1.0 };
        canvas.path(&line, Stroke(Ink::Reading, width, Dash::Solid));
        draw_bins(canvas, &frame, group);
        draw_counts(canvas, &frame, group);
        frame.side_labels(canvas, labels);
    })
}

/// What the points are: checks of lives that have one each, or the share of lives that lasted.
fn second_line(group: &GroupView) -> String {
    if group.without_model.is_empty() {
        let checks: u64 = group.bins.iter().map(|bin| bin.outcomes).sum();
        return format!(
            "proportion in tolerance by days since renewal, {}; bars: exact 95 % limits; below: checks at each age",
            count(checks as usize, "check")
        );
    }
    "share that never went out up to that age; line, points: without a model; bars: exact 95 % limits; below: lives at risk".into()
}

/// Taken off a day by the arithmetic at the most.
const HAIR_DAYS: f64 = 1e-6;

/// Time at which the leading model meets the target, if its curve does.
fn crossing(group: &GroupView) -> Option<f64> {
    let target = group.target?;
    let lead = group.reliability.iter().find(|curve| curve.leads)?;
    let pair = lead
        .points
        .windows(2)
        .find(|p| p[0].1 >= target && p[1].1 < target)?;
    let share = (pair[0].1 - target) / (pair[0].1 - pair[1].1);
    Some(pair[0].0 + share * (pair[1].0 - pair[0].0))
}

/// The age at which the leading model lies farthest outside the exact limits of what is known
/// without one: the point and the model's share there.
fn disagreement(group: &GroupView) -> Option<(&ReliabilityPoint, f64)> {
    let lead = group.reliability.iter().find(|curve| curve.leads)?;
    let off =
        |(bin, model): &(&ReliabilityPoint, f64)| (bin.limits.0 - model).max(model - bin.limits.1);
    let within = |days: f64| group.longest_days.is_none_or(|longest| days <= longest);
    let known = group
        .bins
        .iter()
        .filter(|bin| bin.outcomes > 0 && within(bin.x));
    let pairs = known.filter_map(|bin| Some((bin, share_on(&lead.points, bin.x)?)));
    let outside = pairs.filter(|pair| off(pair) > 0.0);
    outside.max_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A curve's share at an age, between its points.
fn share_on(points: &[(f64, f64)], days: f64) -> Option<f64> {
    let pair = points
        .windows(2)
        .find(|pair| pair[0].0 <= days && days <= pair[1].0 && pair[1].0 > pair[0].0)?;
    let part = (days - pair[0].0) / (pair[1].0 - pair[0].0);
    Some(pair[0].1 + part * (pair[1].1 - pair[0].1))
}

/// The leading curve at its begin and where the picture ends.
fn leading_ends(group: &GroupView) -> Option<(f64, f64)> {
    let curve = group.reliability.iter().find(|curve| curve.leads)?;
    let (first, last) = (curve.points.first()?, curve.points.last()?);
    let cut = group
        .longest_days
        .and_then(|days| share_on(&curve.points, days));
    Some((first.1, cut.unwrap_or(last.1)))
}

fn title(group: &GroupView) -> String {
    if let Some((point, model)) = disagreement(group) {
        return format!(
            "{}: the model contradicts the records: {} at {} d, where they show {}",
            group.name,
            percent(model),
            fixed(point.x.round(), 0),
            percent(point.share)
        );
    }
    match (crossing(group), group.target) {
        (Some(days), Some(target)) => format!(
            "{}: {} in tolerance for about {} d after renewal",
            group.name,
            percent(target),
            fixed((days + HAIR_DAYS).floor(), 0)
        ),
        (None, Some(target)) => match leading_ends(group) {
            Some((start, _)) if start < target => format!(
                "{}: {} in tolerance already at the start, below {}",
                group.name,
                percent(start),
                percent(target)
            ),
            Some((_, end)) => format!(
                "{}: still {} in tolerance at the end of the range shown",
                group.name,
                percent(end)
            ),
            None => format!("{}: reliability since renewal", group.name),
        },
        _ => format!("{}: reliability since renewal", group.name),
    }
}

fn frame(group: &GroupView, top: f64) -> Option<Frame> {
    let bins = || group.bins.iter().filter(|bin| bin.outcomes > 0);
    let curves = || {
        group
            .reliability
            .iter()
            .flat_map(|curve| curve.points.iter())
    };
    let times = bins().map(|bin| bin.x).chain(curves().map(|p| p.0));
    let last = times.filter(|t| t.is_finite()).fold(0.0f64, f64::max);
    // Beyond the longest interval that may be decided nothing is asked of the picture.
    let last = group.longest_days.map_or(last, |longest| last.min(longest));
    let shares = bins().map(|bin| bin.limits.0).chain(curves().map(|p| p.1));
    let low = shares.filter(|r| r.is_finite()).fold(0.9f64, f64::min);
    (last > 0.0).then_some(Frame {
        x: Scale::new((0.0, 1.02 * last), (60.0, RIGHT)),
        y: Scale::new(((low - 0.03).max(0.0), 1.004), (300.0, top)),
    })
}

fn draw_curve(
    canvas: &mut Canvas<'_>,
    frame: &Frame,
    curve: &ReliabilityCurve,
    leads: bool,
) -> Option<SideLabel> {
    let mut band = frame.pixels(curve.limits.iter().map(|(t, low, _)| (*t, *low)));
    band.extend(frame.pixels(curve.limits.iter().rev().map(|(t, _, high)| (*t, *high))));
    canvas.polygon(&band, Ink::Reading, 0.14);
    let line = frame.pixels(curve.points.iter().copied());
    let (ink, stroke) = if leads {
        (Ink::Text, Stroke(Ink::Text, 1.75, Dash::Solid))
    } else {
        (Ink::Grid, Stroke(Ink::Grid, 1.25, Dash::Short))
    };
    canvas.path(&line, stroke);
    let y = line.last()?.1;
    Some(SideLabel::new(
        y,
        shortened(curve.short, LABEL_SIZE, NAME_ROOM),
        ink,
    ))
}

/// "365 days: 98 % (90 % to 99.6 %), 40 at risk".
fn in_words(point: &ReliabilityPoint) -> String {
    format!(
        "{} days: {} ({} to {}), {} at risk",
        fixed(point.x, 0),
        percent(point.share),
        percent(point.limits.0),
        percent(point.limits.1),
        fixed(point.at_risk as f64, 0)
    )
}

/// The bins that the plot shows.
fn shown<'a>(frame: &'a Frame, group: &'a GroupView) -> impl Iterator<Item = &'a ReliabilityPoint> {
    let bins = group.bins.iter();
    bins.filter(|bin| bin.outcomes > 0 && frame.x.holds(bin.x))
}

fn draw_bins(canvas: &mut Canvas<'_>, frame: &Frame, group: &GroupView) {
    for bin in shown(frame, group) {
        let (x, y) = frame.held(bin.x, bin.share);
        let ends = (frame.y.held(bin.limits.0), frame.y.held(bin.limits.1));
        canvas.line(
            (x, ends.0),
            (x, ends.1),
            Stroke(Ink::Reading, 1.0, Dash::Solid),
        );
        canvas.dot((x, y), 3.5, Ink::Reading);
    }
}

/// The number at risk at each point below the axis, as many as find room.
fn draw_counts(canvas: &mut Canvas<'_>, frame: &Frame, group: &GroupView) {
    let baseline = frame.y.range.0 + 52.0;
    canvas.label("at risk", (14.0, baseline), Ink::Text, Anchor::Start);
    let mut free = 60.0;
    for bin in shown(frame, group) {
        let text = fixed(bin.at_risk as f64, 0);
        let (x, half) = (frame.x.at(bin.x), 0.5 * text_width(&text, LABEL_SIZE));
        if x - half >= free {
            canvas.label(&text, (x, baseline), Ink::Text, Anchor::Middle);
            free = x + half + 6.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::models::LifeModelName;
    use crate::report::samples::fleet;

    #[test]
    fn every_model_has_room_for_its_name() {
        for model in LifeModelName::ALL {
            let name = model.short_words();
            assert!(text_width(name, LABEL_SIZE) <= NAME_ROOM, "{name}");
        }
    }

    #[test]
    fn a_curve_below_its_target_from_the_start_is_told() {
        let mut group = fleet(60).groups[0].clone();
        group.bins.clear();
        let mut level = |share: f64| {
            let curves = group
                .reliability
                .iter_mut()
                .flat_map(|curve| &mut curve.points);
            curves.for_each(|point| point.1 = share);
            title(&group)
        };
        assert!(
            level(0.67).ends_with("67\u{a0}% in tolerance already at the start, below 95\u{a0}%")
        );
        assert!(
            level(0.99).ends_with("still 99\u{a0}% in tolerance at the end of the range shown")
        );
    }

    /// A model far below what every check shows does not lead, and the title says so.
    #[test]
    fn a_contradicted_model_does_not_lead() {
        let mut group = fleet(60).groups[0].clone();
        assert!(disagreement(&group).is_none());
        group
            .bins
            .iter_mut()
            .for_each(|bin| (bin.share, bin.limits) = (1.0, (0.95, 1.0)));
        let svg = reliability_chart(&group);
        says!(svg, "the model contradicts the records");
        assert!(!svg.contains("stroke-width=\"7\""), "no bold curve");
        assert!(svg.contains("days since renewal") && svg.contains("at risk"));
        group.longest_days = Some(400.0);
        let cut = reliability_chart(&group);
        assert!(!cut.contains(">600<") && cut.contains(">400<"), "{cut}");
    }
}
