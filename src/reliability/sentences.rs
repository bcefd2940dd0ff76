/*! What a group's outcomes say, as sentences a metrologist would sign. */

use super::bounds::{at_least, at_most};
use super::compare::NestedTest;
use super::fit::LifeFit;
use super::interval::whole;
use super::result::GroupReliability;
use crate::stats::p_value;
use crate::words::count;

/// A p-value below this is called a contradiction (common practice).
const DOUBTFUL: f64 = 0.05;

/// All sentences of `group`, in order of weight.
pub(super) fn of(group: &GroupReliability) -> Vec<String> {
    let mut all = vec![evidence(group), group.interval.reason()];
    all.extend(bounds(group));
    all.extend(choice(group));
    all.extend(
        group
            .tests
            .iter()
            .filter(|t| concerns_choice(t, group))
            .map(nested),
    );
    all.push(agreement(group));
    all.extend(one_interval(group));
    all.extend(dependence(group));
    all.extend(unused(group));
    all
}

fn evidence(group: &GroupReliability) -> String {
    let (inside, outside) = group.outcomes.totals();
    let days: Vec<f64> = group.outcomes.checks().map(|(d, _, _)| d).collect();
    let span = match (days.first(), days.last()) {
        (Some(first), Some(last)) if first == last => {
            format!(", all {} d after renewal", whole(*first))
        }
        (Some(first), Some(last)) => {
            format!(", {} to {} d after renewal", whole(*first), whole(*last))
        }
        _ => String::new(),
    };
    let checks = count((inside + outside) as usize, "check");
    let histories = count(group.histories as usize, "history");
    let lives = match group.outcomes.is_current_status() {
        true => String::new(),
        false => format!(
            " in {} from renewal to renewal",
            count(group.outcomes.life_totals().0 as usize, "life")
        ),
    };
    format!("{checks} of {histories}{lives}, {outside} out of tolerance{span}")
}

/// Exact one-sided statements where all checks agree.
fn bounds(group: &GroupReliability) -> Option<String> {
    let (inside, outside) = group.outcomes.totals();
    // The longest age that every life without failure reached.
    let first = group.outcomes.lives().next()?.0;
    let last = group.longest_days()?;
    match (inside, outside) {
        (_, 0) => Some(at_least(&group.outcomes, first, group.level).words),
        (0, _) => Some(at_most(&group.outcomes, last, group.level).words),
        _ => None,
    }
}

fn choice(group: &GroupReliability) -> Option<String> {
    let fit = group.chosen_fit()?;
    let others: Vec<&str> = (group.tied.iter())
        .filter(|i| Some(**i) != group.chosen)
        .map(|i| group.fits[*i].name.words())
        .collect();
    let mut text = format!("{}: smallest AICc, {:.2}", described(fit), fit.aicc);
    if !others.is_empty() {
        text += &format!("; not told apart by these records: {}", others.join(", "));
    }
    Some(text)
}

/// The model with its parameters and what it has become.
fn described(fit: &LifeFit) -> String {
    let value = |(p, x): (&super::models::Parameter, &f64)| {
        let unit = p.unit();
        let gap = if unit.is_empty() { "" } else { " " };
        format!("{} {x:.4}{gap}{unit}", p.name.replace('_', " "))
    };
    let parameters = fit.name.model().parameters();
    let values: Vec<String> = parameters.iter().zip(&fit.theta).map(value).collect();
    let mut text = format!("{} ({})", fit.name.words(), values.join(", "));
    for note in &fit.notes {
        text += &format!("; {note}");
    }
    text
}

fn concerns_choice(test: &NestedTest, group: &GroupReliability) -> bool {
    group
        .chosen_fit()
        .is_some_and(|f| f.name == test.simple || f.name == test.large)
        && test.ratio > 0.0
}

fn nested(test: &NestedTest) -> String {
    format!(
        "{} inside {}: likelihood ratio {:.3}, {}",
        test.simple.words(),
        test.large.words(),
        test.ratio,
        p_value(test.p_value)
    )
}

fn agreement(group: &GroupReliability) -> String {
    match &group.lack_of_fit {
        Ok(test) if test.p_value < DOUBTFUL => format!(
            "the chosen model disagrees with the observed proportions (deviance {:.2} on {}, {}): read the steps, not the curve",
            test.deviance,
            test.degrees_of_freedom,
            p_value(test.p_value)
        ),
        Ok(test) => format!(
            "the chosen model agrees with the observed proportions (deviance {:.2} on {}, {})",
            test.deviance,
            test.degrees_of_freedom,
            p_value(test.p_value)
        ),
        Err(why) => format!("no test of fit: {why}"),
    }
}

fn one_interval(group: &GroupReliability) -> Option<String> {
    let one = group.outcomes.checks().count() == 1 && group.chosen.is_some();
    one.then(|| {
        "all checks are at one time after renewal: the shape of R(t) is an assumption, not a finding".into()
    })
}

fn dependence(group: &GroupReliability) -> Option<String> {
    let dependent = !group.bins.is_empty() && !group.outcomes.is_current_status();
    dependent.then(|| {
        "a life counts once, however often it was checked: points and steps without a model are the share of lives that never failed up to that age, with exact limits by lives".into()
    })
}

fn unused(group: &GroupReliability) -> Option<String> {
    let unused = group.outcomes.unused;
    let parts: Vec<String> = [
        (unused.unknown, "without an outcome"),
        (
            unused.no_time,
            "on the day of the renewal or first of their history",
        ),
        (unused.already_out, "of items already out and not restored"),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(count, why)| format!("{count} {why}"))
    .collect();
    (!parts.is_empty()).then(|| format!("checks not used: {}", parts.join(", ")))
}
