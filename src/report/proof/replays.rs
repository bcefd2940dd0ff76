/*! The replay section in Markdown. */

use crate::report::text::{percent, significant};
use crate::simulate::replay::{Coverage, Difference, ForecasterResult, MethodResult, ReplayResult};
use std::fmt::Write as _;

/// The whole section; `level` is that of the bands.
pub(crate) fn replay_markdown(result: &ReplayResult, level: f64) -> String {
    let mut text = String::from("## How it would have done on your own past\n\n");
    text += "Every figure below was made as a run on that past day would have made it, from the checks dated up to then.\n\n";
    for sentence in &result.words {
        let _ = writeln!(text, "- {sentence}");
    }
    text += "\n";
    bands(&mut text, result, level);
    probabilities(&mut text, result);
    intervals(&mut text, &result.methods);
    differences(&mut text, &result.differences);
    text
}

fn bands(text: &mut String, result: &ReplayResult, level: f64) {
    let _ = writeln!(
        text,
        "### Bands\n\nShare of later readings inside the {} band made before, with limits by histories (the readings of one are no trials of their own). Width, CRPS (continuous ranked probability score) and interval score are in half widths of the tolerance, or in standard deviations of the readings where there is none; smaller is better. Forecasts of one horizon do not overlap.\n",
        percent(level)
    );
    for forecaster in &result.forecasters {
        band_table(text, forecaster);
    }
}

/// Every coverage cell of one forecaster.
pub(super) fn band_table(text: &mut String, forecaster: &ForecasterResult) {
    let _ = writeln!(
        text,
        "**{} model**\n\n| forecasts | count | inside | limits | width | CRPS | interval score |\n| --- | ---: | ---: | --- | ---: | ---: | ---: |",
        forecaster.name
    );
    let lists = [
        &forecaster.by_horizon,
        &forecaster.by_known,
        &forecaster.by_group,
    ];
    for coverage in std::iter::once(&forecaster.next).chain(lists.into_iter().flatten()) {
        band_row(text, coverage);
    }
    text.push('\n');
}

/// Headers and rows of a short table: each forecaster, the next reading and each horizon.
pub(crate) fn coverage_rows(forecasters: &[ForecasterResult]) -> (Vec<String>, Vec<Vec<String>>) {
    let headers = ["model", "forecasts", "count", "inside", "limits", "width"];
    let row = |name: &str, coverage: &Coverage| {
        let (low, high) = coverage.limits;
        vec![
            name.to_string(),
            coverage.label.clone(),
            coverage.count.to_string(),
            shown(coverage.inside as f64 / coverage.count as f64, 3),
            format!("{} to {}", shown(low, 3), shown(high, 3)),
            significant(coverage.width, 3),
        ]
    };
    let rows = forecasters.iter().flat_map(|f| {
        let cells = std::iter::once(&f.next).chain(&f.by_horizon);
        cells.filter(|c| c.count > 0).map(|c| row(&f.name, c))
    });
    let rows: Vec<Vec<String>> = rows.collect();
    // A head without rows would be an empty table.
    let shown = if rows.is_empty() { &[][..] } else { &headers };
    (shown.iter().map(|h| (*h).to_string()).collect(), rows)
}

fn band_row(text: &mut String, coverage: &Coverage) {
    let share = coverage.inside as f64 / coverage.count as f64;
    let _ = writeln!(
        text,
        "| {} | {} | {} | {} to {} | {} | {} | {} |",
        coverage.label,
        coverage.count,
        shown(share, 3),
        shown(coverage.limits.0, 3),
        shown(coverage.limits.1, 3),
        shown(coverage.width, 3),
        shown(coverage.crps, 4),
        shown(coverage.interval_score, 3)
    );
}

fn probabilities(text: &mut String, result: &ReplayResult) {
    let forecasters = result
        .forecasters
        .iter()
        .filter(|f| f.in_tolerance.count > 0);
    text.push_str("### Probability that the next reading is in tolerance\n\nBrier score = reliability − resolution + uncertainty (+ what binning hides); smaller is better, and reliability 0 means that probabilities mean what they say.\n\n| model | forecasts | Brier score | reliability | resolution | uncertainty |\n| --- | ---: | ---: | ---: | ---: | ---: |\n");
    for forecaster in forecasters {
        let b = &forecaster.in_tolerance;
        let _ = writeln!(
            text,
            "| {} | {} | {:.4} | {:.4} | {:.4} | {:.4} |",
            forecaster.name, b.count, b.score, b.reliability, b.resolution, b.uncertainty
        );
    }
    text.push('\n');
}

fn intervals(text: &mut String, methods: &[MethodResult]) {
    text.push_str("### Intervals\n\nAt each past calibration each method proposed an interval; later checks tell whether the item was in tolerance when it would have been due. A check within a tenth of the interval counts as on the day. Where the item was reset or the record ends before, or where it left tolerance between two checks with the day in between, the record cannot tell; long intervals are untold more often than short ones.\n\n| method | proposed | in | out | untold | in tolerance when due | calibrations a year | made a year |\n| --- | ---: | ---: | ---: | ---: | --- | ---: | ---: |\n");
    for method in methods.iter().filter(|method| method.proposed > 0) {
        let judged = method.inside + method.outside;
        let share = match judged {
            0 => "not told".to_string(),
            _ => format!(
                "{} ({} to {})",
                shown(method.inside as f64 / judged as f64, 3),
                shown(method.limits.0, 3),
                shown(method.limits.1, 3)
            ),
        };
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {share} | {} | {} |",
            method.name,
            method.proposed,
            method.inside,
            method.outside,
            method.unknown,
            shown(method.proposed_per_year, 2),
            shown(method.made_per_year, 2)
        );
    }
    text.push('\n');
}

fn differences(text: &mut String, differences: &[Difference]) {
    text.push_str("### Differences on the same cases\n\nHistories are the independent units of the error; with fewer than ten, each is cut into twenty stretches of time.\n\n| first | second | what | cases | first − second | limits |\n| --- | --- | --- | ---: | ---: | --- |\n");
    for difference in differences.iter().filter(|d| d.count > 0) {
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {} | {} to {} |",
            difference.first,
            difference.second,
            difference.what,
            difference.count,
            shown(difference.mean, 4),
            shown(difference.limits.0, 4),
            shown(difference.limits.1, 4)
        );
    }
    text.push('\n');
}

/// Fixed decimals; a dash where there is no figure.
fn shown(value: f64, decimals: usize) -> String {
    const PLAIN: f64 = 1e9;
    match value.abs() {
        size if size.is_nan() || size.is_infinite() => "–".into(),
        size if size < PLAIN => format!("{value:.decimals$}"),
        _ => format!("{value:.decimals$e}"),
    }
}
