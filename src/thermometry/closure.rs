/*! Checks around a piece of work: what they say of the drift between them. */

use super::session::SessionResult;
use crate::words::Short;
use serde::Serialize;

crate::settings! {
    /// Checks around critical work and before a reference is used (limits of the site, no source).
    pub struct AroundWorkSettings in "thermometry.around_work" {
        /// Largest difference between the checks before and after a piece of work, mK.
        closure_mk: f64 = 0.5 => above(0.0),
        /// Largest change from the value in use of a thermometer about to serve as reference, mK.
        before_use_mk: f64 = 1.0 => above(0.0),
        /// Oldest check that still counts before use, days.
        before_use_days: f64 = 7.0 => above(0.0),
    }
}

/// One check: change from the value in use and its standard uncertainty, mK.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct DatedChange {
    /// Days since 1970-01-01.
    pub date: f64,
    pub change_mk: f64,
    /// Random standard uncertainty, mK.
    pub u_mk: f64,
}

impl DatedChange {
    pub(crate) fn new(date: f64, change_mk: f64, u_mk: f64) -> Self {
        Self {
            date,
            change_mk,
            u_mk,
        }
    }

    /// A session's change from a value, with the uncertainty that is new with it.
    pub(crate) fn of(result: &SessionResult, from_ohm: f64) -> Self {
        Self {
            date: result.date,
            change_mk: result.change_from_mk(from_ohm),
            u_mk: result.u_mk(),
        }
    }
}

/// What the checks before and after a piece of work say about it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Closure {
    /// After minus before, mK.
    pub closure_mk: f64,
    /// Its standard uncertainty, mK.
    pub u_closure_mk: f64,
    /// True where it is shown (k = 2).
    pub shown: bool,
    /// True where it is within the limit.
    pub passed: bool,
    /// Correction at the time of the work: drift spread in proportion to time, mK.
    pub at_work_mk: f64,
    /// Standard uncertainty of that: both checks, and a drift that may have come at any
    /// moment (rectangular over the closure), mK.
    pub u_at_work_mk: f64,
    /// One sentence.
    pub words: String,
}

/// Closure around work done at `work_date`; `None` where it does not lie between the checks.
pub(crate) fn closure(
    before: DatedChange,
    after: DatedChange,
    work_date: f64,
    settings: &AroundWorkSettings,
) -> Option<Closure> {
    if !(before.date <= work_date && work_date <= after.date) {
        return None;
    }
    let elapsed = after.date - before.date;
    let fraction = if elapsed > 0.0 {
        (work_date - before.date) / elapsed
    } else {
        0.5
    };
    let closure_mk = after.change_mk - before.change_mk;
    let u_closure_mk = before.u_mk.hypot(after.u_mk);
    let checks = ((1.0 - fraction) * before.u_mk).hypot(fraction * after.u_mk);
    let moment = closure_mk.abs() / 12f64.sqrt();
    let passed = closure_mk.abs() <= settings.closure_mk;
    let shown = closure_mk.abs() > 2.0 * u_closure_mk;
    let verdict = match (passed, shown) {
        (true, false) => "closes: no drift is shown during the work",
        (true, true) => "closes within the limit: spread the drift over the work",
        (false, _) => "does not close: the work is in doubt and wants repeating",
    };
    Some(Closure {
        closure_mk,
        u_closure_mk,
        shown,
        passed,
        at_work_mk: before.change_mk + fraction * closure_mk,
        u_at_work_mk: checks.hypot(moment),
        words: format!(
            "{:+.3} mK between the checks (U = {:.3} mK, limit {} mK): {verdict}",
            Short(closure_mk),
            Short(2.0 * u_closure_mk),
            settings.closure_mk
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(date: f64, change_mk: f64) -> DatedChange {
        DatedChange::new(date, change_mk, 0.05)
    }

    #[test]
    fn drift_is_spread_over_the_work() {
        let settings = AroundWorkSettings::default();
        let got = closure(at(0.0, 0.1), at(10.0, 0.4), 5.0, &settings).unwrap();
        near!(got.at_work_mk, 0.25, 1e-12);
        assert!(got.passed && got.shown);
        // √[(0.05²)/2 + 0.3²/12], computed by hand.
        near!(got.u_at_work_mk, (0.00125f64 + 0.0075).sqrt(), 1e-12);
        let open = closure(at(0.0, 0.1), at(10.0, 0.9), 5.0, &settings).unwrap();
        assert!(!open.passed);
        assert!(closure(at(0.0, 0.1), at(10.0, 0.9), 11.0, &settings).is_none());
    }
}
