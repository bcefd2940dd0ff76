use super::*;
use crate::records::testing::Record;
use crate::records::{Histories, Item};

/// A record that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum OutcomeError {
    /// The item would have gone out before it was last seen in.
    #[error("out by day {before} but still in on day {after}: the two contradict each other")]
    Contradiction {
        /// Last day seen in tolerance.
        after: f64,
        /// First day seen out of tolerance.
        before: f64,
    },
    /// A time that is not a number of days after the renewal.
    #[error("{0} is not a number of days since renewal")]
    NotATime(f64),
}

fn key(days: f64) -> Result<Days, OutcomeError> {
    if days.is_nan() || days < 0.0 {
        return Err(OutcomeError::NotATime(days));
    }
    Ok((days + 0.0).to_bits())
}

impl Outcomes {
    /// Records of every history in `histories` under one renewal rule.
    pub(crate) fn of(histories: &Histories, renewal: Renewal) -> Self {
        let mut all = Self::default();
        for history in histories.iter() {
            all.add_history(&history, renewal);
        }
        all
    }

    /// Adds `count` lives that were in at `after` days and out at `before` days since
    /// renewal (0 = never seen in, infinite = never seen out).
    ///
    /// # Errors
    /// Where the times are not times or contradict each other.
    pub(crate) fn add_lives(
        &mut self,
        after: f64,
        before: f64,
        count: u64,
    ) -> Result<(), OutcomeError> {
        let record = (key(after)?, key(before)?);
        if after >= before {
            return Err(OutcomeError::Contradiction { after, before });
        }
        *self.lives.entry(record).or_default() += count;
        if after > 0.0 {
            self.checks.entry(record.0).or_default().0 += count;
        }
        if before.is_finite() {
            self.checks.entry(record.1).or_default().1 += count;
        }
        Ok(())
    }

    /// Adds independent checks at `days` since renewal: `inside` in and `outside` out.
    ///
    /// # Errors
    /// Where `days` is not a positive number.
    pub(crate) fn add_checks(
        &mut self,
        days: f64,
        inside: u64,
        outside: u64,
    ) -> Result<(), OutcomeError> {
        if !(days > 0.0 && days.is_finite()) {
            return Err(OutcomeError::NotATime(days));
        }
        if inside > 0 {
            self.add_lives(days, f64::INFINITY, inside)?;
        }
        if outside > 0 {
            self.add_lives(0.0, days, outside)?;
        }
        Ok(())
    }

    /// Adds `count` lives that passed `checks` checks, one every `days`, and never failed.
    pub(crate) fn add_passes(
        &mut self,
        days: f64,
        checks: u32,
        count: u64,
    ) -> Result<(), OutcomeError> {
        self.add_lives(days * f64::from(checks), f64::INFINITY, count)?;
        for check in 1..checks {
            let day = (days * f64::from(check)).to_bits();
            self.checks.entry(day).or_default().0 += count;
        }
        Ok(())
    }
}

/// One history with a check a year; `outcomes` of I, O or ?, and adjusted ones marked A.
pub(crate) fn fleet(outcomes: &str, adjusted: &str) -> Histories {
    let mut record = Record::new();
    record.item = Item::default();
    for (i, (outcome, adjusted)) in outcomes.chars().zip(adjusted.chars()).enumerate() {
        record = record.outcome(100.0 * i as f64, outcome == 'I');
        if outcome == '?' {
            record.columns.outcome[i] = Outcome::Unknown;
        }
        if adjusted == 'A' {
            record.columns.event[i] = Event::Adjusted;
        }
    }
    record.histories()
}

fn lives(outcomes: &str, adjusted: &str, renewal: Renewal) -> Vec<(f64, f64, u64)> {
    Outcomes::of(&fleet(outcomes, adjusted), renewal)
        .lives()
        .collect()
}

const FOREVER: f64 = f64::INFINITY;

#[test]
fn renewal_rules_cut_lives_differently() {
    let (o, a) = ("IIIOII", ".A....");
    assert_eq!(
        lives(o, a, Renewal::Always),
        [(0.0, 100.0, 1), (100.0, FOREVER, 4)]
    );
    assert_eq!(
        lives(o, a, Renewal::IfFailed),
        [(100.0, 200.0, 1), (100.0, FOREVER, 1), (200.0, FOREVER, 1)]
    );
    assert_eq!(
        lives(o, a, Renewal::AsNeeded),
        [(100.0, 200.0, 1), (100.0, FOREVER, 1)]
    );
}

#[test]
fn unused_checks_are_counted() {
    let outcomes = Outcomes::of(&fleet("OI?I", "...."), Renewal::AsNeeded);
    assert_eq!(outcomes.lives().count(), 0);
    let expected = Unused {
        unknown: 1,
        no_time: 1,
        already_out: 2,
    };
    assert_eq!(outcomes.unused, expected);
}

#[test]
fn contradictions_are_refused() {
    let mut outcomes = Outcomes::default();
    assert!(outcomes.add_lives(10.0, 5.0, 1).is_err());
    assert!(outcomes.add_lives(f64::NAN, 5.0, 1).is_err());
    assert!(outcomes.add_checks(-1.0, 1, 0).is_err());
    assert_eq!(outcomes, Outcomes::default());
}
