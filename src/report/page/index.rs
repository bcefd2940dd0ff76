/*! `index.html`: what needs a person, the fleet in pictures, every decision in one table. */

use super::parts::{figure, heading, list, paragraph, section, table};
use super::shell::document;
use crate::report::charts::{
    actions_chart, cost_chart, due_chart, intervals_chart, out_of_tolerance_by_group,
    out_of_tolerance_chart, sparkline, workload_chart,
};
use crate::report::text::{count, escape, fixed, iso_date, percent, rate};
use crate::report::view::{FleetRow, FleetView, GroupView, needs_person, urgency};
use crate::report::{cautions, words};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Rows of the table; the most urgent of a larger fleet are shown, all are in `decisions.csv`.
const MOST_ROWS: usize = 20_000;

/// Fleets up to this size get a sparkline in each row.
const MOST_SPARKS: usize = 3000;

/// Sentences under "what needs a person".
const MOST_SENTENCES: usize = 40;

/// Status that is not worth a word in each row.
const USUAL_STATUS: &str = "estimated";

/// Rejected rows shown.
const MOST_REJECTS: usize = 200;

/// The fleet's page.
pub fn index_page(view: &FleetView) -> String {
    let title = words::title(view);
    let mut body = format!("<header>\n<h1>{}</h1>\n", escape(&title));
    body += &paragraph(&format!(
        "As of {}. {}",
        iso_date(view.as_of),
        words::coverage(view)
    ));
    body += "</header>\n<main>\n";
    body += &people(view);
    body += &format!("<section>\n{}", heading("The fleet"));
    body += &paragraph(&words::intervals(view));
    body += &figure(&actions_chart(view));
    body += &figure(&due_chart(view));
    body += &fleet_figures(view);
    body += "</section>\n";
    body += &decisions(view);
    body.extend(view.sections.iter().map(section));
    body += &methods(view);
    body += &rejects(view);
    body += "</main>\n<footer>\n<h2>Cautions</h2>\n";
    let own = view.cautions.iter().map(String::as_str);
    body += &list(cautions::CAUTIONS.into_iter().chain(own));
    body += "</footer>\n";
    document(&title, &body, true)
}

/// The pictures that need more than the decisions: each where there is something to draw.
fn fleet_figures(view: &FleetView) -> String {
    let mut html = figure(&intervals_chart(view));
    if !view.workload.is_empty() {
        html += &figure(&workload_chart(&view.workload));
    }
    if !view.out_of_tolerance.is_empty() {
        html += &figure(&out_of_tolerance_chart(
            "All groups",
            &view.out_of_tolerance,
        ));
    }
    if view
        .groups
        .iter()
        .any(|group| !group.out_of_tolerance.is_empty())
    {
        html += &figure(&out_of_tolerance_by_group(&view.groups));
    }
    html += &view
        .cost
        .as_ref()
        .map_or(String::new(), |curve| figure(&cost_chart(curve)));
    html + &group_links(view)
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
        format!("<li>{name}: {}</li>\n", escape(&group.sentences.join(" ")))
    };
    let items: String = view.groups.iter().map(item).collect();
    if items.is_empty() {
        items
    } else {
        format!("<h3>Groups</h3>\n<ul>\n{items}</ul>\n")
    }
}

fn people(view: &FleetView) -> String {
    let order = view.by_urgency();
    let urgent: Vec<&FleetRow> = order
        .iter()
        .map(|i| &view.rows[*i])
        .filter(|row| needs_person(&row.action))
        .collect();
    let mut html = format!("<section>\n{}", heading("What needs a person"));
    html += &paragraph(&words::urgent(view));
    html += "<ul class=\"people\">\n";
    for row in urgent.iter().take(MOST_SENTENCES) {
        let _ = writeln!(
            html,
            "<li><strong>{}</strong> <em>{}</em>: {}</li>",
            link(row, &row.name()),
            escape(&row.action),
            escape(&row.reason)
        );
    }
    html += "</ul>\n";
    if urgent.len() > MOST_SENTENCES {
        html += &paragraph(&format!(
            "The {MOST_SENTENCES} most urgent of {}; the table below has all.",
            count(urgent.len(), "history")
        ));
    }
    html += &paragraph(cautions::ADVICE);
    html + "</section>\n"
}

fn link(row: &FleetRow, text: &str) -> String {
    if row.has_page {
        format!(
            "<a href=\"instruments/{}.html\">{}</a>",
            escape(&row.slug),
            escape(text)
        )
    } else {
        escape(text)
    }
}

/// Headers of the table: (text, how its cells sort).
const HEADERS: [(&str, &str); 10] = [
    ("instrument", "text"),
    ("point", "text"),
    ("group", "text"),
    ("action", "number"),
    ("due", "number"),
    ("interval, d", "number"),
    ("today's, d", "number"),
    ("drift", "number"),
    ("in tolerance when due", "number"),
    ("reason", "text"),
];

fn decisions(view: &FleetView) -> String {
    let order = view.by_urgency();
    let sparks = view.rows.len() <= MOST_SPARKS;
    let mut html = format!("<section id=\"decisions\">\n{}", heading("Decisions"));
    html += &controls(view);
    html += "<div class=\"wide\"><table id=\"fleet\">\n<thead><tr>";
    for (text, kind) in HEADERS {
        let _ = write!(html, "<th scope=\"col\" data-kind=\"{kind}\">{text}</th>");
    }
    html += "</tr></thead>\n<tbody>\n";
    for i in order.into_iter().take(MOST_ROWS) {
        push_row(view, &view.rows[i], sparks, &mut html);
    }
    html += "</tbody>\n</table></div>\n<p id=\"pages\" hidden></p>\n";
    if view.rows.len() > MOST_ROWS {
        html += &paragraph(&format!(
            "The {} most urgent of {}; all are in decisions.csv.",
            fixed(MOST_ROWS as f64, 0),
            count(view.rows.len(), "history")
        ));
    }
    html + "</section>\n"
}

/// Search box and filters; the script shows them, without it they would do nothing.
fn controls(view: &FleetView) -> String {
    let select = |id: &str, label: &str, values: BTreeSet<&str>| {
        let options: String = values
            .iter()
            .filter(|v| !v.is_empty())
            .map(|v| format!("<option>{}</option>", escape(v)))
            .collect();
        format!(
            "<label>{label} <select id=\"{id}\"><option value=\"\">all</option>{options}</select></label>\n"
        )
    };
    let rows = &view.rows;
    format!(
        "<form id=\"controls\" role=\"search\" hidden>\n\
         <label>search <input id=\"search\" type=\"search\" autocomplete=\"off\"></label>\n{}{}{}\
         <output id=\"found\" aria-live=\"polite\"></output>\n</form>\n",
        select(
            "group",
            "group",
            rows.iter().map(|r| r.group.as_str()).collect()
        ),
        select(
            "action",
            "action",
            rows.iter().map(|r| r.action.as_str()).collect()
        ),
        select(
            "status",
            "status",
            rows.iter().map(|r| r.status.as_str()).collect()
        ),
    )
}

fn push_row(view: &FleetView, row: &FleetRow, sparks: bool, html: &mut String) {
    let text = |value: &str| escape(value);
    let spark = if sparks {
        sparkline(&row.spark, row.tolerance)
    } else {
        String::new()
    };
    let mark = if needs_person(&row.action) {
        "▲ "
    } else {
        ""
    };
    let late = if row.overdue(view.as_of) {
        " <strong>overdue</strong>"
    } else {
        ""
    };
    let drift = row
        .drift_per_year
        .filter(|d| d.is_finite())
        .map_or("unknown".into(), |drift| {
            rate(drift, row.u_drift_per_year.unwrap_or(f64::NAN), &row.unit)
        });
    let usual = row.status.is_empty() || row.status == USUAL_STATUS;
    let note = if usual {
        String::new()
    } else {
        format!(" <small>({})</small>", text(&row.status))
    };
    let days =
        |interval: Option<f64>| interval.map_or("none".into(), |days| fixed(days.round(), 0));
    let key = |value: Option<f64>| {
        value
            .filter(|v| v.is_finite())
            .map_or(String::new(), |v| format!(" data-v=\"{v}\""))
    };
    let _ = writeln!(
        html,
        "<tr class=\"{}\" data-status=\"{}\"><th scope=\"row\">{}</th><td>{}</td><td>{}</td>\
         <td data-v=\"{}\" data-name=\"action\">{mark}{}</td><td{} data-name=\"due\">{}{late}</td>\
         <td class=\"n\"{} data-name=\"interval, d\">{}</td><td class=\"n\"{} data-name=\"today's, d\">{}</td>\
         <td class=\"n\"{} data-name=\"drift\">{spark}{}</td><td class=\"n\"{} data-name=\"in tolerance when due\">{}</td><td>{}{note}</td></tr>",
        if needs_person(&row.action) {
            "urgent"
        } else {
            ""
        },
        text(&row.status),
        link(row, &row.instrument),
        text(&row.point),
        text(&row.group),
        urgency(&row.action),
        text(&row.action),
        key(row.due_day),
        row.due_day.map_or("none".into(), |day| format!(
            "<time>{}</time>",
            iso_date(day)
        )),
        key(row.interval_days),
        days(row.interval_days),
        key(row.current_interval_days),
        days(row.current_interval_days),
        key(row.drift_per_year),
        text(&drift),
        key(row.probability_in_tolerance),
        row.probability_in_tolerance
            .map_or("unknown".into(), percent),
        text(&row.reason),
    );
}

fn methods(view: &FleetView) -> String {
    let mut html = format!("<section>\n{}", heading("Methods and settings"));
    html += &list(
        view.methods
            .iter()
            .map(|(name, about)| format!("{name}: {about}")),
    );
    if !view.settings_text.is_empty() {
        let _ = writeln!(
            html,
            "<details><summary>Settings of this run</summary><pre>{}</pre></details>",
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
    html + "</section>\n"
}

/// Escaped text that keeps its lines.
fn escaped_lines(text: &str) -> String {
    text.lines().map(escape).collect::<Vec<_>>().join("\n")
}

fn rejects(view: &FleetView) -> String {
    let mut html = format!("<section>\n{}", heading("Rejected rows and warnings"));
    html += &paragraph(&words::rows(view));
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
    html += &table(&["file", "row", "column", "value", "reason"], shown);
    if view.counts.rejected > MOST_REJECTS.min(view.rejects.len()) as u64 {
        html += &paragraph("All rejected rows are in rejects.csv.");
    }
    html += &list(&view.warnings);
    html + "</section>\n"
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
                &mut row.action,
            ] {
                *field = evil.into();
            }
        }
        let page = index_page(&view);
        assert_eq!(
            page.matches("<script>").count(),
            2,
            "only our own two scripts"
        );
        assert!(!page.contains("<img"));
    }

    #[test]
    fn an_empty_fleet_makes_a_page() {
        assert!(index_page(&FleetView::default()).contains("No history could be built"));
    }
}
