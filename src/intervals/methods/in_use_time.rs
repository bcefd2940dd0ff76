/*! In-use time: due at a counter reading rather than a date, with a calendar back-stop.

ILAC-G24:2022 / OIML D 10:2022, method 3: the interval is expressed in hours of
use, cycles or the like, and calibration is due when the counter has run on by
H since the last one, or when the back-stop is reached, whichever comes first:
`due = min(counter + H, date + back-stop)`. Where no H is set, H is the interval
in use times the mean rate of use over the record, so that the item is due sooner
when it is used more. Not for items that change on the shelf.
*/

use crate::drift::series::use_rate::NoUseRate;
use crate::intervals::no_proposal::NoProposal;
use crate::intervals::{Evidence, GroupEvidence, Method, MethodName, Proposal, Proposed};
use crate::records::DAYS_PER_YEAR;
use crate::words::{date, days, significant};
use std::collections::BTreeMap;

crate::settings! {
    /// In-use time (ILAC-G24 / OIML D 10 method 3): due by the usage counter.
    pub struct InUseTimeSettings in "intervals.in_use_time" {
        /// Use allowed between calibrations, in the unit of the usage column; none = interval in use × mean rate of use.
        allowed_use: Option<f64> = None => above(0.0),
        /// The same by group: [intervals.in_use_time.allowed_by_group] "NAME" = value.
        allowed_by_group: BTreeMap<String, f64> = BTreeMap::new() => above(0.0),
        /// Longest time between calibrations whatever the use, days; none = the cap.
        backstop_days: Option<f64> = None => above(0.0),
    }
}

/// Days until `allowed` use at `per_day`, at most `backstop`; true where the calendar governs.
fn days_of_use(allowed: f64, per_day: f64, backstop: f64) -> (f64, bool) {
    let by_use = allowed / per_day;
    if by_use <= backstop {
        (by_use, false)
    } else {
        (backstop, true)
    }
}

/// The counter over the record.
struct Counter {
    /// At the last count: day and counter.
    last: (f64, f64),
    /// Mean use per day over the record, and over its last year.
    mean: f64,
    recent: f64,
    counts: usize,
}

impl Counter {
    fn of(evidence: &Evidence<'_>) -> Result<Self, NoProposal> {
        let history = &evidence.history;
        let counts: Vec<(f64, f64)> = (0..history.len())
            .filter(|i| history.usage[*i].is_finite())
            .map(|i| (history.date[i], history.usage[i]))
            .collect();
        let (Some(&first), Some(&last)) = (counts.first(), counts.last()) else {
            return Err(NoUseRate::NoCount.into());
        };
        if counts.windows(2).any(|w| w[1].1 < w[0].1) {
            return Err(NoProposal::CounterFalls);
        }
        // The last count at least a year old, so that a season of use does not mislead.
        let since = counts
            .iter()
            .rev()
            .find(|c| last.0 - c.0 >= DAYS_PER_YEAR)
            .unwrap_or(&first);
        let rate = |from: &(f64, f64)| (last.1 - from.1) / (last.0 - from.0);
        let (mean, recent) = (rate(&first), rate(since));
        if !(mean > 0.0 && mean.is_finite()) {
            return Err(NoUseRate::OneDay.into());
        }
        if recent <= 0.0 {
            return Err(NoProposal::Unused);
        }
        Ok(Self {
            last,
            mean,
            recent,
            counts: counts.len(),
        })
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub(crate) struct InUseTime {
    pub settings: InUseTimeSettings,
}

impl Method for InUseTime {
    fn name(&self) -> MethodName {
        MethodName::InUseTime
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let counter = Counter::of(evidence)?;
        let set = self
            .settings
            .allowed_by_group
            .get(&evidence.history.item.group)
            .copied()
            .or(self.settings.allowed_use);
        let allowed = set.unwrap_or(evidence.current_interval * counter.mean);
        let backstop = self.settings.backstop_days.unwrap_or(evidence.cap);
        // Counter at the last calibration by the recent rate, then on from the last count.
        let since = counter.last.0 - evidence.last_calibration;
        let left = (allowed - counter.recent * since).max(0.0);
        let (ahead, calendar) = days_of_use(left, counter.recent, (backstop - since).max(0.0));
        let interval = (since + ahead).max(0.0);
        let due = counter.last.1 + left;
        let reason = if calendar {
            format!(
                "at {} a day the allowed use of {} would last longer than the back-stop of {}, which governs",
                significant(counter.recent, 3),
                significant(allowed, 4),
                days(backstop)
            )
        } else {
            format!(
                "at {} a day the counter reaches {}, which is {} of use after the last calibration, within {}",
                significant(counter.recent, 3),
                significant(due, 5),
                significant(allowed, 4),
                days(interval)
            )
        };
        let basis = format!(
            "{} counts, the last {} on {}; mean use {} a day; allowed use {}",
            counter.counts,
            significant(counter.last.1, 5),
            date(counter.last.0),
            significant(counter.mean, 3),
            if set.is_some() {
                "as set"
            } else {
                "from the interval in use"
            }
        );
        let weight = counter.counts as f64;
        Ok(Proposal::of(self.name(), interval, weight, basis, reason))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;

    /// Worked example of interval-practice.md 1.5: 2000 h at 6.5 h a day last 307.7 days;
    /// at 4 h a day (500 days) the back-stop of 365 days governs.
    #[test]
    fn use_or_calendar_governs() {
        for (per_day, expected, words) in
            [(6.5, 307.7, "counter reaches"), (4.0, 365.0, "back-stop")]
        {
            let record = Record::new()
                .check(0.0, 0.0)
                .usage(100.0)
                .check(400.0, 0.0)
                .usage(100.0 + 400.0 * per_day);
            let settings = InUseTimeSettings {
                allowed_use: Some(2000.0),
                backstop_days: Some(365.0),
                ..Default::default()
            };
            let found = alone(&InUseTime { settings }, record);
            near!(found.interval_days.unwrap(), expected, 0.05);
            says!(found.reason(), words);
        }
    }

    #[test]
    fn more_use_lately_comes_due_sooner() {
        let record = Record::new()
            .check(0.0, 0.0)
            .usage(0.0)
            .check(400.0, 0.0)
            .usage(400.0)
            .check(800.0, 0.0)
            .usage(1600.0);
        let found = alone(&InUseTime::default(), record);
        near!(found.interval_days.unwrap(), 365.0 * 2.0 / 3.0, 1e-9);
    }

    #[test]
    fn no_counter_says_so() {
        let found = alone(&InUseTime::default(), Record::new().check(0.0, 0.0));
        assert_eq!(
            found.reason(),
            "not applicable, because no usage counter was recorded"
        );
    }
}
