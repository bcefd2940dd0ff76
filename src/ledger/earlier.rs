/*! What earlier runs leave to later ones: decisions, the same for a run, an explanation and a
verdict, and results that need not be computed again. */

use super::before::Before;
use super::memory::Memory;
use crate::decisions::cases::closings::Closings;
use crate::decisions::policy::PastDecision;
use crate::files::meant::resolved;
use crate::records::Histories;
use crate::settings::plan::Plan;
use std::path::PathBuf;

/// What earlier runs left, without a run: by the ledger and the reports that stand beside the plan's folder.
pub(crate) fn looked_back(plan: &Plan) -> Before {
    let target = resolved(&plan.out).unwrap_or_else(|_| plan.out.clone());
    let mut before = Before::look(plan, &target);
    before.look_back(plan, &target);
    before
}

/// Earlier decisions of each history; empty where nothing asks for them.
pub(crate) fn earlier_decisions(plan: &Plan, histories: &Histories) -> Vec<Vec<PastDecision>> {
    looked_back(plan).past(histories, plan.settings.intervals.current_interval_days)
}

/// Remembers the failures that the last run knew and the records lack, as a run does.
pub(crate) fn remember_failures(plan: &Plan, histories: &mut Histories, book: Option<&Closings>) {
    let rule = plan.settings.conformity.decision_rule();
    looked_back(plan).remember_failures(histories, &rule, book, plan.as_of);
}

/// Classes and groups that the reports beside the plan's folder leave to later ones.
pub(crate) fn earlier_results(plan: &Plan) -> Memory {
    Memory::of(&known_folders(plan))
}

/// Folders of reports that may serve a question: the plan's own, and that of its latest run.
pub(crate) fn known_folders(plan: &Plan) -> Vec<PathBuf> {
    let target = resolved(&plan.out).unwrap_or_else(|_| plan.out.clone());
    Before::look(plan, &target).known_folders(&target)
}
