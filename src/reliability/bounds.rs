/*! What the records show without any model: exact one-sided statements.

R(t) never rises, so every check at t or later succeeds with probability R(t) at
most: the exact lower limit from those checks holds for R(t) itself. Likewise the
checks at t or earlier bound it from above. This is all that can be said where
there is no failure, or nothing but failures.
*/

use super::outcomes::Outcomes;
use crate::stats::{proportion_lower, proportion_upper, trials_without_failure};

/// Exact one-sided bound of R at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// Days since renewal.
    pub days: f64,
    /// Checks that carry it.
    pub checks: u64,
    /// Of these, in tolerance.
    pub inside: u64,
    /// The bound of R(days).
    pub bound: f64,
    /// The sentence.
    pub words: String,
}

/// Lower bound of R at `days` at confidence `level`, from the checks at `days` or later.
pub fn at_least(outcomes: &Outcomes, days: f64, level: f64) -> Bound {
    let late = outcomes.checks().filter(|(t, _, _)| *t >= days);
    let (inside, outside) = late.fold((0, 0), |(i, o), (_, a, b)| (i + a, o + b));
    let checks = inside + outside;
    let bound = proportion_lower(inside, checks, 1.0 - level);
    let seen = match outside {
        0 => format!("no failure in {checks}"),
        _ => format!("{outside} out in {checks}"),
    };
    Bound {
        days,
        checks,
        inside,
        bound,
        words: format!(
            "{seen}: R ≥ {} at {} %",
            rounded_down(bound),
            percent(level)
        ),
    }
}

/// Upper bound of R at `days` at confidence `level`, from the checks at `days` or earlier.
pub fn at_most(outcomes: &Outcomes, days: f64, level: f64) -> Bound {
    let early = outcomes.checks().filter(|(t, _, _)| *t <= days);
    let (inside, outside) = early.fold((0, 0), |(i, o), (_, a, b)| (i + a, o + b));
    let checks = inside + outside;
    let bound = proportion_upper(inside, checks, 1.0 - level);
    let seen = match inside {
        0 => format!("only failures in {checks}"),
        _ => format!("{outside} out in {checks}"),
    };
    Bound {
        days,
        checks,
        inside,
        bound,
        words: format!("{seen}: R ≤ {} at {} %", rounded_up(bound), percent(level)),
    }
}

/// Longest observed time whose lower bound at `level` reaches `target`.
///
/// # Errors
/// In words: how many checks would be needed.
pub fn demonstrated_interval(
    outcomes: &Outcomes,
    target: f64,
    level: f64,
) -> Result<Bound, String> {
    let times: Vec<(f64, u64, u64)> = outcomes.checks().collect();
    let (mut inside, mut checks) = (0, 0);
    for (days, i, o) in times.into_iter().rev() {
        inside += i;
        checks += i + o;
        if proportion_lower(inside, checks, 1.0 - level) >= target {
            return Ok(at_least(outcomes, days, level));
        }
    }
    let (inside, outside) = outcomes.totals();
    Err(match trials_without_failure(target, 1.0 - level) {
        Some(needed) if outside == 0 => format!(
            "{inside} checks without failure, {needed} are needed to show R ≥ {target} at {} %",
            percent(level)
        ),
        _ => format!(
            "{inside} in tolerance of {} checks do not show R ≥ {target} at {} % for any time seen",
            inside + outside,
            percent(level)
        ),
    })
}

/// Three decimals, towards zero, so that the printed bound still holds.
fn rounded_down(x: f64) -> String {
    format!("{:.3}", (x * 1000.0).floor() / 1000.0)
}

fn rounded_up(x: f64) -> String {
    format!("{:.3}", (x * 1000.0).ceil() / 1000.0)
}

/// A level as a percentage without trailing zeros.
pub(super) fn percent(level: f64) -> String {
    let text = format!("{:.3}", 100.0 * level);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checks(table: &[(f64, u64, u64)]) -> Outcomes {
        let mut outcomes = Outcomes::default();
        for (days, inside, outside) in table {
            outcomes.add_checks(*days, *inside, *outside).unwrap();
        }
        outcomes
    }

    /// The sentence of the issue; α^(1/n) by interval-practice 2.4.
    #[test]
    fn no_failure_in_fourteen() {
        let bound = at_least(&checks(&[(365.0, 14, 0)]), 365.0, 0.95);
        assert_eq!(bound.words, "no failure in 14: R ≥ 0.807 at 95 %");
        assert!((bound.bound - 0.05f64.powf(1.0 / 14.0)).abs() < 1e-12);
    }

    #[test]
    fn only_failures() {
        let bound = at_most(&checks(&[(365.0, 0, 8)]), 365.0, 0.95);
        assert!((bound.bound - (1.0 - 0.05f64.powf(0.125))).abs() < 1e-12);
        assert!(
            bound.words.starts_with("only failures in 8: R ≤ 0.31"),
            "{}",
            bound.words
        );
    }

    /// 59 checks show 95 % at 95 % (interval-practice check 14).
    #[test]
    fn demonstrated() {
        let enough = checks(&[(100.0, 40, 0), (200.0, 59, 0)]);
        assert_eq!(
            demonstrated_interval(&enough, 0.95, 0.95).unwrap().days,
            200.0
        );
        let spread = checks(&[(100.0, 40, 0), (200.0, 19, 0)]);
        assert_eq!(
            demonstrated_interval(&spread, 0.95, 0.95).unwrap().days,
            100.0
        );
        let few = demonstrated_interval(&checks(&[(100.0, 14, 0)]), 0.95, 0.95);
        assert!(few.unwrap_err().contains("59 are needed"));
    }

    #[test]
    fn more_passes_never_shorten() {
        for extra in 0..60 {
            let (a, b) = (
                demonstrated_interval(
                    &checks(&[(100.0, 80, 1), (200.0, 40 + extra, 0)]),
                    0.95,
                    0.95,
                ),
                demonstrated_interval(
                    &checks(&[(100.0, 80, 1), (200.0, 41 + extra, 0)]),
                    0.95,
                    0.95,
                ),
            );
            assert!(b.map_or(0.0, |b| b.days) >= a.map_or(0.0, |b| b.days));
        }
    }
}
