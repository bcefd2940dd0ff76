/*! One conversion between resistance, ratio and temperature, on either kind of thermometer. */

use super::ThermometryError;
use super::iec60751::{Class, ClassRanges, Construction, Sensor};
use super::its90::{Thermometer, ZERO_CELSIUS_K};
use serde::Serialize;

/// What a given number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub(crate) enum Quantity {
    /// Resistance, Ω.
    #[default]
    #[value(alias = "r")]
    Resistance,
    /// Ratio: R/R(0.01 °C) on the ITS-90, R/R(0 °C) after IEC 60751.
    #[value(alias = "w")]
    Ratio,
    /// Temperature, °C.
    #[value(alias = "t")]
    Temperature,
}

/// By what a number is converted.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Converter {
    /// A reference thermometer on the ITS-90.
    Its90(Thermometer),
    /// An industrial sensor after IEC 60751.
    Industrial {
        /// R at 0 °C and the function.
        sensor: Sensor,
        /// Class whose tolerance is wanted.
        class: Option<Class>,
        /// Construction, which sets the range of the class.
        construction: Construction,
        /// Ranges of the classes.
        ranges: ClassRanges,
    },
}

impl Converter {
    /// Why the class asked for states no tolerance at `celsius`; `None` where it does, or none
    /// was asked for.
    pub(crate) fn no_tolerance(&self, celsius: f64) -> Option<String> {
        let Converter::Industrial {
            class: Some(class),
            construction,
            ranges,
            ..
        } = self
        else {
            return None;
        };
        let (low, high) = ranges.of(*class, *construction);
        let outside = class.limits(celsius, *construction, ranges).is_none();
        outside.then(|| {
            format!(
                "class {class:?}, {}, states no tolerance outside {low} °C to {high} °C",
                construction.words()
            )
        })
    }
}

/// One converted value with everything known about it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(crate) struct Converted {
    /// Resistance, Ω.
    pub resistance_ohm: f64,
    /// Ratio, see [`Quantity::Ratio`].
    pub ratio: f64,
    /// Temperature, °C (T90 on the ITS-90; t on the ITS-90 for an industrial sensor).
    pub temperature_c: f64,
    pub temperature_k: f64,
    /// dR/dt, Ω per °C.
    pub sensitivity_ohm_per_c: f64,
    /// Subrange of the ITS-90 that was used.
    pub subrange: Option<u8>,
    /// Tolerance ± of the class, °C; none where the class does not apply.
    pub tolerance_c: Option<f64>,
    /// Tolerance ± of the class, Ω.
    pub tolerance_ohm: Option<f64>,
}

/// Converts `value`, which is a `from`.
///
/// # Errors
/// Value impossible or outside the range.
pub(crate) fn convert(
    scale: &Converter,
    from: Quantity,
    value: f64,
) -> Result<Converted, ThermometryError> {
    match scale {
        Converter::Its90(thermometer) => its90(thermometer, from, value),
        Converter::Industrial {
            sensor,
            class,
            construction,
            ranges,
        } => {
            let celsius = match from {
                Quantity::Resistance => sensor.temperature(value)?,
                Quantity::Ratio => sensor.temperature(value * sensor.r0_ohm)?,
                Quantity::Temperature => value,
            };
            let limits = class.and_then(|c| c.limits(celsius, *construction, ranges));
            industrial(celsius, sensor, limits.map(|l| l.half_width()))
        }
    }
}

fn its90(
    thermometer: &Thermometer,
    from: Quantity,
    value: f64,
) -> Result<Converted, ThermometryError> {
    let state = match from {
        Quantity::Resistance => thermometer.at_resistance(value),
        Quantity::Ratio => thermometer.at_ratio(value),
        Quantity::Temperature => thermometer.at_temperature(value + ZERO_CELSIUS_K),
    }?;
    Ok(Converted {
        resistance_ohm: state.resistance_ohm,
        ratio: state.ratio,
        temperature_c: state.kelvin - ZERO_CELSIUS_K,
        temperature_k: state.kelvin,
        sensitivity_ohm_per_c: state.resistance_slope,
        subrange: Some(state.subrange),
        tolerance_c: None,
        tolerance_ohm: None,
    })
}

fn industrial(
    celsius: f64,
    sensor: &Sensor,
    tolerance_c: Option<f64>,
) -> Result<Converted, ThermometryError> {
    let resistance_ohm = sensor.resistance(celsius)?;
    let sensitivity = sensor.sensitivity(celsius)?;
    Ok(Converted {
        resistance_ohm,
        ratio: resistance_ohm / sensor.r0_ohm,
        temperature_c: celsius,
        temperature_k: celsius + ZERO_CELSIUS_K,
        sensitivity_ohm_per_c: sensitivity,
        subrange: None,
        tolerance_c,
        tolerance_ohm: tolerance_c.map(|t| t * sensitivity),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sensor(class: Class) -> Converter {
        Converter::Industrial {
            sensor: Sensor::standard(100.0),
            class: Some(class),
            construction: Construction::Wire,
            ranges: ClassRanges::default(),
        }
    }

    /// IEC 60751, R0 = 100 Ω; tolerance from the class formula.
    #[test]
    fn there_and_back_with_tolerance() {
        let there = convert(&sensor(Class::A), Quantity::Temperature, 100.0).unwrap();
        near!(there.resistance_ohm, 138.5055, 1e-9);
        assert_eq!(there.tolerance_c, Some(0.35));
        let back = convert(&sensor(Class::A), Quantity::Ratio, there.ratio).unwrap();
        near!(back.temperature_c, 100.0, 1e-9);
    }

    #[test]
    fn no_tolerance_outside_the_class() {
        let got = convert(&sensor(Class::AA), Quantity::Temperature, 400.0).unwrap();
        assert_eq!(got.tolerance_c, None);
        assert!(convert(&sensor(Class::AA), Quantity::Resistance, f64::NAN).is_err());
    }
}
