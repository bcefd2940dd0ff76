/*! Which pages need no new drawing: a page is a pure function of what its key was made from,
so that an equal key in the report that stands means equal bytes. */

use super::{KEPT, fingerprint};
use crate::pipeline::pages::Report;
use crate::pipeline::run::RunError;
use std::collections::{BTreeMap, HashMap};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

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
    /// What each class and each group lends, by number and by name.
    classes: Vec<String>,
    groups: HashMap<&'a str, String>,
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
        Self {
            report,
            common,
            classes: parameters.iter().map(|class| debug(class)).collect(),
            groups: by_name
                .iter()
                .map(|(name, lent)| (name.as_str(), debug(lent)))
                .collect(),
        }
    }

    /// Key of the page and chart of history `index`: everything they are made from.
    pub fn history(&self, index: usize, slug: &str, group_slug: Option<&str>) -> String {
        let results = self.report.results;
        let history = results.loaded.histories.get(index);
        let class = results.fits.classes.of.get(index);
        let class = class.and_then(|c| self.classes.get(*c as usize));
        let lent = self.groups.get(history.item.group.as_str());
        let past = self.report.bench.past.get(index);
        let mut text = format!("{} {slug} {group_slug:?} {class:?} {lent:?} {past:?} ", self.common);
        // The file and row a check came from are not shown, so that a shifted row does not count.
        let shown = crate::records::History {
            source: &[],
            ..history
        };
        let _ = write!(
            text,
            "{shown:?} {:?} {:?} {:?}",
            results.fits.fits[index],
            self.report.decisions[index],
            self.report.doubts.of(index)
        );
        fingerprint(text.as_bytes())
    }

    /// Key of a group's page from its view and its members' keys.
    pub fn group(&self, view: &dyn std::fmt::Debug, members: &[String]) -> String {
        fingerprint(format!("{} {view:?} {members:?}", self.common).as_bytes())
    }
}
