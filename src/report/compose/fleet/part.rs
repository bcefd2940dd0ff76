/*! What the front page is told of some histories: the parts of a fleet add up to its view.

Parts are made only of runs without pages, sessions, jobs, books of cases and earlier runs to
compare with: what these tell is empty here.
*/

use super::by_month::{Months, count, pooled};
use super::instruments::Several;
use super::rows::rows;
use super::{approvals_section, of_run, sentence};
use crate::control::SharedShifts;
use crate::decisions::cases::{failures, unkept_words};
use crate::decisions::controls::Controls;
use crate::intervals::in_use::Unstated;
use crate::records::{Loaded, Warning};
use crate::report::compose::control;
use crate::report::compose::levelled::waiting;
use crate::report::compose::report::Report;
use crate::report::compose::workload::workload;
use crate::report::page::ROWS_TOLD;
use crate::report::{FleetRow, FleetView, WorkloadView};
use crate::settings::plan::Plan;
use rayon::prelude::*;
use std::ops::Range;

/// What the front page is told of some histories of a fleet.
#[derive(Default)]
pub(crate) struct FleetPart {
    /// Histories of the whole fleet.
    all: usize,
    /// Their rows, each with its place among all.
    rows: Vec<(u32, FleetRow)>,
    /// Those that may be shown, as far as is known: the most urgent.
    told: Vec<usize>,
    workload: Option<WorkloadView>,
    months: Months,
    waiting: (usize, f64),
    several: Several,
    shared: Vec<SharedShifts>,
    /// Checks out of tolerance, and their histories.
    failures: (usize, usize),
    unstated: Unstated,
}

impl FleetPart {
    /// Nothing yet, of a fleet of so many histories.
    pub(crate) fn with_room(histories: usize) -> Self {
        Self {
            all: histories,
            rows: Vec::with_capacity(histories),
            waiting: (0, f64::INFINITY),
            ..Self::default()
        }
    }

    /// Adds the histories of one part, which stand at `places` among all.
    pub(crate) fn add(&mut self, report: &Report<'_>, places: &[u32]) {
        let histories = &report.results.loaded.histories;
        let decisions = report.decisions;
        let rows = rows(report, self.all, |_| ("", false));
        let added = self.rows.len()..self.rows.len() + rows.len();
        self.rows.extend(places.iter().copied().zip(rows));
        self.forget_words(added);
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
    }

    /// What is said of intervals in use that nobody states.
    pub(crate) fn unstated(&self, plan: &Plan) -> Option<Warning> {
        let taken = plan.settings.intervals.current_interval_days;
        self.unstated.warning(taken)
    }

    /// Leaves out the words of rows that no list shows, since enough others are more urgent; a part
    /// by itself would keep those of most of its rows.
    fn forget_words(&mut self, added: Range<usize>) {
        let rows = &self.rows;
        self.told.extend(added);
        self.told
            .sort_unstable_by_key(|row| (rows[*row].1.urgency(), rows[*row].0));
        let kept = self.told.len().min(ROWS_TOLD);
        for row in self.told.drain(kept..) {
            self.rows[row].1.forget_words();
        }
    }

    /// Failures that nobody can close.
    pub(crate) fn unkept(&self) -> Option<Warning> {
        unkept_words(self.failures)
    }

    /// The view of all, and the shifts that its items share.
    pub(crate) fn view(mut self, plan: &Plan, loaded: &Loaded) -> (FleetView, Controls) {
        let (unclosed, unstated) = (self.unkept(), self.unstated(plan));
        self.rows.par_sort_unstable_by_key(|(place, _)| *place);
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
            unstated: sentence(unstated.as_ref()),
            rows: self.rows.into_iter().map(|(_, row)| row).collect(),
            workload: self.workload.unwrap_or_default(),
            out_of_tolerance: pooled(self.months),
            sections: sections.into_iter().flatten().collect(),
            ..of_run(plan, loaded)
        };
        (view, controls)
    }
}
