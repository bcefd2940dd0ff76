/*! The page of one history: the sentence, the chart, every proposal, every number. */

use super::checks::{checks, placed};
use super::decide;
use super::glossary::{explained, glossary};
use super::parts::{
    figure, folded, heading, list, numbers_table, paragraph, placed_figure, section_body,
};
use super::shell::document;
use crate::report::cautions::ADVICE;
use crate::report::charts::{Places, cost_chart, placed_history_chart};
use crate::report::text::{all_digits, escape, fixed, iso_date, percent};
use crate::report::view::{Action, HistoryView, ProposalView};
use crate::words::capitalised;

/// Values of checks on the chart, and the interval of another target.
const VALUES_SCRIPT: &str = include_str!("values.js");

/// `instruments/SLUG.html`; `group_page` is the file name of its group's page, if written.
pub fn instrument_page(view: &HistoryView, group_page: Option<&str>) -> String {
    instrument_page_with(view, &placed_history_chart(view), group_page)
}

/// The same around a chart of `view` that is drawn already.
pub(crate) fn instrument_page_with(
    view: &HistoryView,
    (chart, places): &(String, Places),
    group_page: Option<&str>,
) -> String {
    let title = view.name();
    let mut body = navigation(view, group_page);
    body += &format!("<header>\n<h1>{}</h1>\n", escape(&title));
    if !view.description.is_empty() {
        body += &paragraph(&view.description);
    }
    let strong = |words: &str| format!("<p><strong>{}</strong></p>\n", escape(words));
    body += "</header>\n<main>\n<section>\n";
    // That the instrument must not be used comes before what would be done at this point alone.
    if view.withdrawn_elsewhere {
        body += &strong(&view.instrument_line);
    }
    body += &strong(&decision(view));
    body += &paragraph(&view.reason);
    if !view.withdrawn_elsewhere && !view.instrument_line.is_empty() {
        body += &paragraph(&view.instrument_line);
    }
    body += &placed_figure(chart, &placed(places));
    body += &format!("<p class=\"advice\">{}</p>\n", escape(ADVICE));
    body += "</section>\n";
    body += &targets(view);
    body += &cost(view);
    body += &numbers(view);
    body += &proposals(view);
    body += &titled_list("Rules that fired", &view.rules_fired);
    body += &records(view);
    body += &decide::of_history(view);
    body += &folded("Notes", &list(&view.notes));
    for part in &view.sections {
        body += &folded(&part.title, &section_body(part));
    }
    body += &folded("Checks", &checks(view));
    body += &glossary();
    body += "</main>\n";
    let foot = format!("{title}, as of {}", iso_date(view.as_of));
    document(&title, &foot, &body, &[decide::SCRIPT, VALUES_SCRIPT])
}

/// What each interval would cost a year, and the price of the others in words.
fn cost(view: &HistoryView) -> String {
    let Some(curve) = &view.cost else {
        return String::new();
    };
    let prices: String = view.prices.iter().map(|price| paragraph(price)).collect();
    format!(
        "<section class=\"price run\">\n{}{}{prices}</section>\n",
        heading("Cost of the interval"),
        figure(&cost_chart(curve))
    )
}

/// Links to the records of its findings, the latest first.
fn records(view: &HistoryView) -> String {
    let link = |(words, file): &(String, String)| {
        format!(
            "<li><a href=\"../cases/{}.html\">{}</a></li>\n",
            escape(file),
            escape(words)
        )
    };
    let links: String = view.records.iter().rev().map(link).collect();
    match links.is_empty() {
        true => links,
        false => format!(
            "<section class=\"run\">\n{}<ul>\n{links}</ul>\n</section>\n",
            heading("Cases")
        ),
    }
}

fn navigation(view: &HistoryView, group_page: Option<&str>) -> String {
    let group = match group_page {
        Some(slug) => format!(
            " · <a href=\"../groups/{0}.html\">{1}</a> · <a href=\"../groups/{0}.html#first={2}\">on one scale with another</a>",
            escape(slug),
            escape(&view.group),
            escape(&view.slug)
        ),
        None if view.group.is_empty() => String::new(),
        None => format!(" · {}", escape(&view.group)),
    };
    format!("<nav><a href=\"../index.html\">all decisions</a>{group}</nav>\n")
}

/// "Keep: calibrate every 420 d, due 2027-03-14."; a proposal says what stays in force until it
/// is approved, a withdrawal what to do first.
fn decision(view: &HistoryView) -> String {
    let lead = match view.action {
        // The interval that the rules would give it says nothing while it is out of use.
        Action::Withdraw => {
            return "Withdraw: take it out of use now, until a person has decided.".into();
        }
        Action::Review => {
            "Review: a person must decide, also whether it serves until then.".to_string()
        }
        Action::NotDecided if view.interval_days.is_none() => "No decision was made.".to_string(),
        Action::NotDecided => String::new(),
        other => format!("{}: ", capitalised(other.word())),
    };
    let Some(days) = view.interval_days else {
        return lead;
    };
    let days = fixed(days.floor(), 0);
    let dated = |day: Option<f64>, in_force: bool| {
        day.map_or(String::new(), |day| {
            let late = in_force && day < view.as_of && !view.away;
            let late = if late { ", overdue" } else { "" };
            format!(", due {}{late}", iso_date(day))
        })
    };
    let in_force = view.current_interval_days;
    if in_force.is_none_or(|now| Some(now) == view.interval_days) {
        let due = dated(view.due_day, true);
        return match view.action.needs_person() {
            true => format!("{lead} {days} d stay in force{due}."),
            false => format!("{lead}calibrate every {days} d{due}. {}", view.approval),
        };
    }
    let stays = in_force.map_or(String::new(), |now| {
        let due = dated(view.in_force_due, true);
        format!(
            " In force until it is approved: {} d{due}.",
            fixed(now.floor(), 0)
        )
    });
    let due = dated(view.due_day, false);
    match view.action.needs_person() {
        true => format!("{lead} The rules alone would give {days} d{due}.{stays}"),
        false => format!("{lead}{days} d are proposed{due}.{stays}"),
    }
}

fn numbers(view: &HistoryView) -> String {
    let mut lines: Vec<(String, String)> = Vec::new();
    let mut line = |name: &str, value: Option<String>| {
        if let Some(value) = value.filter(|value| !value.is_empty()) {
            lines.push((name.into(), value));
        }
    };
    let days = |days: f64| format!("{}\u{a0}d", fixed(days.floor(), 0));
    line("status", Some(view.status.clone()));
    line("drift model", Some(view.model.clone()));
    line("last calibration", view.last_calibration.map(iso_date));
    let in_force = match view.action {
        Action::Withdraw => "interval in force once it is restored",
        _ => "interval in force",
    };
    line(in_force, view.current_interval_days.map(days));
    let given = view.interval_days;
    match view.action.needs_person() {
        // What stays in force is no proposal, nor is what the rules would give an item out of use.
        true if given == view.current_interval_days => {}
        true => line("interval by the rules alone", given.map(days)),
        false => line("interval proposed", given.map(days)),
    }
    line("approval", Some(view.approval.clone()));
    line("method followed", Some(view.method.clone()));
    let items: String = lines
        .iter()
        .chain(&view.numbers)
        .map(|(name, value)| {
            format!(
                "<div><dt>{}</dt><dd>{}</dd></div>\n",
                explained(name),
                explained(value)
            )
        })
        .collect();
    format!(
        "<section>\n{}<dl>\n{items}</dl>\n</section>\n",
        heading("Numbers")
    )
}

fn proposals(view: &HistoryView) -> String {
    if view.proposals.is_empty() {
        return String::new();
    }
    let cells = |p: &ProposalView| {
        let mark = if p.leads { " (followed)" } else { "" };
        vec![
            format!("{}{mark}", p.method),
            p.interval_days
                .map_or("none".into(), |days| fixed(days.floor(), 0)),
            p.evidence.clone(),
            p.reason.clone(),
        ]
    };
    let rows = view.proposals.iter().map(cells);
    format!(
        "<section>\n{}{}</section>\n",
        heading("Proposals"),
        numbers_table(
            "Proposals",
            &[
                ("method", false),
                ("interval, d", true),
                ("evidence", false),
                ("reason", false)
            ],
            rows
        )
    )
}

fn titled_list(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    format!(
        "<section class=\"run\">\n{}{}</section>\n",
        heading(title),
        list(lines)
    )
}

/// What other targets of the probability in tolerance would give, by the forecast alone.
fn targets(view: &HistoryView) -> String {
    if view.targets.is_empty() {
        return String::new();
    }
    let same = |target: f64| view.target.is_some_and(|now| (now - target).abs() < 1e-9);
    // Only an axis of time has a place for a date.
    let on_time = view.usage_unit.is_none();
    let mut rows = String::new();
    for (target, days, met) in &view.targets {
        let until = view.last_calibration.map(|from| from + days);
        let until = until.filter(|_| *met);
        let shortest = if *met { "" } else { "not even " };
        let now = if same(*target) { " data-now" } else { "" };
        rows += &format!(
            "<tr{now} data-day=\"{}\"><td class=\"n\">{}</td><td class=\"n\">{shortest}{}</td><td>{}</td></tr>\n",
            until.filter(|_| on_time).map_or(String::new(), all_digits),
            percent(*target),
            fixed(days.floor(), 0),
            until.map_or(String::new(), iso_date),
        );
    }
    let heads = "<th scope=\"col\">target</th><th scope=\"col\">interval, d</th><th scope=\"col\">until</th>";
    format!(
        "<section id=\"targets\">\n{}{}<p class=\"slide\" hidden><label>target <input type=\"range\" min=\"0\" step=\"1\"></label> \
         <output></output></p>\n<details><summary>every target</summary>\n<table class=\"narrow\">\n<caption class=\"unseen\">Interval by target</caption>\n\
         <thead><tr>{heads}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table></details>\n</section>\n",
        heading("Interval by target"),
        paragraph(
            "How long the forecast alone stays above a target, within cap and floor; steps at once, cases and other rules are not heeded here."
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn text_from_the_records_never_becomes_markup() {
        let evil = "<script>alert('x')</script>\"><img src=x onerror=alert(1)>";
        let mut view = samples::eventful();
        for field in [
            &mut view.instrument,
            &mut view.point,
            &mut view.group,
            &mut view.unit,
            &mut view.description,
            &mut view.finding,
            &mut view.reason,
            &mut view.status,
            &mut view.model,
            &mut view.method,
        ] {
            *field = evil.into();
        }
        view.notes.push(evil.into());
        view.rules_fired.push(evil.into());
        view.numbers.push((evil.into(), evil.into()));
        let page = instrument_page(&view, Some(evil));
        assert_eq!(page.matches("<script").count(), 2, "only our own scripts");
        says_not!(page, "<img");
    }

    #[test]
    fn a_history_without_anything_makes_a_page() {
        says!(
            instrument_page(&HistoryView::default(), None),
            "No decision was made."
        );
    }
}
