/*! Out-of-tolerance proportion through time, with exact limits. */

use super::super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::super::frame::{Frame, below_heading, heading};
use super::super::lettering::shortened;
use super::super::palette::Ink;
use super::super::scale::Scale;
use super::super::values::told;
use crate::report::text::{count, fixed, month_year, percent};
use crate::report::view::{GroupView, ProportionView};
use crate::words::agreeing;

/// Proportion out of tolerance by month of `name` (the fleet or a group).
pub(crate) fn out_of_tolerance_chart(name: &str, months: &[ProportionView]) -> String {
    let months = &recent(months, last(months));
    let (out, trials) = totals(months);
    let title = match (trials, months.first()) {
        (1.., Some(first)) => format!(
            "{name}: found out of tolerance {} of {} since {} ({})",
            fixed(out as f64, 0),
            count(trials as usize, counted(months)),
            month_year(first.days.0),
            percent(out as f64 / trials as f64)
        ),
        _ => format!("{name}: no check with a known outcome"),
    };
    let second = second("", &[months]);
    let told = told(&second, months.iter().map(in_words));
    sheet((840, 300), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 14.0;
        let Some(frame) = frame(&[months], (64.0, 820.0), (264.0, top)) else {
            return;
        };
        frame.share_ticks(canvas);
        frame.date_axis(canvas);
        draw_months(canvas, &frame, months, 3.0);
    })
}

/// Groups that are drawn at the most: those found out of tolerance most often.
const MOST_GROUPS: usize = 24;

/// Share found out of tolerance; `None` where nothing was judged.
fn share(months: &[ProportionView]) -> Option<f64> {
    let (out, trials) = totals(months);
    (trials > 0).then(|| out as f64 / trials as f64)
}

/// The groups of which something was judged, each with its months up to the last of all.
fn recent_of_all(groups: &[GroupView]) -> Vec<(&GroupView, Vec<ProportionView>)> {
    let known = || groups.iter().filter(|g| !g.out_of_tolerance.is_empty());
    let end = known().map(|g| last(&g.out_of_tolerance));
    let end = end.fold(f64::NEG_INFINITY, f64::max);
    let all = known().map(|g| (g, recent(&g.out_of_tolerance, end)));
    all.collect()
}

/// The same for each group, small and on common axes.
pub(crate) fn out_of_tolerance_by_group(groups: &[GroupView]) -> String {
    let mut all = recent_of_all(groups);
    let number = all.len();
    if number > MOST_GROUPS {
        let part = |months: &[ProportionView]| share(months).unwrap_or(-1.0);
        all.sort_by(|a, b| part(&b.1).total_cmp(&part(&a.1)));
        all.truncate(MOST_GROUPS);
    }
    let (shown, series): (Vec<&GroupView>, Vec<Vec<ProportionView>>) = all.into_iter().unzip();
    let worst = shown
        .iter()
        .zip(&series)
        .filter_map(|(g, months)| Some((share(months)?, g.name.as_str())))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let title = match worst {
        Some((part, name)) if part > 0.0 => format!(
            "{name}: found out of tolerance most often, {}",
            percent(part)
        ),
        _ => "No group was found out of tolerance".to_string(),
    };
    let all: Vec<&[ProportionView]> = series.iter().map(Vec::as_slice).collect();
    let second = second("out of tolerance in ", &all);
    let second = match number > MOST_GROUPS {
        true => format!("{second}; the {MOST_GROUPS} of {number} groups found so most often"),
        false => second,
    };
    let rows = shown.len().div_ceil(COLUMNS).max(1);
    let height = below_heading(&title, &second, 840.0) + 20.0 + rows as f64 * ROW_HEIGHT;
    let groups_in_words = shown.iter().zip(&series).map(|(group, months)| {
        let (out, trials) = totals(months);
        format!("{}: {out} of {trials}", group.name)
    });
    let told = told(&second, groups_in_words);
    sheet((840, height as u32), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0);
        for (i, (group, months)) in shown.iter().zip(&series).enumerate() {
            let left = 56.0 + 266.0 * (i % COLUMNS) as f64;
            let upper = top + 24.0 + ROW_HEIGHT * (i / COLUMNS) as f64;
            let Some(frame) = frame(&all, (left, left + 200.0), (upper + 100.0, upper)) else {
                continue;
            };
            frame.share_ticks(canvas);
            frame.date_axis(canvas);
            draw_months(canvas, &frame, months, 2.0);
            let name = shortened(&group.name, LABEL_SIZE, 200.0);
            canvas.bold(
                &name,
                (left, upper - 6.0),
                LABEL_SIZE,
                Ink::Text,
                Anchor::Start,
            );
        }
    })
}

/// "July 2024: 1 of 30 (0.1 % to 17 %)".
fn in_words(period: &ProportionView) -> String {
    format!(
        "{}: {} of {} ({} to {})",
        month_year(period.x),
        period.count,
        period.trials,
        percent(period.limits.0),
        percent(period.limits.1)
    )
}

/// Days that the pictures look back: three years.
const RECENT_DAYS: f64 = 3.0 * 365.25;

/// Days by which a period may begin before the years that the pictures look back, without being longer: a month.
const A_MONTH: f64 = 31.0;

/// What the trials of a title count: over one period each instrument counts once.
fn counted(months: &[ProportionView]) -> &'static str {
    let periods = months.iter().filter(|month| month.trials > 0).count();
    agreeing(periods, "instrument", "time")
}

/// The second line: what the bars cover. A period that needs more than three years is drawn whole, and then it is
/// not three years that are shown.
fn second(lead: &str, series: &[&[ProportionView]]) -> String {
    let end = series.iter().map(|months| last(months));
    let end = end.fold(f64::NEG_INFINITY, f64::max);
    let begins = end - RECENT_DAYS - A_MONTH;
    let longer = series.iter().any(|s| s.iter().any(|m| m.days.0 < begins));
    let span = match longer {
        true => "three years or longer",
        false => "three years",
    };
    format!(
        "{lead}{span}, by the months it takes to know it within 30 points; an instrument counts once each; bars: exact 95 % limits"
    )
}

/// Small pictures in a row.
const COLUMNS: usize = 3;

/// Height of one row of small pictures, pixels.
const ROW_HEIGHT: f64 = 156.0;

/// Day of the last month; −∞ for none.
fn last(months: &[ProportionView]) -> f64 {
    months.iter().map(|m| m.x).fold(f64::NEG_INFINITY, f64::max)
}

/// The months of the last years before `end`.
fn recent(months: &[ProportionView], end: f64) -> Vec<ProportionView> {
    let new = |m: &&ProportionView| m.x >= end - RECENT_DAYS;
    months.iter().filter(new).copied().collect()
}

fn totals(months: &[ProportionView]) -> (u64, u64) {
    months.iter().fold((0, 0), |(out, trials), m| {
        (out + m.count, trials + m.trials)
    })
}

/// Axes that hold all of `series`; `None` where there is nothing to draw.
fn frame(series: &[&[ProportionView]], x: (f64, f64), y: (f64, f64)) -> Option<Frame> {
    let months = || {
        series
            .iter()
            .flat_map(|s| s.iter())
            .filter(|m| m.trials > 0)
    };
    let first = months().map(|m| m.days.0).fold(f64::INFINITY, f64::min);
    let last = months().map(|m| m.days.1).fold(f64::NEG_INFINITY, f64::max);
    let most = months().map(|m| m.limits.1).fold(0.05f64, f64::max);
    (first <= last).then_some(Frame {
        x: Scale::new((first, last), x),
        y: Scale::new((0.0, most.min(1.0)), y),
    })
}

fn draw_months(canvas: &mut Canvas<'_>, frame: &Frame, months: &[ProportionView], radius: f64) {
    for month in months.iter().filter(|m| m.trials > 0) {
        let share = month.count as f64 / month.trials as f64;
        let (x, y) = frame.held(month.x, share);
        let ends = (frame.y.held(month.limits.0), frame.y.held(month.limits.1));
        let stroke = Stroke(Ink::Grid, 1.0, Dash::Solid);
        canvas.line((x, ends.0), (x, ends.1), stroke);
        let (from, to) = (frame.x.held(month.days.0), frame.x.held(month.days.1));
        canvas.line((from, y), (to, y), stroke);
        if month.limits.1 > frame.y.domain.1 {
            draw_onward(canvas, (x, ends.1), radius, stroke);
        }
        if month.count > 0 {
            canvas.triangle((x, y), radius + 1.5, Ink::Alarm, true);
        } else {
            canvas.dot((x, y), radius, Ink::Reading);
        }
    }
}

/// An arrow head on a bar that goes on beyond the top of the plot.
fn draw_onward(canvas: &mut Canvas<'_>, (x, y): (f64, f64), size: f64, stroke: Stroke) {
    canvas.line((x - size, y + size), (x, y), stroke);
    canvas.line((x, y), (x + size, y + size), stroke);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn period(days: (f64, f64), count: u64, trials: u64) -> ProportionView {
        ProportionView {
            x: 0.5 * (days.0 + days.1),
            days,
            count,
            trials,
            limits: (0.05, 0.6),
        }
    }

    /// Thirteen years in one period are thirteen years of instruments, not three years of checks.
    #[test]
    fn a_period_longer_than_three_years_is_told_as_such() {
        let whole = out_of_tolerance_chart("gauges", &[period((15_600.0, 20_600.0), 3, 12)]);
        let title = "gauges: found out of tolerance 3 of 12 instruments since September 2012 (25";
        assert!(whole.replace('\u{a0}', " ").contains(title), "{whole}");
        says!(whole, "three years or longer, by the months");
        let months: Vec<_> = (0..6)
            .map(|k| 20_000.0 + 91.0 * f64::from(k))
            .map(|from| period((from, from + 91.0), 1, 20))
            .collect();
        let short = out_of_tolerance_chart("gauges", &months);
        says!(short.replace('\u{a0}', " "), "6 of 120 times since");
        says!(short, "three years, by the months");
    }

    #[test]
    fn of_many_groups_those_most_often_out_of_tolerance_are_drawn() {
        let groups: Vec<GroupView> = (0..30)
            .map(|k| GroupView {
                name: format!("group {k}"),
                out_of_tolerance: vec![period((20_000.0, 20_031.0), k, 100)],
                ..GroupView::default()
            })
            .collect();
        let svg = out_of_tolerance_by_group(&groups);
        says!(svg, "the 24 of 30 groups found so most often");
        assert!(svg.contains(">group 29<") && svg.contains(">group 6<"));
        says_not!(svg, ">group 5<");
        let few = out_of_tolerance_by_group(&groups[..24]);
        assert!(
            few.contains(">group 0<") && !few.contains("most often\""),
            "{few}"
        );
    }
}
