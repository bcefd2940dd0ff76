/*! Cases: what was once found out of tolerance stays open until a named person closed it.

A finding is known from the records themselves: a check out of tolerance, or one that the decision
rule cannot tell. A later good check, an adjustment or a repair never closes one, since none of
them says what became of the work done before. The book holds closings only.
*/

pub(crate) mod closings;
mod finding;
pub(crate) mod grown;

pub(crate) use finding::{Finding, Kind, failure_days, findings};

use super::policy::{Action, BY_THE_RECORD, Decision, Rule, hold};
use crate::conformity::DecisionRule;
use crate::intervals::Evidence;
use crate::records::{Histories, History, Warning};
use crate::words::{agreeing, count, date, full_stop};
use closings::{Closing, Closings};
use rayon::prelude::*;

/// What became of a finding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum CaseStanding<'a> {
    /// No book is kept.
    NotKept,
    /// Nobody has closed it.
    Open,
    /// It is older than the book.
    BeforeBook,
    /// A person closed it.
    Closed(&'a Closing),
}

impl CaseStanding<'_> {
    /// The word written to `cases.csv`.
    pub(crate) fn word(self) -> &'static str {
        match self {
            CaseStanding::NotKept => "not_kept",
            CaseStanding::Open => "open",
            CaseStanding::BeforeBook => "before_book",
            CaseStanding::Closed(_) => "closed",
        }
    }
}

/// What became of the finding of `day` by `as_of`, by the book where one is kept.
pub(crate) fn standing<'a>(
    (instrument, point): (&str, &str),
    day: f64,
    book: Option<&'a Closings>,
    as_of: f64,
) -> CaseStanding<'a> {
    let Some(book) = book else {
        return CaseStanding::NotKept;
    };
    let closing = book.closing(instrument, point, day);
    match closing.filter(|closing| closing.on as f64 <= as_of) {
        Some(closing) => CaseStanding::Closed(closing),
        None if book.is_before(day) => CaseStanding::BeforeBook,
        None => CaseStanding::Open,
    }
}

/// The findings of `history` that nobody had closed by `as_of`; none where no book is kept.
pub(crate) fn open_findings(
    history: &History<'_>,
    rule: &DecisionRule,
    book: Option<&Closings>,
    as_of: f64,
) -> Vec<Finding> {
    if book.is_none() {
        return Vec::new();
    }
    let names = history.item.names();
    let open = |finding: &Finding| standing(names, finding.day, book, as_of) == CaseStanding::Open;
    findings(history, rule).into_iter().filter(open).collect()
}

/// Where no book is kept, the failures that nobody can close, in words; `None` where there are none.
pub(crate) fn unkept(histories: &Histories, rule: &DecisionRule) -> Option<Warning> {
    unkept_words(failures(histories, rule))
}

/// Checks out of tolerance, and their histories.
pub(crate) fn failures(histories: &Histories, rule: &DecisionRule) -> (usize, usize) {
    let failed = |history: History<'_>| {
        let found = findings(&history, rule);
        found
            .iter()
            .filter(|f| f.kind == Kind::OutOfTolerance)
            .count()
    };
    let counts = (0..histories.len())
        .into_par_iter()
        .map(|i| failed(histories.get(i)));
    counts
        .map(|found| (found, usize::from(found > 0)))
        .reduce(|| (0, 0), |all, one| (all.0 + one.0, all.1 + one.1))
}

/// What is said of so many checks of so many histories.
pub(crate) fn unkept_words((checks, items): (usize, usize)) -> Option<Warning> {
    (checks > 0).then(|| {
        let words = format!(
            "{} of {} {} found out of tolerance, with no book that says who closed the case: {} listed in cases.csv. \
             A person is asked where that was the last check, and no interval grows before as many good ones have followed as \
             [policy] checks_after_failure says; nothing else holds a failure open. Name a book under [cases] file, and since when it is kept",
            count(checks, "check"),
            count(items, "history"),
            agreeing(checks, "was", "were"),
            agreeing(checks, "it is", "they are")
        );
        Warning::new("cases", words)
    })
}

/// While a case is open no interval grows, and a person is asked. `book` says whether a line that
/// does not count was to close it.
pub(crate) fn apply(
    evidence: &Evidence<'_>,
    open: &[Finding],
    book: Option<&Closings>,
    decision: &mut Decision,
) {
    let Some(first) = open.first() else {
        return;
    };
    let what = match first.kind {
        Kind::OutOfTolerance => "out of tolerance",
        Kind::Indeterminate => "too near a limit to tell",
    };
    let more = match open.len() {
        1 => String::new(),
        several => format!(", the first of {}", count(several, "open case")),
    };
    let item = evidence.history.item;
    let line = book.and_then(|book| book.uncounted(&item.instrument, &item.point, first.day));
    let unclosed = match line {
        None => String::new(),
        Some(line) => format!(", and the line that closes it does not count ({line})"),
    };
    let why = Rule::new(
        format!("open case: found {what} on {}{more}", date(first.day)),
        &unclosed,
    );
    decision.rules_fired.push(why.clone());
    let held = hold(evidence, decision, |own, stays| {
        format!(
            "Keep {stays} until a person has closed the {why}.{BY_THE_RECORD}{}",
            full_stop(own)
        )
    });
    if !held {
        let own = full_stop(&decision.reason);
        decision.reason = match decision.action.needs_person() {
            true => format!("{own} There is an {why}."),
            false => format!("Review by a person: there is an {why}. By the interval alone: {own}"),
        };
    }
    if decision.action != Action::Withdraw {
        decision.action = Action::Review;
    }
}

#[cfg(test)]
mod tests;
