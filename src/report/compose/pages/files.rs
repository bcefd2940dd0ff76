/*! Writes the charts and pages of instruments and groups, or puts those that stand into place. */

use super::super::fleet::groups::members;
use super::super::report::Report;
use super::keys::{PageKeys, Pages};
use super::list::{Page, PageList};
use super::spare::SPARED;
use super::subfolder;
use crate::drift::series::readings::Axis;
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::ledger::KEPT;
use crate::report::charts::placed_history_chart;
use crate::report::page::{group_page, instrument_page_with, with_places};
use crate::report::{BookView, FleetView, GroupView};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Histories on one group page at the most; a larger group's page shows the first ones.
const GROUP_BOOK: usize = 600;

/// Pages from which a report that is replaced is worth keeping as a spare: to link fewer takes
/// less than half a second.
const WORTH_A_SPARE: usize = 10_000;

/// One history that has a page.
struct Named<'a> {
    index: usize,
    slug: &'a str,
    group: Option<&'a str>,
}

/// The page of one group and the members it shows.
struct Book<'a> {
    group: &'a GroupView,
    members: Vec<usize>,
}

impl Report<'_> {
    /// Charts and pages of the histories in `shown` by their slugs, and pages of the groups, in
    /// `folder`: those of the report that stands (`known`) where they would be the same.
    /// Tells what should become of the report that stands.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write_pages(
        &self,
        fleet: &FleetView,
        names: &[String],
        shown: &[bool],
        known: &Pages,
        folder: &Path,
    ) -> Result<Replaced, RunError> {
        let named = self.named(fleet, names, shown);
        let books = self.books(fleet);
        let wanted = self.pages(&named, &books, names);
        let placed = known.place(&wanted, folder)?;
        for (place, needed) in [
            ("charts", !named.is_empty()),
            ("instruments", !named.is_empty()),
            ("groups", !books.is_empty()),
        ] {
            if needed {
                subfolder(folder, place)?;
            }
        }
        // Charts, then pages, then books: as they stand in `wanted`.
        let missing = |place: usize| (!placed[place]).then(|| folder.join(&wanted[place].file));
        let keys = known.keys();
        named
            .par_iter()
            .enumerate()
            .try_for_each(|(i, named_one)| {
                let (chart, mut page) = (missing(i), missing(named.len() + i));
                if let (None, Some(file)) = (&chart, &page)
                    && keys.get(wanted[i].file.as_str()) == Some(&wanted[i].key)
                    && let Some(standing) = known.read(&wanted[named.len() + i].file)
                    && let Some(moved) = self.with_rows(named_one.index, &standing)
                {
                    write(file, &moved)?;
                    page = None;
                }
                self.draw(named_one, chart, page)
            })?;
        books.par_iter().enumerate().try_for_each(|(i, book)| {
            missing(2 * named.len() + i).map_or(Ok(()), |file| self.draw_book(book, names, &file))
        })?;
        PageList::write(&wanted, &subfolder(folder, KEPT)?)?;
        let stood = placed.iter().filter(|placed| **placed).count();
        Ok(
            match wanted.len() >= WORTH_A_SPARE && 2 * stood > wanted.len() {
                true => Replaced::Spared(SPARED),
                false => Replaced::Removed,
            },
        )
    }

    /// The histories in `shown`.
    fn named<'a>(
        &'a self,
        fleet: &'a FleetView,
        names: &'a [String],
        shown: &[bool],
    ) -> Vec<Named<'a>> {
        let items = &self.results.loaded.histories.items;
        let groups = fleet.groups.iter();
        let slugs: BTreeMap<&str, &str> = groups
            .map(|group| (group.name.as_str(), group.slug.as_str()))
            .collect();
        let indices = (0..names.len()).filter(|i| shown[*i]);
        indices
            .map(|index| Named {
                index,
                slug: &names[index],
                group: slugs.get(items[index].group.as_str()).copied(),
            })
            .collect()
    }

    fn books<'a>(&self, fleet: &'a FleetView) -> Vec<Book<'a>> {
        let mut members = members(&self.results.loaded.histories.items);
        let mut first = |name: &str| {
            let mut all = members.remove(name).unwrap_or_default();
            all.truncate(GROUP_BOOK);
            all
        };
        let groups = fleet.groups.iter();
        groups
            .map(|group| Book {
                group,
                members: first(&group.name),
            })
            .collect()
    }

    /// Every chart, then every page of a history, then every group's.
    fn pages(&self, named: &[Named<'_>], books: &[Book<'_>], names: &[String]) -> Vec<Page> {
        let keys = PageKeys::new(self);
        let chart = |named: &Named<'_>| Page {
            file: format!("charts/{}.svg", named.slug),
            key: keys.chart(named.index, named.slug, named.group),
        };
        let mut all: Vec<Page> = named.par_iter().map(chart).collect();
        let page = |(named, chart): (&Named<'_>, &Page)| Page {
            file: format!("instruments/{}.html", named.slug),
            key: keys.page(named.index, chart.key),
        };
        let pages: Vec<Page> = named.par_iter().zip(&all).map(page).collect();
        all.extend(pages);
        let book = |book: &Book<'_>| {
            let members = book.members.iter().map(|i| (*i, names[*i].as_str()));
            Page {
                file: format!("groups/{}.html", book.group.slug),
                key: keys.group(book.group, members),
            }
        };
        all.par_extend(books.par_iter().map(book));
        all
    }

    /// The standing page of history `index` with the rows where its checks stand now; `None` where
    /// its table may leave checks out.
    fn with_rows(&self, index: usize, page: &str) -> Option<String> {
        let history = self.stage.histories.get(index);
        match self.stage.drift.axis {
            Axis::Time => with_places(page, &self.sources(index), history.source),
            Axis::Usage => None,
        }
    }

    /// Draws a history's chart and page into the files that are missing.
    fn draw(
        &self,
        named: &Named<'_>,
        chart: Option<PathBuf>,
        page: Option<PathBuf>,
    ) -> Result<(), RunError> {
        if chart.is_none() && page.is_none() {
            return Ok(());
        }
        let view = self.history_view(named.index, named.slug.to_string());
        let drawn = placed_history_chart(&view);
        if let Some(file) = chart {
            write(&file, &drawn.0)?;
        }
        if let Some(file) = page {
            write(&file, &instrument_page_with(&view, &drawn, named.group))?;
        }
        Ok(())
    }

    fn draw_book(&self, book: &Book<'_>, names: &[String], file: &Path) -> Result<(), RunError> {
        let view = |i: &usize| self.book_view(*i, names[*i].clone());
        let views: Vec<BookView> = book.members.par_iter().map(view).collect();
        write(file, &group_page(book.group, &views))
    }
}

fn write(file: &Path, text: &str) -> Result<(), RunError> {
    std::fs::write(file, text).map_err(|why| RunError::write(file.display().to_string(), why))
}
