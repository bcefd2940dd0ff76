/*! "One more check": the whole procedure run again on the history with one hypothetical check added. */

use super::Chain;
use crate::decisions::policy::decision::{Action, Decision, PastDecision};
use crate::drift::series::use_rate::UseRate;
use crate::intervals::{Evidence, Forecast};
use crate::records::{Check, CheckKind, Histories, Item, Outcome};
use crate::words::{date, days, resolved};

/// What would be decided after one more check that reads as predicted.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct NextCheck {
    /// Day of the hypothetical check: the due date, or the as-of date where that has passed.
    pub day: f64,
    /// Its reading: the error predicted for that day.
    pub reading: f64,
    /// Standard uncertainty of that reading, as that of the last check; NaN where not stated.
    pub u_reading: f64,
    /// The decision that would follow.
    pub decision: Decision,
}

/// The decision after one more calibration in tolerance that reads as predicted; `None`
/// where nothing is predicted, or the prediction is out of tolerance. The check joins the
/// group's sums too; R(t) of the group is not fitted again.
pub(crate) fn next_check(chain: &Chain<'_>) -> Option<NextCheck> {
    let evidence = chain.evidence;
    let day = chain.decision.due_date.max(evidence.as_of);
    let forecast = Forecast::unused(evidence).ok()?;
    let reading = forecast.at(day - evidence.last_calibration)?.expected;
    if !reading.is_finite() || !evidence.tolerance?.contains(reading) {
        return None;
    }
    let histories = with_one_more(evidence, day, reading, chain.decision.interval_days);
    let history = histories.get(0);
    let mut group = chain.group.clone();
    group.add_last(&history);
    let mut past = chain.past.to_vec();
    // The interval in use is then the decided one: an extension was followed and counts.
    if chain.decision.action == Action::Extend {
        past.push(PastDecision {
            day: evidence.as_of,
            action: Action::Extend,
        });
    }
    Some(NextCheck {
        day,
        reading,
        u_reading: evidence.history.u.last().copied().unwrap_or(f64::NAN),
        decision: (chain.again)(&history, &group, &past, day),
    })
}

impl NextCheck {
    /// The finding as a sentence.
    pub(crate) fn sentence(&self, chain: &Chain<'_>) -> String {
        let unit = &chain.evidence.history.item.unit;
        let then = match self.decision.action {
            Action::Extend => "would allow an interval of",
            Action::Keep => "would leave the interval at",
            Action::Shorten => "would shorten the interval to",
            Action::Review => "would still ask for a person, with",
            Action::NotDecided => "would decide nothing; interval",
            Action::Withdraw => "would not end the withdrawal",
        };
        // What is withdrawn has no interval.
        let interval = self.decision.interval_days;
        let interval = interval.is_finite().then(|| format!(" {}", days(interval)));
        format!(
            "One more check in tolerance on {}, reading {} as predicted, {then}{}.",
            date(self.day),
            format!("{} {unit}", resolved(self.reading, self.u_reading)).trim_end(),
            interval.unwrap_or_default()
        )
    }
}

/// A copy of the history with one more calibration; the interval in use is then the decided one, where there is one.
fn with_one_more(evidence: &Evidence<'_>, day: f64, reading: f64, interval: f64) -> Histories {
    let history = &evidence.history;
    let mut columns = history.columns();
    // Where the record marks no calibrations, every check is one; the added row is marked,
    // so the others must be too.
    if !columns.kind.contains(&CheckKind::Calibration) {
        columns.kind.fill(CheckKind::Calibration);
    }
    let usage = UseRate::of(history).map_or(f64::NAN, |rate| rate.count_on(day).0);
    let last = |column: &[f64], otherwise: f64| column.last().copied().unwrap_or(otherwise);
    columns.push(Check {
        date: day,
        as_found: reading,
        nominal: last(history.nominal, 0.0),
        u: last(history.u, f64::NAN),
        u_common: last(history.u_common, 0.0),
        usage,
        outcome: Outcome::In,
        kind: CheckKind::Calibration,
        ..Check::UNSTATED
    });
    let item = Item {
        last_calibration: Some(day),
        interval_days: match interval.is_finite() {
            true => Some(interval),
            false => history.item.interval_days,
        },
        ..history.item.clone()
    };
    Histories::of_one(item, columns)
}
