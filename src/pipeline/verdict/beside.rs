/*! The other points of an instrument, beside a verdict on one of them. */

use super::Verdict;
use super::after::decided;
use super::stored::Stored;
use crate::decisions::policy::Action;
use crate::decisions::with_reading::group_of;
use crate::decisions::withdrawn_beside::withdrawn_beside;
use crate::settings::plan::Plan;

/// A verdict, the place of its history and the day of its reading, days since 1970-01-01.
pub(crate) struct OnDay<'a> {
    pub index: usize,
    pub day: f64,
    pub verdict: &'a mut Verdict,
}

/// Says in each verdict where other points of its instrument are withdrawn: by the verdict on a reading of that day or
/// an earlier one where there is one, else by the checks that are stored.
pub(crate) fn tell_points(plan: &Plan, stored: &Stored, judged: &mut [OnDay<'_>]) {
    let read: Vec<(usize, f64, bool)> = judged
        .iter()
        .map(|it| {
            (
                it.index,
                it.day,
                it.verdict.action == Action::Withdraw.word(),
            )
        })
        .collect();
    let withdrawn = |other: usize, day: f64| {
        let mut known = read.iter().rev();
        match known.find(|(index, on, _)| *index == other && *on <= day) {
            Some((_, _, withdrawn)) => *withdrawn,
            None => {
                let (group, place) = group_of(&stored.histories, other);
                let before = stored.histories.get(other);
                let its = (group.into_owned(), place, &before);
                decided(plan, its, day, (stored, &[])).decision.action == Action::Withdraw
            }
        }
    };
    let items = &stored.histories.items;
    for OnDay {
        index,
        day,
        verdict,
    } in judged
    {
        if let Some(words) = withdrawn_beside(items, *index, |other| withdrawn(other, *day)) {
            verdict.lines.push(format!("Instrument: {words}."));
            verdict.needs_person = true;
            verdict.instrument_withdrawn = Some(words);
        }
    }
}
