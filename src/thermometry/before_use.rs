/*! Whether a thermometer may serve as the reference of other work on the as-of date. */

use super::advice::{Advice, AdviceKind};
use super::closure::{AroundWorkSettings, DatedChange};
use super::session::SessionStanding;
use crate::words::{Short, count};
use serde::Serialize;

/// Whether a reference may be used to calibrate another device now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct BeforeUse {
    /// True where it may.
    pub passed: bool,
    /// Why, or why not.
    pub reason: String,
}

/// The newest session of a thermometer and what was advised after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LastSession<'a> {
    /// Change from the value carried now, with the standard uncertainty of that change.
    pub check: DatedChange,
    /// Standing of the session.
    pub standing: SessionStanding,
    /// True where the file of the thermometers states the value in use.
    pub value_stated: bool,
    /// Advice after it; `None` where there was nothing to compare with.
    pub advice: Option<&'a Advice>,
}

/// Judges the newest session of a reference on `today`; `None` for one never checked.
///
/// It passes where nothing speaks against it: a stated value in use, a session of today or
/// shortly before that was accepted, advice to keep or to adopt, and a change that stays, with
/// its expanded uncertainty (k = 2), within the limit.
pub(crate) fn before_use(
    last: Option<LastSession<'_>>,
    today: f64,
    settings: &AroundWorkSettings,
) -> BeforeUse {
    let Some(last) = last else {
        return refused("never checked: check it at the triple point of water first".into());
    };
    let reason = not_comparable(&last)
        .or_else(|| too_old(&last, today, settings))
        .or_else(|| advised_against(&last))
        .or_else(|| beyond_limit(&last, settings));
    reason.map_or_else(|| passed(&last, today, settings), refused)
}

impl BeforeUse {
    /// The same for a thermometer with open cases: none of them may serve as reference.
    pub(crate) fn with_open_cases(self, open: usize) -> Self {
        match open {
            0 => self,
            open => refused(format!(
                "{} of it: close it first",
                count(open, "open case")
            )),
        }
    }
}

fn refused(reason: String) -> BeforeUse {
    BeforeUse {
        passed: false,
        reason,
    }
}

fn not_comparable(last: &LastSession<'_>) -> Option<String> {
    if last.standing == SessionStanding::Rejected {
        return Some("the last check was rejected: repeat it first".into());
    }
    (!last.value_stated).then(|| {
        "no value in use is stated for it, so that no change can be told: state triple_point_ohm \
         in the file of the thermometers"
            .into()
    })
}

fn too_old(last: &LastSession<'_>, today: f64, settings: &AroundWorkSettings) -> Option<String> {
    let age = (today.floor() - last.check.date.floor()).abs();
    let limit = settings.before_use_days;
    // A session after the day in question says nothing about it.
    let young = age <= limit && last.check.date.floor() <= today.floor();
    (!young)
        .then(|| format!("the last check is {age:.0} days old; limit {limit} days: check it first"))
}

fn advised_against(last: &LastSession<'_>) -> Option<String> {
    match last.advice {
        Some(advice) if advice.needs_person() => Some(format!(
            "the advice after the last check is to {}",
            advice.kind.word()
        )),
        Some(_) => None,
        None => Some("nothing could be advised after the last check".into()),
    }
}

fn beyond_limit(last: &LastSession<'_>, settings: &AroundWorkSettings) -> Option<String> {
    let expanded = 2.0 * last.check.u_mk;
    let reach = last.check.change_mk.abs() + expanded;
    (reach.is_nan() || reach > settings.before_use_mk).then(|| {
        format!(
            "change {:+.3} mK with U = {:.3} mK reaches past ±{} mK",
            Short(last.check.change_mk),
            Short(expanded),
            settings.before_use_mk
        )
    })
}

fn passed(last: &LastSession<'_>, today: f64, settings: &AroundWorkSettings) -> BeforeUse {
    let age = (today.floor() - last.check.date.floor()).max(0.0) as usize;
    let adopt = last.advice.is_some_and(|a| a.kind == AdviceKind::Adopt);
    let first = if adopt {
        "; adopt the new value first"
    } else {
        ""
    };
    BeforeUse {
        passed: true,
        reason: format!(
            "change {:+.3} mK with U = {:.3} mK within ±{} mK, checked {} ago{first}",
            Short(last.check.change_mk),
            Short(2.0 * last.check.u_mk),
            settings.before_use_mk,
            count(age, "day")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn advice(kind: AdviceKind) -> Advice {
        Advice {
            kind,
            reason: String::new(),
            source: "a test",
            anneal: None,
            impact: String::new(),
            cautions: Vec::new(),
        }
    }

    fn judged(change: impl Fn(&mut LastSession<'_>)) -> BeforeUse {
        let keep = advice(AdviceKind::Keep);
        let mut last = LastSession {
            check: DatedChange::new(99.4, 0.2, 0.05),
            standing: SessionStanding::Used,
            value_stated: true,
            advice: Some(&keep),
        };
        change(&mut last);
        before_use(Some(last), 100.0, &AroundWorkSettings::default())
    }

    #[test]
    fn a_reference_passes_or_says_why_not() {
        assert!(judged(|_| ()).passed);
        assert!(!judged(|l| l.check.change_mk = 0.95).passed);
        assert!(!judged(|l| l.check.change_mk = f64::NAN).passed);
        assert!(!judged(|l| l.check.date = 80.0).passed);
        assert!(!judged(|l| l.standing = SessionStanding::Rejected).passed);
        assert!(!before_use(None, 100.0, &AroundWorkSettings::default()).passed);
    }

    /// "Withdraw" and "may serve as a reference" never stand together.
    #[test]
    fn the_advice_is_heeded() {
        for (kind, passes) in [
            (AdviceKind::Keep, true),
            (AdviceKind::Adopt, true),
            (AdviceKind::Repeat, false),
            (AdviceKind::Anneal, false),
            (AdviceKind::Withdraw, false),
        ] {
            let advised = advice(kind);
            let mut last = LastSession {
                advice: None,
                check: DatedChange::new(100.0, 0.1, 0.03),
                standing: SessionStanding::Used,
                value_stated: true,
            };
            let settings = AroundWorkSettings::default();
            assert!(!before_use(Some(last), 100.0, &settings).passed);
            last.advice = Some(&advised);
            let judged = before_use(Some(last), 100.0, &settings);
            assert_eq!(judged.passed, passes, "{kind:?}: {}", judged.reason);
            assert!(!judged.with_open_cases(1).passed);
        }
    }

    #[test]
    fn no_value_in_use_and_a_session_after_the_day_say_nothing() {
        let judged_without = judged(|l| l.value_stated = false);
        says!(judged_without.reason, "no value in use");
        assert!(!judged(|l| l.check.date = 101.0).passed);
    }
}
