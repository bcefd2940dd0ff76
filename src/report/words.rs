/*! Sentences that the page, the summary and the digest share. */

use super::gathered::and_more;
use super::text::{count, fixed};
use super::view::{Action, FleetRow, FleetView};
use crate::records::DAYS_PER_YEAR;
use crate::words::agreeing;

/// The heading of a run.
pub(crate) fn title(view: &FleetView) -> String {
    if view.title.is_empty() {
        "Recalibration intervals".into()
    } else {
        view.title.clone()
    }
}

/// "60 histories decided, 1 not. 1 218 rows read: 1 200 used, 4 merged, 14 rejected."
pub(crate) fn coverage(view: &FleetView) -> String {
    if view.rows.is_empty() {
        return format!("No history could be built. {}", rows(view));
    }
    let (all, left) = (view.rows.len(), view.undecided());
    let not = match left {
        0 => String::new(),
        left => format!(", {left} not"),
    };
    format!(
        "{} decided{not}. {}",
        count(all - left, "history"),
        rows(view)
    )
}

/// "1 218 rows read: 1 200 used, 4 merged, 14 rejected."
pub(crate) fn rows(view: &FleetView) -> String {
    let n = |number: u64| fixed(number as f64, 0);
    let c = view.counts;
    format!(
        "{} read: {} used, {} merged, {} rejected.",
        count(c.read as usize, "row"),
        n(c.used),
        n(c.merged),
        n(c.rejected)
    )
}

/// How many need a person, what else is to be done, and which are past their due date by name.
pub(crate) fn urgent(view: &FleetView) -> String {
    let mut sentences = vec![needed(view)];
    sentences.extend(notices(view).map(str::to_string));
    sentences.extend(past_due(view, &only_overdue(view)));
    sentences.join(" ")
}

/// What the records lack for the decisions to be the laboratory's own; each with its mend.
pub(crate) fn notices(view: &FleetView) -> impl Iterator<Item = &str> {
    let all = [&view.vanished, &view.unclosed, &view.unstated];
    all.into_iter()
        .map(String::as_str)
        .filter(|notice| !notice.is_empty())
}

/// How many are past their due date, with what is `named` of them.
pub(crate) fn past_due(view: &FleetView, named: &str) -> Option<String> {
    let overdue = view.overdue();
    if overdue > 0 {
        return Some(format!(
            "{} {} past the due date{named}.",
            count(overdue, "history"),
            agreeing(overdue, "is", "are")
        ));
    }
    let away = view.rows.iter().any(|row| row.late_while_away(view.as_of));
    let none = if away { "None that serves" } else { "None" };
    let dated = view.rows.iter().any(|row| row.due_day.is_some());
    dated.then(|| format!("{none} is past its due date."))
}

/// How many need a person, in one or two sentences.
pub(crate) fn needed(view: &FleetView) -> String {
    let [withdraw, review, ..] = view.action_counts();
    let mut sentences = Vec::new();
    match (withdraw, review) {
        _ if view.rows.is_empty() => sentences.push(
            "There is no history to decide on: the cautions and the rejected rows say why."
                .to_string(),
        ),
        (0, 0) if view.unclosed.is_empty() => {
            sentences.push("Nothing is out of tolerance and no history needs a review.".to_string())
        }
        (0, 0) => sentences.push("No history needs a review by the rules of this run.".to_string()),
        _ => {
            if withdraw > 0 {
                sentences.push(format!("Withdraw {} from use.", count(withdraw, "item")));
            }
            if review > 0 {
                let verb = agreeing(review, "needs", "need");
                sentences.push(format!(
                    "{} {verb} a review before an interval can be decided.",
                    count(review, "history")
                ));
            }
        }
    }
    sentences.join(" ")
}

/// "8 cases are open, 2 of them signals of control charts"; `signals` are not in the table of cases.
pub(crate) fn open_and_signals(open: usize, signals: usize) -> String {
    let what = match (open, signals) {
        (_, 0) => String::new(),
        (1, 1) => ", a signal of a control chart".to_string(),
        (open, all) if open == all => ", all of them signals of control charts".to_string(),
        (_, 1) => ", 1 of them a signal of a control chart".to_string(),
        (_, several) => format!(", {several} of them signals of control charts"),
    };
    format!(
        "{} {} open{what}",
        count(open, "case"),
        agreeing(open, "is", "are")
    )
}

/// "5 cases are open, …"; nothing where none is.
pub(crate) fn open_cases(open: usize, signals: usize) -> String {
    match open {
        0 => String::new(),
        open => format!(
            "{}. While a failed check is among them, no interval of its item grows and its work in doubt stays listed, until a named person has closed it.",
            open_and_signals(open, signals)
        ),
    }
}

/// What a shorter interval that is proposed asks to calibrate now, by name; nothing where there is none.
pub(crate) fn calibrate_now(
    view: &FleetView,
    name: impl Fn(&FleetRow) -> String,
) -> Option<String> {
    const MOST_NAMED: usize = 12;
    let order = view.by_urgency().into_iter().map(|index| &view.rows[index]);
    let rows: Vec<&FleetRow> = order
        .filter(|row| row.to_calibrate_now(view.as_of))
        .collect();
    let named = |row: &&FleetRow| format!("{} (in force until {})", name(row), row.when());
    let names: Vec<String> = rows.iter().take(MOST_NAMED).map(named).collect();
    (!rows.is_empty()).then(|| {
        format!(
            "Calibrate now, by a shorter interval that is proposed and not approved: {}.",
            and_more(&names, rows.len())
        )
    })
}

/// Overdue histories that no other list names, since they need no more than their calibration.
fn only_overdue(view: &FleetView) -> String {
    const MOST_NAMED: usize = 5;
    let rows: Vec<&FleetRow> = view
        .by_urgency()
        .into_iter()
        .map(|index| &view.rows[index])
        .filter(|row| row.overdue(view.as_of) && !row.action.needs_person())
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    let names: Vec<String> = rows.iter().take(MOST_NAMED).map(|row| row.name()).collect();
    format!("; to calibrate now: {}", and_more(&names, rows.len()))
}

/// What happens to the intervals, and to the calibrations a year that they ask for.
pub(crate) fn intervals(view: &FleetView) -> String {
    let [_, _, shorten, keep, extend] = view.action_counts();
    if shorten + keep + extend == 0 {
        return "No interval was decided.".into();
    }
    let (now, next) = calibrations_a_year(view);
    let (now, next) = (yearly_number(now), yearly_number(next));
    let load = if now == next {
        format!("Their calibrations a year stay at {now}.")
    } else {
        format!("Their calibrations a year go from {now} to {next}.")
    };
    let [extend, keep, shorten] = [extend, keep, shorten].map(|number| fixed(number as f64, 0));
    format!("Intervals to extend: {extend}, to keep: {keep}, to shorten: {shorten}. {load}")
}

/// Calibrations a year by the intervals in use and by the decided ones, over the histories
/// whose interval was decided.
fn calibrations_a_year(view: &FleetView) -> (f64, f64) {
    let a_year = |days: Option<f64>| {
        days.map(|days| DAYS_PER_YEAR / days)
            .filter(|n| n.is_finite())
    };
    view.rows
        .iter()
        .filter(|row| !row.action.needs_person())
        .filter_map(|row| {
            Some((
                a_year(row.current_interval_days)?,
                a_year(row.interval_days)?,
            ))
        })
        .fold((0.0, 0.0), |(now, next), (a, b)| (now + a, next + b))
}

/// A tenth tells where few items are calibrated; of many it says nothing.
fn yearly_number(number: f64) -> String {
    fixed(number, usize::from(number < 9.95))
}

/// What each action asks for.
pub(crate) fn action_meaning(action: Action) -> &'static str {
    match action {
        Action::Withdraw => {
            "out of tolerance, or more likely than not out today: take it out of use"
        }
        Action::Review => "the data cannot support a decision, or a rule asks for a person",
        Action::Shorten => "calibrate sooner than today's interval",
        Action::Keep => "today's interval stands",
        Action::Extend => "a longer interval is supported",
        Action::NotDecided => "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_yearly_number_is_told_before_and_after() {
        let words = |items: usize, days: f64| {
            let row = FleetRow {
                current_interval_days: Some(365.25),
                interval_days: Some(days),
                action: Action::Shorten,
                ..FleetRow::default()
            };
            let view = FleetView {
                rows: vec![row; items],
                ..FleetView::default()
            };
            intervals(&view)
        };
        for (items, days, end) in [
            (1, 246.0, "go from 1.0 to 1.5."),
            (1, 365.25, "stay at 1.0."),
            (40, 182.625, "go from 40 to 80."),
            (400, 365.0, "stay at 400."),
        ] {
            assert!(words(items, days).ends_with(end), "{}", words(items, days));
        }
    }
}

#[cfg(test)]
mod open_tests {
    use super::*;

    #[test]
    fn signals_are_told_apart_from_findings() {
        let said = |open, signals| open_and_signals(open, signals).replace('\u{a0}', " ");
        assert_eq!(said(6, 0), "6 cases are open");
        assert_eq!(
            said(8, 2),
            "8 cases are open, 2 of them signals of control charts"
        );
        assert_eq!(said(1, 1), "1 case is open, a signal of a control chart");
        assert_eq!(
            said(2, 1),
            "2 cases are open, 1 of them a signal of a control chart"
        );
    }

    /// A shorter interval that had ended when it was decided is told first, though it waits for a person.
    #[test]
    fn what_a_proposal_asks_to_calibrate_now_is_named() {
        let row = |proposed: f64, action: Action, away| FleetRow {
            instrument: format!("{action} {proposed}"),
            action,
            due_day: Some(20_500.0),
            proposed_due: Some(proposed),
            away,
            ..FleetRow::default()
        };
        let view = FleetView {
            as_of: 20_000.0,
            rows: vec![
                row(20_000.0, Action::Shorten, false),
                row(20_100.0, Action::Shorten, false),
                row(20_000.0, Action::Shorten, true),
                row(20_000.0, Action::Review, false),
            ],
            ..FleetView::default()
        };
        let told = calibrate_now(&view, FleetRow::name).unwrap();
        assert_eq!(
            told,
            "Calibrate now, by a shorter interval that is proposed and not approved: shorten 20000 (in force until 2026-02-16)."
        );
    }
}
