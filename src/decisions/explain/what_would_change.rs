/*! What would change a decision: one more check, another target, other costs, sudden steps. */

use super::Chain;
use super::next_check::next_check;
use super::steps::steps_borne;
use crate::intervals::{DriftCrossing, Evidence, LeastCost, Method, MethodName};
use crate::section::SectionView;
use crate::words::{capitalised, days, percent};

/// Targets whose interval is shown beside the target in force.
const OTHER_TARGETS: [f64; 3] = [0.99, 0.95, 0.90];

/// The part of the explanation on what would change the decision.
pub(super) fn what_would_change(chain: &Chain<'_>) -> SectionView {
    let mut paragraphs: Vec<String> = chain
        .decision
        .what_would_change
        .iter()
        .map(|change| format!("{}.", capitalised(change)))
        .collect();
    if let Some(next) = next_check(chain) {
        paragraphs.push(next.sentence(chain));
    }
    if chain.decision.method == Some(MethodName::IntervalTest) {
        let settings = &chain.tables.methods.interval_test;
        let words = settings.what_would_lengthen(chain.evidence, chain.group);
        paragraphs.extend(words.map(|words| format!("{words}.")));
    }
    paragraphs.extend(other_targets(chain));
    paragraphs.extend(costs_of_others(chain));
    paragraphs.extend(steps_borne(chain));
    if paragraphs.is_empty() {
        paragraphs.push(
            "Values instead of in or out of tolerance, and the uncertainty of each: without them nothing can be forecast."
                .into(),
        );
    }
    SectionView::of("What would change it", paragraphs)
}

/// "… the target would be met: 99 % for 210 d; 90 % for 510 d."
fn other_targets(chain: &Chain<'_>) -> Option<String> {
    if chain.decision.level_in_doubt {
        return None;
    }
    let parts: Vec<String> = OTHER_TARGETS
        .iter()
        .filter(|target| **target != chain.evidence.target)
        .filter_map(|target| {
            let evidence = Evidence {
                target: *target,
                ..*chain.evidence
            };
            let proposal = DriftCrossing.propose(&evidence, chain.group);
            let interval = proposal.interval_days?;
            let target = percent(*target);
            Some(match interval < evidence.floor {
                true => format!(
                    "{target} not even for the shortest, {}",
                    days(evidence.floor)
                ),
                false => format!("{target} for {}", days(evidence.bounded(interval))),
            })
        })
        .collect();
    (!parts.is_empty()).then(|| {
        format!(
            "By the forecast, within the intervals allowed, the target would be met: {}.",
            parts.join("; ")
        )
    })
}

/// What the interval in use, and that of the target, cost against the decision.
fn costs_of_others(chain: &Chain<'_>) -> Vec<String> {
    let method = LeastCost {
        settings: chain.tables.methods.least_cost.clone(),
    };
    let chosen = chain.decision.interval_days;
    let target = DriftCrossing
        .propose(chain.evidence, chain.group)
        .interval_days
        .map(|d| chain.evidence.bounded(d));
    let mut others = vec![chain.evidence.current_interval];
    others.extend(target);
    others
        .into_iter()
        .filter(|other| (other - chosen).abs() >= 1.0)
        .filter_map(|other| method.price(chain.evidence, chosen, other))
        .map(|price| format!("{}.", capitalised(&price)))
        .collect()
}
