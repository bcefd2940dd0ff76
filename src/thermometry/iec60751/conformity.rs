/*! Does a drifting industrial sensor still meet its class?

The comparison is simple acceptance with the uncertainty shown (JCGM 106:2012): an
error whose expanded uncertainty reaches across the limit is called close to the limit,
not conforming. Guarded rules belong to the conformity room, fed with [`Class::limits`].
*/

use super::class::{Class, ClassRanges, Construction};
use super::function::temperature;
use crate::thermometry::ThermometryError;

/// One comparison of a sensor with a known temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SensorCheck {
    /// Resistance read, Ω.
    pub resistance_ohm: f64,
    /// True temperature, °C.
    pub celsius: f64,
    /// Standard uncertainty of the comparison, °C.
    pub u_c: f64,
    /// Nominal resistance at 0 °C, Ω.
    pub r0_ohm: f64,
}

/// Where a sensor stands against its class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Error and its expanded uncertainty (k = 2) inside the limits.
    Conforms,
    /// The limit lies inside the expanded uncertainty: neither can be claimed.
    CloseToLimit,
    /// Error and its expanded uncertainty outside the limits.
    Fails,
    /// The class does not apply at this temperature.
    NotClassified,
}

/// The verdict with its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorConformity {
    /// Where it stands.
    pub standing: Standing,
    /// Indicated by the standard function minus true, °C.
    pub error_c: f64,
    /// Tolerance ± of the class, °C; NaN where the class does not apply.
    pub tolerance_c: f64,
    /// Strictest class the sensor conforms to at this temperature, if any.
    pub strictest_class: Option<Class>,
    /// One sentence.
    pub words: String,
}

/// Compares one check with `class`.
///
/// # Errors
/// Resistance or nominal resistance impossible, or uncertainty negative.
pub fn conformity(
    check: SensorCheck,
    class: Class,
    construction: Construction,
    ranges: &ClassRanges,
) -> Result<SensorConformity, ThermometryError> {
    if !(check.u_c >= 0.0 && check.u_c.is_finite()) {
        return Err(ThermometryError::Impossible {
            what: "standard uncertainty of the comparison",
            value: check.u_c,
            expected: "a number that is not negative, in °C",
        });
    }
    let error_c = temperature(check.resistance_ohm, check.r0_ohm)? - check.celsius;
    let expanded = 2.0 * check.u_c;
    let standing_in = |class: Class| match class.limits(check.celsius, construction, ranges) {
        None => (Standing::NotClassified, f64::NAN),
        Some(limits) => {
            let half = limits.half_width();
            let standing = if error_c.abs() + expanded <= half {
                Standing::Conforms
            } else if error_c.abs() - expanded > half {
                Standing::Fails
            } else {
                Standing::CloseToLimit
            };
            (standing, half)
        }
    };
    let (standing, tolerance_c) = standing_in(class);
    let strictest_class = Class::ALL
        .into_iter()
        .find(|c| standing_in(*c).0 == Standing::Conforms);
    let words = sentence(
        standing,
        class,
        check.celsius,
        error_c,
        expanded,
        tolerance_c,
    );
    Ok(SensorConformity {
        standing,
        error_c,
        tolerance_c,
        strictest_class,
        words,
    })
}

fn sentence(
    standing: Standing,
    class: Class,
    celsius: f64,
    error_c: f64,
    expanded: f64,
    tolerance_c: f64,
) -> String {
    let name = class.name();
    let figures = format!(
        "error {error_c:+.4} °C with U = {expanded:.4} °C (k = 2) against ±{tolerance_c:.4} °C at {celsius} °C"
    );
    match standing {
        Standing::Conforms => format!("meets class {name}: {figures}"),
        Standing::Fails => format!("fails class {name}: {figures}"),
        Standing::CloseToLimit => format!(
            "neither met nor failed class {name} can be stated: {figures}; a smaller uncertainty would tell"
        ),
        Standing::NotClassified => format!("class {name} has no tolerance at {celsius} °C"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at_100(resistance_ohm: f64, class: Class) -> SensorConformity {
        let check = SensorCheck {
            resistance_ohm,
            celsius: 100.0,
            u_c: 0.02,
            r0_ohm: 100.0,
        };
        conformity(check, class, Construction::Wire, &ClassRanges::default()).unwrap()
    }

    #[test]
    fn a_drifting_sensor_leaves_its_class() {
        // 0.379 28 Ω/°C at 100 °C: 0.1 Ω is 0.264 °C, inside class A (0.35 °C), and
        // not class AA (0.27 °C) once U = 0.04 °C is counted.
        let drifted = at_100(138.6055, Class::A);
        assert_eq!(drifted.standing, Standing::Conforms);
        assert_eq!(drifted.strictest_class, Some(Class::A));
        assert_eq!(at_100(138.6055, Class::AA).standing, Standing::CloseToLimit);
        assert_eq!(at_100(138.70, Class::A).standing, Standing::Fails);
        assert_eq!(at_100(138.70, Class::A).strictest_class, Some(Class::B));
    }

    #[test]
    fn no_verdict_outside_the_range_of_the_class() {
        let check = SensorCheck {
            resistance_ohm: 313.7,
            celsius: 600.0,
            u_c: 0.02,
            r0_ohm: 100.0,
        };
        let got = conformity(check, Class::A, Construction::Wire, &ClassRanges::default()).unwrap();
        assert_eq!(got.standing, Standing::NotClassified);
        assert!(got.tolerance_c.is_nan());
    }
}
