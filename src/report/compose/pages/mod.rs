/*! Charts and pages of a run: which histories get one, and the files they go to. */

mod files;
pub(crate) mod keys;
mod list;
pub(crate) mod spare;

use super::adoption;
use super::case::Case;
use super::conformity;
use super::control;
use super::cost::Cost;
use super::diagnostics;
use super::diagnostics::Tested;
use super::drawn::Drawn;
use super::fleet::fleet_view;
use super::given;
use super::past::{PastPoint, past};
use super::report::Report;
use super::residuals::residuals_of;
use super::sections::EXPLAINED;
use super::sessions::sections as session_sections;
use super::sessions::values::OnChart;
use super::title::title;
use super::uncertainty::approved;
use super::values;
use super::views;
use super::write::write_text;
use crate::decisions::conformity_now::LastCheck;
use crate::decisions::conformity_record::{self, Record};
use crate::decisions::policy::guardrails::by_target;
use crate::decisions::policy::{Action, Decision};
use crate::decisions::session_advice::advice_on;
use crate::drift::adoption::past::{PastAdoption, past_adoptions};
use crate::drift::{Course, Prediction};
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::records::{Certificate, Given, Warning};
use crate::report::charts::axis_unit;
use crate::report::page::index_page;
use crate::report::table_writer::TableFolder;
use crate::report::tables::forecast_days;
use crate::report::{BookView, FleetView, HistoryView, SectionView, calendar, slugs, summary};
use crate::settings::output::Charts;
use crate::thermometry::advice::AdviceKind;
use keys::Pages;
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::path::Path;

/// Warnings by their source.
pub(crate) fn by_source(warnings: &[Warning]) -> HashMap<&str, Vec<&str>> {
    let mut found: HashMap<&str, Vec<&str>> = HashMap::new();
    for warning in warnings {
        found
            .entry(&warning.source)
            .or_default()
            .push(&warning.words);
    }
    found
}

impl Report<'_> {
    /// Writes the tables of what stands on pages.
    fn write_tables_of_pages(&self, shown: &[bool], to: TableFolder<'_>) -> Result<(), RunError> {
        let loaded = &self.results.loaded;
        self.write_diagnostics(shown, to)?;
        self.write_adoptions(shown, to)?;
        self.write_conformity(to)?;
        control::write(&loaded.histories, self.stage.controls, to)?;
        given::write_comparisons(self.stage, loaded.given.as_ref(), to)?;
        values::write(self.stage, self.decisions, shown, to)
    }

    /// Writes charts, pages, calendar and summary; returns the fleet's view, and what should
    /// become of the report that stands. Pages that stand in `known` with the same key are reused.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write(
        &self,
        folder: &Path,
        known: &Pages,
    ) -> Result<(FleetView, Replaced), RunError> {
        let items = &self.results.loaded.histories.items;
        let charts = self.plan.settings.output.charts;
        let drawn = charts != Charts::None;
        let named = items
            .iter()
            .map(|i| (i.instrument.as_str(), i.point.as_str()));
        // Without pages no file is named after a history.
        let names = match drawn {
            true => slugs(named),
            false => vec![String::new(); items.len()],
        };
        let has_page: Vec<bool> = self
            .decisions
            .iter()
            .map(|d| wanted(charts, d.action))
            .collect();
        let formats = self.plan.settings.output.tables;
        let to = TableFolder::new(folder, formats, self.decisions.len());
        // What the decisions rest on is told without pages too.
        let tables = || {
            control::write_shared(self.stage.controls, to)?;
            given::write_sources(self.results.loaded.given.as_ref(), to)?;
            if drawn {
                self.write_tables_of_pages(&has_page, to)?;
                self.write_control_page(&names, &has_page, folder)?;
            }
            Ok(())
        };
        // Made before the parts that wait for them: a task that waits may take another that does.
        if drawn {
            self.conformity();
        }
        let (fleet, tables): (_, Result<(), RunError>) =
            rayon::join(|| fleet_view(self, &names, &has_page), tables);
        tables?;
        let replaced = match drawn {
            true => {
                let replaced = self.write_pages(&fleet, &names, &has_page, known, folder)?;
                self.write_records(&names, &has_page, folder)?;
                replaced
            }
            false => Replaced::Removed,
        };
        let dates = || match drawn {
            true => write_text(folder, "calendar.ics", &calendar(&fleet)),
            false => Ok(()),
        };
        let front = || {
            write_text(folder, "summary.md", &summary(&fleet))?;
            write_text(folder, "index.html", &index_page(&fleet))
        };
        let (dates, front) = rayon::join(dates, front);
        dates.and(front)?;
        Ok((fleet, replaced))
    }

    /// Tests of every history that has a page; the fleet path without charts leaves them out.
    fn write_diagnostics(&self, shown: &[bool], to: TableFolder<'_>) -> Result<(), RunError> {
        let histories = &self.results.loaded.histories;
        let tested: Vec<(usize, Tested<'_>)> = (0..shown.len())
            .into_par_iter()
            .filter(|index| shown[*index])
            .map(|index| (index, self.tested(index)))
            .collect();
        let listed: Vec<_> = tested
            .iter()
            .map(|(index, t)| (&histories.items[*index], t))
            .collect();
        diagnostics::write(&listed, to)
    }

    fn tested(&self, index: usize) -> Tested<'_> {
        let history = self.stage.histories.get(index);
        let fit = &self.stage.fits.fits[index];
        Tested::of(&history, fit, self.stage.drift.axis, self.tests.get(index))
    }

    /// Calibrations of every history that has a page.
    fn write_adoptions(&self, shown: &[bool], to: TableFolder<'_>) -> Result<(), RunError> {
        let shown: Vec<usize> = (0..shown.len()).filter(|i| shown[*i]).collect();
        let listed = adoption::listed(self.results.loaded.histories.len());
        let find = |index| self.adoptions_of(index, listed);
        adoption::write(&self.results.loaded.histories, &shown, find, to)
    }

    /// Conformity of the last check of every history that has a page.
    fn write_conformity(&self, to: TableFolder<'_>) -> Result<(), RunError> {
        let records: Vec<&Record> = self.conformity().values().collect();
        let rule = self.plan.settings.conformity.rule.word();
        let histories = &self.results.loaded.histories;
        conformity::write(histories, self.decisions, rule, &records, to)
    }

    /// Records of conformity of the histories that have a page.
    pub(super) fn conformity(&self) -> &BTreeMap<usize, Record> {
        self.conformity.get_or_init(|| {
            let charts = self.plan.settings.output.charts;
            let shown =
                (0..self.decisions.len()).filter(|i| wanted(charts, self.decisions[*i].action));
            let records = conformity_record::records(self.stage, &shown.collect::<Vec<_>>());
            records
                .into_iter()
                .map(|record| (record.index, record))
                .collect()
        })
    }

    /// The latest `most` calibrations of history `index`.
    fn adoptions_of(&self, index: usize, most: usize) -> Vec<PastAdoption> {
        let class = self.stage.fits.classes.of_history(index);
        let history = self.stage.histories.get(index);
        let certificates = self.certificates(index);
        past_adoptions(&history, class, self.stage.drift, &certificates, most)
    }

    /// What certificates state of history `index`.
    pub(crate) fn certificates(&self, index: usize) -> Vec<Certificate> {
        let histories = self.stage.histories;
        let of =
            |given: &Given| given.certificates(&histories.get(index), histories.offsets[index]);
        self.results.loaded.given.as_ref().map_or_else(Vec::new, of)
    }

    /// Warnings of the screening that name this history.
    pub(crate) fn warnings_of(&self, index: usize) -> Vec<String> {
        let name = self.results.loaded.histories.items[index].name();
        let words = self.warnings.get(name.as_str()).into_iter().flatten();
        words.map(ToString::to_string).collect()
    }

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
            history,
            fit,
            decision: &decision,
            proposals: &proposals,
            past: &past,
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
            axis: stage.drift.axis,
            level: stage.drift.level,
            as_of: stage.as_of,
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
        let stage = self.stage;
        let drawn = Drawn {
            history: stage.histories.get(index),
            fit: &stage.fits.fits[index],
            decision: &self.decisions[index],
            past: &self.past_of(index),
            axis: stage.drift.axis,
            level: stage.drift.level,
            as_of: stage.as_of,
        };
        drawn.book_view(slug)
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

    /// What the sessions of raw readings say of this history.
    pub(crate) fn sessions_of(&self, index: usize) -> Vec<SectionView> {
        let item = &self.results.loaded.histories.items[index];
        let thermometry = self.results.thermometry.as_ref();
        thermometry.map_or(Vec::new(), |thermometry| {
            session_sections::sections(thermometry, &item.instrument, &item.point)
        })
    }
}

/// A folder of the report, made where it is missing.
pub(crate) fn subfolder(folder: &Path, name: &str) -> Result<std::path::PathBuf, RunError> {
    let path = folder.join(name);
    std::fs::create_dir_all(&path).map_err(|e| RunError::write(name, e))?;
    Ok(path)
}

fn wanted(charts: Charts, action: Action) -> bool {
    match charts {
        Charts::All => true,
        Charts::Flagged => action != Action::Keep,
        Charts::None => false,
    }
}
