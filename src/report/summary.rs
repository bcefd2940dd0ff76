/*! `summary.md`: what needs a person, the fleet in numbers, every decision, how it was made. */

use super::cautions::{ADVICE, CAUTIONS};
use super::gathered::{gathered, names};
use super::text::{count, fixed, iso_date, rate};
use super::view::{Action, FleetRow, FleetView, SectionView};
use super::words;
use crate::decisions::policy::leading;
use std::fmt::Write as _;

/// Rejected rows that are listed; all of them are in `rejects.csv`.
const MOST_REJECTS: usize = 50;

/// Histories listed under "needs a person" and in the decisions table.
const MOST_ROWS: usize = 1000;
/// Sentences on each group, the weightiest first; its page has all.
const GROUP_SENTENCES: usize = 2;

/// The run's summary as Markdown.
pub(crate) fn summary(view: &FleetView) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "# {}\n", cell(&words::title(view)));
    let _ = writeln!(
        out,
        "As of {}. {}\n",
        iso_date(view.as_of),
        words::coverage(view)
    );
    if !view.process.is_empty() {
        let _ = writeln!(out, "{}\n", cell(&view.process));
    }
    let _ = writeln!(out, "> {ADVICE}\n");
    let order = view.by_urgency();
    people(view, &order, &mut out);
    cases(view, &mut out);
    fleet(view, &mut out);
    for section in &view.sections {
        push_section(section, &mut out);
    }
    decisions(view, &order, &mut out);
    rejects(view, &mut out);
    list("Warnings", &view.warnings, &mut out);
    let own = view.cautions.iter().map(String::as_str);
    list(
        "Cautions",
        &CAUTIONS.into_iter().chain(own).collect::<Vec<_>>(),
        &mut out,
    );
    // Last: some two hundred lines of settings would hide what follows them.
    methods(view, &mut out);
    out
}

fn people(view: &FleetView, order: &[usize], out: &mut String) {
    out.push_str("## What needs a person\n\n");
    let urgent: Vec<&FleetRow> = order
        .iter()
        .map(|i| &view.rows[*i])
        .filter(|row| row.action.needs_person())
        .collect();
    let _ = writeln!(out, "{}\n", cell(&words::urgent(view)));
    fn said(row: &FleetRow) -> (Action, &str) {
        (row.action, leading(&row.reason))
    }
    let lines = gathered(
        urgent.iter().copied().take(MOST_ROWS),
        |row| said(row),
        MOST_ROWS,
    );
    for rows in &lines {
        let named: Vec<String> = rows.iter().map(|row| row.name()).collect();
        let (action, reason) = said(rows[0]);
        let names = cell(&names(&named));
        let _ = writeln!(out, "- **{names}** ({action}): {}", cell(reason));
    }
    let left = urgent.len().saturating_sub(MOST_ROWS);
    if left > 0 {
        let left = crate::words::number(left);
        let _ = writeln!(out, "- … and {left} more in the table `decisions`");
    }
    if let Some(now) = words::calibrate_now(view, FleetRow::name) {
        let _ = writeln!(out, "\n{}", cell(&now));
    }
    out.push('\n');
}

/// The open cases, each with its record where one is written.
fn cases(view: &FleetView, out: &mut String) {
    if view.open_cases.is_empty() {
        return;
    }
    let _ = writeln!(
        out,
        "## Open cases\n\n{}\n",
        words::open_cases(view.open_cases.len(), view.open_signals())
    );
    for case in view.open_cases.iter().take(MOST_ROWS) {
        let record = match case.record.as_str() {
            "" => String::new(),
            file => format!(" ([record](cases/{file}.md))"),
        };
        let _ = writeln!(
            out,
            "- **{}**, {}: {}{record}",
            cell(&case.name()),
            iso_date(case.day),
            cell(&case.found)
        );
    }
    out.push('\n');
}

fn fleet(view: &FleetView, out: &mut String) {
    out.push_str("## The fleet\n\n| action | histories |\n| --- | ---: |\n");
    for (action, number) in Action::ALL.iter().zip(view.action_counts()) {
        let _ = writeln!(out, "| {action} | {} |", fixed(number as f64, 0));
    }
    if view.undecided() > 0 {
        let _ = writeln!(
            out,
            "| none (retired or lost) | {} |",
            fixed(view.undecided() as f64, 0)
        );
    }
    let _ = writeln!(out, "\n{}\n", words::intervals(view));
    for group in &view.groups {
        for sentence in group.sentences.iter().take(GROUP_SENTENCES) {
            let _ = writeln!(out, "- {}: {}", cell(&group.name), cell(sentence));
        }
    }
    if view.groups.iter().any(|group| !group.sentences.is_empty()) {
        out.push('\n');
    }
}

fn decisions(view: &FleetView, order: &[usize], out: &mut String) {
    out.push_str("## Decisions, most urgent first\n\n");
    out.push_str("| instrument | point | action | due | interval, d (in force) | drift | in tolerance at due date | reason |\n");
    out.push_str("| --- | --- | --- | --- | ---: | ---: | ---: | --- |\n");
    for i in order.iter().take(MOST_ROWS) {
        let row = &view.rows[*i];
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {} ({}) | {} | {} | {} |",
            cell(&row.instrument),
            cell(&row.point),
            row.action,
            when(row),
            days(row.next_interval()),
            days(row.current_interval_days),
            drift(row),
            row.when_due_words(),
            cell(&row.reason),
        );
    }
    if view.rows.len() > MOST_ROWS {
        let _ = writeln!(
            out,
            "\nThe {MOST_ROWS} most urgent of {}; all are in the table `decisions`.",
            count(view.rows.len(), "history")
        );
    }
    out.push('\n');
}

/// The date in force, with that of a proposal beside it.
fn when(row: &FleetRow) -> String {
    match row.proposed().as_str() {
        "" => row.when(),
        _ if row.action == Action::Withdraw => row.when(),
        proposed => format!("{} ({proposed})", row.when()),
    }
}

fn days(interval: Option<f64>) -> String {
    interval.map_or("none".into(), |days| fixed(days.round(), 0))
}

/// Drift with its unit; "unknown" where none was estimated.
pub(super) fn drift(row: &FleetRow) -> String {
    row.drift_per_year
        .filter(|d| d.is_finite())
        .map_or("unknown".into(), |drift| {
            rate(
                drift,
                row.u_drift_per_year.unwrap_or(f64::NAN),
                &cell(&row.unit),
            )
        })
}

fn methods(view: &FleetView, out: &mut String) {
    out.push_str("## Methods and settings\n\n");
    for (name, about) in &view.methods {
        let _ = writeln!(out, "- `{name}`: {}", cell(about));
    }
    if !view.settings_text.is_empty() {
        let _ = writeln!(
            out,
            "\n```toml\n{}\n```",
            view.settings_text.trim_end().replace("```", "` ` `")
        );
    }
    if !view.inputs.is_empty() {
        let names: Vec<String> = view.inputs.iter().map(|name| cell(name)).collect();
        let _ = writeln!(out, "\nRecords: {}.", names.join(", "));
    }
    if !view.version.is_empty() {
        let _ = writeln!(out, "Driftbook {}.", view.version);
    }
    out.push('\n');
}

fn rejects(view: &FleetView, out: &mut String) {
    out.push_str("## Rejected rows\n\n");
    let _ = writeln!(out, "{}\n", words::rows(view));
    if view.rejects.is_empty() {
        return;
    }
    out.push_str("| file | row | column | value | reason |\n| --- | ---: | --- | --- | --- |\n");
    for reject in view.rejects.iter().take(MOST_REJECTS) {
        let _ = writeln!(
            out,
            "| {} | {} | {} | {} | {} |",
            cell(&reject.file),
            reject.row,
            cell(&reject.column),
            cell(&reject.value),
            cell(&reject.reason)
        );
    }
    if view.counts.rejected > MOST_REJECTS as u64 {
        let _ = writeln!(out, "\nThe first {MOST_REJECTS}; all are in `rejects.csv`.");
    }
    out.push('\n');
}

fn list(title: &str, lines: &[impl AsRef<str>], out: &mut String) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "## {title}\n");
    for line in lines {
        let _ = writeln!(out, "- {}", cell(line.as_ref()));
    }
    out.push('\n');
}

/// A titled part: paragraphs, then a table where it has rows.
pub(super) fn push_section(section: &SectionView, out: &mut String) {
    let _ = writeln!(out, "## {}\n", cell(&section.title));
    for paragraph in &section.paragraphs {
        let _ = writeln!(out, "{}\n", cell(paragraph));
    }
    push_table(section, out);
    for figure in section.figures.iter().filter(|f| !f.file.is_empty()) {
        let _ = writeln!(out, "![{}]({})\n", cell(&figure.title), figure.file);
    }
}

fn push_table(section: &SectionView, out: &mut String) {
    if section.headers.is_empty() || section.rows.is_empty() {
        return;
    }
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|text| cell(text)).collect();
        format!("| {} |\n", cells.join(" | "))
    };
    out.push_str(&line(&section.headers));
    out.push_str(&line(&vec!["---".to_string(); section.headers.len()]));
    for row in &section.rows {
        out.push_str(&line(row));
    }
    out.push('\n');
}

/// Text that Markdown shows as it is: no markup, no HTML, no new cell, one line.
pub(super) fn cell(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '|' | '*' | '`' | '[' | ']' | '\\' | '#' | '~' => {
                out.push('\\');
                out.push(character);
            }
            '_' => out.push_str("\\_"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn summary_of_a_small_fleet() {
        insta::assert_snapshot!(summary(&samples::fleet(12)));
    }

    #[test]
    fn nothing_from_the_records_becomes_markup() {
        let mut view = samples::fleet(1);
        view.rows[0].instrument = "<script>alert(1)</script> | **x**\n# y".into();
        let text = summary(&view);
        assert!(!text.contains("<script>") && !text.contains("**x**") && !text.contains("\n# y"));
    }

    #[test]
    fn an_empty_run_still_says_what_it_is() {
        let text = summary(&FleetView::default());
        assert!(text.contains("No history") && text.contains(ADVICE));
    }
}
