/*! W at another fixed point against what the coefficients of the certificate give there. */

use super::ThermometerFacts;
use super::its90::{FixedPoint, Reference};
use crate::words::Short;

/// W at a fixed point against the coefficients of the thermometer's certificate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromCertificate {
    pub point: FixedPoint,
    /// W measured minus W by the coefficients, as temperature, mK.
    pub mk: f64,
    /// Standard uncertainty of the difference, mK: of W and of the certificate.
    pub u_mk: f64,
}

impl FromCertificate {
    /// True where the difference is shown.
    pub(crate) fn is_off(&self, coverage_factor: f64) -> bool {
        self.mk.abs() > coverage_factor * self.u_mk
    }

    /// One sentence.
    pub(crate) fn words(&self) -> String {
        format!(
            "W at the {} is {:+.2} mK from what the coefficients of its certificate give (U = {:.2} mK): temperatures \
             by them are off by as much there, recalibrate",
            self.point.name(),
            Short(self.mk),
            Short(2.0 * self.u_mk)
        )
    }
}

/// W and its standard uncertainty at `point` on `date` against the coefficients; `None` where they do
/// not cover the point, or are those of a later certificate.
pub(crate) fn from_certificate(
    point: FixedPoint,
    (w, u): (f64, f64),
    date: f64,
    facts: &ThermometerFacts,
) -> Option<FromCertificate> {
    let latest = facts.certified_on(f64::INFINITY).from;
    if date < latest {
        return None;
    }
    let thermometer = facts.thermometer().ok()?;
    let kelvin = point.kelvin();
    let expected = thermometer.at_temperature(kelvin).ok()?.ratio;
    let slope = Reference::Joined.slope(kelvin);
    let in_mk = |w: f64| 1000.0 * w / slope;
    Some(FromCertificate {
        point,
        mk: in_mk(w - expected),
        u_mk: in_mk(u),
    })
}
