/*! The page of one history: the sentence, the chart, every proposal, every number. */

use super::decide;
use super::parts::{figure, folded, heading, list, paragraph, section_body, table};
use super::shell::document;
use crate::report::cautions::ADVICE;
use crate::report::charts::{cost_chart, history_chart};
use crate::report::text::{all_digits, count, escape, fixed, iso_date, significant};
use crate::report::view::{HistoryView, ProposalView, ReadingView, needs_person};

/// Readings in the page's table; a longer history shows its last ones.
const MOST_READINGS: usize = 500;

/// `instruments/SLUG.html`; `group_page` is the file name of its group's page, if written.
pub fn instrument_page(view: &HistoryView, group_page: Option<&str>) -> String {
    let title = view.name();
    let mut body = navigation(view, group_page);
    body += &format!("<header>\n<h1>{}</h1>\n", escape(&title));
    if !view.description.is_empty() {
        body += &paragraph(&view.description);
    }
    body += &format!(
        "</header>\n<main>\n<section>\n<p><strong>{}</strong></p>\n",
        escape(&decision(view))
    );
    body += &paragraph(&view.reason);
    if !view.instrument_line.is_empty() {
        body += &paragraph(&view.instrument_line);
    }
    body += &figure(&history_chart(view));
    body += &paragraph(ADVICE);
    body += "</section>\n";
    body += &cost(view);
    body += &numbers(view);
    body += &proposals(view);
    body += &titled_list("Rules that fired", &view.rules_fired);
    body += &decide::of_history(view);
    body += &folded("Notes", &list(&view.notes));
    for part in &view.sections {
        body += &folded(&part.title, &section_body(part));
    }
    body += &folded("Checks", &readings(view));
    body += "</main>\n";
    let foot = format!("{title}, as of {}", iso_date(view.as_of));
    document(&title, &foot, &body, &[decide::SCRIPT])
}

/// What each interval would cost a year, and the price of the others in words.
fn cost(view: &HistoryView) -> String {
    let Some(curve) = &view.cost else {
        return String::new();
    };
    let prices: String = view.prices.iter().map(|price| paragraph(price)).collect();
    format!(
        "<section>\n{}{}{prices}</section>\n",
        heading("Cost of the interval"),
        figure(&cost_chart(curve))
    )
}

fn navigation(view: &HistoryView, group_page: Option<&str>) -> String {
    let group = match group_page {
        Some(slug) => format!(
            " · <a href=\"../groups/{}.html\">{}</a>",
            escape(slug),
            escape(&view.group)
        ),
        None if view.group.is_empty() => String::new(),
        None => format!(" · {}", escape(&view.group)),
    };
    format!("<nav><a href=\"../index.html\">all decisions</a>{group}</nav>\n")
}

/// "Keep: calibrate every 420 d, due 2027-03-14."; a proposal says what stays in force until it
/// is approved, a withdrawal what to do first.
fn decision(view: &HistoryView) -> String {
    let lead = match view.action.as_str() {
        // The interval that the rules would give it says nothing while it is out of use.
        "withdraw" => {
            return "Withdraw: take it out of use now, until a person has decided.".into();
        }
        "review" => "Review: a person must decide.".to_string(),
        "" if view.interval_days.is_none() => "No decision was made.".to_string(),
        "" => String::new(),
        other => format!("{}: ", capitalised(other)),
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
        return match needs_person(&view.action) {
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
    match needs_person(&view.action) {
        true => format!("{lead} The rules alone would give {days} d{due}.{stays}"),
        false => format!("{lead}{days} d are proposed{due}.{stays}"),
    }
}

fn capitalised(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
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
    line("interval in force", view.current_interval_days.map(days));
    line("interval proposed", view.interval_days.map(days));
    line("approval", Some(view.approval.clone()));
    line("method followed", Some(view.method.clone()));
    let items: String = lines
        .iter()
        .chain(&view.numbers)
        .map(|(name, value)| format!("<dt>{}</dt><dd>{}</dd>\n", escape(name), escape(value)))
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
                .map_or("not applicable".into(), |days| fixed(days.floor(), 0)),
            p.evidence.clone(),
            p.reason.clone(),
        ]
    };
    let rows = view.proposals.iter().map(cells);
    format!(
        "<section>\n{}{}</section>\n",
        heading("Proposals"),
        table(
            "Proposals",
            &["method", "interval, d", "evidence", "reason"],
            rows
        )
    )
}

fn titled_list(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    format!("<section>\n{}{}</section>\n", heading(title), list(lines))
}

fn readings(view: &HistoryView) -> String {
    if view.readings.is_empty() {
        return String::new();
    }
    let skip = view.readings.len().saturating_sub(MOST_READINGS);
    let shown = view.readings.iter().skip(skip);
    let day = if view.usage_unit.is_some() {
        "usage"
    } else {
        "date"
    };
    let unit = |name: &str| {
        if view.unit.is_empty() {
            name.to_string()
        } else {
            format!("{name}, {}", view.unit)
        }
    };
    let (found, left, u) = (unit("as found"), unit("as left"), unit("u"));
    let headers = [day, &found, &left, &u, "event", "remark"];
    let rows = shown.map(|reading| reading_cells(view, reading));
    let note = if skip > 0 {
        paragraph(&format!(
            "The last {MOST_READINGS} of {}.",
            count(view.readings.len(), "check")
        ))
    } else {
        String::new()
    };
    note + &filled_columns(&headers, rows.collect())
}

/// A table without the columns that no row fills.
fn filled_columns(headers: &[&str], mut rows: Vec<Vec<String>>) -> String {
    let kept: Vec<usize> = (0..headers.len())
        .filter(|column| rows.iter().any(|row| !row[*column].is_empty()))
        .collect();
    for row in &mut rows {
        *row = kept
            .iter()
            .map(|column| std::mem::take(&mut row[*column]))
            .collect();
    }
    let headers: Vec<&str> = kept.iter().map(|column| headers[*column]).collect();
    table("Checks", &headers, rows)
}

fn reading_cells(view: &HistoryView, reading: &ReadingView) -> Vec<String> {
    let number = |value: f64| {
        if value.is_nan() {
            String::new()
        } else {
            all_digits(value)
        }
    };
    let day = if view.usage_unit.is_some() {
        significant(reading.day, 6)
    } else {
        iso_date(reading.day)
    };
    let mut remarks = Vec::new();
    if reading.out_of_tolerance {
        remarks.push("out of tolerance");
    } else if reading.value.is_nan() {
        remarks.push("in tolerance, no value kept");
    }
    if reading.outlier {
        remarks.push("suspected outlier");
    }
    vec![
        day,
        number(reading.value),
        reading.as_left.map(number).unwrap_or_default(),
        number(reading.u),
        reading.event.into(),
        remarks.join(", "),
    ]
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
            &mut view.action,
            &mut view.method,
        ] {
            *field = evil.into();
        }
        view.notes.push(evil.into());
        view.rules_fired.push(evil.into());
        view.numbers.push((evil.into(), evil.into()));
        let page = instrument_page(&view, Some(evil));
        assert_eq!(page.matches("<script").count(), 1, "only our own script");
        assert!(!page.contains("<img"));
    }

    #[test]
    fn a_history_without_anything_makes_a_page() {
        assert!(instrument_page(&HistoryView::default(), None).contains("No decision was made."));
    }
}
