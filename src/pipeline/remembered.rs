/*! The failures of records in parts, and what earlier runs knew of them: as of records that are held at once. */

use crate::files::run_error::RunError;
use crate::ledger::before::Before;
use crate::ledger::gone::Gone;
use crate::ledger::known_failures::{KnownFailure, read_in};
use crate::records::{Histories, Warning};
use crate::settings::plan::Plan;
use crate::words::and_more;
use std::path::Path;

/// The failures of all parts, and those that earlier runs knew and no part has.
#[derive(Default)]
pub(super) struct Remembered {
    read: Vec<KnownFailure>,
    /// Those whose item none of the parts so far has; `None` before the first.
    gone: Option<Gone>,
    /// What is to be said of items, with their places among all.
    said: Vec<(usize, Warning)>,
}

impl Remembered {
    /// Adds a part, and contradicts its records where a failure is gone from them.
    pub(super) fn add(&mut self, run: (&Plan, &Before), histories: &mut Histories, places: &[u32]) {
        let (plan, before) = run;
        let rule = plan.settings.conformity.decision_rule();
        self.read.extend(read_in(histories, &rule, plan.as_of));
        let gone = Gone::of(&before.failures, histories, &rule);
        let said = gone.contradict(histories, None, plan.as_of).into_iter();
        let of_all = said.map(|(index, warning)| (places[index] as usize, warning));
        self.said.extend(of_all);
        match &mut self.gone {
            Some(known) => known.vanished_from_both(gone),
            none => *none = Some(gone),
        }
    }

    /// Keeps the failures for the next run. Returns what is to be said of those that are gone, and those among it of items
    /// that are gone too. Records in parts have no book of cases.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(super) fn hand_over(
        mut self,
        before: &Before,
        as_of: f64,
        kept: &Path,
    ) -> Result<(Vec<Warning>, Vec<Warning>), RunError> {
        before.keep_failures(self.read, false, kept)?;
        self.said.sort_by_key(|(place, _)| *place);
        let said = self.said.into_iter().map(|(_, warning)| warning);
        let gone = self.gone.unwrap_or_default();
        let vanished: Vec<Warning> = gone.vanished_words(None, as_of).collect();
        Ok((said.chain(vanished.iter().cloned()).collect(), vanished))
    }
}

/// The first of `warnings` by name, with how many more there are: for a page.
pub(super) fn first_of(warnings: &[Warning]) -> Option<Warning> {
    let first = warnings.first()?;
    let more = and_more(warnings.len() - 1);
    let words = format!("{}{more}: {}", first.source, first.words);
    Some(Warning::new(&first.source, words))
}
