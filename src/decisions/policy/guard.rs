/*! No interval is kept at which its group is significantly below the target.

Methods that step from one result of one item (staircase, responses) or fit R(t) since renewal
may leave an interval at which the group's checks are found out of tolerance too often. Where
the exact upper limit of the proportion in tolerance near the interval in use lies below the
target, the interval is at most that of the interval test. A forecast of the item's own values
is not bound by it: the item may be better than its group.
*/

use super::rule::Rule;
use super::rules::Most;
use super::settings::PolicySettings;
use crate::intervals::exact_test::{contradicts, of_results};
use crate::intervals::{Evidence, GroupEvidence, MethodName};
use crate::words::{days, percent};

/// Methods that look at the item's own values.
const BY_OWN_VALUES: [MethodName; 5] = [
    MethodName::DriftCrossing,
    MethodName::LeastCost,
    MethodName::UncertaintyGrowth,
    MethodName::ControlChart,
    MethodName::GroupRegression,
];

/// Whether the policy looks at the group where `leader` leads.
pub(crate) fn follows_group(leader: Option<MethodName>) -> bool {
    !leader.is_some_and(|name| BY_OWN_VALUES.contains(&name))
}

/// The most that the results of `group` near the interval in use allow where `leader` leads.
pub(crate) fn below_target(
    evidence: &Evidence<'_>,
    group: &GroupEvidence,
    settings: &PolicySettings,
    leader: Option<MethodName>,
) -> Option<Most> {
    if !follows_group(leader) || evidence.in_or_out_unknown() {
        return None;
    }
    let interval = evidence.current_interval;
    let seen = group.outcomes_near(interval);
    let confidence = settings.below_target_confidence;
    let shortens = seen.checks > 0 && contradicts(&seen, evidence.target, confidence);
    shortens.then(|| {
        let found = of_results(&seen, evidence.target, confidence);
        let most = interval * found.factor;
        Most {
            days: most,
            rule: Rule::new(
                format!(
                    "near {} only {} of {} results of group \"{}\" were in tolerance",
                    days(interval),
                    seen.inside,
                    seen.checks,
                    group.name
                ),
                &format!(
                    " ({} at most, at {} confidence), below the target of {}: at most {}",
                    percent(found.limits.1),
                    percent(confidence),
                    percent(evidence.target),
                    days(most)
                ),
            ),
        }
    })
}

#[cfg(test)]
mod tests {
    use crate::decisions::policy::decide;
    use crate::decisions::policy::decision::Action;
    use crate::decisions::policy::settings::PolicySettings;
    use crate::decisions::testing::*;
    use crate::intervals::Method;
    use crate::intervals::methods::staircase::Staircase;

    /// 40 items found out of tolerance at 15 % of their yearly checks, each restored: whatever
    /// the staircase says after a pass, no item keeps the interval.
    #[test]
    fn no_item_keeps_an_interval_at_which_its_group_fails() {
        let member = |item: usize| {
            let mut record = Record::new();
            record.item.group = "gauges".into();
            for check in 0..11 {
                let out = check > 0 && check < 10 && (7 * item + check).is_multiple_of(6);
                record = record.outcome(365.0 * check as f64, !out);
            }
            record
        };
        let histories = fleet((0..40).map(member));
        let groups = EvidenceByGroup::build(&histories, Default::default());
        let fit = unfitted(Status::OutcomesOnly);
        let evidence = evidence(&histories, &fit);
        let group = groups.lent_to(&evidence.history);
        let proposals = [Staircase::default().propose(&evidence, group)];
        assert_eq!(proposals[0].interval_days, Some(365.0));
        let settings = PolicySettings::default();
        let decision = decide(&evidence, &proposals, group, &settings, &[]);
        assert_eq!(decision.action, Action::Shorten, "{}", decision.reason);
        says!(decision.reason, "below the target of 95 %");
        let off = PolicySettings {
            below_target_confidence: 1.0,
            ..settings
        };
        let decision = decide(&evidence, &proposals, group, &off, &[]);
        assert_eq!(decision.action, Action::Keep);
    }
}
