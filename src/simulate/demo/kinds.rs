/*! The five kinds of instrument of the demo. All figures are inventions of a plausible size. */

/// What the five kinds share.
#[derive(Debug)]
pub(super) struct Kind {
    /// Letters before the number of an instrument.
    pub prefix: &'static str,
    /// Export the kind's checks go to.
    pub file: &'static str,
    /// Group in the register.
    pub group: &'static str,
    /// Points checked.
    pub points: &'static [&'static str],
    /// Unit of the error.
    pub unit: &'static str,
    /// Symmetric tolerance, in the unit.
    pub tolerance: f64,
    /// Standard uncertainty of a reading, random part.
    pub u: f64,
    /// Standard uncertainty all readings share.
    pub u_common: f64,
    /// Standard deviation of drift across instruments, unit per year.
    pub drift: f64,
    /// Wander, unit per √year.
    pub wander: f64,
    /// Decimals written.
    pub decimals: usize,
    /// Cycles of use per year; 0 where use is not counted.
    pub use_per_year: f64,
    /// What one calibration costs.
    pub cost: f64,
    /// Description in the register.
    pub description: &'static str,
}

/// Thermometers, checked at the triple point of water.
pub(super) static THERMOMETER: Kind = Kind {
    prefix: "TH",
    file: "history/thermometers.csv",
    group: "platinum thermometer",
    points: &["triple point of water"],
    unit: "mK",
    tolerance: 5.0,
    u: 0.35,
    u_common: 0.15,
    drift: 0.7,
    wander: 0.4,
    decimals: 2,
    use_per_year: 0.0,
    cost: 420.0,
    description: "standard platinum resistance thermometer, 25 ohm",
};
/// Resistors of 1 ohm.
pub(super) static RESISTOR: Kind = Kind {
    prefix: "RS",
    file: "history/resistors.csv",
    group: "standard resistor",
    points: &["1 ohm at 23 °C"],
    unit: "µΩ",
    tolerance: 10.0,
    u: 0.4,
    u_common: 0.3,
    drift: 1.1,
    wander: 0.3,
    decimals: 2,
    use_per_year: 0.0,
    cost: 380.0,
    description: "standard resistor in an oil bath",
};
/// Masses of 1 kg.
pub(super) static MASS: Kind = Kind {
    prefix: "MA",
    file: "history/masses.csv",
    group: "mass 1 kg",
    points: &["1 kg"],
    unit: "µg",
    tolerance: 500.0,
    u: 25.0,
    u_common: 12.0,
    drift: 45.0,
    wander: 30.0,
    decimals: 1,
    use_per_year: 0.0,
    cost: 260.0,
    description: "stainless steel mass standard",
};
/// Pressure gauges, whose cycles of use are counted.
pub(super) static GAUGE: Kind = Kind {
    prefix: "PG",
    file: "history/gauges.csv",
    group: "pressure gauge",
    points: &["600 kPa"],
    unit: "kPa",
    tolerance: 1.2,
    u: 0.07,
    u_common: 0.03,
    drift: 0.22,
    wander: 0.12,
    decimals: 3,
    use_per_year: 900.0,
    cost: 95.0,
    description: "reference pressure gauge, 0 kPa to 1000 kPa",
};
/// Gauge blocks of 50 mm.
pub(super) static BLOCK: Kind = Kind {
    prefix: "GB",
    file: "history/blocks.csv",
    group: "gauge block",
    points: &["50 mm"],
    unit: "nm",
    tolerance: 80.0,
    u: 7.0,
    u_common: 4.0,
    drift: 8.0,
    wander: 3.0,
    decimals: 0,
    use_per_year: 0.0,
    cost: 140.0,
    description: "steel gauge block of a working set",
};

/// A mass that is weighed beside others each month, and is said to be stable.
pub(super) static CHECK_MASS: Kind = Kind {
    prefix: "CS",
    file: "history/check-standards.csv",
    group: "check standard of the mass comparator",
    wander: 0.0,
    description: "mass that is weighed in every session of the comparator",
    ..MASS
};
/// A resistor that is measured beside others each month, and drifts.
pub(super) static CHECK_RESISTOR: Kind = Kind {
    prefix: "CS",
    file: "history/check-standards.csv",
    group: "check standard of the resistance bridge",
    description: "resistor that is measured in every session of the bridge",
    ..RESISTOR
};

/// Two points, for the gauges that are checked low and high.
pub(super) const TWO_POINTS: &[&str] = &["100 kPa", "600 kPa"];
