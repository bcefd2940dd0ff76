/*! Charts and pages of a run: which histories get one, and the files they go to. */

mod files;
pub(crate) mod keys;
mod list;
mod of_history;
pub(crate) mod spare;

use super::adoption;
use super::conformity;
use super::control;
use super::diagnostics;
use super::diagnostics::Tested;
use super::fleet::fleet_view;
use super::given;
use super::report::Report;
use super::values;
use super::write::write_text;
use crate::decisions::conformity_record::{self, Record};
use crate::decisions::policy::{Action, Decision};
use crate::drift::adoption::past::{PastAdoption, past_adoptions};
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::records::Warning;
use crate::report::page::index_page;
use crate::report::table_writer::TableFolder;
use crate::report::{FleetView, calendar, slugs, summary};
use crate::settings::output::{Charts, LARGE_FLEET};
use crate::words::count;
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
}

/// A folder of the report, made where it is missing.
pub(crate) fn subfolder(folder: &Path, name: &str) -> Result<std::path::PathBuf, RunError> {
    let path = folder.join(name);
    std::fs::create_dir_all(&path).map_err(|e| RunError::write(name, e))?;
    Ok(path)
}

/// What is being drawn, in words; of a large fleet with how much that will be.
pub(crate) fn drawing(charts: Charts, decisions: &[Decision]) -> String {
    /// Gigabytes that the picture and the page of one history take, by docs/performance.md.
    const OF_ONE: f64 = 86e-6;
    let pages = decisions
        .iter()
        .filter(|d| wanted(charts, d.action))
        .count();
    match pages > LARGE_FLEET {
        false => "drawing charts and pages".to_string(),
        true => format!(
            "drawing the charts and pages of {}, some {:.0} GB: --charts flagged draws those of which something is asked, --charts none no one",
            count(pages, "history"),
            OF_ONE * pages as f64
        ),
    }
}

fn wanted(charts: Charts, action: Action) -> bool {
    match charts {
        Charts::All => true,
        Charts::Flagged => action != Action::Keep,
        Charts::None => false,
    }
}
