/*! Intervals before and after: one line for each pair, thicker where many share it, or counts where lines would be a tangle. */

use super::super::canvas::{Anchor, Canvas, Dash, Stroke, sheet};
use super::super::frame::{below_heading, heading};
use super::super::labels::ROW;
use super::super::palette::Ink;
use super::super::scale::Scale;
use super::counts::{CELL_HEIGHT, Cell, Counts, counted};
use crate::report::text::{count, fixed};
use crate::report::view::FleetView;
use crate::report::words;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Pairs that stand as lines; of more the picture shows counts in classes.
const MOST_LINES: usize = 30;

/// Upper ends of the classes of intervals, days: months and years with some days' grace.
const CLASSES: [u64; 10] = [31, 62, 92, 184, 276, 366, 549, 732, 1098, 1830];

/// Slope picture of today's and the decided intervals on a logarithmic axis.
pub(crate) fn intervals_chart(view: &FleetView) -> String {
    let pairs = pairs(view);
    let total: usize = pairs.values().sum();
    let changed = |how: Ordering| -> usize {
        let changed = pairs.iter().filter(|((a, b), _)| b.cmp(a) == how);
        changed.map(|(_, n)| n).sum()
    };
    let (longer, shorter) = (changed(Ordering::Greater), changed(Ordering::Less));
    let title = match total {
        0 => "No interval was decided".to_string(),
        _ => format!(
            "{} get longer, {} shorter, of {}",
            fixed(longer as f64, 0),
            fixed(shorter as f64, 0),
            count(total, "interval")
        ),
    };
    if pairs.len() > MOST_LINES {
        return counts_chart(view, &title, &pairs);
    }
    let second = "today's interval to the decided one, logarithmic axis; thicker where more share it; without those that wait for a person";
    sheet((840, 420), &title, &words::intervals(view), |canvas| {
        let top = heading(canvas, &title, second, 840.0) + 32.0;
        let days = || pairs.keys().flat_map(|(a, b)| [*a, *b]);
        let (Some(low), Some(high)) = (days().min(), days().max()) else {
            return;
        };
        let pad = if high > low { 1.0 } else { 1.5 };
        let domain = ((low as f64 / pad).ln(), (high as f64 * pad).ln());
        let y = Scale::new(domain, (400.0, top));
        let (left, right) = (220.0, 620.0);
        canvas.label("today", (left, top - 14.0), Ink::Text, Anchor::End);
        canvas.label("decided", (right, top - 14.0), Ink::Text, Anchor::Start);
        for ((before, after), number) in &pairs {
            let (ink, dash) = match after.cmp(before) {
                Ordering::Greater => (Ink::Reading, Dash::Solid),
                Ordering::Less => (Ink::Plan, Dash::Long),
                Ordering::Equal => (Ink::Grid, Dash::Solid),
            };
            let share = (*number as f64 / total as f64).sqrt();
            let stroke = Stroke(ink, 0.75 + 9.0 * share, dash);
            let [from, to] = [before, after].map(|days| y.at((*days as f64).ln()));
            canvas.line((left, from), (right, to), stroke);
        }
        let (outer_left, outer_right) = (left - 8.0, right + 8.0);
        side(canvas, &pairs, |pair| pair.0, &y, outer_left, Anchor::End);
        side(
            canvas,
            &pairs,
            |pair| pair.1,
            &y,
            outer_right,
            Anchor::Start,
        );
    })
}

/// Counts by the class of today's interval and of the decided one.
fn counts_chart(view: &FleetView, title: &str, pairs: &BTreeMap<(u64, u64), usize>) -> String {
    let class = |days: u64| CLASSES.iter().filter(|end| days > **end).count();
    let each = pairs.iter().flat_map(|(pair, number)| {
        std::iter::repeat_n((class(pair.0), class(pair.1), false), *number)
    });
    let size = CLASSES.len() + 1;
    let cells = counted((size, size), each);
    // Classes below the first and above the last that hold anything say nothing.
    let used = |class: &usize| {
        (0..size).any(|other| cells[*class][other].all + cells[other][*class].all > 0)
    };
    let classes: Vec<usize> = (0..size).filter(used).collect();
    let (Some(first), Some(last)) = (classes.first(), classes.last()) else {
        return String::new();
    };
    let cells: Vec<Vec<Cell>> = cells[*first..=*last]
        .iter()
        .map(|row| row[*first..=*last].to_vec())
        .collect();
    let names: Vec<String> = class_names()[*first..=*last].to_vec();
    let second = "how many by today's interval (rows) and the decided one (columns); teal longer, purple shorter, grey same class";
    let height = below_heading(title, second, 840.0) + 86.0 + CELL_HEIGHT * cells.len() as f64;
    sheet(
        (840, height as u32),
        title,
        &words::intervals(view),
        |canvas| {
            let top = heading(canvas, title, second, 840.0) + 18.0;
            let counts = Counts {
                rows: &names,
                columns: &names,
                cells: &cells,
            };
            let width = (640.0 / cells.len() as f64).min(84.0);
            let ink = |row: usize, column: usize| match column.cmp(&row) {
                std::cmp::Ordering::Greater => Ink::Reading,
                std::cmp::Ordering::Less => Ink::Plan,
                std::cmp::Ordering::Equal => Ink::Grid,
            };
            counts.draw(canvas, (130.0, top), width, ink);
            canvas.label("today", (14.0, top - 6.0), Ink::Text, Anchor::Start);
            let at = (
                130.0 + 0.5 * width * cells.len() as f64,
                top + CELL_HEIGHT * cells.len() as f64 + 36.0,
            );
            canvas.label("decided interval, days", at, Ink::Text, Anchor::Middle);
        },
    )
}

fn class_names() -> Vec<String> {
    let mut names = Vec::with_capacity(CLASSES.len() + 1);
    let mut from = 1;
    for end in CLASSES {
        names.push(format!("{from}–{end}"));
        from = end + 1;
    }
    names.push(format!("{from} or more"));
    names
}

/// Histories for each pair of intervals in whole days.
fn pairs(view: &FleetView) -> BTreeMap<(u64, u64), usize> {
    let mut pairs = BTreeMap::new();
    // What waits for a person has no decided interval in force.
    let decided = view.rows.iter().filter(|row| !row.action.needs_person());
    for row in decided {
        if let (Some(before), Some(after)) = (row.current_interval_days, row.interval_days)
            && before >= 0.5
            && after >= 0.5
        {
            *pairs
                .entry((before.round() as u64, after.round() as u64))
                .or_default() += 1;
        }
    }
    pairs
}

/// Days and counts at one end, the commonest first where labels would overlap.
fn side(
    canvas: &mut Canvas<'_>,
    pairs: &BTreeMap<(u64, u64), usize>,
    end: fn(&(u64, u64)) -> u64,
    y: &Scale,
    x: f64,
    anchor: Anchor,
) {
    let mut ends: BTreeMap<u64, usize> = BTreeMap::new();
    for (pair, number) in pairs {
        *ends.entry(end(pair)).or_default() += number;
    }
    let mut order: Vec<(u64, usize)> = ends.into_iter().collect();
    order.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut taken: Vec<f64> = Vec::new();
    for (days, number) in order {
        let at = y.at((days as f64).ln());
        if taken.iter().all(|other| (other - at).abs() >= ROW) {
            let text = format!(
                "{}\u{a0}d  ({})",
                fixed(days as f64, 0),
                count(number, "history")
            );
            canvas.label(&text, (x, at + 4.0), Ink::Text, anchor);
            taken.push(at);
        }
    }
}
