/*! The first screen of the index: what a person does now, and in the days of a month. */

use super::fleet_table::{cause, link};
use super::parts::{heading, paragraph};
use crate::report::gathered::and_more;
use crate::report::text::{count, escape, iso_date};
use crate::report::view::{FleetRow, FleetView};
use crate::report::words;
use std::cmp::Ordering;
use std::fmt::Write as _;

/// Causes told one by one: what else is to be done stands below them on the first screen.
const MOST_SENTENCES: usize = 15;

/// Days ahead.
const DAYS_AHEAD: f64 = 30.0;

/// Items named together.
const MOST_NAMED: usize = 12;

/// What needs a person, what is to be calibrated, what waits for a decision.
pub(super) fn to_do(view: &FleetView, order: &[usize]) -> String {
    let rows: Vec<&FleetRow> = order.iter().map(|i| &view.rows[*i]).collect();
    let (urgent, others): (Vec<&FleetRow>, Vec<&FleetRow>) =
        rows.into_iter().partition(|row| row.action.needs_person());
    let mut html = format!("<section>\n{}", heading("To do this month"));
    let counted = [Some(words::needed(view)), words::past_due(view, "")];
    html += &paragraph(&counted.into_iter().flatten().collect::<Vec<_>>().join(" "));
    html += "<ul class=\"people\">\n";
    // What one cause asks of several items is one thing to do.
    let same = |a: &&FleetRow, b: &&FleetRow| {
        a.action == b.action && a.cause == b.cause && !a.cause.is_empty()
    };
    for rows in urgent.chunk_by(same).take(MOST_SENTENCES) {
        let words = match rows {
            [row] => cause(&row.cause, &row.reason),
            rows => escape(&rows[0].cause),
        };
        let _ = writeln!(
            html,
            "<li><strong>{}</strong> <em>{}</em>: {words}</li>",
            named(rows),
            rows[0].action,
        );
    }
    let now = words::calibrate_now(view, |row| link(row, &row.name()));
    html.extend(now.map(|now| format!("<li>{now}</li>\n")));
    html += &due_soon(view, &others);
    html += &waiting(view);
    html.extend(words::notices(view).map(|notice| format!("<li>{}</li>\n", escape(notice))));
    html += "</ul>\n";
    if urgent.chunk_by(same).count() > MOST_SENTENCES {
        html += &paragraph(&format!(
            "The {MOST_SENTENCES} most urgent causes of {}; the table below has all.",
            count(urgent.len(), "history")
        ));
    }
    html + "</section>\n"
}

/// The first rows by name, and how many more there are.
fn named(rows: &[&FleetRow]) -> String {
    let first = rows.iter().take(MOST_NAMED);
    let names: Vec<String> = first.map(|row| link(row, &row.name())).collect();
    and_more(&names, rows.len())
}

/// What is to be calibrated in the days of a month, of what asks for no more than that.
fn due_soon(view: &FleetView, rows: &[&FleetRow]) -> String {
    let end = view.as_of + DAYS_AHEAD;
    let mut due: Vec<&FleetRow> = rows
        .iter()
        .filter(|row| !row.away && row.due_day.is_some_and(|day| day <= end))
        .copied()
        .collect();
    due.sort_by(|a, b| a.due_day.partial_cmp(&b.due_day).unwrap_or(Ordering::Equal));
    let until = iso_date(end);
    if due.is_empty() {
        return format!("<li>Nothing else is due until {until}.</li>\n");
    }
    let names: Vec<String> = due
        .iter()
        .take(MOST_NAMED)
        .map(|row| {
            let since = if row.overdue(view.as_of) {
                "overdue since "
            } else {
                ""
            };
            format!("{} ({since}{})", link(row, &row.name()), row.when())
        })
        .collect();
    let where_else = match due.len() > MOST_NAMED {
        true => ", by the column \u{201c}due\u{201d} below",
        false => "",
    };
    format!(
        "<li>Calibrate until {until}, by what is in force: {}{where_else}.</li>\n",
        and_more(&names, due.len())
    )
}

/// What waits for a decision in the forms below.
fn waiting(view: &FleetView) -> String {
    let proposals = view.rows.iter().filter(|row| row.proposed_due.is_some());
    let asks = [
        ("Decide on", proposals.count(), "proposal"),
        ("Close", view.open_cases.len(), "open case"),
    ];
    let line = |(verb, number, what): &(&str, usize, &str)| {
        format!(
            "<li>{verb} <a href=\"#decide\">{}</a>.</li>\n",
            count(*number, what)
        )
    };
    asks.iter().filter(|ask| ask.1 > 0).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::view::Action;

    fn row(name: &str, action: Action, cause: &str, due: f64) -> FleetRow {
        FleetRow {
            instrument: name.into(),
            action,
            cause: cause.into(),
            due_day: Some(due),
            ..FleetRow::default()
        }
    }

    #[test]
    fn one_cause_is_told_once_and_what_is_due_is_named() {
        let mut away = row("AWAY", Action::Keep, "", 20_005.0);
        away.away = true;
        let view = FleetView {
            as_of: 20_000.0,
            rows: vec![
                row("A", Action::Review, "moved together", 20_400.0),
                row("B", Action::Review, "moved together", 20_400.0),
                row("LATER", Action::Keep, "", 20_031.0),
                row("SECOND", Action::Extend, "", 20_030.0),
                row("FIRST", Action::Keep, "", 19_990.0),
                away,
            ],
            ..FleetView::default()
        };
        let html = to_do(&view, &[0, 1, 2, 3, 4, 5]);
        assert_eq!(html.matches("moved together").count(), 1, "{html}");
        says!(html, "<strong>A; B</strong> <em>review</em>");
        let (first, second) = (html.find("FIRST"), html.find("SECOND"));
        assert!(first.is_some() && first < second, "{html}");
        assert_eq!(
            html.matches("(overdue since 2024-09-24)").count(),
            1,
            "{html}"
        );
        assert!(!html.contains("LATER") && !html.contains("AWAY"), "{html}");
    }

    #[test]
    fn of_many_items_with_one_cause_the_first_are_named() {
        let one = |i: usize| {
            row(
                &format!("N-{i}"),
                Action::Review,
                "no tolerance given",
                20_400.0,
            )
        };
        let view = FleetView {
            as_of: 20_000.0,
            rows: (0..3000).map(one).collect(),
            ..FleetView::default()
        };
        let html = to_do(&view, &(0..3000).collect::<Vec<_>>());
        says!(html, "N-11 and 2988 more");
        says_not!(html, "N-12");
    }
}
