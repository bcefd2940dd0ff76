/*! Ways in which a thermometric quantity can be impossible, in words. */

use thiserror::Error;

/// What is wrong, what was expected, and where it helps the mend.
#[derive(Debug, Clone, PartialEq, Error)]
#[allow(missing_docs)]
pub enum ThermometryError {
    #[error("resistance {ohm} Ω is not a positive number")]
    Resistance { ohm: f64 },
    #[error("resistance ratio {ratio} is not a positive number")]
    Ratio { ratio: f64 },
    #[error(
        "{what} lies outside subrange {subrange} ({low} °C to {high} °C); choose a subrange that covers it"
    )]
    OutsideSubrange {
        what: String,
        subrange: u8,
        low: f64,
        high: f64,
    },
    #[error("subrange {subrange} takes the finite coefficients {expected}; {found} were given")]
    Coefficients {
        subrange: u8,
        expected: String,
        found: usize,
    },
    #[error("subrange 6 needs the thermometer's own W at the freezing point of aluminium")]
    AluminiumRatioMissing,
    #[error("a thermometer on the ITS-90 needs at least one deviation function")]
    NoDeviation,
    #[error(
        "subrange {subrange} needs {needed} calibration point(s) at the {point}; {found} given"
    )]
    CalibrationPoints {
        subrange: u8,
        point: &'static str,
        needed: usize,
        found: usize,
    },
    #[error(
        "the calibration points of subrange {subrange} do not determine its coefficients: two of them coincide"
    )]
    PointsDoNotDetermine { subrange: u8 },
    #[error("{celsius} °C lies outside −200 °C to 850 °C, the range of IEC 60751")]
    OutsideIndustrialRange { celsius: f64 },
    #[error(
        "{ohm} Ω lies outside the range of IEC 60751 for R0 = {r0} Ω ({low:.4} Ω to {high:.4} Ω)"
    )]
    OutsideIndustrialResistance {
        ohm: f64,
        r0: f64,
        low: f64,
        high: f64,
    },
    #[error(
        "currents {first} mA and {second} mA: the second must be larger than the first and both positive; swap them or measure at a larger second current"
    )]
    Currents { first: f64, second: f64 },
    #[error(
        "coefficients {text:?} could not be read; write them as 8:a=-1.4e-4,b=-1.7e-5 (subrange, then names and values)"
    )]
    CoefficientText { text: String },
    #[error("subrange {subrange} has no coefficient {name:?}; it takes {expected}")]
    CoefficientName {
        subrange: u8,
        name: String,
        expected: String,
    },
    #[error(
        "the coefficients of subrange {subrange} belong to no platinum: {what}; is one of them off by a power of ten or by its sign? Correct it{mend}"
    )]
    NoPlatinum {
        subrange: u8,
        what: String,
        mend: &'static str,
    },
    #[error(
        "{name} = {value:e} belongs to no platinum (IEC 60751 has {usual:e}): is it off by a power of ten or by its sign? Correct it"
    )]
    NoSensor {
        name: &'static str,
        value: f64,
        usual: f64,
    },
    #[error(
        "coefficients {text:?} could not be read; write them as a=3.9083e-3,b=-5.775e-7,c=-4.183e-12 (each once; c for use below 0 °C)"
    )]
    SensorText { text: String },
    #[error("{celsius} °C: below 0 °C the function needs the coefficient C, which is not stated")]
    NoLowCoefficient { celsius: f64 },
    #[error(
        "u_points_mk of subrange {subrange} has no standard uncertainty for {point}, a number not below 0 in mK"
    )]
    PointWithoutU { subrange: u8, point: &'static str },
    #[error("there is no subrange {number}; the ITS-90 has 1 to 11")]
    NoSubrange { number: u8 },
    #[error(
        "{name:?} is no defining fixed point; write argon, mercury, gallium, indium, tin, zinc, aluminium, silver …"
    )]
    NoFixedPoint { name: String },
    #[error(
        "{count} correction(s): a line with its uncertainty needs at least three finite ones at different temperatures"
    )]
    CorrectionPoints { count: usize },
    #[error("ratios and resistances are mixed in one session of one thermometer; give one kind")]
    MixedReadings,
    #[error(
        "values with an uncertainty of their own (u_ohm) stand beside readings without one, or at several currents, in one session of one thermometer: state u_ohm for the reduced value alone, or for none"
    )]
    MixedStated,
    #[error(
        "the reference resistor is stated in two ways in one session of one thermometer ({first} and {other}); correct resistor_ohm and what belongs to it"
    )]
    ResistorChanges { first: f64, other: f64 },
    #[error("no readings")]
    NoReadings,
}
