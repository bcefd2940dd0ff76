/*! `index.html`: what needs a person, the fleet in pictures, every decision in one table. */

use super::decide;
use super::fleet_table::decisions;
use super::glossary::glossary;
use super::parts::{figure, folded, lead_section, led, list, paragraph, table};
use super::shell::{TABLE_SCRIPT, document};
use super::to_do::to_do;
use crate::report::charts::{
    actions_chart, cost_chart, due_calendar, due_chart, intervals_chart, out_of_tolerance_by_group,
    out_of_tolerance_chart, workload_chart,
};
use crate::report::text::{count, escape, iso_date};
use crate::report::view::{FleetRow, FleetView, GroupView};
use crate::report::{cautions, words};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Histories up to which the pictures follow the choice of a group.
const MOST_PICTURED: usize = 3_000;

/// Rejected rows shown.
const MOST_REJECTS: usize = 200;

/// The fleet's page.
pub fn index_page(view: &FleetView) -> String {
    let title = words::title(view);
    let mut body = String::new();
    body += "<a class=\"skip\" href=\"#decisions\">to the decisions</a>\n";
    body += &links(view);
    body += &format!("<header>\n<h1>{}</h1>\n", escape(&title));
    body += &paragraph(&format!(
        "As of {}. {}",
        iso_date(view.as_of),
        words::coverage(view)
    ));
    body += &match view.process.as_str() {
        "" => String::new(),
        process => format!("<p class=\"process\">{}</p>\n", escape(process)),
    };
    body += "</header>\n<main>\n";
    let order = view.by_urgency();
    body += &to_do(view, &order);
    body += &decisions(view, &order);
    body += &decide::of_fleet(view, &order);
    body += "<section>\n<h2 id=\"pictured\">The fleet</h2>\n";
    body += &format!("<div id=\"pictures\">\n{}</div>\n", pictures(view));
    body += &group_pictures(view);
    body += &group_links(view);
    body += &folded("More pictures", &more_figures(view));
    body += "</section>\n";
    body.extend(view.sections.iter().map(lead_section));
    body += &methods(view);
    body += &rejects(view);
    body += &glossary();
    body += "</main>\n<footer>\n<h2>Cautions</h2>\n";
    let own = view.cautions.iter().map(String::as_str);
    body += &list(cautions::CAUTIONS.into_iter().chain(own));
    body += "</footer>\n";
    let named = title.trim_end_matches('.');
    let foot = format!("{named}, as of {}", iso_date(view.as_of));
    document(&title, &foot, &body, &[TABLE_SCRIPT, decide::SCRIPT])
}

/// Pages beside this one.
fn links(view: &FleetView) -> String {
    let pages = [
        (
            view.digest,
            "digest.html",
            "what changed since the last run",
        ),
        (view.control, "control.html", "check standards"),
    ];
    let there = pages.iter().filter(|(there, ..)| *there);
    let links: Vec<String> = there
        .map(|(_, file, words)| format!("<a href=\"{file}\">{words}</a>"))
        .collect();
    match links.is_empty() {
        true => String::new(),
        false => format!("<nav>{}</nav>\n", links.join(" · ")),
    }
}

/// What is decided, in a sentence and pictures: each where there is something to draw.
fn pictures(view: &FleetView) -> String {
    let mut html = paragraph(&words::intervals(view));
    if !view.rows.is_empty() {
        html += &figure(&actions_chart(view));
    }
    let dated = |row: &FleetRow| row.due_day.and(row.probability_when_due).is_some();
    if view.rows.iter().any(dated) {
        html += &figure(&due_chart(view));
    }
    html
}

/// The same of each group, for the script to show where a group is chosen.
fn group_pictures(view: &FleetView) -> String {
    let names: BTreeSet<&str> = view.rows.iter().map(|row| row.group.as_str()).collect();
    if names.len() < 2 || view.rows.len() > MOST_PICTURED {
        return String::new();
    }
    let one = |name: &&str| {
        let rows = view.rows.iter().filter(|row| row.group == **name).cloned();
        let group = FleetView {
            as_of: view.as_of,
            rows: rows.collect(),
            ..FleetView::default()
        };
        format!(
            "<template data-group=\"{}\">{}</template>\n",
            escape(name),
            pictures(&group)
        )
    };
    names
        .iter()
        .filter(|name| !name.is_empty())
        .map(one)
        .collect()
}

fn more_figures(view: &FleetView) -> String {
    let changed = |row: &FleetRow| row.interval_days.and(row.current_interval_days).is_some();
    let mut html = String::new();
    if view.rows.iter().any(changed) {
        html += &figure(&intervals_chart(view));
    }
    if !view.workload.months.is_empty() {
        html += &figure(&workload_chart(&view.workload));
    }
    if view.rows.iter().any(|row| row.due_day.is_some()) {
        html += &figure(&due_calendar(view));
    }
    let months = &view.out_of_tolerance;
    if !months.is_empty() {
        html += &figure(&out_of_tolerance_chart("All groups", months));
    }
    let groups = &view.groups;
    if groups
        .iter()
        .any(|group| !group.out_of_tolerance.is_empty())
    {
        html += &figure(&out_of_tolerance_by_group(groups));
    }
    let cost = view.cost.as_ref();
    html + &cost.map_or(String::new(), |curve| figure(&cost_chart(curve)))
}

fn group_links(view: &FleetView) -> String {
    let item = |group: &GroupView| {
        let name = if group.slug.is_empty() {
            escape(&group.name)
        } else {
            format!(
                "<a href=\"groups/{}.html\">{}</a>",
                escape(&group.slug),
                escape(&group.name)
            )
        };
        format!(
            "<li>{name}: {}</li>\n",
            escape(group.sentences.first().map_or("", String::as_str))
        )
    };
    let items: String = view.groups.iter().map(item).collect();
    if items.is_empty() {
        items
    } else {
        let title = count(view.groups.len(), "group");
        folded(&title, &format!("<ul>\n{items}</ul>\n"))
    }
}

fn methods(view: &FleetView) -> String {
    let mut html = list(
        view.methods
            .iter()
            .map(|(name, about)| format!("{name}: {about}")),
    );
    if !view.settings_text.is_empty() {
        let _ = writeln!(
            html,
            "<details><summary>Settings of this run</summary><pre tabindex=\"0\">{}</pre></details>",
            escaped_lines(&view.settings_text)
        );
    }
    let version = if view.version.is_empty() {
        String::new()
    } else {
        format!(" Driftbook {}.", view.version)
    };
    if !view.inputs.is_empty() || !version.is_empty() {
        html += &paragraph(&format!("Records: {}.{version}", view.inputs.join(", ")));
    }
    folded("Methods and settings", &html)
}

/// Escaped text that keeps its lines.
fn escaped_lines(text: &str) -> String {
    text.lines().map(escape).collect::<Vec<_>>().join("\n")
}

fn rejects(view: &FleetView) -> String {
    let cells = |r: &crate::report::view::RejectView| {
        vec![
            r.file.clone(),
            r.row.to_string(),
            r.column.clone(),
            r.value.clone(),
            r.reason.clone(),
        ]
    };
    let shown = view.rejects.iter().take(MOST_REJECTS).map(cells);
    let headers = ["file", "row", "column", "value", "reason"];
    let mut html = table("Rejected rows", &headers, shown);
    if view.counts.rejected > MOST_REJECTS.min(view.rejects.len()) as u64 {
        html += &paragraph("All rejected rows are in rejects.csv.");
    }
    html += &list(&view.warnings);
    led("Rejected rows and warnings", &words::rows(view), &html)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn text_from_the_records_never_becomes_markup() {
        let mut view = samples::fleet(3);
        let evil = "<script>alert('x')</script>\"><img src=x onerror=alert(1)>";
        view.title = evil.into();
        view.settings_text = evil.into();
        view.warnings = vec![evil.into()];
        for row in &mut view.rows {
            for field in [
                &mut row.instrument,
                &mut row.point,
                &mut row.group,
                &mut row.reason,
                &mut row.status,
                &mut row.unit,
            ] {
                *field = evil.into();
            }
        }
        let page = index_page(&view);
        assert_eq!(
            page.matches("<script>").count(),
            3,
            "only our own three scripts"
        );
        says_not!(page, "<img");
    }

    #[test]
    fn an_empty_fleet_makes_a_page() {
        says!(
            index_page(&FleetView::default()),
            "No history could be built"
        );
    }
}
