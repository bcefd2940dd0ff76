/*! What earlier runs leave to later ones: decisions, the same for a run, an explanation and a
verdict, and results that need not be computed again. */

use super::before::Before;
use super::memory::Memory;
use crate::decisions::policy::PastDecision;
use crate::files::meant::resolved;
use crate::records::Histories;
use crate::settings::plan::Plan;
use std::path::{Path, PathBuf};

/// Earlier decisions of each history for a run that will stand in `target`; empty where
/// nothing asks for them.
pub(crate) fn past_decisions(
    plan: &Plan,
    before: &mut Before,
    target: &Path,
    histories: &Histories,
) -> Vec<Vec<PastDecision>> {
    if !plan.keeps_state() {
        return Vec::new();
    }
    before.find_previous(plan, target);
    before.past(histories, plan.settings.intervals.current_interval_days)
}

/// The same without a run: by the ledger and the reports that stand beside the plan's folder.
pub(crate) fn earlier_decisions(plan: &Plan, histories: &Histories) -> Vec<Vec<PastDecision>> {
    let target = resolved(&plan.out).unwrap_or_else(|_| plan.out.clone());
    let mut before = Before::look(plan, &target);
    past_decisions(plan, &mut before, &target, histories)
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
