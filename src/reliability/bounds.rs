/*! What the records show without any model: exact one-sided statements.

A life gives one outcome, however often it was checked: ten checks passed between two
renewals are one life that lasted. R(t) never rises, so a life that lasted to t or beyond
counts in, and one that failed before counts out, each with probability R(t) at most: the
exact lower limit of their proportion holds for R(t). Likewise lives known to be out by t
bound it from above. Where a life's last check passed before t, it tells nothing about R(t)
from below. Where every life has one check, that check's day was chosen before its outcome,
so that checks before t need not count. This is all that can be said where there is no
failure, or nothing but failures.
*/

use super::outcomes::Outcomes;
use super::why_not::{WhyNot, percent};
use crate::stats::{proportion_lower, proportion_upper, trials_without_failure};
use crate::words::plural;

/// Exact one-sided bound of R at a time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Bound {
    /// Days since renewal.
    pub days: f64,
    /// Lives that carry it.
    pub lives: u64,
    /// Of these, in tolerance.
    pub inside: u64,
    /// The bound of R(days).
    pub bound: f64,
    /// The sentence.
    pub words: String,
}

/// Lives that bound R at one time, as (in, all).
type Counted = (u64, u64);

/// Lives of which `seen` says that they lasted, and those of which it says either that or that they
/// failed; it is given the last day seen in, the first seen out, and whether lives have one check.
fn counting(outcomes: &Outcomes, seen: impl Fn(f64, f64, bool) -> Option<bool>) -> Counted {
    let one_check = outcomes.is_current_status();
    let judged = outcomes.lives().filter_map(|(after, before, lives)| {
        let lasted = seen(after, before, one_check)?;
        Some((if lasted { lives } else { 0 }, lives))
    });
    judged.fold((0, 0), |(inside, all), (lasted, lives)| {
        (inside + lasted, all + lives)
    })
}

/// Lives that bound R(`days`) from below.
pub(super) fn lasting(outcomes: &Outcomes, days: f64) -> Counted {
    counting(outcomes, |after, before, one_check| {
        let failed = before.is_finite() && (before >= days || !one_check);
        (after >= days || failed).then_some(after >= days)
    })
}

/// Lives that were watched up to `days` without a failure before.
pub(super) fn at_risk(outcomes: &Outcomes, days: f64) -> u64 {
    let still =
        |(after, before): (f64, f64)| after >= days || (before.is_finite() && before >= days);
    let lives = outcomes.lives();
    lives
        .filter(|(after, before, _)| still((*after, *before)))
        .map(|(.., n)| n)
        .sum()
}

/// Lives that bound R(`days`) from above.
pub(super) fn failing(outcomes: &Outcomes, days: f64) -> Counted {
    counting(outcomes, |after, before, one_check| {
        let lasted = after > 0.0 && (after <= days || !one_check);
        (before <= days || lasted).then_some(before > days)
    })
}

/// "14", or "6 lives" where lives have several checks.
fn counted(outcomes: &Outcomes, lives: u64) -> String {
    match outcomes.is_current_status() {
        true => lives.to_string(),
        false => format!("{lives} {}", plural(lives as usize, "life")),
    }
}

/// Lower bound of R at `days` at confidence `level`, from the lives that lasted as long.
pub(crate) fn at_least(outcomes: &Outcomes, days: f64, level: f64) -> Bound {
    let (inside, lives) = lasting(outcomes, days);
    let bound = proportion_lower(inside, lives, 1.0 - level);
    let seen = match lives - inside {
        0 => format!("no failure in {}", counted(outcomes, lives)),
        outside => format!("{outside} out in {}", counted(outcomes, lives)),
    };
    Bound {
        days,
        lives,
        inside,
        bound,
        words: format!(
            "{seen}: R ≥ {} at {} %",
            rounded_down(bound),
            percent(level)
        ),
    }
}

/// Upper bound of R at `days` at confidence `level`, from the lives known to be out by then.
pub(crate) fn at_most(outcomes: &Outcomes, days: f64, level: f64) -> Bound {
    let (inside, lives) = failing(outcomes, days);
    let bound = proportion_upper(inside, lives, 1.0 - level);
    let seen = match inside {
        0 => format!("only failures in {}", counted(outcomes, lives)),
        _ => format!("{} out in {}", lives - inside, counted(outcomes, lives)),
    };
    Bound {
        days,
        lives,
        inside,
        bound,
        words: format!("{seen}: R ≤ {} at {} %", rounded_up(bound), percent(level)),
    }
}

/// Longest observed time whose lower bound at `level` reaches `target`.
///
/// # Errors
/// How many lives would be needed, or that none seen show it.
pub(crate) fn demonstrated_interval(
    outcomes: &Outcomes,
    target: f64,
    level: f64,
) -> Result<Bound, WhyNot> {
    let shown = |days: &f64| {
        let (inside, lives) = lasting(outcomes, *days);
        proportion_lower(inside, lives, 1.0 - level) >= target
    };
    // A bound changes only where a life was last seen in.
    let mut lasted: Vec<f64> = outcomes.lives().map(|(after, _, _)| after).collect();
    lasted.dedup();
    lasted.retain(|days| *days > 0.0);
    // Fewer lives last longer: the bound falls with time unless failures leave it, which only
    // lives of one check do.
    let longest = match outcomes.is_current_status() {
        true => lasted.into_iter().rev().find(shown),
        false => {
            let reached = lasted.partition_point(shown);
            reached.checked_sub(1).map(|i| lasted[i])
        }
    };
    if let Some(days) = longest {
        return Ok(at_least(outcomes, days, level));
    }
    let (lives, failed) = outcomes.life_totals();
    let several = !outcomes.is_current_status();
    Err(match trials_without_failure(target, 1.0 - level) {
        Some(needed) if failed == 0 => WhyNot::FewLives {
            lives,
            several,
            needed,
            target,
            level,
        },
        _ => WhyNot::NotShown {
            inside: lives - failed,
            lives,
            several,
            target,
            level,
        },
    })
}

/// Three decimals, towards zero, so that the printed bound still holds.
fn rounded_down(x: f64) -> String {
    format!("{:.3}", (x * 1000.0).floor() / 1000.0)
}

fn rounded_up(x: f64) -> String {
    format!("{:.3}", (x * 1000.0).ceil() / 1000.0)
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn checks(table: &[(f64, u64, u64)]) -> Outcomes {
        let mut outcomes = Outcomes::default();
        for (days, inside, outside) in table {
            outcomes.add_checks(*days, *inside, *outside).unwrap();
        }
        outcomes
    }

    /// α^(1/n) by interval-practice 2.4.
    #[test]
    fn no_failure_in_fourteen() {
        let bound = at_least(&checks(&[(365.0, 14, 0)]), 365.0, 0.95);
        assert_eq!(bound.words, "no failure in 14: R ≥ 0.807 at 95 %");
        near!(bound.bound, 0.05f64.powf(1.0 / 14.0), 1e-12);
    }

    #[test]
    fn only_failures() {
        let bound = at_most(&checks(&[(365.0, 0, 8)]), 365.0, 0.95);
        near!(bound.bound, 1.0 - 0.05f64.powf(0.125), 1e-12);
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
        says!(few.unwrap_err().to_string(), "59 are needed");
    }

    /// Six items checked each year for ten years and never found out: six lives, whatever
    /// the number of checks; α^(1/6).
    #[test]
    fn checks_of_one_life_are_one_outcome() {
        let mut outcomes = Outcomes::default();
        outcomes.add_passes(365.0, 10, 6).unwrap();
        assert_eq!(outcomes.totals(), (60, 0));
        let bound = at_least(&outcomes, 365.0, 0.95);
        assert_eq!(bound.words, "no failure in 6 lives: R ≥ 0.606 at 95 %");
        assert_eq!(bound.bound, at_least(&outcomes, 3650.0, 0.95).bound);
        let few = demonstrated_interval(&outcomes, 0.95, 0.95).unwrap_err();
        assert!(
            few.to_string()
                .starts_with("6 lives without failure, 59 are"),
            "{few}"
        );
        outcomes.add_passes(100.0, 4, 60).unwrap();
        let shown = demonstrated_interval(&outcomes, 0.95, 0.95).unwrap();
        assert_eq!((shown.days, shown.lives), (400.0, 66));
    }

    /// What failed early stays out at every later age; what was last seen in before is not known.
    #[test]
    fn a_failed_life_counts_at_every_later_age() {
        let mut outcomes = Outcomes::default();
        outcomes.add_lives(100.0, 200.0, 3).unwrap();
        outcomes.add_lives(100.0, f64::INFINITY, 5).unwrap();
        outcomes.add_lives(400.0, f64::INFINITY, 7).unwrap();
        assert_eq!(lasting(&outcomes, 100.0), (15, 15));
        assert_eq!(lasting(&outcomes, 150.0), (7, 10));
        assert_eq!(lasting(&outcomes, 400.0), (7, 10));
        assert_eq!(failing(&outcomes, 150.0), (15, 15));
        assert_eq!(failing(&outcomes, 200.0), (12, 15));
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
