/*! The table of all decisions: readable without scripts, searched and sorted with them. */

use super::parts::{heading, paragraph};
use crate::report::charts::sparkline;
use crate::report::text::{all_digits, count, escape, fixed, percent, rate, unbroken};
use crate::report::view::{FleetRow, FleetView, needs_person, urgency};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Rows of the table; the most urgent of a larger fleet are shown, all are in `decisions.csv`.
const MOST_ROWS: usize = 20_000;

/// Rows that one task makes.
const ROWS_A_BLOCK: usize = 512;

/// Fleets up to this size get a sparkline in each row.
const MOST_SPARKS: usize = 3000;

/// Status that is not worth a word in each row.
const USUAL_STATUS: &str = "estimated";

/// A name that opens the page of its history, where there is one.
pub(super) fn link(row: &FleetRow, text: &str) -> String {
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
const HEADERS: [(&str, &str); 9] = [
    ("instrument", "text"),
    ("point", "text"),
    ("group", "text"),
    ("action", "number"),
    ("due", "number"),
    ("interval (in force), d", "number"),
    ("drift", "number"),
    ("in tolerance when due", "number"),
    ("reason", "text"),
];

/// The section with its controls and its table, most urgent first.
pub(super) fn decisions(view: &FleetView, order: &[usize]) -> String {
    let sparks = view.rows.len() <= MOST_SPARKS;
    let mut html = format!("<section id=\"decisions\">\n{}", heading("Decisions"));
    html += &controls(view);
    html += "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Decisions\"><table id=\"fleet\">\n\
             <caption>The most urgent first; the cause opens to the whole reason.</caption>\n<thead><tr>";
    for (text, kind) in HEADERS {
        let _ = write!(html, "<th scope=\"col\" data-kind=\"{kind}\">{text}</th>");
    }
    html += "</tr></thead>\n<tbody>\n";
    let shown = &order[..order.len().min(MOST_ROWS)];
    let blocks: Vec<String> = shown
        .par_chunks(ROWS_A_BLOCK)
        .map(|block| {
            let mut html = String::new();
            block
                .iter()
                .for_each(|i| push_row(view, &view.rows[*i], sparks, &mut html));
            html
        })
        .collect();
    html.extend(blocks);
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
         <label><input id=\"slash\" type=\"checkbox\" checked> the key / goes to the search box</label>\n\
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

/// The cause in a few words; the whole sentence opens below it.
pub(super) fn told(cause: &str, reason: &str) -> String {
    match cause {
        "" => escape(reason),
        cause => format!(
            "<details><summary>{}</summary>{}</details>",
            escape(cause),
            escape(&unbroken(reason))
        ),
    }
}

fn push_row(view: &FleetView, row: &FleetRow, sparks: bool, html: &mut String) {
    let text = |value: &str| escape(value);
    let spark = if sparks {
        sparkline(&row.spark, row.tolerance)
    } else {
        String::new()
    };
    let beside = match row.proposed().as_str() {
        "" => String::new(),
        _ if row.action == "withdraw" => String::new(),
        proposed => format!("<br><small>{proposed}</small>"),
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
            .map_or(String::new(), |v| format!(" data-v=\"{}\"", all_digits(v)))
    };
    let _ = writeln!(
        html,
        "<tr class=\"{}\" data-status=\"{}\"><th scope=\"row\">{}</th><td>{}</td><td>{}</td>\
         <td data-v=\"{}\" data-name=\"action\">{mark}{}</td><td{} data-name=\"due\">{}{late}{beside}</td>\
         <td class=\"n\"{} data-name=\"interval (in force), d\">{} ({})</td>\
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
        key(match row.action.as_str() {
            "withdraw" => Some(view.as_of),
            _ => row.due_day,
        }),
        match row.when() {
            day if day.starts_with(|c: char| c.is_ascii_digit()) => format!("<time>{day}</time>"),
            word => word,
        },
        key(row.interval_days),
        days(row.interval_days),
        days(row.current_interval_days),
        key(row.drift_per_year),
        text(&drift),
        key(row.probability_in_tolerance),
        row.probability_in_tolerance
            .map_or("unknown".into(), percent),
        told(&row.cause, &row.reason),
    );
}
