/*! Which pages need no new drawing: a page is a pure function of what its key was made from,
so that an equal key in the report that stands means equal bytes. */

use super::super::report::Report;
use super::list::{Page, PageList};
use super::spare;
use crate::decisions::policy::guard::follows_group;
use crate::files::run_error::RunError;
use crate::ledger::check_bytes::push_check;
use crate::ledger::{KEPT, fingerprint};
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Pages that stand already, the folder they stand in, and where those of the report before
/// may lie.
#[derive(Debug, Clone, Default)]
pub(crate) struct Pages {
    folder: PathBuf,
    spare: Option<PathBuf>,
    list: PageList,
}

impl Pages {
    /// The pages of the report in `folder`.
    pub(crate) fn of(folder: &Path, spare: Option<PathBuf>) -> Self {
        Self {
            folder: folder.to_path_buf(),
            spare,
            list: PageList::read(&folder.join(KEPT)).unwrap_or_default(),
        }
    }

    /// Puts the pages that stand as they are `wanted` into `folder` and tells of each whether it
    /// is there. The others must be drawn.
    ///
    /// # Errors
    /// A folder that cannot be made, moved or emptied.
    pub(crate) fn place(&self, wanted: &[Page], folder: &Path) -> Result<Vec<bool>, RunError> {
        let keys = self.keys();
        let mut placed = match &self.spare {
            Some(spare) if !keys.is_empty() => spare::take(spare, folder, wanted)?,
            _ => vec![false; wanted.len()],
        };
        let mut by_folder: BTreeMap<&str, Vec<(&Page, &mut bool)>> = BTreeMap::new();
        for (page, placed) in wanted.iter().zip(&mut placed) {
            if !*placed && keys.get(page.file.as_str()) == Some(&page.key) {
                let place = page.file.split_once('/').map_or("", |(place, _)| place);
                by_folder.entry(place).or_default().push((page, placed));
            }
        }
        for place in by_folder.keys() {
            std::fs::create_dir_all(folder.join(place))
                .map_err(|why| RunError::write(*place, why))?;
        }
        // One thread a folder: a second one would wait for the folder at every file.
        by_folder.into_par_iter().for_each(|(_, pages)| {
            for (page, placed) in pages {
                *placed = self.link(&page.file, folder);
            }
        });
        Ok(placed)
    }

    /// The text of the standing page `file`, where the keys allow to take something of it.
    pub(crate) fn read(&self, file: &str) -> Option<String> {
        std::fs::read_to_string(self.folder.join(file)).ok()
    }

    /// Key of each file of the standing report.
    pub(crate) fn keys(&self) -> HashMap<&str, u128> {
        self.list.keys()
    }

    /// Puts the standing page `file` into `folder`. It is shared with the standing report: it is
    /// never written to.
    fn link(&self, file: &str, folder: &Path) -> bool {
        let (from, to) = (self.folder.join(file), folder.join(file));
        std::fs::hard_link(&from, &to).is_ok() || std::fs::copy(&from, &to).is_ok()
    }
}

/// Makes the keys of a run's pages.
pub(crate) struct PageKeys<'a> {
    report: &'a Report<'a>,
    /// What is the same for every page.
    common: String,
    /// What each class lends by number, and each group by name.
    classes: Vec<u128>,
    groups: HashMap<&'a str, u128>,
    /// One key a history, made when first asked for.
    histories: Vec<OnceLock<u128>>,
}

impl<'a> PageKeys<'a> {
    /// Gathers what several pages share.
    pub(crate) fn new(report: &'a Report<'a>) -> Self {
        let (plan, results) = (report.plan, report.results);
        let debug = |value: &dyn std::fmt::Debug| fingerprint(format!("{value:?}").as_bytes());
        let common = format!(
            "{} {} {}",
            env!("CARGO_PKG_VERSION"),
            plan.as_of,
            crate::ledger::settings_sha256(&plan.settings)
        );
        let parameters = &results.fits.classes.parameters;
        let groups = results.groups.groups.all();
        Self {
            report,
            common,
            classes: parameters.iter().map(|class| debug(class)).collect(),
            groups: groups
                .map(|group| (group.name.as_str(), debug(group)))
                .collect(),
            histories: vec![OnceLock::new(); results.loaded.histories.len()],
        }
    }

    /// Key of the chart of history `index`: everything that it and the page are made from, but for
    /// the rows of the files, which the page alone shows.
    pub(crate) fn chart(&self, index: usize, slug: &str, group_slug: Option<&str>) -> u128 {
        let group = group_slug.unwrap_or_default();
        fingerprint(format!("{} {group}", self.history(index, slug)).as_bytes())
    }

    /// Key of the page of history `index`, whose chart has the key `chart`.
    pub(crate) fn page(&self, index: usize, chart: u128) -> u128 {
        let rows = self.report.results.loaded.histories.get(index).source;
        fingerprint(format!("{chart:032x} {rows:?}").as_bytes())
    }

    /// Key of a group's page from its view and its members, by index and slug.
    pub(crate) fn group<'b>(
        &self,
        view: &dyn std::fmt::Debug,
        members: impl Iterator<Item = (usize, &'b str)>,
    ) -> u128 {
        let members: Vec<u128> = members
            .map(|(index, slug)| self.history(index, slug))
            .collect();
        fingerprint(format!("{} {view:?} {members:?}", self.common).as_bytes())
    }

    fn history(&self, index: usize, slug: &str) -> u128 {
        *self.histories[index].get_or_init(|| self.make(index, slug))
    }

    /// What the group lends, where a method that fits the history or its decision looks at it.
    fn evidence_key(&self, index: usize) -> Option<u128> {
        let stage = &self.report.stage;
        let evidence = stage.evidence(index);
        let fitting = stage.methods.iter().filter(|method| method.fits(&evidence));
        let asked = fitting.into_iter().any(|method| method.asks_group());
        let by_group = follows_group(self.report.decisions[index].method);
        let group = self.report.results.groups.groups.lent_to(&evidence.history);
        let known = (asked || by_group).then(|| self.groups.get(group.name.as_str()));
        known.flatten().copied()
    }

    /// The fit and its tests follow from the checks, the class and the settings. The decision
    /// may rest on the checks of a small class too, and on other decisions where dates are
    /// levelled: it is told whole.
    fn make(&self, index: usize, slug: &str) -> u128 {
        let (report, results) = (self.report, self.report.results);
        let history = results.loaded.histories.get(index);
        let class = results.fits.classes.of.get(index);
        let class = class.and_then(|c| self.classes.get(*c as usize));
        let evidence_key = self.evidence_key(index);
        let mut bytes = format!(
            "{} {slug} {class:?} {evidence_key:?} {:?} {:?} {:?} {:?} {:?} {} {:?}",
            self.common,
            report.doubts.of(index),
            (
                report.open_cases(index, slug),
                report.record_links(index, slug),
                report.sources(index),
                report.certificates(index)
            ),
            report.warnings_of(index),
            report.sessions_of(index),
            report.sessions_on_chart(index),
            report.instrument_line(index),
            report
                .stage
                .controls
                .charts
                .get(&index)
                .map(|chart| &chart.signals)
        )
        .into_bytes();
        let (past, decision) = (report.stage.past.get(index), &report.decisions[index]);
        // As decimal text, a fleet's worth of figures would take longer than their decisions did.
        let key = (history.item, past, decision);
        if rmp_serde::encode::write(&mut bytes, &key).is_err() {
            bytes.extend(format!("{key:?}").bytes());
        }
        for row in 0..history.len() {
            push_check(&mut bytes, &history, row);
            bytes.push(history.outcome[row] as u8);
        }
        fingerprint(&bytes)
    }
}
