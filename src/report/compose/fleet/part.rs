/*! What the front page is told of some histories: the parts of a fleet add up to its view.

Parts are made only of runs without pages, sessions, jobs, books of cases and earlier runs to
compare with: what these tell is empty here.
*/

use super::by_month::{Months, count, pooled};
use super::instruments::Several;
use super::kept_rows::KeptRows;
use super::rows::rows;
use super::{approvals_section, of_run, sentence};
use crate::control::SharedShifts;
use crate::decisions::cases::{failures, unkept_words};
use crate::decisions::controls::Controls;
use crate::drift::stated_groups::GroupsSeen;
use crate::intervals::in_use::Unstated;
use crate::intervals::no_limits;
use crate::records::{Loaded, Warning};
use crate::report::compose::control;
use crate::report::compose::levelled::waiting;
use crate::report::compose::report::Report;
use crate::report::compose::workload::workload;
use crate::report::{FleetView, WorkloadView};
use crate::settings::plan::Plan;
use std::io::Error;
use std::path::Path;

/// What the front page is told of some histories of a fleet.
pub(crate) struct FleetPart {
    /// Histories of the whole fleet.
    all: usize,
    rows: KeptRows,
    workload: Option<WorkloadView>,
    months: Months,
    waiting: (usize, f64),
    several: Several,
    shared: Vec<SharedShifts>,
    /// Checks out of tolerance, and their histories.
    failures: (usize, usize),
    unstated: Unstated,
    /// Failures of items whose checks are all gone.
    pub vanished: Option<Warning>,
    /// Whether any history can be judged as in tolerance or out of it.
    judged: bool,
    groups: GroupsSeen,
}

impl FleetPart {
    /// Nothing yet, of a fleet of so many histories, whose rows wait in a file in `folder`.
    ///
    /// # Errors
    /// A file that cannot be made.
    pub(crate) fn of(histories: usize, folder: &Path) -> Result<Self, Error> {
        Ok(Self {
            all: histories,
            rows: KeptRows::in_folder(folder)?,
            workload: None,
            months: Months::new(),
            waiting: (0, f64::INFINITY),
            several: Several::default(),
            shared: Vec::new(),
            failures: (0, 0),
            unstated: Unstated::default(),
            vanished: None,
            judged: false,
            groups: GroupsSeen::default(),
        })
    }

    /// Adds the histories of one part, which stand at `places` among all.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn add(&mut self, report: &Report<'_>, places: &[u32]) -> Result<(), Error> {
        let histories = &report.results.loaded.histories;
        let decisions = report.decisions;
        let rows = rows(report, self.all, |_| ("", false));
        self.rows.add(places.iter().copied().zip(rows).collect())?;
        let dates = workload(report.plan.as_of, histories, decisions);
        match &mut self.workload {
            Some(all) => all.add(&dates),
            none => *none = Some(dates),
        }
        count(
            places.iter().copied().zip(histories.iter()),
            &mut self.months,
        );
        let (number, oldest) = waiting(decisions);
        self.waiting = (self.waiting.0 + number, self.waiting.1.min(oldest));
        self.several
            .add(Several::of(report, &|index| places[index] as usize));
        self.shared.push(report.stage.controls.shared.clone());
        let rule = report.plan.settings.conformity.decision_rule();
        let (checks, items) = failures(histories, &rule);
        self.failures = (self.failures.0 + checks, self.failures.1 + items);
        let taken = report.plan.settings.intervals.current_interval_days;
        self.unstated.add(Unstated::of(histories, taken));
        self.judged |= no_limits::can_be_judged(histories);
        self.groups.see(histories, &report.plan.settings.drift);
        Ok(())
    }

    /// What is said of intervals in use that nobody states.
    pub(crate) fn unstated(&self, plan: &Plan) -> Option<Warning> {
        let taken = plan.settings.intervals.current_interval_days;
        self.unstated.warning(taken)
    }

    /// What is said where no history has limits.
    pub(crate) fn unlimited(&self) -> Option<Warning> {
        no_limits::warning(self.judged)
    }

    /// What is said of groups that the settings state and no history has.
    pub(crate) fn without_history(&self, plan: &Plan) -> Option<Warning> {
        self.groups.warning(&plan.settings.drift)
    }

    /// Failures that nobody can close.
    pub(crate) fn unkept(&self) -> Option<Warning> {
        unkept_words(self.failures)
    }

    /// The view of all, and the shifts that its items share.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub(crate) fn view(
        mut self,
        plan: &Plan,
        loaded: &Loaded,
    ) -> Result<(FleetView, Controls), Error> {
        let (unclosed, unstated) = (self.unkept(), self.unstated(plan));
        let months = self.months.values_mut();
        months.for_each(|found| found.sort_by_key(|(number, _)| *number));
        let controls = Controls::of_shared(SharedShifts::join(self.shared));
        let sections = [
            control::shared_section(&controls),
            self.several.section(),
            approvals_section(self.waiting, plan.as_of),
        ];
        let view = FleetView {
            process: control::process(&controls, &[]),
            unclosed: sentence(unclosed.as_ref()),
            vanished: sentence(self.vanished.as_ref()),
            unstated: sentence(unstated.as_ref()),
            rows: self.rows.all()?,
            workload: self.workload.unwrap_or_default(),
            out_of_tolerance: pooled(self.months),
            sections: sections.into_iter().flatten().collect(),
            ..of_run(plan, loaded)
        };
        Ok((view, controls))
    }
}
