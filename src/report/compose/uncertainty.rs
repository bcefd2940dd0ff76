/*! Pictures of what a value is worth: growth of its uncertainty, and what an approval changed. */

use crate::decisions::budget_line::BudgetLine;
use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::drift::Course;
use crate::report::charts::{approved_chart, growth_chart};
use crate::report::text::{as_sentence, percent};
use crate::report::{ApprovedEnd, ApprovedView, FigureView, GrowthPoint, GrowthView, SectionView};

/// Points along an interval.
const POINTS: usize = 48;

/// How far beyond the later date a picture goes, as a share of the time to it.
const BEYOND: f64 = 0.05;

/// `POINTS` days from `first` on and beyond `last`, with `last` among them.
fn days(first: f64, last: f64) -> Vec<f64> {
    let end = last + BEYOND * (last - first);
    let even = (0..=POINTS).map(|i| first + (end - first) * i as f64 / POINTS as f64);
    let mut days: Vec<f64> = even.chain([last]).collect();
    days.sort_by(f64::total_cmp);
    days.dedup();
    days
}

/// Growth of the uncertainty of the value of history `index`; `None` where no value is stated.
pub(super) fn growth(
    stage: &DecisionStage<'_>,
    index: usize,
    decision: &Decision,
) -> Option<FigureView> {
    let item = &stage.histories.items[index];
    let first = stage.histories.get(index).date.last()?.floor();
    let finite = |day: f64| day.is_finite().then_some(day);
    let dues = [decision.in_force_due, decision.due_date].map(finite);
    let last = dues.into_iter().flatten().fold(stage.as_of, f64::max);
    let lines = stage.values_on(index, decision, &days(first, last)).ok()?;
    let point = |line: &BudgetLine| GrowthPoint {
        day: line.day,
        total: line.u_corrected(),
        parts: [
            line.u_calibration,
            line.u_drift,
            line.u_wander,
            line.u_step,
            line.u_common,
        ],
    };
    let view = GrowthView {
        name: item.name(),
        unit: item.unit.clone(),
        as_of: stage.as_of,
        in_force_due: dues[0],
        due_day: dues[1],
        points: lines.iter().map(point).collect(),
    };
    Some(FigureView::of(
        format!(
            "{}: growth of its uncertainty since the last check",
            item.name()
        ),
        growth_chart(&view),
    ))
}

/// What the interval in force, approved by a person, changed; `None` where none is.
pub(super) fn approved(stage: &DecisionStage<'_>, index: usize) -> Option<SectionView> {
    let history = stage.histories.get(index);
    let item = history.item;
    let signed = item.signed.as_deref()?;
    let line = signed.in_force.as_ref()?;
    let (before, after) = (signed.days_before()?, line.approved_days?);
    let tolerance = item.tolerance?;
    let course = Course::of(&stage.fits.fits[index], &history, stage.drift.axis).ok()?;
    let chance = |day: f64| {
        let p = course.on(day)?.probability_in(tolerance);
        p.is_finite().then_some(p)
    };
    let (from, read) = (history.last_calibration(), history.date.last()?.floor());
    let end = |days: f64| ApprovedEnd {
        days,
        due: from + days,
        // Before the last check a forecast has nothing to say.
        in_tolerance: Some(from + days)
            .filter(|due| *due >= read)
            .and_then(chance),
    };
    let (before, after) = (end(before), end(after));
    let last = before.due.max(after.due).max(stage.as_of);
    if before.days == after.days || !last.is_finite() {
        return None;
    }
    let curve = days(read, last)
        .into_iter()
        .filter_map(|day| Some((day, chance(day)?)));
    let view = ApprovedView {
        name: item.name(),
        as_of: stage.as_of,
        curve: curve.collect(),
        target: stage.evidence(index).target,
        before,
        after,
    };
    let chance = |end: &ApprovedEnd| end.in_tolerance.map_or("unknown".into(), percent);
    let words = format!(
        "{} d are in force since {}, by {}, in place of {} d; by what is known today the item is in tolerance when due with probability {} instead of {}",
        after.days,
        crate::words::date(line.on),
        line.by,
        before.days,
        chance(&after),
        chance(&before)
    );
    Some(
        SectionView::of("Before and after the approval", [as_sentence(&words)]).figures([
            FigureView::of(
                format!("{}: before and after the approval", item.name()),
                approved_chart(&view),
            ),
        ]),
    )
}
