/*! Failures that an earlier run read and that its records no longer hold: a failure stands until a named person
has closed it, whatever became of its row. */

use super::before::{Before, PREVIOUS};
use super::gone::Gone;
use super::known_failures::{self, FAILURES, KnownFailure, joined};
use super::standing::StandingReport;
use super::{KEPT, settings_sha256};
use crate::conformity::DecisionRule;
use crate::decisions::cases::closings::Closings;
use crate::files::run_error::RunError;
use crate::records::{Histories, Warning};
use crate::settings::plan::Plan;
use std::path::Path;

impl Before {
    /// Reads the failures that the newest earlier run knew, and this date's own report where it had the same settings:
    /// other settings (limits, units, a mapping that is still being found) may have made failures of their own.
    pub(super) fn find_failures(&mut self, plan: &Plan, target: &Path) {
        let own = target.join(KEPT);
        let mut found = self.newest_earlier(plan, target, FAILURES, known_failures::read);
        let own_date = self.standing.as_ref();
        let own_date = own_date.filter(|standing| standing.day() == plan.as_of);
        if found.is_none() && own_date.is_some() {
            found = known_failures::read(&own.join(PREVIOUS)).ok();
        }
        self.earlier_failures = found.unwrap_or_default();
        let same =
            |report: &&StandingReport| report.settings_sha256 == settings_sha256(&plan.settings);
        let today = own_date.filter(same);
        let today = today.and_then(|_| known_failures::read(&own).ok());
        self.failures = joined(self.earlier_failures.clone(), today.unwrap_or_default());
    }

    /// Finds the failures that earlier runs knew and `histories` lack.
    pub(crate) fn find_gone(&mut self, histories: &Histories, rule: &DecisionRule) {
        self.gone = Gone::of(&self.failures, histories, rule);
    }

    /// Remembers the failures that earlier runs knew and `histories` lack. Returns what is to be said of them.
    pub(crate) fn remember_failures(
        &mut self,
        histories: &mut Histories,
        rule: &DecisionRule,
        book: Option<&Closings>,
        as_of: f64,
    ) -> Vec<Warning> {
        self.find_gone(histories, rule);
        let said = self.gone.contradict(histories, book, as_of);
        let said = said.into_iter().map(|(_, warning)| warning);
        said.chain(self.gone.vanished_words(book, as_of)).collect()
    }

    /// Keeps the failures that were `read`, and where a book is kept, in which they can be closed, those that are gone.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn keep_failures(
        &self,
        read: Vec<KnownFailure>,
        is_kept: bool,
        kept: &Path,
    ) -> Result<(), RunError> {
        let gone = self.gone.of_histories.values().flatten();
        let gone = gone.chain(&self.gone.vanished).filter(|_| is_kept);
        known_failures::keep(&joined(read, gone.cloned().collect()), kept)?;
        self.keep_earlier_failures(kept)
    }

    /// Keeps what runs of earlier dates knew of failures, for a run made anew for the same date.
    ///
    /// # Errors
    /// A file that cannot be written.
    fn keep_earlier_failures(&self, kept: &Path) -> Result<(), RunError> {
        if self.earlier_failures.is_empty() {
            return Ok(());
        }
        let folder = kept.join(PREVIOUS);
        std::fs::create_dir_all(&folder).map_err(|why| RunError::write(KEPT, why))?;
        known_failures::keep(&self.earlier_failures, &folder)
    }
}
