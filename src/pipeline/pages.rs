/*! Charts and pages of a run: which histories get one, and the files they go to. */

use super::case::Case;
use super::decisions::Bench;
use super::output_settings::Charts;
use super::plan::Plan;
use super::run::{Results, RunError};
use super::views;
use crate::drift::Prediction;
use crate::intervals::policy::{Action, Decision};
use crate::records::DAYS_PER_YEAR;
use crate::report::charts::history_chart;
use crate::report::tables::forecast_days;
use crate::report::{HistoryView, slugs};
use rayon::prelude::*;
use std::path::Path;

/// Writes the charts and the pages that the plan asks for.
///
/// # Errors
/// A file that cannot be written.
pub fn write(
    plan: &Plan,
    results: &Results,
    decisions: &[Decision],
    folder: &Path,
) -> Result<(), RunError> {
    let items = &results.loaded.histories.items;
    let names = slugs(
        items
            .iter()
            .map(|item| (item.instrument.as_str(), item.point.as_str())),
    );
    let tables = plan.interval_tables();
    let methods = tables.methods();
    let bench = Bench {
        histories: &results.loaded.histories,
        fits: &results.fits,
        groups: &results.groups,
        methods: &methods,
        tables: &tables,
        drift: &plan.settings.drift,
        past: &[],
        as_of: plan.as_of,
    };
    let shown: Vec<usize> = (0..items.len())
        .filter(|i| wanted(plan.settings.output.charts, decisions[*i].action))
        .collect();
    let charts = folder.join("charts");
    if !shown.is_empty() {
        std::fs::create_dir_all(&charts).map_err(|e| RunError::write("charts", e))?;
    }
    shown.par_iter().try_for_each(|&index| {
        let view = view_of(&bench, index, names[index].clone());
        let file = charts.join(format!("{}.svg", view.slug));
        std::fs::write(&file, history_chart(&view))
            .map_err(|e| RunError::write(file.display().to_string(), e))
    })
}

fn wanted(charts: Charts, action: Action) -> bool {
    match charts {
        Charts::All => true,
        Charts::Flagged => action != Action::Keep,
        Charts::None => false,
    }
}

fn view_of(bench: &Bench<'_>, index: usize, slug: String) -> HistoryView {
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
