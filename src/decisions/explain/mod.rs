/*! The whole chain behind one decision, in words: data, segments, fit, proposals, rules, what would change it. */

mod data;
mod next_check;
mod steps;
mod what_would_change;

use crate::decisions::DecisionTables;
use crate::decisions::policy::decision::{Action, Decision, PastDecision};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::{Fit, ModelName};
use crate::intervals::{Evidence, GroupEvidence, Proposal};
use crate::records::History;
use crate::section::SectionView;
use crate::words::{count, date, days, percent, plus_minus, significant};

/// The decision on another history of the item, with what its group then lends and its earlier
/// decisions, on another day; same model, same class.
pub(crate) type Again<'a> =
    dyn Fn(&History<'_>, &GroupEvidence, &[PastDecision], f64) -> Decision + 'a;

/// All that the explanation of one decision needs.
pub(crate) struct Chain<'a> {
    /// What the methods looked at, the fit included.
    pub evidence: &'a Evidence<'a>,
    /// What its class lends to the drift.
    pub class: &'a ClassParameters,
    /// What its group lent.
    pub group: &'a GroupEvidence,
    /// Every method's proposal.
    pub proposals: &'a [Proposal],
    pub decision: &'a Decision,
    /// Earlier decisions, by the decision log.
    pub past: &'a [PastDecision],
    /// The settings of methods and policy.
    pub tables: &'a DecisionTables,
    /// Decides again, for the question "what if".
    pub again: &'a Again<'a>,
}

/// A part of the chain from data to decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    DataUsed,
    Segments,
    Fit,
    Proposals,
    Decision,
    WhatWouldChange,
}

impl Part {
    /// The whole chain in order.
    pub(crate) const ALL: [Part; 6] = [
        Part::DataUsed,
        Part::Segments,
        Part::Fit,
        Part::Proposals,
        Part::Decision,
        Part::WhatWouldChange,
    ];

    /// This part in words.
    pub(crate) fn section(self, chain: &Chain<'_>) -> SectionView {
        match self {
            Part::DataUsed => data::data_used(chain.evidence),
            Part::Segments => data::segments(chain.evidence),
            Part::Fit => fit(chain),
            Part::Proposals => proposals(chain),
            Part::Decision => decision(chain),
            Part::WhatWouldChange => what_would_change::what_would_change(chain),
        }
    }
}

fn fit(chain: &Chain<'_>) -> SectionView {
    let evidence = chain.evidence;
    let (fit, unit) = (evidence.fit, evidence.history.item.unit.as_str());
    let mut paragraphs = vec![format!(
        "Model {}, {}, on {}{}.",
        fit.model.word(),
        fit.status.words(),
        count(fit.readings as usize, "reading"),
        data::as_left_words(evidence)
    )];
    if let Ok(forecast) = crate::intervals::Forecast::unused(evidence)
        && let Some(now) = forecast.at(forecast.elapsed())
        && (now.expected + 2.0 * now.u_error).is_finite()
    {
        paragraphs.push(format!(
            "On {} the true error is expected at {} (k = 2){}.",
            date(evidence.as_of),
            plus_minus(now.expected, 2.0 * now.u_error, unit),
            forecast
                .probability_in(forecast.elapsed())
                .filter(|_| !chain.decision.level_in_doubt)
                .map_or_else(String::new, |p| format!(
                    ", in tolerance with probability {}",
                    percent(p)
                ))
        ));
    }
    paragraphs.extend(fit.notes.iter().cloned());
    if fit.model == ModelName::State {
        paragraphs.extend(chain.class.learned_words());
        paragraphs.extend(ungrouped_words(chain));
    }
    SectionView::of("Fit", paragraphs).table("figure | value | unit", figures(fit, unit))
}

/// The figures of a fit that are known, each with its unit.
fn figures(fit: &Fit, unit: &str) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    let mut row = |name: &str, value: f64, unit: &str| {
        if value.is_finite() {
            rows.push(vec![
                name.to_string(),
                significant(value, 4),
                unit.to_string(),
            ]);
        }
    };
    let (a_year, root_year) = (format!("{unit} a year"), format!("{unit} per √year"));
    row(
        "drift at the end of the record",
        fit.drift_per_year,
        &a_year,
    );
    row("its standard uncertainty", fit.u_drift_per_year, &a_year);
    row("wander", fit.wander_per_sqrt_year, &root_year);
    row(
        "share of the drift from the item's own readings",
        fit.shrinkage_weight,
        "",
    );
    row(fit.scatter_name(), fit.residual_deviation, unit);
    row("scatter beyond the stated u", fit.excess_u, unit);
    row("weighted sum of squared residuals", fit.chi_squared, "");
    row("degrees of freedom", fit.degrees_of_freedom, "");
    if fit.readings > 0 {
        row("uncertainty shared with the reference", fit.u_common, unit);
    }
    rows
}

/// Who lends where nobody has stated who is alike.
fn ungrouped_words(chain: &Chain<'_>) -> Option<String> {
    let ungrouped = chain.evidence.history.item.group.is_empty();
    (ungrouped && chain.class.members > 1).then(|| {
        "No group is stated: those lend whose unit, point and limits are the same and whose u differ by less than a factor of three. A column group, in the register, says which instruments are alike."
            .into()
    })
}

/// The methods' proposals; the column of likely ranges only where a method gives one.
fn proposals(chain: &Chain<'_>) -> SectionView {
    let ranged = chain.proposals.iter().any(|p| p.limits_days.is_some());
    let range = |p: &Proposal| {
        p.limits_days
            .map_or_else(|| "—".into(), |l| format!("{} to {}", days(l.0), days(l.1)))
    };
    let rows = chain.proposals.iter().map(|p| {
        let interval = p.interval_days.map_or_else(|| "—".into(), days);
        let leads = chain.decision.method == Some(p.method);
        let name = format!(
            "{}{}",
            p.method.words(),
            if leads { " (leads)" } else { "" }
        );
        let mut row = vec![name, interval];
        row.extend(ranged.then(|| range(p)));
        row.extend([p.evidence.clone(), p.reason()]);
        row
    });
    let mut headers = vec!["method", "interval"];
    headers.extend(ranged.then_some("likely range"));
    headers.extend(["rests on", "reason"]);
    SectionView {
        title: "Proposals".into(),
        headers: headers.into_iter().map(String::from).collect(),
        rows: rows.collect(),
        ..SectionView::default()
    }
}

fn decision(chain: &Chain<'_>) -> SectionView {
    let decision = chain.decision;
    let mut paragraphs = vec![decision.reason.clone()];
    let withdrawn = decision.action == Action::Withdraw;
    if decision.rules_fired.is_empty() && !withdrawn {
        paragraphs.push("No rule of the policy changed the leading proposal.".into());
    }
    paragraphs.extend(
        decision
            .rules_fired
            .iter()
            .map(|rule| format!("Rule: {rule}.")),
    );
    paragraphs.extend(when_it_ends(chain));
    if decision.assigned_date < decision.due_date {
        paragraphs.push(format!(
            "To level the workload it is assigned to {}, {} before that.",
            date(decision.assigned_date),
            days(decision.due_date - decision.assigned_date)
        ));
    }
    paragraphs.push(
        "It is advice for the person authorised to set intervals, who may know what the records do not."
            .into(),
    );
    SectionView::of("Decision", paragraphs)
}

/// From when until when the interval decided holds; of what has none, why.
fn when_it_ends(chain: &Chain<'_>) -> Option<String> {
    let (decision, from) = (chain.decision, chain.evidence.last_calibration);
    let end = from + decision.interval_days;
    let counts = || {
        format!(
            "The interval of {} counts from the calibration of {}",
            days(decision.interval_days),
            date(from)
        )
    };
    match decision.action {
        Action::NotDecided => None,
        Action::Withdraw => Some(
            "No interval and no date in force are stated: it must not be used before a check shows it restored. \
             The next interval is decided with that check."
                .into(),
        ),
        _ if end == decision.due_date => Some(format!("{} and ends on {}.", counts(), date(end))),
        _ => Some(format!(
            "{} and ended on {}; an interval decided today makes no item overdue in the past, so that the due date is {}.",
            counts(),
            date(end),
            date(decision.due_date)
        )),
    }
}

#[cfg(test)]
mod tests;
