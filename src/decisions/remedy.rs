/*! Whether adjusting the item, or adopting the value it has, serves better than checking it more often.

An item that drifts slowly and evenly comes near a limit some day. Its interval then shrinks from check to
check, although nothing is wrong but where it stands. What follows a remedy is decided as everything else is:
by the same methods and rules, on the item's own forecast, from the as-of date on, with the limits moved by the
error expected that day, which is then nought. The uncertainty of the forecast stays as it is: a reading no
worse than those before leaves the level known at least as well, and the drift is not touched. Common practice,
no source.
*/

use super::policy::remedied::{Remedy, RemedyRule, What};
use super::policy::{Action, Decision};
use crate::intervals::{Evidence, Forecast};
use crate::records::Tolerance;
use crate::words::full_stop;
use crate::words::{days, figure};

/// The evidence on the item as it would be with its present error gone, and that error; `None` unless the
/// error uses at least `share` of its side of the tolerance by the date the decision ends on.
pub(super) fn remedied<'a>(
    evidence: &Evidence<'a>,
    decision: &Decision,
    share: f64,
) -> Option<(Evidence<'a>, f64)> {
    let tolerance = evidence.tolerance?;
    let error = expected_now(evidence)?;
    let near = side_used(tolerance, decision.predicted_error).is_some_and(|used| used >= share);
    let moved = Tolerance::new(tolerance.lower() + error, tolerance.upper() + error)?;
    (near && error.is_finite() && error != 0.0).then_some((
        Evidence {
            tolerance: Some(moved),
            last_calibration: evidence.as_of,
            ..*evidence
        },
        error,
    ))
}

/// Error expected on the as-of date.
fn expected_now(evidence: &Evidence<'_>) -> Option<f64> {
    let forecast = Forecast::new(evidence).ok()?;
    Some(forecast.at(forecast.elapsed())?.expected)
}

/// Share of the way from nought to the limit on the side of `error`.
fn side_used(tolerance: Tolerance, error: f64) -> Option<f64> {
    let limit = match error > 0.0 {
        true => tolerance.upper(),
        false => tolerance.lower(),
    };
    let used = error / limit;
    (limit.is_finite() && used > 0.0).then_some(used)
}

/// Proposes a remedy in `decision` where the interval that follows it, `after`, is worth more than checking more often:
/// no shorter than the one in use, and longer than the one decided by more than `smallest_change`.
pub(super) fn propose(
    (evidence, error): (&Evidence<'_>, f64),
    after: &Decision,
    (rule, smallest_change): (RemedyRule, f64),
    decision: &mut Decision,
) {
    let history = &evidence.history;
    let gained = after.interval_days >= evidence.current_interval
        // What is withdrawn has no interval.
        && (decision.action == Action::Withdraw
            || after.interval_days > decision.interval_days * (1.0 + smallest_change));
    let decided = matches!(after.action, Action::Keep | Action::Extend);
    let Some(what) = What::of(rule, history).filter(|_| gained && decided) else {
        return;
    };
    let doing = what.doing(&figure(error, &history.item.unit));
    decision.reason = format!(
        "{} The remedy is not a shorter interval: the drift is slow and known, and {doing} would allow {} from then on by the same rules.",
        full_stop(&decision.reason),
        days(after.interval_days)
    );
    decision.remedy = Some(Remedy {
        what,
        error,
        interval_days: after.interval_days,
    });
}
