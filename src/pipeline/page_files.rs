/*! Writes the charts and pages of instruments and groups, or puts those that stand into place. */

use super::between::{PageKeys, Pages};
use super::pages::{Report, subfolder};
use super::run::{RunError, write_text};
use crate::report::charts::history_chart;
use crate::report::page::{group_page, instrument_page};
use crate::report::{BookView, FleetView};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;

/// Histories on one group page at the most; a larger group's page shows the first ones.
const GROUP_BOOK: usize = 600;

/// The files of one history that has a page, and what they are made from.
struct Named<'a> {
    index: usize,
    group: Option<&'a str>,
    chart: String,
    page: String,
    key: String,
}

/// Where pages are put, and those that stand already.
pub struct Shelf<'a> {
    /// Folder of the report in the making.
    pub folder: &'a Path,
    /// Pages of the report that stands.
    pub known: &'a Pages,
    /// Keys of this run's pages.
    pub keys: &'a PageKeys<'a>,
}

impl Shelf<'_> {
    /// Whether `file` stands, and now here too. A reused file is shared with the standing report:
    /// it is never written to.
    fn reuse(&self, file: &str, key: &str) -> bool {
        self.known.reuse(file, key, self.folder)
    }
}

impl Report<'_> {
    /// Charts and pages of the histories in `shown`; their files with their keys.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(super) fn write_instruments(
        &self,
        names: &[String],
        shown: &[bool],
        group_slugs: &BTreeMap<&str, &str>,
        shelf: &Shelf<'_>,
    ) -> Result<BTreeMap<String, String>, RunError> {
        let indices: Vec<usize> = (0..names.len()).filter(|i| shown[*i]).collect();
        if indices.is_empty() {
            return Ok(BTreeMap::new());
        }
        subfolder(shelf.folder, "charts")?;
        subfolder(shelf.folder, "instruments")?;
        let items = &self.results.loaded.histories.items;
        let named: Vec<Named<'_>> = indices
            .par_iter()
            .map(|&index| {
                let group = group_slugs.get(items[index].group.as_str()).copied();
                let slug = &names[index];
                let key = shelf.keys.page(index, slug, group);
                Named {
                    index,
                    group,
                    chart: format!("charts/{slug}.svg"),
                    page: format!("instruments/{slug}.html"),
                    key,
                }
            })
            .collect();
        // One thread a folder: a second one would wait for the folder at every file.
        let stand = |file: for<'n> fn(&'n Named<'_>) -> &'n str| -> Vec<bool> {
            let stands = |named| shelf.reuse(file(named), &named.key);
            named.iter().map(stands).collect()
        };
        let (charts, pages) = rayon::join(|| stand(|n| &n.chart), || stand(|n| &n.page));
        named
            .par_iter()
            .zip(charts.into_par_iter().zip(pages))
            .try_for_each(|(named, stands)| self.draw(named, names, stands, shelf.folder))?;
        let keyed = |named: Named<'_>| [(named.chart, named.key.clone()), (named.page, named.key)];
        Ok(named.into_iter().flat_map(keyed).collect())
    }

    /// Draws what of a history's chart and page does not stand yet.
    fn draw(
        &self,
        named: &Named<'_>,
        names: &[String],
        (has_chart, has_page): (bool, bool),
        folder: &Path,
    ) -> Result<(), RunError> {
        if has_chart && has_page {
            return Ok(());
        }
        let view = self.history_view(named.index, names[named.index].clone());
        if !has_chart {
            write_text(folder, &named.chart, &history_chart(&view))?;
        }
        if !has_page {
            write_text(folder, &named.page, &instrument_page(&view, named.group))?;
        }
        Ok(())
    }

    /// Pages of the groups; their files with their keys.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(super) fn write_groups(
        &self,
        fleet: &FleetView,
        names: &[String],
        shelf: &Shelf<'_>,
    ) -> Result<BTreeMap<String, String>, RunError> {
        if fleet.groups.is_empty() {
            return Ok(BTreeMap::new());
        }
        subfolder(shelf.folder, "groups")?;
        let items = &self.results.loaded.histories.items;
        let write = |group: &crate::report::GroupView| {
            let members: Vec<usize> = (0..items.len())
                .filter(|i| items[*i].group == group.name)
                .take(GROUP_BOOK)
                .collect();
            let named = members.iter().map(|i| (*i, names[*i].as_str()));
            let key = shelf.keys.group(group, named);
            let page = format!("groups/{}.html", group.slug);
            if !shelf.reuse(&page, &key) {
                let view = |i: &usize| self.book_view(*i, names[*i].clone());
                let book: Vec<BookView> = members.par_iter().map(view).collect();
                write_text(shelf.folder, &page, &group_page(group, &book))?;
            }
            Ok((page, key))
        };
        fleet.groups.par_iter().map(write).collect()
    }
}
