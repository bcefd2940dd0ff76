/*! The numbers of a job in the unit of the checks that they are set against. */

use super::job::Job;
use crate::records::Item;
use crate::records::cells::number::Number;
use crate::records::cells::unit::{Unit, same_unit};
use std::borrow::Cow;

/// Why they cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(super) enum NoUnit {
    #[error(
        "its error is in {stated}, the checks of {item} are in {unit}: give the job's error and limits in {unit}"
    )]
    Other {
        stated: String,
        item: String,
        unit: String,
    },
    #[error(
        "its error is in {stated}, the checks are in {unit}, and a sensitivity of {sensitivity} may be for one {stated} or one {unit}: give the job's error and limits in {unit}"
    )]
    Sensitivity {
        sensitivity: f64,
        stated: String,
        unit: String,
    },
}

/// The job with its error, limits and u in the unit of the checks of `item`.
///
/// # Errors
/// Another quantity, numbers of which some have no unit, a sensitivity that may be for either unit.
pub(super) fn in_unit<'a>(job: &'a Job, item: &Item) -> Result<Cow<'a, Job>, NoUnit> {
    let (stated, unit) = (job.unit.trim(), item.unit.trim());
    if stated.is_empty() || unit.is_empty() || same_unit(stated, unit) {
        return Ok(Cow::Borrowed(job));
    }
    let units = Unit::parse(stated).zip(Unit::parse(unit));
    // A number without a unit may be in either.
    let units = units.filter(|_| !job.partly_bare);
    let Some(power) = units.and_then(|(from, into)| from.power_to(into)) else {
        return Err(NoUnit::Other {
            stated: stated.to_string(),
            item: item.name(),
            unit: unit.to_string(),
        });
    };
    if job.sensitivity.is_finite() && job.sensitivity.abs() != 1.0 {
        return Err(NoUnit::Sensitivity {
            sensitivity: job.sensitivity,
            stated: stated.to_string(),
            unit: unit.to_string(),
        });
    }
    let turned = |number: f64| {
        let number = Number::from_double(number);
        number.map_or(f64::NAN, |number| number.scaled(power).value)
    };
    Ok(Cow::Owned(Job {
        measured_error: turned(job.measured_error),
        lower: turned(job.lower),
        upper: turned(job.upper),
        u: turned(job.u),
        unit: unit.to_string(),
        ..job.clone()
    }))
}
