/*! Intervals that grew while a case was open: `driftbook approve` refuses that, and a line written by hand, or a check
entered later, can bring it about. */

use super::closings::Closings;
use super::open_findings;
use crate::conformity::DecisionRule;
use crate::records::{Histories, History, Warning, date};

/// What is to be said of each interval in force that a person lengthened on a day when a finding of its history was open by
/// the book.
pub(crate) fn grown_while_open(
    histories: &Histories,
    rule: &DecisionRule,
    book: &Closings,
) -> Vec<Warning> {
    let signed = histories.iter().filter(|h| h.item.signed.is_some());
    let said = signed.filter_map(|history| {
        let words = words(&history, rule, book)?;
        Some(Warning::new(history.item.name(), words))
    });
    said.collect()
}

fn words(history: &History<'_>, rule: &DecisionRule, book: &Closings) -> Option<String> {
    let signed = history.item.signed.as_ref()?;
    let line = signed.in_force.as_ref()?;
    let (days, before) = (line.approved_days?, signed.days_before()?);
    if days <= before {
        return None;
    }
    let open = open_findings(history, rule, Some(book), line.on);
    let finding = open.iter().find(|finding| finding.day.floor() <= line.on)?;
    Some(format!(
        "{days} d were put in force by {} on {}, longer than the {before} d before, while the case of {} was open: \
         driftbook approve refuses that, and sets another interval",
        line.by,
        date::iso(line.on),
        date::iso(finding.day)
    ))
}
