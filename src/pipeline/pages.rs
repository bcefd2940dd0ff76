/*! Charts and pages of a run: which histories get one, and the files they go to. */

use super::case::Case;
use super::decisions::Bench;
use super::diagnostics::{self, Tested};
use super::doubts::Doubts;
use super::fleet::fleet_view;
use super::output_settings::Charts;
use super::past::past;
use super::plan::Plan;
use super::run::{Results, RunError, write_text};
use super::season_sections;
use super::views;
use crate::drift::Prediction;
use crate::intervals::{Action, Decision};
use crate::records::DAYS_PER_YEAR;
use crate::report::charts::history_chart;
use crate::report::page::{group_page, index_page, instrument_page};
use crate::report::tables::forecast_days;
use crate::report::{FleetView, HistoryView, calendar, slugs, summary};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;

/// Histories on one group page at the most; a larger group's page shows the first ones.
const GROUP_BOOK: usize = 600;

/// Everything the pages are made of.
pub struct Report<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Records, fits, groups.
    pub results: &'a Results,
    /// The decision stage, to make proposals again where a page lists them.
    pub bench: &'a Bench<'a>,
    /// The decisions, in the histories' order.
    pub decisions: &'a [Decision],
    /// Past work in doubt.
    pub doubts: &'a Doubts,
}

impl Report<'_> {
    /// Writes charts, pages, calendar and summary; returns the fleet's view.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn write(&self, folder: &Path) -> Result<FleetView, RunError> {
        let items = &self.results.loaded.histories.items;
        let names = slugs(
            items
                .iter()
                .map(|item| (item.instrument.as_str(), item.point.as_str())),
        );
        let charts = self.plan.settings.output.charts;
        let has_page: Vec<bool> = self
            .decisions
            .iter()
            .map(|d| wanted(charts, d.action))
            .collect();
        let fleet = fleet_view(self, &names, &has_page);
        let group_slugs: BTreeMap<&str, &str> = fleet
            .groups
            .iter()
            .map(|g| (g.name.as_str(), g.slug.as_str()))
            .collect();
        self.write_instruments(&names, &has_page, &group_slugs, folder)?;
        if charts != Charts::None {
            self.write_diagnostics(&has_page, folder)?;
            self.write_groups(&fleet, &names, folder)?;
            write_text(folder, "calendar.ics", &calendar(&fleet))?;
        }
        write_text(folder, "summary.md", &summary(&fleet))?;
        write_text(folder, "index.html", &index_page(&fleet))?;
        Ok(fleet)
    }

    fn write_instruments(
        &self,
        names: &[String],
        shown: &[bool],
        group_slugs: &BTreeMap<&str, &str>,
        folder: &Path,
    ) -> Result<(), RunError> {
        let indices: Vec<usize> = (0..names.len()).filter(|i| shown[*i]).collect();
        if indices.is_empty() {
            return Ok(());
        }
        let charts = subfolder(folder, "charts")?;
        let pages = subfolder(folder, "instruments")?;
        indices.par_iter().try_for_each(|&index| {
            let view = self.history_view(index, names[index].clone());
            let group = group_slugs.get(view.group.as_str()).copied();
            write_text(
                &charts,
                &format!("{}.svg", view.slug),
                &history_chart(&view),
            )?;
            write_text(
                &pages,
                &format!("{}.html", view.slug),
                &instrument_page(&view, group),
            )
        })
    }

    /// Tests of every history that has a page; the fleet path without charts leaves them out.
    fn write_diagnostics(&self, shown: &[bool], folder: &Path) -> Result<(), RunError> {
        let histories = &self.results.loaded.histories;
        let axis = self.bench.drift.axis;
        let tested: Vec<(usize, Tested)> = (0..shown.len())
            .into_par_iter()
            .filter(|index| shown[*index])
            .map(|index| {
                let fit = &self.results.fits.fits[index];
                (index, Tested::of(&histories.get(index), fit, axis))
            })
            .collect();
        let listed: Vec<_> = tested.iter().map(|(index, t)| (&histories.items[*index], t)).collect();
        diagnostics::write(&listed, folder)
    }

    fn write_groups(
        &self,
        fleet: &FleetView,
        names: &[String],
        folder: &Path,
    ) -> Result<(), RunError> {
        if fleet.groups.is_empty() {
            return Ok(());
        }
        let pages = subfolder(folder, "groups")?;
        let items = &self.results.loaded.histories.items;
        fleet.groups.par_iter().try_for_each(|group| {
            let members = (0..items.len())
                .filter(|i| items[*i].group == group.name)
                .take(GROUP_BOOK);
            let views: Vec<HistoryView> = members
                .map(|i| self.history_view(i, names[i].clone()))
                .collect();
            let borrowed: Vec<&HistoryView> = views.iter().collect();
            write_text(
                &pages,
                &format!("{}.html", group.slug),
                &group_page(group, &borrowed),
            )
        })
    }

    /// Warnings of the screening that name this history.
    fn warnings_of(&self, index: usize) -> Vec<String> {
        let item = &self.results.loaded.histories.items[index];
        let name = item.name();
        let all = self.results.loaded.warnings.iter();
        all.filter(|w| w.source == name).map(|w| w.words.clone()).collect()
    }

    fn history_view(&self, index: usize, slug: String) -> HistoryView {
        let bench = self.bench;
        let (proposals, decision) = bench.decide(index);
        let history = bench.histories.get(index);
        let fit = &bench.fits.fits[index];
        let forecast: Vec<(f64, Prediction)> = forecast_days(bench.as_of)
            .filter_map(|day| Some((day, fit.at(day / DAYS_PER_YEAR)?)))
            .collect();
        let class =
            (!bench.fits.classes.of.is_empty()).then(|| bench.fits.classes.of_history(index));
        let past = past(&history, fit, class, bench.drift);
        let warnings = self.warnings_of(index);
        let tested = Tested::of(&history, fit, bench.drift.axis);
        let explanation = bench.explain(index, &proposals, &decision);
        let rule = self.plan.settings.conformity.decision_rule();
        let case = Case {
            history,
            fit,
            decision: &decision,
            proposals: &proposals,
            past: &past,
            forecast: &forecast,
            outliers: &tested.outlier_rows(),
            tests: tested.section(),
            warnings: &warnings,
            doubts: self.doubts.of(index),
            explanation: &explanation,
            decision_rule: &rule,
            control: &self.plan.settings.control,
            axis: bench.drift.axis,
            level: bench.drift.level,
            as_of: bench.as_of,
        };
        let mut view = views::history_view(&case, slug);
        if let Some(season) = &self.results.season {
            let item = history.item;
            let sections = season_sections::sections(season, &item.instrument, &item.point);
            view.sections.extend(sections);
        }
        view
    }
}

fn subfolder(folder: &Path, name: &str) -> Result<std::path::PathBuf, RunError> {
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
