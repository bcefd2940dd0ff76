/*! The book of closings in a run, and what is said where none is kept. */

use super::deciding::charted;
use crate::conformity::DecisionRule;
use crate::decisions::cases;
use crate::decisions::cases::closings::Closings;
use crate::decisions::cases::grown::grown_while_open;
use crate::decisions::controls::Controls;
use crate::decisions::session_advice::apply_cases;
use crate::drift::Classes;
use crate::ledger::gone::Gone;
use crate::records::{Histories, LoadError, Warning};
use crate::settings::output::Charts;
use crate::settings::plan::Plan;
use crate::thermometry::session_findings::SessionFindings;

/// The book of closings, and what is to be said where none is kept.
pub(super) struct Book {
    pub closings: Option<Closings>,
    pub rule: DecisionRule,
    pub unkept: Option<Warning>,
}

impl Book {
    pub(super) fn of(plan: &Plan, histories: &Histories) -> Result<Self, LoadError> {
        let closings = plan.closings()?;
        let rule = plan.settings.conformity.decision_rule();
        let unkept = match closings {
            Some(_) => None,
            None => cases::unkept(histories, &rule),
        };
        Ok(Self {
            closings,
            rule,
            unkept,
        })
    }

    /// Its lines on the sessions of thermometers.
    pub(super) fn apply(&self, findings: &mut SessionFindings, histories: &Histories, as_of: f64) {
        let closings = self.closings.as_ref();
        apply_cases(findings, histories, &self.rule, closings, as_of);
    }

    /// The control charts: of all charted histories where they are drawn or told, else of the
    /// check standards alone.
    pub(super) fn charted(
        &self,
        plan: &Plan,
        histories: &Histories,
        classes: &Classes,
    ) -> Controls {
        let all = plan.settings.output.charts != Charts::None || plan.keeps_state();
        charted(plan, histories, classes, self.closings.as_ref(), &|_| all)
    }

    /// What is to be said of its lines, or of its absence.
    pub(super) fn warnings(
        &self,
        histories: &Histories,
        controls: &Controls,
        gone: &Gone,
    ) -> Vec<Warning> {
        let others = |index: usize| {
            let signals = controls.signal_days(index).into_iter();
            signals.chain(gone.days(index)).collect()
        };
        let vanished = |instrument: &str, point: &str| gone.vanished_days(instrument, point);
        match &self.closings {
            Some(book) => {
                let mut said = book.said(histories, &self.rule, &others, &vanished);
                said.extend(grown_while_open(histories, &self.rule, book));
                said
            }
            None => self.unkept.iter().cloned().collect(),
        }
    }
}
