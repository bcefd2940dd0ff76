/*! Which proposal leads: the first allowed one that applies, or all of them by their evidence. */

use super::rule::Rule;
use super::settings::{FirstInterval, PolicySettings, Rules, Weighting};
use crate::intervals::{Evidence, GroupEvidence, MethodName, Proposal};
use crate::words::count;

/// The interval the policy starts from, and who gave it.
pub(crate) struct Lead {
    pub days: f64,
    /// `None` for a first interval, which no method gave.
    pub method: Option<MethodName>,
    /// What gave it: "by drift crossing".
    by: String,
    /// How that came to it, with the mark that stands between; empty where there is nothing more to say.
    how: String,
    pub rule: Option<Rule>,
}

impl Lead {
    /// The part of the reason after the colon. How a method came to its interval tells what it takes the item's level for,
    /// and is left out while that is in doubt.
    pub(crate) fn because(&self, evidence: &Evidence<'_>) -> String {
        match evidence.level_in_doubt {
            true => self.by.clone(),
            false => format!("{}{}", self.by, self.how),
        }
    }
}

/// The leading interval; `None` where no leader applies.
pub(crate) fn lead(
    evidence: &Evidence<'_>,
    proposals: &[Proposal],
    rules: &Rules<'_>,
) -> Option<Lead> {
    let mut candidates = candidates(proposals, rules);
    if evidence.in_or_out_unknown() {
        // Out of what? Only a method that needs no tolerance may speak.
        candidates.retain(|p| p.method == MethodName::UncertaintyGrowth);
    }
    let first = candidates.first()?;
    let days = first.interval_days?;
    if rules.settings.weighting == Weighting::First || candidates.len() == 1 {
        return Some(Lead {
            days,
            method: Some(first.method),
            by: format!("by {}", first.method.words()),
            how: format!(", {}", first.why),
            rule: None,
        });
    }
    let (mut sum, mut weights) = (0.0, 0.0);
    for proposal in &candidates {
        let days = evidence.bounded(proposal.interval_days?);
        let weight = proposal.weight.max(0.0);
        sum += weight * days.ln();
        weights += weight;
    }
    let days = if weights > 0.0 {
        (sum / weights).exp()
    } else {
        days
    };
    let heaviest = candidates
        .iter()
        .rev()
        .max_by(|a, b| a.weight.total_cmp(&b.weight))?;
    let names: Vec<_> = candidates.iter().map(|p| p.method.words()).collect();
    Some(Lead {
        days,
        method: Some(heaviest.method),
        by: format!(
            "by the weight of their evidence from {}; of these the heaviest, {}",
            names.join(", "),
            heaviest.method.words()
        ),
        how: format!(": {}", heaviest.why),
        rule: Some(Rule::new(
            format!("evidence-weighted mean of {} proposals", candidates.len()),
            &format!(": {} d", days.floor()),
        )),
    })
}

/// A first interval for an item that no method can judge yet.
pub(crate) fn first_interval(
    evidence: &Evidence<'_>,
    group: &GroupEvidence,
    settings: &PolicySettings,
) -> Option<Lead> {
    if evidence.history.len() > 1 || evidence.tolerance.is_none() {
        return None;
    }
    let choice = |kind: &FirstInterval| match kind {
        FirstInterval::Register => {
            let days = evidence.history.item.interval_days?;
            Some((days, "the interval that the register states".to_string()))
        }
        FirstInterval::Group => {
            let whose = count(group.intervals as usize, "interval");
            let days = group.typical_interval()?;
            Some((days, format!("the typical one of its group, from {whose}")))
        }
        FirstInterval::Setting => {
            let days = evidence.current_interval * settings.first_factor;
            Some((days, "that of the settings".to_string()))
        }
    };
    let (days, whose) = settings.first_interval.iter().find_map(choice)?;
    Some(Lead {
        days,
        method: None,
        by: format!("a new item with one check starts with {whose}"),
        how: String::new(),
        rule: Some(Rule::new("first interval", &format!(": {whose}"))),
    })
}

/// Applicable proposals that may lead, best first. Where no leader was run at all,
/// whatever was run may lead, in its own order.
fn candidates<'p>(proposals: &'p [Proposal], rules: &Rules<'_>) -> Vec<&'p Proposal> {
    let usable = |p: &&Proposal| p.interval_days.is_some_and(f64::is_finite);
    let ran = |name: &MethodName| proposals.iter().find(|p| p.method == *name);
    if rules.leaders.iter().any(|name| ran(name).is_some()) {
        rules
            .leaders
            .iter()
            .filter_map(ran)
            .filter(usable)
            .collect()
    } else {
        proposals.iter().filter(usable).collect()
    }
}

/// Why no proposal leads: the reason of the first leader that was asked.
pub(crate) fn why_none(proposals: &[Proposal], rules: &Rules<'_>) -> String {
    let asked = rules
        .leaders
        .iter()
        .filter_map(|name| proposals.iter().find(|p| p.method == *name));
    let mut asked = asked.chain(proposals);
    // Missing costs explain nothing where the data themselves fall short.
    let telling = asked.clone().find(|p| p.method != MethodName::LeastCost);
    let none = telling.or_else(|| asked.next());
    none.map_or("no method was run".into(), |p| p.why.clone())
}
