/*! The calendar of due dates: one strip a group, above its line what is in force, below it what is
proposed, week by week. */

use super::super::canvas::{Anchor, Canvas, Dash, LABEL_SIZE, Stroke, sheet};
use super::super::dates::date_ticks;
use super::super::frame::{below_heading, heading};
use super::super::lettering::shortened;
use super::super::palette::Ink;
use super::super::scale::Scale;
use super::super::values::told;
use crate::report::text::{count, fixed};
use crate::report::view::{FleetRow, FleetView};
use std::collections::BTreeMap;

/// Weeks shown: eighteen months.
const WEEKS: usize = 78;
const DAYS_PER_WEEK: f64 = 7.0;

/// Left and right edge of the weeks, and the middle of the numbers at either side, pixels.
const PLOT: (f64, f64) = (232.0, 768.0);
const OVERDUE_AT: f64 = 200.0;
const LATER_AT: f64 = 802.0;

/// Height of a group's strip, and of its longest bar, pixels.
const STRIP: f64 = 42.0;
const BAR: f64 = 17.0;

/// Height of one calibration where few fall into a week, pixels.
const MOST_EACH: f64 = 5.0;

/// Groups with a strip of their own; the smallest of more share one.
const MOST_GROUPS: usize = 24;

/// Due dates of one kind.
#[derive(Debug, Clone)]
struct Dues {
    overdue: usize,
    weeks: Vec<usize>,
    later: usize,
}

impl Default for Dues {
    fn default() -> Self {
        Self {
            overdue: 0,
            weeks: vec![0; WEEKS],
            later: 0,
        }
    }
}

impl Dues {
    /// Counts one date, `days` after today.
    fn add(&mut self, days: f64) {
        if days < 0.0 {
            self.overdue += 1;
            return;
        }
        match self.weeks.get_mut((days / DAYS_PER_WEEK) as usize) {
            Some(week) => *week += 1,
            None => self.later += 1,
        }
    }

    fn join(&mut self, other: &Dues) {
        self.overdue += other.overdue;
        self.later += other.later;
        for (own, more) in self.weeks.iter_mut().zip(&other.weeks) {
            *own += more;
        }
    }

    fn in_words(&self) -> String {
        format!(
            "{} overdue, {} coming, {} later",
            self.overdue,
            self.coming(),
            self.later
        )
    }

    fn all(&self) -> usize {
        self.overdue + self.later + self.coming()
    }

    fn coming(&self) -> usize {
        self.weeks.iter().sum()
    }
}

/// One group: what is in force, and what is proposed.
type Strip = (String, [Dues; 2]);

/// Due dates by group and week.
pub(crate) fn due_calendar(view: &FleetView) -> String {
    let (strips, away) = strips(view);
    let title = title(&strips);
    let mut second =
        "next due dates, by week: above the line by the interval in force, below it as proposed"
            .to_string();
    if away > 0 {
        second += &format!("; {} lent or stored left out", count(away, "history"));
    }
    let height = below_heading(&title, &second, 840.0) + 66.0 + STRIP * strips.len() as f64;
    let in_words = strips.iter().map(|(group, [now, proposed])| {
        format!(
            "{group}: in force {}; as proposed {}",
            now.in_words(),
            proposed.in_words()
        )
    });
    let told = told(&second, in_words);
    sheet((840, height as u32), &title, &told, |canvas| {
        let top = heading(canvas, &title, &second, 840.0) + 24.0;
        draw(canvas, view, &strips, top);
    })
}

fn title(strips: &[Strip]) -> String {
    let sum =
        |kind: usize, of: fn(&Dues) -> usize| strips.iter().map(|s| of(&s.1[kind])).sum::<usize>();
    if sum(0, Dues::all) + sum(1, Dues::all) == 0 {
        return "No due date could be set".into();
    }
    let (now, then) = (sum(0, Dues::coming), sum(1, Dues::coming));
    let coming = match now == then {
        true => format!(
            "{} due next within 18 months, in force and as proposed",
            count(now, "history")
        ),
        false => format!(
            "{} due next within 18 months by what is in force, {} as proposed",
            count(now, "history"),
            fixed(then as f64, 0)
        ),
    };
    let overdue = (sum(0, |d| d.overdue), sum(1, |d| d.overdue));
    match overdue {
        (0, 0) => coming,
        (now, then) if now == then => format!("{coming}; {} overdue", fixed(now as f64, 0)),
        (now, then) => format!(
            "{coming}; overdue {} and {}",
            fixed(now as f64, 0),
            fixed(then as f64, 0)
        ),
    }
}

/// The strips by name, and how many dates of lent or stored items are past and no strip counts.
fn strips(view: &FleetView) -> (Vec<Strip>, usize) {
    let mut groups: BTreeMap<&str, [Dues; 2]> = BTreeMap::new();
    let mut away = 0;
    for row in &view.rows {
        let days = |day: Option<f64>| day.map(|day| day - view.as_of).filter(|d| !d.is_nan());
        let in_force = days(row.due_day);
        let proposed = days(row.proposed_due).or(in_force);
        if row.away && in_force.is_some_and(|days| days < 0.0) {
            away += 1;
            continue;
        }
        let of_group = groups.entry(name(row)).or_default();
        for (dues, days) in of_group.iter_mut().zip([in_force, proposed]) {
            days.into_iter().for_each(|days| dues.add(days));
        }
    }
    groups.retain(|_, dues| dues.iter().any(|d| d.all() > 0));
    let mut strips: Vec<Strip> = groups
        .into_iter()
        .map(|(n, d)| (n.to_string(), d))
        .collect();
    if strips.len() > MOST_GROUPS {
        // The largest keep their own, in the order of their names.
        let mut sizes: Vec<usize> = strips.iter().map(|s| s.1[0].all()).collect();
        sizes.sort_unstable_by(|a, b| b.cmp(a));
        let least = sizes[MOST_GROUPS - 1];
        let mut kept = Vec::new();
        let (mut rest, mut joined) = (<[Dues; 2]>::default(), 0);
        for strip in strips {
            if strip.1[0].all() >= least && kept.len() + 1 < MOST_GROUPS {
                kept.push(strip);
                continue;
            }
            joined += 1;
            for (own, more) in rest.iter_mut().zip(&strip.1) {
                own.join(more);
            }
        }
        kept.push((format!("{joined} other groups"), rest));
        strips = kept;
    }
    (strips, away)
}

fn name(row: &FleetRow) -> &str {
    match row.group.as_str() {
        "" => "no group",
        group => group,
    }
}

fn draw(canvas: &mut Canvas<'_>, view: &FleetView, strips: &[Strip], top: f64) {
    let x = Scale::new((0.0, WEEKS as f64 * DAYS_PER_WEEK), PLOT);
    let weeks = strips.iter().flat_map(|s| &s.1).flat_map(|d| &d.weeks);
    let most = weeks.copied().max().unwrap_or(0).max(1);
    let each = (BAR / most as f64).min(MOST_EACH);
    let foot = top + STRIP * strips.len() as f64;
    for (words, at) in [("overdue", OVERDUE_AT), ("later", LATER_AT)] {
        canvas.label(words, (at, top - 6.0), Ink::Text, Anchor::Middle);
    }
    for (i, (name, dues)) in strips.iter().enumerate() {
        let line = top + STRIP * (i as f64 + 0.5);
        let label = shortened(name, LABEL_SIZE, 168.0);
        canvas.label(&label, (14.0, line + 4.0), Ink::Text, Anchor::Start);
        canvas.line(
            (PLOT.0, line),
            (PLOT.1, line),
            Stroke(Ink::Grid, 0.75, Dash::Solid),
        );
        for (kind, of_kind) in dues.iter().enumerate() {
            let (ink, side) = [(Ink::Reading, -1.0), (Ink::Plan, 1.0)][kind];
            draw_bars(canvas, &of_kind.weeks, &x, (line + side, side * each), ink);
            for (number, at) in [(of_kind.overdue, OVERDUE_AT), (of_kind.later, LATER_AT)] {
                if number > 0 {
                    let baseline = line + if kind == 0 { -3.0 } else { 13.0 };
                    let text = fixed(number as f64, 0);
                    canvas.label(&text, (at, baseline), ink, Anchor::Middle);
                }
            }
        }
    }
    let days = Scale::new((view.as_of, view.as_of + x.domain.1), PLOT);
    canvas.line(
        (PLOT.0, foot),
        (PLOT.1, foot),
        Stroke(Ink::Grid, 1.0, Dash::Solid),
    );
    for tick in date_ticks(days.domain.0, days.domain.1, PLOT.1 - PLOT.0) {
        let at = days.at(tick.at);
        canvas.line(
            (at, foot),
            (at, foot + 4.0),
            Stroke(Ink::Grid, 1.0, Dash::Solid),
        );
        canvas.label(&tick.label, (at, foot + 17.0), Ink::Text, Anchor::Middle);
    }
    canvas.label(
        &format!("most in a week: {}", fixed(most as f64, 0)),
        (PLOT.0, foot + 34.0),
        Ink::Text,
        Anchor::Start,
    );
}

/// One bar a week from `foot` on; `each` is the height of one calibration, downwards positive.
fn draw_bars(
    canvas: &mut Canvas<'_>,
    weeks: &[usize],
    x: &Scale,
    (foot, each): (f64, f64),
    ink: Ink,
) {
    for (week, number) in weeks.iter().enumerate().filter(|(_, n)| **n > 0) {
        let left = x.at(week as f64 * DAYS_PER_WEEK);
        let right = x.at((week + 1) as f64 * DAYS_PER_WEEK) - 1.0;
        let head = foot + each * *number as f64;
        canvas.rectangle((left, foot), (right, head), ink, 0.85);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples::fleet;

    /// By hand: of three histories one is overdue in force and proposed in a week, one lent is
    /// overdue and left out, one is due in two years.
    #[test]
    fn every_date_is_counted_once_a_kind() {
        let mut view = fleet(3);
        let days = [-10.0, -5.0, 730.0];
        for (row, days) in view.rows.iter_mut().zip(days) {
            (row.group, row.away, row.proposed_due) = ("G".into(), days == -5.0, None);
            row.due_day = Some(view.as_of + days);
        }
        view.rows[0].proposed_due = Some(view.as_of + 8.0);
        let (strips, away) = strips(&view);
        assert_eq!((strips.len(), away), (1, 1));
        let [now, then] = &strips[0].1;
        assert_eq!((now.overdue, now.coming(), now.later), (1, 0, 1));
        assert_eq!((then.overdue, then.weeks[1], then.later), (0, 1, 1));
        let svg = due_calendar(&view);
        says!(
            svg,
            "histories due next within 18 months by what is in force, 1 as proposed; overdue 1 and 0"
        );
    }

    #[test]
    fn many_groups_share_the_last_strip_and_none_is_lost() {
        let mut view = fleet(90);
        for (i, row) in view.rows.iter_mut().enumerate() {
            (row.group, row.away) = (format!("G{}", i % 45), false);
        }
        let (strips, _) = strips(&view);
        assert_eq!(strips.len(), MOST_GROUPS);
        let dated = view.rows.iter().filter(|row| row.due_day.is_some()).count();
        assert_eq!(strips.iter().map(|s| s.1[0].all()).sum::<usize>(), dated);
    }
}
