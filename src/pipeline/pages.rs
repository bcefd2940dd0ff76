/*! Charts and pages of a run: which histories get one, and the files they go to. */

use super::case::Case;
use super::decisions::Bench;
use super::fleet::fleet_view;
use super::output_settings::Charts;
use super::plan::Plan;
use super::run::{Results, RunError, write_text};
use super::views;
use crate::drift::Prediction;
use crate::intervals::{Action, Decision};
use crate::records::DAYS_PER_YEAR;
use crate::report::charts::history_chart;
use crate::report::page::index_page;
use crate::report::tables::forecast_days;
use crate::report::{HistoryView, slugs, summary};
use rayon::prelude::*;
use std::path::Path;

/// Writes the charts and the pages that the plan asks for, and the summary.
///
/// # Errors
/// A file that cannot be written.
pub fn write(
    plan: &Plan,
    results: &Results,
    bench: &Bench<'_>,
    decisions: &[Decision],
    folder: &Path,
) -> Result<(), RunError> {
    let items = &results.loaded.histories.items;
    let names = slugs(
        items
            .iter()
            .map(|item| (item.instrument.as_str(), item.point.as_str())),
    );
    let charts = plan.settings.output.charts;
    let has_page: Vec<bool> = decisions.iter().map(|d| wanted(charts, d.action)).collect();
    write_charts(bench, &names, &has_page, folder)?;
    let view = fleet_view(plan, results, decisions, &names, &has_page);
    write_text(folder, "summary.md", &summary(&view))?;
    write_text(folder, "index.html", &index_page(&view))
}

fn wanted(charts: Charts, action: Action) -> bool {
    match charts {
        Charts::All => true,
        Charts::Flagged => action != Action::Keep,
        Charts::None => false,
    }
}

fn write_charts(
    bench: &Bench<'_>,
    names: &[String],
    shown: &[bool],
    folder: &Path,
) -> Result<(), RunError> {
    let indices: Vec<usize> = (0..names.len()).filter(|i| shown[*i]).collect();
    let charts = folder.join("charts");
    if !indices.is_empty() {
        std::fs::create_dir_all(&charts).map_err(|e| RunError::write("charts", e))?;
    }
    indices.par_iter().try_for_each(|&index| {
        let view = history_view(bench, index, names[index].clone());
        write_text(
            &charts,
            &format!("{}.svg", view.slug),
            &history_chart(&view),
        )
    })
}

fn history_view(bench: &Bench<'_>, index: usize, slug: String) -> HistoryView {
    let (proposals, decision) = bench.decide(index);
    let fit = &bench.fits.fits[index];
    let forecast: Vec<(f64, Prediction)> = forecast_days(bench.as_of)
        .filter_map(|day| Some((day, fit.at(day / DAYS_PER_YEAR)?)))
        .collect();
    let case = Case {
        history: bench.histories.get(index),
        fit,
        decision: &decision,
        proposals: &proposals,
        past: &[],
        forecast: &forecast,
        outliers: &[],
        warnings: &[],
        explanation: &[],
        axis: bench.drift.axis,
        level: bench.drift.level,
        as_of: bench.as_of,
    };
    views::history_view(&case, slug)
}
