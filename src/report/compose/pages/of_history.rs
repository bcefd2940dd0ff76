/*! Everything that the page of one history shows, gathered from the results. */

use super::super::adoption;
use super::super::case::Case;
use super::super::cost::Cost;
use super::super::drawn::Drawn;
use super::super::past::{PastPoint, past};
use super::super::report::Report;
use super::super::residuals::residuals_of;
use super::super::sections::EXPLAINED;
use super::super::sessions::sections as session_sections;
use super::super::sessions::values::OnChart;
use super::super::title::title;
use super::super::uncertainty::approved;
use super::super::values;
use super::super::views;
use crate::decisions::conformity_now::LastCheck;
use crate::decisions::policy::guardrails::by_target;
use crate::decisions::policy::{Action, Decision};
use crate::decisions::session_advice::advice_on;
use crate::drift::{Course, Prediction};
use crate::records::{Certificate, Given};
use crate::report::charts::axis_unit;
use crate::report::tables::forecast_days;
use crate::report::{BookView, HistoryView, SectionView};
use crate::thermometry::advice::AdviceKind;
use std::collections::BTreeMap;

impl Report<'_> {
    pub(crate) fn history_view(&self, index: usize, slug: String) -> HistoryView {
        let stage = self.stage;
        let (proposals, mut decision) = stage.decide(index);
        decision.assigned_date = self.decisions[index].assigned_date;
        let history = stage.histories.get(index);
        let fit = &stage.fits.fits[index];
        let course = Course::of(fit, &history, stage.drift.axis);
        let forecast: Vec<(f64, Prediction)> = forecast_days(stage.as_of)
            .filter_map(|day| Some((day, course.as_ref().ok()?.on(day)?)))
            .collect();
        let past = self.past_of(index);
        let warnings = self.warnings_of(index);
        let tested = self.tested(index);
        let explanation = stage.explain(index, &proposals, &decision, &EXPLAINED);
        let rule = self.plan.settings.conformity.decision_rule();
        let last_check = LastCheck::of(&history, &rule).map(|last| {
            let why = stage.controls.against_check(index, &history, last.row);
            last.withheld(why.as_deref())
        });
        let case = Case {
            last_check,
            drawn: self.drawn(index, &decision, &past),
            proposals: &proposals,
            forecast: &forecast,
            tests: tested.section(),
            warnings: &warnings,
            doubts: self.doubts.of(index),
            explanation: &explanation,
            cost: Cost::of(&stage.evidence(index), stage.tables, &decision, &proposals),
            advised: self.advised(index),
            control: (
                stage.controls.charts.get(&index),
                &self.plan.settings.control,
            ),
            run_lengths: stage.controls.lengths.as_ref(),
        };
        let mut view = views::history_view(&case, slug);
        self.add_neighbourhood(&mut view, index);
        let evidence = stage.evidence(index);
        view.target = Some(evidence.target);
        // What is out of use has no interval.
        if !decision.level_in_doubt && decision.action != Action::Withdraw {
            view.targets = by_target(&evidence);
        }
        view.sections.extend(self.value_sections(index, &decision));
        view.sections.extend(self.sessions_of(index));
        view.finding = title(&case, &axis_unit(&view));
        view
    }

    /// What the books, the other points of the instrument, the other sources and the sessions say of
    /// it.
    fn add_neighbourhood(&self, view: &mut HistoryView, index: usize) {
        view.open_cases = self.open_cases(index, &view.slug);
        view.records = self.record_links(index, &view.slug);
        let windows = self.doubts.windows(index).iter();
        let left = windows.filter_map(|window| window.left());
        view.left_tolerance = left
            .filter(|left| left.at.is_finite())
            .map(|left| (left.from, left.at, left.to))
            .collect();
        view.instrument_line = self.instrument_line(index);
        let whole = self.instrument_of(index).map(|own| own.action);
        view.withdrawn_elsewhere =
            whole == Some(Action::Withdraw) && view.action != Action::Withdraw;
        view.residuals = residuals_of(self.stage, index);
        view.sources = self.sources(index);
        view.moved = self.moved(index);
        if let Some(sessions) = self.sessions_on_chart(index) {
            sessions.show(view);
        }
    }

    /// Assigned and predicted values, what was approved, what it contributes to a budget.
    fn value_sections(&self, index: usize, decision: &Decision) -> Vec<SectionView> {
        let stage = self.stage;
        let history = stage.histories.get(index);
        let adoptions = self.adoptions_of(index, adoption::OF_PAGE);
        let advised = stage.advice(index).is_some();
        let given = self.results.loaded.given.as_ref();
        let of_history = given.map(|given| (given, stage.histories.offsets[index]));
        let level = stage.drift.level;
        let mut sections = Vec::new();
        sections.extend(adoption::section(
            &history, of_history, &adoptions, level, advised,
        ));
        if !decision.level_in_doubt {
            sections.extend(approved(stage, index));
        }
        sections.push(values::section(stage, given, index, decision));
        sections
    }

    /// Kind of the advice that the sessions give on the thermometer of this history.
    pub(crate) fn advised(&self, index: usize) -> Option<AdviceKind> {
        let item = &self.results.loaded.histories.items[index];
        let thermometry = self.results.thermometry.as_ref()?;
        advice_on(&thermometry.findings, item).map(|advice| advice.kind)
    }

    /// Names of the files that the checks of history `index` come from, by their number.
    pub(crate) fn sources(&self, index: usize) -> BTreeMap<u32, String> {
        let tables = &self.results.loaded.tables;
        let files = self.stage.histories.get(index).source.iter();
        let named = files.filter_map(|(file, _)| {
            let name = tables.get(*file as usize)?;
            Some((*file, name.to_string()))
        });
        named.collect()
    }

    /// How many readings of history `index` were moved for their source, and by how much at least and at most.
    fn moved(&self, index: usize) -> Option<(usize, f64, f64)> {
        let given = self.results.loaded.given.as_ref()?;
        let offsets = &self.stage.histories.offsets;
        let own = given
            .moved
            .get(*offsets.get(index)?..*offsets.get(index + 1)?)?;
        let changes = own.iter().copied().filter(|change| *change != 0.0);
        let (low, high) = changes
            .clone()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), change| {
                (low.min(change), high.max(change))
            });
        match changes.count() {
            0 => None,
            some => Some((some, low, high)),
        }
    }

    /// The small picture of a history in the book of its group.
    pub(crate) fn book_view(&self, index: usize, slug: String) -> BookView {
        let past = self.past_of(index);
        let drawn = self.drawn(index, &self.decisions[index], &past);
        drawn.book_view(slug)
    }

    /// What of a history is drawn, with its decision and the fit through its past.
    fn drawn<'s>(
        &'s self,
        index: usize,
        decision: &'s Decision,
        past: &'s [PastPoint],
    ) -> Drawn<'s> {
        let stage = self.stage;
        Drawn {
            history: stage.histories.get(index),
            fit: &stage.fits.fits[index],
            decision,
            past,
            windows: self.doubts.windows(index),
            axis: stage.drift.axis,
            level: stage.drift.level,
            as_of: stage.as_of,
        }
    }

    /// What the sessions of raw readings say of this history.
    pub(crate) fn sessions_of(&self, index: usize) -> Vec<SectionView> {
        let item = &self.results.loaded.histories.items[index];
        let thermometry = self.results.thermometry.as_ref();
        thermometry.map_or(Vec::new(), |thermometry| {
            session_sections::sections(thermometry, &item.instrument, &item.point)
        })
    }

    /// Warnings of the screening that name this history.
    pub(crate) fn warnings_of(&self, index: usize) -> Vec<String> {
        let name = self.results.loaded.histories.items[index].name();
        let words = self.warnings.get(name.as_str()).into_iter().flatten();
        words.map(ToString::to_string).collect()
    }

    /// What certificates state of history `index`.
    pub(crate) fn certificates(&self, index: usize) -> Vec<Certificate> {
        let histories = self.stage.histories;
        let of =
            |given: &Given| given.certificates(&histories.get(index), histories.offsets[index]);
        self.results.loaded.given.as_ref().map_or_else(Vec::new, of)
    }

    fn past_of(&self, index: usize) -> Vec<PastPoint> {
        let stage = self.stage;
        let classes = &stage.fits.classes;
        let class = (!classes.of.is_empty()).then(|| classes.of_history(index));
        let history = stage.histories.get(index);
        past(&history, &stage.fits.fits[index], class, stage.drift)
    }

    /// What the sessions of raw readings add to this history's chart.
    pub(crate) fn sessions_on_chart(&self, index: usize) -> Option<OnChart> {
        let thermometry = self.results.thermometry.as_ref();
        thermometry
            .map(|thermometry| thermometry.on_chart(&self.results.loaded.histories.items[index]))
    }
}
