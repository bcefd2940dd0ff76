/*! A longer interval that waits for a repeated check.

A last reading far from what the earlier ones predict (`far_off` of the policy: three standard
deviations, the action limits of control charts) may be a mistake or the first after a step,
and only another check tells: a person is asked. Until then the interval in use stays: what
shortens it, or withdraws the item, is not held back. Nor does an interval grow where it would only by a
suspect reading further back, which those after it contradict.
*/

use super::cases::{Finding, Kind};
use super::failed_points::FailedPoint;
use super::policy::hold;
use super::policy::{Action, Decision, Rule};
use super::suspects::Suspects;
use crate::drift::Fit;
use crate::drift::class::missing::Missing;
use crate::drift::diagnostics::unconfirmed::LastReading;
use crate::intervals::Evidence;
use crate::records::History;
use crate::words::full_stop;
use crate::words::{count, date, figure};
use std::borrow::Cow;

/// What a longer interval waits for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Waiting {
    /// Until when the interval in use stays.
    until: Cow<'static, str>,
    /// Why; its first part stands for itself where there is little room.
    why: Rule,
    /// True where a person is to see to it before the next check is due.
    asks: bool,
}

/// Why a last reading far off is repeated.
const ONE_READING: &str = "one reading cannot tell a mistake from a step";

/// What a repeated check tells of the reading of `row`: where the one before it is the one that lies off all others, which
/// of the two is a mistake.
fn contradicted(history: &History<'_>, fit: &Fit, row: usize) -> String {
    let before = (0..row).rfind(|&other| history.as_found[other].is_finite());
    let off = |other: &usize| {
        let mut suspects = fit.suspects.iter();
        suspects.any(|suspect| suspect.row as usize == *other)
    };
    match before.filter(off) {
        Some(other) => format!(
            "that of {}, {}, lies far off all others: another check tells whether it was the mistake",
            date(history.date[other]),
            figure(history.as_found[other], &history.item.unit)
        ),
        None => ONE_READING.to_string(),
    }
}

impl Waiting {
    /// For a reading far off, or outside its band, that no later one confirms.
    pub(crate) fn of_last(
        history: &History<'_>,
        fit: &Fit,
        outside: Option<LastReading>,
    ) -> Option<Self> {
        let suspect = fit.suspects.iter().find(|suspect| suspect.last);
        let row = outside.map(|reading| reading.row);
        let row = row.or(suspect.map(|suspect| suspect.row as usize))?;
        let day = date(history.date[row]);
        let unit = &history.item.unit;
        let (off, why) = match outside {
            Some(reading) => (
                format!(
                    "the reading of {day}, {}, lies outside {} to {}",
                    figure(reading.value, unit),
                    figure(reading.band.0, ""),
                    figure(reading.band.1, unit)
                ),
                format!(
                    ", the widest that the earlier ones lead to expect, and {}",
                    contradicted(history, fit, row)
                ),
            ),
            None => (
                format!("the reading of {day} lies far off the others"),
                format!(", and {ONE_READING}"),
            ),
        };
        Some(Self {
            until: "until a repeated check has been made".into(),
            why: Rule::new(off, &why),
            asks: true,
        })
    }

    /// For suspect readings without which the interval would not grow.
    pub(crate) fn of_suspects(history: &History<'_>, fit: &Fit) -> Self {
        let suspects = Suspects::of(history, &fit.suspects);
        Self {
            until: "until a person has judged the readings".into(),
            why: Rule::new(
                format!("only by the suspect {} would it grow", suspects.named),
                ", which the others do not confirm",
            ),
            asks: true,
        }
    }

    /// For a class in whose record adjustments seem to be missing.
    pub(crate) fn of_missing(missing: &Missing) -> Self {
        Self {
            until: "until the record says what was adjusted, and when".into(),
            why: missing.sentence().into(),
            asks: false,
        }
    }

    /// For a check out of tolerance, on the day `failed`, that fewer than `good_checks` good ones have followed, where no
    /// book of cases says that a person has closed the matter.
    pub(crate) fn of_failure(failed: f64, good_checks: u32) -> Self {
        Self {
            until: format!(
                "until {} have followed the failed one",
                count(good_checks as usize, "good check")
            )
            .into(),
            why: found("out of tolerance", failed),
            asks: false,
        }
    }

    /// For another point of the instrument that failed.
    pub(crate) fn of_point(failed: &FailedPoint<'_>, good_checks: u32) -> Self {
        let until = match failed.book {
            true => format!("until a person has closed the case at {}", failed.point),
            false => format!(
                "until {} have followed the failed one at {}",
                count(good_checks as usize, "good check"),
                failed.point
            ),
        };
        let rest = match failed.book {
            true => ", and that case is open: what moved it there may have moved it here",
            false => ", and what moved it there may have moved it here",
        };
        let what = format!(
            "at {} it was found out of tolerance on {}",
            failed.point,
            date(failed.day)
        );
        Self {
            until: until.into(),
            why: Rule::new(what, rest),
            asks: false,
        }
    }

    /// For another point of the instrument that must not be used.
    pub(crate) fn of_withdrawn(point: &str) -> Self {
        Self {
            until: "until the instrument has been calibrated".into(),
            why: Rule::new(
                format!("at {point} it must not be used"),
                ", and the calibration that this calls for tells of every point",
            ),
            asks: false,
        }
    }

    /// For what was found at the last check, where no book of cases says that a person has closed it.
    pub(crate) fn of_finding(finding: &Finding) -> Self {
        let what = match finding.kind {
            Kind::OutOfTolerance => "out of tolerance",
            Kind::Indeterminate => "too near a limit to tell",
        };
        Self {
            until: "until a person has judged what was found".into(),
            why: found(what, finding.day),
            asks: true,
        }
    }

    /// For an item whose source changed by what nobody can tell from drift.
    pub(crate) fn of_source(words: &str) -> Self {
        Self {
            until:
                "until both sources were seen by more items, or the readings show the drift anew"
                    .into(),
            why: words.into(),
            asks: false,
        }
    }

    /// Keeps the interval in use, where the decision would lengthen it.
    pub(crate) fn hold(&self, evidence: &Evidence<'_>, decision: &mut Decision) {
        let (until, why) = (&self.until, &self.why);
        let held = hold(evidence, decision, |own, stays| {
            format!(
                "Keep {stays} {until}: {why}. By the fit alone: {}",
                full_stop(own)
            )
        });
        if !held {
            return;
        }
        decision.action = match (decision.action, self.asks) {
            (Action::Extend, false) => Action::Keep,
            (Action::Extend, true) => Action::Review,
            (action, _) => action,
        };
        // A person is told first what to look at, anybody else what the interval waits for.
        decision.rules_fired.push(match self.asks {
            true => Rule::new(
                why.brief(),
                &format!("{}: the interval does not grow {until}", why.rest()),
            ),
            false => Rule::new(
                format!("the interval does not grow {until}"),
                &format!(": {why}"),
            ),
        });
    }

    /// As [`Waiting::hold`]; where nothing is to be held, or something else holds the interval already, the reason tells
    /// this too.
    pub(crate) fn hold_or_tell(&self, evidence: &Evidence<'_>, decision: &mut Decision) {
        self.hold(evidence, decision);
        if !decision.reason.contains(self.why.words()) {
            decision.reason = format!("{} Yet {}.", full_stop(&decision.reason), self.why);
        }
    }

    /// Turns the decision to a person, where it neither lengthens the interval nor asks for one.
    pub(crate) fn ask(&self, decision: &mut Decision) {
        if decision.action.needs_person() {
            return;
        }
        decision.reason = format!(
            "Review by a person: {}. By the interval alone: {}",
            self.why, decision.reason
        );
        decision.action = Action::Review;
        decision.rules_fired.push(self.why.clone());
    }
}

/// Why nothing closes what was found on `day`.
fn found(what: &str, day: f64) -> Rule {
    let unclosed = ", and no book of cases ([cases] file) says that a person has closed the matter";
    Rule::new(format!("it was found {what} on {}", date(day)), unclosed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::failed_points::unclosed_failure;
    use crate::decisions::testing::*;
    use crate::drift::Suspect;

    /// The finding of the last check is told once, whichever rule told it first.
    #[test]
    fn what_a_reason_begins_with_it_does_not_end_with() {
        let histories = Record::new().check(0.0, 0.1).check(365.0, 1.5).histories();
        let fit = unfitted(Status::OutcomesOnly);
        let evidence = evidence(&histories, &fit);
        let waiting = Waiting {
            until: "until a person has judged it".into(),
            why: "it failed".into(),
            asks: true,
        };
        let mut decision = Decision {
            action: Action::Shorten,
            reason: "Shorten from 365 d to 180 d.".into(),
            interval_days: 180.0,
            ..extending()
        };
        waiting.ask(&mut decision);
        waiting.hold_or_tell(&evidence, &mut decision);
        assert_eq!(
            decision.reason,
            "Review by a person: it failed. By the interval alone: Shorten from 365 d to 180 d."
        );
    }

    fn suspect(last: bool) -> Suspect {
        Suspect {
            row: 0,
            as_left: false,
            value: 0.9,
            residual: 0.8,
            deleted: 8.0,
            p: 1e-6,
            last,
        }
    }

    #[test]
    fn a_reading_outside_its_band_keeps_the_interval_and_asks_a_person() {
        let histories = Record::new().check(20_000.0, 0.9).histories();
        let mut fit = unfitted(Status::LevelOnly);
        let outside = LastReading {
            row: 0,
            value: 0.9,
            band: (-0.1, 0.3),
            share_of_band: 4.0,
        };
        for far in [false, true] {
            fit.suspects = if far { vec![suspect(true)] } else { Vec::new() };
            let evidence = evidence(&histories, &fit);
            let mut decision = extending();
            let waiting = Waiting::of_last(&evidence.history, &fit, Some(outside)).unwrap();
            waiting.hold(&evidence, &mut decision);
            assert_eq!(decision.action, Action::Review);
            assert_eq!(
                (decision.interval_days, decision.due_date),
                (365.0, 20_365.0)
            );
            let words =
                "Keep 365 d until a repeated check has been made: the reading of 2024-10-04, 0.9";
            assert!(decision.reason.starts_with(words), "{}", decision.reason);
            says!(decision.reason, "By the fit alone: Extend.");
            assert_eq!(decision.rules_fired.len(), 1);
            let mut shorter = extending();
            (shorter.interval_days, shorter.action) = (100.0, Action::Shorten);
            waiting.ask(&mut shorter);
            assert_eq!(
                (shorter.interval_days, shorter.action),
                (100.0, Action::Review)
            );
            let words = "Review by a person: the reading of 2024-10-04, 0.9";
            assert!(shorter.reason.starts_with(words), "{}", shorter.reason);
        }
    }

    #[test]
    fn a_failure_that_nobody_can_close_holds_until_three_good_checks_have_followed() {
        let record = |after: usize| {
            let failed = Record::new().check(20_000.0, 1.5).left(0.1);
            (1..=after).fold(failed, |record, year| {
                record.check(20_000.0 + 365.0 * year as f64, 0.1)
            })
        };
        for (after, holds) in [(1, true), (2, true), (3, false)] {
            let histories = record(after).histories();
            let fit = unfitted(Status::LevelOnly);
            let evidence = evidence(&histories, &fit);
            let failed = |good| unclosed_failure(&evidence.history, good, f64::INFINITY);
            assert_eq!(failed(3).is_some(), holds, "{after}");
            assert_eq!(failed(0), None);
            if let Some(day) = failed(3) {
                let mut decision = extending();
                Waiting::of_failure(day, 3).hold(&evidence, &mut decision);
                assert_eq!(decision.action, Action::Keep);
                let words = "Keep 365 d until 3 good checks have followed the failed one";
                assert!(decision.reason.starts_with(words), "{}", decision.reason);
            }
        }
        // On the day before it the failure was not known.
        let (failed, good) = (record(0).histories(), Record::new().check(20_000.0, 0.1));
        assert_eq!(unclosed_failure(&failed.get(0), 3, 19_999.0), None);
        assert_eq!(
            unclosed_failure(&good.histories().get(0), 3, 20_000.0),
            None
        );
    }

    #[test]
    fn what_shortens_is_not_held_back_and_what_others_contradict_waits_for_a_person() {
        let histories = Record::new().check(20_000.0, 0.9).histories();
        let mut fit = unfitted(Status::LevelOnly);
        fit.suspects = vec![suspect(false)];
        let evidence = evidence(&histories, &fit);
        assert_eq!(Waiting::of_last(&evidence.history, &fit, None), None);
        let waiting = Waiting::of_suspects(&evidence.history, &fit);
        let mut shorter = extending();
        (shorter.interval_days, shorter.action) = (100.0, Action::Shorten);
        let before = shorter.clone();
        waiting.hold(&evidence, &mut shorter);
        assert_eq!(shorter, before);
        let mut longer = extending();
        waiting.hold(&evidence, &mut longer);
        assert_eq!(longer.action, Action::Review);
    }
}
