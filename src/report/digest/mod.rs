/*! The digest as Markdown and as plain text for e-mail: what changed, what is due. */

mod json;

use crate::decisions::policy::leading;
use crate::report::cautions::ADVICE;
use crate::report::gathered::{gathered, names};
use crate::report::summary::cell;
use crate::report::text::{count, fixed, iso_date, month_year, unbroken};
use crate::report::view::{Action, ChangeView, DigestView, FleetRow};
use crate::report::words::open_and_signals;
use std::fmt::Write as _;

pub(crate) use json::digest_json;

/// Changes listed under one heading; the rest are counted.
pub(super) const MOST_CHANGES: usize = 30;

/// Columns of a plain-text line (RFC 5322 recommends at most 78).
const LINE_WIDTH: usize = 76;

/// The digest's heading.
pub(super) fn title(view: &DigestView) -> String {
    if view.title.is_empty() {
        format!("Digest, {}", month_year(view.as_of))
    } else {
        view.title.clone()
    }
}

/// The opening sentences.
pub(super) fn opening(view: &DigestView) -> String {
    let [withdraw, review, ..] = view.action_counts;
    let people = match withdraw + review {
        // Not that nobody is needed: proposals may wait.
        0 => "Nothing is to be withdrawn or reviewed.".to_string(),
        _ => format!("{withdraw} to withdraw, {review} to review."),
    };
    let cases = match view.open_cases {
        0 => String::new(),
        open => format!(" {}.", open_and_signals(open, view.open_signals)),
    };
    let flags = view.changes.iter().filter(|change| change.red_flag).count();
    let flagged = match flags {
        0 => String::new(),
        1 => " One change would make an assessor ask.".to_string(),
        n => format!(" {n} changes would make an assessor ask."),
    };
    format!(
        "As of {}, {}. {people}{cases}{flagged}",
        iso_date(view.as_of),
        count(view.histories, "history")
    )
}

/// What the comparison rests on.
pub(super) fn compared(view: &DigestView) -> String {
    match view.previous {
        None if view.changes.is_empty() => {
            "First run: there is nothing to compare with yet.".into()
        }
        None => format!(
            "{} since the first run of this date.",
            count(view.changes.len(), "change")
        ),
        Some(previous) if view.changes.is_empty() => {
            format!("Nothing changed since the run of {}.", iso_date(previous))
        }
        Some(previous) => format!(
            "{} since the run of {}.",
            count(view.changes.len(), "change"),
            iso_date(previous)
        ),
    }
}

/// What falls due, in one sentence.
pub(super) fn due(view: &DigestView) -> String {
    let d = view.due;
    format!(
        "{} overdue; {} due within 30 days, {} within 60, {} within 90.",
        d.overdue, d.within_30, d.within_60, d.within_90
    )
}

/// Changes grouped by kind: red flags first, then in the order they came.
pub(super) fn by_kind(view: &DigestView) -> Vec<(&str, Vec<&ChangeView>)> {
    let mut kinds: Vec<(&str, Vec<&ChangeView>)> = Vec::new();
    let flagged = view.changes.iter().filter(|c| c.red_flag);
    for change in flagged.chain(view.changes.iter().filter(|c| !c.red_flag)) {
        match kinds.iter_mut().find(|(kind, _)| *kind == change.kind) {
            Some((_, changes)) => changes.push(change),
            None => kinds.push((&change.kind, vec![change])),
        }
    }
    kinds
}

/// "3 withdraw, 2 review, …".
pub(super) fn actions(view: &DigestView) -> String {
    let parts = Action::ALL
        .iter()
        .zip(view.action_counts)
        .map(|(action, n)| format!("{} {action}", fixed(n as f64, 0)));
    parts.collect::<Vec<_>>().join(", ")
}

/// `digest.md`: what must be done first, then what changed, then what falls due.
pub(crate) fn digest_markdown(view: &DigestView) -> String {
    let mut out = format!("# {}\n\n{}\n\n", cell(&title(view)), opening(view));
    let _ = writeln!(out, "> {ADVICE}\n\n## Most urgent\n");
    urgent_lines(view, &mut out);
    let _ = writeln!(out, "\n## What changed\n\n{}\n", compared(view));
    change_lines(view, &mut out);
    for note in &view.notes {
        let _ = writeln!(out, "{}\n", cell(note));
    }
    let _ = writeln!(out, "## Due\n\n{}\n", due(view));
    let _ = writeln!(out, "Decisions: {}.", actions(view));
    workload_lines(view, &mut out);
    out
}

/// What a list says of a row besides its name.
pub(crate) fn said(row: &FleetRow) -> (Action, String, &str) {
    (row.action, due_words(row), leading(&row.reason))
}

/// Items of which the same is said, by their names and the first of them.
struct Pressing<'a> {
    names: String,
    row: &'a FleetRow,
    reason: &'a str,
}

fn pressing(view: &DigestView) -> impl Iterator<Item = Pressing<'_>> {
    let lines = gathered(&view.urgent, |row| said(row), usize::MAX);
    lines.into_iter().map(|rows| Pressing {
        names: names(&rows.iter().map(|row| row.name()).collect::<Vec<_>>()),
        row: rows[0],
        reason: leading(&rows[0].reason),
    })
}

fn urgent_lines(view: &DigestView, out: &mut String) {
    for line in pressing(view) {
        let due = due_words(line.row);
        let (names, action) = (cell(&line.names), line.row.action);
        let _ = writeln!(out, "- **{names}** ({action}{due}): {}", cell(line.reason));
    }
    if view.urgent.is_empty() {
        out.push_str("Nothing is urgent.\n");
    }
}

fn change_lines(view: &DigestView, out: &mut String) {
    for (kind, changes) in by_kind(view) {
        let _ = writeln!(out, "### {}\n", cell(kind));
        for change in changes.iter().take(MOST_CHANGES) {
            let flag = if change.red_flag {
                " **(an assessor would ask)**"
            } else {
                ""
            };
            let _ = writeln!(
                out,
                "- **{}**: {}{flag}",
                cell(&change.name),
                cell(&change.sentence)
            );
        }
        if changes.len() > MOST_CHANGES {
            let _ = writeln!(
                out,
                "- … and {} more in `digest.json`",
                changes.len() - MOST_CHANGES
            );
        }
        out.push('\n');
    }
}

fn workload_lines(view: &DigestView, out: &mut String) {
    if view.workload.months.is_empty() {
        return;
    }
    out.push_str(
        "\n| month | due, intervals in force | due, if every proposal is approved |\n| --- | ---: | ---: |\n",
    );
    let overdue = ("overdue".to_string(), view.workload.overdue);
    let months = view.workload.months.iter();
    let months = months.map(|month| (month_year(month.month), month.due));
    for (name, due) in std::iter::once(overdue).chain(months) {
        let _ = writeln!(out, "| {name} | {} | {} |", due.now, due.decided);
    }
}

pub(super) fn due_words(row: &FleetRow) -> String {
    let due = match row.when().as_str() {
        "none" => String::new(),
        "now" => return ", now".into(),
        day => format!(", due {day}"),
    };
    match row.proposed().as_str() {
        "" => due,
        proposed => format!("{due}; {proposed}"),
    }
}

/// `digest.txt`: the body of an e-mail, ASCII layout, lines of at most 76 columns.
pub(crate) fn digest_text(view: &DigestView) -> String {
    let mut out = String::new();
    let mut say = |text: &str, indent: &str| fill(text, indent, &mut out);
    say(&title(view), "");
    say("", "");
    say(&opening(view), "");
    say(&compared(view), "");
    for note in &view.notes {
        say(note, "");
    }
    say(&due(view), "");
    if !view.urgent.is_empty() {
        say("", "");
        say("Most urgent:", "");
        for line in pressing(view) {
            let (action, due) = (line.row.action, due_words(line.row));
            say(
                &format!("{} ({action}{due}): {}", line.names, line.reason),
                "  - ",
            );
        }
    }
    for (kind, changes) in by_kind(view) {
        say("", "");
        say(&format!("{kind}:"), "");
        for change in changes.iter().take(MOST_CHANGES) {
            say(&format!("{}: {}", change.name, change.sentence), "  - ");
        }
        if changes.len() > MOST_CHANGES {
            let more = format!("and {} more", changes.len() - MOST_CHANGES);
            say(&more, "  - ");
        }
    }
    say("", "");
    say(ADVICE, "");
    out
}

/// Breaks `text` at spaces; later lines are indented as far as the first.
fn fill(text: &str, indent: &str, out: &mut String) {
    let mut line = indent.to_string();
    let mut empty = true;
    for word in unbroken(text)
        .split(|c: char| c == ' ' || c.is_control())
        .filter(|word| !word.is_empty())
    {
        let width = line.chars().count() + 1 + word.chars().count();
        if !empty && width > LINE_WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = " ".repeat(indent.len());
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(&word.replace('\u{a0}', " "));
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn digest_of_a_month() {
        insta::assert_snapshot!(digest_markdown(&samples::digest()));
    }

    #[test]
    fn e_mail_body_of_a_month() {
        let text = digest_text(&samples::digest());
        assert!(text.lines().all(|line| line.chars().count() <= LINE_WIDTH));
        insta::assert_snapshot!(text);
    }

    #[test]
    fn an_empty_digest_says_that_it_is_the_first() {
        let empty = digest_markdown(&DigestView::default());
        says!(empty, "First run");
        // Proposals may wait for a person all the same.
        assert!(
            empty.contains("Nothing is to be withdrawn or reviewed.")
                && !empty.contains("needs a person")
        );
    }
}
