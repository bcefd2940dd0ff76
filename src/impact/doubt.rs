/*! From a failed check to the jobs in doubt, each with a probability and a reason. */

use super::crossing::LeftTolerance;
use super::job::{Effect, Job, JobDoubt};
use super::judgement::{IN_DOUBT, Judgement, worst};
use super::leg::{mean_of, probability_out};
use super::window::Window;
use crate::records::Tolerance;
use crate::words::{agreeing, count, date, figure, percent, plus_minus};
use std::borrow::Cow;

/// Those of the jobs of one history that lie in a suspect window, the likeliest to be wrong first.
/// `jobs` are those of its instrument and point, by date.
pub(crate) fn assess(windows: &[Window], unit: &str, jobs: &[Cow<'_, Job>]) -> Vec<JobDoubt> {
    let mut doubts: Vec<JobDoubt> = windows
        .iter()
        .enumerate()
        .flat_map(|(i, window)| {
            let first = window.good_since.unwrap_or(f64::NEG_INFINITY);
            let from = jobs.partition_point(|job| job.date < first);
            let to = jobs.partition_point(|job| job.date <= window.until);
            // A day on which one window ends and the next begins belongs to the first.
            let earlier = i.checked_sub(1).and_then(|i| windows.get(i));
            let own = jobs.get(from..to).unwrap_or_default();
            let left = (!own.is_empty()).then(|| window.left()).flatten();
            own.iter()
                .filter(move |job| earlier.is_none_or(|earlier| !earlier.holds(job.date)))
                .map(move |job| judge(job, (window, left), unit))
        })
        .collect();
    doubts.sort_by(|a, b| {
        let by_effect = a.effect.cmp(&b.effect);
        by_effect
            .then(b.probability_out.total_cmp(&a.probability_out))
            .then(a.job.date.total_cmp(&b.job.date))
            .then(a.job.job.cmp(&b.job.job))
            .then(a.job.row.cmp(&b.job.row))
    });
    doubts
}

fn judge(job: &Job, (window, left): (&Window, Option<LeftTolerance>), unit: &str) -> JobDoubt {
    let (Some(leg), Some(tolerance)) = (window.leg(job.date), window.tolerance) else {
        return unused(job, window, left);
    };
    let standings = window.standings(leg, job.date);
    let (error, u_error) = mean_of(&standings);
    let out = probability_out(&standings, tolerance);
    let judged = worst(job, &standings);
    let effect = match (judged.map(|j| j.changed), out > IN_DOUBT) {
        (Some(true), _) | (None, true) => Effect::Recall,
        (Some(false), true) => Effect::Doubtful,
        (_, false) => Effect::Stands,
    };
    let sensitivity = judged.map_or(job.sensitivity, |judged| judged.sensitivity);
    let reason = format!(
        "on {} the instrument was out of tolerance with probability {}: its error then was {} (k = 2), {}{}{}",
        date(job.date),
        percent(out),
        plus_minus(error, 2.0 * u_error, unit),
        between(leg.span(), window, tolerance),
        left_words(left),
        statement(job, judged, unit)
    );
    JobDoubt {
        job: job.clone(),
        probability_out: out,
        error,
        u_error,
        sensitivity,
        corrected_error: job.measured_error - sensitivity * error,
        left,
        found: window.found,
        through: None,
        effect,
        reason,
    }
}

/// What the error on that day rests on.
fn between((from, to): (f64, f64), window: &Window, tolerance: Tolerance) -> String {
    let limits = tolerance.words([""; 2]);
    // Readings between the last good one and the failed one lie too near a limit to be either.
    let reading = |day: f64| match day {
        day if Some(day) == window.good_since => "good",
        day if day < window.found => "uncertain",
        _ => "failed",
    };
    let from_word = reading(from);
    match (to.is_finite(), to == window.until) {
        (false, _) => format!(
            "after the failed reading of {}, with nothing that shows it restored (tolerance {limits})",
            date(from)
        ),
        (true, true) if to > window.found => format!(
            "between the {from_word} reading of {} and the good one of {} (tolerance {limits})",
            date(from),
            date(to)
        ),
        _ => format!(
            "between the {from_word} reading of {} and the {} one of {}",
            date(from),
            reading(to),
            date(to)
        ),
    }
}

/// When and how the tolerance was left.
fn left_words(left: Option<LeftTolerance>) -> String {
    let Some(left) = left.filter(|left| left.at.is_finite()) else {
        return String::new();
    };
    format!(
        "; it left its tolerance about {}, with 95 % between {} and {}, by {}",
        date(left.at),
        date(left.from),
        date(left.to),
        left.mechanism.words()
    )
}

/// What becomes of the statement made for the job.
fn statement(job: &Job, judged: Option<Judgement>, unit: &str) -> String {
    let Some(judged) = judged else {
        return "; the job's own limits or result are not known, so its statement cannot be judged"
            .into();
    };
    let verdict = match judged.changed {
        true => "its statement changes",
        false => "its statement would hold with the corrected value",
    };
    let sign = match job.sensitivity.is_nan() {
        true => format!(
            " (sensitivity {}, the worse of −1 and +1, as none is stated)",
            judged.sensitivity
        ),
        false => format!(" (sensitivity {})", judged.sensitivity),
    };
    let stepped = match judged.decided_by {
        Some((weight, corrected)) => format!(
            ", and {} with a belief of {} in the other way the error may have gone",
            figure(corrected, unit),
            percent(weight)
        ),
        None => String::new(),
    };
    format!(
        "; corrected for it{sign} the measured error of {} is {}{stepped}, inside the job's limits with probability {}: {verdict}",
        figure(job.measured_error, ""),
        figure(judged.corrected, unit),
        percent(judged.inside)
    )
}

/// Without values at both ends nothing can be said for the job.
fn unused(job: &Job, window: &Window, left: Option<LeftTolerance>) -> JobDoubt {
    let why = match window.good_since {
        None if job.date <= window.found => {
            "the record holds no reading at which the instrument was known good".to_string()
        }
        Some(good) if job.date <= window.found => format!(
            "the values of {} or of the failed check are not known",
            date(good)
        ),
        _ => "its value after that is not known".to_string(),
    };
    let reason = format!(
        "the instrument was found out of tolerance on {} and {why}, so the job of {} cannot be cleared",
        date(window.found),
        date(job.date)
    );
    JobDoubt {
        left,
        found: window.found,
        ..JobDoubt::with_reason(job.clone(), Effect::Recall, reason)
    }
}

/// "3 of 12 jobs to recall, 2 doubtful" for a summary.
pub(crate) fn summary(doubts: &[JobDoubt]) -> String {
    let number = |effect| doubts.iter().filter(|d| d.effect == effect).count();
    format!(
        "of {} since the last good reading {} to recall, {} doubtful, {} {}",
        count(doubts.len(), "job"),
        number(Effect::Recall),
        number(Effect::Doubtful),
        number(Effect::Stands),
        agreeing(number(Effect::Stands), "stands", "stand")
    )
}
