/*! Outcomes at checks: what in and out of tolerance say about the time of going out.

A check never shows when an item went out, only that it was before or after the
check. A life runs from one renewal to the next; it gives one record `(after,
before]`, both counted from the renewal: out at the first check after it is
`(0, t]`, still in at the last check is `(t, ∞)`, in at t₁ and out at t₂ is
`(t₁, t₂]`. Records are kept as counts of distinct pairs, so partitions of a
fleet add up to the whole. (Jackson and Castrup, NCSL Workshop & Symposium 1987.)
*/

use crate::records::{CheckKind, Event, History, Outcome};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What restores an item, so that its clock starts anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Renewal {
    /// Every calibration (and every recorded event) restores the item.
    #[serde(rename = "renew_always")]
    Always,
    /// An item found out of tolerance is restored, others are left as they are.
    #[default]
    #[serde(rename = "renew_if_failed")]
    IfFailed,
    /// Only a recorded event or a changed as-left value restores the item.
    #[serde(rename = "renew_as_needed")]
    AsNeeded,
}

impl Renewal {
    /// True where check `i` of `history` restores the item.
    pub(crate) fn renews(self, history: &History<'_>, i: usize) -> bool {
        if history.happened(i) != Event::None {
            return true;
        }
        match self {
            Renewal::Always => history.kind[i] != CheckKind::Check,
            Renewal::IfFailed => history.outcome[i] == Outcome::Out,
            Renewal::AsNeeded => false,
        }
    }
}

/// Checks that say nothing about the time of going out, by reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) struct Unused {
    /// In or out is neither stated nor computable.
    pub unknown: u64,
    /// First check of a history, or on the day of the renewal: no time has passed.
    pub no_time: u64,
    /// After a failure that nothing restored: the item was already out.
    pub already_out: u64,
}

/// Counts of distinct records; days since renewal.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct Outcomes {
    lives: BTreeMap<(Days, Days), u64>,
    checks: BTreeMap<Days, (u64, u64)>,
    /// Checks that gave no record.
    pub unused: Unused,
}

/// Days as a map key: not negative, so the bits sort as the numbers do.
type Days = u64;

impl Outcomes {
    /// Adds the records of one history.
    pub(crate) fn add_history(&mut self, history: &History<'_>, renewal: Renewal) {
        let mut life = Life::new(history.date.first().copied().unwrap_or(0.0));
        for i in 0..history.len() {
            self.see(&mut life, history.date[i], history.outcome[i]);
            if renewal.renews(history, i) {
                self.close(&life);
                life = Life::new(history.date[i]);
            } else if i == 0 && history.outcome[i] == Outcome::Out {
                life.out = Some(0.0);
            }
        }
        self.close(&life);
    }

    fn see(&mut self, life: &mut Life, date: f64, outcome: Outcome) {
        let t = date - life.start;
        if outcome == Outcome::Unknown {
            self.unused.unknown += 1;
        } else if !(t > 0.0 && t.is_finite()) {
            self.unused.no_time += 1;
        } else if life.out.is_some() {
            self.unused.already_out += 1;
        } else {
            let tally = self.checks.entry(t.to_bits()).or_default();
            if outcome == Outcome::In {
                tally.0 += 1;
                life.last_in = t;
            } else {
                tally.1 += 1;
                life.out = Some(t);
            }
        }
    }

    fn close(&mut self, life: &Life) {
        let before = life.out.unwrap_or(f64::INFINITY);
        let seen = life.last_in > 0.0 || (before > 0.0 && before.is_finite());
        if seen {
            let record = (life.last_in.to_bits(), before.to_bits());
            *self.lives.entry(record).or_default() += 1;
        }
    }

    /// Distinct records, as (after, before, count) in days; `before` may be infinite.
    pub(crate) fn lives(&self) -> impl Iterator<Item = (f64, f64, u64)> + '_ {
        let days = f64::from_bits;
        self.lives
            .iter()
            .map(move |((a, b), n)| (days(*a), days(*b), *n))
    }

    /// Checks by time since renewal, as (days, in, out), ascending.
    pub(crate) fn checks(&self) -> impl Iterator<Item = (f64, u64, u64)> + '_ {
        let line = |(day, (i, o)): (&Days, &(u64, u64))| (f64::from_bits(*day), *i, *o);
        self.checks.iter().map(line)
    }

    /// Checks found in and out of tolerance.
    pub(crate) fn totals(&self) -> (u64, u64) {
        self.checks()
            .fold((0, 0), |(i, o), (_, a, b)| (i + a, o + b))
    }

    /// Lives, and those of them that ended out of tolerance.
    pub(crate) fn life_totals(&self) -> (u64, u64) {
        self.lives().fold((0, 0), |(all, failed), (_, before, n)| {
            (all + n, failed + if before.is_finite() { n } else { 0 })
        })
    }

    /// True where every life has one check, so that checks are independent.
    pub(crate) fn is_current_status(&self) -> bool {
        self.lives()
            .all(|(after, before, _)| after == 0.0 || before == f64::INFINITY)
            && self.lives.values().sum::<u64>() == self.checks().map(|(_, i, o)| i + o).sum::<u64>()
    }
}

/// The stretch since the last renewal, as far as it has been read.
struct Life {
    start: f64,
    last_in: f64,
    out: Option<f64>,
}

impl Life {
    fn new(start: f64) -> Self {
        Self {
            start,
            last_in: 0.0,
            out: None,
        }
    }
}

#[cfg(test)]
pub(super) mod tests;
