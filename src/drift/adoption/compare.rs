/*! Adopting a value: does a new one differ, and what is carried from now on.

At each calibration the owner holds an assigned value with its u. The new value is
compared with it and with what the earlier checks predict; the carried value is then
a function of date, as national laboratories keep it for standard resistors and
voltage standards. Differences are judged by the normal or t distribution of their
standard uncertainty (JCGM 100:2008, 4.3 and G.3).
*/

use crate::drift::Fit;
use crate::stats::student_two_sided;

/// A value with its standard uncertainty, unit of the history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stated {
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
}

impl Stated {
    /// Nothing is known of it.
    pub(crate) const UNKNOWN: Self = Self {
        value: f64::NAN,
        u: f64::NAN,
    };
}

/// A difference and whether it is significant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Difference {
    /// New minus old value.
    pub difference: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Two-sided probability of so large a difference by chance.
    pub p: f64,
    /// True where p is below 1 − level.
    pub significant: bool,
}

/// What to carry from now on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Carry {
    /// The assigned value stands: nothing differs from it.
    Assigned,
    /// The value that the fit, the new one included, gives for each date: the new one agrees
    /// with the prediction, and the assigned value does not, or is known less well.
    Predicted,
    /// No value: the new one agrees with neither, and nothing confirms it yet.
    Unconfirmed,
}

/// Comparison of a new value with the assigned and the predicted one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Adoption {
    /// New minus assigned.
    pub from_assigned: Difference,
    /// New minus predicted; `None` where nothing can be predicted.
    pub from_predicted: Option<Difference>,
    /// What to carry.
    pub carry: Carry,
    /// Value and u to carry on the day of the new value; `None` where nothing may be carried.
    pub value: Option<Stated>,
}

/// Fits of the same history without and with the new value.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fits<'a> {
    /// Of the checks before it: the new value does not vouch for itself.
    pub before: &'a Fit,
    /// Of all checks, the new one included: what is known from now on.
    pub after: &'a Fit,
}

/// Judges `measured` at `x` against `assigned` and against what the checks before it predict,
/// at `level` (0.95). The u of both are those of readings; the part shared with the reference
/// cancels in the differences and is added to the u that is carried.
pub(crate) fn adopt(
    fits: Fits<'_>,
    x: f64,
    measured: Stated,
    assigned: Stated,
    level: f64,
) -> Adoption {
    let shared = fits.before.u_common;
    let from_assigned = difference(measured, assigned, f64::INFINITY, level);
    let from_predicted = fits.before.at(x).map(|p| {
        let own = (p.u_error.powi(2) - shared.powi(2)).max(0.0).sqrt();
        let predicted = Stated {
            value: p.expected,
            u: own,
        };
        difference(measured, predicted, p.degrees_of_freedom, level)
    });
    let whole = |stated: Stated| Stated {
        u: stated.u.hypot(shared),
        ..stated
    };
    let known = fits.after.at(x).map(|p| Stated {
        value: p.expected,
        u: p.u_error,
    });
    let (carry, value) = decide(whole(assigned), known, &from_assigned, &from_predicted);
    Adoption {
        from_assigned,
        from_predicted,
        carry,
        value,
    }
}

impl Adoption {
    /// The comparison where the new value is not confirmed by itself, whatever it agrees with.
    pub(crate) fn unconfirmed(self) -> Self {
        Self {
            carry: Carry::Unconfirmed,
            value: None,
            ..self
        }
    }
}

fn decide(
    assigned: Stated,
    known: Option<Stated>,
    from_assigned: &Difference,
    from_predicted: &Option<Difference>,
) -> (Carry, Option<Stated>) {
    match (known, from_predicted) {
        (Some(known), Some(d))
            if confirms(d, from_assigned)
                && (from_assigned.significant || known.u < assigned.u) =>
        {
            (Carry::Predicted, Some(known))
        }
        _ if !from_assigned.significant => (Carry::Assigned, Some(assigned)),
        _ => (Carry::Unconfirmed, None),
    }
}

/// True where the earlier checks foretold the new value: it agrees with them, and they know it
/// well enough to tell its change from none. A prediction so vague that anything agrees with it
/// confirms nothing.
fn confirms(from_predicted: &Difference, from_assigned: &Difference) -> bool {
    let telling = from_predicted.u < from_assigned.difference.abs();
    !from_predicted.significant && (telling || !from_assigned.significant)
}

fn difference(new: Stated, old: Stated, freedom: f64, level: f64) -> Difference {
    let (difference, u) = (new.value - old.value, new.u.hypot(old.u));
    let p = if difference == 0.0 {
        1.0
    } else {
        student_two_sided(difference / u, freedom)
    };
    Difference {
        difference,
        u,
        p,
        significant: p < 1.0 - level,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::regression::line;
    use crate::drift::regression::line_fit::from_line;
    use crate::drift::series::readings::Reading;

    fn fitted() -> Fit {
        let reading = |i: u32| Reading {
            x: f64::from(i),
            value: 0.1 * f64::from(i),
            u: 0.01,
            check: i,
            ..Reading::default()
        };
        let readings: Vec<Reading> = (0..6).map(reading).collect();
        from_line(&readings, 0.0, line::fit(&readings))
    }

    fn stated(value: f64, u: f64) -> Stated {
        Stated { value, u }
    }

    fn both(fit: &Fit) -> Fits<'_> {
        Fits {
            before: fit,
            after: fit,
        }
    }

    #[test]
    fn drifted_value_is_carried_by_prediction() {
        let new = stated(0.605, 0.01);
        let old = stated(0.0, 0.02);
        let fit = fitted();
        let found = adopt(both(&fit), 6.0, new, old, 0.95);
        assert!(found.from_assigned.significant);
        assert!(!found.from_predicted.unwrap().significant);
        assert_eq!(found.carry, Carry::Predicted);
        near!(found.value.unwrap().value, 0.6, 1e-12);
    }

    #[test]
    fn a_jump_is_carried_by_nobody_until_it_is_confirmed() {
        let new = stated(2.0, 0.01);
        let old = stated(0.0, 0.02);
        let fit = fitted();
        let found = adopt(both(&fit), 6.0, new, old, 0.95);
        assert_eq!(found.carry, Carry::Unconfirmed);
        assert_eq!(found.value, None);
        let reason = found.reason();
        assert!(reason.starts_with("the new value differs from the assigned one (by 2.000, u = 0.0224, p < 0.0001); it differs from the prediction (by "), "{reason}");
        assert!(
            reason.ends_with("carry no value before a repeated measurement has confirmed it"),
            "{reason}"
        );
        let mut wild = found;
        wild.from_assigned.u = f64::INFINITY;
        wild.carry = Carry::Predicted;
        wild.value = Some(stated(2.0, f64::INFINITY));
        let reason = wild.reason();
        assert!(
            reason.starts_with(
                "the new value differs from the assigned one (too large to compute with);"
            ),
            "{reason}"
        );
        assert!(
            reason.ends_with("the new one included: one too large to compute with"),
            "{reason}"
        );
        assert_eq!(
            found.verdict(),
            "the new value differs from the assigned one; it differs from the prediction; \
             carry no value before a repeated measurement has confirmed it"
        );
    }

    /// Whatever is read, it is not carried where the earlier checks know too little to confirm it.
    #[test]
    fn a_vague_prediction_confirms_nothing() {
        let wild = stated(-999_999.0, 0.35);
        let old = stated(0.0, 0.35);
        let assigned = difference(wild, old, f64::INFINITY, 0.95);
        for u in [1e6, f64::INFINITY] {
            let vague = Stated { value: 0.0, u };
            let predicted = difference(wild, vague, f64::INFINITY, 0.95);
            assert!(!predicted.significant);
            let (carry, value) = decide(old, Some(wild), &assigned, &Some(predicted));
            assert_eq!((carry, value), (Carry::Unconfirmed, None));
        }
    }
}
