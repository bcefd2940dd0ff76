/*! Forms on which a person decides: they save lines of the books, and print without a script. */

use super::parts::{heading, paragraph};
use crate::decisions::cases::closings;
use crate::records::APPROVAL_COLUMNS;
use crate::report::text::{all_digits, count, escape, fixed, iso_date};
use crate::report::view::{Action, FleetRow, FleetView, HistoryView, OpenCase};
use crate::words::neutralised;
use std::fmt::Write as _;

/// The script that saves what is decided.
pub(super) const SCRIPT: &str = include_str!("decide.js");

/// Rows of a form; more are decided by the command for a group, or in a copy of the table.
const MOST_ROWS: usize = 300;

/// One history of which a person may decide.
struct Ask<'a> {
    /// Place in the table of decisions.
    place: usize,
    instrument: &'a str,
    point: &'a str,
    name: String,
    /// The page of it, from this one; empty = none, or this is it.
    link: String,
    cause: &'a str,
    in_force: Option<f64>,
    /// The interval that waits for a decision, days.
    proposed: Option<f64>,
    /// Why an approval of it could take no effect, in a few words; empty where it can.
    bar: &'a str,
}

/// The forms of the fleet's page: every proposal that waits, every case that is open.
pub(super) fn of_fleet<'a>(view: &'a FleetView, order: &[usize]) -> String {
    let rows = order.iter().map(|index| &view.rows[*index]).enumerate();
    let waiting = rows.filter(|(_, row)| row.proposed_due.is_some());
    let number = waiting.clone().count();
    let ask = |(place, row): (usize, &'a FleetRow)| Ask {
        place,
        instrument: &row.instrument,
        point: &row.point,
        name: row.name(),
        link: match row.has_page {
            true => format!("instruments/{}.html", row.slug),
            false => String::new(),
        },
        cause: &row.cause,
        in_force: row.current_interval_days,
        proposed: row.interval_days,
        bar: &row.bar,
    };
    let mut html = String::new();
    if number > 0 {
        let asks: Vec<Ask<'_>> = waiting.take(MOST_ROWS).map(ask).collect();
        let title = format!("Decide on {}", count(number, "proposal"));
        html += &super::parts::folded(&title, &approvals(&asks, number));
    }
    if !view.open_cases.is_empty() {
        let title = format!("Close {}", count(view.open_cases.len(), "open case"));
        html += &super::parts::folded(&title, &cases(&view.open_cases, "instruments/"));
    }
    match html.as_str() {
        "" => html,
        html => format!("<section id=\"decide\">\n{html}</section>\n"),
    }
}

/// The forms of one history's page; nothing for an item of which nothing is decided.
pub(super) fn of_history(view: &HistoryView) -> String {
    let mut html = String::new();
    if view.serves && view.action == Action::Withdraw {
        html += &heading("Decide");
        html += &paragraph(
            "No interval is put in force while it is to be withdrawn: the next one is proposed with the check that shows it restored.",
        );
    } else if view.serves {
        let ask = Ask {
            place: 0,
            instrument: &view.instrument,
            point: &view.point,
            name: view.name(),
            link: String::new(),
            cause: "",
            in_force: view.current_interval_days,
            proposed: view.interval_days.filter(|_| view.waits),
            bar: view.bar,
        };
        html += &heading("Decide");
        html += &approvals(&[ask], 1);
    }
    if !view.open_cases.is_empty() {
        html += &heading("Close the case");
        html += &cases(&view.open_cases, "");
    }
    match html.as_str() {
        "" => html,
        html => format!("<section id=\"decide\">\n{html}</section>\n"),
    }
}

/// The form on `asks`, the first of so many proposals.
fn approvals(asks: &[Ask<'_>], of: usize) -> String {
    let mut rows = String::new();
    for (number, ask) in asks.iter().enumerate() {
        push_ask(number, ask, &mut rows);
    }
    let headers = [
        "history",
        "in force, d",
        "proposed, d",
        "decision",
        "reason",
    ];
    let more = match of > asks.len() {
        true => paragraph(&format!(
            "The {MOST_ROWS} most urgent of {}: the others are decided in a copy of decisions.csv, or a group at once by driftbook approve --group.",
            count(of, "proposal")
        )),
        false => String::new(),
    };
    let common =
        "<label>reason where a row states none <input name=\"why\" autocomplete=\"off\"></label>\n";
    let file = ("approvals", APPROVAL_COLUMNS.join(","));
    form(
        file,
        "Proposals to decide on",
        &headers,
        &rows,
        &more,
        common,
    )
}

fn push_ask(number: usize, ask: &Ask<'_>, html: &mut String) {
    let days = |days: Option<f64>| days.map_or("none".into(), |days| fixed(days.floor(), 0));
    let name = escape(&ask.name);
    let choice = |value: &str, word: &str, chosen: &str| {
        format!(
            "<label><input type=\"radio\" name=\"a{number}\" value=\"{value}\"{chosen}> {word}</label> "
        )
    };
    let reject = || choice("rejected", "reject", "");
    let proposal = match (ask.proposed, ask.bar) {
        (None, _) => String::new(),
        (Some(_), "") => choice("approved", "approve", "") + &reject(),
        (Some(_), bar) => format!("{}<small>{bar}</small> ", reject()),
    };
    let cause = match ask.cause {
        "" => String::new(),
        cause => format!(" <small>{}</small>", escape(cause)),
    };
    let _ = writeln!(
        html,
        "<tr data-place=\"{}\" data-instrument=\"{}\" data-point=\"{}\" data-proposed=\"{}\">\
         <th scope=\"row\">{}{cause}</th><td class=\"n\" data-name=\"in force, d\">{}</td><td class=\"n\" data-name=\"proposed, d\">{}</td>\
         <td><fieldset><legend class=\"unseen\">decision on {name}</legend>{}{proposal}{}\
         <input type=\"number\" min=\"1\" step=\"any\" aria-label=\"other interval of {name}, days\"> d</fieldset></td>\
         <td><input name=\"r{number}\" autocomplete=\"off\" aria-label=\"reason for {name}\"></td></tr>",
        ask.place,
        escape(&neutralised(ask.instrument)),
        escape(&neutralised(ask.point)),
        ask.proposed.map_or(String::new(), all_digits),
        linked(&ask.link, &name),
        days(ask.in_force),
        days(ask.proposed),
        choice("", "open", " checked"),
        choice("other", "other", ""),
    );
}

fn cases(cases: &[OpenCase], folder: &str) -> String {
    let mut rows = String::new();
    for (number, case) in cases.iter().take(MOST_ROWS).enumerate() {
        let name = escape(&case.name());
        let day = iso_date(case.day);
        let link = match (folder, case.slug.as_str()) {
            ("", _) | (_, "") => String::new(),
            (folder, slug) => format!("{folder}{slug}.html"),
        };
        let record = match (folder, case.record.as_str()) {
            (_, "") => String::new(),
            ("", file) => format!("../cases/{file}.html"),
            (_, file) => format!("cases/{file}.html"),
        };
        let _ = writeln!(
            rows,
            "<tr data-instrument=\"{}\" data-point=\"{}\" data-finding=\"{day}\"><th scope=\"row\">{}</th>\
             <td><time>{}</time></td><td>{}</td>\
             <td><label><input type=\"checkbox\" name=\"c{number}\"> close</label></td>\
             <td><input name=\"d{number}\" autocomplete=\"off\" aria-label=\"what was done about {name}, {day}\"></td>\
             <td><input name=\"f{number}\" autocomplete=\"off\" aria-label=\"reference for {name}, {day}\"></td></tr>",
            escape(&neutralised(&case.instrument)),
            escape(&neutralised(&case.point)),
            linked(&link, &name),
            linked(&record, &day),
            escape(&case.found),
        );
    }
    let headers = [
        "history",
        "finding",
        "found",
        "decision",
        "what was done",
        "reference",
    ];
    let more = match cases.len() > MOST_ROWS {
        true => paragraph(&format!(
            "{MOST_ROWS} of {}; cases.csv has all.",
            count(cases.len(), "open case")
        )),
        false => String::new(),
    };
    let file = ("cases", closings::COLUMNS.join(","));
    form(file, "Cases to close", &headers, &rows, &more, "")
}

/// A form whose rows become lines of the book `file` names with its columns.
fn form(
    (book, columns): (&str, String),
    caption: &str,
    headers: &[&str],
    rows: &str,
    more: &str,
    common: &str,
) -> String {
    let head: String = headers
        .iter()
        .map(|header| format!("<th scope=\"col\">{header}</th>"))
        .collect();
    let command = match book {
        "cases" => "close",
        _ => "approve",
    };
    format!(
        "<form class=\"decide\" data-book=\"{book}\" data-columns=\"{columns}\" data-command=\"driftbook {command} --from\" novalidate>\n\
         <p class=\"screen\">Nothing takes effect here and nothing leaves this machine. Saved, the decisions are a file of lines as the book \
         has them, which <code>driftbook {command} --from</code> checks and signs in; without scripts this form prints, to be signed by hand.</p>\n\
         <div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"{caption}\"><table class=\"asks\">\n<caption class=\"unseen\">{caption}</caption>\n\
         <thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table></div>\n{more}<p class=\"signature\">{common}\
         <label>decided by <input name=\"by\" autocomplete=\"name\"></label>\n<label>on <input name=\"on\" type=\"date\"></label>\n\
         <span class=\"paper\">signature:</span></p>\n\
         <p class=\"save\" hidden><button class=\"page-button\">save the decisions</button> <button type=\"reset\" class=\"page-button\">clear</button></p>\n\
         <p class=\"told\" role=\"status\"></p>\n</form>\n"
    )
}

fn linked(link: &str, name: &str) -> String {
    match link {
        "" => name.to_string(),
        link => format!("<a href=\"{}\">{name}</a>", escape(link)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_form_offers_an_approval_that_cannot_take_effect() {
        let form = |bar| {
            of_history(&HistoryView {
                instrument: "TH-1".into(),
                serves: true,
                waits: true,
                current_interval_days: Some(365.0),
                interval_days: Some(500.0),
                bar,
                ..HistoryView::default()
            })
        };
        says!(form(""), "value=\"approved\"");
        let barred = form("a case is open");
        assert!(!barred.contains("value=\"approved\"") && barred.contains("a case is open"));
        assert!(barred.contains("value=\"rejected\"") && barred.contains("value=\"other\""));
    }
}
