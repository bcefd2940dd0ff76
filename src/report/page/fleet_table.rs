/*! The table of all decisions: readable without scripts, searched and sorted with them. */

use super::fleet_data::as_data;
use super::fleet_row::{in_blocks, sorting, tell};
use super::parts::{heading, paragraph};
use crate::report::charts::sparkline;
use crate::report::text::{count, escape, fixed, unbroken};
use crate::report::view::{FleetRow, FleetView};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Rows of the table; the most urgent of a larger fleet are shown, all are in `decisions.csv`.
pub(crate) const MOST_ROWS: usize = 20_000;

/// Rows that stand in the page as they are; those after them stand in it as data, a tenth as large,
/// of which the script makes rows when they are turned to.
const WHOLE_ROWS: usize = 1_000;

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
const HEADERS: [(&str, &str); 10] = [
    ("instrument", "text"),
    ("point", "text"),
    ("group", "text"),
    ("action", "number"),
    ("due", "number"),
    ("proposed", "number"),
    ("interval (in force), d", "number"),
    ("drift", "number"),
    ("in tolerance when due", "number"),
    ("reason", "text"),
];

/// The section with its controls and its table, most urgent first.
pub(super) fn decisions(view: &FleetView, order: &[usize]) -> String {
    let mut html = format!("<section id=\"decisions\">\n{}", heading("Decisions"));
    let shown = &order[..order.len().min(MOST_ROWS)];
    html += &controls(view, shown);
    html += "<p id=\"printed\" class=\"paper\"></p>\n";
    html += "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Decisions\"><table id=\"fleet\">\n\
             <caption>The most urgent first; the cause opens to the whole reason. A proposed date counts once it is approved; \u{201c}in tolerance when due\u{201d} is told for it.</caption>\n<thead><tr>";
    for (text, kind) in HEADERS {
        let _ = write!(html, "<th scope=\"col\" data-kind=\"{kind}\">{text}</th>");
    }
    html += "</tr></thead>\n<tbody>\n";
    let (whole, rest) = shown.split_at(shown.len().min(WHOLE_ROWS));
    html += &in_blocks(whole, |i, html| push_row(view.as_of, &view.rows[*i], html));
    html += "</tbody>\n</table></div>\n<p id=\"pages\" hidden></p>\n";
    if !rest.is_empty() {
        html += &format!(
            "<noscript><p>The {} most urgent; all are in the table decisions.</p></noscript>\n",
            fixed(WHOLE_ROWS as f64, 0)
        );
        html += &as_data(view, rest);
    }
    if view.rows.len() > MOST_ROWS {
        html += &paragraph(&format!(
            "The {} most urgent of {}; all are in the table decisions.",
            fixed(MOST_ROWS as f64, 0),
            count(view.rows.len(), "history")
        ));
    }
    html + "</section>\n"
}

/// Search box and filters by what the rows of the table have; the script shows them, without it
/// they would do nothing.
fn controls(view: &FleetView, shown: &[usize]) -> String {
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
    let of = |word: fn(&FleetRow) -> &str| shown.iter().map(|i| word(&view.rows[*i])).collect();
    format!(
        "<form id=\"controls\" role=\"search\" hidden>\n\
         <label>search <input id=\"search\" type=\"search\" autocomplete=\"off\"></label>\n{}{}{}\
         <label><input id=\"slash\" type=\"checkbox\" checked> the key / goes to the search box</label>\n\
         <output id=\"found\" aria-live=\"polite\"></output>\n</form>\n",
        select("group", "group", of(|row| &row.group)),
        select("action", "action", of(|row| row.action.word())),
        select("status", "status", of(|row| &row.status)),
    )
}

/// The cause in a few words; the whole sentence opens below it.
pub(super) fn cause(cause: &str, reason: &str) -> String {
    match cause {
        "" => escape(reason),
        cause => format!(
            "<details><summary>{}</summary>{}</details>",
            escape(cause),
            escape(&unbroken(reason))
        ),
    }
}

fn push_row(as_of: f64, row: &FleetRow, html: &mut String) {
    let cells = tell(as_of, row);
    let key = |place: usize| {
        let value = cells.keys[place];
        value.map_or(String::new(), |v| format!(" data-v=\"{}\"", sorting(v)))
    };
    let person = row.action.needs_person();
    let dated = |day: &str| match day.starts_with(|c: char| c.is_ascii_digit()) {
        true => format!("<time>{day}</time>"),
        false => escape(day),
    };
    let note = match cells.status.as_str() {
        "" => String::new(),
        status => format!(" <small>({})</small>", escape(status)),
    };
    let _ = writeln!(
        html,
        "<tr class=\"{}\" data-status=\"{}\"><th scope=\"row\">{}</th><td>{}</td><td>{}</td>\
         <td{}>{}{}</td><td{}>{}{}</td><td{}>{}</td>\
         <td class=\"n\"{}>{}</td>\
         <td class=\"n\"{}>{}{}</td><td class=\"n\"{}>{}</td><td>{}{note}</td></tr>",
        if person { "urgent" } else { "" },
        escape(&row.status),
        link(row, &row.instrument),
        escape(&row.point),
        escape(&row.group),
        key(0),
        if person { "▲ " } else { "" },
        row.action,
        key(1),
        dated(&cells.due),
        match cells.late {
            "" => String::new(),
            "overdue" => " <strong>overdue</strong>".into(),
            words => format!(" <small>{words}</small>"),
        },
        key(2),
        dated(&cells.proposed),
        key(3),
        cells.interval,
        key(4),
        sparkline(&row.spark, row.tolerance),
        escape(&cells.drift),
        key(5),
        cells.in_tolerance,
        cause(&row.cause, &row.reason),
    );
}
