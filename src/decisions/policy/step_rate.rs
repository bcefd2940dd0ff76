/*! An extension that bears as many sudden steps as agree with the record, where one is asked for.

The rate of steps that a forecast takes is a mean over what classes do, and a small class hardly
moves it: one that steps oftener is told the same, and is extended on it. Where a laboratory
cannot answer for that, an interval grows only as far as the target is met at the largest rate
that agrees with the record of the class too: with no step in n item-years that is 3.0/n a year,
so that it takes some 60 of them for a year at 95 %. What is in use stays; what it gives and what
it costs stands in docs/methods-intervals.md.
*/

use super::rule::Rule;
use super::rules::{Case, Draft, too_little};
use super::settings::StepRate;
use crate::intervals::search::{Crossing, first_below};
use crate::words::{days, percent};

impl Case<'_> {
    /// No growth that the target does not bear at the largest rate of steps that agrees with the
    /// record of the class; says so where nothing counts steps.
    pub(crate) fn beyond_borne_steps(&self, draft: &mut Draft) {
        let current = self.evidence.current_interval;
        if self.rules.settings.step_rate == StepRate::Expected || draft.days <= current {
            return;
        }
        let at = |days: f64| Some((self.forecast()?.at(days)?, self.evidence.tolerance?));
        let Some((then, tolerance)) = at(draft.days).filter(|(p, _)| p.no_step < 1.0) else {
            // First, since the last rule that fired is told as the one that binds.
            let rule = Rule::new(
                "no forecast here counts sudden steps",
                ", and none are borne",
            );
            draft.fired.insert(0, rule);
            return;
        };
        let probability = |days: f64| {
            at(days).map_or(f64::NAN, |(p, limits)| p.probability_at_most_steps(limits))
        };
        let target = self.evidence.target;
        let panels: Vec<f64> = (self.forecast())
            .map(|forecast| forecast.panels(0.0, draft.days))
            .unwrap_or_default();
        let most = match first_below(target, 0.0, &panels, probability) {
            Crossing::AtStart => 0.0,
            Crossing::At(days) => days,
            Crossing::Beyond => return,
        };
        let (asked, most) = (draft.days, most.max(current));
        let ends = match most > current {
            true => format!("at most {}", days(most)),
            false => format!("{} stay", days(current)),
        };
        draft.limit(most, || {
            Rule::new(
                format!(
                    "with as many sudden steps as the record would just bear {} would be in tolerance after {}",
                    too_little(self.evidence, then.probability_at_most_steps(tolerance)),
                    days(asked)
                ),
                &format!(", below the target of {}: {ends}", percent(target)),
            )
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{CALM, decided, proposing};
    use super::*;
    use crate::decisions::policy::decision::{Action, Decision};
    use crate::decisions::policy::settings::PolicySettings;
    use crate::decisions::testing::*;

    /// Decided over three yearly checks of an item whose record would just bear ten times `expected`
    /// steps a year.
    fn with(expected: f64, step_rate: StepRate) -> Decision {
        let record = Record::new()
            .check(0.0, 0.0)
            .check(365.0, 0.05)
            .check(730.0, 0.0);
        let known = Known {
            step_rate: expected,
            ..CALM
        };
        let settings = PolicySettings {
            step_rate,
            ..PolicySettings::default()
        };
        decided(record, &known.fit(730.0, 3), &proposing(700.0), &settings)
    }

    /// exp(−0.04·t) = 0.95 at t = 1.2823 years, 468.4 d, where the item's own error is still far
    /// from its limits.
    #[test]
    fn an_extension_ends_where_the_most_steps_leave_the_target() {
        let bearing = with(0.004, StepRate::Largest);
        assert_eq!(
            (bearing.action, bearing.interval_days),
            (Action::Extend, 468.0)
        );
        let told = "with as many sudden steps as the record would just bear only 92.6 % would be in tolerance after 700 d, below the target of 95 %: at most 468 d";
        says!(bearing.reason, told);
        assert_eq!(with(0.004, StepRate::Expected).interval_days, 700.0);
    }

    /// At a tenth of a step a year the target is left after 187 d: no growth, and no shortening.
    #[test]
    fn an_interval_in_use_stays_where_the_most_steps_would_shorten_it() {
        let bearing = with(0.01, StepRate::Largest);
        assert_eq!(
            (bearing.action, bearing.interval_days),
            (Action::Keep, 365.0)
        );
        assert!(
            bearing.reason.ends_with(": 365 d stay."),
            "{}",
            bearing.reason
        );
    }

    #[test]
    fn where_nothing_counts_steps_the_rule_says_so() {
        let told = |step_rate| {
            let decision = with(0.0, step_rate);
            assert_eq!(decision.interval_days, 700.0);
            decision.rules_fired.iter().map(Rule::to_string).collect()
        };
        let rules: Vec<String> = told(StepRate::Largest);
        assert_eq!(
            rules,
            ["no forecast here counts sudden steps, and none are borne"]
        );
        assert!(told(StepRate::Expected).is_empty());
    }
}
