/*! Which pages need no new drawing: a page is a pure function of what its key was made from,
so that an equal key in the report that stands means equal bytes. */

use super::state::check_bytes;
use super::{KEPT, fingerprint};
use crate::pipeline::pages::Report;
use crate::pipeline::run::RunError;
use std::collections::{BTreeMap, HashMap};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Name of the list of pages and their keys in [`KEPT`].
const LIST: &str = "pages.csv";

/// Pages that stand already, and the folder they stand in.
#[derive(Debug, Clone, Default)]
pub struct Pages {
    folder: PathBuf,
    keys: HashMap<String, String>,
}

impl Pages {
    /// The pages of the report in `folder`.
    pub fn of(folder: &Path) -> Self {
        Self {
            folder: folder.to_path_buf(),
            keys: read(&folder.join(KEPT)).unwrap_or_default(),
        }
    }

    /// Puts the standing page `file` into `folder` where its key is `key`; false where it
    /// must be drawn.
    pub fn reuse(&self, file: &str, key: &str, folder: &Path) -> bool {
        if self.keys.get(file).is_none_or(|known| known != key) {
            return false;
        }
        let (from, to) = (self.folder.join(file), folder.join(file));
        std::fs::hard_link(&from, &to).is_ok() || std::fs::copy(&from, &to).is_ok()
    }
}

/// Reads the list of pages: file and key; `None` where there is none.
pub fn read(kept: &Path) -> Option<HashMap<String, String>> {
    let text = std::fs::read_to_string(kept.join(LIST)).ok()?;
    let lines = text.lines().skip(1);
    let pairs = lines.filter_map(|line| line.rsplit_once(','));
    Some(pairs.map(|(file, key)| (file.into(), key.into())).collect())
}

/// Writes the list; slugs hold no comma and no quotation mark.
///
/// # Errors
/// A file that cannot be written.
pub fn write(keys: &BTreeMap<String, String>, kept: &Path) -> Result<(), RunError> {
    let mut text = "file,key\n".to_string();
    for (file, key) in keys {
        let _ = writeln!(text, "{file},{key}");
    }
    std::fs::write(kept.join(LIST), text).map_err(|why| RunError::write(LIST, why))
}

/// Makes the keys of a run's pages.
pub struct PageKeys<'a> {
    report: &'a Report<'a>,
    /// What is the same for every page.
    common: String,
    /// What each class lends by number, and each group by name where a method asks for it.
    classes: Vec<String>,
    groups: HashMap<&'a str, String>,
    /// One key a history, made when first asked for.
    histories: Vec<OnceLock<String>>,
}

impl<'a> PageKeys<'a> {
    /// Gathers what several pages share.
    pub fn new(report: &'a Report<'a>) -> Self {
        let (plan, results) = (report.plan, report.results);
        let debug = |value: &dyn std::fmt::Debug| fingerprint(format!("{value:?}").as_bytes());
        let common = format!(
            "{} {} {}",
            env!("CARGO_PKG_VERSION"),
            plan.as_of,
            super::settings_sha256(&plan.settings)
        );
        let parameters = &results.fits.classes.parameters;
        let by_name = &results.groups.groups.by_name;
        let asked = report.bench.methods.iter().any(|m| m.asks_group());
        Self {
            report,
            common,
            classes: parameters.iter().map(|class| debug(class)).collect(),
            groups: by_name
                .iter()
                .filter(|_| asked)
                .map(|(name, group)| (name.as_str(), debug(group)))
                .collect(),
            histories: vec![OnceLock::new(); results.loaded.histories.len()],
        }
    }

    /// Key of the page and chart of history `index`: everything they are made from.
    pub fn page(&self, index: usize, slug: &str, group_slug: Option<&str>) -> String {
        format!(
            "{}-{}",
            self.history(index, slug),
            group_slug.unwrap_or_default()
        )
    }

    /// Key of a group's page from its view and its members, by index and slug.
    pub fn group<'b>(
        &self,
        view: &dyn std::fmt::Debug,
        members: impl Iterator<Item = (usize, &'b str)>,
    ) -> String {
        let members: Vec<&str> = members
            .map(|(index, slug)| self.history(index, slug))
            .collect();
        fingerprint(format!("{} {view:?} {members:?}", self.common).as_bytes())
    }

    fn history(&self, index: usize, slug: &str) -> &str {
        self.histories[index].get_or_init(|| self.make(index, slug))
    }

    /// The fit and its tests follow from the checks, the class and the settings. The decision
    /// may rest on the checks of a small class too, and on other decisions where dates are
    /// levelled: it is told whole.
    fn make(&self, index: usize, slug: &str) -> String {
        let (report, results) = (self.report, self.report.results);
        let history = results.loaded.histories.get(index);
        let class = results.fits.classes.of.get(index);
        let class = class.and_then(|c| self.classes.get(*c as usize));
        let lent = self.groups.get(history.item.group.as_str());
        let text = format!(
            "{} {slug} {class:?} {lent:?} {:?} {:?} {:?} {:?} {:?} {:?} {:?}",
            self.common,
            history.item,
            report.bench.past.get(index),
            report.decisions[index],
            report.doubts.of(index),
            report.warnings_of(index),
            report.sessions_of(index),
            report.sessions_on_chart(index)
        );
        let mut bytes = text.into_bytes();
        for row in 0..history.len() {
            bytes.extend(check_bytes(&history, row));
            bytes.push(history.outcome[row] as u8);
        }
        fingerprint(&bytes)
    }
}
