/*! The one procedure from a history to its decision, whoever asks: a run, a verdict, an
explanation and its one more check, a replay of the past, a closed loop.

Every method proposes, the policy picks one, and then whatever else speaks is heeded in a fixed
order: adjustments that seem to be missing, shifts that many items share, readings that no other confirms, the sessions of a
thermometer, control charts, the decision rule, a record that contradicts itself, open cases. The last word is the due date.
*/

use super::cases::closings::Closings;
use super::cases::{self, Finding, findings, open_findings};
use super::controls::Controls;
use super::failed_points::unclosed_failure;
use super::policy::guardrails::within_forecast;
use super::policy::remedied::RemedyRule;
use super::policy::{Action, Decision, PastDecision, decide, end_with_due};
use super::small_class::{KnownClasses, SmallClass};
use super::suspects::with_and_without;
use super::waiting::Waiting;
use super::{approvals, check_advice, conformity_now, contradiction, remedy, session_advice};
use crate::decisions::DecisionTables;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::diagnostics::suspects::without;
use crate::drift::diagnostics::unconfirmed::{
    LastReading, expected, last_reading, reading_adjusted_away,
};
use crate::drift::{DriftSettings, Fit, fit_model};
use crate::intervals::{Evidence, GroupEvidence, Method, Proposal, in_use, proposals};
use crate::records::{Histories, History};
use crate::thermometry::advice::Advice;
use crate::thermometry::session_findings::SessionFindings;
use crate::words::full_stop;
use std::borrow::Cow;

/// The target beside every decision, for work that must hardly ever be in doubt.
const NEARLY_SURE: f64 = 0.99;

/// A last reading beyond this share of its band may lie outside once its own part in a small
/// class is taken out: of ten readings, one three standard deviations off raises their
/// scatter by a third.
const WORTH_A_REFIT: f64 = 0.6;

/// What the decisions of one day rest on, whichever history they are of.
#[derive(Clone, Copy)]
pub(crate) struct Procedure<'a> {
    /// The methods, in the order of the proposals table.
    pub methods: &'a [Box<dyn Method>],
    /// Settings of the methods and the policy.
    pub tables: &'a DecisionTables,
    /// Settings of the drift.
    pub drift: &'a DriftSettings,
    /// Sessions of thermometers, whose advice a decision heeds.
    pub thermometry: Option<&'a SessionFindings>,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<&'a Closings>,
    /// The control charts; `None` where nothing is charted.
    pub controls: Option<&'a Controls>,
    /// Classes known from earlier runs.
    pub known: &'a dyn KnownClasses,
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
}

/// One history as it is known on that day, and what others lend it.
pub(crate) struct Subject<'a> {
    /// Its place among all histories.
    pub index: usize,
    /// Its checks, under the register's row.
    pub history: History<'a>,
    pub fit: &'a Fit,
    /// What its class lends to the drift.
    pub class: &'a ClassParameters,
    /// What its group lends to the methods.
    pub group: &'a GroupEvidence,
    /// Its earlier decisions, by the decision log.
    pub past: &'a [PastDecision],
    /// Its class, where that is a small one.
    pub small_class: &'a dyn Fn() -> Option<SmallClass>,
    /// The histories of the other points of its instrument.
    pub points: &'a dyn Fn() -> Vec<History<'a>>,
    /// Name of another point of its instrument that must not be used; asked where the interval is to grow.
    pub withdrawn: &'a dyn Fn() -> Option<String>,
}

impl Procedure<'_> {
    pub(crate) fn evidence<'h>(&self, history: History<'h>, fit: &'h Fit) -> Evidence<'h> {
        let drift = (self.drift.axis, self.drift.level);
        Evidence::new(history, fit, &self.tables.intervals, drift, self.as_of)
    }

    /// The same for what is decided on: whether its level is in doubt is known before any method speaks.
    fn evidence_on<'h>(
        &self,
        subject: &Subject<'_>,
        history: History<'h>,
        fit: &'h Fit,
    ) -> Evidence<'h> {
        let (index, own) = (subject.index, &subject.history);
        Evidence {
            level_in_doubt: self
                .controls
                .is_some_and(|c| c.speaks_against_checks(index, own)),
            ..self.evidence(history, fit)
        }
    }

    /// Proposals and decision, and in words how the decision would differ without readings that
    /// lie far off the others.
    pub(crate) fn decide(&self, subject: &Subject<'_>) -> (Vec<Proposal>, Decision) {
        let evidence = self.evidence_on(subject, subject.history, subject.fit);
        let (proposals, mut decision) = self.by_policy(&evidence, subject);
        let extends = decision.action == Action::Extend;
        let without = self.without_suspects(subject);
        let compared = without
            .as_ref()
            .and_then(|without| with_and_without(&evidence, &decision, without));
        if let Some(missing) = &subject.class.missing {
            Waiting::of_missing(missing).hold(&evidence, &mut decision);
        }
        if let Some(words) = &subject.history.item.untold_source {
            Waiting::of_source(words).hold_or_tell(&evidence, &mut decision);
        }
        if let Some(controls) = self.controls {
            controls.apply_shared(subject.index, &evidence, &mut decision);
        }
        self.hold_what_waits(subject, &evidence, without.as_ref(), &mut decision);
        // What is withdrawn for its last check says so itself.
        if decision.action != Action::Withdraw {
            self.failures(subject, &evidence, &mut decision);
        }
        if let Some(sentence) = compared {
            decision.reason = format!("{} {sentence}", full_stop(&decision.reason));
        }
        if let Some(thermometry) = self.thermometry {
            let advice = self.advice(subject);
            session_advice::apply(thermometry, advice.as_ref(), &evidence, &mut decision);
        }
        if let Some(controls) = self.controls {
            controls.apply(subject.index, &evidence, &mut decision);
        }
        let rule = self.tables.conformity.decision_rule();
        conformity_now::apply(&evidence, &rule, &mut decision);
        contradiction::apply(&evidence, &mut decision);
        let open = open_findings(&evidence.history, &rule, self.closings, self.as_of);
        decision.open_cases = self.closings.map(|_| open.len());
        cases::apply(&evidence, &open, self.closings, &mut decision);
        approvals::apply(&evidence, self.tables.policy.smallest_change, &mut decision);
        if let Some(words) = in_use::unstated(&evidence) {
            decision.reason = format!("{} {words}.", full_stop(&decision.reason));
        }
        end_with_due(&evidence, &mut decision);
        if !decision.level_in_doubt {
            if !matches!(decision.action, Action::Withdraw | Action::NotDecided) {
                let nearly_sure = within_forecast(&evidence, NEARLY_SURE);
                decision.interval_99_days = nearly_sure.unwrap_or(f64::NAN);
            }
            if !extends && without.is_none() && open.is_empty() {
                self.remedy(&evidence, subject, &mut decision);
            }
        }
        (proposals, decision)
    }

    /// Holds a longer interval where the record has to say more first, or asks a person about a shorter one.
    fn hold_what_waits(
        &self,
        subject: &Subject<'_>,
        evidence: &Evidence<'_>,
        without: Option<&Decision>,
        decision: &mut Decision,
    ) {
        if decision.interval_days > evidence.current_interval
            && let Some(waiting) = self.waiting(evidence, subject, without)
        {
            waiting.hold(evidence, decision);
        } else if !decision.action.needs_person()
            && let Some(waiting) = self.unconfirmed(evidence, subject)
        {
            waiting.ask(decision);
        }
    }

    /// Proposes a remedy where a known error shortens the interval, and nothing else speaks of the item.
    fn remedy(&self, evidence: &Evidence<'_>, subject: &Subject<'_>, decision: &mut Decision) {
        let policy = &self.tables.policy;
        let undecided = decision.action == Action::NotDecided;
        if undecided || policy.remedy == RemedyRule::None || self.in_question(evidence, subject) {
            return;
        }
        let Some((after, error)) = remedy::remedied(evidence, decision, policy.remedy_share) else {
            return;
        };
        let unconfirmed = self
            .last_reading(subject)
            .is_none_or(|last| last.is_outside());
        if !unconfirmed {
            let then = self.by_policy(&after, subject).1;
            let rule = (policy.remedy, policy.smallest_change);
            remedy::propose((evidence, error), &then, rule, decision);
        }
    }

    /// Whether its record, its class, its sessions or its charts leave open what its value is.
    fn in_question(&self, evidence: &Evidence<'_>, subject: &Subject<'_>) -> bool {
        let (item, history) = (subject.history.item, &evidence.history);
        let good_checks = self.tables.policy.checks_after_failure;
        let failed = || unclosed_failure(history, good_checks, self.as_of);
        item.left_open(self.as_of).is_some()
            || item.untold_source.is_some()
            || subject.class.missing.is_some()
            || self.advice(subject).is_some()
            || self
                .controls
                .is_some_and(|controls| controls.speaks_against_checks(subject.index, history))
            || self.closings.is_none() && failed().is_some()
    }

    /// What the methods propose on `evidence` and the policy makes of it.
    fn by_policy(
        &self,
        evidence: &Evidence<'_>,
        subject: &Subject<'_>,
    ) -> (Vec<Proposal>, Decision) {
        let (group, past) = (subject.group, subject.past);
        let proposals = proposals(self.methods, evidence, group);
        let decision = decide(evidence, &proposals, group, &self.tables.policy, past);
        (proposals, decision)
    }

    /// What would be decided without the suspect readings; `None` where there are none.
    fn without_suspects(&self, subject: &Subject<'_>) -> Option<Decision> {
        let suspects = &subject.fit.suspects;
        if suspects.is_empty() {
            return None;
        }
        let others = without(&subject.history, suspects);
        let rest = others.get(0);
        let class = match (subject.small_class)() {
            Some(small_class) => Cow::Owned(self.class_with(&small_class, &others)),
            None => Cow::Borrowed(subject.class),
        };
        let again = fit_model(&rest, &class, self.drift);
        Some(
            self.by_policy(&self.evidence_on(subject, rest, &again), subject)
                .1,
        )
    }

    /// What is advised on the thermometer that the subject is, by its last session or by its last check.
    pub(super) fn advice(&self, subject: &Subject<'_>) -> Option<Advice> {
        self.advice_of(&subject.history, subject.class)
    }

    /// The same of any history, by what its class lends.
    pub(super) fn advice_of(
        &self,
        history: &History<'_>,
        class: &ClassParameters,
    ) -> Option<Advice> {
        let thermometry = self.thermometry?;
        let row = history.len().saturating_sub(1);
        let expected = || expected(history, row, class, self.drift);
        check_advice::of_check(thermometry, history, expected)
            .or_else(|| session_advice::advice_on(thermometry, history.item).cloned())
    }

    /// What a longer interval has to wait for, where it rests on a reading that no other
    /// confirms; `without` is the decision without the suspect readings.
    fn waiting(
        &self,
        evidence: &Evidence<'_>,
        subject: &Subject<'_>,
        without: Option<&Decision>,
    ) -> Option<Waiting> {
        if let Some(waiting) = self.unconfirmed(evidence, subject) {
            return Some(waiting);
        }
        let longer = without?.interval_days > evidence.current_interval;
        (!longer).then(|| Waiting::of_suspects(&evidence.history, evidence.fit))
    }

    /// What a last reading waits for that no other confirms.
    fn unconfirmed(&self, evidence: &Evidence<'_>, subject: &Subject<'_>) -> Option<Waiting> {
        let last = self.last_reading(subject).filter(LastReading::is_outside);
        Waiting::of_last(&evidence.history, evidence.fit, last)
    }

    /// Puts into the decision what was found out of tolerance and nobody has closed: the last check asks a person, an earlier
    /// one holds the interval or is told.
    fn failures(&self, subject: &Subject<'_>, evidence: &Evidence<'_>, decision: &mut Decision) {
        let longer = decision.interval_days > evidence.current_interval;
        if let Some(waiting) = self.of_last_check(subject) {
            waiting.hold(evidence, decision);
            waiting.ask(decision);
        }
        let good_checks = self.tables.policy.checks_after_failure;
        let failed = unclosed_failure(&evidence.history, good_checks, self.as_of);
        if let (None, Some(day)) = (self.closings, failed) {
            Waiting::of_failure(day, good_checks).hold_or_tell(evidence, decision);
            decision.unclosed = failed.filter(|_| !longer);
        }
        self.hold_for_points(subject, evidence, decision);
    }

    /// What was found at the last check and set right at once asks a person all the same: nobody
    /// has said what became of the work done before. Where a book is kept, its cases say so.
    fn of_last_check(&self, subject: &Subject<'_>) -> Option<Waiting> {
        let history = &subject.history;
        let asked = self.closings.is_none() && self.tables.policy.checks_after_failure > 0;
        let rule = self.tables.conformity.decision_rule();
        let last = |finding: &Finding| finding.row + 1 == history.len();
        let found = asked.then(|| findings(history, &rule).pop()).flatten();
        found
            .filter(last)
            .map(|finding| Waiting::of_finding(&finding))
            .or_else(|| self.adjusted_away(subject))
    }

    /// A last reading far off those before it that was adjusted away before another confirmed it.
    fn adjusted_away(&self, subject: &Subject<'_>) -> Option<Waiting> {
        let (history, fit) = (&subject.history, subject.fit);
        let far_off = self.tables.policy.far_off;
        let last = reading_adjusted_away(history, subject.class, self.drift, far_off)?;
        let outside = Some(last).filter(LastReading::is_outside);
        outside.and_then(|last| Waiting::of_last(history, fit, Some(last)))
    }

    /// The last reading against the band that those before it predict.
    pub(super) fn last_reading(&self, subject: &Subject<'_>) -> Option<LastReading> {
        let history = &subject.history;
        let far_off = self.tables.policy.far_off;
        let last = last_reading(history, subject.class, self.drift, far_off)?;
        if last.share_of_band < WORTH_A_REFIT || last.is_outside() {
            return Some(last);
        }
        let Some(small_class) = (subject.small_class)().filter(SmallClass::one_reading_sways)
        else {
            return Some(last);
        };
        let mut others = history.alone();
        others.columns.as_found[last.row] = f64::NAN;
        others.columns.as_left[last.row] = f64::NAN;
        let class = self.class_with(&small_class, &others);
        last_reading(history, &class, self.drift, far_off)
    }

    fn class_with(&self, small_class: &SmallClass, others: &Histories) -> ClassParameters {
        small_class.class_with(others, self.drift, self.known)
    }
}
