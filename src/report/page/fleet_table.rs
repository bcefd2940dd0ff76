/*! The table of all decisions: readable without scripts, searched and sorted with them. */

use super::parts::{heading, paragraph};
use crate::report::charts::sparkline;
use crate::report::text::{all_digits, count, escape, fixed, iso_date, rate, unbroken};
use crate::report::view::{FleetRow, FleetView, needs_person, urgency};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Rows of the table; the most urgent of a larger fleet are shown, all are in `decisions.csv`.
pub(crate) const MOST_ROWS: usize = 20_000;

/// Rows that stand in the page as they are; those after them stand in it as data, a tenth as large,
/// of which the script makes rows when they are turned to.
const WHOLE_ROWS: usize = 1_000;

/// Rows that one task makes.
const ROWS_A_BLOCK: usize = 512;

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
    html += "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"Decisions\"><table id=\"fleet\">\n\
             <caption>The most urgent first; the cause opens to the whole reason. A proposed date counts once it is approved.</caption>\n<thead><tr>";
    for (text, kind) in HEADERS {
        let _ = write!(html, "<th scope=\"col\" data-kind=\"{kind}\">{text}</th>");
    }
    html += "</tr></thead>\n<tbody>\n";
    let (whole, rest) = shown.split_at(shown.len().min(WHOLE_ROWS));
    html += &in_blocks(whole, |_, row, html| push_row(view.as_of, row, html), view);
    html += "</tbody>\n</table></div>\n<p id=\"pages\" hidden></p>\n";
    if !rest.is_empty() {
        html += &format!(
            "<noscript><p>The {} most urgent; all are in decisions.csv.</p></noscript>\n\
             <script type=\"application/json\" id=\"rest\">[\n{}[]]</script>\n",
            fixed(WHOLE_ROWS as f64, 0),
            in_blocks(
                rest,
                |above, row, json| push_data(view.as_of, above, row, json),
                view
            )
        );
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

/// The rows of `order` one after another, on all cores; each is pushed with the row above it, where that is of the same block.
fn in_blocks(
    order: &[usize],
    push: impl Fn(Option<&FleetRow>, &FleetRow, &mut String) + Sync,
    view: &FleetView,
) -> String {
    let blocks: Vec<String> = order
        .par_chunks(ROWS_A_BLOCK)
        .map(|block| {
            let mut text = String::new();
            let mut above = None;
            for i in block {
                push(above, &view.rows[*i], &mut text);
                above = Some(&view.rows[*i]);
            }
            text
        })
        .collect();
    blocks.concat()
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
        select("action", "action", of(|row| &row.action)),
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

/// What stands in the cells of a row, as text.
struct RowWords {
    due: String,
    late: bool,
    proposed: String,
    interval: String,
    drift: String,
    in_tolerance: String,
    status: String,
    /// By which the columns from `action` to `in tolerance when due` sort.
    keys: [Option<f64>; 6],
}

fn tell(as_of: f64, row: &FleetRow) -> RowWords {
    let drift = row.drift_per_year.filter(|d| d.is_finite());
    let u_drift = row.u_drift_per_year.unwrap_or(f64::NAN);
    let days =
        |interval: Option<f64>| interval.map_or("none".into(), |days| fixed(days.round(), 0));
    let proposed = row.proposed_due.filter(|_| row.action != "withdraw");
    let usual = row.status.is_empty() || row.status == USUAL_STATUS;
    RowWords {
        due: row.when(),
        late: row.overdue(as_of),
        proposed: proposed.map_or(String::new(), iso_date),
        interval: format!(
            "{} ({})",
            days(row.next_interval()),
            days(row.current_interval_days)
        ),
        drift: drift.map_or("unknown".into(), |drift| rate(drift, u_drift, &row.unit)),
        in_tolerance: row.when_due_words(),
        status: match usual {
            true => String::new(),
            false => row.status.clone(),
        },
        keys: [
            Some(urgency(&row.action) as f64),
            match row.action.as_str() {
                "withdraw" => Some(as_of),
                _ => row.due_day,
            },
            proposed,
            row.next_interval(),
            drift,
            row.next_interval().and(row.probability_in_tolerance),
        ]
        .map(|key| key.filter(|value| value.is_finite())),
    }
}

fn push_row(as_of: f64, row: &FleetRow, html: &mut String) {
    let cells = tell(as_of, row);
    let key = |place: usize| {
        let value = cells.keys[place];
        value.map_or(String::new(), |v| format!(" data-v=\"{}\"", all_digits(v)))
    };
    let person = needs_person(&row.action);
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
         <td{} data-name=\"action\">{}{}</td><td{} data-name=\"due\">{}{}</td><td{} data-name=\"proposed\">{}</td>\
         <td class=\"n\"{} data-name=\"interval (in force), d\">{}</td>\
         <td class=\"n\"{} data-name=\"drift\">{}{}</td><td class=\"n\"{} data-name=\"in tolerance when due\">{}</td><td>{}{note}</td></tr>",
        if person { "urgent" } else { "" },
        escape(&row.status),
        link(row, &row.instrument),
        escape(&row.point),
        escape(&row.group),
        key(0),
        if person { "▲ " } else { "" },
        escape(&row.action),
        key(1),
        dated(&cells.due),
        if cells.late {
            " <strong>overdue</strong>"
        } else {
            ""
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

/// Why a row is as it is, as the data of a row tell it: the whole reason is on its page.
fn why(row: &FleetRow) -> &str {
    match row.cause.as_str() {
        "" => &row.reason,
        cause => cause,
    }
}

/// A row as data: its cells, then the keys by which they sort. A 0 stands for a text that the row above has too.
fn push_data(as_of: f64, above: Option<&FleetRow>, row: &FleetRow, json: &mut String) {
    let cells = tell(as_of, row);
    let slug = if row.has_page { row.slug.as_str() } else { "" };
    let texts: [&str; 14] = [
        &row.status,
        slug,
        &row.instrument,
        &row.point,
        &row.group,
        &row.action,
        &cells.due,
        if cells.late { "overdue" } else { "" },
        &cells.proposed,
        &cells.interval,
        &cells.drift,
        &cells.in_tolerance,
        why(row),
        &cells.status,
    ];
    let same = |place: usize| {
        above.is_some_and(|above| match place {
            0 => above.status == row.status,
            4 => above.group == row.group,
            5 => above.action == row.action,
            12 => why(above) == why(row),
            _ => false,
        })
    };
    json.push('[');
    for (place, text) in texts.into_iter().enumerate() {
        match same(place) {
            true => json.push('0'),
            false => push_json(text, json),
        }
        json.push(',');
    }
    let keys = cells.keys.map(|key| {
        key.map_or("null".into(), |value| {
            all_digits(format!("{value:.4e}").parse().unwrap_or(value))
        })
    });
    let _ = writeln!(json, "{}],", keys.join(","));
}

/// A JSON string that cannot end the element it stands in (RFC 8259, section 7).
fn push_json(text: &str, json: &mut String) {
    json.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' | '<' | '>' | '&' | '\u{0}'..='\u{1f}' | '\u{2028}' | '\u{2029}' => {
                let _ = write!(json, "\\u{:04x}", u32::from(letter));
            }
            plain => json.push(plain),
        }
    }
    json.push('"');
}
