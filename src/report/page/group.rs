/*! The page of one group: its reliability, its drift rates, and its histories side by side. */

use super::parts::{figure, heading, list, paragraph, section};
use super::shell::document;
use crate::report::charts::{
    Overlay, book_chart, book_order, cost_chart, drift_rates_chart, out_of_tolerance_chart,
    overlay, reliability_chart,
};
use crate::report::text::{escape, iso_date};
use crate::report::view::{BookView, GroupView};
use std::fmt::Write as _;

/// Choice of the two histories on one scale.
const OVERLAY_SCRIPT: &str = include_str!("overlay.js");

/// Histories on one sheet of the book: as many as print on one page.
const SHEET: usize = 15;

/// Sentences above the pictures; the others, on models and tests, stand below them.
const LEADING_SENTENCES: usize = 2;

/// Histories that stand open; the others unfold.
const FIRST: usize = 24;

/// Pictures in a row of a sheet.
const COLUMNS: usize = 3;

/// Histories in the book of one page.
const MOST_HISTORIES: usize = 600;

/// `groups/SLUG.html` from the group and its histories, in the order they should stand.
pub(crate) fn group_page(group: &GroupView, histories: &[BookView]) -> String {
    let mut body = "<nav><a href=\"../index.html\">all decisions</a></nav>\n".to_string();
    body += &format!(
        "<header>\n<h1>{}</h1>\n{}</header>\n<main>\n",
        escape(&group.name),
        paragraph(&format!("As of {}.", iso_date(group.as_of)))
    );
    let (leading, rest) = group
        .sentences
        .split_at(group.sentences.len().min(LEADING_SENTENCES));
    body += &list(leading);
    if !group.bins.is_empty() || !group.reliability.is_empty() {
        body += &format!(
            "<section>\n{}{}</section>\n",
            heading("Reliability"),
            figure(&reliability_chart(group))
        );
    }
    body.extend(group.sections.iter().map(section));
    if !group.drift_rates.is_empty() {
        body += &format!(
            "<section>\n{}{}</section>\n",
            heading("Drift"),
            figure(&drift_rates_chart(group))
        );
    }
    if !group.out_of_tolerance.is_empty() {
        let chart = out_of_tolerance_chart(&group.name, &group.out_of_tolerance);
        body += &format!(
            "<section>\n{}{}</section>\n",
            heading("Out of tolerance"),
            figure(&chart)
        );
    }
    if let Some(curve) = &group.cost {
        body += &format!(
            "<section>\n{}{}</section>\n",
            heading("Cost"),
            figure(&cost_chart(curve))
        );
    }
    if !histories.is_empty() {
        body += &book(group, histories);
    }
    if !rest.is_empty() {
        body += &format!(
            "<section>\n{}{}</section>\n",
            heading("How the reliability was estimated"),
            list(rest)
        );
    }
    body += "</main>\n";
    let scripts: &[&str] = match body.contains(OVERLAY) {
        true => &[OVERLAY_SCRIPT],
        false => &[],
    };
    let foot = format!("{}, as of {}", group.name, iso_date(group.as_of));
    document(&group.name, &foot, &body, scripts)
}

fn book(group: &GroupView, histories: &[BookView]) -> String {
    // Of outcomes alone nothing can be drawn: the links stand for themselves.
    let has_values = |view: &BookView| view.readings.iter().any(|r| r.value.is_finite());
    let most = match histories.iter().any(has_values) {
        true => MOST_HISTORIES,
        false => 0,
    };
    let order = book_order(histories).into_iter().take(most);
    let shown: Vec<&BookView> = order.map(|i| &histories[i]).collect();
    let (first, rest) = shown.split_at(shown.len().min(FIRST));
    let mut html = format!("<section>\n{}", heading("Histories"));
    if !first.is_empty() {
        html += &sheets(group, first, histories);
    }
    if !rest.is_empty() {
        let _ = writeln!(
            html,
            "<details><summary>the other {}</summary>\n{}</details>",
            rest.len(),
            sheets(group, rest, histories)
        );
    }
    let links: Vec<String> = histories
        .iter()
        .map(|view| {
            format!(
                "<a href=\"../instruments/{}.html\">{}</a>",
                escape(&view.slug),
                escape(&view.name())
            )
        })
        .collect();
    html += &format!("<p>{}</p>\n</section>\n", links.join(" · "));
    html + &overlay(&shown).map_or(String::new(), two)
}

/// How the section of the two begins.
const OVERLAY: &str = "<section id=\"overlay\">";

/// Two histories on one scale: those that use most of their tolerance, until the script lets a person choose.
fn two(overlay: Overlay) -> String {
    let marks = ["●", "■"].into_iter().zip(&overlay.shown);
    let words: Vec<String> = marks
        .map(|(mark, (name, stands))| format!("{mark} {name}: {stands}"))
        .collect();
    let select = |label: &str| format!("<label>{label} <select></select></label>\n");
    format!(
        "{OVERLAY}\n{}<p class=\"choose\" hidden>{}{}</p>\n<p class=\"stands\" role=\"status\">{}</p>\n{}</section>\n",
        heading("Two on one scale"),
        select("●"),
        select("■"),
        escape(&words.join("; ")),
        figure(&overlay.svg)
    )
}

/// Sheets of about the same size, in whole rows, rather than a last one with one picture.
fn sheets(group: &GroupView, shown: &[&BookView], all: &[BookView]) -> String {
    let sheets = shown.len().div_ceil(SHEET).max(1);
    let rows = shown.len().div_ceil(sheets).div_ceil(COLUMNS).max(1);
    let sheets = shown.chunks(rows * COLUMNS);
    sheets
        .map(|sheet| figure(&book_chart(&group.name, sheet, all)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::ToleranceStep;
    use crate::report::view::ReadingView;

    /// Forty histories in an order of their own: those that use most of their tolerance when due stand
    /// open, in that order, and the others unfold behind them, in theirs.
    #[test]
    fn the_first_small_multiples_are_those_that_use_most_of_their_tolerance_when_due() {
        const ALL: usize = 40;
        let view = |i: usize| {
            // Each rank once, since 7 and 40 have no common part; the limits differ, and with them the error.
            let rank = 7 * i % ALL;
            let half = 1.0 + (i % 3) as f64;
            let sign = if i.is_multiple_of(2) { 1.0 } else { -1.0 };
            BookView {
                instrument: format!("rank {rank:02}"),
                slug: format!("rank-{rank:02}"),
                at_due: Some(sign * half * (1.0 - rank as f64 / ALL as f64)),
                tolerance: Some(ToleranceStep::new(0.0, Some(-half), Some(half))),
                readings: vec![ReadingView {
                    day: 20_000.0,
                    value: 0.1,
                    ..ReadingView::default()
                }],
                ..BookView::default()
            }
        };
        let histories: Vec<BookView> = (0..ALL).map(view).collect();
        let html = group_page(&GroupView::default(), &histories);
        let (open, rest) = html.split_once("<details><summary>the other 16").unwrap();
        let (folded, _) = rest.split_once("</details>").unwrap();
        let ranks = |html: &str| -> Vec<usize> {
            let labels = html.split(">rank ").skip(1);
            labels.map(|text| text[..2].parse().unwrap()).collect()
        };
        assert_eq!(ranks(open), (0..FIRST).collect::<Vec<_>>());
        assert_eq!(ranks(folded), (FIRST..ALL).collect::<Vec<_>>());
    }
}
