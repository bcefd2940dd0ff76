/*! The rows of the front page: words for those that it shows, figures for all. */

use crate::report::compose::report::Report;
use crate::report::compose::views::{Shown, fleet_row};
use crate::report::page::ROWS_TOLD;
use crate::report::{FleetRow, FleetView};
use crate::settings::output::Charts;
use rayon::prelude::*;

/// Histories of a fleet up to which rows carry a sparkline.
const SPARK_FLEET: usize = 20_000;

/// The row of every history of `report`, which is of a fleet of `all` histories; `page` gives the
/// name of its file and whether it has a page.
///
/// Where nothing but the front page reads them (no charts), the sentences of rows that no list shows
/// are left out: it shows the most urgent of all, which are among the most urgent of their part.
pub(super) fn rows<'a, F>(report: &Report<'_>, all: usize, page: F) -> Vec<FleetRow>
where
    F: Fn(usize) -> (&'a str, bool) + Sync,
{
    let histories = &report.results.loaded.histories;
    let shown = |spark: bool, words: bool| Shown {
        axis: report.plan.settings.drift.axis,
        spark,
        words,
    };
    let row = |index: usize, shown: Shown| {
        let (slug, has_page) = page(index);
        FleetRow {
            slug: slug.to_string(),
            has_page,
            ..fleet_row(
                &histories.get(index),
                &report.results.fits.fits[index],
                &report.decisions[index],
                report.advised(index),
                shown,
            )
        }
    };
    let every = |shown: Shown| {
        let rows = (0..histories.len()).into_par_iter();
        rows.map(|index| row(index, shown)).collect()
    };
    let drawn = report.plan.settings.output.charts != Charts::None;
    if all <= SPARK_FLEET || drawn {
        return every(shown(all <= SPARK_FLEET, true));
    }
    let mut view = FleetView {
        rows: every(shown(false, false)),
        ..FleetView::default()
    };
    let order = view.by_urgency();
    let shown_rows: Vec<usize> = order.into_iter().take(ROWS_TOLD).collect();
    let worded = shown_rows
        .par_iter()
        .map(|index| row(*index, shown(false, true)));
    let worded: Vec<FleetRow> = worded.collect();
    for (index, row) in shown_rows.into_iter().zip(worded) {
        view.rows[index] = row;
    }
    view.rows
}
